"""An owner's log: energy and temperatures over time, put in order, repaired or refused, and gathered into days.

    # meter: unit            what is metered: unit (the heat pump's circuit) or house; else read from its words, and said
    # other loads: 250 W     with meter: house, the mean of everything else; else read from its mild days
    # stamps: end            a row covers the time up to its stamp (end) or from it on (begin); else read from the column
    time,energy (kWh),outdoor (F),indoor (F)
    2024-01-01 01:00,0.62,12.2,69.8

or an export as a meter or a utility gives it (`log_export`, `log_moments`).  Energy is one of `energy (kWh)` of the row,
`power (W)` as its mean, or `reading (kWh)` of a counter that only rises.  Rows from 15 minutes to two months apart; empty
cells are gaps.  `outdoor` may stand in a second file of the same kind.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import read_text
from heatcalc.inputs.log.log_export import Export, read_export
from heatcalc.inputs.log.log_moments import Moments, moments
from heatcalc.inputs.usual import doubts_of
from heatcalc.physics.year.weather_statistics import COLDEST_C, HOTTEST_C
from heatcalc.wording import Said

MOST_BYTES = 60_000_000
SHORTEST_H, LONGEST_H = 0.24, 24.0 * 65
MOST_POWER_W = 25_000.0  # above a 100 A supply at 240 V
MOST_IMPOSSIBLE = 0.05
LEAST_COVER = 0.9  # of a day's rows
INDOOR_C = (-20.0, 45.0)
KEYS = {"meter": ("unit", "house"), "stamps": ("end", "begin"), "other loads": ()}


@dataclass(frozen=True, eq=False, kw_only=True)
class Log:
    """Periods in order of time, a day each or as long as the rows are; NaN where a temperature was not logged."""

    begin_h: np.ndarray  # hours since 1970, the log's own clock
    hours: np.ndarray
    power_W: np.ndarray  # mean electric input of what is metered
    outdoor_C: np.ndarray
    indoor_C: np.ndarray
    meter: str
    other_W: float  # mean of everything else on a house's meter; NaN where it is still to be read from mild days
    interval_h: float
    file: str
    report: tuple[Said, ...]

    @property
    def month(self) -> np.ndarray:
        """Month (0 to 11) of the middle of each period."""
        middle = (self.begin_h + self.hours / 2).astype("timedelta64[h]") + np.datetime64("1970-01-01T00", "h")
        return middle.astype("datetime64[M]").astype(int) % 12


@dataclass(frozen=True, eq=False, kw_only=True)
class Rows:
    """Rows in order: end of each [h since 1970], length [h], columns in SI with energy as mean power [W]."""

    end_h: np.ndarray
    hours: np.ndarray
    columns: dict[str, np.ndarray]
    interval_h: float
    said: dict[str, str]
    report: tuple[str, ...]


def read_log(path: Path | str, outdoor: Path | str | None = None, meter: str = "", other: str = "") -> Log:
    """The log in `path`, outdoor temperature from a second file where it is not logged; `meter` and `other` as in its head lines.

    Raises InputError in one line: unreadable, no time or energy, a unit missing, impossible values, no outdoor temperature.
    """
    asked = {key: word for key, word in (("meter", meter), ("other loads", other)) if word}
    rows = _rows(path, ("energy", "power", "reading"), asked)
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


def _rows(path: Path | str, wanted: tuple[str, ...], asked: dict[str, str] | None = None) -> Rows:
    name = Path(path).name
    table = read_export(read_text(path, MOST_BYTES), wanted, KEYS, name)
    said = {**table.said, **(asked or {})}
    _check_said(said, name)
    times = moments(table.times, said.get("stamps", ""), name)
    columns = {key: _values(cells, unit, key, name) for key, (cells, unit) in table.columns.items()}
    order = times.begin_h if np.isfinite(times.begin_h).any() else times.end_h
    keep, report = _ordered(order, columns)
    times = replace(times, begin_h=times.begin_h[keep], end_h=times.end_h[keep])
    columns = {k: v[keep] for k, v in columns.items()}
    meter, words = _meter(said.get("meter", table.meter), table, "meter" in said) if "outdoor" not in wanted else ("", ())
    return _measured(times, columns, {**said, "meter": meter}, (*table.report, *times.report, *report, *words), name)


def _meter(meter: str, table: Export, stated: bool) -> tuple[str, tuple[str, ...]]:
    """Which meter, and the words that say how it is known."""
    if meter == "house" and not stated:
        return meter, ("read as the whole house's meter, as its columns look; --meter unit where it is the heat pump's own",)
    if not meter:
        return "unit", ("taken as the heat pump's own meter; --meter house where it counts the whole house",)
    return meter, ("the whole house's meter" if meter == "house" else "the heat pump's own meter",)


def _check_said(said: dict[str, str], file: str) -> None:
    for key, allowed in KEYS.items():
        if allowed and said.get(key, allowed[0]) not in allowed:
            raise InputError(key, said[key], f"is {' or '.join(allowed)}", nearest(said[key], list(allowed)), file)


def _values(cells: list[str], unit: str, name: str, file: str) -> np.ndarray:
    """One column: degC for temperatures, kWh for energy, W for power; empty cells are NaN."""
    found = []
    for number, cell in enumerate(cells, 1):
        try:
            found.append(float(cell) if cell and cell.lower() not in ("nan", "na", "null", "-") else np.nan)
        except ValueError:
            raise InputError("log", file, f"row {number}: {cell[:30]!r} is not a number", "leave a missing value empty") from None
    numbers = np.array(found)
    to = "watt" if name == "power" else "degC" if name in ("outdoor", "indoor") else "kilowatt_hour"
    return units.convert(np.where(np.isfinite(numbers) & (np.abs(numbers) < 1e9), numbers, np.nan), unit, to)


def _ordered(stamps: np.ndarray, columns: dict[str, np.ndarray]) -> tuple[np.ndarray, tuple[str, ...]]:
    """Places of the rows in order of time, rows given twice dropped; an hour that the clock repeats keeps both its rows."""
    order = np.argsort(stamps, kind="stable")
    notes: tuple[str, ...] = () if (order == np.arange(len(order))).all() else ("rows put in order of time",)
    same = np.append(False, np.diff(stamps[order]) == 0)
    for series in (v[order] for v in columns.values()):
        same[1:] &= (series[1:] == series[:-1]) | (np.isnan(series[1:]) & np.isnan(series[:-1]))
    notes += (f"{int(same.sum())} rows given twice dropped",) if same.any() else ()
    return order[~same], notes


def _measured(times: Moments, columns: dict[str, np.ndarray], said: dict[str, str], report: tuple[str, ...], file: str) -> Rows:
    """Rows with their length and mean power; impossible values become gaps, too many are refused."""
    begins = bool(np.isfinite(times.begin_h).any())
    stamps = times.begin_h if begins else times.end_h
    steps = np.diff(stamps)
    interval = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    if not SHORTEST_H <= interval <= LONGEST_H:
        raise InputError("log", file, f"has rows {interval:.2f} h apart; from 15 minutes to two months is read")
    long = interval > 24.5
    hours = (np.append(steps, np.nan) if begins else np.append(np.nan, steps)) if long else np.full(len(stamps), interval)
    if np.isfinite(times.begin_h).any() and np.isfinite(times.end_h).any():
        hours = times.end_h - times.begin_h
    end = stamps + (hours if begins else 0.0)
    columns = dict(columns)
    if "reading" in columns:
        risen = np.append(np.nan, np.diff(columns.pop("reading")))
        if "energy" not in columns:
            columns["energy"] = np.where(long | (np.append(0.0, steps) <= 1.5 * interval), risen, np.nan)
    if "energy" in columns:
        with np.errstate(invalid="ignore", divide="ignore"):
            columns["power"] = 1000.0 * columns.pop("energy") / hours
    columns, impossible = _possible(columns, file)
    keep = np.isfinite(hours) & (hours > 0)
    return Rows(
        end_h=end[keep],
        hours=hours[keep],
        columns={k: v[keep] for k, v in columns.items()},
        interval_h=interval,
        said=said,
        report=(*report, *impossible),
    )


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
    other = 0.0
    if rows.said.get("meter") == "house":
        other = _other(rows.said["other loads"], file) if "other loads" in rows.said else float("nan")
    log = Log(
        begin_h=begin,
        hours=hours,
        power_W=series["power"],
        outdoor_C=series["outdoor"],
        indoor_C=series["indoor"],
        meter=rows.said.get("meter", "unit"),
        other_W=other,
        interval_h=rows.interval_h,
        file=file,
        report=report,
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
    from heatcalc.files import folder

    path = Path(name)
    shipped = folder("workbooks") / "logs" / f"{path.name.removesuffix('.csv')}.csv"
    return shipped if not path.exists() and path.parent == Path(".") and shipped.exists() else path
