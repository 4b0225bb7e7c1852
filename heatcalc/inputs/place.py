"""The place a house stands in, from a few words.

`find_place` reads only the shipped tables; a look-up takes a few hundredths of a second and needs no network.
"""

from __future__ import annotations

from dataclasses import replace

from heatcalc.inputs.interpolate import point_place
from heatcalc.inputs.place_record import HourlyStation, MonthBins, Monthly, Place, at_elevation
from heatcalc.inputs.place_rows import canada_place, canada_rows, county_place, station_place
from heatcalc.inputs.place_search import Found, search

__all__ = ["HourlyStation", "MonthBins", "Monthly", "Place", "at_elevation", "find_place"]


def find_place(query: str) -> Place:
    """The place that `query` names: city or county with state, ZIP, "lat,lon[,elevation]", station number, Canadian place.

    Raises InputError: several candidates are listed; an unknown name comes with the nearest match.
    """
    found = search(query)
    if found.point is not None and found.kind == "point":
        return point_place(*found.point)
    if found.kind == "station":
        return station_place(found.key)
    if found.kind == "canada":
        return canada_place(next(r for r in canada_rows() if r["place"] == found.key))
    return _county(found)


def _county(found: Found) -> Place:
    """The county's record; a city or ZIP keeps its name, and is told where its own position differs."""
    place = county_place(found.key)
    if not found.name:
        return place
    notes = [*found.warnings, *_own_position(place, found)]
    return replace(place, name=f"{found.name} ({place.county})", warnings=(*place.warnings, *notes))


def _own_position(place: Place, found: Found) -> list[str]:
    """A note where interpolation at the city's own position is more than one sigma from the county's record."""
    assert found.point is not None
    here = point_place(*found.point)
    apart = {"99 % heating": (here.heating_99_C - place.heating_99_C, place.sigma_heating_K),
             "1 % cooling": (here.cooling_1_C - place.cooling_1_C, place.sigma_cooling_K)}
    return [f"at the city's own position ({here.lat:.2f},{here.lon:.2f}) {what} comes out {abs(by) * 1.8:.0f} F "
            f"{'warmer' if by > 0 else 'colder'} than the county's record: ask for {here.lat:.2f},{here.lon:.2f} as well"
            for what, (by, sigma) in apart.items() if abs(by) > sigma]
