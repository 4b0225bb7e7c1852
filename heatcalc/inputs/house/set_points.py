"""Indoor temperatures by hour and weekday, at night, and while nobody is there."""

from __future__ import annotations

import re
from typing import Annotated, Literal

import numpy as np
from pydantic import AfterValidator, Field, WrapValidator, model_validator

from heatcalc.inputs.checked import Checked, quantity
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
