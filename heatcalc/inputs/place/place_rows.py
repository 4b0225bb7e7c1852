"""Rows of the climate tables as places: a county, a station, a Canadian station."""

from __future__ import annotations

import csv
import re
from functools import cache
from typing import Any

import numpy as np

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.climate_tables import BIN_WIDTH_K, F_PER_K, M_S_PER_MPH, celsius
from heatcalc.inputs.place.place_record import (
    ZONE_EDITION,
    HourlyStation,
    MonthBins,
    Monthly,
    Place,
    regime_of,
    region,
    uncertainty,
)
from heatcalc.wording import Q, Said, worded

COUNTIES, STATIONS, BINS, CANADA = ("us_counties.csv.gz", "us_stations.csv.gz", "us_station_bins.csv.gz", "canada.csv")
COAST_STATES = ("ME", "NH", "MA", "RI", "CT", "NY", "NJ")


def values(array) -> tuple[float, ...]:
    """An array as a tuple of plain floats."""
    return tuple(float(x) for x in array)


def station_row(usaf: str) -> dict[str, str]:
    """The table row of a station that is known to exist."""
    row = tables.row(STATIONS, usaf)
    if row is None:
        raise KeyError(usaf)
    return row


def station_bins(usaf: str, shift_K=(0.0,) * 12) -> tuple[MonthBins, ...]:
    """Twelve months of bins [degC], each moved by `shift_K`."""
    months = []
    for line, shift in zip(tables.rows_of(BINS, usaf), shift_K, strict=True):
        hours = tuple(int(h) for h in line[3].split())
        first = float(celsius(float(line[2]))) + float(shift)
        months.append(MonthBins(tuple(first + i * BIN_WIDTH_K for i in range(len(hours))), hours, BIN_WIDTH_K))
    return tuple(months)


def coldest_hour(months: tuple[MonthBins, ...]) -> float:
    """The temperature than which one hour of the year is colder, even within a bin [degC]."""
    edges = sorted(
        (edge, hours, b.width_K) for b in months for edge, hours in zip(b.lower_edges_C, b.hours, strict=True) if hours
    )
    return edges[0][0] + edges[0][2] / edges[0][1]


def station_monthly(row: dict[str, str]) -> Monthly:
    """A station's months in SI."""
    temperatures = {
        k: values(celsius(tables.monthly(row, stem)))
        for k, stem in (("mean_C", "tmean"), ("max_C", "tmax"), ("min_C", "tmin"), ("dew_point_C", "tdew"))
    }
    return Monthly(
        **temperatures,
        daily_sd_K=values(tables.monthly(row, "sdday") / F_PER_K),
        ghi_kWh_m2_day=values(tables.monthly(row, "ghi", "_kWh_m2_day")),
    )


def moved_months(temperatures_F, ghi, station: dict[str, str]) -> tuple[Monthly, tuple[MonthBins, ...]]:
    """A place's own means, ranges and sun; spread, dew point and bins from its station, moved to the place's means.

    `temperatures_F`: twelve means, mean daily maxima and mean daily minima.
    """
    mean_F, max_F, min_F = temperatures_F
    shift_K = (mean_F - tables.monthly(station, "tmean")) / F_PER_K
    own = station_monthly(station)
    dew = np.minimum(np.array(own.dew_point_C) + shift_K, celsius(mean_F))
    months = Monthly(
        values(celsius(mean_F)), values(celsius(max_F)), values(celsius(min_F)), values(dew), own.daily_sd_K, values(ghi)
    )
    return months, station_bins(station["usaf"], values(shift_K))


def design_values(row: dict[str, str], best: str = "") -> dict[str, Any]:
    """The design temperatures, range and degree-days of one row in SI; `best` = "_best" in the station table."""
    found = {
        k: float(celsius(float(row[f"{stem}{best}_F"])))
        for k, stem in (("heating_99_C", "h99"), ("heating_996_C", "h996"), ("cooling_1_C", "c010"), ("cooling_04_C", "c004"))
    }
    found["cooling_1_mcwb_C"] = min(float(celsius(float(row["c010_mcwb_F"]))), found["cooling_1_C"])
    found["daily_range_K"] = float(row["MDR_F"]) / F_PER_K
    return found | {
        k: float(row[stem]) / F_PER_K for k, stem in (("hdd18_3_Kd", "HDD65"), ("cdd18_3_Kd", "CDD65"), ("cdd10_Kd", "CDD50"))
    }


def damp_values(row: dict[str, str], station: dict[str, str]) -> dict[str, float]:
    """The 1 % dew point of a row and the mean dry bulb with it, as far above it as at the row's station."""
    dew, rise = float(row["dp010_F"]), max(float(station["dp010_mcdb_F"]) - float(station["dp010_F"]), 0.0)
    return {"dew_point_1_C": float(celsius(dew)), "dew_point_1_dry_bulb_C": float(celsius(dew + rise))}


def county_title(row: dict[str, str]) -> str:
    """ "St. Louis County", "Caddo Parish", "Nome (Alaska)", "Richmond (city)"."""
    name = row["county"]
    if row["state"] in ("AK", "DC") or name.endswith(("(city)", " City")) and row["fips"] not in ("51036", "51095"):
        return name
    return f"{name} {'Parish' if row['state'] == 'LA' else 'County'}"


def zone_fields(row: dict[str, str]) -> dict[str, Any]:
    """Zone, moisture regime and edition of a county or station row."""
    zone = row["zone_iecc2021"]
    return {"zone": zone, "moisture_regime": regime_of(zone), "zone_edition": ZONE_EDITION}


def zone_warnings(row: dict[str, str]) -> list[str]:
    """A change between editions is said."""
    new, old = row["zone_iecc2021"], row["zone_iecc2015"]
    return [f"zone {new} is after {ZONE_EDITION}; the 2015 edition had {old}"] if new != old else []


def region_warnings(row: dict[str, str]) -> list[Said]:
    """The weak spots of the method that this county lies in."""
    case = region(row["state"], float(row["lon"]), float(row["elev_m"]), float(row["nearest_tmy3_km"]))
    notes: list[Said] = [uncertainty(case).note] if uncertainty(case).note else []
    if row["state"] in COAST_STATES and float(row["elev_m"]) < 40.0:
        notes.append(
            worded(
                "north-eastern coast: winters at sea-side cities come out {} to {} too cold here (safe side)",
                Q(1.67, "temperature difference"),
                Q(2.22, "temperature difference"),
            )
        )
    if float(row["elev_spread_m"] or 0.0) > 500.0:
        notes.append(
            worded(
                "heights in this county spread over about {}; values hold at {}: give the site's elevation",
                Q(float(row["elev_spread_m"]), "height"),
                Q(float(row["elev_m"]), "height"),
            )
        )
    doubt = re.search(r"ZIP positions lie at (\d+) m", row["elev_src"])
    if doubt:
        notes.append(
            worded(
                "the record holds at {}, but this county's ZIPs lie at about {}: give the site's elevation",
                Q(float(row["elev_m"]), "height"),
                Q(float(doubt[1]), "height"),
            )
        )
    return notes


def county_place(fips: str) -> Place:
    """The county's row of the county table; spread, dew point and bins come from its station."""
    row = tables.row(COUNTIES, fips)
    if row is None:
        raise KeyError(fips)
    station = station_row(row["hourly_station"])
    months, bins = moved_months(
        [tables.monthly(row, k) for k in ("tmean", "tmax", "tmin")], tables.monthly(row, "ghi", "_kWh_m2_day"), station
    )
    title = county_title(row)
    return Place(
        name=f"{title}, {row['state']}",
        lat=float(row["lat"]),
        lon=float(row["lon"]),
        elevation_m=float(row["elev_m"]),
        county=title,
        state=row["state"],
        **zone_fields(row),
        **design_values(row),
        **damp_values(row, station),
        sigma_heating_K=float(row["h99_sigma_F"]) / F_PER_K,
        sigma_heating_996_K=1.11 * float(row["h99_sigma_F"]) / F_PER_K,
        sigma_cooling_K=float(row["c010_sigma_F"]) / F_PER_K,
        grade=row["grade"],
        source=f"county table: {row['source']}",
        warnings=(*region_warnings(row), *zone_warnings(row)),
        utc_offset_h=float(station["tz"]),
        wind_mean_m_s=float(row["wind_mean_mph"]) * M_S_PER_MPH,
        monthly=months,
        bins=bins,
        hourly_station=HourlyStation(station["usaf"], station["name"], float(row["hourly_station_km"])),
        coldest_hour_C=coldest_hour(bins),
        height_source=row["elev_src"],
    )


def station_place(usaf: str) -> Place:
    """A station's own row: best estimates, raw months and bins of its typical year."""
    row = station_row(usaf)
    state = row["state"]
    known = uncertainty({"AK": "alaska", "HI": "station_hawaii"}.get(state, "station"))
    county = tables.row(COUNTIES, row["fips"])
    notes = [known.note] if known.note else []
    notes += [f"record: {row['note']}"] if row["note"] else []
    return Place(
        name=f"{row['name']}, {state} (station {usaf})",
        lat=float(row["lat"]),
        lon=float(row["lon"]),
        elevation_m=float(row["elev_m"]),
        county=county_title(county) if county else "",
        state=state,
        **zone_fields(row),
        **design_values(row, "_best"),
        **damp_values(row, row),
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=row["quality"],
        source=f"station table: {row['source']}; design values smoothed and calibrated",
        warnings=tuple(notes + zone_warnings(row)),
        utc_offset_h=float(row["tz"]),
        wind_mean_m_s=float(row["wind_mean_mph"]) * M_S_PER_MPH,
        monthly=station_monthly(row),
        bins=station_bins(usaf),
        hourly_station=HourlyStation(usaf, row["name"], 0.0),
        coldest_hour_C=float(celsius(float(row["min_F"]))),
        height_source="station record",
    )


@cache
def canada_rows() -> tuple[dict[str, str], ...]:
    """The Canadian table."""
    return tuple(csv.DictReader(tables.content(CANADA).splitlines()))


def canada_place(row: dict[str, str]) -> Place:
    """A Canadian row: one older typical year; no dew point, spread, sun or bins in these records."""
    known = uncertainty("canada")
    lat, lon = float(row["lat"]), float(row["lon"])
    months = {
        k: values(celsius(tables.monthly(row, stem))) for k, stem in (("mean_C", "tmean"), ("max_C", "tmax"), ("min_C", "tmin"))
    }
    notes = [known.note, "no sun, dew point or bins in these records: for a year of hours give an hourly file"]
    notes += [f"record: {row['note']}"] if row["note"] else []
    return Place(
        name=f"{row['place']}, {row['prov']}",
        lat=lat,
        lon=lon,
        elevation_m=tables.grid_elevation_m(lat, lon) or 0.0,
        county="",
        state=row["prov"],
        zone=row["thermal_zone"],
        moisture_regime="",
        zone_edition="thermal zone by degree-days of this record",
        **design_values(row),
        dew_point_1_C=None,
        dew_point_1_dry_bulb_C=None,
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=row["quality"][0],
        source=f"Canadian table: {row['source']}",
        warnings=tuple(notes),
        utc_offset_h=float(row["tz"]),
        wind_mean_m_s=None,
        monthly=Monthly(**months, dew_point_C=None, daily_sd_K=None, ghi_kWh_m2_day=None),
        bins=None,
        hourly_station=None,
        coldest_hour_C=None,
        height_source="coarse grid",
    )
