"""Radiant time series method against the worked example, hour by hour.

Source: ASHRAE Handbook - Fundamentals (2021, SI) ch. 18, single-room example, Tables 28-31.  The running text
of Parts 2-4 belongs to older weather and is not used; it gives 0.052 for a dark surface, the example 0.053.
Each column is computed from the printed column before it: half a digit of either side, and for loads the
half percent to which the series are printed, are left over.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.physics import sun
from heatcalc.physics import time_series as ts
from heatcalc.physics.glazing import TABLE_ANGLES, Glazing
from heatcalc.physics.sun_day import sol_air_C

CASES = json.loads((Path(__file__).parent / "data" / "sun_and_hand_methods.json").read_text())
ROOM = "medium carpet 50%"
OTHERS = ts.radiant_series("nonsolar", ROOM)
SOLAR = ts.radiant_series("solar", ROOM)
WALL = CASES["RTS-wall"]["inputs"]
PRINTED = CASES["RTS-wall"]["expected"]
OUTDOOR = np.array(WALL["to"])
WINDOW = CASES["RTS-window"]


def example_light():
    """The light on wall and window, with the example's rounded declination and optical depths."""
    angle = 15 * (np.arange(1.0, 25.0) - 6.4 / 60 + (-84.43 + 75) / 15 - 12)
    position = sun.position_from_angles(33.64, 20.44, angle, 1324)
    beam, diffuse = sun.clear_sky_tau(position, 0.515, 2.066)
    level = beam * np.maximum(position.cos_zenith, 0) + diffuse
    return sun.plane_irradiance(position, beam, level, diffuse, 90, 240, 0.2, sky="handbook")


def part(sol_air):
    series = ts.conduction_series("wall", "1")
    return ts.OpaquePart("spandrel", WALL["A"], WALL["U"], np.array(sol_air), series)


def window(light):
    row = Glazing("example", (*TABLE_ANGLES, 90.0), (0.49, 0.46, 0.44, 0.39, 0.31, 0.17, 0.0), 0.41, 0.1, "")
    return ts.WindowPart("west", WINDOW["inputs"]["A"], WINDOW["inputs"]["U"], row, light, OUTDOOR)


def test_sol_air_temperature():
    """0.053 is printed to three decimals: 0.0005 x Et beside half a tenth of a degree."""
    light = example_light().total
    own = sol_air_C(OUTDOOR, light, WALL["alpha_over_ho"])
    assert np.all(np.abs(own - PRINTED["te"]) <= 0.05 + 0.05 + 0.0005 * light)


def test_conduction_of_the_wall():
    p = part(PRINTED["te"])
    still = p.area_m2 * p.u_value * (p.sol_air_C - WALL["t_room"])
    assert np.all(np.abs(still - PRINTED["qi"]) <= 0.5 + 0.05 * 2.45 + 0.005 / 0.44 * np.abs(still))
    assert ts.follow(p.conduction, PRINTED["qi"]) == pytest.approx(np.array(PRINTED["heat_gain"]), abs=1.0)
    own = ts.conduction_gain(p, WALL["t_room"])
    assert own == pytest.approx(np.array(PRINTED["heat_gain"]), abs=1.0)
    assert int(np.argmax(own)) + 1 == 17


def test_load_of_the_wall():
    gain = np.array(PRINTED["heat_gain"])
    radiant = ts.follow(OTHERS, WALL["radiant"] * gain)
    assert radiant == pytest.approx(np.array(PRINTED["radiant_load"]), abs=0.5 + 0.5 * 0.46 + 0.25)
    own = ts.cooling_load(ts.conduction_gain(part(PRINTED["te"]), WALL["t_room"]), WALL["radiant"], OTHERS)
    assert own == pytest.approx(np.array(PRINTED["cooling_load"]), abs=1.0)
    assert ts.radiant_share("wall or floor") == WALL["radiant"]


def test_lighting():
    on = np.array([110.0 if 7 <= h <= 18 else 0.0 for h in range(1, 25)])
    own = ts.cooling_load(on, 0.57, OTHERS)
    printed = np.array(CASES["RTS-lighting"]["expected"]["cooling_load"])
    assert own == pytest.approx(printed, abs=0.5)
    assert own.sum() == pytest.approx(CASES["RTS-lighting"]["expected"]["sum"], abs=24 * 0.5)
    assert own.sum() == pytest.approx(12 * 110)


def test_beam_through_the_window():
    """Hours 13-19; SHGC printed to 0.001 leaves 0.0005 of the light."""
    light = example_light()
    own = ts.beam_gain(window(light))[12:19]
    shgc = np.array(WINDOW["inputs"]["SHGC_beam_by_hour_13_19"])
    fixed = WINDOW["inputs"]["A"] * light.beam[12:19] * shgc
    printed = np.array(WINDOW["expected"]["beam_gain_13_19"])
    left = 0.5 + WINDOW["inputs"]["A"] * light.beam[12:19] * 0.0005 + 0.005 / 3.72 * printed
    assert np.all(np.abs(fixed - printed) <= left)
    assert np.all(np.abs(own - printed) <= left + WINDOW["inputs"]["A"] * light.beam[12:19] * 0.0007)


def test_beam_load():
    gain = np.zeros(24)
    gain[12:19] = WINDOW["expected"]["beam_gain_13_19"]
    assert ts.follow(SOLAR, gain) == pytest.approx(np.array(WINDOW["expected"]["beam_load"]), abs=1.0)


def test_window_load_by_hour():
    """Diffuse with conduction, and the whole window; 1 W of print, 0.3 % for area and U in two digits."""
    w = window(example_light())
    spread = ts.cooling_load(ts.diffuse_gain(w) + ts.pane_conduction(w, WALL["t_room"]), 0.46, OTHERS)
    printed = np.array(WINDOW["expected"]["diff_cond_load"])
    assert np.all(np.abs(spread - printed) <= 0.5 + 0.003 * np.abs(printed) + 0.05 * 3.18 * 3.72)
    own = ts.window_load(w, WALL["t_room"], OTHERS, SOLAR)
    printed = np.array(WINDOW["expected"]["window_load"], dtype=float)
    assert printed[19] == 744
    printed[19] = 135 + 83  # misprint of Table 31: its own columns sum to 218
    assert np.all(np.abs(own - printed) <= 1.0 + 0.003 * printed)


@pytest.mark.xfail(strict=True, reason="Table 31, hour 20, prints 744 W where its columns sum to 218 W")
def test_window_load_hour_20_as_printed():
    own = ts.window_load(window(example_light()), WALL["t_room"], OTHERS, SOLAR)
    assert own[19] == pytest.approx(744, abs=1)


def test_series_keep_heat():
    for kind in ("solar", "nonsolar"):
        assert ts.radiant_series(kind).sum() == pytest.approx(1)
    assert ts.conduction_series("roof", "1").sum() == pytest.approx(1)
    assert ts.nearest_conduction("roof", 0.24, "metal") == "1"
    with pytest.raises(InputError, match="construction"):
        ts.conduction_series("wall", "99")
    with pytest.raises(InputError, match="did you mean"):
        ts.radiant_series("solar", "medium carpet")


def test_room_load_is_the_sum_of_its_parts():
    light = example_light()
    lit = ts.Gain("lights", np.full(24, 50.0), 0.57)
    wall, west = part(PRINTED["te"]), window(light)
    room = ts.room_cooling_load((wall,), (west,), (lit,), 11.3, OUTDOOR, WALL["t_room"], ROOM)
    names = [n for n, _ in room.parts]
    assert names == ["spandrel", "west", "lights", "outdoor air"]
    assert room.total_W == pytest.approx(sum(load for _, load in room.parts))
    assert room.peak_hour == 16
    assert dict(room.parts)["outdoor air"][14] == pytest.approx(11.3 * (33.1 - 23.9))
