"""The user's hourly file: order, time zone, leap days, units, hour-ending sun, repair, refusal; and the statistics' laws."""

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.errors import InputError
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.weather.weather_files import read_hours
from heatcalc.inputs.weather.weather_hours import read_weather
from heatcalc.inputs.weather.weather_place import read_weather_place
from heatcalc.physics.year import weather_statistics as statistics
from heatcalc.physics.year.weather_statistics import filled, rolling_median, spikes
from heatcalc.physics.year.year_hours import outside

HEAD = ["# latitude: 44.0", "# longitude: -90.0", "# elevation: 300 m", "# utc offset: -6"]
COLUMNS = "time,dry_bulb (C),dew_point (C),wind (m/s),ghi (W/m2)"


def smooth(hours: int) -> np.ndarray:
    """A year with a season and a day, near that of the position: coldest in January at night."""
    t = np.arange(hours)
    return (6.5 - 15.0 * np.cos(2 * np.pi * (t - 500) / 8766) - 5.0 * np.cos(2 * np.pi * (t % 24 - 3) / 24)).round(2)


SUN = (0.5 * outside(44.0, -90.0, -6.0).hourly).round(1)  # half of the sun outside the air


def rest_of(end: datetime) -> str:
    """Wind and sun of the hour that ends at `end`."""
    begin = end - timedelta(hours=1)
    day = (datetime(2023, begin.month, min(begin.day, 28 if begin.month == 2 else 31)) - datetime(2023, 1, 1)).days
    return f"{2.0 + end.hour % 5 * 0.8:.1f},{SUN[day, begin.hour]}"


def rows_of(start: datetime, hours: int, stamp="%Y-%m-%d %H:%M") -> list[str]:
    """Hour-ending rows from `start` in standard time; `stamp` may write them in UTC."""
    late = timedelta(hours=6 if stamp.endswith("Z") else 0)
    times = (start + timedelta(hours=i + 1) for i in range(hours))
    return [f"{t + late:{stamp}},{v},{v - 4.0:.2f},{rest_of(t)}" for t, v in zip(times, smooth(hours), strict=True)]


def written(folder: Path, rows: list[str], head=HEAD, columns: str = COLUMNS) -> Path:
    file = folder / "hours.csv"
    file.write_text("\n".join([*head, columns, *rows]) + "\n")
    return file


def pvlib_file(name: str) -> Path:
    import pvlib

    return Path(pvlib.__file__).parent / "data" / name


YEAR = rows_of(datetime(2023, 1, 1), 8760)


def test_a_plain_year_is_read_as_it_stands(tmp_path):
    year = read_weather(written(tmp_path, YEAR))
    assert np.array_equal(year.dry_bulb_C, smooth(8760))
    assert (year.lat, year.lon, year.elevation_m, year.utc_offset_h) == (44.0, -90.0, 300.0, -6.0)
    assert np.array_equal(year.ghi, SUN.ravel()) and np.flatnonzero(year.ghi[:24]).tolist() == list(range(7, 17))


def test_order_does_not_matter(tmp_path):
    ordered = read_weather(written(tmp_path, YEAR))
    mixed = read_weather(written(tmp_path, YEAR[4000:] + YEAR[:4000]))
    assert np.array_equal(ordered.dry_bulb_C, mixed.dry_bulb_C)
    assert any("sorted" in line for line in mixed.report)


@pytest.mark.parametrize("stamp", ["%Y-%m-%dT%H:%M", "%m/%d/%Y %H:%M", "%Y-%m-%d %H:%M:%S"])
def test_spellings_of_the_time(tmp_path, stamp):
    assert np.array_equal(read_weather(written(tmp_path, rows_of(datetime(2023, 1, 1), 8760, stamp))).dry_bulb_C, smooth(8760))


def test_midnight_as_24_00(tmp_path):
    late = [row.replace(" 00:00", " 24:00") if " 00:00" in row else row for row in YEAR]
    days = [f"{datetime.fromisoformat(r[:10]) - timedelta(days=1):%Y-%m-%d}{r[10:]}" if "24:00" in r else r for r in late]
    assert np.array_equal(read_weather(written(tmp_path, days)).dry_bulb_C, smooth(8760))


def test_times_in_utc_become_standard_time(tmp_path):
    utc = rows_of(datetime(2023, 1, 1), 8760, "%Y-%m-%dT%H:%MZ")
    year = read_weather(written(tmp_path, utc))
    assert np.array_equal(year.dry_bulb_C, smooth(8760))


def test_times_with_daylight_saving_offsets(tmp_path):
    """-05:00 from 12 March to 5 November: the standard offset is the smaller one, and no hour is lost or doubled."""
    rows = []
    for i, value in enumerate(smooth(8760)):
        end = datetime(2023, 1, 1) + timedelta(hours=i + 1)
        summer = datetime(2023, 3, 12, 2) <= end < datetime(2023, 11, 5, 1)
        said = end + timedelta(hours=1) if summer else end
        rows.append(f"{said:%Y-%m-%dT%H:%M}{'-05:00' if summer else '-06:00'},{value},{value - 4},{rest_of(end)}")
    head = [line for line in HEAD if "offset" not in line]
    year = read_weather(written(tmp_path, rows, head))
    assert year.utc_offset_h == -6.0
    assert np.array_equal(year.dry_bulb_C, smooth(8760))


def test_leap_year_keeps_its_day_for_percentiles_and_loses_it_in_the_year(tmp_path):
    file = written(tmp_path, rows_of(datetime(2024, 1, 1), 8784))
    hours, year = read_hours(file), read_weather(file)
    assert (len(hours.hour), hours.leap_days, len(year.dry_bulb_C)) == (8784, 1, 8760)
    assert year.dry_bulb_C[59 * 24] == smooth(8784)[60 * 24]
    assert any("29 February" in line for line in year.report)


def test_a_year_that_starts_in_june_is_turned_to_the_calendar(tmp_path):
    rows = rows_of(datetime(2022, 6, 1), 8760)
    year = read_weather(written(tmp_path, rows), accept=("months",))  # its June is as cold as a January
    assert year.dry_bulb_C[0] == smooth(8760)[214 * 24]


def test_units_and_spellings_of_columns(tmp_path):
    values = smooth(8760)
    head = "timestamp,Dry bulb [F],RH (%),wind_speed_mph,GHI_W_m2,pressure (hPa)"
    rows = [
        f"{r.split(',')[0]},{v * 1.8 + 32:.4f},70,{10 - i % 3},{r.split(',')[4]},1000"
        for i, (r, v) in enumerate(zip(YEAR, values, strict=True))
    ]
    year = read_weather(written(tmp_path, rows, columns=head))
    assert np.abs(year.dry_bulb_C - values).max() < 1e-4
    assert year.wind_m_s[0] == pytest.approx(4.4704)
    assert year.pressure_Pa[0] == pytest.approx(100_000.0)
    from heatcalc.physics.air.moist_air import saturation_pressure

    warm = values > 1.0
    share = saturation_pressure(year.dew_point_C[warm]) / saturation_pressure(values[warm])
    assert np.abs(share - 0.7).max() < 1e-4


def test_sun_of_beginning_hours_moves_to_the_end(tmp_path):
    ending = read_weather(written(tmp_path, YEAR))
    beginning = read_weather(written(tmp_path, YEAR, [*HEAD, "# sun: hour beginning"]), accept=("sun-clock", "sun-at-night"))
    assert np.array_equal(np.roll(ending.ghi, 1), beginning.ghi)
    assert np.array_equal(ending.dry_bulb_C, beginning.dry_bulb_C)


def test_global_sun_alone_is_split(tmp_path):
    year = read_weather(written(tmp_path, YEAR))
    assert year.dni.max() > 0.0 and (year.dhi <= year.ghi + 1e-9).all()


def test_quarter_hours_are_averaged(tmp_path):
    dry = smooth(8760)
    rows = [
        f"{datetime(2023, 1, 1) + timedelta(minutes=60 * i + q):%Y-%m-%d %H:%M},{v + (q - 37.5) / 75},{v - 4},"
        + rest_of(datetime(2023, 1, 1) + timedelta(hours=i + 1))
        for i, v in enumerate(dry)
        for q in (15, 30, 45, 60)
    ]
    assert np.abs(read_weather(written(tmp_path, rows)).dry_bulb_C - dry).max() < 1e-9


def test_typical_year_of_several_years_is_set_in_one(tmp_path):
    rows = [f"{1990 + int(r[5:7])}{r[4:]}" for r in YEAR[:-1]] + ["2003-01-01 00:00" + YEAR[-1][16:]]
    rows = [f"{r}" for r in rows if not r[5:].startswith("02-29")]
    year = read_weather(written(tmp_path, rows, [*HEAD, "# typical year: yes"]))
    assert np.abs(year.dry_bulb_C - smooth(8760)).max() < 6.0
    assert np.array_equal(year.dry_bulb_C[1000:1400], smooth(8760)[1000:1400])


def test_several_years_give_true_percentiles(tmp_path):
    hours = 8766 * 4
    file = written(tmp_path, rows_of(datetime(2020, 1, 1), hours))
    read, place = read_hours(file), read_weather_place(file)
    assert read.years == 4 and "percentiles of 4 years" in place.warnings[0]
    assert place.heating_99_C == pytest.approx(float(np.quantile(smooth(hours), 0.01)), abs=1e-9)
    assert place.sigma_heating_K < 0.2
    assert [sum(b.hours) for b in place.bins] == [24 * d for d in statistics.MONTH_DAYS]


def test_one_year_is_stated_with_its_uncertainty(tmp_path):
    place = read_weather_place(written(tmp_path, YEAR))
    assert "+/-2.1 K (heating) and +/-0.9 K" in place.warnings[0]
    assert place.sigma_heating_K == pytest.approx(3.8 / 1.8)


def test_spikes_are_dropped_filled_and_reported(tmp_path):
    rows = list(YEAR)
    rows[5000] = rows[5000].replace(rows[5000].split(",")[1], "58.9", 1)
    hours = read_hours(written(tmp_path, rows))
    assert hours.columns["dry_bulb_C"][5000] == pytest.approx(smooth(8760)[5000], abs=1.0)
    assert any("1 impossible dry bulb" in line for line in hours.report)


def test_short_gaps_by_a_line_long_ones_by_neighbouring_days(tmp_path):
    kept = [r for i, r in enumerate(YEAR) if i not in (100, 101, 102) and not 2000 <= i < 2010]
    hours = read_hours(written(tmp_path, kept))
    dry, told = hours.columns["dry_bulb_C"], smooth(8760)
    assert np.allclose(dry[99:104], np.interp(np.arange(99, 104), [99, 103], told[[99, 103]]))
    assert np.allclose(dry[2000:2010], (told[1976:1986] + told[2024:2034]) / 2)
    assert any("3 hours filled by straight lines, 10 from neighbouring days" in line for line in hours.report)


def test_above_five_percent_gaps_is_refused(tmp_path):
    assert read_hours(written(tmp_path, [r for i, r in enumerate(YEAR) if i % 25])).years == 1
    with pytest.raises(InputError, match="5% gaps|cannot be repaired"):
        read_hours(written(tmp_path, [r for i, r in enumerate(YEAR) if i % 19]))


BAD = {
    "no time": ("when,dry_bulb (C)", ["1,2", "2,3"], "no 'time' column"),
    "no dry bulb": ("time,wind (m/s)", ["2023-01-01 01:00,2"], "no 'dry_bulb' column"),
    "no unit": ("time,dry_bulb", ["2023-01-01 01:00,2"], "needs a unit"),
    "wrong unit": ("time,dry_bulb (W)", ["2023-01-01 01:00,2"], "needs a unit"),
    "not a number": (COLUMNS, ["2023-01-01 01:00,cold,1,1,1"], "'cold' is not a number"),
    "not a time": (COLUMNS, ["yesterday,1,1,1,1"], "'yesterday' is no time"),
    "short row": (COLUMNS, ["2023-01-01 01:00,1"], "has 2 cells"),
    "too few": (COLUMNS, YEAR[:4000], "at least one year"),
    "no rows": (COLUMNS, [], "no rows"),
    "truncated": (COLUMNS, [*YEAR[:5000], YEAR[5000][:8]], "cells where the header has"),
}


@pytest.mark.parametrize("case", BAD)
def test_a_malformed_file_gets_one_clear_line(tmp_path, case):
    columns, rows, words = BAD[case]
    with pytest.raises(InputError) as caught:
        read_hours(written(tmp_path, rows, columns=columns))
    assert words in str(caught.value) and "\n" not in str(caught.value) and len(str(caught.value)) < 300


@pytest.mark.parametrize(
    "content, words",
    [
        (b"", "empty"),
        (b"\x00\x01\x02" * 100, "binary"),
        (b"\xff\xfe garbage \xff", "no rows"),
        (b"{}", "no rows"),
        (b'a,"b\n' * 10, "weather file"),
    ],
)
def test_a_wrong_file_gets_one_clear_line(tmp_path, content, words):
    file = tmp_path / "odd.csv"
    file.write_bytes(content)
    with pytest.raises(InputError, match=words):
        read_hours(file)


def test_absent_folder_and_huge_files_are_refused(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_hours(tmp_path / "none.csv")
    with pytest.raises(InputError, match="folder"):
        read_hours(tmp_path)
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as file:
        file.truncate(60_000_001)
    with pytest.raises(InputError, match="larger than"):
        read_hours(huge)


@pytest.mark.parametrize("name", ["723170TYA.CSV", "12839.tm2"])
def test_a_truncated_typical_year_gets_one_clear_line(tmp_path, name):
    cut = tmp_path / name
    cut.write_bytes(pvlib_file(name).read_bytes()[:400_000])
    with pytest.raises(InputError) as caught:
        read_hours(cut)
    assert "\n" not in str(caught.value)


def test_tmy3_of_a_station_gives_the_stations_row():
    """Raw percentiles, degree-days, daily range of the file against the station table (printed to 0.1 F and 1 F d)."""
    from heatcalc.inputs.place.climate_tables import row

    place, told = read_weather_place(pvlib_file("723170TYA.CSV")), row("us_stations.csv.gz", "723170")
    for value, key in (
        (place.heating_99_C, "h99_tmy_F"),
        (place.heating_996_C, "h996_tmy_F"),
        (place.cooling_1_C, "c010_tmy_F"),
        (place.cooling_04_C, "c004_tmy_F"),
    ):
        assert value * 1.8 + 32 == pytest.approx(float(told[key]), abs=0.05 + 1e-9)
    assert place.daily_range_K * 1.8 == pytest.approx(float(told["MDR_F"]), abs=0.05 + 1e-9)
    assert place.hdd18_3_Kd * 1.8 == pytest.approx(float(told["HDD65"]), abs=0.5)
    assert place.cdd10_Kd * 1.8 == pytest.approx(float(told["CDD50"]), abs=0.5)
    assert place.cooling_1_mcwb_C * 1.8 + 32 == pytest.approx(float(told["c010_mcwb_F"]), abs=0.15)
    for month, key in enumerate(f"sdday_{m:02d}_F" for m in range(1, 13)):
        assert place.monthly.daily_sd_K[month] * 1.8 == pytest.approx(float(told[key]), abs=0.05 + 1e-9)


def test_a_file_without_position_needs_the_place(tmp_path):
    file = written(tmp_path, YEAR, head=[])
    with pytest.raises(InputError, match="latitude"):
        read_weather(file)
    year = read_weather(file, find_place("44.0,-90.0"))
    assert year.lat == 44.0


def test_a_file_without_sun_gives_design_values_but_no_year(tmp_path):
    file = written(tmp_path, [",".join(r.split(",")[:3]) for r in YEAR], columns="time,dry_bulb (C),dew_point (C)")
    assert read_weather_place(file).monthly.ghi_kWh_m2_day is None
    with pytest.raises(InputError, match="no sun .* no wind"):
        read_weather(file)


@settings(max_examples=60)
@given(st.lists(st.floats(-40, 45), min_size=30, max_size=120), st.data())
def test_filling_keeps_what_is_known_and_stays_within_it(values, data):
    line = np.array(values)
    lost = data.draw(st.lists(st.integers(0, len(values) - 1), max_size=10))
    line[lost] = np.nan
    full, by_line, by_days = filled(line)
    known = np.isfinite(line)
    assert np.array_equal(full[known], line[known]) and by_line + by_days == (~known).sum()
    assert full.min() >= line[known].min() - 1e-9 and full.max() <= line[known].max() + 1e-9


@settings(max_examples=40)
@given(st.lists(st.floats(-40, 45), min_size=12, max_size=60))
def test_rolling_median_is_numpys(values):
    line = np.array(values)
    padded = np.pad(line, 4, mode="reflect")
    assert np.allclose(rolling_median(line), [np.median(padded[i : i + 9]) for i in range(len(line))])


def test_a_quiet_year_has_no_spikes():
    assert not spikes(smooth(8760)).any()


@settings(max_examples=40)
@given(st.lists(st.floats(-40, 45), min_size=48, max_size=200))
def test_bins_close_and_rebinning_keeps_the_hours(values):
    line = np.array(values)
    first = np.floor(line.min() / 5) * 5
    count = int((line.max() - first) // 5) + 1
    hours = statistics.bin_hours(line, first, 5.0, count)
    assert hours.sum() == len(line)
    edges = np.arange(first - 7.0, first + 5 * count + 9.0, 4.0)
    moved = statistics.rebinned(first + 5.0 * np.arange(count), hours, 5.0, edges)
    assert moved.sum() == pytest.approx(len(line))


@settings(max_examples=40)
@given(st.lists(st.floats(-40, 45), min_size=10, max_size=60), st.floats(0.0, 10.0))
def test_degree_days_rise_with_the_base_and_close(values, more):
    daily = np.array(values)
    low, high = (statistics.degree_days_Kd(daily, b, True) for b in (18.0, 18.0 + more))
    assert high >= low
    cooling = statistics.degree_days_Kd(daily, 18.0, False)
    assert low - cooling == pytest.approx((18.0 - daily).sum())


def test_design_values_are_ordered():
    dry = np.random.default_rng(1).normal(10, 10, 8760)
    assert statistics.heating_design_C(dry, 0.996) < statistics.heating_design_C(dry) < statistics.cooling_design_C(dry)
    assert (dry < statistics.heating_design_C(dry)).mean() == pytest.approx(0.01, abs=1 / 8760)
