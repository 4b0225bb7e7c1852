"""Hours of weather: as an hourly file gives them, and as the calculations take them, put in order and repaired."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from heatcalc.wording import Said

HOURS = 8760


@dataclass(frozen=True, eq=False, kw_only=True)
class Weather:
    """8,760 hours of standard time; hour i (0..8759) ends at its stamp i + 1 (stamps 1..24 each day, no 29 February).

    Dry bulb, dew point, pressure and wind are readings at the stamp; sun is the mean of the hour that ends there
    [W/m2]: `ghi` on the horizontal, `dni` beam normal, `dhi` diffuse horizontal.  `sky_cover` opaque cloud, 0..1, or None.
    """

    dry_bulb_C: np.ndarray
    dew_point_C: np.ndarray
    pressure_Pa: np.ndarray
    wind_m_s: np.ndarray
    ghi: np.ndarray
    dni: np.ndarray
    dhi: np.ndarray
    sky_cover: np.ndarray | None
    lat: float
    lon: float
    elevation_m: float
    utc_offset_h: float
    source: str
    report: tuple[Said, ...]

    def __post_init__(self):
        for field in fields(self):
            column = getattr(self, field.name)
            if isinstance(column, np.ndarray):
                if column.shape != (HOURS,) or not np.isfinite(column).all():
                    raise ValueError(f"{field.name} must hold {HOURS} finite hours")
                column.setflags(write=False)


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
