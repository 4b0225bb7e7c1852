"""Hours as an hourly file gives them, before they are put in order and repaired."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

NOMINAL_YEAR = 2001  # a typical year's months come from different years; its stamps are set in this one
EPOCH = np.datetime64("1970-01-01T00", "h")


@dataclass(frozen=True, kw_only=True)
class Raw:
    """Hours as a file gives them: `stamp` = end of the hour in standard time [h since 1970], NaN = missing."""

    stamp: np.ndarray
    columns: dict[str, np.ndarray]
    typical: bool
    lat: float | None
    lon: float | None
    elevation_m: float | None
    utc_offset_h: float | None
    name: str
    notes: tuple[str, ...] = ()


def calendar_stamp(month, day, hour):
    """Hours since 1970 of month, day and hour 1..24 in the nominal year."""
    start = np.datetime64(f"{NOMINAL_YEAR - 1}-12", "M") + np.asarray(month, int)
    return ((start.astype("datetime64[D]") + (np.asarray(day, int) - 1)).astype("datetime64[h]") - EPOCH).astype(int) + hour


def leap_rows(kept: np.ndarray) -> tuple[str, ...]:
    """What is said of rows of 29 February that a typical year does not hold."""
    gone = int((~kept).sum())
    return (f"{gone} rows of 29 February left out",) if gone else ()
