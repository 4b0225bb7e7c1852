"""Two-dimensional conduction against print and exact solutions.

ISO 10211 test cases 1 and 2; closed forms for a fin with a film, a ring and a checkerboard; the metal-joist floors
of the Washington State energy code (WAC 51-11C-61051, 2022).
"""

import json
import math
from fractions import Fraction
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from heatcalc.checks.published import all_checks
from heatcalc.inputs.assembly.detail import read_detail
from heatcalc.inputs.checked import read_toml
from heatcalc.model.detail_bridge import solve_detail
from heatcalc.physics.shell.conduction import solve, solve_to_limit, temperature_at
from heatcalc.physics.shell.conduction_mesh import BARE, AirSide, Edge, Grid, Region, Section, first_grid, refined

DATA = Path(__file__).parent / "data"
CHECKS = files("heatcalc") / "checks"
WOOD = json.loads((DATA / "exposed_floors.json").read_text(encoding="utf-8"))["wood_joist"]
INCH, R_IP = 0.0254, 0.1761102


def rectangle(left, right, bottom, top, conductivity=0.0, **other):
    return Region(((left, bottom), (right, bottom), (right, top), (left, top)), conductivity, **other)


def even_grid(width, height, columns, rows):
    return Grid(np.linspace(0, width, columns + 1), np.linspace(0, height, rows + 1))


# ---- ISO 10211 case 1: half of a square column, exact series ----

COLUMN = Section(
    (rectangle(0, 0.5, 0, 1, 1.0),),
    (AirSide(20, 0), AirSide(0, 0)),
    (Edge("top", 0, 0.5, 0), Edge("left", 0, 1, 1), Edge("bottom", 0, 0.5, 1)),
)
GRID1 = [(Fraction(i, 8), Fraction(j, 8)) for j in range(7, 0, -1) for i in range(1, 5)]


def closed_form(x, y):
    """20 sum 4/(n pi) sin(n pi x) sinh(n pi y)/sinh(n pi), odd n."""
    n = np.arange(1, 200, 2) * np.pi
    ratio = np.exp(-n * (1 - y)) * (1 - np.exp(-2 * n * y)) / (1 - np.exp(-2 * n))
    return float(20 * (4 / n * np.sin(n * x) * ratio).sum())


def column_points(rows):
    field = solve(COLUMN, even_grid(0.5, 1, rows // 2, rows))
    return np.array([temperature_at(field, float(x), float(y)) for x, y in GRID1])


def test_order_of_convergence_in_smooth_material():
    """Errors at the 28 points fall with the square of the cell: measured order 1.9 to 2.0."""
    exact = np.array([closed_form(float(x), float(y)) for x, y in GRID1])
    errors = [np.abs(column_points(rows) - exact).max() for rows in (16, 32, 64, 128)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders.min() > 1.85 and orders.max() < 2.15


# ---- ISO 10211 case 2: concrete, wood, insulation and an aluminium profile ----


def case_2(share=0.002):
    return solve_detail(read_detail(read_toml(CHECKS / "iso10211_case2.toml"), "case-2", "case 2"), share)


@pytest.mark.parametrize("share", [0.01, 0.001])
def test_case_2_does_not_depend_on_the_grid(share):
    """All points within the 0.1 K that the case asks for, of the grid the checks use; it names no plain part, so no psi."""
    assert dict(case_2(share).points) == pytest.approx(dict(case_2().points), abs=0.1)
    assert case_2(share).psi_W_mK is None


def test_order_of_convergence_at_material_corners():
    """Corners between aluminium and insulation cost smoothness: heat flow converges with order 1.5 to 1.7."""
    section = read_detail(read_toml(CHECKS / "iso10211_case2.toml"), "case-2", "case 2").section
    grid, flows = first_grid(section), []
    for _ in range(5):
        flows.append(solve(section, grid).heat_flow_W_m)
        grid = refined(grid)
    steps = np.diff(flows)
    assert (np.log2(steps[:-1] / steps[1:]) > 1.0).all()
    assert 9.45 < flows[-1] + steps[-1] < 9.55  # the limit still prints as 9.5


# ---- exact solutions ----


def fin_flow(width, height, conductivity, film, warm):
    """Heat into the foot of a half fin cooled through a film on its flank (separation of variables), W/m."""
    biot = width / conductivity / film
    roots = [brentq(lambda v: v * math.tan(v) - biot, n * math.pi + 1e-12, n * math.pi + math.pi / 2 - 1e-9) for n in range(4000)]
    v = np.array(roots)
    share = 2 * np.sin(v) ** 2 / (v * (v + np.sin(v) * np.cos(v)))
    return conductivity * warm * float((share * v * np.tanh(v * height / width)).sum())


def test_fin_with_a_film_exact_series():
    """k T_xx + k T_yy = 0, T = 20 at the foot, k dT/dx = -T/film on the flank, adiabatic elsewhere."""
    section = Section(
        (rectangle(0, 0.05, 0, 0.2, 0.5),),
        (AirSide(20, 0), AirSide(0, 0.13)),
        (Edge("bottom", 0, 0.05, 0), Edge("right", 0, 0.2, 1)),
    )
    found = [solve(section, even_grid(0.05, 0.2, n, 4 * n)).heat_flow_W_m for n in (20, 40, 80)]
    exact = fin_flow(0.05, 0.2, 0.5, 0.13, 20.0)
    errors = np.abs(np.array(found) / exact - 1)
    assert errors[-1] < 1e-4 and (errors[:-1] / errors[1:] > 3).all()


@pytest.mark.parametrize("ratio", [3.0, 4.0, 10.0])
def test_checkerboard_conducts_with_the_geometric_mean(ratio):
    """sqrt(k1 k2), exact: J. B. Keller, J. Math. Phys. 5 (1964) 548.

    The corner where four squares meet sets the order of convergence: twice its exponent 4/pi atan(sqrt(k1/k2)).
    """
    section = Section(
        (rectangle(0, 1, 0, 1, 1.0), rectangle(0, 0.5, 0.5, 1, ratio), rectangle(0.5, 1, 0, 0.5, ratio)),
        (AirSide(1, 0), AirSide(0, 0)),
        (Edge("top", 0, 1, 0), Edge("bottom", 0, 1, 1)),
    )
    flows = [solve(section, even_grid(1, 1, n, n)).heat_flow_W_m for n in (32, 64, 128)]
    errors = np.abs(np.array(flows) / math.sqrt(ratio) - 1)
    theory = 8 / math.pi * math.atan(1 / math.sqrt(ratio))
    assert np.log2(errors[:-1] / errors[1:]) == pytest.approx([theory] * 2, abs=0.02)
    assert errors[-1] < 0.02


def ring(radius, sides=96, **what):
    turn = 2 * np.pi * np.arange(sides) / sides
    return Region(tuple((radius * math.cos(t), radius * math.sin(t)) for t in turn), **what)


def test_ring_between_two_airs():
    """Q = 2 pi dT / (R_i/r_i + ln(r_o/r_i)/k + R_o/r_o): slopes in every direction, as polygons."""
    section = Section(
        (rectangle(-0.25, 0.25, -0.25, 0.25, air=1), ring(0.2, conductivity_W_mK=0.1), ring(0.1, air=0)),
        (AirSide(20, 0.13), AirSide(0, 0.04)),
    )
    exact = 20 * 2 * math.pi / (0.13 / 0.1 + math.log(2) / 0.1 + 0.04 / 0.2)
    grid = first_grid(section)
    errors = []
    for _ in range(2):
        errors.append(abs(solve(section, grid).heat_flow_W_m / exact - 1))
        grid = refined(grid)
    assert errors[1] < 0.6 * errors[0] and errors[1] < 0.001


@pytest.mark.parametrize("rise", [0.25, 0.5, 1.0])
def test_sloping_layers_match_the_plain_roof(rise):
    """A pine, batt and OSB roof cut square to its slope carries U l dT; the staircase gives it within its 0.2 % limit."""
    cosine, layers = 1 / math.hypot(1, rise), [(0.375, 0.12), (5.5, 0.04), (0.4375, 0.13)]

    def place(along, up):
        return ((along - up * rise) * cosine * INCH, (along * rise + up) * cosine * INCH)

    def band(low, high, **what):
        return Region((place(0, low), place(24, low), place(24, high), place(0, high)), **what)

    total = sum(t for t, _ in layers)
    tops = np.cumsum([t for t, _ in layers])
    box = rectangle(-0.25, 0.75, -0.1, 0.75, air=BARE)
    section = Section(
        (
            box,
            band(-1.5, 0.1, air=0),
            band(total - 0.1, total + 1.5, air=1),
            *(band(top - t, top, conductivity_W_mK=k) for top, (t, k) in zip(tops, layers, strict=True)),
        ),
        (AirSide(20, 0.10), AirSide(0, 0.04)),
    )
    exact = 20 * 24 * INCH / (0.14 + sum(t * INCH / k for t, k in layers))
    assert solve_to_limit(section, 0.002).field.heat_flow_W_m == pytest.approx(exact, rel=0.002)


# ---- metal-joist floors ----


def steel_floor(r_ip, depth_in, thick_in, flange_in, spacing_in):
    """U [Btu/h ft2 F] of a floor on steel channels, carpet on pad (R-1.23), films 0.92 and 0.17, by 2-D coupling."""
    half, top = spacing_in / 2 * INCH, depth_in * INCH
    t, f = thick_in * INCH, flange_in / 2 * INCH
    pad, ply = 0.0127, 0.01905
    section = Section(
        (
            rectangle(-half, half, 0, top, top / (r_ip * R_IP)),
            rectangle(-half, half, top, top + ply, 0.1154),
            rectangle(-half, half, top + ply, top + ply + pad, pad / (1.23 * R_IP)),
            rectangle(-f, f, 0, t, 50.0),
            rectangle(-f, f, top - t, top, 50.0),
            rectangle(-f, -f + t, 0, top, 50.0),
        ),
        (AirSide(20, 0.92 * R_IP), AirSide(0, 0.17 * R_IP)),
        (Edge("top", -half, half, 0), Edge("bottom", -half, half, 1)),
    )
    return solve_to_limit(section, 0.002).field.heat_flow_W_m / 20 / (2 * half) * R_IP


METAL = {c.inputs["r_ip"]: c for c in all_checks() if c.evaluator == "metal_joist_floor"}


@pytest.mark.parametrize("r", list(METAL))
def test_metal_joist_table_in_size(r):
    """The computed floor lies between the printed wood- and metal-joist floors."""
    own = steel_floor(r, METAL[r].inputs["depth_in"], 0.054, 1.625, 16)
    assert WOOD[str(r)] < own < float(METAL[r].printed) + 0.005


def test_steel_trailer_floor_stands_by_the_metal_joists():
    """3 in foam (R-15) between 3/16 in channels 16 in apart: 0.105 against 0.12 metal and 0.076 wood joists."""
    own = steel_floor(15.0, 3.0, 0.1875, 1.5, 16)
    assert abs(own - float(METAL[15].printed)) < abs(own - WOOD["15"])
