"""Pieces of a house file: indoor temperatures by hour and weekday, windows and doors with what shades or closes them,
airtightness as a builder knows it (`3.0 ACH50`, `250 cfm50`, a class by name), and what a shop's delivered houses showed.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from pydantic import AfterValidator, Field, WrapValidator, model_validator

from heatcalc import tables, units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, quantity, read_text
from heatcalc.physics.sun.sun import MONTH_DAYS
from heatcalc.units import text

Room = quantity("temperature", 5.0, 35.0, "indoor temperatures people live with")
RoomOrOff = Annotated[Room, WrapValidator(lambda said, read: said if said == "off" else read(said))]
LEAST_APART_K = 0.5


def within(hour: np.ndarray, start: int, end: int) -> np.ndarray:
    """Which hours of the clock lie from `start` to `end`, over midnight where the end comes first, none where both are one."""
    return (start <= hour) & (end > hour) if start <= end else (start <= hour) | (end > hour)


def _date(text: str) -> str:
    written = re.fullmatch(r"(\d\d)-(\d\d)", text)
    if not written or not 1 <= int(written[1]) <= 12 or not 1 <= int(written[2]) <= MONTH_DAYS[int(written[1]) - 1]:
        raise ValueError('is a month and a day of a 365-day year, e.g. "01-15"')
    return text


Date = Annotated[str, AfterValidator(_date)]


class Period(Checked):
    """Set points of some hours of some days, or "off"; `to_hour` before `from_hour` runs over midnight.  Later rows win."""

    days: Literal["every day", "weekdays", "weekend"] = "every day"
    from_hour: int = Field(0, ge=0, le=23)
    to_hour: int = Field(24, ge=0, le=24)
    heating: RoomOrOff | None = None
    cooling: RoomOrOff | None = None


class Away(Checked):
    """Days on which nobody is there, first and last included: a low set point, no cooling unless said, no household."""

    from_date: Date
    to_date: Date
    heating: quantity("temperature", 2.0, 35.0) = (50 - 32) / 1.8
    cooling: Room | None = None


class SetPoints(Checked):
    """Indoor temperatures; the night value, if given, holds from `night_from` to `night_to` (hour of the day).

    `heating` and `cooling` are what the unit is sized for; `schedule` and `away` change hours of the year.
    """

    heating: Room = (70 - 32) / 1.8
    cooling: Room = (75 - 32) / 1.8
    night_heating: Room | None = None
    night_from: int = Field(22, ge=0, le=23)
    night_to: int = Field(6, ge=0, le=23)
    cooling_humidity: quantity("fraction", 0.3, 0.7) = 0.5
    schedule: tuple[Period, ...] = Field(default=(), max_length=40)
    away: tuple[Away, ...] = Field(default=(), max_length=20)

    @model_validator(mode="after")
    def _order(self) -> SetPoints:
        pairs = [("heating", self.heating, self.cooling), ("night_heating", self.night_heating, self.cooling)]
        changes: list[tuple[str, Period | Away]] = [(f"schedule {k}", row) for k, row in enumerate(self.schedule, 1)]
        changes += [(f"away {k}", row) for k, row in enumerate(self.away, 1)]
        pairs += [(name, row.heating or self.heating, row.cooling or self.cooling) for name, row in changes]
        for name, heating, cooling in pairs:
            if heating is not None and "off" not in (heating, cooling) and cooling < heating + LEAST_APART_K:
                said = " and ".join(
                    f"{text(t, 'temperature', 'ip')} ({text(t, 'temperature', 'si')})" for t in (cooling, heating)
                )
                raise ValueError(f"the cooling set point must be at least 1 F above {name}, given {said}")
        return self


Face = Literal["front", "right", "back", "left"]
Size = quantity("length", 0.3, 5.0, "sizes of openings and small parts")
Depth = quantity("length", 0.0, 3.0)
Share = quantity("fraction", 0.0, 1.0)


class Opening(Checked):
    """What windows and doors have in common; `box` names an extra box, else it is in the main body."""

    face: Literal["front", "right", "back", "left", "roof"]
    width: Size
    height: Size
    count: int = Field(1, ge=1, le=20)
    box: str | None = None
    u_value: quantity("U-value", 0.3, 7.2, "whole product, label value") | None = None
    name: str | None = Field(None, max_length=60)

    @property
    def area_m2(self) -> float:
        """Area of all `count` pieces [m2]."""
        return float(self.width) * float(self.height) * self.count


class WindowIn(Opening):
    """A window or skylight; label values (u_value, shgc) win over the named type.

    `side_fins`: depth of a fin on each side, `fins_beside` from the glass; `insect_screen`: share of the window behind one.
    `inside_shade`: share of the sun that blinds let in from `shade_from` to `shade_to` (hours of the clock); of the sun itself
    slats let `slats_level` in where it comes level and `slats_steep` where it falls at 60 degrees.  `shutter`: the R that an
    opaque shutter with its air space adds from `shutter_from` to `shutter_to`, where it keeps the sun out too; "usually"
    closed it counts in the year, "always" in the design cold as well.
    """

    type: str | None = None
    shgc: Annotated[float | None, Field(ge=0.05, le=0.95)] = None
    overhang: Depth = 0.0
    overhang_above: Depth = 0.3
    side_fins: Depth = 0.0
    fins_beside: Depth = 0.1
    insect_screen: Share = 0.0
    inside_shade: Share = 1.0
    shade_from: int = Field(0, ge=0, le=23)
    shade_to: int = Field(24, ge=0, le=24)
    slats_level: Share | None = None
    slats_steep: Share | None = None
    shutter: quantity("thermal resistance", 0.0, 2.0, "added by a closed shutter and its air space") = 0.0
    shutter_from: int = Field(21, ge=0, le=23)
    shutter_to: int = Field(7, ge=0, le=24)
    shutter_closed: Literal["usually", "always"] = "usually"

    @model_validator(mode="after")
    def _slats(self) -> WindowIn:
        if (self.slats_level is None) != (self.slats_steep is None):
            raise ValueError("slats need both slats_level and slats_steep, from the table of that blind")
        if self.slats_level is not None and (self.face == "roof" or self.inside_shade == 0.0):
            raise ValueError("slats are for a window in a wall, beside an inside_shade above 0 for the light of the sky")
        return self

    @property
    def shade_all_day(self) -> float:
        """Share of the sun let in, for what knows no hours: blinds count where they are drawn all day."""
        return self.inside_shade if within(np.arange(24), self.shade_from, self.shade_to).all() else 1.0

    def shut(self, hour: np.ndarray) -> np.ndarray:
        """In which hours of the clock (0 is midnight to one) the shutter is closed."""
        return within(hour, self.shutter_from, self.shutter_to) & (self.shutter > 0.0)


class Door(Opening):
    """A door; `type` names an assembly of kind door."""

    face: Face
    type: str | None = None


ACH50_RANGE = (0.02, 60.0)


@dataclass(frozen=True)
class Tightness:
    """Exactly one of the three is set: air changes per hour at 50 Pa, flow at 50 Pa [m3/s], leakage class."""

    ach50: float | None = None
    flow50_m3_s: float | None = None
    leakage_class: str | None = None


def leakage_classes() -> tuple[str, ...]:
    """The class names of the leakage table."""
    return tuple(row["name"] for row in tables.rows("leakage_classes"))


def about_ach50() -> dict[str, float]:
    """Each class in ACH50 of a house of the starter's size, loose to tight; a larger house has less for the same class."""
    return {row["name"]: float(row["about_ach50"]) for row in tables.rows("leakage_classes")}


def read_tightness(text: str) -> Tightness:
    """`text` as a Tightness.  Raises ValueError with the ways to write it."""
    words = " ".join(str(text).split()).lower()
    if match := re.fullmatch(r"(\d+(?:\.\d+)?) ?(?:ach50|ach @ 50|ach at 50 pa)", words):
        return Tightness(ach50=_within(float(match[1]), *ACH50_RANGE, "ACH50"))
    if match := re.fullmatch(r"(\d[\d,]*(?:\.\d+)? ?(?:cfm|l/s|m3/h))50", words):
        return Tightness(flow50_m3_s=_within(units.parse(match[1], "air flow"), 0.0005, 2.0, "m3/s at 50 Pa"))
    if words in leakage_classes():
        return Tightness(leakage_class=words)
    known = ", ".join(f"{name}: about {ach50:g} ACH50" for name, ach50 in about_ach50().items())
    hint = nearest(words, list(leakage_classes()))
    raise ValueError(f"is written '3.0 ACH50', '250 cfm50' or a class ({known}){'; ' + hint if hint else ''}")


def _within(value: float, low: float, high: float, unit: str) -> float:
    if not low <= value <= high:
        raise ValueError(f"allowed {low:g} to {high:g} {unit}")
    return value


COLUMNS = ("house", "stated_ach50", "measured_ach50", "computed_loss", "metered_loss")
PAIRS = {"leaks": COLUMNS[1:3], "loss": COLUMNS[3:5]}
APART = 5.0  # a house that differs more than this from what was said is no measurement of it: own choice


Ratio = Annotated[float, Field(ge=1.0 / APART, le=APART)]


class Fleet(Checked):
    """Ratios of measured to stated, a value a house that was measured: leakage at 50 Pa, heat loss coefficient [-]."""

    leaks: tuple[Ratio, ...] = ()
    loss: tuple[Ratio, ...] = ()


def read_fleet(path: Path | str) -> Fleet:
    """A CSV with a header line; of each pair of columns both cells or neither.  Raises InputError with the row."""
    name = Path(path).name
    lines = [line for line in read_text(path).splitlines() if line.strip() and not line.lstrip().startswith("#")]
    table = csv.DictReader(io.StringIO("\n".join(lines)), skipinitialspace=True)
    heads = [str(h).strip() for h in table.fieldnames or ()]
    for head in heads:
        if head not in COLUMNS:
            raise InputError("column", head, "unknown column", nearest(head, COLUMNS) or f"known: {', '.join(COLUMNS)}", name)
    if not any(set(pair) <= set(heads) for pair in PAIRS.values()):
        raise InputError("fleet", name, "has no pair of columns to learn from", f"a header line {','.join(COLUMNS)}")
    found: dict[str, list[float]] = {what: [] for what in PAIRS}
    for n, row in enumerate(table, 2):
        cells = {k: (v or "").strip() for k, v in row.items() if isinstance(k, str) and not isinstance(v, list)}
        if None in row:
            raise InputError(f"row {n}", ",".join(row[None]), "stands after the last column", "", name)  # type: ignore[call-overload]
        for what, (stated, measured) in PAIRS.items():
            said = cells.get(stated, ""), cells.get(measured, "")
            if any(said):
                found[what].append(_ratio(said, (stated, measured), n, name))
    return Fleet(leaks=tuple(found["leaks"]), loss=tuple(found["loss"]))


def _ratio(said: tuple[str, str], heads: tuple[str, ...], n: int, name: str) -> float:
    numbers = []
    for head, word in zip(heads, said, strict=True):
        try:
            numbers.append(float(word))
        except ValueError:
            raise InputError(f"row {n}, {head}", word, "is a number above 0, in both columns of the pair", "", name) from None
    if not (0.0 < numbers[0] < 1e6 and 0.0 < numbers[1] < 1e6 and 1.0 / APART <= numbers[1] / numbers[0] <= APART):
        raise InputError(
            f"row {n}, {heads[1]}", said[1], f"is from a {1 / APART:g}th to {APART:g} times {heads[0]} ({said[0]})",
            "the same unit in both columns?", name,
        )  # fmt: skip
    return numbers[1] / numbers[0]
