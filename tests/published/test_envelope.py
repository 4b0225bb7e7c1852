"""U-values, films, air layers, framing and steel studs against print.

Each row names its source; "from memory" where the standard was not in hand.  The tolerance is half the last printed digit.
"""

import json
from pathlib import Path

import pytest

from heatcalc.inputs.assembly import load_assemblies
from heatcalc.physics.air_layers import air_layer_resistance
from heatcalc.physics.films import inside_resistance, outside_resistance, surface_resistance
from heatcalc.physics.framing import R_IP_M2K_W, steel_stud_factor
from heatcalc.physics.insulation import compressed_share
from heatcalc.physics.layers import (
    Bridge,
    Layer,
    heat_paths,
    lower_limit_resistance,
    tapered_u,
    u_value,
    upper_limit_resistance,
)

DATA = Path(__file__).parent / "data"
CATALOGUE = json.loads((DATA / "envelope_catalogue.json").read_text(encoding="utf-8"))
TABLES = json.loads((DATA / "envelope_tables.json").read_text(encoding="utf-8"))


def layer(name, thickness, conductivity, other=None, share=0.0):
    bridges = (Bridge("wood", share, thickness / other),) if other else ()
    return Layer(name, thickness, thickness / conductivity, bridges=bridges)


def ip(name, r, other=None, share=0.0):
    """A layer known by its resistance in h ft2 F/Btu, here simply used as the unit of resistance."""
    return Layer(name, 0.01, r, bridges=(Bridge("stud", share, other),) if other else ())


@pytest.mark.parametrize("case", [pytest.param(c, id=c["id"], marks=pytest.mark.xfail(reason=c["reason"], strict=True))
                                  if c["expect"] == "xfail" else pytest.param(c, id=c["id"]) for c in CATALOGUE])
def test_timber_catalogue(case):
    """Walls and roofs of a timber component catalogue (source on each row), U printed to 0.01 W/m2K."""
    layers = [layer(*row) for row in case["layers"]]
    ours = u_value(layers, case["r_inside"], case["r_outside"]).combined
    assert ours == pytest.approx(case["expected_u"], abs=0.5 * 10 ** -case["decimals"])


def test_scottish_timber_wall_path_sums():
    # Scottish Executive consultation on non-domestic guidance, Annex 6.B: paths 3.971 and 1.715 m2K/W
    # U 0.29: from memory (the page seen stops before it)
    layers = [Layer("board", 0.0125, 0.100), Layer("wool", 0.14, 3.333, bridges=(Bridge("timber", 0.095, 1.077),)),
              Layer("plywood", 0.02, 0.146), Layer("cavity", 0.05, 0.09), Layer("brick", 0.102, 0.132)]
    (clear_share, clear), (stud_share, stud) = heat_paths(layers, 0.13, 0.04)
    assert clear == pytest.approx(3.971, abs=0.0005) and stud == pytest.approx(1.715, abs=0.0005)
    assert (clear_share, stud_share) == pytest.approx((0.905, 0.095))
    assert u_value(layers, 0.13, 0.04).combined == pytest.approx(0.29, abs=0.005)


@pytest.mark.parametrize(("r", "r_printed", "u_printed", "r_digit"), [(0.59, 0.61, 1.64, 0.005), (1.52, 1.4, 0.71, 0.05)])
def test_area_weighted_battens(r, r_printed, u_printed, r_digit):
    # conserveandsave.co.uk/calculations/wall-u-values: 90 % of r, 10 % of 0.88 in parallel
    resistance = upper_limit_resistance([Layer("b", 0.05, r, bridges=(Bridge("batten", 0.1, 0.88),))], 0.0, 0.0)
    assert resistance == pytest.approx(r_printed, abs=r_digit)
    assert 1 / resistance == pytest.approx(u_printed, abs=0.005)


def test_handbook_stud_wall_by_both_classical_methods():
    # ASHRAE Handbook - Fundamentals ch. 27 wood-frame wall, from memory: paths 19.11, 10.49; U 0.063 and 0.067 Btu/h ft2 F
    layers = [ip("gypsum", 0.45), ip("batt", 13.0, 4.38, 0.25), ip("foam", 4.0), ip("siding", 0.81)]
    assert [r for _, r in heat_paths(layers, 0.68, 0.17)] == pytest.approx([19.11, 10.49], abs=0.005)
    ours = u_value(layers, 0.68, 0.17)
    assert ours.parallel_path == pytest.approx(0.063, abs=0.0005)
    assert ours.isothermal_planes == pytest.approx(0.067, abs=0.0005)


def test_inch_pound_stud_wall_combination():
    # residentialshippingcontainerprimer.com/r-value-table: 15 % of 7.12 and 85 % of 13.73 give 12.05
    assert pytest.approx(12.05, abs=0.005) == 1 / (0.15 / 7.12 + 0.85 / 13.73)


@pytest.mark.xfail(reason="the page's listed layers add to 13.43 and 6.81, not its 13.73 and 7.12: 0.30 is missing", strict=True)
def test_inch_pound_stud_wall_path_sums():
    layers = [ip("drywall", 0.45), ip("batt", 11.0, 4.38, 0.15), ip("steel wall", 0.33), ip("siding", 0.8)]
    assert [r for _, r in heat_paths(layers, 0.68, 0.17)] == pytest.approx([13.73, 7.12], abs=0.005)


@pytest.mark.parametrize(("r", "printed"), [(float(k), v) for k, v in TABLES["roof_90_1"]["rows"].items()])
def test_roof_insulation_above_deck(r, printed):
    # ANSI/ASHRAE/IES 90.1-2016 Normative Appendix A, base assembly and Table A2.2.3; films 0.17 and 0.61
    layers = [ip("insulation", r)]
    assert u_value(layers, 0.61, 0.17).combined == pytest.approx(printed, abs=0.0005)


@pytest.mark.parametrize(("r", "printed"), [(float(k), v) for k, v in TABLES["ci_90_1"]["rows"].items()])
def test_continuous_insulation_table(r, printed):
    # ANSI/ASHRAE/IESNA 90.1-2007 Table A5.2, base U printed as 0.322 (so 0.3215 to 0.3225), result to 0.001
    low, high = (1 / (1 / base + r) for base in (0.3215, 0.3225))
    assert low - 0.0005 <= printed <= high + 0.0005


@pytest.mark.parametrize(("r", "printed"), [(float(k), v) for k, v in TABLES["steel_90_1"]["rows"].items()])
def test_steel_stud_walls(r, printed):
    # 90.1 Normative Appendix A3.3, 16 in; the layer list is seen, U from memory; Fc printed to 0.01, so R_eff to 0.005 R
    factor = steel_stud_factor(r, 16)
    low, high = (u_value([ip("in", 0.56), ip("cavity", r * f), ip("out", 0.64)], 0.68, 0.17).combined
                 for f in (factor + 0.005, factor - 0.005))
    assert low - 0.0005 <= printed <= high + 0.0005


@pytest.mark.parametrize(("r", "spacing", "effective"), [(11, 16, 5.5), (11, 24, 6.6), (19, 16, 7.1), (19, 24, 8.55),
                                                      (13, 16, 6.0)])
def test_steel_stud_effective_r(r, spacing, effective):
    # a published table quoting 90.1-1989 Table 8C2 (R-13: constructionspecifier.com); factors printed to 0.01
    assert abs(steel_stud_factor(r, spacing) * r - effective) <= 0.005 * r + 0.05


def test_films():
    # ISO 6946 surface resistances, from memory (0.13 and 0.04 seen in several places); code air films, Washington State
    for direction, printed in (("up", 0.10), ("horizontal", 0.13), ("down", 0.17)):
        assert surface_resistance("inside", direction) == printed
        assert inside_resistance(direction) == pytest.approx(printed, abs=0.005)
    for direction, r_ip in (("up", 0.61), ("horizontal", 0.68), ("down", 0.92)):
        assert surface_resistance("inside", direction, "north american") / R_IP_M2K_W == pytest.approx(r_ip, abs=0.0005)


@pytest.mark.parametrize(("wind", "printed"), [(float(k), v) for k, v in TABLES["rse_by_wind"]["rows"].items()])
def test_outside_film_by_wind(wind, printed):
    # ISO 6946, from memory, printed to 0.01
    assert outside_resistance(wind) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("mm", list(TABLES["air_layers"]["rows"]))
def test_air_layers(mm):
    # ISO 6946 unventilated air layers, from memory, printed to 0.01: all 24
    for direction, printed in zip(TABLES["air_layers"]["columns"], TABLES["air_layers"]["rows"][mm], strict=True):
        assert air_layer_resistance(float(mm) / 1000, direction) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(("emittances", "up", "vertical"), [((0.9, 0.9), 0.1375, 0.1471), ((0.05, 0.9), 0.3664, 0.4437),
                                                          ((0.03, 0.03), 0.3960, 0.4879)])
@pytest.mark.xfail(reason="another method: the foil table takes 23 degC and a 5 K difference through narrow-gap convection",
                   strict=True)
def test_foil_air_spaces(emittances, up, vertical):
    # afia.com.au/air-space-r-values, 13 mm, 23 degC, 5 K difference, printed to 0.0001
    for direction, printed in (("up", up), ("horizontal", vertical)):
        assert air_layer_resistance(0.013, direction, *emittances, mean_C=23.0) == pytest.approx(printed, abs=0.00005)


@pytest.mark.parametrize(("shape", "own"), [("rectangle", 0.462098), ("thick at apex", 0.565595), ("thin at apex", 0.358601)])
def test_tapered_formulas_against_quadrature(shape, own):
    # ISO 6946 annex formulas from memory; own numerical integration over the plan, R0 1, R1 3
    from scipy.integrate import quad

    weight = {"rectangle": lambda x: 1.0, "thick at apex": lambda x: 2 * (1 - x), "thin at apex": lambda x: 2 * x}[shape]
    u, _ = quad(lambda x: weight(x) / (1.0 + 3.0 * x), 0.0, 1.0)
    assert tapered_u(1.0, 3.0, shape) == pytest.approx(u, rel=1e-9)
    assert u == pytest.approx(own, abs=5e-7)


@pytest.mark.parametrize(("thickness", "left"), [(56, 66), (66, 75), (77, 84), (40, 51), (0, 0), (100, 100)])
def test_compressed_insulation_law(thickness, left):
    # 24 CFR 3280.509(c), uniform compression, as reprinted by customsmobile.com (rows to 77 % seen)
    assert compressed_share(thickness / 100) == pytest.approx(left / 100)


NOT_THE_LAW = {("R-19", 3.5), ("R-19", 5.5), ("R-22", 3.5), ("R-25", 5.5), ("R-25", 7.25), ("R-30C", 5.5)}


@pytest.mark.parametrize(("batt", "cavity_in", "chart"), [
    pytest.param(*row, marks=[pytest.mark.xfail(reason="the maker's chart and the law's table are two sources that differ",
                                                strict=True)] if (row[0], row[1]) in NOT_THE_LAW else [])
    for row in TABLES["compressed_chart"]["rows"]])
def test_law_against_a_makers_chart(batt, cavity_in, chart):
    # one maker's chart of compressed batts, printed to R-1 (jlconline.com), against 24 CFR 3280.509(c)
    from heatcalc.tables import rows

    row = next(r for r in rows("batts") if r["name"] == batt)
    law = float(row["r_ip"]) * compressed_share(cavity_in / float(row["thickness_in"]))
    assert law == pytest.approx(chart, abs=0.5)


FLOOR = """
["floor"]
kind = "floor"
films = "north american"
layers = [
  {{ material = "carpet and rubber pad" }},
  {{ material = "plywood", thickness = "3/4 in" }},
  {{ name = "joists", framing = "{joists} joists 16 in o.c.", insulation = "{batt}", framing_fraction = "{share}" }},
]
"""


@pytest.mark.parametrize(("r", "joists", "batt"), [(11, "2x4", "R-11"), (15, "2x4", "R-15"), (19, "2x6", "R-19"),
                                                   (21, "2x6", "R-21"),
                                                   (25, "2x8", "R-25"), (30, "2x10", "R-30"), (38, "2x12", "R-38")])
@pytest.mark.xfail(reason="WAC 51-11C-61051 states no joist depth, framing share or subfloor; the shallowest joists with 12 % "
                   "framing come out 9 to 14 % below the print", strict=True)
def test_exposed_wood_joist_floors(tmp_path, r, joists, batt):
    # WAC 51-11C-61051 (2022), exposed floors, joists 16 in o.c., carpet on rubber pad; U printed to 0.001
    file = tmp_path / "floor.toml"
    file.write_text(FLOOR.format(joists=joists, batt=batt, share="12 %"), encoding="utf-8")
    ours = load_assemblies(file)["floor"].u_value_W_m2K / 5.678263
    assert ours == pytest.approx(TABLES["exposed_floor"]["rows"]["wood_joist"][str(r)], abs=0.0005)


@pytest.mark.xfail(reason="metal joists: the source gives no section; without a factor table the 1-D bench refuses them "
                   "and the 2-D solver is the way", strict=True)
def test_exposed_metal_joist_floor(tmp_path):
    file = tmp_path / "floor.toml"
    file.write_text(FLOOR.format(joists="2x6 steel", batt="R-19", share="10 %"), encoding="utf-8")
    floor = load_assemblies(file)["floor"]
    assert floor.u_value_W_m2K / 5.678263 == pytest.approx(0.11, abs=0.005)


@pytest.mark.parametrize(("r", "printed"), [(float(k), v) for k, v in TABLES["exposed_floor"]["rows"]["concrete"].items()])
def test_exposed_concrete_floor_follows_one_base(r, printed):
    # WAC 51-11C-61051; base R from the first row's rounding interval (U 0.0765 to 0.0775), each row printed to 0.001
    low, high = (1 / (1 / u - 11 + r) for u in (0.0765, 0.0775))
    assert low - 0.0005 <= printed <= high + 0.0005


def test_limits_of_the_references_are_ours():
    # own reference (regression): awrhhi08a-00 R_upper 4.8911, R_lower 4.6092
    case = next(c for c in CATALOGUE if c["id"] == "awrhhi08a-00")
    layers = [layer(*row) for row in case["layers"]]
    assert upper_limit_resistance(layers, 0.13, 0.13) == pytest.approx(4.8911, abs=5e-5)
    assert lower_limit_resistance(layers, 0.13, 0.13) == pytest.approx(4.6092, abs=5e-5)
