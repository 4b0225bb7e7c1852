"""Residential load factor method against the worked house of its chapter.

Source: ASHRAE Handbook - Fundamentals (2021, SI) ch. 17, worked house in Atlanta, Tables 9, 10, 12-14, 17-23.
Misprints of the text seen: Table 18 gives differences of 9 and 23.5 K, the example is calculated with 9.1 and
23.0; Table 20 prints the wall factor 7.09, Table 22 has 7.12 (right); the rows of Table 19 slipped by one
(67.2 m is the perimeter, 356.5 m2 the exposed area); the total latent load is printed 752 W, its parts sum to
1014 W; Table 9 with azimuth from south, as printed, swaps north and south of Table 10, whose column heads
stand one step off.
"""

import json
from pathlib import Path

import pytest

from heatcalc.physics import load_factor as lf
from heatcalc.physics import ventilation

CASES = json.loads((Path(__file__).parent / "data" / "sun_and_hand_methods.json").read_text())
ATLANTA = lf.Conditions(latitude_deg=35, heating_K=23.0, cooling_K=9.1, daily_range_K=9.3)
AZIMUTH = {"N": 0, "NE": 45, "E": 90, "SE": 135, "S": 180, "SW": 225, "W": 270, "NW": 315}
GLASS = {"fixed": (2.01, 0.36, 1.0), "operable": (2.21, 0.31, 0.64)}  # Table 17: U, SHGC, screen
FLOOR = 195.3

# exposure, height m, frame, area m2; printed: heating, cooling factor, heating, cooling W (Table 22)
WINDOWS = [
    ("W", 0.9, "fixed", 0.4, 46.2, 63.5, 18, 25), ("W", 0.9, "operable", 0.4, 50.8, 40.3, 20, 16),
    ("W", 1.8, "fixed", 1.1, 46.2, 98.3, 51, 108), ("W", 1.8, "operable", 1.1, 50.8, 59.5, 56, 65),
    ("W", 2.4, "fixed", 4.3, 46.2, 107.0, 199, 460),
    ("S", 1.2, "fixed", 0.7, 46.2, 65.3, 32, 46), ("S", 1.2, "operable", 0.7, 50.8, 41.3, 36, 29),
    ("E", 0.9, "fixed", 0.4, 46.2, 39.5, 18, 16), ("E", 0.9, "operable", 0.4, 50.8, 27.1, 20, 11),
    ("E", 1.2, "fixed", 2.2, 46.2, 49.1, 102, 108), ("E", 1.2, "operable", 2.2, 50.8, 32.4, 112, 71),
]
# name, printed heating factor, cooling factor, amount, printed heating W, cooling W (Table 22)
PARTS = [
    ("ceiling", 4.14, 2.08, 195.3, 809, 405), ("wall", 11.73, 7.12, 108.5, 1273, 772),
    ("garage wall", 11.73, 2.93, 35, 411, 103), ("door", 52.9, 32.09, 3.8, 201, 122),
    ("slab edge", 19.55, 0, 67.2, 1317, 0), ("slab", 0, -2.34, 195.3, 0, -457),
]
SURFACES = (
    lf.Surface("ceiling", "attic ceiling", 195.3, 0.18, 0.85), lf.Surface("wall", "sunlit wall", 108.5, 0.51),
    lf.Surface("garage wall", "shaded wall", 35, 0.51), lf.Surface("door", "sunlit wall", 3.8, 2.3),
)
SLAB = lf.Slab("slab", 195.3, 67.2, 0.21, 0.85)


def opening(exposure, height, frame, area):
    u, shgc, screen = GLASS[frame]
    shade = 1 + 0.5 * (lf.closed_shade_factor("2 low-e low-solar", "drape closed-weave light") - 1)
    overhang = 0.0 if exposure == "S" else 0.6
    name = f"{exposure} {height} {frame}"
    return lf.Opening(name, AZIMUTH[exposure], area, height, u, shgc, screen, shade, overhang)


HOUSE = [lf.surface_line(s, ATLANTA) for s in SURFACES] + list(lf.slab_lines(SLAB, ATLANTA))


@pytest.mark.parametrize(("name", "heating", "cooling", "amount", "heating_W", "cooling_W"), PARTS)
def test_opaque_factors_and_watts(name, heating, cooling, amount, heating_W, cooling_W):
    line = next(x for x in HOUSE if x.name == name)
    digits = 0.05 if name == "door" else 0.005  # printed 52.9
    assert line.amount == amount
    assert line.heating_factor == pytest.approx(heating, abs=digits + 1e-9)
    assert line.cooling_factor == pytest.approx(cooling, abs=0.005)


@pytest.mark.parametrize(("name", "heating", "cooling", "amount", "heating_W", "cooling_W"), PARTS)
def test_opaque_watts_from_printed_factors(name, heating, cooling, amount, heating_W, cooling_W):
    """Printed watts from printed factors and areas, half a last digit of each left over."""
    if name == "slab edge":
        pytest.xfail("prints 1317 W where 19.55 x 67.2 = 1314 W")
    spread = 0.5 + 0.05 * max(abs(heating), abs(cooling)) + 0.005 * amount
    assert heating * amount == pytest.approx(heating_W, abs=spread)
    assert cooling * amount == pytest.approx(cooling_W, abs=spread)


@pytest.mark.parametrize("case", CASES["RLF-windows"]["expected"],
                         ids=lambda c: f"{c['exposure']}{c['height_m']}{c['frame']}")
def test_window_shade_irradiance_and_factor(case):
    """Fshd, PXI, CF of the eleven windows (Table 21); shade rounded to two decimals as printed."""
    o = opening(case["exposure"], case["height_m"], case["frame"], 1.0)
    total, diffuse = lf.peak_irradiance(35, o.azimuth_deg)
    shaded = lf.shaded_by_overhang(lf.shade_line_factor(35, o.azimuth_deg), o.overhang_m, 0, o.height_m)
    assert shaded == pytest.approx(case["Fshd"], abs=0.005 + 1e-9)
    light = lf.exterior_irradiance(round(total), round(diffuse), round(shaded, 2), o.screen)
    assert light == pytest.approx(case["PXI"], abs=0.5 + 1e-6)
    factor = lf.window_cooling_factor(o.u_value, 9.1, 9.3, light, o.shgc, o.inside_shade,
                                      lf.fenestration_factor(o.azimuth_deg))
    assert factor == pytest.approx(case["CF"], abs=0.05)


@pytest.mark.parametrize("row", WINDOWS, ids=lambda r: f"{r[0]}{r[1]}{r[2]}")
def test_window_heating_factor_and_watts(row):
    exposure, height, frame, area, heating, cooling, heating_W, cooling_W = row
    line = lf.opening_line(opening(exposure, height, frame, area), ATLANTA)
    assert line.heating_factor == pytest.approx(heating, abs=0.05)
    assert line.heating_W == pytest.approx(heating_W, abs=0.5 + 0.05 * heating)
    assert line.cooling_W == pytest.approx(cooling_W, abs=0.5 + 0.05 * cooling)


def test_envelope_totals():
    """Table 22: 4674 and 1900 W, sums of 17 and 16 lines rounded to 1 W; the edge prints 3 W too high."""
    lines = HOUSE + [lf.opening_line(opening(*w[:4]), ATLANTA) for w in WINDOWS]
    assert sum(x.heating_W for x in lines) == pytest.approx(4674, abs=17 * 0.5 + 3)
    assert sum(x.cooling_W for x in lines) == pytest.approx(1900, abs=16 * 0.5)


def test_leakage_and_ventilation():
    """499 cm2; 36 and 17 L/s, 0.28 and 0.13 per hour; 43 L/s; 79 and 60 L/s (printed sums of whole L/s)."""
    area_cm2 = 356.5 * 1.4
    assert area_cm2 == pytest.approx(499, abs=0.5)
    printed = {"heating": (0.073, 36, 0.28), "cooling": (0.035, 17, 0.13)}
    for idf, flow, ach in printed.values():
        q = area_cm2 * idf
        assert q == pytest.approx(flow, abs=0.5 + 0.0005 * area_cm2)
        assert 3.6 * q / 468.7 == pytest.approx(ach, abs=0.005)
    balanced, unbalanced = ventilation.balanced_and_unbalanced(0.043, 0.043)
    assert pytest.approx(43, abs=0.5) == 0.15 * FLOOR + 3.5 * 4
    assert ventilation.fan_and_leak_residential(0.036, balanced, unbalanced) == pytest.approx(0.079, abs=1e-9)
    assert ventilation.fan_and_leak_residential(0.017, balanced, unbalanced) == pytest.approx(0.060, abs=1e-9)


def test_air_gains_and_totals_of_the_page():
    """Table 23: 2235 and 672 W of air, 654 W of gains, 7807 W heating, 4096 W sensible cooling.

    Computed through from U-values and areas; 0.5 % for the rounding of every line and factor on the way.
    """
    page = lf.load_factor_sum(ATLANTA, SURFACES, (SLAB,), tuple(opening(*w[:4]) for w in WINDOWS),
                              lf.AirFlow(0.079, 0.060, 0.060, 0.0050), FLOOR, 4, 0.13, 0.27)
    air = {x.name: x for x in page.lines}
    assert air["outdoor air, heating"].heating_W == pytest.approx(2235, abs=0.5)
    assert air["outdoor air, cooling"].cooling_W == pytest.approx(672, abs=0.5)
    assert page.internal_W == pytest.approx(654, abs=0.5)
    assert page.heating_W == pytest.approx(7807, rel=0.005)
    assert page.cooling_W == pytest.approx(4096, rel=0.005)


def test_subtotals_and_ducts_from_printed_lines():
    assert pytest.approx(6909, abs=0.5) == 4674 + 2235
    assert pytest.approx(3225, abs=1.0) == 1900 + 672 + 654
    assert pytest.approx(898, abs=0.5) == 6909 * 0.13
    assert pytest.approx(871, abs=0.5) == 3225 * 0.27


def test_latent_parts():
    page = lf.load_factor_sum(ATLANTA, (), (), (), lf.AirFlow(0, 0.060, 0.060, 0.0050), FLOOR, 4)
    assert page.air_latent_W == pytest.approx(903, abs=0.5)
    assert page.internal_latent_W == pytest.approx(111, abs=0.5)
    assert page.latent_W == pytest.approx(1014, abs=1)


@pytest.mark.xfail(strict=True, reason="the printed 752 W is not the sum of its printed parts, 903 + 111 W")
def test_latent_total_as_printed():
    page = lf.load_factor_sum(ATLANTA, (), (), (), lf.AirFlow(0, 0.060, 0.060, 0.0050), FLOOR, 4)
    assert page.latent_W == pytest.approx(752, abs=0.5)


@pytest.mark.xfail(strict=True, reason="the example is not calculated with Table 18's 23.5 K")
def test_heating_factor_with_the_printed_difference():
    assert pytest.approx(11.73, abs=0.005) == 0.51 * 23.5


@pytest.mark.parametrize("exposure", ["N", "NE_NW", "E_W", "SE_SW", "S", "H"])
def test_peak_irradiance_equations_give_the_table(exposure):
    """Table 9 against all 144 cells of Table 10, printed to 1 W/m2."""
    table = CASES["peak_irradiance"]
    azimuth = None if exposure == "H" else AZIMUTH[exposure.split("_")[0]]
    for i, lat in enumerate(table["lat_deg_N"]):
        total, diffuse = lf.peak_irradiance(lat, azimuth)
        assert total == pytest.approx(table[exposure]["Et"][i], abs=0.5)
        assert diffuse == pytest.approx(table[exposure]["Ed"][i], abs=0.5)
        assert total - diffuse == pytest.approx(table[exposure]["ED"][i], abs=0.5)


def test_range_of_validity():
    """Table 1 limits: the worked house is inside, a tiny house with one big west window is not."""
    ordinary = tuple(opening(*w[:4]) for w in WINDOWS)
    assert lf.out_of_range(ATLANTA, ordinary, FLOOR, 315) == ()
    tiny = (opening("W", 1.2, "fixed", 4.0), opening("S", 1.2, "fixed", 3.0))
    reasons = lf.out_of_range(ATLANTA, tiny, 18.0, 315)
    assert len(reasons) == 3 and "22%" in reasons[0] and "39%" in reasons[2]
