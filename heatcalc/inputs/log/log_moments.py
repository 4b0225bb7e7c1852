"""When the rows of a log begin and end, from the dates and clock times that meters and utilities write.

A row says when it begins, when it ends, a day, a day and a clock time, a month, or the date of a reading.  What one stamp alone
leaves open - does it begin or end its row - is read from the whole column where that can be, and said.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np

from heatcalc.errors import InputError

EPOCH = datetime(1970, 1, 1)
MOST_CELL = 60
LONG_H = 36.0  # rows further apart are bills
ROLES = {  # what a column of times is, by the words people head it with
    "begin": "start|begin|from|interval start|start time|start date|start datetime|interval begin|period start|service start|"
    "billing start|bill start|service from|start date time|usage start|interval start time|interval start date time",
    "end": "end|to|until|interval end|end time|end date|end datetime|period end|service end|billing end|bill end|service to|"
    "end date time|usage end|interval end time|interval end date time|hour ending",
    "day": "date|day|usage date|reading day|service date|month|billing month|bill month|billing period",
    "read": "read date|meter read date|reading date|date read|bill date|statement date|billing date",
    "clock": "hour|time of day|hour of day|interval|hour beginning|hr",
    "stamp": "time|timestamp|datetime|date time|date and time|usage time|read time|local time|interval time",
}
ROLE = {word: role for role, words in ROLES.items() for word in words.split("|")}
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
CLOCK = re.compile(
    r"(?:^|[ T])(\d{1,2})(?::(\d{2})(?::(\d{2})(?:\.\d+)?)?)?\s*([ap])?\.?(?:m\.?)?(?:\s*(z|[+-]\d{2}:?\d{2}))?$", re.I
)
ISO = re.compile(r"^(\d{4})[-/.](\d{1,2})(?:[-/.](\d{1,2}))?$")
SLASH = re.compile(r"^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})$")
WORDY = re.compile(r"^(?:(\d{1,2})[ -])?([a-z]{3})[a-z]*\.?[ -](?:(\d{1,2}),? )?(\d{4}|\d{2})$", re.I)


@dataclass(frozen=True, eq=False)
class Moments:
    """Begin and end of each row [h since 1970, the log's own clock], NaN where not known, and what was understood."""

    begin_h: np.ndarray
    end_h: np.ndarray
    report: tuple[str, ...]


@dataclass(frozen=True)
class When:
    """One cell of time: the day [d since 1970], the clock [h] where it is said, an offset [h], a whole month."""

    day: float | None
    clock_h: float | None
    offset_h: float | None = None
    month: bool = False


def plain_head(cell: str) -> str:
    """A heading in plain words: no unit in brackets, no signs."""
    return re.sub(r"[^a-z0-9]+", " ", re.sub(r"[\[(].*?[\])]", " ", cell[:MOST_CELL].lower())).strip()


def when(cell: str, day_first: bool = False) -> When:
    """The day and the clock of a cell.  Raises ValueError where it is neither."""
    text = cell.strip()[:MOST_CELL]
    day = _day(text, day_first)
    if day is not None:
        return day
    clock = CLOCK.search(text)
    if clock is None:
        raise ValueError(text)
    rest = text[: clock.start()].strip().rstrip(",")
    found = _day(rest, day_first) if rest else When(None, None)
    if found is None or (rest and clock[2] is None and clock[4] is None) or (found.month and rest):
        raise ValueError(text)
    return When(found.day, _hours(clock), _offset(clock[5]))


def _hours(clock: re.Match[str]) -> float:
    hour, minute, second = (int(x or 0) for x in clock.groups()[:3])
    if hour > 24 or minute > 59 or second > 59 or (clock[4] and not 1 <= hour <= 12):
        raise ValueError(clock[0])
    if clock[4]:
        hour = hour % 12 + (12 if clock[4].lower() == "p" else 0)
    return hour + minute / 60.0 + second / 3600.0


def _offset(words: str | None) -> float | None:
    if not words:
        return None
    digits = words.replace(":", "")
    return 0.0 if words.lower() == "z" else (-1.0 if digits[0] == "-" else 1.0) * (int(digits[1:3]) + int(digits[3:5]) / 60.0)


def _day(text: str, day_first: bool) -> When | None:
    """The day, or the first of a month; None where the text is no date.  Raises ValueError for 31 February."""
    if iso := ISO.match(text):
        year, month, day = int(iso[1]), int(iso[2]), iso[3]
    elif slash := SLASH.match(text):
        first, second, year = int(slash[1]), int(slash[2]), _year(slash[3])
        month, day = (second, first) if day_first else (first, second)  # type: ignore[assignment]
    elif (wordy := WORDY.match(text)) and wordy[2].lower() in MONTHS:
        year, month, day = _year(wordy[4]), MONTHS.index(wordy[2].lower()) + 1, wordy[1] or wordy[3]
    else:
        return None
    return When(float((datetime(year, month, int(day or 1)) - EPOCH).days), None, None, day is None)


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)


def moments(columns: Mapping[str, Sequence[str]], stamps: str, file: str) -> Moments:
    """Begin and end of every row from its columns of time by role; `stamps` ("begin", "end" or "") settles a stamp alone.

    Raises InputError in one line, the row named.
    """
    read = {role: _column(cells, file) for role, cells in columns.items()}
    hour = {role: _hour_of(read, role, file) for role in ("begin", "end")}
    if hour["begin"] is not None or hour["end"] is not None:
        return _both(read, hour["begin"], hour["end"])
    return _one(read, stamps, file)


def _column(cells: Sequence[str], file: str) -> list[When]:
    """A column of times; days stand first where a first number is above 12."""
    slashes = [m for c in cells if (m := re.match(r"^\s*(\d{1,2})[-/.](\d{1,2})[-/.]\d", c[:MOST_CELL]))]
    day_first = any(int(m[1]) > 12 for m in slashes)
    found = []
    for number, cell in enumerate(cells, 1):
        try:
            found.append(when(cell, day_first))
        except (ValueError, OverflowError):
            raise InputError("log", file, f"row {number}: {cell.strip()[:40]!r} is no time", "write 2024-01-31 13:00") from None
    offsets = {w.offset_h is None for w in found}
    if len(offsets) > 1:
        raise InputError("log", file, "some times carry an offset and some do not")
    return found


def _hour_of(read: Mapping[str, list[When]], role: str, file: str) -> np.ndarray | None:
    """Hours since 1970 of a column that says its role; a clock alone takes the day of its row."""
    if role not in read:
        return None
    days = read.get("day") or read.get("stamp") or read.get("read") or read.get("begin")
    found = []
    for k, cell in enumerate(read[role]):
        day = cell.day if cell.day is not None else (days[k].day if days else None)
        if day is None:
            raise InputError("log", file, f"row {k + 1}: a clock time without its day", "add a column date")
        found.append(24.0 * day + (cell.clock_h or 0.0) - (cell.offset_h or 0.0) + (read[role][0].offset_h or 0.0))
    return np.array(found)


def _both(read: Mapping[str, list[When]], begin: np.ndarray | None, end: np.ndarray | None) -> Moments:
    """Rows that say their begin, their end, or both."""
    said: list[str] = []
    if end is not None:
        bare = all(w.clock_h is None for w in read["end"])
        if begin is None:
            end = end + (24.0 if bare and _usual_step(end) < LONG_H else 0.0)
            return Moments(np.full(len(end), np.nan), end, ("each row ends at its time",))
        if bare and not _meets(begin, end):
            end, said = end + 24.0, ["a row's last day is counted whole"]
        if all(w.day is None for w in read["end"]):
            end = np.where(end <= begin, end + 24.0, end)
        short = np.isclose((end - begin) % 0.25, 0.25 - 1 / 60, atol=1 / 120)  # 00:00 to 00:59 and the like
        return Moments(begin, np.where(short, end + 1 / 60, end), ("begin and end of each row as they stand", *said))
    assert begin is not None
    return Moments(begin, np.full(len(begin), np.nan), ("each row begins at its time",))


def _meets(begin: np.ndarray, end: np.ndarray) -> bool:
    """Whether one row's end is the next one's begin, as in most rows; a row of no length does not."""
    order = np.argsort(begin)
    return bool((end > begin).all() and np.median(begin[order][1:] - end[order][:-1]) < 12.0)


def _one(read: Mapping[str, list[When]], stamps: str, file: str) -> Moments:
    """Rows with one time: a stamp, a day, a day and a clock, a month, the date of a reading."""
    role = next(r for r in ("stamp", "read", "day") if r in read)
    cells, clocks = read[role], read.get("clock")
    if any(w.day is None for w in cells) and "day" in read and role != "day":
        cells, clocks = read["day"], cells
    if any(w.day is None for w in cells):
        raise InputError("log", file, "its times carry no day", "write 2024-01-31 13:00, or add a column date")
    hour = np.array(
        [24.0 * (w.day or 0.0) + (w.clock_h or 0.0) - (w.offset_h or 0.0) + (cells[0].offset_h or 0.0) for w in cells]
    )
    if clocks is not None:
        numbers = [w.clock_h or 0.0 for w in clocks]
        hour, last = hour + np.array(numbers), max(numbers) >= 24.0
        return _side(hour, stamps or ("end" if last or min(numbers) > 0.0 else "begin"), "")
    if all(w.month for w in cells):
        return _side(hour, "begin", "a month is counted from its first day to its last")
    bare = bool((hour % 24.0 == 0.0).all())
    if bare and _usual_step(hour) < LONG_H and not stamps:
        return Moments(hour, hour + 24.0, ("a date without a clock is that day",))
    if bare and not stamps:
        return _side(hour, "end", "a date of a bill is its meter reading: the row runs from the reading before")
    return _side(hour, stamps or ("begin" if _day_begins(hour) else "end"), "")


def _side(hour: np.ndarray, side: str, said: str) -> Moments:
    none, words = np.full(len(hour), np.nan), said or f"a row covers the time {'from' if side == 'begin' else 'up to'} its stamp"
    return Moments(hour, none, (words,)) if side == "begin" else Moments(none, hour, (words,))


def _usual_step(hour: np.ndarray) -> float:
    steps = np.diff(np.sort(hour))
    return float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0


def _day_begins(hour: np.ndarray) -> bool:
    """Rows begin at their stamps where the first stamp is a midnight and the last is none: a whole number of days."""
    step = _usual_step(hour)
    return bool(hour.min() % 24.0 == 0.0 and step < 24.0 and np.isclose((hour.max() + step) % 24.0, 0.0, atol=1e-6))


def clock_columns(header: Sequence[str]) -> list[tuple[int, float]]:
    """Columns that are the hours of a day side by side: place and begin [h] of each; empty where there are fewer than 20."""
    found = []
    for at, cell in enumerate(header):
        match = re.match(
            r"^\s*(?:h(?:ou)?r?e?\s*(?:ending)?\s*)?(\d{1,2})(?::?(\d{2}))?\s*([ap]m)?\s*(?:\(?kwh\)?)?\s*$",
            cell[:MOST_CELL],
            re.I,
        )
        if match and int(match[1]) <= 24:
            hour = int(match[1]) % 12 + (12 if match[3].lower() == "pm" else 0) if match[3] else int(match[1])
            found.append((at, hour + int(match[2] or 0) / 60.0))
    if len(found) < 20 or any(b[1] <= a[1] for a, b in pairwise(found[:-1])):
        return []
    step = 24.0 / len(found)
    return [(at, k * step) for k, (at, _) in enumerate(found)]
