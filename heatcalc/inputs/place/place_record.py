"""One place as the rest of the program sees it, in SI: its climate, where it came from, how sure it is, and a year of hours.

How sure: one sigma for each percentile, a grade, and what to know (place_uncertainty.csv).  The year is built from the monthly
statistics, the same on every machine (climate_data/README.md, built year).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from math import sqrt

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.inputs.place.climate_tables import F_PER_K
from heatcalc.inputs.place.heights import DOUBTFUL_M
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.physics.air.moist_air import pressure_at_altitude
from heatcalc.physics.year import year_hours
from heatcalc.physics.year.year_hours import clearness_scores, scores
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

HEATING, HEATING_996, COOLING = PERCENTILES = ("heating", "heating_996", "cooling")
_NOTHING = dict.fromkeys(PERCENTILES, 0.0)
GRADES = (("A", 3.0, 2.5), ("B", 4.5, 4.0))  # at most these sigmas of heating and cooling [F] (own choice)


@dataclass(frozen=True)
class Sureness:
    """One-sigma [K], grade and note of a place."""

    heating_K: float
    heating_996_K: float
    cooling_K: float
    grade: str
    note: str


def sureness(
    case: str,
    variance_km: dict[str, float] | None = None,
    by_height_F: dict[str, float] | None = None,
    height_sigma_m: float = 0.0,
) -> Sureness:
    """The row `case` at a station; away from one with the kriging variance of each percentile [km], and with what the height, one
    sigma of it, leaves open of each [F]."""
    apart, by_height = variance_km or _NOTHING, by_height_F or _NOTHING
    sigma = {
        k: sqrt(own_F**2 + per_root_km**2 * max(apart[k], 0.0) + by_height[k] ** 2)
        for k, (own_F, per_root_km) in _numbers(case).items()
    }
    grade = _grade(sigma[HEATING], sigma[COOLING], height_sigma_m)
    heating, heating_996, cooling = (sigma[k] / F_PER_K for k in PERCENTILES)
    return Sureness(heating, heating_996, cooling, grade, _row(case)["note"])


def carried_sigma_F(case: str, percentile: str, variance_km) -> np.ndarray:
    """One sigma of the interpolation alone [F]."""
    return _numbers(case)[percentile][1] * np.sqrt(variance_km)


def _grade(heating_F: float, cooling_F: float, height_sigma_m: float) -> str:
    if height_sigma_m > DOUBTFUL_M:
        return "C"
    return next((grade for grade, h, c in GRADES if heating_F <= h + 0.05 and cooling_F <= c + 0.05), "C")


@cache
def _numbers(case: str) -> dict[str, tuple[float, float]]:
    """Of each percentile its sigma at a station [F] and what the root of a km of variogram adds."""
    return {k: (float(_row(case)[f"{k}_F"]), float(_row(case)[f"{k}_per_root_km"])) for k in PERCENTILES}


@cache
def _row(case: str) -> dict[str, str]:
    return next(r for r in rows("place_uncertainty") if r["case"] == case)


def region(state: str, lon: float, elevation_m: float) -> str:
    """Which row holds at a place: Alaska, Hawaii, east and west of 103 W, mountain and Pacific (own choice)."""
    if state in ("AK", "HI"):
        return {"AK": "alaska", "HI": "hawaii"}[state]
    high = elevation_m > 1000.0
    if lon < -119.0:
        return "pacific_mountain" if high else "pacific"
    if lon < -103.0:
        return "mountain" if high else "west"
    return "east"


EVERY_MONTH = tuple(range(1, 13))
ZONE_EDITION = "IECC 2021"
REGIMES = {"A": "moist", "B": "dry", "C": "marine", "": "no regime in this zone"}


@dataclass(frozen=True, kw_only=True)
class Monthly:
    """Twelve values each, January first; None where the records have none (Canada: no dew point, spread, sun)."""

    mean_C: tuple[float, ...]
    max_C: tuple[float, ...]
    min_C: tuple[float, ...]
    dew_point_C: tuple[float, ...] | None
    daily_sd_K: tuple[float, ...] | None
    ghi_kWh_m2_day: tuple[float, ...] | None


@dataclass(frozen=True)
class MonthBins:
    """Hours of one month by dry bulb: bins of equal width, lower edge inclusive."""

    lower_edges_C: tuple[float, ...]
    hours: tuple[int, ...]
    width_K: float


@dataclass(frozen=True)
class HourlyStation:
    """The station whose typical year is nearest in distance and height."""

    id: str
    name: str
    km: float


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place: position, zone, design values, degree-days, months.  Sigmas are one standard deviation [K].

    `coldest_hour_C` is that of the typical record (None where no hours are known), not of the worst year; `months` are those
    in which the house stands there; `warnings` belong to every number that hangs on the place; `carried` says that its values
    can be carried to another height from the stations around.
    """

    name: str
    lat: float
    lon: float
    elevation_m: float
    county: str
    state: str
    zone: str
    moisture_regime: str
    zone_edition: str
    heating_99_C: float
    heating_996_C: float
    cooling_1_C: float
    cooling_04_C: float
    cooling_1_mcwb_C: float
    dew_point_1_C: float | None
    dew_point_1_dry_bulb_C: float | None  # mean coincident with it
    daily_range_K: float
    hdd18_3_Kd: float
    cdd18_3_Kd: float
    cdd10_Kd: float
    sigma_heating_K: float
    sigma_heating_996_K: float
    sigma_cooling_K: float
    grade: str
    source: Said
    warnings: tuple[Said, ...]
    utc_offset_h: float
    wind_mean_m_s: float | None
    monthly: Monthly
    bins: Sequence[MonthBins] | None  # twelve
    hourly_station: HourlyStation | None
    coldest_hour_C: float | None
    height_source: Said
    months: tuple[int, ...] = EVERY_MONTH
    hours: Weather | None = None  # the user's own; None = a year is built from the months
    carried: bool = False

    def hours_below(self, outdoor_C: float) -> float:
        """Hours of the typical year, in the months the house stands here, colder than a temperature; even within a bin, 0
        where the records have no bins and where no hour is so cold."""
        if self.coldest_hour_C is not None and outdoor_C <= self.coldest_hour_C:
            return 0.0
        return sum(_hours_below(b, outdoor_C) for m, b in enumerate(self.bins or (), start=1) if m in self.months)

    def as_dict(self) -> dict:
        """Plain types, ready for JSON; of own hours whose they are."""
        plain = replace(self, hours=None, bins=self.bins and tuple(self.bins))
        return asdict(plain) | {"hours": None if self.hours is None else self.hours.source}


def _hours_below(bins: MonthBins, outdoor_C: float) -> float:
    edges = [*bins.lower_edges_C, bins.lower_edges_C[-1] + bins.width_K]
    return float(np.interp(outdoor_C, edges, np.cumsum([0.0, *bins.hours])))


def with_grade_note(place: Place) -> Place:
    """The place, told what to do where its design temperatures are the least certain kind."""
    if place.grade != "C":
        return place
    note = worded(
        "climate grade C: look up a published design temperature and give it in the house file, e.g. "
        '[design] heating = "{}", source = "where it is from"',
        Q(place.heating_99_C, "temperature"),
    )
    return replace(place, warnings=(*place.warnings, note))


def regime_of(zone: str) -> str:
    """The moisture letter of a zone such as "4A"; zones 7 and 8 have none."""
    return zone[-1] if zone[-1:] in ("A", "B", "C") else ""


def zone_by_degree_days(cdd10_Kd: float, hdd18_Kd: float) -> int:
    """Thermal zone 0..8 from degree-days (rule of the 2021 zone definitions as climate_data/README.md states it)."""
    for zone, limit in enumerate((6000, 5000, 3500)):
        if cdd10_Kd > limit:
            return zone
    for zone, limit in enumerate((2000, 3000, 4000, 5000, 7000), start=3):
        if hdd18_Kd <= limit:
            return zone
    return 8


METHOD = "built from the monthly statistics of"
AT_STATION = (
    "built year at a station: heating and cooling of a small house within 4 % or 40 kWh, "
    "electricity within 3 % or 25 kWh of the real typical year at 95 % of stations"
)
EAST = "half of such places lie within 8 % of the heating and 9 % of the cooling, 95 % within 21 % and 23 %"
WEST = "half of such places lie within 8 % of the heating and 9 % of the cooling, 95 % within 38 % and 50 %"
WEST_OF_DEG = -103.0


def year_at(place: Place) -> Weather:
    """8,760 hours at `place`: the user's own where it carries them, else built."""
    return built_year(place) if place.hours is None else place.hours


def built_year(place: Place) -> Weather:
    """8,760 hours at `place`; deterministic.

    Raises NoAnswer where the records hold no sun, dew point or spread (Canada): an hourly file is needed then.
    """
    months = place.monthly
    if months.dew_point_C is None or months.daily_sd_K is None or months.ghi_kWh_m2_day is None:
        raise NoAnswer(
            f"no year can be built for {place.name}: its records hold no sun or dew point; "
            "give an hourly file, or fetch one with heatcalc place --fetch"
        )
    found = scores()
    u = clearness_scores(found)
    dry = _dry_bulb(place, u)
    dew = year_hours.hourly_dew_point(dry, months.dew_point_C, months.mean_C, u, found)
    sky = year_hours.outside(place.lat, place.lon, place.utc_offset_h)
    days = year_hours.daily_sun(months.ghi_kWh_m2_day, sky, u)
    ghi = 1000.0 * days[:, None] * year_hours.hourly_share(sky)
    dni, dhi = year_hours.beam_and_diffuse(ghi, sky)
    wind = year_hours.hourly_wind(place.wind_mean_m_s or 0.0, found)
    return Weather(
        dry_bulb_C=dry.round(4),
        dew_point_C=dew.round(4),
        pressure_Pa=dry * 0.0 + pressure_at_altitude(place.elevation_m),
        wind_m_s=wind.round(4),
        ghi=ghi.ravel().round(3),
        dni=dni.ravel().round(3),
        dhi=dhi.ravel().round(3),
        sky_cover=None,
        lat=place.lat,
        lon=place.lon,
        elevation_m=place.elevation_m,
        utc_offset_h=place.utc_offset_h,
        source=f"{METHOD} {place.name}",
        report=_report(place),
    )


def _dry_bulb(place: Place, clearness):
    months, found = place.monthly, scores()
    bins = None if place.bins is None else [(b.lower_edges_C, b.hours, b.width_K) for b in place.bins]
    span = [high - low for high, low in zip(months.max_C, months.min_C, strict=True)]
    means = year_hours.daily_means(months.mean_C, months.daily_sd_K, found)
    ranges = year_hours.daily_ranges(span, months.daily_sd_K, clearness, bins is not None)
    shape = year_hours.day_shape(place.lat, place.lon, place.utc_offset_h)
    return year_hours.hourly_dry_bulb(means, ranges, shape, months.mean_C, bins)


def _report(place: Place) -> tuple[Said, ...]:
    """How far the year can be trusted here."""
    station = place.hourly_station
    if station is not None and station.km == 0.0:
        return (AT_STATION,)
    band = WEST if place.lon < WEST_OF_DEG else EAST
    near = worded("bins of hours after {}, {} away; ", station.name, Q(station.km * 1000.0, "distance")) if station else ""
    return (worded("built year for a place without a station: {}{}; where it matters give an hourly file", near, band),)
