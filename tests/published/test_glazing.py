"""Glass by angle, shades and shadows against print.

Sources: Fresnel and Bouguer table `window-fresnel` (own computation, the standard's inputs recalled; printed
g 0.789 and pane transmittance 0.86156 second hand, ISO 52016-1:2017); ANSI/ASHRAE 140-2020 clause 5.2 (second
hand); ASHRAE Handbook - Fundamentals (2021, SI) ch. 17 eq. 29, ch. 18 Table 30.
"""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.physics import glazing as g
from heatcalc.physics import sun, sun_day

DATA = Path(__file__).parent / "data"
CASE = json.loads((DATA / "sun_and_hand_methods.json").read_text())["window-fresnel"]
PANE = 3.175e-3 / 1.06
U_VALUE = 1 / (1 / 21.0 + 1 / 8.29 + 1 / 6.297 + 2 * PANE)


def pane(cosine):
    return g.pane_optics(cosine, 3.175, 1.526, 0.0196)


def double(cosine):
    return g.double_pane_optics(pane(cosine), pane(cosine))


def test_fresnel_table():
    printed = CASE["expected"]
    cosine = np.cos(np.radians(printed["angles"]))
    assert pane(cosine).mean(axis=0)[0] == pytest.approx(np.array(printed["T1"]), abs=1e-4)
    for own, key in zip(double(cosine), ("T2", "R2", "A_out", "A_in"), strict=True):
        assert own == pytest.approx(np.array(printed[key]), abs=1e-4)
    assert pytest.approx(printed["U"], abs=1e-4) == U_VALUE
    shgc = g.double_pane_shgc(double(cosine), U_VALUE, 21.0, 8.29, PANE)
    assert shgc == pytest.approx(np.array(printed["SHGC"]), abs=1e-4)


def test_hemispherical_means():
    printed = CASE["expected"]["hemispherical"]
    assert g.hemispherical_mean(lambda c: double(c)[0]) == pytest.approx(printed["T"], abs=1e-4)
    own = g.hemispherical_mean(lambda c: g.double_pane_shgc(double(c), U_VALUE, 21.0, 8.29, PANE))
    assert own == pytest.approx(printed["SHGC"], abs=1e-4)


def test_printed_values_of_the_standard():
    assert g.double_pane_shgc(double(1.0), U_VALUE, 21.0, 8.29, PANE) == pytest.approx(0.789, abs=0.0005)


@pytest.mark.xfail(strict=True, reason="printed 0.86156 is 2e-4 off: index and extinction are recalled")
def test_printed_pane_transmittance():
    assert pane(1.0).mean(axis=0)[0] == pytest.approx(0.86156, abs=0.5e-5)


@pytest.mark.parametrize("name", g.glazing_names())
def test_table_rows(name):
    """Fourteen rows; the row gives back its printed values, and the mean lies where the hemisphere puts it.

    The printed hemispherical value is of the true curve; straight lines between six angles leave 0.02.
    """
    row = g.glazing(name)
    cosine = np.cos(np.radians(row.angles_deg[:-1]))
    assert g.shgc_at_angle(row, cosine) == pytest.approx(np.array(row.shgc[:-1]), abs=1e-9)
    mean = g.hemispherical_mean(lambda c: g.shgc_at_angle(row, c))
    assert mean == pytest.approx(row.shgc_diffuse, abs=0.02)


def test_fourteen_rows_and_a_kind_refusal():
    assert len(g.glazing_names()) == 14
    with pytest.raises(InputError, match="did you mean"):
        g.glazing("double clear 3 mm")


def test_interpolation_is_the_handbooks():
    """ch. 18 Table 30: SHGC of the example's window by hour from its row 0.49 0.46 0.44 0.39 0.31 0.17.

    (Row recalled: memory; angles are the printed 24-hour table's.)
    """
    shgc = (0.49, 0.46, 0.44, 0.39, 0.31, 0.17, 0.0)
    row = g.Glazing("example", (*g.TABLE_ANGLES, 90.0), shgc, 0.41, 0.1, "")
    angles = [80.2, 68.7, 58.45, 50.4, 45.8, 45.5, 49.7]
    printed = np.array([0.166, 0.321, 0.398, 0.438, 0.448, 0.449, 0.441])
    # angles printed to 0.1 deg leave 0.05 x 0.014 per deg beside the half digit
    assert g.shgc_at_angle(row, np.cos(np.radians(angles))) == pytest.approx(printed, abs=0.0005 + 0.0007)


def test_inward_part_hardly_changes_with_angle():
    """The approximation behind the split: SHGC - T of the standard's double pane, 0 to 70 degrees and mean."""
    lines = [x for x in (DATA / "glass_140.csv").read_text().splitlines() if not x.startswith("#")]
    inward = {r["angle"]: float(r["shgc"]) - float(r["transmittance"]) for r in csv.DictReader(lines)}
    assert inward.pop("80") < inward["0"]
    assert all(inward["0"] - 1e-9 <= a <= inward["0"] + 0.009 for a in inward.values())


def test_drape_of_the_worked_house():
    assert g.interior_attenuation(0.68, 0.5) == pytest.approx(0.84, abs=1e-9)


def test_overhang_shadow_by_hand():
    """South wall at solar noon, 60 degrees of altitude: tan 60 x 0.5 m = 0.866 m below the overhang."""
    noon = sun.SunPosition(np.array(60.0), np.array(180.0), np.array(0.866), np.array(1367.0))
    lit = g.sunlit_fraction(noon, 180, 1.0, 1.2, overhang_m=0.5, gap_above_m=0.2)
    assert lit == pytest.approx(1 - (0.5 * np.sqrt(3) - 0.2) / 1.2)
    side = sun.SunPosition(np.array(30.0), np.array(225.0), np.array(0.5), np.array(1367.0))
    assert g.sunlit_fraction(side, 180, 1.0, 1.2, fin_m=0.3) == pytest.approx(0.7)


def test_sky_under_an_overhang_by_integration():
    """Crossed strings against the integral over the window's height of the covered half-sky."""
    depth, gap, height = 0.6, 0.2, 1.2
    z = (np.arange(20000) + 0.5) / 20000 * height
    above = height + gap - z
    covered = (1 - above / np.hypot(depth, above)) / 2
    assert g.overhang_sky_share(depth, gap, height) == pytest.approx(1 - covered.mean() / 0.5, abs=1e-6)


def test_neighbour():
    assert g.horizon_sky_share(30) == pytest.approx(0.5)


def test_colours_and_ground():
    """ch. 17 Table 8 (roof, metal) and ch. 14 (ground)."""
    words = ("white", "light", "medium", "dark")
    assert [sun_day.solar_absorptance("roof", c) for c in words] == [0.35, 0.5, 0.7, 0.9]
    assert sun_day.solar_absorptance("roof", "medium", "asphalt shingles") == 0.85
    assert sun_day.ground_reflectance() == 0.2
    with pytest.raises(InputError, match="did you mean"):
        sun_day.solar_absorptance("siding", "meduim")
