"""Rows of the climate tables as places: a county, a station, a Canadian station; and the design values of the months in which a
house stands there.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache, cached_property
from heapq import merge
from itertools import accumulate
from typing import Any

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.climate_tables import BIN_WIDTH_K, F_PER_K, M_S_PER_MPH, celsius
from heatcalc.inputs.place.place_record import (
    EVERY_MONTH,
    ZONE_EDITION,
    HourlyStation,
    MonthBins,
    Monthly,
    Place,
    regime_of,
    region,
    sureness,
)
from heatcalc.wording import MONTHS

COUNTIES, STATIONS, BINS, CANADA = ("us_counties.csv.gz", "us_stations.csv.gz", "us_station_bins.csv.gz", "canada.csv")


def values(array) -> tuple[float, ...]:
    """An array as a tuple of plain floats."""
    return tuple(float(x) for x in array)


def station_row(usaf: str) -> dict[str, str]:
    """The table row of a station that is known to exist."""
    row = tables.row(STATIONS, usaf)
    if row is None:
        raise KeyError(usaf)
    return row


class MovedBins(Sequence[MonthBins]):
    """A station's twelve months of bins, each moved by `shift_K`: worked out when one is read, for most places never."""

    def __init__(self, usaf: str, shift_K=(0.0,) * 12):
        self._usaf, self._shift_K = usaf, np.asarray(shift_K)

    @cached_property
    def _months(self) -> tuple[MonthBins, ...]:
        edges_C, month, held = _counted(self._usaf)
        moved = tuple((edges_C + self._shift_K[month]).tolist())
        return tuple(MonthBins(moved[a:b], hours, BIN_WIDTH_K) for a, b, hours in held)

    def __len__(self) -> int:
        return len(self._shift_K)

    def __getitem__(self, month):
        return self._months[month]

    def __eq__(self, other) -> bool:
        return isinstance(other, Sequence) and self._months == tuple(other)

    def __hash__(self) -> int:
        return hash(self._months)

    def coldest_hour_C(self) -> float:
        """As `coldest_hour` of these months."""
        edges_C, hours = _first_bins(self._usaf)
        return _coldest(BIN_WIDTH_K, zip((edges_C + self._shift_K).tolist(), hours, strict=True))


@cache
def _counted(usaf: str) -> tuple[np.ndarray, np.ndarray, tuple[tuple[int, int, tuple[int, ...]], ...]]:
    """Of a station's bins the lower edges [degC], month after month; the month (0..11) of each; of each month where its own begin
    and end, and their hours."""
    lines = tables.rows_of(BINS, usaf)
    hours = [tuple(int(h) for h in line[3].split()) for line in lines]
    counts = [len(h) for h in hours]
    edges = [celsius(float(line[2])) + BIN_WIDTH_K * np.arange(n) for line, n in zip(lines, counts, strict=True)]
    ends = [*accumulate(counts, initial=0)]
    return np.concatenate(edges), np.repeat(np.arange(12), counts), tuple(zip(ends, ends[1:], hours, strict=False))


@cache
def _first_bins(usaf: str) -> tuple[np.ndarray, tuple[int, ...]]:
    """Of each month of a station the first bin: its lower edge [degC] and its hours."""
    edges_C, _, held = _counted(usaf)
    return edges_C[[first for first, _, _ in held]], tuple(hours[0] for _, _, hours in held)


def coldest_hour(months: Iterable[MonthBins]) -> float:
    """The temperature than which one hour of these months is colder, even within a bin [degC].

    It lies in the first bin of the coldest month (which holds an hour or more), where no month is beyond its own first bin.
    """
    held = list(months)
    return _coldest(held[0].width_K, ((b.lower_edges_C[0], b.hours[0]) for b in held))


def _coldest(width_K: float, first: Iterable[tuple[float, int]]) -> float:
    return _with_hours_below(1.0, width_K, sorted(first))


def quantile(months: Iterable[MonthBins], share: float) -> float:
    """The temperature below which a share of these months' hours lie, even within a bin (bins of one width) [degC]."""
    held = list(months)
    return _with_hours_below(share * sum(sum(b.hours) for b in held), held[0].width_K, merge(*(_steps(b) for b in held)))


def _with_hours_below(wanted: float, width_K: float, steps: Iterable[tuple[float, int]]) -> float:
    """Where the hours summed from the coldest on come to `wanted`; `steps` say where the hours a bin change, and by how much."""
    below, hours_a_bin, at_C = 0.0, 0, 0.0
    for edge_C, more in steps:
        reached = below + hours_a_bin * (edge_C - at_C) / width_K
        if reached >= wanted:
            break
        below, hours_a_bin, at_C = reached, hours_a_bin + more, edge_C
    return at_C + (wanted - below) * width_K / hours_a_bin if hours_a_bin else at_C


def _steps(b: MonthBins) -> Iterator[tuple[float, int]]:
    """Steps of one month, from the coldest on."""
    before = 0
    for edge, hours in zip(b.lower_edges_C, b.hours, strict=True):
        yield edge, hours - before
        before = hours
    yield b.lower_edges_C[-1] + b.width_K, -before


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


def moved_bins(usaf: str, mean_C) -> MovedBins:
    """A station's bins, each month moved to a place's own mean."""
    return MovedBins(usaf, np.asarray(mean_C) - _own_means_C(usaf))


@cache
def _own_means_C(usaf: str) -> np.ndarray:
    return celsius(tables.monthly(station_row(usaf), "tmean"))


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


def damp_values(row: dict[str, str]) -> dict[str, Any]:
    """The 1 % dew point of a station and the mean dry bulb with it."""
    dew, rise = float(row["dp010_F"]), max(float(row["dp010_mcdb_F"]) - float(row["dp010_F"]), 0.0)
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


def station_place(usaf: str) -> Place:
    """A station's own row: best estimates, raw months and bins of its typical year."""
    row = station_row(usaf)
    state = row["state"]
    known = sureness(region(state, float(row["lon"]), float(row["elev_m"])))
    county = tables.row(COUNTIES, row["fips"])
    notes = [known.note] if known.note and state in ("AK", "HI") else []
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
        **damp_values(row),
        sigma_heating_K=known.heating_K,
        sigma_heating_996_K=known.heating_996_K,
        sigma_cooling_K=known.cooling_K,
        grade=max(known.grade, row["quality"]),
        source=f"station table: {row['source']}; design values smoothed and calibrated",
        warnings=tuple(notes + zone_warnings(row)),
        utc_offset_h=float(row["tz"]),
        wind_mean_m_s=float(row["wind_mean_mph"]) * M_S_PER_MPH,
        monthly=station_monthly(row),
        bins=MovedBins(usaf),
        hourly_station=HourlyStation(usaf, row["name"], 0.0),
        coldest_hour_C=float(celsius(float(row["min_F"]))),
        height_source="station record",
        carried=True,
    )


@cache
def canada_rows() -> tuple[dict[str, str], ...]:
    """The Canadian table."""
    return tuple(csv.DictReader(tables.content(CANADA).splitlines()))


def canada_place(row: dict[str, str]) -> Place:
    """A Canadian row: one older typical year; no dew point, spread, sun or bins in these records."""
    known = sureness("canada")
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
        elevation_m=float(np.nan_to_num(tables.grid_elevation_m(lat, lon))),
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


LIKE = 'write the season as "May-Oct" or "Nov-Mar" after a semicolon'


def season_said(query: str) -> tuple[str, tuple[int, ...]]:
    """The place's words and the months after a semicolon; all twelve where none are said."""
    where, mark, said = str(query).partition(";")
    if not mark:
        return query, EVERY_MONTH
    ends = [_month(query, word) for word in re.split(r"\s*(?:-|–|\bto\b)\s*", said.strip())]
    if len(ends) > 2:
        raise InputError("place", query, "has more than two months in its season", LIKE)
    first, last = ends[0], ends[-1]
    return where, tuple((first - 1 + i) % 12 + 1 for i in range((last - first) % 12 + 1))


def _month(query: str, word: str) -> int:
    known = [i for i, name in enumerate(MONTHS, start=1) if len(word) >= 3 and name.lower().startswith(word.lower().rstrip("."))]
    if not known:
        raise InputError("place", query, f"{word!r} is no month", LIKE)
    return known[0]


def season_text(months: tuple[int, ...]) -> str:
    """ "May to October"."""
    first, last = (MONTHS[m - 1] for m in (months[0], months[-1]))
    return first if len(months) == 1 else f"{first} to {last}"


def in_season(place: Place, months: tuple[int, ...]) -> Place:
    """The place as the house meets it in these months.

    A design value is the temperature passed in the same share of the hours the house stands there (1 % of May to October,
    not of the year; own choice): the percentile of the months' bins, with the difference between the year's design value and
    the year's percentile left as it is.  Without bins the year's values stay.
    """
    note = (
        f"design values, coldest hour and hours below a temperature are those of {season_text(months)}; degree-days and a year's "
        "energy are of the whole year"
    )
    if place.bins is None:
        note = f"no hours are known month by month here: design values are of the whole year, not of {season_text(months)}"
        return replace(place, months=months, warnings=(*place.warnings, note))
    own = [b for m, b in enumerate(place.bins, start=1) if m in months]
    moved = {
        name: getattr(place, name) + quantile(own, share) - quantile(place.bins, share)
        for name, share in (("heating_99_C", 0.01), ("heating_996_C", 0.004), ("cooling_1_C", 0.99), ("cooling_04_C", 0.996))
    }
    damp = {k: getattr(place, k) for k in ("cooling_1_mcwb_C", "dew_point_1_C", "dew_point_1_dry_bulb_C")}
    moved |= {k: value - _drier_K(place, months) for k, value in damp.items() if value is not None}
    moved["cooling_1_mcwb_C"] = min(moved["cooling_1_mcwb_C"], moved["cooling_1_C"])
    return replace(place, months=months, coldest_hour_C=coldest_hour(own), warnings=(*place.warnings, note), **moved)


def _drier_K(place: Place, months: tuple[int, ...]) -> float:
    """How far the most humid of these months stays below the year's, by its mean dew point [K]."""
    dew = place.monthly.dew_point_C
    return max(dew) - max(dew[m - 1] for m in months) if dew else 0.0
