"""An owner's log: energy and temperatures over time, put in order, repaired or refused, and gathered into days.

    # meter: unit            what is metered: unit (the heat pump's circuit, the default) or house
    # other loads: 250 W     with meter: house, the mean of everything else
    # stamps: end            a row covers the time up to its stamp (end, the default) or from it on (begin)
    time,energy (kWh),outdoor (F),indoor (F)
    2024-01-01 01:00,0.62,12.2,69.8

`time` as in a weather file (2024-01-31 13:00, with or without an offset, or 1/31/2024 13:00).  Energy is one of
`energy (kWh)` of the row, `power (W)` as its mean, or `reading (kWh)` of a counter that only rises.  Rows from 15 minutes
to a month apart; empty cells are gaps.  `outdoor` may stand in a second file of the same kind.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import read_text
from heatcalc.inputs.commented_csv import commented_csv
from heatcalc.inputs.usual import doubts_of
from heatcalc.inputs.weather.weather_csv import EPOCH, TIME_NAMES, moment_of
from heatcalc.physics.year.weather_repair import COLDEST_C, HOTTEST_C
from heatcalc.wording import Said

MOST_BYTES, MOST_ROWS, MOST_CELL = 60_000_000, 500_000, 60
SHORTEST_H, LONGEST_H = 0.24, 24.0 * 32
MOST_POWER_W = 25_000.0  # above a 100 A supply at 240 V
MOST_IMPOSSIBLE = 0.05
LEAST_COVER = 0.9  # of a day's rows
INDOOR_C = (-20.0, 45.0)
COLUMNS = {
    "energy": ("energy", ("energy", "used", "consumption")),
    "power": ("electric power", ("power", "watts", "load")),
    "reading": ("energy", ("reading", "counter", "total")),
    "outdoor": ("temperature", ("outdoor", "outdoors", "outside", "outdoor_temperature", "dry_bulb")),
    "indoor": ("temperature", ("indoor", "indoors", "inside", "room", "indoor_temperature")),
}
NAMES = {word: name for name, (_, words) in COLUMNS.items() for word in words}
UNITS = {
    "energy": {"kwh": "kilowatt_hour", "wh": "watt_hour"},
    "power": {"w": "watt", "kw": "kilowatt"},
    "temperature": {"f": "degF", "°f": "degF", "c": "degC", "°c": "degC"},
}
KEYS = {"meter": ("unit", "house"), "stamps": ("end", "begin"), "other loads": ()}


@dataclass(frozen=True, eq=False)
class Log:
    """Periods in order of time, a day each or as long as the rows are; NaN where a temperature was not logged."""

    begin_h: np.ndarray  # hours since 1970, the log's own clock
    hours: np.ndarray
    power_W: np.ndarray  # mean electric input of what is metered
    outdoor_C: np.ndarray
    indoor_C: np.ndarray
    meter: str
    other_W: float
    interval_h: float
    file: str
    report: tuple[Said, ...]

    @property
    def month(self) -> np.ndarray:
        """Month (0 to 11) of the middle of each period."""
        middle = (self.begin_h + self.hours / 2).astype("timedelta64[h]") + np.datetime64("1970-01-01T00", "h")
        return middle.astype("datetime64[M]").astype(int) % 12


@dataclass(frozen=True, eq=False)
class Rows:
    """Rows in order: end of each [h since 1970], length [h], columns in SI with energy as mean power [W]."""

    end_h: np.ndarray
    hours: np.ndarray
    columns: dict[str, np.ndarray]
    interval_h: float
    said: dict[str, str]
    report: tuple[str, ...]


def read_log(path: Path | str, outdoor: Path | str | None = None) -> Log:
    """The log in `path`, outdoor temperature from a second file where it is not logged.

    Raises InputError in one line: unreadable, no time or energy, a unit missing, impossible values, no outdoor temperature.
    """
    rows = _rows(path, ("energy", "power", "reading"))
    log = _log(rows, Path(path).name)
    if outdoor is not None:
        beside = _log(_rows(outdoor, ("outdoor",)), Path(outdoor).name)
        log = replace(
            log, outdoor_C=_matched(log, beside), report=(*log.report, *beside.report, f"outdoor temperature of {beside.file}")
        )
    if not np.isfinite(log.outdoor_C).any():
        raise InputError(
            "log", log.file, "has no outdoor temperature", "add a column outdoor (F), or give --outdoor FILE of the same days"
        )
    return log


def _rows(path: Path | str, wanted: tuple[str, ...]) -> Rows:
    name = Path(path).name
    said, header, lines = commented_csv(read_text(path, MOST_BYTES), KEYS, MOST_ROWS, 3, "log", name, "log")
    said = {key: value.lower() for key, value in said.items()}
    _check_said(said, name)
    time_at, found = _columns(header, wanted, name)
    stamps = _stamps([line[time_at] for line in lines], name)
    columns = {key: _values(lines, at, unit, key, name) for key, (at, unit) in found.items()}
    stamps, columns, report = _ordered(stamps, columns)
    return _measured(stamps, columns, said, report, name)


def _check_said(said: dict[str, str], file: str) -> None:
    for key, allowed in KEYS.items():
        if allowed and said.get(key, allowed[0]) not in allowed:
            raise InputError(key, said[key], f"is {' or '.join(allowed)}", nearest(said[key], list(allowed)), file)
    if said.get("meter") == "house" and "other loads" not in said:
        raise InputError("other loads", None, "is needed with meter: house", "add a line like '# other loads: 250 W'", file)


def _columns(header: list[str], wanted: tuple[str, ...], file: str) -> tuple[int, dict[str, tuple[int, str]]]:
    """Place of the time, and place and pint unit of each column that is known."""
    time_at, found, seen = None, {}, []
    for at, cell in enumerate(c.strip()[:MOST_CELL] for c in header):
        match = re.match(r"^(.*?)\s*[\[(]\s*(.*?)\s*[\])]$", cell.strip())
        name, unit = match.groups() if match else cell.strip().rpartition("_")[::2] if "_" in cell else (cell.strip(), "")
        plain = re.sub(r"[\s-]+", "_", name.strip().lower())
        seen.append(plain)
        if cell.strip().lower() in TIME_NAMES or plain in TIME_NAMES:
            time_at = at if time_at is None else time_at
        elif plain in NAMES and NAMES[plain] not in found:
            found[NAMES[plain]] = (at, _unit(NAMES[plain], unit, cell, file))
    if time_at is None:
        raise InputError("log", file, "has no column 'time'", nearest("time", seen).replace("did you mean", "is it"))
    if not set(wanted) & set(found):
        raise InputError(
            "log",
            file,
            f"has no column {' or '.join(map(repr, wanted))}",
            nearest(wanted[0], seen).replace("did you mean", "is it"),
        )
    return time_at, found


def _unit(name: str, unit: str, cell: str, file: str) -> str:
    kind = COLUMNS[name][0]
    known = UNITS["power" if name == "power" else kind]
    if unit.strip().lower() not in known:
        raise InputError(
            "column", cell, f"needs a unit in its name: {', '.join(known)}", f"e.g. {name} ({next(iter(known))})", file
        )
    return known[unit.strip().lower()]


def _stamps(cells: list[str], file: str) -> np.ndarray:
    """Hours since 1970 on the log's own clock; with offsets, on the first row's offset."""
    found, first = [], None
    for number, cell in enumerate(cells, 1):
        try:
            moment = moment_of(cell.strip()[:MOST_CELL])
        except (ValueError, OverflowError):
            raise InputError("log", file, f"row {number}: {cell.strip()[:40]!r} is no time", "write 2024-01-31 13:00") from None
        offset = moment.utcoffset()
        first = offset if number == 1 else first
        if (offset is None) != (first is None):
            raise InputError("log", file, "some times carry an offset and some do not")
        naive = moment.replace(tzinfo=None)
        found.append(((naive if offset is None or first is None else naive - offset + first) - EPOCH).total_seconds() / 3600.0)
    return np.array(found)


def _values(lines: list[list[str]], at: int, unit: str, name: str, file: str) -> np.ndarray:
    """One column: degC for temperatures, kWh for energy, W for power; empty cells are NaN."""
    found = []
    for number, line in enumerate(lines, 1):
        cell = line[at].strip()
        try:
            found.append(float(cell) if cell and cell.lower() not in ("nan", "na", "null", "-") else np.nan)
        except ValueError:
            raise InputError("log", file, f"row {number}: {cell[:30]!r} is not a number", "leave a missing value empty") from None
    numbers = np.array(found)
    to = "watt" if name == "power" else "degC" if name in ("outdoor", "indoor") else "kilowatt_hour"
    return units.convert(np.where(np.isfinite(numbers) & (np.abs(numbers) < 1e9), numbers, np.nan), unit, to)


def _ordered(stamps: np.ndarray, columns: dict[str, np.ndarray]) -> tuple[np.ndarray, dict[str, np.ndarray], tuple[str, ...]]:
    """Rows in order of time, rows given twice dropped; an hour that the clock repeats keeps both its rows."""
    order = np.argsort(stamps, kind="stable")
    notes: tuple[str, ...] = () if (order == np.arange(len(order))).all() else ("rows put in order of time",)
    stamps, columns = stamps[order], {k: v[order] for k, v in columns.items()}
    same = np.append(False, np.diff(stamps) == 0)
    for series in columns.values():
        same[1:] &= (series[1:] == series[:-1]) | (np.isnan(series[1:]) & np.isnan(series[:-1]))
    notes += (f"{int(same.sum())} rows given twice dropped",) if same.any() else ()
    return stamps[~same], {k: v[~same] for k, v in columns.items()}, notes


def _measured(
    stamps: np.ndarray, columns: dict[str, np.ndarray], said: dict[str, str], report: tuple[str, ...], file: str
) -> Rows:
    """Rows with their length and mean power; impossible values become gaps, too many are refused."""
    steps = np.diff(stamps)
    interval = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    if not SHORTEST_H <= interval <= LONGEST_H:
        raise InputError("log", file, f"has rows {interval:.2f} h apart; from 15 minutes to a month is read")
    begins, long = said.get("stamps") == "begin", interval > 24.5
    hours = (np.append(steps, np.nan) if begins else np.append(np.nan, steps)) if long else np.full(len(stamps), interval)
    end = stamps + (hours if begins else 0.0)
    columns = dict(columns)
    if "reading" in columns:
        risen = np.append(np.nan, np.diff(columns.pop("reading")))
        columns["energy"] = np.where(long | (np.append(0.0, steps) <= 1.5 * interval), risen, np.nan)
    if "energy" in columns:
        with np.errstate(invalid="ignore", divide="ignore"):
            columns["power"] = 1000.0 * columns.pop("energy") / hours
    columns, impossible = _possible(columns, file)
    keep = np.isfinite(hours) & (hours > 0)
    return Rows(end[keep], hours[keep], {k: v[keep] for k, v in columns.items()}, interval, said, (*report, *impossible))


def _possible(columns: dict[str, np.ndarray], file: str) -> tuple[dict[str, np.ndarray], tuple[str, ...]]:
    limits = {"power": (-1.0, MOST_POWER_W), "outdoor": (COLDEST_C, HOTTEST_C), "indoor": INDOOR_C}
    cleaned, notes = {}, []
    for name, series in columns.items():
        low, high = limits[name]
        bad = np.isfinite(series) & ((series < low) | (series > high))
        known = max(int(np.isfinite(series).sum()), 1)
        if bad.sum() > max(MOST_IMPOSSIBLE * known, 2):
            raise InputError(
                "log",
                file,
                f"{bad.sum() / known:.0%} of the {name} values cannot be real",
                "look at the unit in the column's name" if name != "power" else "look at the unit and the meter",
            )
        notes += [f"{int(bad.sum())} impossible {name} values left out"] if bad.any() else []
        cleaned[name] = np.where(bad, np.nan, series)
    return cleaned, tuple(notes)


def _log(rows: Rows, file: str) -> Log:
    """Days from rows shorter than a day, else the rows themselves; periods without enough rows are left out."""
    none = np.full(len(rows.end_h), np.nan)
    series = {name: rows.columns.get(name, none) for name in ("power", "outdoor", "indoor")}
    begin, hours, left_out = rows.end_h - rows.hours, rows.hours, 0
    if rows.interval_h < 23.0:
        day = np.floor(begin / 24.0 + 1e-9).astype(int)
        begin, hours, series, left_out = _days(day, 24.0 / rows.interval_h, series)
    report = (*rows.report, *((f"{left_out} days with gaps left out",) if left_out else ()))
    other = _other(rows.said.get("other loads", "0 W"), file) if rows.said.get("meter") == "house" else 0.0
    log = Log(
        begin,
        hours,
        series["power"],
        series["outdoor"],
        series["indoor"],
        rows.said.get("meter", "unit"),
        other,
        rows.interval_h,
        file,
        report,
    )
    return replace(log, report=(*report, *doubts_of(log, "log")))


def _days(day: np.ndarray, rows_a_day: float, series: dict[str, np.ndarray]):
    """Means of each day whose rows are there; days without are left out where the first column that is used has gaps."""
    which, place = np.unique(day, return_inverse=True)
    means = {name: _day_mean(values, place, len(which), rows_a_day) for name, values in series.items()}
    known = np.isfinite(means["power"]) | (~np.isfinite(series["power"]).any() & np.isfinite(means["outdoor"]))
    return 24.0 * which[known], np.full(int(known.sum()), 24.0), {k: v[known] for k, v in means.items()}, int((~known).sum())


def _day_mean(values: np.ndarray, place: np.ndarray, count: int, rows_a_day: float) -> np.ndarray:
    there = np.isfinite(values)
    number = np.bincount(place[there], minlength=count)
    total = np.bincount(place[there], weights=values[there], minlength=count)
    return np.where(number >= LEAST_COVER * rows_a_day, total / np.maximum(number, 1), np.nan)


def _other(words: str, file: str) -> float:
    try:
        watts = units.parse(words, "electric power")
    except ValueError as problem:
        raise InputError("other loads", words, str(problem), "", file) from None
    if not 0.0 <= watts <= 5000.0:
        raise InputError("other loads", words, "is 0 to 5,000 W", "", file)
    return watts


def _matched(log: Log, beside: Log) -> np.ndarray:
    """Mean outdoor temperature of another file over each of the log's periods; NaN where it covers too little."""
    found = np.full(len(log.hours), np.nan)
    for k, (begin, hours) in enumerate(zip(log.begin_h, log.hours, strict=True)):
        inside = (beside.begin_h >= begin - 12.0) & (beside.begin_h < begin + hours - 12.0) & np.isfinite(beside.outdoor_C)
        if beside.hours[inside].sum() >= LEAST_COVER * hours:
            found[k] = float(np.average(beside.outdoor_C[inside], weights=beside.hours[inside]))
    return found


def log_path(name: str) -> Path:
    """The file itself, or the shipped example of that name."""
    from heatcalc.resources import folder

    path = Path(name)
    shipped = folder("workbooks") / "logs" / f"{path.name.removesuffix('.csv')}.csv"
    return shipped if not path.exists() and path.parent == Path(".") and shipped.exists() else path
