"""Many cases at once against one case at a time; the largest amperes of a unit against a fine walk along its table."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.physics.unit.heat_pump import input_power
from heatcalc.physics.unit.outdoor_unit import pan_W
from heatcalc.supply.coincidence import POWER_FACTOR, Situation, carried, largest_cooling_A, largest_heating_A, smallest_cord
from heatcalc.supply.cord import check_hour, cords_by_size
from heatcalc.supply.load_method import load_method, method_leg_A
from heatcalc.supply.supply_check import house_loads

PAIRS = (("water heater", "backup heat"), ("heat pump", "water heater"))
cases = st.lists(st.tuples(st.floats(0, 25), st.sampled_from([115.0, 230.0]), st.floats(0, 4000)), min_size=1, max_size=6)


@given(cases, st.booleans())
@settings(max_examples=40)
def test_cases_together_are_the_cases_one_by_one(rows, locked):
    supply = Supply(lock_outs=PAIRS if locked else ())
    unit_A, volts, heater_W = (np.array(x) for x in zip(*rows, strict=True))
    for cord in cords_by_size():
        many = carried(supply, cord, [Situation(name="cold", unit_A=unit_A, heater_W=heater_W)], volts)
        for k, (amperes, at, watts) in enumerate(rows):
            hour = check_hour("cold", house_loads(supply, amperes, at, watts, "cold", cord), supply.lock_outs, cord)
            assert many.required_A[0, k] == pytest.approx(hour.leg_required_A)
            assert many.passes[k] == (hour.verdict != "fail")


@given(cases)
@settings(max_examples=20)
def test_the_method_in_arrays_is_the_method_case_by_case(rows):
    unit_A, volts, heater_W = (np.array(x) for x in zip(*rows, strict=True))
    legs = method_leg_A(Supply(), 24.0, unit_A, volts, heater_W, 300.0)
    one = [load_method(Supply(), 24.0, *row, dehumidifier_W=300.0).leg_A for row in rows]
    assert legs == pytest.approx(one)


def test_a_heavier_situation_never_asks_for_a_smaller_supply():
    supply = Supply()
    light = smallest_cord(supply, [Situation(name="cold", unit_A=np.linspace(0, 60, 61))], 115.0)
    assert (np.diff(light.index) >= 0).all() and light.index[0] == 0 and light.index[-1] == len(light.cords) - 1
    both = smallest_cord(supply, [Situation(name="cold", unit_A=5.0), Situation(name="recovery", unit_A=20.0)], 115.0)
    assert both.carried[0].set_by[0] == 1


@pytest.mark.parametrize("name", ["G09-C-230", "G12-S-115"])
def test_the_largest_amperes_are_those_of_a_fine_walk(name):
    unit = load_units()[name]
    for low in (-30.0, -12.3, 4.0):
        at = np.arange(low, 16.0, 0.01)
        watts = input_power(unit.heating, at, "max").value_W
        walked = np.where(watts > 0, watts + pan_W(unit, at), 0.0).max() / (unit.volts * POWER_FACTOR)
        assert largest_heating_A(unit, low, 16.0)[0] == pytest.approx(walked, rel=2e-3)
    at = np.arange(20.0, 41.0, 0.01)
    walked = input_power(unit.cooling, at, "max").value_W.max() / (unit.volts * POWER_FACTOR)
    assert largest_cooling_A(unit, 20.0, 41.0)[0] == pytest.approx(walked, rel=2e-3)
