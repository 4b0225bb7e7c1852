"""Every place of the climate tables as arrays: what a design load needs, all of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property
from itertools import chain
from typing import Any

import numpy as np

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.find_place import county_places, find_place
from heatcalc.inputs.place.place_record import Place, with_grade_note
from heatcalc.inputs.place.place_rows import COUNTIES, station_place
from heatcalc.inputs.supply.supply_record import state_average
from heatcalc.judge.chance import normal_nodes
from heatcalc.model.designer import dew_points
from heatcalc.wording import USD, Said

Array = np.ndarray
HOURLY_SD_K = 6.5
MONTH_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
MONTH_SHARES = np.tile(_WEIGHTS / _WEIGHTS.sum(), 12) / 12.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Sites:
    """Places as columns; temperatures in degC, months along the second axis."""

    kind: str  # "station" or "county"
    key: tuple[str, ...]  # what `find_place` (a station) or the county table knows it by
    name: tuple[str, ...]
    state: tuple[str, ...]
    zone: tuple[str, ...]
    warnings: tuple[tuple[Said, ...], ...]  # what is to be minded about each place
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

    def design_C(self, percentile: str) -> Array:
        """The cold a house is designed for, "99 %" or "99.6 %"."""
        return self.heating_996_C if percentile == "99.6 %" else self.heating_99_C

    @cached_property
    def coldest_C(self) -> Array:
        """The colder of the 99.6 % temperature less its sigma and the coldest hour of the typical record."""
        return np.fmin(self.heating_996_C - self.sigma_heating_996_K, self.coldest_hour_C)

    def near_cold_C(self, design_C: Array) -> Array:
        """Where the design cold may lie by its own error, (places, nodes of `normal_nodes`)."""
        return design_C[:, None] + self.sigma_heating_K[:, None] * normal_nodes()[0]

    @cached_property
    def month_hours_C(self) -> Array:
        """Five hours about each month's mean, (places, 60), which stand for `MONTH_SHARES` of the year."""
        return (self.mean_C[:, :, None] + HOURLY_SD_K * MONTH_NODES).reshape(len(self), -1)

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
    return county_places([key])[0] if kind == "county" else find_place(key)


@cache
def stations() -> Sites:
    """Every usable station of the table (two are marked unusable)."""
    usable = tables.stations().usaf
    return _known_as("station", usable, [with_grade_note(station_place(usaf)) for usaf in usable])


@cache
def counties() -> Sites:
    """Every county, as `find_place` has it: at its most populous place, values carried from the stations around."""
    every = tuple(fips for (fips,) in tables.first_columns(COUNTIES, 1))
    return _known_as("county", every, county_places(every))


def _known_as(kind: str, keys: tuple[str, ...], places: Sequence[Place]) -> Sites:
    return replace(sites_of(places), kind=kind, key=keys)


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
                "warnings": p.warnings,
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
    """The state's average price, to order plans by; the US one where the state's is other money; NaN where unknown."""
    try:
        found = state_average(state)
        return float((found if found.currency == USD else state_average("US")).price or float("nan"))
    except (InputError, NoAnswer):
        return float("nan")


def _joined(kind: str, found: list[dict[str, Any]]) -> Sites:
    words = ("key", "name", "state", "zone", "warnings")
    columns: dict[str, Any] = {
        k: tuple(f[k] for f in found) if k in words else np.array([f[k] for f in found], float) for k in found[0]
    }
    return Sites(kind=kind, **columns)
