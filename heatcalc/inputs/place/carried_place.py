"""A place at any position of the 50 states, its climate carried from the stations around."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.borders import county_at, neighbour_at
from heatcalc.inputs.place.heights import DOUBTFUL_M, Height, known_heights, name_of
from heatcalc.inputs.place.interpolate import (
    BELOW_KM,
    Around,
    design_columns,
    left_open_F,
    monthly_columns,
    variances_km,
    wind_m_s,
)
from heatcalc.inputs.place.place_record import HourlyStation, Monthly, Place, Sureness, region, sureness
from heatcalc.inputs.place.place_rows import COUNTIES, county_title, moved_bins, station_row, zone_fields, zone_warnings
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.wording import Q, Said, worded

SOURCE = "carried from the stations around by kriging with height and shore (climate_data/README.md, method step 5)"
SEA_COAST_STATES = ("ME", "NH", "MA", "RI", "CT", "NY", "NJ")
LOW_M, NEAR_SEA_KM, NAMED_KM = 40.0, 30.0, 400.0
DEEP_M = 300.0  # own choice


def county_row(lat: float, lon: float) -> dict[str, str]:
    """The county a position lies in; InputError, with what is near, in another country or at sea."""
    fips = county_at(lat, lon)
    row = tables.row(COUNTIES, fips) if fips else None
    if row is None:
        raise InputError(
            "place", f"{lat:g},{lon:g}", _where(lat, lon), "give an hourly file with --weather, or fetch a year with --fetch"
        )
    return row


def _where(lat: float, lon: float) -> str:
    lies = {"Mexico": "lies in Mexico, ", "Canada": "lies in Canada, "}.get(neighbour_at(lat, lon) or "", "")
    lies = lies or ("lies at sea or on a lake, " if tables.coast_km(lat, lon) < tables.COAST_KM or 24 < lat < 50 else "lies ")
    return f"{lies}outside the 50 states, where these tables know nothing{_nearest(lat, lon)}"


def _nearest(lat: float, lon: float) -> str:
    known = known_heights()
    km = great_circle_km(lat, lon, known["lat"], known["lon"])
    best = int(np.argmin(km))
    return f"; the nearest place there is {name_of(best)}, {km[best]:.0f} km away" if km[best] < NAMED_KM else ""


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Where a house stands: position, height, county (its table row), how to call it, and what to mind about how it was said."""

    lat: float
    lon: float
    height: Height
    county: dict[str, str]
    name: str
    notes: tuple[Said, ...] = ()


def carried_place(spot: Spot) -> Place:
    """The place at a position and height; zone from its county, design values, months and bins from the stations around."""
    return next(carried_places([spot]))


def carried_places(spots: Sequence[Spot]) -> Iterator[Place]:
    """`carried_place` of many, their values worked out at once."""
    lat, lon, height_m, sigma_m = np.array([(s.lat, s.lon, s.height.m, s.height.sigma_m) for s in spots]).reshape(-1, 4).T
    around = Around(lat, lon, height_m, sigma_m)
    design, months, variance, by_height = (f(around) for f in (design_columns, monthly_columns, variances_km, left_open_F))
    wind, station, k = wind_m_s(around), around.best_station(), around.known
    km = great_circle_km(around.lat, around.lon, k.lat[station], k.lon[station])
    columns = (
        _rows(design | {"wind_mean_m_s": wind}),
        _rows(months),
        _rows(variance),
        _rows(by_height),
        station.tolist(),
        km.tolist(),
        around.below_m().tolist(),
    )
    for spot, values, twelve, apart, by, number, away, below in zip(spots, *columns, strict=True):
        known = sureness(region(spot.county["state"], spot.lon, spot.height.m), apart, by, spot.height.sigma_m)
        values["monthly"] = Monthly(**{name: tuple(row) for name, row in twelve.items()})
        notes = (*([known.note] if known.note else []), *_notes(spot, below), *spot.notes)
        yield _place(spot, known, station_row(k.usaf[number]), away, values | {"warnings": notes})


def _rows(columns: dict[str, np.ndarray]) -> list[dict[str, Any]]:
    """A dictionary a place, of columns over the places."""
    return [dict(zip(columns, row, strict=True)) for row in zip(*(v.tolist() for v in columns.values()), strict=True)]


def _place(spot: Spot, known: Sureness, station: dict[str, str], km: float, values: dict[str, Any]) -> Place:
    bins = moved_bins(station["usaf"], values["monthly"].mean_C)
    return Place(
        name=spot.name,
        lat=spot.lat,
        lon=spot.lon,
        elevation_m=spot.height.m,
        county=county_title(spot.county),
        state=spot.county["state"],
        **zone_fields(spot.county),
        **values,
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=known.grade,
        source=SOURCE,
        utc_offset_h=float(station["tz"]),
        bins=bins,
        hourly_station=HourlyStation(station["usaf"], station["name"], km),
        coldest_hour_C=bins.coldest_hour_C(),
        height_source=spot.height.source,
        carried=True,
    )


def _notes(spot: Spot, below_m: float) -> list[Said]:
    county, height = spot.county, spot.height
    notes: list[Said] = [*zone_warnings(county)]
    if county["state"] in SEA_COAST_STATES and height.m < LOW_M and tables.coast_km(spot.lat, spot.lon) < NEAR_SEA_KM:
        notes.append(
            worded(
                "north-eastern coast: winters at sea-side cities come out {} to {} too cold here (safe side)",
                Q(1.67, "temperature difference"),
                Q(2.22, "temperature difference"),
            )
        )
    if below_m > DEEP_M:
        notes.append(
            worded(
                "lies {} below every station within {}: summers on such a valley floor may be hotter than told here; give a "
                "published cooling design temperature",
                Q(below_m, "height"),
                Q(BELOW_KM * 1000.0, "distance"),
            )
        )
    if height.sigma_m > DOUBTFUL_M:
        notes.append(
            worded(
                "height {} is not sure within {} (one sigma): land is steep here, give the site's elevation",
                Q(height.m, "height"),
                Q(height.sigma_m, "height"),
            )
        )
    return notes
