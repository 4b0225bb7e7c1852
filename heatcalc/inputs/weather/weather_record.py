"""A doubt about an hourly record, and the record as those who look for doubts see it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.weather.weather_files import Hours
from heatcalc.physics.year import weather_sense as sense
from heatcalc.physics.year.weather_statistics import monthly_mean
from heatcalc.wording import Said, Words, worded

WARMTH_H = 2.9  # hours after noon at which the day's warmth usually lies (own, nine typical years: 1.8 to 3.8)
LAPSE_K_m = 0.0065  # standard atmosphere


@dataclass(frozen=True)
class Finding:
    """One doubt about a record."""

    name: str
    seen: Said
    likely: str
    do: str
    mended: Callable[[Hours], Hours] | None = None

    @property
    def words(self) -> Words:
        """All of it in one sentence."""
        offer = f"; --mend {self.name} corrects that" if self.mended else ""
        return worded("{}: {}; probably {}: {}{}", self.name, self.seen, self.likely, self.do, offer)


@dataclass(frozen=True, eq=False)
class Record:
    """An hourly record with its position, and what the climate tables say of the place (None where they do not reach)."""

    hours: Hours
    place: Place | None

    @cached_property
    def sky(self) -> sense.Geometry | None:
        """The sun over the record; None where no position is known."""
        h, p = self.hours, self.place
        lat, lon = (h.lat, h.lon) if h.lat is not None and h.lon is not None else (p.lat, p.lon) if p else (None, None)
        if lat is None or lon is None:
            return None
        usual = p.utc_offset_h if p else float(round(lon / 15.0))
        offset = usual if h.utc_offset_h is None else h.utc_offset_h
        return sense.geometry(lat, lon, offset, h.month, h.day_of_month, h.hour)

    @property
    def columns(self) -> dict[str, np.ndarray]:
        """The record's columns."""
        return self.hours.columns

    @cached_property
    def late_h(self) -> float:
        """How late the sun is [h]; 0 where the record has none."""
        return (
            0.0 if self.sky is None or "ghi" not in self.columns else sense.centre_h(self.columns["ghi"], self.sky.hour_angle_rad)
        )

    @cached_property
    def warmth_late_h(self) -> float:
        """How much later than usual the day's warmth is [h], -12 to 12."""
        if self.sky is None:
            return 0.0
        lag = sense.warmth_lag_h(self.columns["dry_bulb_C"], self.hours.day, self.sky) - WARMTH_H
        return (lag + 12.0) % 24.0 - 12.0

    @cached_property
    def apart_K(self) -> np.ndarray | None:
        """Twelve monthly means less the place's own, brought to the record's height."""
        if self.place is None or any(m is None for m in self.place.monthly.mean_C):
            return None
        rise = 0.0 if self.hours.elevation_m is None else self.hours.elevation_m - self.place.elevation_m
        own = np.array(self.place.monthly.mean_C) - LAPSE_K_m * rise
        return monthly_mean(self.columns["dry_bulb_C"], self.hours.month) - own
