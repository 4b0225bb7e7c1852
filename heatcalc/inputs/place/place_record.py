"""What is known of the climate of one place, in SI, with where it came from and how sure it is."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

import numpy as np

from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.physics.year.interpolation import at_height
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

EVERY_MONTH = tuple(range(1, 13))
ZONE_EDITION = "IECC 2021"
REGIMES = {"A": "moist", "B": "dry", "C": "marine", "": "no regime in this zone"}


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class Place:
    """One place: position, zone, design values, degree-days, months.  Sigmas are one standard deviation [K].

    `coldest_hour_C` is that of the typical record (None where no hours are known), not of the worst year; `months` are those
    in which the house stands there; `warnings` belong to every number that hangs on the place.
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
    bins: tuple[MonthBins, ...] | None
    hourly_station: HourlyStation | None
    coldest_hour_C: float | None
    height_source: str
    months: tuple[int, ...] = EVERY_MONTH
    hours: Weather | None = None  # the user's own; None = a year is built from the months

    def hours_below(self, outdoor_C: float) -> float:
        """Hours of the typical year, in the months the house stands here, colder than a temperature; even within a bin, 0
        where the records have no bins."""
        return sum(_hours_below(b, outdoor_C) for m, b in enumerate(self.bins or (), start=1) if m in self.months)

    def as_dict(self) -> dict:
        """Plain types, ready for JSON; of own hours whose they are."""
        return asdict(replace(self, hours=None)) | {"hours": None if self.hours is None else self.hours.source}


def _hours_below(bins: MonthBins, outdoor_C: float) -> float:
    edges = [*bins.lower_edges_C, bins.lower_edges_C[-1] + bins.width_K]
    return float(np.interp(outdoor_C, edges, np.cumsum([0.0, *bins.hours])))


def at_elevation(place: Place, elevation_m: float) -> Place:
    """The place at another height: 99 % heating -3.6 F, cooling -5.5 F per 1,000 m (climate_data/README.md, step 6).

    Monthly values, degree-days and bins stay those of the place and a warning says so.
    """
    rise = elevation_m - place.elevation_m
    heating, cooling = _site_lapse("site_heating"), _site_lapse("site_cooling")
    moved: dict = {k: at_height(getattr(place, k), rise, heating) for k in ("heating_99_C", "heating_996_C")}
    moved |= {k: at_height(getattr(place, k), rise, cooling) for k in ("cooling_1_C", "cooling_04_C")}
    moved["cooling_1_mcwb_C"] = min(place.cooling_1_mcwb_C, moved["cooling_1_C"])
    note = worded(
        "design temperatures moved from {} to {}; monthly values and degree-days stay those of the {} record",
        Q(place.elevation_m, "height"),
        Q(elevation_m, "height"),
        "lower" if rise > 0 else "higher",
    )
    moved |= {"elevation_m": elevation_m, "height_source": "given", "warnings": (*place.warnings, note)}
    return replace(place, **moved) if rise else place


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


def _site_lapse(quantity: str) -> float:
    """K per metre from the table's F per km."""
    return next(float(r["lapse_F_per_km"]) for r in rows("place_interpolation") if r["quantity"] == quantity) / 1800.0


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


@dataclass(frozen=True)
class Uncertainty:
    """One-sigma [K], grade and warning of a kind of place."""

    heating_K: float
    heating_996_K: float
    cooling_K: float
    grade: str
    note: str


def uncertainty(case: str) -> Uncertainty:
    """The row `case` of tables/place_uncertainty.csv."""
    row = next(r for r in rows("place_uncertainty") if r["case"] == case)
    sigma = (float(row[f"sigma_{k}_F"]) / 1.8 for k in ("heating", "heating_996", "cooling"))
    return Uncertainty(*sigma, row["grade"], row["note"])


def region(state: str, lon: float, elevation_m: float, nearest_km: float) -> str:
    """Which uncertainty holds away from a station (the rule behind the county table's sigma columns)."""
    if state in ("AK", "HI"):
        return {"AK": "alaska", "HI": "hawaii"}[state]
    high = elevation_m > 1000.0
    if lon < -119.0:
        return "pacific_mountain" if high else "pacific"
    if lon < -103.0:
        return "mountain" if high else "west"
    return "near" if nearest_km <= 60.5 else "far"
