"""A place at any position of the 50 states, its climate carried from the stations around."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.borders import county_at, neighbour_at
from heatcalc.inputs.place.heights import DOUBTFUL_M, Height, known_heights, name_of
from heatcalc.inputs.place.interpolate import Around, design_columns, monthly_columns, variances_km, wind_m_s
from heatcalc.inputs.place.place_record import HourlyStation, Monthly, Place
from heatcalc.inputs.place.place_rows import (
    COUNTIES,
    coldest_hour,
    county_title,
    moved_bins,
    station_row,
    values,
    zone_fields,
    zone_warnings,
)
from heatcalc.inputs.place.sureness import region, sureness
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.wording import Q, Said, worded

SOURCE = "carried from the stations around by kriging with height and shore (climate_data/README.md, method step 5)"
SEA_COAST_STATES = ("ME", "NH", "MA", "RI", "CT", "NY", "NJ")
LOW_M, NEAR_SEA_KM, NAMED_KM = 40.0, 30.0, 400.0


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


def carried_place(lat: float, lon: float, height: Height, county: dict[str, str], name: str, notes=()) -> Place:
    """The place at a position and height; zone from its county, design values, months and bins from the stations around."""
    around = Around(lat, lon, height.m)
    months = {k: values(v[0]) for k, v in monthly_columns(around).items()}
    station = station_row(around.known.usaf[int(around.best_station()[0])])
    bins = moved_bins(station["usaf"], months["mean_C"])
    known = sureness(
        region(county["state"], lon, height.m), {k: float(v[0]) for k, v in variances_km(around).items()}, height.sigma_m
    )
    km = float(great_circle_km(lat, lon, float(station["lat"]), float(station["lon"])))
    design: dict[str, Any] = {k: float(v[0]) for k, v in design_columns(around).items()}
    return Place(
        name=name,
        lat=lat,
        lon=lon,
        elevation_m=height.m,
        county=county_title(county),
        state=county["state"],
        **zone_fields(county),
        **design,
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=known.grade,
        source=SOURCE,
        warnings=(*([known.note] if known.note else []), *_notes(lat, lon, height, county), *notes),
        utc_offset_h=float(station["tz"]),
        wind_mean_m_s=float(wind_m_s(around)[0]),
        monthly=Monthly(**months),
        bins=bins,
        hourly_station=HourlyStation(station["usaf"], station["name"], km),
        coldest_hour_C=coldest_hour(bins),
        height_source=height.source,
        carried=True,
    )


def _notes(lat: float, lon: float, height: Height, county: dict[str, str]) -> list[Said]:
    notes: list[Said] = [*zone_warnings(county)]
    if county["state"] in SEA_COAST_STATES and height.m < LOW_M and tables.coast_km(lat, lon) < NEAR_SEA_KM:
        notes.append(
            worded(
                "north-eastern coast: winters at sea-side cities come out {} to {} too cold here (safe side)",
                Q(1.67, "temperature difference"),
                Q(2.22, "temperature difference"),
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
