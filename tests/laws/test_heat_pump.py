"""What must hold for any unit: colder is harder, power is positive, more is never less."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.physics.unit.at_site import at_site, capacity_factor, routes, sensible_factor
from heatcalc.physics.unit.heat_pump import capacity, input_power, level_values, off_at, operate, power, sensible_heat_ratio
from heatcalc.physics.unit.machine import cooling, fitted, heating
from heatcalc.physics.unit.outdoor_unit import defrost_band, defrost_factor, humidity_factor
from heatcalc.physics.unit.seasonal import over_bins, scop

UNITS = load_units()
units = st.sampled_from(sorted(UNITS)).map(UNITS.get)


@cache
def machine():
    """A machine of one ton; its refrigerant's tables take seconds."""
    return fitted("R-32", "cold", 3517.0, 1000.0)


@given(units, st.floats(-30, 25), st.floats(0.5, 15))
@settings(max_examples=150)
def test_capacity_and_cop_fall_with_a_colder_source(unit, warm_C, drop_K):
    """At every level in heating: never more capacity from colder air, never a better COP outside the frost band."""
    pair = np.array([warm_C, warm_C - drop_K])
    q, p = level_values(unit.heating, pair)
    assert np.all(q[:, 1] <= q[:, 0] * (1 + 1e-9))
    running = (q[:, 1] > 0) & (q[:, 0] > 0)
    clear = warm_C < -8.3 or warm_C - drop_K > 8.3  # a frosty point may have a lower COP than a colder dry one
    if clear:
        assert np.all((q / np.maximum(p, 1e-9))[running, 1] <= (q / np.maximum(p, 1e-9))[running, 0] * (1 + 1e-9))


@given(st.floats(-25, 15), st.floats(0.5, 10), st.floats(0.3, 2.0))
@settings(max_examples=40)
def test_cycle_falls_with_a_colder_source(warm_C, drop_K, speed):
    warm, cold = heating(machine(), warm_C, speed), heating(machine(), warm_C - drop_K, speed)
    assert cold.capacity_W < warm.capacity_W
    assert cold.cop < warm.cop


@given(units, st.floats(-40, 50), st.just(0.0) | st.floats(1e-3, 20000), st.floats(0, 0.5))
@settings(max_examples=200)
def test_operation_closes_and_power_is_positive(unit, outdoor_C, load_W, cd):
    for curves in (unit.heating, unit.cooling):
        run = power(curves, outdoor_C, load_W, cd)
        assert run.delivered_W + run.unmet_W == pytest.approx(load_W)
        assert np.all(run.unmet_W >= 0) and np.all(run.power_W >= 0)
        assert np.all((run.power_W > 0) == (run.delivered_W > 0))
        assert np.all((run.run_fraction >= 0) & (run.run_fraction <= 1))
        assert run.power_W * run.cop == pytest.approx(run.delivered_W)


@given(units, st.floats(-30, 48), st.floats(1, 9000), st.floats(1.001, 2))
@settings(max_examples=150)
def test_more_load_never_takes_less_power(unit, outdoor_C, load_W, factor):
    for curves in (unit.heating, unit.cooling):
        run = power(curves, np.full(2, outdoor_C), np.array([load_W, load_W * factor]))
        assert run.delivered_W[1] >= run.delivered_W[0]
        assert run.power_W[1] >= run.power_W[0] * (1 - 1e-9)


@given(units, st.floats(-30, 50))
@settings(max_examples=150)
def test_levels_are_in_order(unit, outdoor_C):
    for curves in (unit.heating, unit.cooling):
        q, p = level_values(curves, outdoor_C)
        assert np.all(np.diff(q[:, 0]) >= 0) and np.all(np.diff(p[:, 0]) >= 0)
        shr = sensible_heat_ratio(unit.cooling, outdoor_C, 2000.0)
        assert 0.3 <= shr[0] <= 1.0


@given(units)
@settings(max_examples=20)
def test_printed_points_come_back(unit):
    for curves in (unit.heating, unit.cooling):
        for level in curves.levels:
            running = curves.given[level] & ~off_at(curves, curves.outdoor_C)
            q = capacity(curves, curves.outdoor_C, level)
            p = input_power(curves, curves.outdoor_C, level)
            assert np.array_equal(q.value_W[running], curves.capacity_W[level][running])
            assert np.array_equal(p.value_W[running], curves.power_W[level][running])
            assert set(q.mark[running]) == {"given"}
            assert np.array_equal(q.low_W[running], q.high_W[running])


@given(units, st.floats(-60, 70))
@settings(max_examples=200)
def test_never_beyond_twelve_fahrenheit_nor_below_the_lowest(unit, outdoor_C):
    reach = 12.0 / 1.8
    hot, cold = capacity(unit.cooling, outdoor_C, "max"), capacity(unit.heating, outdoor_C, "max")
    if outdoor_C < unit.lowest_heating_C - 1e-6 or outdoor_C < unit.heating.outdoor_C[0] - reach - 1e-6:
        assert cold.mark[0] == "off" and cold.value_W[0] == 0.0
    if outdoor_C > unit.cooling.outdoor_C[-1] + reach + 1e-6:
        kept = capacity(unit.cooling, unit.cooling.outdoor_C[-1] + reach, "max")
        assert hot.mark[0] == "estimated" and hot.value_W[0] == pytest.approx(kept.value_W[0])
    for e in (hot, cold):
        assert e.low_W[0] <= e.value_W[0] + 1e-9 and e.value_W[0] <= e.high_W[0] + 1e-9


@given(units, st.floats(-20, 12), st.floats(2, 6.6))
@settings(max_examples=60)
def test_the_band_beyond_the_cold_print_holds_both_rules(unit, _, beyond_K):
    """With the coldest rows cut off, the straight line and the cycle shape both lie inside the band."""
    keep = unit.heating.outdoor_C > -10.0
    curves = replace(
        unit.heating,
        lowest_C=-60.0,
        outdoor_C=unit.heating.outdoor_C[keep],
        **{
            name: {k: v[keep] for k, v in getattr(unit.heating, name).items()}
            for name in ("capacity_W", "power_W", "given", "power_given")
        },
    )
    at = float(curves.outdoor_C[0]) - beyond_K
    e = capacity(curves, at, "max")
    assert e.mark[0] == "estimated"
    assert e.low_W[0] < e.value_W[0] < e.high_W[0]
    full = unit.heating
    if at >= full.outdoor_C[0]:  # the rows cut off (cycle at full speed) are inside
        real = float(np.interp(at, full.outdoor_C, full.capacity_W["max"]))
        assert e.low_W[0] <= real * 1.01 and real * 0.99 <= e.high_W[0]


@given(st.floats(0, 3500), st.floats(0, 1500))
@settings(max_examples=80)
def test_altitude_never_raises(low_m, more_m):
    for route in routes():
        assert capacity_factor(low_m + more_m, route) <= capacity_factor(low_m, route) <= 1.0
    assert sensible_factor(low_m + more_m) <= sensible_factor(low_m) <= 1.0


@given(units, st.floats(1, 3500), st.floats(17, 24), st.floats(12, 22))
@settings(max_examples=40)
def test_site_corrections_come_once_and_point_the_right_way(unit, elevation_m, indoor_C, wet_bulb_C):
    here = at_site(unit, elevation_m, indoor_C, wet_bulb_C)
    with pytest.raises(ValueError, match="already corrected"):
        at_site(here, elevation_m, indoor_C)
    low = at_site(unit, 0.0, indoor_C, wet_bulb_C)
    for before, after in ((low.heating, here.heating), (low.cooling, here.cooling)):
        for level in before.levels:
            assert np.all(after.capacity_W[level] <= before.capacity_W[level] * (1 + 1e-12))
    warmer = at_site(unit, 0.0, indoor_C + 1.0)
    cooler = at_site(unit, 0.0, indoor_C)
    assert np.all(warmer.heating.capacity_W["max"] <= cooler.heating.capacity_W["max"] * (1 + 1e-12))
    assert np.all(warmer.heating.power_W["max"] >= cooler.heating.power_W["max"] * (1 - 1e-12))


@given(st.floats(-20, 15), st.floats(0.2, 1.0))
@settings(max_examples=80)
def test_frost_only_takes_away_and_never_twice(outdoor_C, humidity):
    assert 0.75 <= defrost_factor(outdoor_C, humidity) <= 1.0
    assert humidity_factor(outdoor_C, humidity, False, False) == pytest.approx(1.0)
    for kind in ((True, False), (False, True), (True, True)):
        drier = humidity_factor(outdoor_C, humidity * 0.9, *kind)
        assert drier >= humidity_factor(outdoor_C, humidity, *kind) - 1e-12


@pytest.mark.parametrize("fahrenheit, share", [(-13.0, 0.95), (5.0, 0.95), (17.0, 0.95 - 0.02 / 3), (35.0, 1.0), (47.0, 1.0)])
def test_a_steady_table_loses_what_defrosting_takes_and_an_integrated_one_nothing(fahrenheit, share):
    """Within the printed 0.93 to 0.95 (table defrost) in the cold; nothing on top of the 35 F dip."""
    unit = UNITS["G12-C-230"]
    at = [(fahrenheit - 32.0) / 1.8]
    steady, integrated = (
        capacity(at_site(x, 0.0, unit.heating.indoor_C).heating, at, "max").value_W[0]
        for x in (unit, replace(unit, defrost="integrated"))
    )
    assert steady / integrated == pytest.approx(share)
    low, high = defrost_band()
    assert (low, high) == (0.93, 0.95) and (share == 1.0 or low <= share <= high)


@given(units, st.lists(st.floats(-30, 45), min_size=2, max_size=20))
@settings(max_examples=40)
def test_stepping_on_ready_tables_is_the_curves(unit, outdoor_C):
    at = np.array(outdoor_C)
    stepped = operate(*level_values(unit.heating, at), np.full(len(at), 1500.0))
    assert np.array_equal(stepped.power_W, power(unit.heating, at, 1500.0).power_W)


@given(units, st.floats(500, 4000))
@settings(max_examples=25)
def test_seasonal_figure_lies_between_the_bins(unit, load_W):
    s = scop(unit, "average", load_W)
    assert 1.0 <= s.overall <= s.active
    assert over_bins(unit.heating, [0.0], [0.0], [load_W]).figure == 0.0


def test_a_fit_meets_its_rating():
    for refrigerant in ("R-32", "R-410A"):
        machine = fitted(refrigerant, "standard", 2638.0, 720.0)
        run = cooling(machine, 35.0, 1.0)
        assert (run.capacity_W, run.power_W) == (pytest.approx(2638.0, rel=1e-4), pytest.approx(720.0, rel=1e-4))


@given(units, st.sampled_from(["min", "rated", "max"]), st.floats(-10, 15))
@settings(max_examples=40)
def test_a_level_that_is_not_printed_is_stood_for(unit, kept, outdoor_C):
    """A table of one level: every level is that one, and below it the unit cycles."""
    names = ("capacity_W", "power_W", "given", "power_given")
    one = replace(unit.heating, **{name: {kept: getattr(unit.heating, name)[kept]} for name in names})
    values = {level: capacity(one, outdoor_C, level).value_W[0] for level in ("min", "rated", "max")}
    assert len(set(values.values())) == 1
    assert power(one, outdoor_C, 0.5 * values["max"]).run_fraction[0] == pytest.approx(0.5)
    with pytest.raises(KeyError, match="known: min"):
        capacity(one, outdoor_C, "turbo")


@pytest.mark.parametrize("name", [name for name in UNITS if "-C-115" in name or "-D-" in name])
def test_later_classes_come_from_the_cycle_model(name):
    """115 V cold and deep-cold classes: a dry maximum row gives the model's power at its capacity, within 0.5 % (own numbers)."""
    unit = UNITS[name]
    rated = int(np.flatnonzero(np.isclose(unit.cooling.outdoor_C, 35.0))[0])
    size = [float(table["rated"][rated]) for table in (unit.cooling.capacity_W, unit.cooling.power_W)]
    machine, top = fitted("R-32", "cold", *size), unit.heating
    for t, q, p in zip(top.outdoor_C, top.capacity_W["max"], top.power_W["max"], strict=True):
        if not 0.0 < t < 5.0:  # the frost point
            speed = brentq(lambda n, t=t, q=q: heating(machine, t, n).capacity_W - q, 0.2, 3.0)
            assert heating(machine, t, speed).power_W == pytest.approx(p, rel=0.005)


def test_a_115_V_class_stays_within_its_current():
    """Input at power factor 0.97 never above 12 A, own choice for a 15 A circuit's continuous load, and below the MCA."""
    for unit in (u for u in UNITS.values() if u.volts == 115):
        largest = max(row.max() for c in (unit.heating, unit.cooling) for row in c.power_W.values())
        assert largest / (115 * 0.97) <= 12.01 < unit.mca_A


def test_the_deep_cold_class_runs_to_minus_22_F():
    """More heat than the cold class of its size below 17 F, and 0.79 of rated at -13 F (one published unit, second hand)."""
    deep, cold = UNITS["G12-D-230"], UNITS["G12-C-230"]
    assert deep.lowest_heating_C == pytest.approx(-30.0)
    below = np.array([-25.0, -20.6, -15.0])
    assert np.all(capacity(deep.heating, below, "max").value_W > capacity(cold.heating, below, "max").value_W)
    at = [float(capacity(deep.heating, t, level).value_W[0]) for t, level in ((-25.0, "max"), (25.0 / 3.0, "rated"))]
    assert at[0] / at[1] == pytest.approx(0.79, abs=0.005)
