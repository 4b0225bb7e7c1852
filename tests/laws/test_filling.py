"""A table filled from the spread of the classes: printed values stay, physics holds, the band is honest with classes left out."""

from dataclasses import replace

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.unit.unit_file import load_units, read_unit
from heatcalc.physics.unit.heat_pump import capacity, input_power, rule
from heatcalc.physics.unit.outdoor_unit import has_frost_point
from heatcalc.physics.unit.plausibility import carnot_share, filled, given_points

UNITS = load_units()
BOTH, CAPACITY = "capacity and power", "capacity"
PRINTS = {  # (level, F) printed, as makers print them
    "heating": [
        {("rated", 47): BOTH, ("rated", 17): BOTH, ("max", 5): BOTH},
        {("rated", 47): BOTH, ("max", 17): BOTH, ("max", 5): BOTH},
        {("min", 47): BOTH, ("rated", 47): BOTH, ("max", 47): BOTH, ("rated", 17): BOTH, ("max", 17): BOTH, ("max", 5): BOTH},
        {("rated", 47): BOTH, ("max", 47): CAPACITY, ("max", 17): CAPACITY, ("max", 5): CAPACITY},
        {("min", 47): CAPACITY, ("rated", 47): BOTH, ("max", 47): CAPACITY, ("max", 17): BOTH},
    ],
    "cooling": [
        {("rated", 95): BOTH},
        {("min", 95): BOTH, ("rated", 95): BOTH, ("max", 95): BOTH},
        {("rated", 95): BOTH, ("rated", 82): BOTH, ("max", 115): BOTH},
        {("min", 95): CAPACITY, ("rated", 95): BOTH, ("max", 95): CAPACITY, ("rated", 82): CAPACITY},
    ],
}
OTHERS = {"of other sizes": lambda own, name: own[1:3] != name[1:3], "of other kinds": lambda own, name: own[4] != name[4]}


def with_holes(curves, printed):
    """The curves with what is printed alone; levels without any printed point left out."""
    levels = [k for k in curves.levels if any(level == k for level, _ in printed)]
    at = np.round(curves.outdoor_C * 1.8 + 32.0)
    tables = []
    for name, wanted in (("capacity_W", (BOTH, CAPACITY)), ("power_W", (BOTH,))):
        rows = {}
        for k in levels:
            seen = np.array([printed.get((k, int(t))) in wanted for t in at])
            rows[k] = np.where(seen, getattr(curves, name)[k], np.nan)
        tables.append(rows)
    return replace(curves, capacity_W=tables[0], power_W=tables[1])


def leave_out(mode, which):
    """Log error and half-width of the band for every hole, each class filled from the others alone; capacity, power."""
    found = {"capacity": [], "power": []}
    for own, unit in UNITS.items():
        others = [getattr(u, mode) for name, u in UNITS.items() if OTHERS[which](own, name)]
        whole = getattr(unit, mode)
        for printed in PRINTS[mode]:
            holes = with_holes(whole, printed)
            out = filled(others, holes)
            for quantity, now, band, was in (
                ("capacity", out.capacity_W, out.capacity_spread, whole.capacity_W),
                ("power", out.power_W, out.power_spread, whole.power_W),
            ):
                for k in holes.levels:
                    hole = band[k] > 0.0
                    found[quantity] += list(zip(np.log(now[k] / was[k])[hole], band[k][hole], strict=True))
    return {quantity: np.array(pairs) for quantity, pairs in found.items()}


@pytest.mark.parametrize("mode", ["heating", "cooling"])
@pytest.mark.parametrize("which", OTHERS)
def test_the_band_holds_the_truth_when_classes_are_left_out(mode, which):
    """Every class filled from those of other sizes alone (its twin on another voltage left out too), then from the other
    kinds alone (a cold class from standard and deep-cold ones): at least 95 % within the band; own classes, own number."""
    errors = np.concatenate(list(leave_out(mode, which).values()))
    inside = np.abs(errors[:, 0]) <= errors[:, 1]
    assert len(errors) > 500
    assert inside.mean() >= 0.95, f"{inside.mean():.3f} of {len(errors)}, rms {np.sqrt((errors[:, 0] ** 2).mean()):.3f}"
    assert np.median(errors[:, 1]) < 0.20  # a band that says something


@pytest.mark.parametrize("mode", ["heating", "cooling"])
def test_physics_holds_after_filling(mode):
    """Levels in order, COP falls with the lift on dry nodes where neither end is printed, no input beyond the Carnot share."""
    for unit in UNITS.values():
        whole = getattr(unit, mode)
        for printed in PRINTS[mode]:
            out = filled([getattr(u, mode) for u in UNITS.values()], with_holes(whole, printed))
            levels = list(out.capacity_W)
            for table in (out.capacity_W, out.power_W):
                assert all(np.all(table[a] <= table[b] * (1 + 1e-9)) for a, b in zip(levels, levels[1:], strict=False))
            dry = np.array([mode == "cooling" or not has_frost_point([t]) for t in whole.outdoor_C])
            for k in levels:
                cop = (out.capacity_W[k] / out.power_W[k])[dry][:: 1 if mode == "heating" else -1]
                assert np.all(np.diff(cop) >= -2e-3 * cop[1:]), (unit.name, k, cop)
                assert np.all(out.power_W[k] > 0.0)
                full = replace(whole, capacity_W=out.capacity_W, power_W=out.power_W)
                hole = out.power_spread[k] > 0.0
                assert np.all(carnot_share(full, k)[hole] <= rule("carnot_high") * 1.0001)


def test_printed_points_stay_and_have_no_band():
    whole = UNITS["G12-C-230"].heating
    out = filled([u.heating for u in UNITS.values()], with_holes(whole, PRINTS["heating"][2]))
    for (level, at), _ in PRINTS["heating"][2].items():
        k = int(np.abs(whole.outdoor_C * 1.8 + 32.0 - at).argmin())
        assert out.capacity_W[level][k] == whole.capacity_W[level][k] and out.power_W[level][k] == whole.power_W[level][k]
        assert out.capacity_spread[level][k] == out.power_spread[level][k] == 0.0


def test_conditioning_is_the_textbook_two_by_two():
    """x2 given x1: mean m2 + r s2/s1 (x1 - m1), variance s2^2 (1 - r^2); textbook, exact."""
    m, s1, s2, r = np.array([1.0, -2.0]), 0.5, 2.0, 0.6
    covariance = np.array([[s1**2, r * s1 * s2], [r * s1 * s2, s2**2]])
    mean, left = given_points(m, covariance, np.array([1.7, np.nan]))
    assert mean == pytest.approx([1.7, -2.0 + r * s2 / s1 * 0.7], abs=1e-7)
    assert left[1, 1] == pytest.approx(s2**2 * (1 - r**2), rel=1e-7)


def test_three_printed_points_have_a_cop_that_falls(tmp_path):
    """Rated at 47 F, maximum at 17 and 5 F: the rated COP at 5 F is not that of 47 F, and rated stays below maximum."""
    file = tmp_path / "three.csv"
    file.write_text(
        "name,Three\nsize,12 kBtu/h\nvoltage,230 V\nmca,10 A\nmop,15 A\nrefrigerant,R-32\ncharge,1 kg\nlowest_heating,-13 F\n"
        "source,invented for a test\n\nmode,outdoor_F,level,capacity_Btuh,power_W\nheating,47,rated,13800,1065\n"
        "heating,17,max,13800,1600\nheating,5,max,11600,1440\ncooling,95,rated,12000,985\n"
    )
    unit = read_unit(file)
    at = (np.array([47.0, 5.0]) - 32.0) / 1.8
    rated, most = (capacity(unit.heating, at, level) for level in ("rated", "max"))
    cop = rated.value_W / input_power(unit.heating, at, "rated").value_W
    assert cop[0] == pytest.approx(3.80, abs=0.005) and 2.5 < cop[1] < 3.1
    assert np.all(rated.value_W < most.value_W) and rated.high_W[1] > 1.03 * rated.value_W[1]


def test_a_table_without_any_power_is_asked_about(tmp_path):
    file = tmp_path / "no_power.csv"
    file.write_text(
        "name,None\nsize,12 kBtu/h\nvoltage,230 V\nmca,10 A\nmop,15 A\nrefrigerant,R-32\ncharge,1 kg\nlowest_heating,5 F\n"
        "source,invented for a test\n\nmode,outdoor_F,level,capacity_Btuh\nheating,47,rated,13800\nheating,17,max,13800\n"
        "cooling,95,rated,12000\n"
    )
    with pytest.raises(InputError, match="no point has power or COP"):
        read_unit(file)
