"""Capacity and power between and beyond printed points, corrections and plausibility against printed tables."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from heatcalc.inputs.unit import load_units
from heatcalc.physics.altitude import air_density_factor, capacity_factor, sensible_factor
from heatcalc.physics.at_site import coil_share, indoor_factors, wet_bulb_factors
from heatcalc.physics.frost import defrost_factor, has_frost_point, with_frost_point
from heatcalc.physics.heat_pump import Curves, capacity, constant_speed_ratio, input_power, power
from heatcalc.physics.machine import cooling, fitted, heating
from heatcalc.physics.plausibility import carnot_share, doubts
from heatcalc.tables import rows

CASES = json.loads((Path(__file__).parent / "data" / "heat_pump.json").read_text(encoding="utf-8"))
FS = CASES["PERF-FS-12"]  # manufacturer service manual (maker not named), p. 28, fixed speed, 18 points
BTUH_W = 1000.0 / 3412.14


def celsius(fahrenheit):
    return (np.asarray(fahrenheit, float) - 32.0) / 1.8


def fixed_speed(only=None) -> Curves:
    """The 18-point print (or some of its temperatures) as a one-level unit; 3 tons, kBtu/h and kW printed to 0.01."""
    points = sorted(zip(*(FS["inputs"][k] for k in ("T_F", "kBtuh", "kW")), strict=True))
    points = [p for p in points if only is None or p[0] in only]
    t, q, p = np.array(points, float).T
    given = {"max": np.ones(len(t), bool)}
    return Curves("heating", celsius(t), {"max": q * 1000.0 * BTUH_W}, {"max": p * 1000.0}, given, given, -40.0, 21.11)


def test_fixed_speed_cop_table():
    """All 18 printed COPs from printed capacity and power: 0.021, the worst that rounding of kW to 0.01 explains."""
    curves = fixed_speed()
    run = power(curves, curves.outdoor_C, curves.capacity_W["max"])
    printed = FS["expected"]["COP"][::-1]
    assert run.cop == pytest.approx(printed, abs=0.021)
    assert run.run_fraction == pytest.approx(1.0)


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
    """Two certified rows (second hand): 5 F from 47 and 17 F; straight +5.5/+7.1 %, cycle -8.5/-7.0 % in the study."""
    t, q = celsius([17, 47]), np.array([printed[1], printed[0]]) * BTUH_W * 1.0
    given = {"max": np.ones(2, bool)}
    curves = Curves("heating", t, {"max": q}, {"max": q / 3.0}, given, given, -25.0, 21.11)
    found = capacity(curves, celsius(5), "max")
    assert found.mark[0] == "estimated"
    assert found.low_W[0] < printed[2] * BTUH_W < found.high_W[0]
    assert found.value_W[0] == pytest.approx(printed[2] * BTUH_W, rel=0.025)  # mean of both, study: within 1.5 %
    straight = q[0] + (q[1] - q[0]) / 30.0 * -12.0
    assert straight / (printed[2] * BTUH_W) - 1.0 == pytest.approx({11000: 0.055, 9900: 0.071}[printed[2]], abs=5e-4)


def test_certified_row_arithmetic():
    """One certified row (model not named): 0.923, 0.846 and 1.24 kW at 5 F, printed to three figures."""
    given, said = CASES["PERF-12K-48"]["inputs"], CASES["PERF-12K-48"]["expected"]
    assert given["heat17"] / given["heat47"] == pytest.approx(said["ratio17_47"], abs=5e-4)
    assert given["heat5"] / given["heat47"] == pytest.approx(said["ratio5_47"], abs=5e-4)
    assert given["heat5"] * BTUH_W / given["COP5"] / 1000.0 == pytest.approx(said["P5_kW"], abs=5e-3)


def test_retention_is_hardly_a_matter_of_speed():
    """PERF-VS-13: capacity 17/47 F 0.551 at low and 0.558 at high speed (printed without frost)."""
    given = CASES["PERF-VS-13"]["inputs"]
    low, high = (given["heat17"][x] / given["heat47"][x] for x in ("low", "high"))
    assert (low, high) == (pytest.approx(0.551, abs=5e-4), pytest.approx(0.558, abs=5e-4))
    machine = fitted("R-32", "standard", 3517.0, 1025.6)
    ours = [
        heating(machine, float(celsius(17)), n).capacity_W / heating(machine, float(celsius(47)), n).capacity_W
        for n in (0.4, 1.0, 2.0)
    ]
    assert ours == pytest.approx([0.65, 0.67, 0.69], abs=0.01)  # own study, printed to 0.01


@pytest.mark.xfail(
    reason="constant-speed model keeps 0.67 of its capacity at 17 F; prints of real units say 0.55 to 0.63", strict=True
)
@pytest.mark.parametrize("printed", [0.551, 0.558, 0.628])
def test_cycle_alone_reproduces_retention_at_17F(printed):
    machine = fitted("R-32", "standard", 3517.0, 1025.6)
    ours = heating(machine, float(celsius(17)), 1.0).capacity_W / heating(machine, float(celsius(47)), 1.0).capacity_W
    assert ours == pytest.approx(printed, rel=0.03)


def test_carnot_share_of_the_fixed_speed_print():
    """Own study on the print: 0.46 at 47, 0.38 at 17, 0.33 at 5 and 0.24 at -10 F, to 0.01."""
    curves = fixed_speed()
    share = dict(zip(FS["inputs"]["T_F"][::-1], carnot_share(curves, "max"), strict=True))
    assert [share[t] for t in (47, 17, 5, -10)] == pytest.approx([0.46, 0.38, 0.33, 0.24], abs=0.01)


def test_no_generic_class_raises_a_flag():
    """All 14 classes are consistent tables; a check that cries at them is no check."""
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


def test_air_density_table():
    """R-410A split-system technical manual (maker not named), p. 60: by altitude at 70 F and by temperature, 0.001."""
    given = CASES["ALT-DENS-15"]
    feet = np.array(given["inputs"]["alt_ft"], float)
    assert air_density_factor(feet * 0.3048) == pytest.approx(given["expected"]["factor"], abs=1e-3)
    at = celsius([40, 50, 60, 70, 80, 90, 100])
    assert air_density_factor(0.0, at) == pytest.approx([1.060, 1.039, 1.019, 1.000, 0.982, 0.964, 0.946], abs=1e-3)
    at_5000 = air_density_factor(1524.0, at)
    assert at_5000 == pytest.approx([0.882, 0.864, 0.848, 0.832, 0.817, 0.802, 0.787], abs=1e-3)


def test_fan_example_at_altitude():
    """Same page, example 1: 1.5 in. and 4.0 BHP at 5000 ft become 1.248 in. and 3.328 BHP with the printed 0.832."""
    given, said = CASES["ALT-FAN-16"]["inputs"], CASES["ALT-FAN-16"]["expected"]
    factor = round(float(air_density_factor(given["alt_ft"] * 0.3048)), 3)
    assert given["SP_inwc"] * factor == pytest.approx(said["SP"], abs=5e-4)
    assert given["BHP"] * factor == pytest.approx(said["BHP"], abs=5e-4)


@pytest.mark.parametrize(
    ("route", "key"),
    [
        ("air-cooled condensing unit", "air_cooled_condensing_unit"),
        ("packaged unit, wet coil", "packaged_air_cooled_total_wetcoil"),
        ("condenser", "condenser_air_cooled"),
    ],
)
def test_altitude_capacity_table(route, key):
    """A load-calculation guide, section 4.8, Table 4-2, printed to 0.01 (its dry-coil row carries a misprint, unused)."""
    case = CASES["ALT-CAP-17"]
    ours = [capacity_factor(ft * 0.3048, route) for ft in case["inputs"]["alt_ft"]]
    assert ours == pytest.approx(case["expected"][key], abs=1e-9)


def test_altitude_sensible_row():
    """Table 4-2, wet coil: sensible 0.92 0.85 0.78 0.71 over total 0.98 0.96 0.94 0.92."""
    said = CASES["ALT-CAP-17"]["expected"]
    for k, ft in enumerate(CASES["ALT-CAP-17"]["inputs"]["alt_ft"]):
        total, sensible = said["packaged_air_cooled_total_wetcoil"][k], said["packaged_sensible_wetcoil"][k]
        assert sensible_factor(ft * 0.3048) == pytest.approx(sensible / total, abs=1e-9)


def test_defrost_table():
    """Engineering data page of a ductless product (maker not named), p. 22, 85 % humidity, printed to 0.01."""
    case = CASES["DEFROST-18"]
    assert defrost_factor(celsius(case["inputs"]["T_F"])) == pytest.approx(case["expected"]["factor"], abs=1e-9)


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
        assert run.capacity_W / base.capacity_W == pytest.approx(float(row["capacity_ratio"]), abs=2e-4)
        assert run.power_W / base.power_W == pytest.approx(float(row["power_ratio"]), abs=2e-4)
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
    curves = Curves("heating", np.array([at]), ends, powers, given, given, -25.0, 21.11)
    loads = np.array([r.capacity_W for r in runs[1:-1]])
    real = np.array([r.power_W for r in runs[1:-1]])
    ours = power(curves, np.full(3, at), loads).power_W / real - 1.0
    line = np.interp(loads, [ends["min"][0], ends["max"][0]], [powers["min"][0], powers["max"][0]]) / real - 1.0
    assert np.abs(ours).max() < 0.057
    assert line.max() > 0.15


def test_constant_speed_ratio_is_one_at_its_own_temperature():
    assert constant_speed_ratio(np.array([-8.0]), -8.0, "capacity") == pytest.approx(1.0)


def test_oversized_unit_never_modulates():
    """Trade article (illustration): 500 Btu/h room, 1,500 to 6,000 Btu/h unit: duty one third, printed to 0.001."""
    given, said = CASES["FIELD-51"]["inputs"], CASES["FIELD-51"]["expected"]
    q = {"min": np.array([given["unit_min"] * BTUH_W]), "max": np.array([given["unit_max"] * BTUH_W])}
    given_at = {level: np.ones(1, bool) for level in q}
    curves = Curves("heating", np.array([8.0]), q, {k: v / 4.0 for k, v in q.items()}, given_at, given_at, -25.0, 21.11)
    run = power(curves, 8.0, given["room_load"] * BTUH_W)
    assert run.run_fraction[0] == pytest.approx(said["duty_at_design"], abs=5e-4)
    assert run.cop[0] == pytest.approx(4.0 * (1.0 - 0.25 * (1.0 - 1.0 / 3.0)))
