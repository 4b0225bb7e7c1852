"""Prices by state; printed bills, CO2 rates and sums are in heatcalc/checks/supply.json."""

import numpy as np
import pytest

from heatcalc.inputs.checked import check
from heatcalc.inputs.supply.supply_record import Tariff, state_average
from heatcalc.supply.money import bill
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
    yearly = {r["code"] for r in rows("electricity_price") if "-" not in r["period"] and r["currency"] == "USD"}
    assert yearly == {r["code"] for r in rows("electricity_co2")} and len(yearly) == 52
    # EIA Electric Power Monthly Table 5.6.A, April 2025: 18 states, kept beside the year
    assert sum(r["period"] == "2025-04" for r in rows("electricity_price")) == 18


WINTER, SUMMER = (
    [1, 2, 3, 4, 5, 10, 11, 12],
    [6, 7, 8, 9],
)  # which months are which is not printed: any month shows its own blocks
SEYMOUR = {  # City of Seymour, residential electricity, "Billing Calculation Examples" (cityofseymour.org, bill comparison page)
    "kind": "tiered",
    "tiers": [
        {"up_to_kWh": 250, "price": 0.064},
        {"up_to_kWh": 700, "price": 0.049},
        {"up_to_kWh": 1250, "price": 0.0475, "months": SUMMER},
        {"price": 0.0446},
    ],
    "added_price": 0.085,
    "monthly_charge": 7.50,
    "tax": "1 %",
}


@pytest.mark.parametrize(("month", "kWh", "before", "total"), [(1, 1200, 169.85, 171.55), (7, 2000, 275.13, 277.88)])
def test_a_utility_s_own_bill_with_blocks_seasons_a_charge_and_a_tax(month, kWh, before, total):
    """Both printed examples to the cent; a rounding of every line may move the sum by half a cent."""
    table = np.zeros((12, 24))
    table[month - 1] = kWh / 24
    found = bill(table, check(Tariff, SEYMOUR, "print"))
    assert found.month_cost[month - 1] == pytest.approx(total, abs=0.006)
    assert found.month_cost[month - 1] / 1.01 == pytest.approx(before, abs=0.006)
    assert found.energy_cost[month - 1] == pytest.approx(found.month_cost[month - 1] - 7.5 * 1.01)


def test_charges_by_hand():
    """Sums by hand: 31 days of 50 cents; the least charge counts before taxes; an empty month costs the fixed charges."""
    flat = Tariff(price=0.10, daily_charge=0.50, minimum_charge=20.0, tax=0.10)
    table = np.zeros((12, 24))
    table[0], table[1] = 100 / 24, 10 / 24
    found = bill(table, flat)
    assert found.month_cost[0] == pytest.approx((10.0 + 15.5) * 1.1)
    assert found.month_cost[1] == pytest.approx(20.0 * 1.1) and found.month_cost[2] == pytest.approx(22.0)
    assert found.year_cost == pytest.approx(sum(found.month_cost))
