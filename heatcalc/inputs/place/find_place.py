"""The place a house stands in, from a few words.

`find_place` reads only the shipped tables; a look-up takes a few hundredths of a second and needs no network.
"""

from __future__ import annotations

from dataclasses import replace

from heatcalc.inputs.place.climate_tables import row
from heatcalc.inputs.place.interpolate import Around, alaska_heating, design_temperatures, height_of, point_place
from heatcalc.inputs.place.place_record import HourlyStation, MonthBins, Monthly, Place, at_elevation, with_grade_note
from heatcalc.inputs.place.place_rows import COUNTIES, canada_place, canada_rows, county_place, station_place
from heatcalc.inputs.place.place_search import Found, search
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.wording import Q, Said, worded

__all__ = ["HourlyStation", "MonthBins", "Monthly", "Place", "at_elevation", "find_place", "position_of"]

FAR_KM = 30.0


def find_place(query: str) -> Place:
    """The place that `query` names: city or county with state, ZIP, "lat,lon[,elevation]", station number, Canadian place.

    Raises InputError: several candidates are listed; an unknown name comes with the nearest match.
    """
    return with_grade_note(_place(search(query)))


def _place(found: Found) -> Place:
    if found.point is not None and found.kind == "point":
        return point_place(*found.point)
    if found.kind == "station":
        return _station(found.key)
    if found.kind == "canada":
        return canada_place(next(r for r in canada_rows() if r["place"] == found.key))
    return _county(found)


def _station(usaf: str) -> Place:
    """A station's record; in Alaska with the heating values of the nearest published place."""
    place = station_place(usaf)
    if place.state != "AK":
        return place
    heating, source = alaska_heating(place.lat, place.lon)
    return replace(place, **heating, source=worded("{}; {}", source, place.source))


def position_of(query: str) -> tuple[float, float]:
    """Latitude and longitude of a query; coordinates may lie anywhere on earth."""
    found = search(query)
    if found.point is not None:
        return found.point[:2]
    place = find_place(query)
    return place.lat, place.lon


def _county(found: Found) -> Place:
    """The county's record; a city or ZIP keeps its name, and is told where its own position differs."""
    place = county_place(found.key)
    if not found.name:
        return place
    notes = [*found.warnings, *_own_position(place, found)]
    return replace(place, name=f"{found.name} ({place.county})", warnings=(*place.warnings, *notes))


def _own_position(place: Place, found: Found) -> list[Said]:
    """A note where the county's record stands far from the city, or interpolation there is more than a sigma off."""
    assert found.point is not None
    lat, lon = found.point[:2]
    km = float(great_circle_km(lat, lon, place.lat, place.lon))
    here = _design_at(lat, lon, found.key)
    heating, cooling = (here[k] - getattr(place, k) for k in ("heating_99_C", "cooling_1_C"))
    if km < FAR_KM and abs(heating) < place.sigma_heating_K and abs(cooling) < place.sigma_cooling_K:
        return []
    return [
        worded(
            "the county's record stands for {:.2f},{:.2f}, {} away; at the city's own position 99 % "
            "heating comes out {} and 1 % cooling {}: ask for {:.2f},{:.2f} as well",
            place.lat,
            place.lon,
            Q(km * 1000.0, "distance"),
            _off(heating),
            _off(cooling),
            lat,
            lon,
        )
    ]


def _design_at(lat: float, lon: float, fips: str) -> dict[str, float]:
    """Design temperatures interpolated at a point of a county."""
    county = row(COUNTIES, fips)
    assert county is not None
    design = design_temperatures(Around(lat, lon, height_of(lat, lon, county)))
    return design | (alaska_heating(lat, lon)[0] if county["state"] == "AK" else {})


def _off(by_K: float) -> Said:
    """A difference in words."""
    if round(by_K * 1.8) == 0:
        return "the same"
    return worded("{} {}", Q(abs(by_K), "temperature difference"), "warmer" if by_K > 0 else "colder")
