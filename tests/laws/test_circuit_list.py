"""The circuit list has a row for every load of the plan; voltage left at the end of a long cord."""

import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Supply
from heatcalc.judge.sizing import size_house
from heatcalc.supply.circuits import circuit_list
from heatcalc.supply.supply_check import check_supply


@pytest.mark.parametrize("laundry", ["elsewhere", "vented dryer", "120 V washer-dryer"])
def test_every_load_of_the_plan_has_its_row(laundry):
    supply = load_house("plover-26g", [f"living.laundry={laundry}"]).supply
    lines = circuit_list(supply, 9.0, 230.0, 2200.0, 2, dehumidifier_W=340.0)
    loads = [name for line in lines for name in line.loads]
    assert sorted(loads) == sorted([HEAT_PUMP, BACKUP, DEHUMIDIFIER, *(a.name for a in supply.appliances)])
    assert all(line.breaker_A and line.gauge_awg and line.source and line.step for line in lines)
    assert {line.legs for line in lines if line.name in (HEAT_PUMP, BACKUP)} == {2}


@pytest.mark.parametrize("where", ["Duluth, MN", "Houston, TX"])
def test_the_circuits_hold_the_plan_s_own_heater_and_dehumidifier(where):
    sized = size_house(load_house("plover-26g"), find_place(where))
    circuits = {line.name: line for line in sized.recommended.supply.circuits}
    plan = sized.plan
    assert (plan.heater_W > 0) == (BACKUP in circuits) and bool(plan.dehumidifier_W) == (DEHUMIDIFIER in circuits)
    if plan.heater_W:
        line = circuits[BACKUP]
        assert line.load_A * line.volts == pytest.approx(plan.heater_W)


def test_voltage_at_the_end_of_a_long_cord_at_full_draw():
    # 30 A over 100 ft of 10 AWG at 75 C, 1.24 ohm/kft (NEC Chapter 9 Table 8): 7.44 V, 6.2 % of 120 V, by 2 L R I
    drop = check_supply(Supply(length="100 ft"), 10.0, 8.0, 115.0).drop
    assert drop.full_draw_volts == pytest.approx(7.44, abs=0.005)
    assert drop.left_at_full_draw_V == pytest.approx(120 - 7.44, abs=0.005) and drop.least_V == pytest.approx(103.5)
    two = check_supply(Supply(length="100 ft", cord="50 A 120/240 V"), 10.0, 8.0, 230.0).drop
    assert two.least_V == pytest.approx(0.9 * 208) and two.left_at_full_draw_V < two.left_at_unit_V < 240.0


def test_a_wired_leg_stays_where_it_is():
    said = [
        {"name": "kiln", "watts": "1200 W", "leg": 2, "together": True},
        {"name": "saw", "watts": "1100 W", "leg": 2, "together": True},
    ]
    hour = check_supply(Supply(cord="50 A 120/240 V", appliances=said), 5.0, 5.0, 115.0).cold
    assert hour.leg_A == pytest.approx(((1200 + 1100) / 120, 5.0))
