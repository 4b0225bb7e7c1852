"""Nothing wrong passes quietly in an hourly file: sound files raise no doubt, damaged ones are refused by name, and mended where
the cause is located."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.weather.weather_files import Hours, read_hours
from heatcalc.inputs.weather.weather_hours import findings, read_weather, sound
from heatcalc.inputs.weather.weather_looks import AIR, NAMES, SUN
from tests.good_weather import COLUMNS, PLACE, good_csv, head, rows

BESIDE = Path(__file__).parents[2].parent / "shared" / "weather"
STATIONS = ("722430", "722780", "725650", "726170", "727450", "727930")
SHIPPED = ("723170TYA.CSV", "703165TY.csv", "12839.tm2")  # with pvlib: Greensboro, Sand Point, Miami
EVERY = ("built year", *SHIPPED, *STATIONS)


@cache
def good(name: str) -> Hours:
    """A sound record: the project's own built year, a file of pvlib's, or a real station's where it is at hand."""
    if name == "built year":
        import tempfile

        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "hours.csv"
            file.write_text(good_csv())
            return read_hours(file)
    if name in SHIPPED:
        import pvlib

        return read_hours(Path(pvlib.__file__).parent / "data" / name)
    file = BESIDE / f"{name}TYA.CSV"
    if not file.exists():
        pytest.skip(f"{file.name} lies outside the project, in ../shared/weather")
    return read_hours(file)


def own_record(hours: Hours):
    return find_place(PLACE) if hours.file == "hours.csv" else find_place(f"{hours.lat},{hours.lon}")


def put(h: Hours, **columns) -> Hours:
    return replace(h, columns=h.columns | columns)


def late(h: Hours, names, by_h: int) -> Hours:
    return put(h, **{k: np.roll(h.columns[k], by_h) for k in names if k in h.columns})


def both(h: Hours, change) -> Hours:
    return put(h, **{k: change(h.columns[k]) for k in ("dry_bulb_C", "dew_point_C")})


def between(h: Hours, first: int, after: int, change) -> Hours:
    day = np.arange(len(h.hour)) // 24
    return put(h, **{k: np.where((day >= first) & (day < after), change(v), v) for k, v in h.columns.items()})


# damage -> (how it is done, the finding's name, is a correction offered)
DAMAGED = {
    "dry bulb and dew point swapped": (
        lambda h: put(h, dry_bulb_C=h.columns["dew_point_C"], dew_point_C=h.columns["dry_bulb_C"]),
        "dew-above-dry",
        True,
    ),
    "sun 12 h late": (lambda h: late(h, SUN, 12), "sun-clock", True),
    "clock 7 h off": (lambda h: late(h, (*SUN, *AIR), 7), "clock", True),
    "Celsius under an F head": (lambda h: both(h, lambda x: (x - 32.0) / 1.8), "months", True),
    "DNI and DHI swapped": (lambda h: put(h, dni=h.columns["dhi"], dhi=h.columns["dni"]), "sun-closure", True),
    "5 K too warm": (lambda h: both(h, lambda x: x + 5.0), "months", False),
    "dry bulb alone 8 K too cold": (lambda h: put(h, dry_bulb_C=h.columns["dry_bulb_C"] - 8.0), "dew-above-dry", False),
    "clock 7 h early": (lambda h: late(h, (*SUN, *AIR), -7), "clock", True),
    "temperatures in UTC": (lambda h: late(h, AIR, 7), "air-clock", True),
    "sun of the hour that begins": (lambda h: late(h, SUN, -1), "sun-clock", True),
    "daylight saving": (lambda h: between(h, 70, 308, lambda x: np.roll(x, 1)), "daylight-saving", True),
    "wind in mph under m/s": (lambda h: put(h, wind_m_s=h.columns["wind_m_s"] * 2.237), "wind-size", False),
    "one month in F": (
        lambda h: put(h, dry_bulb_C=np.where(h.month == 3, h.columns["dry_bulb_C"] * 1.8 + 32, h.columns["dry_bulb_C"])),
        "months",
        False,
    ),
    "four days of one value": (lambda h: between(h, 185, 189, lambda x: 0 * x + x[4400]), "stuck", False),
    "half of the sun": (lambda h: put(h, **{k: h.columns[k] / 2 for k in SUN}), "sun-size", False),
    "a sensor's offset at night": (lambda h: put(h, ghi=h.columns["ghi"] + 12.0), "sun-at-night", False),
    "sea-level pressure up high": (
        lambda h: replace(put(h, pressure_Pa=np.full(len(h.hour), 101_325.0)), elevation_m=1650.0),
        "pressure",
        False,
    ),
    "east for west": (lambda h: replace(h, lon=-h.lon), "longitude", False),
    "south for north": (lambda h: replace(h, lat=-h.lat), "position", False),
    "humidity 0 to 1 under a % head": (lambda h: put(h, dew_point_C=h.columns["dew_point_C"] - 45.0), "humidity", False),
}


@pytest.mark.parametrize("name", EVERY)
def test_a_sound_file_raises_no_doubt(name):
    hours = good(name)
    assert findings(hours, own_record(hours)) == ()


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("damage", DAMAGED)
def test_damage_is_named_refused_and_mended_where_located(name, damage):
    change, finding, offered = DAMAGED[damage]
    hours, place = good(name), own_record(good(name))
    found = {f.name: f for f in findings(change(hours), place)}
    assert finding in found and (found[finding].mended is not None) == offered, (damage, list(found))
    with pytest.raises(InputError) as refusal:
        sound(change(hours), place)
    assert f"--accept {finding}" in str(refusal.value) and "\n" not in str(refusal.value)
    taken = sound(change(hours), place, accept=tuple(found))
    assert any(finding in str(line) and "accepted" in str(line) for line in taken.report)
    if offered:
        rest = findings(found[finding].mended(change(hours)), place)
        assert finding not in [f.name for f in rest], damage


@pytest.mark.parametrize("damage", [d for d, (_, _, offered) in DAMAGED.items() if offered])
def test_a_correction_gives_the_sound_record_back(damage):
    """But for the hours at the two changes of the clock."""
    change, finding, _ = DAMAGED[damage]
    hours, place = good("built year"), find_place(PLACE)
    mended = sound(change(hours), place, mend=(finding,))
    for name, column in hours.columns.items():
        assert (np.abs(mended.columns[name] - column) > 1e-6).sum() <= (2 if damage == "daylight saving" else 0), name
    assert any("corrected as asked" in str(line) for line in mended.report)


def test_another_places_file_is_refused_by_its_position():
    hours = good("723170TYA.CSV")
    assert "position" in [f.name for f in findings(hours, find_place("Duluth, MN"))]


def test_names_that_find_nothing_are_refused():
    hours, place = good("built year"), find_place(PLACE)
    for word in ("accept", "mend"):
        with pytest.raises(InputError, match="nothing of that name"):
            sound(hours, place, **{word: ("clock",)})
        with pytest.raises(InputError, match='did you mean "clock"'):
            sound(hours, place, **{word: ("clok",)})
    warm = both(hours, lambda x: x + 5.0)
    with pytest.raises(InputError, match="has no correction"):
        sound(warm, place, mend=("months",))


def test_every_name_is_tried():
    """`month-step` shows beside `months`; a step between places whose means agree is its own case."""
    hours = good("built year")
    half = np.where(hours.month == 7, 1.0, 0.0) * np.where(hours.day_of_month > 15, 12.0, -12.0)
    found = [f.name for f in findings(put(hours, dry_bulb_C=hours.columns["dry_bulb_C"] + half), find_place(PLACE))]
    assert "month-step" in found
    assert {finding for _, finding, _ in DAMAGED.values()} | {"month-step"} == set(NAMES)


def test_what_is_dropped_is_counted(tmp_path):
    lines = [row.split(",") for row in rows()]
    lines[3000][1] = "88"  # a spike
    lines[4000][3] = "-5"  # no such wind
    lines[5000][2] = ""  # a gap
    lines[2][5] = "-3"  # a pyranometer's night
    file = tmp_path / "hours.csv"
    file.write_text(head() + "\n".join([COLUMNS, *(",".join(line) for line in lines)]))
    report = " | ".join(map(str, read_weather(file, find_place(PLACE)).report))
    for words in (
        "1 impossible dry bulb",
        "wind_m_s: 1 impossible",
        "dew_point_C: 2 hours filled",
        "1 values of sun below nought",
    ):
        assert words in report, report
