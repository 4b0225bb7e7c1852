"""Our own sums of cords and circuits, done by hand: not references."""

import pytest

from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.physics.supply import electrics as c
from heatcalc.supply.circuits import sizes
from heatcalc.supply.supply_check import check_supply

FT = 0.3048


@pytest.mark.parametrize(
    ("current", "drops"), [(16, [0.992, 1.984, 3.968]), (24, [1.488, 2.976, 5.952]), (30, [1.86, 3.72, 7.44])]
)
def test_cord_chart(current, drops):
    # own arithmetic with the Table 8 value 1.24 ohm/kft over 25, 50, 100 ft at 120 V: regression, to 0.001 V
    for length, expected in zip((25, 50, 100), drops, strict=True):
        assert c.voltage_drop(current, length * FT, 1.24 / 1000 / FT) == pytest.approx(expected, abs=0.0005)


def test_motor_circuit_formulas():
    # NEC 440.33 and 440.22(A), three printings; numbers own: 7.0 A compressor, fans 0.5 and 0.3 A
    # standard sizes NEC 240.6(A), from memory
    others = (0.5, 0.3)
    assert c.minimum_circuit_ampacity(7.0, others) == pytest.approx(9.55, abs=0.005)
    start, ceiling = c.overcurrent_ceiling(7.0, others, 1.75), c.overcurrent_ceiling(7.0, others)
    assert (start, ceiling) == (pytest.approx(13.05, abs=0.005), pytest.approx(16.55, abs=0.005))
    assert (c.standard_size_below(start, sizes()), c.standard_size_below(ceiling, sizes())) == (10, 15)


def test_cold_climate_12k_with_backup_on_a_30_A_cord():
    # own example: 13 A unit + 0.9 kW backup + refrigerator 1.5 A + fans 0.5 A = 22.5 A of 24 A continuous;
    # the 12 A water heater must be locked out
    small = [{"name": "refrigerator"}, {"name": "ventilation fans"}]
    answer = check_supply(Supply(appliances=small), 13, 9, 115, 900)
    assert answer.cold.leg_A[0] == pytest.approx(22.5, abs=0.05) and answer.cold.verdict == "pass"
    answer = check_supply(Supply(appliances=[*small, {"name": "water heater"}]), 13, 9, 115, 900)
    assert answer.cold.verdict == "fail" and "lock out water heater" in answer.advice[0]
    locked = Supply(appliances=[*small, {"name": "water heater"}], lock_outs=[("water heater", "heat pump")])
    assert check_supply(locked, 13, 9, 115, 900).passes


def test_hair_dryer_beside_full_heat():
    # own example: 10.8 A leave 13.2 A of 24 A, a 1,875 W hair dryer takes 15.6 A: for short times only
    answer = check_supply(Supply(appliances=[{"name": "hair dryer"}]), 10.8, 8, 115)
    assert answer.continuous_limit_A - 10.8 == pytest.approx(13.2, abs=0.05)
    assert answer.on_demand[0].amperes == pytest.approx(15.6, abs=0.05)
    assert answer.on_demand[0].cold == "short"
