"""The user's hourly record: TMY3 and TMY2 through pvlib, or a plain CSV; put in order, repaired, with a report."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.weather.hours_of_year import EPOCH, Raw, calendar_stamp, leap_rows
from heatcalc.inputs.weather.weather_csv import read_csv
from heatcalc.physics.year.weather_statistics import MOST_GAPS, filled, spikes
from heatcalc.wording import Said

MOST_BYTES = 60_000_000
YEAR_H = 8760
POSSIBLE = {  # what an hour outdoors can hold; the dry bulb has a rule of its own
    "dew_point_C": (-100.0, 36.0),
    "pressure_Pa": (45_000.0, 109_000.0),
    "wind_m_s": (0.0, 90.0),
    "sky_cover": (0.0, 1.001),
    "ghi": (-30.0, 1500.0),
    "dni": (-30.0, 1500.0),
    "dhi": (-30.0, 1500.0),
}


@dataclass(frozen=True, kw_only=True)
class Hours:
    """A whole number of years of hours without a gap, in order; SI columns, dry bulb always there."""

    month: np.ndarray
    day_of_month: np.ndarray
    hour: np.ndarray  # 1..24, the stamp
    day: np.ndarray  # number of the day in the record
    columns: dict[str, np.ndarray]
    years: int
    typical: bool
    leap_days: int
    lat: float | None
    lon: float | None
    elevation_m: float | None
    utc_offset_h: float | None
    name: str
    file: str
    source: str
    report: tuple[Said, ...]
    filled: np.ndarray  # True where the dry bulb was missing or impossible and has been filled


def read_hours(path: Path | str) -> Hours:
    """Read, order and repair one file.

    Raises InputError in one line: no such file, too large, binary, malformed, less than a year, above 5 % gaps.
    """
    file = Path(path)
    text = _text(file)
    first, _, rest = text.partition("\n")
    if rest.startswith(("Date (MM/DD/YYYY),Time", '"Date (MM/DD/YYYY)"')):
        raw, kind = _tmy3(text, file), "TMY3"
    elif re.match(r"^ ?\d{5} .{22} [A-Z]{2} +-?\d+ [NS] ", first):
        raw, kind = _tmy2(file), "TMY2"
    else:
        raw, kind = read_csv(text, file.name), "CSV"
    return repaired(raw, file.name, f"{kind} file {file.name}{', ' + raw.name if raw.name else ''}")


def no_position(hours: Hours) -> InputError:
    """The record does not say where it was made, and nothing else does."""
    return InputError(
        "weather file",
        hours.file,
        "does not say where it was recorded",
        "add the lines '# latitude: 46.8' and '# longitude: -92.1', or name the place",
    )


def _text(file: Path) -> str:
    try:
        if not file.is_file():
            raise InputError("weather file", str(file), "is a folder" if file.is_dir() else "there is no such file")
        size = file.stat().st_size
        if size > MOST_BYTES or size == 0:
            raise InputError(
                "weather file",
                str(file),
                "is empty" if size == 0 else f"is larger than {MOST_BYTES // 1_000_000} MB; a year of hours takes about 2 MB",
            )
        raw = file.read_bytes()
    except OSError as problem:
        raise InputError("weather file", str(file), f"cannot be read ({problem.strerror})") from None
    if b"\x00" in raw:
        raise InputError("weather file", str(file), "is binary, not text")
    return raw.decode("utf-8-sig", errors="replace").replace("\r\n", "\n")


def _malformed(kind: str, file: Path, problem: Exception) -> InputError:
    words = " ".join(str(problem).split())[:120] or type(problem).__name__
    return InputError("weather file", file.name, f"begins like {kind} but cannot be read so ({words})")


def _column(values, factor: float = 1.0, lowest: float = -9000.0, highest: float = np.inf) -> np.ndarray:
    """A numeric column in SI; the format's codes for missing become NaN."""
    import pandas as pd

    numbers = pd.to_numeric(pd.Series(np.asarray(values)), errors="coerce").to_numpy(float)
    return np.where((numbers <= lowest) | (numbers >= highest), np.nan, numbers) * factor


def _tmy3(text: str, file: Path) -> Raw:
    import io

    from pvlib.iotools import read_tmy3

    try:
        table, meta = read_tmy3(io.StringIO(text))
        date = table["Date (MM/DD/YYYY)"].str.split("/", expand=True)
        hour = table["Time (HH:MM)"].str.split(":").str[0].astype(int).to_numpy()
        month, day = date[0].astype(int).to_numpy(), date[1].astype(int).to_numpy()
        columns = {
            "dry_bulb_C": _column(table["temp_air"]),
            "dew_point_C": _column(table["temp_dew"]),
            "pressure_Pa": _column(table["pressure"], 100.0),
            "wind_m_s": _column(table["wind_speed"]),
            **{k: _column(table[k]) for k in ("ghi", "dni", "dhi")},
            "sky_cover": _column(table["OpqCld (tenths)"], 0.1, highest=99.0),
        }
    except Exception as problem:
        raise _malformed("TMY3", file, problem) from None
    return _typical(month, day, hour, columns, meta, f"{meta['Name']} {meta['State']}".replace('"', ""))


def _tmy2(file: Path) -> Raw:
    from pvlib.iotools import read_tmy2

    try:
        table, meta = read_tmy2(str(file))
        month, day, hour = (table[k].to_numpy(int) for k in ("month", "day", "hour"))
        columns = {
            "dry_bulb_C": _column(table["DryBulb"], 0.1, highest=9999),
            "pressure_Pa": _column(table["Pressure"], 100.0, highest=9999),
            "dew_point_C": _column(table["DewPoint"], 0.1, highest=9999),
            "wind_m_s": _column(table["Wspd"], 0.1, highest=999),
            "sky_cover": _column(table["OpqCld"], 0.1, highest=99),
            **{k.lower(): _column(table[k], highest=9999) for k in ("GHI", "DNI", "DHI")},
        }
    except Exception as problem:
        raise _malformed("TMY2", file, problem) from None
    return _typical(month, day, hour, columns, meta, f"{meta['City'].strip()} {meta['State']}")


def _typical(month, day, hour, columns, meta, name: str) -> Raw:
    """A typical year's rows on the calendar of one year without 29 February; an hour 0 is the day before's 24."""
    keep = ~((month == 2) & (day == 29))
    stamp = calendar_stamp(month, day, hour)[keep]
    columns = {k: v[keep] for k, v in columns.items()}
    latitude, longitude, altitude, zone = (float(meta[k]) for k in ("latitude", "longitude", "altitude", "TZ"))
    return Raw(
        stamp=stamp,
        columns=columns,
        typical=True,
        lat=latitude,
        lon=longitude,
        elevation_m=altitude,
        utc_offset_h=zone,
        name=name,
        notes=leap_rows(keep),
    )


def repaired(raw: Raw, file: str, source: str) -> Hours:
    """Rows put in order on an unbroken line of hours, spikes dropped, gaps filled; everything done is reported."""
    stamp, columns, notes = _ordered(raw)
    stamp, columns, years, more = _whole_years(stamp, columns, raw, file)
    columns, odd = _possible(columns)
    bad = spikes(columns["dry_bulb_C"])
    missing = int(np.isnan(columns["dry_bulb_C"]).sum())
    if missing + bad.sum() > MOST_GAPS * len(stamp):
        raise InputError(
            "weather file",
            file,
            f"{missing} of {len(stamp)} hours are missing and {int(bad.sum())} impossible: "
            f"more than {MOST_GAPS:.0%} of the dry bulbs cannot be repaired",
            "is the unit in the head right?" if bad.sum() > missing else "",
        )
    columns = {k: np.where(bad, np.nan, v) if k in ("dry_bulb_C", "dew_point_C") else v for k, v in columns.items()}
    filled_columns, told = _filled(columns, int(bad.sum()))
    when = (stamp - 1).astype("timedelta64[h]") + EPOCH  # start of the hour: 24:00 belongs to the day that ends
    day = when.astype("datetime64[D]")
    month = when.astype("datetime64[M]").astype(int) % 12 + 1
    in_month = (day - day.astype("datetime64[M]").astype("datetime64[D]")).astype(int) + 1
    leap = int(((month == 2) & (in_month == 29)).sum() // 24)
    return Hours(
        month=month,
        day_of_month=in_month,
        hour=(stamp - 1) % 24 + 1,
        day=(day - day[0]).astype(int),
        columns=filled_columns,
        years=years,
        typical=raw.typical,
        leap_days=leap,
        lat=raw.lat,
        lon=raw.lon,
        elevation_m=raw.elevation_m,
        utc_offset_h=raw.utc_offset_h,
        name=raw.name,
        file=file,
        source=source,
        report=(*raw.notes, *notes, *more, *odd, *told),
        filled=np.isnan(columns["dry_bulb_C"]),
    )


def _possible(columns: dict[str, np.ndarray]) -> tuple[dict[str, np.ndarray], tuple[str, ...]]:
    """Values that no weather has become gaps, and are counted: a wrong unit shows here."""
    kept, notes = {}, []
    for name, values in columns.items():
        low, high = POSSIBLE.get(name, (-np.inf, np.inf))
        odd = (values < low) | (values > high)
        kept[name] = np.where(odd, np.nan, values)
        if odd.any():
            notes.append(f"{name}: {int(odd.sum())} impossible values dropped (is the unit right?)")
    return kept, tuple(notes)


def _ordered(raw: Raw) -> tuple[np.ndarray, dict[str, np.ndarray], tuple[str, ...]]:
    """Sorted stamps, one row each: rows of the same hour are averaged."""
    notes = []
    if (np.diff(raw.stamp) < 0).any():
        notes.append("rows were not in order of time and have been sorted")
    stamps, which = np.unique(raw.stamp, return_inverse=True)
    if len(stamps) == len(raw.stamp):
        order = np.argsort(raw.stamp, kind="stable")
        return stamps, {k: v[order] for k, v in raw.columns.items()}, tuple(notes)
    notes.append(
        f"{len(raw.stamp) - len(stamps)} rows shared an hour with others and were averaged "
        "(clock changes? the file should be in standard time)"
        if len(stamps) > 0.9 * len(raw.stamp)
        else "several rows an hour were averaged to hours"
    )
    return stamps, {k: _averaged(v, which, len(stamps)) for k, v in raw.columns.items()}, tuple(notes)


def _averaged(values: np.ndarray, which: np.ndarray, count: int) -> np.ndarray:
    known = np.isfinite(values)
    number = np.bincount(which[known], minlength=count)
    total = np.bincount(which[known], values[known], minlength=count)
    return np.divide(total, number, out=np.full(count, np.nan), where=number > 0)


def _whole_years(stamp, columns, raw: Raw, file: str):
    """An unbroken line of hours over a whole number of years; absent hours are NaN."""
    span = int(stamp[-1] - stamp[0]) + 1
    years = int(span / YEAR_H + MOST_GAPS)
    if years < 1 or len(stamp) < (1.0 - MOST_GAPS) * YEAR_H * years:
        raise InputError(
            "weather file",
            file,
            f"holds {len(stamp)} hours between its first and last of {span}: at least one "
            f"year of {YEAR_H:,} hours with less than {MOST_GAPS:.0%} gaps is needed",
        )
    if span > 100 * YEAR_H:
        raise InputError("weather file", file, f"its times span {span // YEAR_H} years", "look at the time column")
    length = YEAR_H if raw.typical else _calendar_length(int(stamp[-1]), years, span)
    notes = (f"{span - length} hours before the last {years} whole year{'s' * (years > 1)} left out",) if span > length else ()
    first = calendar_stamp(1, 1, 1) if raw.typical else max(int(stamp[0]), int(stamp[-1]) - length + 1)
    line = np.arange(first, first + length)
    inside = (stamp >= first) & (stamp < first + length)
    at = stamp[inside] - first
    spread = {k: _placed(v[inside], at, length) for k, v in columns.items()}
    return line, {k: v for k, v in spread.items() if np.isfinite(v).any() or k == "dry_bulb_C"}, years, notes


def _calendar_length(last: int, years: int, span: int) -> int:
    """Hours of the `years` years that end at `last`, leap days counted."""
    end = (EPOCH + np.timedelta64(last, "h")).astype("datetime64[D]")
    month = end.astype("datetime64[M]")
    start = (month - np.timedelta64(12 * years, "M")).astype("datetime64[D]") + (end - month.astype("datetime64[D]"))
    return int((end - start).astype(int)) * 24 if span >= years * YEAR_H else years * YEAR_H


def _placed(values, at, length: int) -> np.ndarray:
    line = np.full(length, np.nan)
    line[at] = values
    return line


def _filled(columns, bad: int) -> tuple[dict[str, np.ndarray], tuple[str, ...]]:
    """Every column without gaps; one with more than 5 % of them (other than the dry bulb) is left out."""
    kept, notes = {}, [f"{bad} impossible dry bulb{'s' * (bad != 1)} dropped (spikes)"] if bad else []
    for name, values in columns.items():
        share = float(np.isnan(values).mean())
        if share > MOST_GAPS and name != "dry_bulb_C":
            notes.append(f"{name} left out: {share:.0%} of its hours are missing")
            continue
        kept[name], line, days = filled(values)
        if line + days and name == "dry_bulb_C":
            notes.append(f"dry bulb: {line} hours filled by straight lines, {days} from neighbouring days")
        elif line + days:
            notes.append(f"{name}: {line + days} hours filled")
    return kept, tuple(notes) if notes else ("no hour needed repair",)
