"""Moisture, periodic heat flow, ground and whole windows against print and against a second way of computing."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics.dynamics import characteristics
from heatcalc.physics.ground import characteristic_dimension, equivalent_thickness, slab_on_ground_u, slab_u, underfloor_exchange
from heatcalc.physics.vapour import (
    class_excess,
    lowest_safe_surface,
    needed_temperature_factor,
    retarder_class,
    saturation_pressure,
    saturation_temperature,
)
from heatcalc.physics.whole_window import default_whole_shgc, default_whole_u, simple_window_u, whole_window_u

TABLES = json.loads((Path(__file__).parent / "data" / "envelope_tables.json").read_text(encoding="utf-8"))


def test_vapour_pressures_of_the_block_climate():
    # wissenwiki.de, block climate of DIN 4108-3: 20 degC 50 % 1168 Pa, -5 degC 80 % 321 Pa; printed to 1 Pa
    # 1168.5 against 1168: the page cuts, so one unit of the last digit
    assert 0.5 * saturation_pressure(20.0) == pytest.approx(1168, abs=1.0)
    assert 0.8 * saturation_pressure(-5.0) == pytest.approx(321, abs=0.5)


@pytest.mark.parametrize(("t", "printed"), [(-20, 103.5), (-19, 113.9), (-18, 125.2)])
@pytest.mark.xfail(reason="224-eng.pages.dev Table 23 uses another formula, 0.8 Pa higher; ISO 13788's is kept", strict=True)
def test_another_saturation_table(t, printed):
    assert saturation_pressure(t) == pytest.approx(printed, abs=0.05)


def test_mould_limit():
    # ISO 13788 / DIN 4108-2: 20 degC, 50 %, -5 degC outside, 80 % at the surface: 12.6 degC and 0.70, from memory
    vapour = 0.5 * saturation_pressure(20.0)
    assert lowest_safe_surface(vapour) == pytest.approx(12.6, abs=0.05)
    assert needed_temperature_factor(vapour, -5.0, 20.0) == pytest.approx(0.70, abs=0.0051)


def test_saturation_inverse():
    for t in np.linspace(-30, 40, 71):
        assert saturation_temperature(float(saturation_pressure(t))) == pytest.approx(t, abs=1e-9)


@pytest.mark.parametrize(("perms", "printed"), [(0.05, "I"), (0.5, "II"), (5.0, "III"), (35.0, "none")])
def test_retarder_classes(perms, printed):
    # 2021 IRC R702.7: I to 0.1, II to 1, III to 10 perm
    assert retarder_class(2.0e-10 / (perms * 5.721e-11)) == printed


def test_humidity_class_line():
    # ISO 13788 class 3, from memory: 810 Pa up to 0 degC, none at 20 degC, straight between
    assert [class_excess(t, 810.0) for t in (-10, 0, 10, 20, 30)] == pytest.approx([810, 810, 405, 0, 0])


@pytest.mark.parametrize("case", TABLES["dynamics"], ids=lambda c: c["id"])
def test_periodic_matrix_against_own_reference(case):
    # OWN reference numbers, printed to 3 to 4 digits; layer data of the second from memory of ISO 13786 annex D
    r = [d / k for d, k, _, _ in case["layers"]]
    c = [d * rho * heat for d, _, rho, heat in case["layers"]]
    ours = characteristics(r, c, 0.13, 0.04)
    want = case["expected"]
    assert ours.u_value == pytest.approx(want["U"], abs=5e-5)
    assert ours.periodic_transmittance == pytest.approx(want["Yie"], abs=5e-5)
    assert ours.decrement_factor == pytest.approx(want["f"], abs=5e-5)
    assert ours.time_lag_h == pytest.approx(case["lag_h"], abs=5e-4)
    assert ours.admittance_inside == pytest.approx(want["Y11"], abs=5e-4)
    assert ours.admittance_outside == pytest.approx(want["Y22"], abs=5e-4)
    assert ours.heat_capacity_inside / 1000 == pytest.approx(want["k1"], abs=5e-3)
    assert ours.heat_capacity_outside / 1000 == pytest.approx(want["k2"], abs=5e-3)


def discretised(r, c, r_inside, r_outside, cells=400, period=86400.0):
    """(Y11, Y12, kappa_1): the layers cut into cells, the complex nodal balance solved for one kelvin at each side."""
    pieces_r = np.concatenate([np.full(cells, x / cells) for x in r])
    pieces_c = np.concatenate([np.full(cells, x / cells) for x in c])
    link = np.concatenate([[r_inside + pieces_r[0] / 2], (pieces_r[1:] + pieces_r[:-1]) / 2, [pieces_r[-1] / 2 + r_outside]])
    g = 1.0 / link
    n = len(pieces_c)
    matrix = np.diag(g[:-1] + g[1:] + 2j * math.pi / period * pieces_c).astype(complex)
    matrix[np.arange(n - 1), np.arange(1, n)] = matrix[np.arange(1, n), np.arange(n - 1)] = -g[1:-1]
    inside, outside = np.zeros(n, complex), np.zeros(n, complex)
    inside[0], outside[-1] = g[0], g[-1]
    y11 = g[0] * (1.0 - np.linalg.solve(matrix, inside)[0])
    y12 = -g[0] * np.linalg.solve(matrix, outside)[0]
    return y11, y12, period / (2 * math.pi) * abs(y11 + y12)


@pytest.mark.parametrize("case", TABLES["dynamics"], ids=lambda c: c["id"])
def test_periodic_matrix_against_a_discretised_wall(case):
    """Two independent ways; 400 cells a layer leave under 1e-4."""
    r = [d / k for d, k, _, _ in case["layers"]]
    c = [d * rho * heat for d, _, rho, heat in case["layers"]]
    ours = characteristics(r, c, 0.13, 0.04)
    y11, y12, kappa = discretised(r, c, 0.13, 0.04)
    assert ours.admittance_inside == pytest.approx(abs(y11), rel=1e-4)
    assert ours.periodic_transmittance == pytest.approx(abs(y12), rel=1e-4)
    assert ours.heat_capacity_inside == pytest.approx(kappa, rel=1e-4)


@pytest.mark.parametrize(("ratio", "printed"), [(float(k), v) for k, v in TABLES["ground_pa"]["rows"].items()])
def test_slab_on_ground_table(ratio, printed):
    # ISO 13370 uninsulated solid floor on clay, table by P/A as in Approved Document L, from memory; printed to 0.01
    # 0.30 (0.495) and 0.75 (0.895) lie on the rounding edge, so the half digit is closed
    assert slab_on_ground_u(0.0, 1.0, ratio) == pytest.approx(printed, abs=0.00505)


def test_worked_plan():
    # briangwilliams.us solid ground floor over clay: P 33.8 m, A 58.89 m2, P/A 0.57 as printed
    assert pytest.approx(0.57, abs=0.005) == 33.8 / 58.89
    assert slab_u(characteristic_dimension(58.89, 33.8), equivalent_thickness(0.0)) == pytest.approx(0.761, abs=5e-4)  # own


def test_space_under_a_trailer_by_hand():
    """OWN arithmetic of the ISO 13370 terms: 2.4 x 7.2 m, B' = 17.28/9.6 = 1.8 m; skirt 0.6 m of U 3.0, vents 0.0015 m2/m, 5 m/s.

    U_x = 2 x 0.6 x 3.0/1.8 + 1450 x 0.0015 x 5 x 0.05/1.8 = 2.0 + 0.302; d_g = 0.3 + 1.5 x 0.21 = 0.615 m,
    U_g = 3.0/(pi 1.8 + 0.615) x ln(pi 1.8/0.615 + 1) = 1.1 (natural logarithm); U = 1/(1/0.25 + 1/(U_g + U_x)).
    """
    size = characteristic_dimension(17.28, 19.2)
    exchange = underfloor_exchange(size, 0.6, 3.0, 0.0015, 5.0, "average")
    assert size == pytest.approx(1.8) and exchange == pytest.approx(2.302, abs=5e-4)
    to_ground = slab_u(size, equivalent_thickness(0.0))
    assert to_ground == pytest.approx(3.0 / 6.2699 * math.log(5.65487 / 0.615 + 1.0), abs=5e-4)
    assert 1.0 / (1.0 / 0.25 + 1.0 / (to_ground + exchange)) == pytest.approx(0.2329, abs=5e-5)


@pytest.mark.parametrize(("glass", "frame", "psi", "printed"), [(1.1, 1.4, 0.08, 1.4), (1.1, 1.3, 0.06, 1.3)])
def test_whole_window(glass, frame, psi, printed):
    # ISO 10077-1, 1.23 x 1.48 m, frame 109 mm (chosen for about 30 % frame); roundings from memory
    assert simple_window_u(1.23, 1.48, 0.109, glass, frame, psi) == pytest.approx(printed, abs=0.05)
    assert whole_window_u(1.2771, glass, 0.5433, frame, 4.548, psi) == pytest.approx(
        simple_window_u(1.23, 1.48, 0.109, glass, frame, psi), abs=1e-4)


def test_window_default_lines():
    # California Reference Appendix NA6.2: U = 0.202 + 0.867 Uc (Btu/h ft2 F), SHGC = 0.08 + 0.86 SHGCc; numbers own
    assert default_whole_u(0.30 * 5.678263, "nonmetal") / 5.678263 == pytest.approx(0.4621, abs=5e-5)
    assert default_whole_shgc(0.76) == pytest.approx(0.7336, abs=5e-5)


def test_the_glass_edge_is_the_weak_point_of_a_window():
    """U_g + psi/b (ISO 10077-1 psi, from memory): double low-e with a 0.08 W/mK edge, band 63.5 mm: 1.1 + 1.26 = 2.36 W/m2K."""
    from heatcalc.answers.indoor_air import air_by_class
    from heatcalc.answers.moisture import moisture
    from heatcalc.inputs.assembly import load_assemblies
    from heatcalc.inputs.place import find_place
    from heatcalc.physics.whole_window import edge_of_glass_u

    assert edge_of_glass_u(1.1, 0.08) == pytest.approx(2.36, abs=0.005)
    air = air_by_class(find_place("Duluth, MN"), 20.0, 3)
    for name in ("Hearth window", "Single aluminium window"):
        found = moisture(load_assemblies()[name], air)
        assert found.weakest.name == "glass edge" and 0.0 <= found.weakest.temperature_factor < found.spots[0].temperature_factor
