"""Glass by angle, shades and shadows against print.

Sources: ANSI/ASHRAE 140-2020 clause 5.2 (second hand); ASHRAE Handbook - Fundamentals (2021, SI) ch. 14, ch. 17.  Fresnel's
table and the interpolation by hour are in heatcalc/checks/sun.json.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.model.parts import absorptance
from heatcalc.physics.shell import glazing as g
from heatcalc.physics.sun import sun, sun_day

DATA = Path(__file__).parent / "data"


def bend(row):
    """The most that straight lines may miss in the mean over the hemisphere: h2/8 x second difference, weighted by sin2."""
    x, f = np.radians(row.angles_deg), np.array(row.shgc)
    slope = np.diff(f) / np.diff(x)
    second = np.abs(np.diff(slope) / (0.5 * (x[2:] - x[:-2])))
    either = np.maximum(np.append(second, second[-1]), np.insert(second, 0, second[0]))
    return float(np.sum(np.diff(np.sin(x) ** 2) * np.diff(x) ** 2 / 8 * either))


@pytest.mark.parametrize("name", g.glazing_names())
def test_table_rows(name):
    """Fourteen rows; the row gives back its printed values, and the mean lies where the hemisphere puts it.

    The printed mean is of the true curve: straight lines leave h2/8 of its bend between angles, taken from the row itself.
    """
    row = g.glazing(name)
    cosine = np.cos(np.radians(row.angles_deg[:-1]))
    assert g.shgc_at_angle(row, cosine) == pytest.approx(np.array(row.shgc[:-1]), abs=1e-9)
    mean = g.hemispherical_mean(lambda c: g.shgc_at_angle(row, c))
    assert mean == pytest.approx(row.shgc_diffuse, abs=0.005 + bend(row))


def test_fourteen_rows_and_a_kind_refusal():
    assert len(g.glazing_names()) == 14
    with pytest.raises(InputError, match="did you mean"):
        g.glazing("double clear 3 mm")


def test_inward_part_hardly_changes_with_angle():
    """The approximation behind the split: SHGC - T of the standard's double pane, 0 to 70 degrees and mean."""
    lines = [x for x in (DATA / "glass_140.csv").read_text().splitlines() if not x.startswith("#")]
    inward = {r["angle"]: float(r["shgc"]) - float(r["transmittance"]) for r in csv.DictReader(lines)}
    assert inward.pop("80") < inward["0"]
    assert all(inward["0"] - 1e-9 <= a <= inward["0"] + 0.009 for a in inward.values())


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


@pytest.mark.parametrize("h", [10.0, 30.0, 55.0])
def test_a_horizon_all_round_in_closed_form(h):
    """Geometry: cos^2 h on a level plane, 1 - (2h + sin 2h)/pi on a wall; a plane flatter than the horizon keeps cos^2 h of its
    own level part alone."""
    a = np.radians(h)
    assert g.horizon_sky_share(h, 0.0) == pytest.approx(np.cos(a) ** 2)
    assert g.horizon_sky_share(h, 90.0) == pytest.approx(1 - (2 * a + np.sin(2 * a)) / np.pi)
    flat = np.cos(np.radians(8.0))
    assert g.horizon_sky_share(h, 8.0) == pytest.approx(flat * np.cos(a) ** 2 / ((1 + flat) / 2), abs=1e-6)


@pytest.mark.parametrize("tilt, h", [(30.0, 20.0), (45.0, 60.0), (70.0, 15.0), (90.0, 35.0)])
def test_a_horizon_by_counting_directions(tilt, h):
    """Cosine of incidence summed over a fine net of the sky above the horizon, over the whole sky's."""
    alt, turn = np.meshgrid(np.radians((np.arange(2000) + 0.5) * 90 / 2000), np.radians((np.arange(720) + 0.5) / 2))
    b = np.radians(tilt)
    light = np.maximum(np.sin(alt) * np.cos(b) + np.cos(alt) * np.sin(b) * np.cos(turn), 0.0) * np.cos(alt)
    kept = light[alt > np.radians(h)].sum() / light.sum()
    assert g.horizon_sky_share(h, tilt) == pytest.approx(kept, abs=5e-4)


@pytest.mark.parametrize("depth, h, off", [(0.3, 10.0, 0.002), (0.6, 20.0, 0.01), (1.2, 20.0, 0.05)])
def test_overhang_and_horizon_subtract(depth, h, off):
    """Against the sky between both, integrated over bearing and the window's height: never more, `off` less at most."""
    gap, high = 0.3, 1.0
    turn, z = np.meshgrid(np.radians((np.arange(720) + 0.5) / 4 - 90), (np.arange(200) + 0.5) / 200 * high)
    area = lambda a: a / 2 + np.sin(2 * a) / 4  # noqa: E731 - integral of cos^2
    top = np.arctan(np.cos(turn) * (gap + z) / depth)
    seen = np.cos(turn) * np.maximum(area(top) - area(np.radians(h)), 0.0)
    exact = seen.sum() / (np.cos(turn) * area(np.pi / 2)).sum()
    ours = g.left_of_the_sky(g.overhang_sky_share(depth, gap, high), g.horizon_sky_share(h, 90.0))
    assert exact - off <= ours <= exact + 1e-4
    assert g.left_of_the_sky(0.2, 0.3) == 0.0


def test_colours_and_ground():
    """ch. 17 Table 8 (roof, metal) and ch. 14 (ground)."""
    words = ("white", "light", "medium", "dark")
    assert [absorptance(c, "roof")[0] for c in words] == [0.35, 0.5, 0.7, 0.9]
    assert sun_day.ground_reflectance() == 0.2
    with pytest.raises(InputError, match="did you mean"):
        absorptance("meduim", "siding")
