"""A year of hours as the calculations take it."""

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
