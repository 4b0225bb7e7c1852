"""The thermal-fabric cases of ANSI/ASHRAE Standard 140 said in a house file, a package a case (workbooks/houses/test-box.toml).

A house file's own conventions are used throughout: films of ISO 6946, windows by U and SHGC, gains 30 % radiant, room sizes by
outside dimensions.  `test_standard140` reads the specification itself; here it is seen that the file can say the cases and what
they do to the year.  The standard's text was not in hand: what cases other than 600 and 900 change is from memory, and there are
no ranges for them.
"""

from __future__ import annotations

from functools import cache

import pytest

from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import run_year, weather_year, year_house
from tests.published.test_standard140 import denver, needs_denver, rows

HEAVY = ("assemblies.wall=heavy test wall", "assemblies.floor=heavy test floor")
FILE = house_path("test-box")
OUTSIDE = {  # figures of the house file beyond the spread of the reference results
    ("600", "heating"),
    ("600", "cooling"),
    ("600", "peak_heating"),
    ("900", "heating"),
    ("900", "cooling"),
    ("900", "peak_heating"),
    ("900FF", "coldest"),
}
WHY = "films of ISO 6946, a window by its U-value and a smaller room: up to 6 % beyond the spread, by the file's own conventions"


@cache
def brings(of_the_standard: bool):
    return weather_year(denver() if of_the_standard else built_year(find_place("Denver, CO")))


@cache
def box(case: str, of_the_standard: bool = False):
    """A year of one case; the 900 series are the 600 series of heavy construction."""
    heavy = case.startswith("9")
    house = load_house(FILE, HEAVY if heavy else (), package=f"6{case[1:]}")
    return run_year(year_house(house_model(house, 1650.0, FILE.parent)), brings(of_the_standard))


def heat(case):
    return box(case).annual("heat")


def cool(case):
    return box(case).annual("cool")


@needs_denver
@pytest.mark.parametrize("row", rows("standard140_ranges.csv"), ids=lambda r: f"{r['case']}-{r['figure']}")
def test_the_house_file_beside_the_published_spread(row, request):
    if (row["case"], row["figure"]) in OUTSIDE:
        request.applymarker(pytest.mark.xfail(strict=True, reason=WHY))
    y = box(row["case"], True)
    found = {
        "heating": y.annual("heat") / 1000.0,
        "cooling": y.annual("cool") / 1000.0,
        "peak_heating": y.peak("heat_peak_W")[0] / 1000.0,
        "peak_cooling": y.peak("cool_peak_W")[0] / 1000.0,
        "warmest": y.peak("warmest_C")[0],
        "coldest": y.peak("coldest_C")[0],
        "mean": float(y.middle.series["indoor_C"].mean()),
    }
    assert float(row["low"]) <= found[row["figure"]] <= float(row["high"])


SERIES = ("6", "9")


@pytest.mark.parametrize("s", SERIES)
def test_an_overhang_lowers_cooling_and_raises_heating(s):
    assert cool(f"{s}10") < cool(f"{s}00") and heat(f"{s}10") > heat(f"{s}00")


@pytest.mark.parametrize("s", SERIES)
def test_glass_to_east_and_west_gains_less_in_winter_and_fins_shade_it(s):
    assert heat(f"{s}20") > heat(f"{s}00")
    assert cool(f"{s}30") < cool(f"{s}20") and heat(f"{s}30") > heat(f"{s}20")


@pytest.mark.parametrize("s", SERIES)
def test_a_set_back_lowers_heating_and_raises_its_peak(s):
    plain, set_back = box(f"{s}00"), box(f"{s}40")
    assert set_back.annual("heat") < plain.annual("heat")
    assert set_back.peak("heat_peak_W")[0] > plain.peak("heat_peak_W")[0]


@pytest.mark.parametrize("s", SERIES)
def test_air_by_night_lowers_cooling_and_the_floating_room(s):
    assert cool(f"{s}50") < cool(f"{s}00") and heat(f"{s}50") == 0.0
    floats, aired = box(f"{s}00FF"), box(f"{s}50FF")
    assert aired.middle.series["indoor_C"].mean() < floats.middle.series["indoor_C"].mean()
    assert floats.annual("heat") == aired.annual("heat") == floats.annual("cool") == 0.0


def test_mass_lowers_peaks_needs_and_the_swing():
    for figure in ("heat", "cool"):
        assert box("900").annual(figure) < box("600").annual(figure)
        assert box("900").peak(f"{figure}_peak_W")[0] < box("600").peak(f"{figure}_peak_W")[0]
    assert box("600FF").peak("coldest_C")[0] < box("900FF").peak("coldest_C")[0]
    assert box("900FF").peak("warmest_C")[0] < box("600FF").peak("warmest_C")[0]


@pytest.mark.parametrize("case", ["600", "630", "650", "940", "950FF"])
def test_every_case_closes(case):
    assert box(case).closure < 1e-9
