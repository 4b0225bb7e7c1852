"""Moisture, periodic heat flow, ground and whole windows against print and against a second way of computing."""

import math

import numpy as np
import pytest

from heatcalc.checks.published import all_checks
from heatcalc.physics.shell.dynamics import characteristics
from heatcalc.physics.shell.glazing import default_whole_shgc, default_whole_u, simple_window_u, whole_window_u
from heatcalc.physics.shell.ground import characteristic_dimension, equivalent_thickness, slab_u, underfloor_exchange
from heatcalc.physics.shell.vapour import class_excess, retarder_class, saturation_pressure, saturation_temperature

WALLS = {c.inputs["construction"]: c.inputs["layers"] for c in all_checks() if c.evaluator == "periodic"}


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


@pytest.mark.parametrize("name", WALLS)
def test_periodic_matrix_against_a_discretised_wall(name):
    """Two independent ways: the discretised wall's error falls with the square of the cell, so a third of its last change."""
    r = [d / k for d, k, _, _ in WALLS[name]]
    c = [d * rho * heat for d, _, rho, heat in WALLS[name]]
    ours = characteristics(r, c, 0.13, 0.04)
    (y11, y12, kappa), (y11_before, y12_before, kappa_before) = (discretised(r, c, 0.13, 0.04, n) for n in (400, 200))
    assert abs(ours.admittance_inside - abs(y11)) < abs(abs(y11) - abs(y11_before))
    assert abs(ours.periodic_transmittance - abs(y12)) < abs(abs(y12) - abs(y12_before))
    assert abs(ours.heat_capacity_inside - kappa) < abs(kappa - kappa_before)


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


@pytest.mark.parametrize(("glass", "frame", "psi"), [(1.1, 1.4, 0.08), (1.1, 1.3, 0.06)])
def test_whole_window(glass, frame, psi):
    # ISO 10077-1, 1.23 x 1.48 m, frame 109 mm: areas by hand to 1e-4 m2, the edge to 1e-3 m
    assert whole_window_u(1.2771, glass, 0.5433, frame, 4.548, psi) == pytest.approx(
        simple_window_u(1.23, 1.48, 0.109, glass, frame, psi), abs=1e-4
    )


def test_window_default_lines():
    # California Reference Appendix NA6.2: U = 0.202 + 0.867 Uc (Btu/h ft2 F), SHGC = 0.08 + 0.86 SHGCc; numbers own
    assert default_whole_u(0.30 * 5.678263, "nonmetal") / 5.678263 == pytest.approx(0.4621, abs=5e-5)
    assert default_whole_shgc(0.76) == pytest.approx(0.7336, abs=5e-5)


def test_the_glass_edge_is_the_weak_point_of_a_window():
    """U_g + psi/b (ISO 10077-1 psi, from memory): double low-e with a 0.08 W/mK edge, band 63.5 mm: 1.1 + 1.26 = 2.36 W/m2K."""
    from heatcalc.inputs.assembly.assembly_file import load_assemblies
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.model.indoor_air import air_by_class
    from heatcalc.model.moisture import moisture
    from heatcalc.physics.shell.glazing import edge_of_glass_u

    assert edge_of_glass_u(1.1, 0.08) == pytest.approx(2.36, abs=0.005)
    air = air_by_class(find_place("Duluth, MN"), 20.0, 3)
    for name in ("Hearth window", "Single aluminium window"):
        found = moisture(load_assemblies()[name], air)
        assert found.weakest.name == "glass edge" and 0.0 <= found.weakest.temperature_factor < found.spots[0].temperature_factor
