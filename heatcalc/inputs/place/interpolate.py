"""A place by latitude and longitude, carried from the stations around it (climate_data/README.md, method step 5)."""

from __future__ import annotations

import re
from typing import Any

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.climate_tables import F_PER_K, M_S_PER_MPH, celsius
from heatcalc.inputs.place.place_record import HourlyStation, Place, region, uncertainty
from heatcalc.inputs.place.place_rows import COUNTIES, coldest_hour, county_title, moved_months, station_row, zone_fields
from heatcalc.physics.year.interpolation import carried, great_circle_km, grown_length_km, kernel_weights, station_distance_score
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

FARTHEST_KM = 250.0
KM_PER_DEGREE = 111.0


class Around:
    """The stations seen from one place; `carry` brings a column of theirs to it [degF and table units]."""

    def __init__(self, lat: float, lon: float, elevation_m: float):
        self.known = tables.stations()
        self.distance_km = great_circle_km(lat, lon, self.known.lat, self.known.lon)
        self.rise_m = elevation_m - self.known.elevation_m
        self._kinds = {r["quantity"]: r for r in rows("place_interpolation")}

    def carry(self, columns, kind: str):
        """`columns`: a column's name, or an array of station x month."""
        rule = self._kinds[kind]
        length = grown_length_km(self.distance_km, float(rule["length_km"]))
        weights = kernel_weights(self.distance_km, self.rise_m, length, float(rule["height_m"]))
        values = self.known.column(columns) if isinstance(columns, str) else columns
        return carried(values, weights, self.rise_m, float(rule["lapse_F_per_km"]) / 1000.0)

    def best_station(self) -> tuple[str, float]:
        """Number and distance of the station for the typical year."""
        best = int(np.argmin(station_distance_score(self.distance_km, self.rise_m)))
        return self.known.usaf[best], float(self.distance_km[best])


def design_temperatures(around: Around) -> dict[str, Any]:
    """Design values in SI at the place."""
    found = {
        k: float(celsius(around.carry(column, kind)))
        for k, column, kind in (
            ("heating_99_C", "h99_best_F", "heating"),
            ("heating_996_C", "h996_best_F", "heating"),
            ("cooling_1_C", "c010_best_F", "cooling"),
            ("cooling_04_C", "c004_best_F", "cooling"),
            ("cooling_1_mcwb_C", "c010_mcwb_F", "wet_bulb"),
            ("dew_point_1_C", "dp010_F", "wet_bulb"),
            ("dew_point_1_dry_bulb_C", "dp010_mcdb_F", "wet_bulb"),
        )
    }
    found["cooling_1_mcwb_C"] = min(found["cooling_1_mcwb_C"], found["cooling_1_C"])
    found["dew_point_1_dry_bulb_C"] = max(found["dew_point_1_dry_bulb_C"], found["dew_point_1_C"])
    found["daily_range_K"] = float(around.carry("MDR_F", "range")) / F_PER_K
    return found


def degree_days(around: Around) -> dict[str, Any]:
    """Degree-days [K d] at the height of the place, never below 0."""
    columns = (("hdd18_3_Kd", "HDD65"), ("cdd18_3_Kd", "CDD65"), ("cdd10_Kd", "CDD50"))
    return {name: max(0.0, float(around.carry(column, column.lower()))) / F_PER_K for name, column in columns}


def nearest_zip(lat: float, lon: float) -> tuple[str, str, float]:
    """ZIP, county FIPS and distance [km] of the ZIP whose position is nearest; infinite where none is within 3 degrees."""
    for reach in (1, 3):
        near = _zips_between(int(np.floor(lat)) - reach, int(np.floor(lat)) + reach)
        if not near:
            continue
        distance = great_circle_km(lat, lon, *(np.array([z[i] for z in near], dtype=float) for i in (2, 3)))
        best = int(np.argmin(distance))
        if distance[best] < reach * KM_PER_DEGREE:
            return near[best][0], near[best][1], float(distance[best])
    return "", "", float("inf")


def _zips_between(low: int, high: int) -> list[tuple[str, str, str, str]]:
    """ZIP, FIPS, lat, lon of every ZIP whose whole degrees of latitude lie between two."""
    degrees = "|".join(str(d) for d in range(max(low, 0), max(high, 0) + 1))
    return re.findall(rf"^(\d{{5}}),(\d{{5}}),((?:{degrees})\.\d+),(-?\d+\.\d+)", tables.content("zips.csv.gz"), re.MULTILINE)


def height_of(lat: float, lon: float, county: dict[str, str]) -> float:
    """Elevation [m] from the coarse grid, or the county's."""
    height = tables.grid_elevation_m(lat, lon)
    return float(county["elev_m"]) if height is None else height


def point_place(lat: float, lon: float, elevation_m: float | None = None) -> Place:
    """Any point of the lower 48 (and, with wide margins, Alaska and Hawaii); elevation from a coarse grid if not given."""
    code, fips, km = nearest_zip(lat, lon)
    if km > FARTHEST_KM:
        raise InputError(
            "place",
            f"{lat:g},{lon:g}",
            "lies outside the 50 states, where these tables know nothing",
            "give an hourly file with --weather, or fetch one with --fetch",
        )
    county = tables.row(COUNTIES, fips)
    assert county is not None  # every ZIP row names a county of the table; rebuild.py checks it
    given = elevation_m is not None
    height = elevation_m if elevation_m is not None else height_of(lat, lon, county)
    around = Around(lat, lon, height)
    notes = [worded("county and zone from the nearest ZIP {}, {} away", code, Q(km * 1000.0, "distance"))]
    notes += (
        []
        if given
        else [worded("elevation {} is from a coarse grid: give it as lat,lon,elevation where land is steep", Q(height, "length"))]
    )
    if county["state"] == "AK":
        return _alaska(lat, lon, height, around, county, notes, given)
    return _assembled(
        lat,
        lon,
        height,
        around,
        county,
        notes,
        design_temperatures(around),
        "interpolated from the stations around, weights by distance and height (method step 5)",
        given,
    )


def _assembled(lat, lon, height, around: Around, county, notes, design, source, given) -> Place:
    known = uncertainty(region(county["state"], lon, height, float(around.distance_km.min())))
    usaf, km = around.best_station()
    station = station_row(usaf)
    temperatures = (around.carry(around.known.monthly(k), "monthly") for k in ("tmean", "tmax", "tmin"))
    months, bins = moved_months(list(temperatures), around.carry(around.known.monthly("ghi", "_kWh_m2_day"), "level"), station)
    notes = ([known.note] if known.note else []) + notes
    return Place(
        name=f"{lat:g}, {lon:g} ({county_title(county)}, {county['state']})",
        lat=lat,
        lon=lon,
        elevation_m=height,
        county=county_title(county),
        state=county["state"],
        **zone_fields(county),
        **design,
        **degree_days(around),
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=known.grade,
        source=source,
        warnings=tuple(notes),
        utc_offset_h=float(station["tz"]),
        wind_mean_m_s=float(around.carry("wind_mean_mph", "level")) * M_S_PER_MPH,
        monthly=months,
        bins=bins,
        hourly_station=HourlyStation(usaf, station["name"], km),
        coldest_hour_C=coldest_hour(bins),
        height_source="given" if given else "coarse grid",
    )


def _alaska(lat, lon, height, around: Around, county, notes, given) -> Place:
    """Heating from the nearest published place, as the boroughs have it; the rest interpolated."""
    heating, source = alaska_heating(lat, lon)
    return _assembled(lat, lon, height, around, county, notes, design_temperatures(around) | heating, source, given)


def alaska_heating(lat: float, lon: float) -> tuple[dict[str, Any], Said]:
    """Heating design values of the nearest published Alaskan place, and the sentence that says so."""
    listed = published_alaska()
    distance = great_circle_km(lat, lon, np.array([p[1] for p in listed]), np.array([p[2] for p in listed]))
    nearest = int(np.argmin(distance))
    name, _, _, h996_F, h99_F = listed[nearest]
    return (
        {"heating_99_C": float(celsius(h99_F)), "heating_996_C": float(celsius(h996_F))},
        worded(
            "heating: published value of the nearest listed place {} ({}, 2013 ASHRAE "
            "Handbook-Fundamentals, ch. 14); rest from typical years",
            name,
            Q(distance[nearest] * 1000.0, "distance"),
        ),
    )


def published_alaska() -> list[tuple[str, float, float, float, float]]:
    """Name, position, 99.6 % and 99 % heating [degF] of the published Alaskan places."""
    import csv

    lines = csv.DictReader(tables.content("published_design.csv").splitlines())
    return [
        (r["place"], float(r["lat"]), float(r["lon"]), float(r["pub_h996_F"]), float(r["pub_h99_F"]))
        for r in lines
        if r["state"] == "AK"
    ]
