"""Every place of the climate tables as arrays: what a design load needs, all at once, and the skies of their design days.

What falls on each plane and through each window is shared between packages of a model and the eight ways the house may stand,
since turning it by 45 degrees only renames its sides.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache, cached_property
from itertools import chain
from typing import Any

import numpy as np

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.house.house_record import Site
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.find_place import county_places, find_place
from heatcalc.inputs.place.place_record import Place, with_grade_note
from heatcalc.inputs.place.place_rows import COUNTIES, station_place
from heatcalc.inputs.supply.supply_record import state_average
from heatcalc.judge.chance import normal_nodes
from heatcalc.model.designer import dew_points
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
from heatcalc.wording import USD, Said

Array = np.ndarray
HOURLY_SD_K = 6.5
MONTH_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
MONTH_SHARES = np.tile(_WEIGHTS / _WEIGHTS.sum(), 12) / 12.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Sites:
    """Places as columns; temperatures in degC, months along the second axis."""

    kind: str  # "station" or "county"
    key: tuple[str, ...]  # what `find_place` (a station) or the county table knows it by
    name: tuple[str, ...]
    state: tuple[str, ...]
    zone: tuple[str, ...]
    warnings: tuple[tuple[Said, ...], ...]  # what is to be minded about each place
    lat: Array
    lon: Array
    elevation_m: Array
    utc_offset_h: Array
    heating_99_C: Array
    heating_996_C: Array
    cooling_1_C: Array
    cooling_1_mcwb_C: Array
    dew_point_1_C: Array  # NaN where the record has none, as the dry bulb with it
    dew_point_1_dry_bulb_C: Array
    daily_range_K: Array
    sigma_heating_K: Array
    sigma_heating_996_K: Array
    coldest_hour_C: Array  # of the typical record; NaN where none is known
    hdd_per_cdd: Array  # heating degree-days to 65 F over cooling degree-days to 50 F
    usd_per_kWh: Array  # the state's average; NaN outside the tables
    mean_C: Array
    max_C: Array
    dew_point_C: Array
    ghi_kWh_m2_day: Array

    def __len__(self) -> int:
        return len(self.key)

    def design_C(self, percentile: str) -> Array:
        """The cold a house is designed for, "99 %" or "99.6 %"."""
        return self.heating_996_C if percentile == "99.6 %" else self.heating_99_C

    @cached_property
    def coldest_C(self) -> Array:
        """The colder of the 99.6 % temperature less its sigma and the coldest hour of the typical record."""
        return np.fmin(self.heating_996_C - self.sigma_heating_996_K, self.coldest_hour_C)

    def near_cold_C(self, design_C: Array) -> Array:
        """Where the design cold may lie by its own error, (places, nodes of `normal_nodes`)."""
        return design_C[:, None] + self.sigma_heating_K[:, None] * normal_nodes()[0]

    @cached_property
    def month_hours_C(self) -> Array:
        """Five hours about each month's mean, (places, 60), which stand for `MONTH_SHARES` of the year."""
        return (self.mean_C[:, :, None] + HOURLY_SD_K * MONTH_NODES).reshape(len(self), -1)

    def take(self, which: Sequence[int] | Array | slice) -> Sites:
        """Some of the places."""
        order = np.arange(len(self))[which]
        cut: dict[str, Any] = {}
        for f in fields(self):
            value = getattr(self, f.name)
            cut[f.name] = (
                value if f.name == "kind" else value[order] if isinstance(value, np.ndarray) else tuple(value[i] for i in order)
            )
        return replace(self, **cut)

    @classmethod
    def joined(cls, found: Sequence[Sites]) -> Sites:
        """Several lists of places, one after another."""
        columns: dict[str, Any] = {f.name: [getattr(x, f.name) for x in found] for f in fields(cls)}
        kind = columns.pop("kind")[0]
        for name, values in columns.items():
            columns[name] = np.concatenate(values) if isinstance(values[0], np.ndarray) else tuple(chain.from_iterable(values))
        return cls(kind=kind, **columns)

    def place(self, i: int) -> Place:
        """The whole record of one place."""
        return place_of(self.kind, self.key[i])


def place_of(kind: str, key: str) -> Place:
    """The whole record of a "station" or a "county"."""
    return county_places([key])[0] if kind == "county" else find_place(key)


@cache
def stations() -> Sites:
    """Every usable station of the table (two are marked unusable)."""
    usable = tables.stations().usaf
    return _known_as("station", usable, [with_grade_note(station_place(usaf)) for usaf in usable])


@cache
def counties() -> Sites:
    """Every county, as `find_place` has it: at its most populous place, values carried from the stations around."""
    every = tuple(fips for (fips,) in tables.first_columns(COUNTIES, 1))
    return _known_as("county", every, county_places(every))


def _known_as(kind: str, keys: tuple[str, ...], places: Sequence[Place]) -> Sites:
    return replace(sites_of(places), kind=kind, key=keys)


def sites_of(places: Sequence[Place]) -> Sites:
    """Any places, as columns; their names stand for their keys."""
    return _joined(
        "place",
        [
            {
                "key": p.name,
                "name": p.name,
                "state": p.state,
                "zone": p.zone,
                "warnings": p.warnings,
                "lat": p.lat,
                "lon": p.lon,
                "elevation_m": p.elevation_m,
                "utc_offset_h": p.utc_offset_h,
                "heating_99_C": p.heating_99_C,
                "heating_996_C": p.heating_996_C,
                "cooling_1_C": p.cooling_1_C,
                "cooling_1_mcwb_C": p.cooling_1_mcwb_C,
                "dew_point_1_C": p.dew_point_1_C,
                "dew_point_1_dry_bulb_C": p.dew_point_1_dry_bulb_C,
                "daily_range_K": p.daily_range_K,
                "sigma_heating_K": p.sigma_heating_K,
                "sigma_heating_996_K": p.sigma_heating_996_K,
                "coldest_hour_C": float("nan") if p.coldest_hour_C is None else p.coldest_hour_C,
                "hdd_per_cdd": p.hdd18_3_Kd / max(p.cdd10_Kd, 1.0),
                "usd_per_kWh": usd_per_kWh(p.state),
                "mean_C": p.monthly.mean_C,
                "max_C": p.monthly.max_C,
                "dew_point_C": dew_points(p),
                "ghi_kWh_m2_day": p.monthly.ghi_kWh_m2_day or (np.nan,) * 12,
            }
            for p in places
        ],
    )


@cache
def usd_per_kWh(state: str) -> float:
    """The state's average price, to order plans by; the US one where the state's is other money; NaN where unknown."""
    try:
        found = state_average(state)
        return float((found if found.currency == USD else state_average("US")).price or float("nan"))
    except (InputError, NoAnswer):
        return float("nan")


def _joined(kind: str, found: list[dict[str, Any]]) -> Sites:
    words = ("key", "name", "state", "zone", "warnings")
    columns: dict[str, Any] = {
        k: tuple(f[k] for f in found) if k in words else np.array([f[k] for f in found], float) for k in found[0]
    }
    return Sites(kind=kind, **columns)


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
