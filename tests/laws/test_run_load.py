"""Laws of the run load: sums close, directions are right, the band holds the middle."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.answers.sale.band import airier, band, hungrier, in_weather, lossier, shifted, warmer
from heatcalc.answers.sale.buyer import what_if
from heatcalc.answers.year.run_load_answer import run_load
from heatcalc.commands.size import size
from heatcalc.inputs.supply.supply_record import PricePeriod, Tariff
from heatcalc.judge.choice import FITS
from heatcalc.judge.metered_year import by_month, walk
from heatcalc.supply.money import hour_prices, period_shares

PLACES = ("55802", "Houston, TX", "Seattle, WA", "Denver, CO")


@pytest.fixture(scope="module", params=PLACES)
def run(request):
    return run_load(size(None, request.param))


@pytest.fixture(scope="module")
def cold():
    return run_load(size(None, PLACES[0]))


def test_months_sum_to_the_year_and_uses_to_the_whole(run):
    months = run.load.month_kWh
    assert sum(v.sum() for v in months.values()) == pytest.approx(run.load.year_kWh, rel=1e-12)
    assert np.sum(list(months.values()), axis=0) == pytest.approx(by_month(run.load.run_W), rel=1e-12)
    assert run.money.month_cost.sum() == pytest.approx(run.money.year_cost, rel=1e-12)
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    assert (run.month_hour_W.sum(axis=1) * days / 1000) == pytest.approx(by_month(run.load.run_W), rel=1e-9)


def test_the_year_is_the_year_command_s_plus_the_fan(run):
    year = run.load.year
    of_use = {"heating": ("heating", "pan heater", "crankcase heater"), "cooling": ("cooling",), "backup": ("backup heat",)}
    for use, names in of_use.items():
        assert run.load.month_kWh[use] == pytest.approx(sum(year.electricity_kWh[n] for n in names), rel=1e-6, abs=1e-6)
    heating = [float(run.load.uses_W[use].sum()) / 1000.0 for use in ("heating", "backup")]
    assert sum(heating) == pytest.approx(run.load.heating_electricity_kWh)
    from heatcalc.judge.metered_year import ventilation_fan_W

    fan = float(ventilation_fan_W(run.sized.designer.model, run.hours["outdoor_C"]).sum()) / 1000.0
    dry = float(run.load.uses_W["dehumidifier"].sum()) / 1000.0
    assert run.load.year_kWh == pytest.approx(year.conditioning_kWh + fan + dry, rel=1e-6)


def test_amperes_carry_every_watt(run):
    """On one leg the mean of the amperes is the energy over volts, the unit at its own voltage."""
    line = max(run.load.year.ways, key=lambda w: w.cord.highest_A).series
    unit = (line["unit_power_W"] + line["extra_power_W"]) / run.candidate.unit.volts
    assert np.all(run.amperes >= unit - 1e-9)
    assert run.cord.highest_A == pytest.approx(run.amperes.max())
    assert run.cord.hours_above_80 == int((run.amperes > 24.0).sum())


def test_the_band_holds_the_middle_and_a_year_is_surer_than_its_months(cold):
    b, middle = band(cold), by_month(cold.load.run_W)
    assert np.all(b.month_kWh[0] <= middle) and np.all(middle <= b.month_kWh[1])
    assert b.year_kWh[0] < cold.load.year_kWh < b.year_kWh[1]
    assert b.year_kWh[1] - b.year_kWh[0] <= float((b.month_kWh[1] - b.month_kWh[0]).sum()) + 1e-9
    for swing in b.swings:
        low, high = swing.year_kWh
        assert low <= cold.load.year_kWh <= high
    widest = max(s.year_kWh[1] - s.year_kWh[0] for s in b.swings)
    assert b.year_kWh[1] - b.year_kWh[0] >= widest


def test_directions_in_the_cold(cold):
    model, base = cold.sized.designer.model, cold.load.heating_electricity_kWh
    assert walk(airier(model, 1.4, 1.2), cold.asked).heating_electricity_kWh > base
    assert walk(lossier(model, 1.1), cold.asked).heating_electricity_kWh > base
    assert walk(warmer(model, 1.0), cold.asked).heating_electricity_kWh > base
    assert walk(model, in_weather(cold.asked, shifted(cold.asked.brings.weather, 1.0))).heating_electricity_kWh < base


def test_scaled_u_values_scale_the_loss(cold):
    model = cold.sized.designer.model
    for part, twin in zip(model.opaque, lossier(model, 1.1).opaque, strict=True):
        again = 1 / (twin.r_inside + sum(twin.body.resistance) + twin.r_outside)
        if part.of.radiates and part.kind != "floor":
            assert again == pytest.approx(1.1 * part.u_value, rel=1e-9)


def test_what_ifs_point_the_right_way(run):
    found = {str(c.change).split()[0]: c for c in what_if(run)}
    assert found["heat"].heating_more_kWh < 0
    assert found["choose"].cooling_more_kWh > 0 and found["choose"].heating_more_kWh < 0  # dark siding
    assert found["add"].heating_more_kWh < 0  # skirting
    for c in found.values():
        assert c.year_kWh == pytest.approx(run.load.year_kWh + c.more_kWh)


def test_nothing_is_colder_than_held_where_no_backup_runs(run):
    """Hours are counted once, from the place's bins; the built year has about as many."""
    from heatcalc.answers.sale.buyer import promise

    p = promise(run)
    assert p.colder_h == pytest.approx(int((run.hours["outdoor_C"] < p.held_C).sum()), abs=5 + 0.1 * p.colder_h)
    assert p.standing_h <= p.colder_h
    if run.candidate.verdict == FITS and p.colder_h == 0:
        assert p.too_cold_h == 0 and p.backup_kWh == 0


def test_a_hungrier_unit_only_scales_its_own_electricity(cold):
    more = hungrier(cold.load, 1.5)
    assert more.uses_W["heating"] == pytest.approx(1.5 * cold.load.uses_W["heating"])
    assert np.array_equal(more.uses_W["backup"], cold.load.uses_W["backup"])


@settings(max_examples=30)
@given(
    base=st.floats(0.01, 1.0),
    prices=st.lists(st.floats(-0.1, 1.0), min_size=1, max_size=3),
    start=st.integers(0, 23),
    days=st.sampled_from(["all", "weekdays", "weekends"]),
)
def test_period_shares_rebuild_the_price_table(base, prices, start, days):
    periods = tuple(
        PricePeriod(name=f"p{k}", price=p, from_hour=(start + 5 * k) % 24, to_hour=(start + 5 * k + 7) % 24 or 24, days=days)
        for k, p in enumerate(prices)
    )
    tariff = Tariff(kind="time-of-use", price=base, periods=periods)
    shares = period_shares(tariff)
    rebuilt = base + sum(share * (p.price - base) for share, p in zip(shares, periods, strict=True))
    assert rebuilt == pytest.approx(hour_prices(tariff), abs=1e-9)
    assert shares.min() >= -1e-12 and shares.sum(axis=0).max() <= 1 + 1e-12
