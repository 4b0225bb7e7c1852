"""The skies of every place's design days, worked out once for all packages of a model.

What falls on each plane and through each window is shared between the eight ways the house may stand, since turning it by 45
degrees only renames its sides.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from heatcalc.inputs.house.house_record import Site
from heatcalc.judge.sites import Sites
from heatcalc.model.part import WindowPart
from heatcalc.model.sunlight import Sky
from heatcalc.physics.air import moist_air
from heatcalc.physics.sun.sun import SunPosition, day_of_year, mid_hour_position
from heatcalc.physics.sun.sun_day import (
    clear_day_aerosol_depth,
    clear_sky_solis,
    design_day_temperature_C,
    mean_clearness,
    precipitable_water_cm,
    solar_hours,
)

Array = np.ndarray
PEAK_WITHIN_K = 14.0  # as `Designer.months_that_can_peak`


@dataclass(frozen=True, eq=False, kw_only=True)
class Skies:
    """The design days of all months that can peak, one row for each place and month."""

    sites: Sites
    site_of: Array
    month: Array
    dry_bulb_C: Array  # reading at the stamp
    dni: Array
    ghi: Array
    dhi: Array
    position: SunPosition
    humidity_ratio: Array
    kept: dict = field(default_factory=dict)

    @cached_property
    def hour_mean_C(self) -> Array:
        """Means of the hours; the day repeats."""
        return 0.5 * (self.dry_bulb_C + np.roll(self.dry_bulb_C, 1, axis=1))

    @cached_property
    def damp(self) -> Skies:
        """The days of the 1 % dew point, one row for each place."""
        return damp_skies_of(self.sites)

    @cached_property
    def lit(self) -> Array:
        """Numbers of the hours with the sun up, row after row."""
        return np.flatnonzero(self.position.cos_zenith > 0)

    def lit_sky(self, site: Site) -> Sky:
        """The sky of those hours over a house that faces north, kept for every other way it may stand."""
        key = (site.horizon, site.ground_reflectance)
        if key not in self.kept:
            p, lit = self.position, self.lit
            day = (getattr(p, k) for k in ("altitude_deg", "azimuth_deg", "cos_zenith", "extraterrestrial"))
            position, dni, ghi, dhi = (
                SunPosition(*(x.flat[lit] for x in day)),
                *(x.flat[lit] for x in (self.dni, self.ghi, self.dhi)),
            )
            stand: Any = _Stand(site)
            self.kept[key] = Sky(stand, position, dni, ghi, dhi, 0.0, hour=lit % 24)
        return self.kept[key]

    def of(self, site: Site, azimuth: float) -> _Side:
        """What stands facing one way, kept for the next package of the model."""
        key = (site.horizon, site.ground_reflectance, azimuth % 360.0)
        if key not in self.kept:
            self.kept[key] = _Side(self, site, azimuth)
        return self.kept[key]


class _Side:
    """Light on planes and through windows that face one way."""

    def __init__(self, skies: Skies, site: Site, azimuth: float):
        self.lit, self.rows = skies.lit, len(skies.ghi)
        self.sky = skies.lit_sky(site).turned(azimuth)
        self.kept: dict = {}

    def light(self, kinds: Mapping[Hashable, float | WindowPart]) -> Array:
        """All light on planes of a tilt [W/m2], and light let in and heat flowing inward of windows [W per m2 of window], hours
        side by side: (rows, 24 for a plane and 48 for a window).  Kept by what the kinds are called."""
        key = tuple(kinds)
        if key not in self.kept:
            found = [series for one in kinds.values() for series in self._of(one)]
            whole, wide = np.zeros(self.rows * 24 * len(found)), 24 * len(found)
            first = self.lit // 24 * wide + self.lit % 24
            for k, series in enumerate(found):
                whole[first + 24 * k] = series
            self.kept[key] = whole.reshape(self.rows, wide)
        return self.kept[key]

    def _of(self, one: float | WindowPart) -> tuple[Array, ...]:
        if isinstance(one, float):
            return (self.sky.on("front", one).total,)
        return self.sky.through(replace(one, placed=replace(one.placed, face="front")))


@dataclass(frozen=True)
class _Stand:
    """What `Sky` reads of a house."""

    site: Site

    @property
    def house(self) -> _Stand:
        """Itself: a house in this one respect."""
        return self


def skies_of(sites: Sites) -> Skies:
    """Clear design days of every month that can peak at every place (see `design.design_day`)."""
    hottest = sites.max_C.max(axis=1, keepdims=True)
    k, index = np.nonzero(sites.max_C >= hottest - PEAK_WITHIN_K)
    hot = (sites.cooling_1_C[:, None] - (hottest - sites.max_C))[k, index]
    pressure = moist_air.pressure_at_altitude(sites.elevation_m)
    ratio = moist_air.humidity_ratio_from_wet_bulb(
        sites.cooling_1_C, np.minimum(sites.cooling_1_mcwb_C, sites.cooling_1_C), pressure
    )
    drier = (sites.dew_point_C.max(axis=1, keepdims=True) - sites.dew_point_C)[k, index]
    ratio = moist_air.humidity_ratio_from_dew_point(moist_air.dew_point(ratio, pressure)[k] - drier, pressure[k])
    return _skies(sites, k, index, hot, sites.daily_range_K[k], sites.dew_point_C[k, index], ratio)


def damp_skies_of(sites: Sites) -> Skies:
    """The day of the 1 % dew point at every place (see `designer.damp_day`); the mean dew point where none is on record."""
    k, index = np.arange(len(sites)), sites.dew_point_C.argmax(axis=1)
    known = np.isfinite(sites.dew_point_1_C)
    dew = np.where(known, sites.dew_point_1_C, sites.dew_point_C[k, index])
    dry = np.where(known, sites.dew_point_1_dry_bulb_C, dew)
    swing = np.minimum(sites.daily_range_K, 2.0 * np.maximum(dry - dew, 0.0))
    high = np.maximum(np.minimum(dry + swing / 2, sites.cooling_1_C), dew)
    ratio = moist_air.humidity_ratio_from_dew_point(dew, moist_air.pressure_at_altitude(sites.elevation_m))
    return _skies(sites, k, index, high, np.minimum(swing, high - dew), dew, ratio)


def _skies(sites: Sites, site_of: Array, index: Array, hot: Array, range_K: Array, dew_C: Array, ratio: Array) -> Skies:
    days = np.array([day_of_year(m) for m in range(1, 13)])[index]
    hours = np.arange(1.0, 25.0)
    lat: Any
    lon: Any
    utc: Any
    lat, lon, utc, day = (x[:, None] for x in (sites.lat[site_of], sites.lon[site_of], sites.utc_offset_h[site_of], days))
    position = mid_hour_position(lat, lon, utc, day, hours)
    dni, dhi = _clear_sky(sites, site_of, index, hot - range_K / 2, dew_C, position)
    ghi = dni * np.maximum(position.cos_zenith, 0.0) + dhi
    swing: Any = range_K[:, None]
    peak: Any = hot[:, None]
    air = design_day_temperature_C(peak, swing, solar_hours(lon, utc, day, hours))
    return Skies(
        sites=sites,
        site_of=site_of,
        month=index + 1,
        dry_bulb_C=air,
        dni=dni,
        ghi=ghi,
        dhi=dhi,
        position=position,
        humidity_ratio=ratio,
    )


def _clear_sky(
    sites: Sites, site_of: Array, index: Array, mean_C: Array, dew_C: Array, position: SunPosition
) -> tuple[Array, Array]:
    water = precipitable_water_cm(mean_C, dew_C)
    haze = clear_day_aerosol_depth(mean_clearness(sites.lat[site_of], index + 1, sites.ghi_kWh_m2_day[site_of, index]), water)
    at = sites.elevation_m[site_of][:, None]
    return clear_sky_solis(position, haze[:, None], water[:, None], moist_air.pressure_at_altitude(at))
