"""Prices by state; printed bills, CO2 rates and sums are in heatcalc/checks/supply.json."""

import pytest

from heatcalc.inputs.supply.tariff import state_average
from heatcalc.tables import rows


def test_state_prices():
    # EIA Electric Power Annual 2023 (release 2024-10-17), residential, cents/kWh; three rows reread
    assert (state_average("California").price, state_average("WA").price, state_average("hi").price) == (
        pytest.approx(0.2951),
        pytest.approx(0.1098),
        pytest.approx(0.4239),
    )
    assert state_average("Maine").year == "2023"


def test_price_tables_cover_every_state():
    yearly = {r["code"] for r in rows("electricity_price") if "-" not in r["period"]}
    assert yearly == {r["code"] for r in rows("electricity_co2")} and len(yearly) == 52
    # EIA Electric Power Monthly Table 5.6.A, April 2025: 18 states, kept beside the year
    assert sum(r["period"] == "2025-04" for r in rows("electricity_price")) == 18
