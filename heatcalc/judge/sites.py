"""Every place of the climate tables as arrays: what a design load needs, all of them at once."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache
from itertools import chain
from typing import Any

import numpy as np

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.climate_tables import celsius
from heatcalc.inputs.place.find_place import county_place, find_place
from heatcalc.inputs.place.interpolate import Around, design_columns, monthly_columns, variances_km
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.place.place_rows import (
    COUNTIES,
    STATIONS,
    coldest_hour,
    county_title,
    damp_values,
    design_values,
    moved_bins,
)
from heatcalc.inputs.place.place_search import TOWN_SIGMA_M
from heatcalc.inputs.place.sureness import Sureness, region, sureness
from heatcalc.inputs.supply.tariff import state_average
from heatcalc.model.designer import dew_points

Array = np.ndarray
UNUSABLE = "X"
DESIGN_KEYS = (
    "heating_99_C",
    "heating_996_C",
    "cooling_1_C",
    "cooling_1_mcwb_C",
    "dew_point_1_C",
    "dew_point_1_dry_bulb_C",
    "daily_range_K",
)


@dataclass(frozen=True, eq=False)
class Sites:
    """Places as columns; temperatures in degC, months along the second axis."""

    kind: str  # "station" or "county"
    key: tuple[str, ...]  # what `find_place` (a station) or the county table knows it by
    name: tuple[str, ...]
    state: tuple[str, ...]
    zone: tuple[str, ...]
    lat: Array
    lon: Array
    elevation_m: Array
    utc_offset_h: Array
    heating_99_C: Array
    heating_996_C: Array
    cooling_1_C: Array
    cooling_1_mcwb_C: Array
    dew_point_1_C: Array  # NaN where the record has none, as the dry bulb with it
    dew_point_1_dry_bulb_C: Array
    daily_range_K: Array
    sigma_heating_K: Array
    sigma_heating_996_K: Array
    coldest_hour_C: Array  # of the typical record; NaN where none is known
    hdd_per_cdd: Array  # heating degree-days to 65 F over cooling degree-days to 50 F
    usd_per_kWh: Array  # the state's average; NaN outside the tables
    mean_C: Array
    max_C: Array
    dew_point_C: Array
    ghi_kWh_m2_day: Array

    def __len__(self) -> int:
        return len(self.key)

    def take(self, which: Sequence[int] | Array | slice) -> Sites:
        """Some of the places."""
        order = np.arange(len(self))[which]
        cut: dict[str, Any] = {}
        for f in fields(self):
            value = getattr(self, f.name)
            cut[f.name] = (
                value if f.name == "kind" else value[order] if isinstance(value, np.ndarray) else tuple(value[i] for i in order)
            )
        return replace(self, **cut)

    @classmethod
    def joined(cls, found: Sequence[Sites]) -> Sites:
        """Several lists of places, one after another."""
        columns: dict[str, Any] = {f.name: [getattr(x, f.name) for x in found] for f in fields(cls)}
        kind = columns.pop("kind")[0]
        for name, values in columns.items():
            columns[name] = np.concatenate(values) if isinstance(values[0], np.ndarray) else tuple(chain.from_iterable(values))
        return cls(kind=kind, **columns)

    def place(self, i: int) -> Place:
        """The whole record of one place."""
        return place_of(self.kind, self.key[i])


def place_of(kind: str, key: str) -> Place:
    """The whole record of a "station" or a "county"."""
    return county_place(key) if kind == "county" else find_place(key)


def stations() -> Sites:
    """Every usable station of the table (two are marked unusable)."""
    rows = [r for r in _rows(STATIONS) if r["quality"] != UNUSABLE]
    return _joined("station", [_station(r) for r in rows])


def counties() -> Sites:
    """Every county, as `find_place` has it: at its most populous place, values carried from the stations around."""
    rows = _rows(COUNTIES)
    around = Around(*(np.array([float(r[k]) for r in rows]) for k in ("lat", "lon", "elev_m")))
    design, months, variance = design_columns(around), monthly_columns(around), variances_km(around)
    tz = around.known.of(("tz",), around.best_station())[:, 0]
    known = [_sureness(r, {k: float(v[i]) for k, v in variance.items()}) for i, r in enumerate(rows)]
    return Sites(
        kind="county",
        key=tuple(r["fips"] for r in rows),
        name=tuple(f"{county_title(r)}, {r['state']} (at {r['place']})" for r in rows),
        state=tuple(r["state"] for r in rows),
        zone=tuple(r["zone_iecc2021"] for r in rows),
        lat=around.lat,
        lon=around.lon,
        elevation_m=around.height_m,
        utc_offset_h=tz,
        sigma_heating_K=np.array([k.heating_K for k in known]),
        sigma_heating_996_K=np.array([k.heating_996_K for k in known]),
        coldest_hour_C=_coldest_hours_C(around, months["mean_C"]),
        hdd_per_cdd=design["hdd18_3_Kd"] / np.maximum(design["cdd10_Kd"], 1.0),
        usd_per_kWh=np.array([usd_per_kWh(r["state"]) for r in rows]),
        **{k: design[k] for k in DESIGN_KEYS},
        **{k: months[k] for k in ("mean_C", "max_C", "dew_point_C", "ghi_kWh_m2_day")},
    )


def _coldest_hours_C(around: Around, mean_C: Array) -> Array:
    """Coldest hour of each place's typical record: its station's, moved to the place's months as its bins are."""
    best = around.best_station()
    return np.array([coldest_hour(moved_bins(around.known.usaf[int(k)], m)) for k, m in zip(best, mean_C, strict=True)])


def _sureness(row: dict[str, str], variance_km: dict[str, float]) -> Sureness:
    return sureness(region(row["state"], float(row["lon"]), float(row["elev_m"])), variance_km, TOWN_SIGMA_M)


def sites_of(places: Sequence[Place]) -> Sites:
    """Any places, as columns; their names stand for their keys."""
    return _joined(
        "place",
        [
            {
                "key": p.name,
                "name": p.name,
                "state": p.state,
                "zone": p.zone,
                "lat": p.lat,
                "lon": p.lon,
                "elevation_m": p.elevation_m,
                "utc_offset_h": p.utc_offset_h,
                "heating_99_C": p.heating_99_C,
                "heating_996_C": p.heating_996_C,
                "cooling_1_C": p.cooling_1_C,
                "cooling_1_mcwb_C": p.cooling_1_mcwb_C,
                "dew_point_1_C": p.dew_point_1_C,
                "dew_point_1_dry_bulb_C": p.dew_point_1_dry_bulb_C,
                "daily_range_K": p.daily_range_K,
                "sigma_heating_K": p.sigma_heating_K,
                "sigma_heating_996_K": p.sigma_heating_996_K,
                "coldest_hour_C": float("nan") if p.coldest_hour_C is None else p.coldest_hour_C,
                "hdd_per_cdd": p.hdd18_3_Kd / max(p.cdd10_Kd, 1.0),
                "usd_per_kWh": usd_per_kWh(p.state),
                "mean_C": p.monthly.mean_C,
                "max_C": p.monthly.max_C,
                "dew_point_C": dew_points(p),
                "ghi_kWh_m2_day": p.monthly.ghi_kWh_m2_day or (np.nan,) * 12,
            }
            for p in places
        ],
    )


@cache
def usd_per_kWh(state: str) -> float:
    """The state's average price; NaN where none is known."""
    try:
        return float(state_average(state).price or float("nan"))
    except (InputError, NoAnswer):
        return float("nan")


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(tables.content(name).splitlines()))


def _joined(kind: str, found: list[dict[str, Any]]) -> Sites:
    words = ("key", "name", "state", "zone")
    columns: dict[str, Any] = {
        k: tuple(f[k] for f in found) if k in words else np.array([f[k] for f in found], float) for k in found[0]
    }
    return Sites(kind=kind, **columns)


def _station(row: dict[str, str]) -> dict[str, Any]:
    """As `place_rows.station_place`."""
    design = design_values(row, "_best") | damp_values(row)
    known = sureness(region(row["state"], float(row["lon"]), float(row["elev_m"])))
    months = {"mean_C": celsius(tables.monthly(row, "tmean")), "dew_point_C": celsius(tables.monthly(row, "tdew"))}
    return (
        _common(row, design)
        | months
        | {
            "key": row["usaf"],
            "name": f"{row['name']}, {row['state']} (station {row['usaf']})",
            "sigma_heating_K": known.heating_K,
            "sigma_heating_996_K": known.heating_996_K,
            "coldest_hour_C": celsius(float(row["min_F"])),
            "utc_offset_h": float(row["tz"]),
        }
    )


def _common(row: dict[str, str], design: dict[str, Any]) -> dict[str, Any]:
    return {k: design[k] for k in DESIGN_KEYS} | {
        "hdd_per_cdd": float(row["HDD65"]) / max(float(row["CDD50"]), 1.0),
        "usd_per_kWh": usd_per_kWh(row["state"]),
        "state": row["state"],
        "zone": row["zone_iecc2021"],
        "lat": float(row["lat"]),
        "lon": float(row["lon"]),
        "elevation_m": float(row["elev_m"]),
        "max_C": celsius(tables.monthly(row, "tmax")),
        "ghi_kWh_m2_day": tables.monthly(row, "ghi", "_kWh_m2_day"),
    }
