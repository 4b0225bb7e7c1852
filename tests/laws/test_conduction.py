"""What two-dimensional conduction must obey whatever the drawing, and a finite-element oracle."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.physics.shell.conduction import cut_resistance, solve, temperature_at, with_films
from heatcalc.physics.shell.conduction_mesh import BARE, AirSide, Edge, Grid, Region, Section, first_grid, refined

LAWS = settings(max_examples=40, derandomize=True)
CONDUCTIVITY = st.floats(-4, 5.5).map(lambda power: float(np.exp(power)))  # 0.02 to 245 W/mK


def rectangle(left, right, bottom, top, conductivity=0.0, **other):
    return Region(((left, bottom), (right, bottom), (right, top), (left, top)), conductivity, **other)


@st.composite
def sections(draw, holes=True):
    """Three by three blocks of random size and material, a room above, two airs below, sometimes a hole of air."""
    wide = [draw(st.floats(0.002, 0.3)) for _ in range(3)]
    high = [draw(st.floats(0.002, 0.3)) for _ in range(3)]
    x, y = (np.concatenate([[0.0], np.cumsum(parts)]) for parts in (wide, high))
    blocks = [rectangle(*map(float, (x[i], x[i + 1], y[j], y[j + 1])), draw(CONDUCTIVITY)) for i in range(3) for j in range(3)]
    if holes and draw(st.booleans()):
        blocks[4] = replace(blocks[4], conductivity_W_mK=0.0, air=draw(st.integers(0, 2)))
    airs = tuple(AirSide(draw(st.floats(-40, 40)), draw(st.floats(0.001, 0.5))) for _ in range(3))
    edges = (Edge("top", 0.0, float(x[3]), 0), Edge("bottom", 0.0, float(x[1]), 1), Edge("bottom", float(x[1]), float(x[3]), 2))
    return Section(tuple(blocks), airs, edges)


def on_first_grid(section):
    return solve(section, first_grid(section))


def at(section, *temperatures):
    airs = tuple(replace(air, temperature_C=t) for air, t in zip(section.airs, temperatures, strict=True))
    return on_first_grid(with_films(section, airs))


@LAWS
@given(sections())
def test_heat_in_equals_heat_out(section):
    flows = on_first_grid(section).flows_W_m
    assert abs(flows.sum()) <= 1e-8 * np.abs(flows).max() + 1e-12


@LAWS
@given(sections())
def test_reciprocity_and_closure_of_the_coupling(section):
    """One kelvin of air i sends to air j what one kelvin of j sends to i."""
    coupling = on_first_grid(section).coupling_W_mK
    size = np.abs(coupling).max()
    assert np.abs(coupling - coupling.T).max() <= 1e-8 * size
    assert np.abs(coupling.sum(axis=0)).max() <= 1e-8 * size


@LAWS
@given(sections(), st.lists(st.floats(-30, 30), min_size=3, max_size=3), st.floats(-3, 3))
def test_superposition(section, other, times):
    first = [air.temperature_C for air in section.airs]
    both = at(section, *(a + times * b for a, b in zip(first, other, strict=True)))
    apart = at(section, *first).temperature_C + times * at(section, *other).temperature_C
    assert np.nanmax(np.abs(both.temperature_C - apart)) < 1e-8


@LAWS
@given(sections())
def test_no_place_is_warmer_or_colder_than_the_airs(section):
    field, airs = on_first_grid(section), [air.temperature_C for air in section.airs]
    for found in (field.temperature_C[field.painted.solid], field.surface_C):
        assert min(airs) - 1e-9 <= found.min() and found.max() <= max(airs) + 1e-9


@LAWS
@given(sections(holes=False), st.integers(0, 8), st.floats(1.0, 1000.0))
def test_more_conductive_material_never_loses_less(section, block, times):
    """Raising one block's conductivity never lowers the flow between a warm and a cold side."""
    before = at(section, 20, 0, 0).heat_flow_W_m
    regions = list(section.regions)
    regions[block] = replace(regions[block], conductivity_W_mK=times * regions[block].conductivity_W_mK)
    assert at(replace(section, regions=tuple(regions)), 20, 0, 0).heat_flow_W_m >= before * (1 - 1e-10)


@LAWS
@given(sections())
def test_mirrored_drawing_gives_the_mirrored_field(section):
    width = section.box[2]
    regions = tuple(replace(r, corners=tuple((width - x, y) for x, y in r.corners)) for r in section.regions)
    edges = tuple(replace(e, start=width - e.end, end=width - e.start) for e in section.edges)
    own = on_first_grid(section)
    mirrored = solve(replace(section, regions=regions, edges=edges), Grid((width - own.grid.x)[::-1], own.grid.y))
    assert np.nanmax(np.abs(mirrored.temperature_C[:, ::-1] - own.temperature_C)) < 1e-8


@LAWS
@given(
    st.lists(st.tuples(st.floats(0.001, 0.3), CONDUCTIVITY), min_size=1, max_size=6), st.floats(0.0, 0.3), st.floats(0.01, 0.3)
)
def test_plain_layers_are_one_dimensional(layers, inside, outside):
    """Without bridges the flow is U l dT on any grid, and the cut at a side finds the same R."""
    level, regions = 0.0, []
    for thick, conductivity in layers:
        regions.append(rectangle(0.0, 0.4, level, level + thick, conductivity))
        level += thick
    section = Section(
        tuple(regions), (AirSide(21, inside), AirSide(-7, outside)), (Edge("top", 0.0, 0.4, 0), Edge("bottom", 0.0, 0.4, 1))
    )
    resistance = inside + outside + sum(d / k for d, k in layers)
    assert on_first_grid(section).heat_flow_W_m == pytest.approx(28 * 0.4 / resistance, rel=1e-9)
    assert cut_resistance(section, "left")[1] == pytest.approx(resistance, rel=1e-12)


def test_a_point_between_two_materials_belongs_to_both():
    """Read at the joint of two layers the temperature follows from the resistances on either side."""
    section = Section(
        (rectangle(0, 1, 0, 0.1, 0.04), rectangle(0, 1, 0.1, 0.12, 50.0)),
        (AirSide(20, 0.1), AirSide(0, 0.04)),
        (Edge("top", 0, 1, 0), Edge("bottom", 0, 1, 1)),
    )
    field, total = on_first_grid(section), 0.1 + 0.02 / 50 + 0.1 / 0.04 + 0.04
    assert temperature_at(field, 0.5, 0.1) == pytest.approx(20 - 20 * (0.1 + 0.02 / 50) / total, abs=1e-9)
    assert temperature_at(field, 0.5, 0.05) == pytest.approx(20 * (0.04 + 0.05 / 0.04) / total, abs=1e-9)
    with pytest.raises(ValueError, match="no material"):
        temperature_at(field, 0.5, 0.2)


@pytest.mark.parametrize("upright", [False, True], ids=["stacked", "side by side"])
def test_a_face_between_unequal_cells_is_read_by_their_resistances(upright):
    """Two layers in one dimension on a grid of our own: a thick cell beside a thin one, at the joint and within a layer."""
    lines, joint, total = np.array([0.0, 0.01, 0.07, 0.072, 0.12]), 0.07, 0.1 + 0.05 / 0.1 + 0.07 / 0.04 + 0.04
    lower, upper = rectangle(0, 0.5, 0, joint, 0.04), rectangle(0, 0.5, joint, 0.12, 0.1)
    if upright:
        lower, upper = (replace(r, corners=tuple((y, x) for x, y in r.corners)) for r in (lower, upper))
    warm, cold = ("right", "left") if upright else ("top", "bottom")
    section = Section((lower, upper), (AirSide(20, 0.1), AirSide(0, 0.04)), (Edge(warm, 0, 0.5, 0), Edge(cold, 0, 0.5, 1)))
    across = np.array([0.0, 0.2, 0.5])
    field = solve(section, Grid(lines, across) if upright else Grid(across, lines))
    for depth in (0.01, 0.04, joint, 0.0715, 0.072):
        passed = 0.04 + min(depth, joint) / 0.04 + max(depth - joint, 0.0) / 0.1
        at_point = (depth, 0.1) if upright else (0.1, depth)
        assert temperature_at(field, *at_point) == pytest.approx(20 * passed / total, abs=1e-9)


def test_what_is_not_drawn_carries_no_heat_like_a_drawn_void():
    """Two posts with nothing between them lose what two posts lose, whether the gap is left out or drawn as a void."""
    posts = (rectangle(0.0, 0.1, 0, 0.2, 0.12), rectangle(0.3, 0.4, 0, 0.2, 0.12))
    airs = (AirSide(20, 0.13), AirSide(0, 0.04), AirSide(-30, 0.04))
    edges = (Edge("top", 0.0, 0.4, 0), Edge("bottom", 0.0, 0.4, 1))
    expected = 2 * 0.1 * 20 / (0.13 + 0.2 / 0.12 + 0.04)
    for regions in (posts, (*posts, rectangle(0.1, 0.3, 0, 0.2, air=BARE)), (rectangle(0.1, 0.3, 0, 0.2, air=BARE), *posts)):
        assert on_first_grid(Section(regions, airs, edges)).flows_W_m[0] == pytest.approx(expected, rel=1e-9)


@LAWS
@given(st.lists(st.floats(1e-4, 0.4), min_size=1, max_size=5))
def test_the_first_grid_is_fine_at_every_edge_and_never_coarser_than_an_eighth(thick):
    """Each layer: at least two cells, even from both ends, 6 mm or less at its faces, none over an eighth of the box."""
    levels = np.append(0.0, np.cumsum(thick))
    layers = tuple(rectangle(0, 0.1, float(a), float(b), 1.0) for a, b in zip(levels, levels[1:], strict=False))
    y = first_grid(Section(layers, (AirSide(20, 0.1),), (Edge("top", 0, 0.1, 0),))).y
    for bottom, top, size in zip(levels, levels[1:], thick, strict=False):
        sizes = np.diff(y[(y > bottom - 1e-9) & (y < top + 1e-9)])
        assert sizes.sum() == pytest.approx(size) and sizes == pytest.approx(sizes[::-1])
        assert sizes.max() <= max(levels[-1], 0.1) / 8 * (1 + 1e-9) or sizes.size == 2
        assert sizes[0] <= 0.006 * (1 + 1e-9) and (sizes.size == 2) == (size <= 0.012 * (1 + 1e-9))


def test_material_that_touches_no_air_is_refused():
    section = Section(
        (rectangle(0, 1, 0, 1, air=-2), rectangle(0, 1, 0, 0.1, 1.0), rectangle(0, 1, 0.5, 0.6, 1.0)),
        (AirSide(20, 0.1),),
        (Edge("bottom", 0, 1, 0),),
    )
    with pytest.raises(ValueError, match="touches no air"):
        on_first_grid(section)


# ---- scikit-fem as an oracle ----


def by_finite_elements(section, grid):
    """Heat flow [W/m] of an all-solid section by biquadratic elements on the same grid."""
    skfem = pytest.importorskip("skfem", reason="the finite-element oracle needs scikit-fem")
    from skfem.helpers import dot, grad

    mesh = skfem.MeshQuad.init_tensor(grid.x, grid.y)
    basis = skfem.Basis(mesh, skfem.ElementQuad2())
    (_, bottom, _, top), middle = section.box, mesh.p[:, mesh.t].mean(axis=1)
    conductivity = np.zeros(mesh.nelements)
    for region in section.regions:
        (x0, y0), (x1, y1) = np.min(region.corners, axis=0), np.max(region.corners, axis=0)
        inside = (middle[0] > x0) & (middle[0] < x1) & (middle[1] > y0) & (middle[1] < y1)
        conductivity[inside] = region.conductivity_W_mK
    stiffness = skfem.BilinearForm(lambda u, v, w: w.k * dot(grad(u), grad(v))).assemble(
        basis, k=basis.with_element(skfem.ElementQuad0()).interpolate(conductivity)
    )
    load, films = np.zeros(basis.N), []
    for edge in section.edges:
        level, air = (top if edge.side == "top" else bottom), section.airs[edge.air]
        facets = mesh.facets_satisfying(lambda x, e=edge, y=level: (np.abs(x[1] - y) < 1e-9) & (x[0] > e.start) & (x[0] < e.end))
        side = skfem.FacetBasis(mesh, skfem.ElementQuad2(), facets=facets)
        stiffness = stiffness + skfem.BilinearForm(lambda u, v, w: u * v).assemble(side) / air.film_m2K_W
        weight = skfem.LinearForm(lambda v, w: v).assemble(side) / air.film_m2K_W
        load += weight * air.temperature_C
        films.append((weight, air.temperature_C))
    found = skfem.solve(stiffness, load)
    return float(sum(abs((weight * (t - found)).sum()) for weight, t in films) / 2)


def random_section(seed, decades):
    """Three by three blocks from 0.03 W/mK up by some decades; in odd draws the middle row is steel."""
    random = np.random.default_rng(seed)
    x, y = (np.append(0.0, np.cumsum(random.uniform(0.01, 0.2, 3))) for _ in range(2))
    k = 0.03 * 10 ** random.uniform(0, decades, (3, 3))
    k[:, 1] = 50.0 if seed % 2 else k[:, 1]
    blocks = [rectangle(*map(float, (x[i], x[i + 1], y[j], y[j + 1])), float(k[i, j])) for i in range(3) for j in range(3)]
    edges = (Edge("top", 0.0, float(x[3]), 0), Edge("bottom", float(x[1]), float(x[3]), 1))
    return Section(tuple(blocks), (AirSide(20, 0.13), AirSide(0, 0.04)), edges)


@pytest.mark.parametrize(("seed", "decades"), [(k, 1) for k in range(6)] + [(k, 2) for k in range(6, 9)])
def test_finite_elements_agree(seed, decades):
    """Both methods agree within what their last halvings leave open.

    Four materials of contrast c meeting in a corner converge at worst with order 2 x 4/pi atan(1/sqrt(c)) (see the
    checkerboard), so an error is at most 1/(2^order - 1) times the last change.  Elements bound the flow from above.
    """
    section = random_section(seed, decades)
    coarse = first_grid(section)
    grids = (coarse, refined(coarse), refined(refined(coarse)))
    volumes = [solve(section, grid).heat_flow_W_m for grid in grids]
    elements = [by_finite_elements(section, grid) for grid in grids[:2]]
    order = 2 * 4 / np.pi * np.arctan(10 ** (-decades / 2))
    doubt = (abs(volumes[2] - volumes[1]) + abs(elements[1] - elements[0])) / (2**order - 1)
    assert abs(volumes[2] - elements[1]) <= doubt
    assert elements[0] >= elements[1]
