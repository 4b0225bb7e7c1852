"""The place a house stands in, from a few words.

`find_place` reads only the shipped tables; a look-up takes a few hundredths of a second and needs no network.
"""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from itertools import chain

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place.borders import neighbour_at
from heatcalc.inputs.place.carried_place import Spot, carried_place, carried_places, county_row
from heatcalc.inputs.place.climate_tables import row
from heatcalc.inputs.place.heights import Height, heights_at
from heatcalc.inputs.place.place_record import EVERY_MONTH, HourlyStation, MonthBins, Monthly, Place, with_grade_note
from heatcalc.inputs.place.place_rows import (
    COUNTIES,
    canada_place,
    canada_rows,
    county_title,
    in_season,
    season_said,
    station_place,
)
from heatcalc.inputs.place.place_search import Found, county_found, search, where_houses_stand
from heatcalc.physics.year.interpolation import at_height, great_circle_km
from heatcalc.wording import Q, worded

__all__ = ["HourlyStation", "MonthBins", "Monthly", "Place", "at_elevation", "find_place", "find_places", "position_of"]

SITE_LAPSE_K_PER_M = {"heating": 3.6 / 1800.0, "cooling": 5.5 / 1800.0}  # climate_data/README.md, step 6
AT_ONCE = 2000  # places worked out together
CANADA_KM = 100.0  # own choice: a Canadian position farther from a record has none


def find_place(query: str) -> Place:
    """The place that `query` names: town or county with state, ZIP, "lat,lon[,elevation]", station number, Canadian place.

    A season after a semicolon, "Duluth, MN; May-Oct", says in which months the house stands there.  Raises InputError: several
    candidates are listed; an unknown name comes with the nearest ones.
    """
    return next(_each([query]))


def find_places(queries: Iterable[str]) -> tuple[Place, ...]:
    """Every place of a house that moves, each with its own season; of thousands quicker than one by one."""
    asked = list(queries)
    with _circles_later():
        return tuple(chain.from_iterable(_each(asked[i : i + AT_ONCE]) for i in range(0, len(asked), AT_ONCE)))


@contextmanager
def _circles_later() -> Iterator[None]:
    """Python's search for garbage that refers to itself, put off: a fifth of the time where thousands of records are made, and
    none of them does."""
    searches = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searches:
            gc.enable()


def county_places(fips: Iterable[str]) -> tuple[Place, ...]:
    """Counties by their numbers, each as `find_place` has it by its name."""
    return tuple(with_grade_note(place) for place in _places([county_found(one) for one in fips]))


def _each(queries: Sequence[str]) -> Iterator[Place]:
    said = [season_said(query) for query in queries]
    for place, (_, months) in zip(_places([search(where) for where, _ in said]), said, strict=True):
        graded = with_grade_note(place)
        yield graded if months == EVERY_MONTH else in_season(graded, months)


def _places(found: Sequence[Found]) -> Iterator[Place]:
    """The place of each; what is carried from the stations around is worked out at once."""
    alone = [_on_record(f) for f in found]
    carried = carried_places(_spots([f for f, place in zip(found, alone, strict=True) if place is None]))
    return (next(carried) if place is None else place for place in alone)


def _on_record(found: Found) -> Place | None:
    """The place where it stands on a record of its own, else None."""
    if found.kind == "station":
        return station_place(found.key)
    if found.kind == "canada":
        return canada_place(next(r for r in canada_rows() if r["place"] == found.key))
    return _nearest_canadian(*found.position) if found.kind == "point" and neighbour_at(*found.position) == "Canada" else None


def _spots(found: Sequence[Found]) -> list[Spot]:
    unsaid = [f.position for f in found if f.height is None]
    heights = iter(heights_at(*zip(*unsaid, strict=True)) if unsaid else ())
    return [_spot(f, f.height or where_houses_stand(f, next(heights))) for f in found]


def _spot(found: Found, height: Height) -> Spot:
    lat, lon = found.position
    county = (row(COUNTIES, found.key) if found.key else None) or county_row(lat, lon)
    title = f"{county_title(county)}, {county['state']}"
    name = f"{found.name} ({county_title(county)})" if found.kind == "town" else found.name or f"{lat:g}, {lon:g} ({title})"
    return Spot(lat=lat, lon=lon, height=height, county=county, name=name, notes=found.warnings)


def _nearest_canadian(lat: float, lon: float) -> Place:
    """The nearest Canadian record, where one is near enough to stand for the position."""
    known = [r for r in canada_rows() if r["quality"] != "X"]
    km = great_circle_km(lat, lon, *(np.array([float(r[k]) for r in known]) for k in ("lat", "lon")))
    best = int(np.argmin(km))
    name = f"{known[best]['place']}, {known[best]['prov']}"
    if km[best] > CANADA_KM:
        raise InputError(
            "place",
            f"{lat:g},{lon:g}",
            f"lies in Canada, {km[best]:.0f} km from the nearest record, {name}",
            "give an hourly file with --weather, or fetch a year with --fetch",
        )
    place = canada_place(known[best])
    note = worded("this is the record of {}, {} away", name, Q(float(km[best]) * 1000.0, "distance"))
    return replace(place, warnings=(note, *place.warnings))


def position_of(query: str) -> tuple[float, float]:
    """Latitude and longitude of a query; coordinates may lie anywhere on earth."""
    found = search(query)
    if found.kind == "point":
        return found.position
    place = find_place(query)
    return place.lat, place.lon


def at_elevation(place: Place, elevation_m: float) -> Place:
    """The place at another height: carried anew from the stations around, or, where there are none (Canada, an hourly file),
    moved by -3.6 F (heating) and -5.5 F (cooling) per 1,000 m (climate_data/README.md, step 6)."""
    if elevation_m == place.elevation_m:
        return place
    if not place.carried:
        return _moved(place, elevation_m)
    county = county_row(place.lat, place.lon)
    spot = Spot(lat=place.lat, lon=place.lon, height=Height(elevation_m, "given", 0.0), county=county, name=place.name)
    moved = with_grade_note(carried_place(spot))
    kept = tuple(w for w in place.warnings if not str(w).startswith(("height ", "climate grade")) and w not in moved.warnings)
    moved = replace(moved, warnings=(*moved.warnings, *kept))
    return moved if place.months == EVERY_MONTH else in_season(moved, place.months)


def _moved(place: Place, elevation_m: float) -> Place:
    rise, lapse = elevation_m - place.elevation_m, SITE_LAPSE_K_PER_M
    moved: dict = {k: at_height(getattr(place, k), rise, lapse["heating"]) for k in ("heating_99_C", "heating_996_C")}
    moved |= {k: at_height(getattr(place, k), rise, lapse["cooling"]) for k in ("cooling_1_C", "cooling_04_C")}
    moved["cooling_1_mcwb_C"] = min(place.cooling_1_mcwb_C, moved["cooling_1_C"])
    note = worded(
        "design temperatures moved from {} to {}; monthly values and degree-days stay those of the {} record",
        Q(place.elevation_m, "height"),
        Q(elevation_m, "height"),
        "lower" if rise > 0 else "higher",
    )
    warnings = (*place.warnings, note)
    return replace(place, elevation_m=elevation_m, height_source="given", warnings=warnings, **moved)
