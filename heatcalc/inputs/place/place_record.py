"""What is known of the climate of one place, in SI, with where it came from and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.wording import Q, Said, worded

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
