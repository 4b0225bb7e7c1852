"""Capacity and power between and beyond printed points, corrections and plausibility against printed tables."""

from dataclasses import replace

import numpy as np
import pytest

from heatcalc.checks.published import all_checks
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.physics.unit.at_site import coil_share, indoor_factors, wet_bulb_factors
from heatcalc.physics.unit.heat_pump import Curves, capacity, constant_speed_ratio, input_power, power
from heatcalc.physics.unit.machine import cooling, fitted, heating
from heatcalc.physics.unit.outdoor_unit import has_frost_point, with_frost_point
from heatcalc.physics.unit.plausibility import carnot_share, doubts
from heatcalc.tables import rows

FS = [c.inputs for c in all_checks() if c.evaluator == "cop_of_a_table"]  # a service manual's table, fixed speed, 18 points
BTUH_W = 1000.0 / 3412.14


def celsius(fahrenheit):
    return (np.asarray(fahrenheit, float) - 32.0) / 1.8


def fixed_speed(only=None) -> Curves:
    """The 18-point print (or some of its temperatures) as a one-level unit; 3 tons, kBtu/h and kW printed to 0.01."""
    points = sorted((row["outdoor_F"], row["kBtuh"], row["kW"]) for row in FS)
    points = [p for p in points if only is None or p[0] in only]
    t, q, p = np.array(points, float).T
    given = {"max": np.ones(len(t), bool)}
    return Curves(
        mode="heating",
        outdoor_C=celsius(t),
        capacity_W={"max": q * 1000.0 * BTUH_W},
        power_W={"max": p * 1000.0},
        given=given,
        power_given=given,
        lowest_C=-40.0,
        indoor_C=21.11,
    )


def test_straight_lines_through_the_18_points():
    """Trained on 47 and 17 F: worst -2.9 % capacity and -2.1 % power from 20 to 65 F, as measured in the own study.

    The print falls in straight steps below 15 F, so it tests the rule, not cold physics.
    """
    full, two = fixed_speed(), fixed_speed((47, 17))
    inside = (full.outdoor_C > celsius(17) + 0.1) & (full.outdoor_C < celsius(47) - 0.1)
    at = full.outdoor_C[inside]
    q = np.interp(at, two.outdoor_C, two.capacity_W["max"]) / full.capacity_W["max"][inside] - 1.0
    p = np.interp(at, two.outdoor_C, two.power_W["max"]) / full.power_W["max"][inside] - 1.0
    assert q.min() >= -0.006 - 5e-4 and q.max() <= 0.029 + 5e-4
    assert np.abs(p).max() <= 0.035 + 5e-4


def test_frost_rule_on_the_18_points():
    """35 F by rule 0.90/0.985 (from memory, 10 CFR 430 app. M1) beside the print: the unit prints no dip of its own.

    The manual's table has its kink between 30 and 35 F: 24.1 kBtu/h at 35 F against 24.68 on the dry line.
    """
    ruled = with_frost_point(fixed_speed((47, 17)))
    k = int(np.abs(ruled.outdoor_C - celsius(35)).argmin())
    dry = 18.2 + 0.6 * (29.0 - 18.2)
    assert ruled.capacity_W["max"][k] == pytest.approx(0.90 * dry * 1000.0 * BTUH_W)
    assert ruled.power_W["max"][k] == pytest.approx(0.985 * (2.08 + 0.6 * (2.25 - 2.08)) * 1000.0)
    assert ruled.frost_by_rule
    assert not has_frost_point(fixed_speed((47, 17)).outdoor_C) and has_frost_point(fixed_speed().outdoor_C)
    assert not with_frost_point(fixed_speed()).frost_by_rule  # tested points are left alone


@pytest.mark.parametrize("printed", [(13000, 12000, 11000), (12000, 11000, 9900)])
def test_certified_rows_lie_inside_the_band(printed):
    """Two certified rows (second hand): 5 F from 47 and 17 F; the straight line +5.5/+7.1 % off, to 0.1 %."""
    t, q = celsius([17, 47]), np.array([printed[1], printed[0]]) * BTUH_W * 1.0
    given = {"max": np.ones(2, bool)}
    curves = Curves(
        mode="heating",
        outdoor_C=t,
        capacity_W={"max": q},
        power_W={"max": q / 3.0},
        given=given,
        power_given=given,
        lowest_C=-25.0,
        indoor_C=21.11,
    )
    found = capacity(curves, celsius(5), "max")
    assert found.mark[0] == "estimated"
    assert found.low_W[0] < printed[2] * BTUH_W < found.high_W[0]
    straight = q[0] + (q[1] - q[0]) / 30.0 * -12.0
    assert straight / (printed[2] * BTUH_W) - 1.0 == pytest.approx({11000: 0.055, 9900: 0.071}[printed[2]], abs=5e-4)


@pytest.mark.xfail(strict=True, reason="the shipped machine keeps 0.645 and 0.664 of its capacity at the two lower speeds")
def test_retention_is_hardly_a_matter_of_speed():
    """Own study of the cycle model, printed to 0.01: capacity 17/47 F at three speeds; a real unit prints 0.551 and 0.558."""
    machine = fitted("R-32", "standard", 3517.0, 1025.6)
    ours = [
        heating(machine, float(celsius(17)), n).capacity_W / heating(machine, float(celsius(47)), n).capacity_W
        for n in (0.4, 1.0, 2.0)
    ]
    assert ours == pytest.approx([0.65, 0.67, 0.69], abs=0.005)


def test_carnot_share_of_the_fixed_speed_print():
    """Own study on the print: 0.46 at 47, 0.38 at 17, 0.33 at 5 and 0.24 at -10 F, to 0.01."""
    curves = fixed_speed()
    share = dict(zip(sorted(row["outdoor_F"] for row in FS), carnot_share(curves, "max"), strict=True))
    assert [share[t] for t in (47, 17, 5, -10)] == pytest.approx([0.46, 0.38, 0.33, 0.24], abs=0.005)


def test_no_generic_class_raises_a_flag():
    """All classes of the shelf are consistent tables; a check that cries at them is no check."""
    assert [(u.name, d) for u in load_units().values() for c in (u.heating, u.cooling) for d in doubts(c)] == []


def test_a_wrong_point_raises_the_flag():
    """One rated or maximum value moved by 20 %: nearly all are seen (measured 0.986 on all classes)."""
    seen = tried = 0
    for u in load_units().values():
        for curves in (u.heating, u.cooling):
            for level in ("rated", "max"):
                for name in ("capacity_W", "power_W"):
                    for i in range(len(curves.outdoor_C)):
                        for factor in (0.8, 1.2):
                            moved = {k: v.copy() for k, v in getattr(curves, name).items()}
                            moved[level][i] *= factor
                            seen += bool(doubts(replace(curves, **{name: moved})))
                            tried += 1
    assert seen / tried >= 0.98, f"{seen} of {tried}"


def test_printed_indoor_temperature_table():
    """Service manual of a ductless unit (maker not named), section 5.5.3: factors to 20 C indoors, printed to 0.01."""
    for row in rows("indoor_temperature"):
        for indoor in (15.0, 25.0):
            q, p = indoor_factors(float(row["outdoor_C"]), indoor, 20.0)
            assert q == pytest.approx(float(row[f"capacity_{indoor:.0f}C"]) / float(row["capacity_20C"]), abs=1e-9)
            assert p == pytest.approx(float(row[f"power_{indoor:.0f}C"]) / float(row["power_20C"]), abs=1e-9)


def test_tables_of_the_cycle_model_are_its_own():
    """The shipped shape and wet-bulb tables equal the live model to their printed digits (own numbers)."""
    machine = fitted("R-32", "cold", 3516.85, 1025.6)
    base = heating(machine, float(celsius(47)), 1.27)
    for row in rows("cold_shape"):
        run = heating(machine, float(celsius(float(row["outdoor_F"]))), 1.27)
        assert run.capacity_W / base.capacity_W == pytest.approx(float(row["capacity_ratio"]), abs=5e-5)
        assert run.power_W / base.power_W == pytest.approx(float(row["power_ratio"]), abs=5e-5)
    room = fitted("R-32", "standard", 3516.85, 1025.6)
    rated = cooling(room, 35.0, 1.0)
    for dry, wet in ((70, 58), (75, 63), (80, 67), (80, 70)):
        run = cooling(room, 35.0, 1.0, float(celsius(dry)), float(celsius(wet)))
        q, p = wet_bulb_factors(float(celsius(wet)), float(celsius(67)))
        assert (run.capacity_W / rated.capacity_W, run.power_W / rated.power_W) == (
            pytest.approx(q, abs=2e-4),
            pytest.approx(p, abs=2e-4),
        )
        share = coil_share(
            rated.sensible_heat_ratio, (float(celsius(80)), float(celsius(67))), (float(celsius(dry)), float(celsius(wet))), q
        )
        assert share == pytest.approx(run.sensible_heat_ratio, abs=0.002)


def test_generic_class_against_the_live_cycle():
    """The 12 kBtu/h standard class, rated rows: within 0.5 % of the model that made it (own numbers)."""
    machine = fitted("R-32", "standard", 3516.85, 1025.6)
    unit = load_units()["G12-S-230"]
    for fahrenheit in (47, 17, 5):
        run = heating(machine, float(celsius(fahrenheit)), 1.17)
        assert capacity(unit.heating, celsius(fahrenheit), "rated").value_W[0] == pytest.approx(run.capacity_W, rel=5e-3)
        assert input_power(unit.heating, celsius(fahrenheit), "rated").value_W[0] == pytest.approx(run.power_W, rel=5e-3)


def test_cop_between_levels_beats_power_between_levels():
    """Between minimum and maximum at 47 F: straight COP near the cycle, straight power far off (own study 15 %, 39 %)."""
    machine = fitted("R-32", "standard", 3516.85, 1025.6)
    speeds, at = np.array([0.28, 0.5, 0.8, 1.1, 1.4]), float(celsius(47))
    runs = [heating(machine, at, float(n)) for n in speeds]
    ends = {level: np.array([runs[k].capacity_W]) for level, k in (("min", 0), ("max", -1))}
    powers = {level: np.array([runs[k].power_W]) for level, k in (("min", 0), ("max", -1))}
    given = {level: np.ones(1, bool) for level in ends}
    curves = Curves(
        mode="heating",
        outdoor_C=np.array([at]),
        capacity_W=ends,
        power_W=powers,
        given=given,
        power_given=given,
        lowest_C=-25.0,
        indoor_C=21.11,
    )
    loads = np.array([r.capacity_W for r in runs[1:-1]])
    real = np.array([r.power_W for r in runs[1:-1]])
    ours = power(curves, np.full(3, at), loads).power_W / real - 1.0
    line = np.interp(loads, [ends["min"][0], ends["max"][0]], [powers["min"][0], powers["max"][0]]) / real - 1.0
    assert np.abs(ours).max() < 0.5 * line.max()


def test_constant_speed_ratio_is_one_at_its_own_temperature():
    assert constant_speed_ratio(np.array([-8.0]), -8.0, "capacity") == pytest.approx(1.0)


def test_a_unit_below_its_least_output_cycles():
    """A third of its least output: COP falls by a quarter of the time it stands (definition in 206/2012 Annex I)."""
    q = {"min": np.array([1500.0]), "max": np.array([6000.0])}
    given_at = {level: np.ones(1, bool) for level in q}
    curves = Curves(
        mode="heating",
        outdoor_C=np.array([8.0]),
        capacity_W=q,
        power_W={k: v / 4.0 for k, v in q.items()},
        given=given_at,
        power_given=given_at,
        lowest_C=-25.0,
        indoor_C=21.11,
    )
    assert power(curves, 8.0, 500.0).cop[0] == pytest.approx(4.0 * (1.0 - 0.25 * (1.0 - 1.0 / 3.0)))
