"""Station statistics carried to any places at once (climate_data/README.md, method step 5)."""

from __future__ import annotations

from functools import cache, cached_property

import numpy as np

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.climate_tables import F_PER_K, M_S_PER_MPH, celsius, monthly_names
from heatcalc.inputs.place.heights import height_around_m, shore
from heatcalc.physics.year.interpolation import (
    all_great_circles_km,
    effective_km,
    great_circle_km,
    ordinary_kriging,
    taper_km,
    variogram_km,
)
from heatcalc.tables import rows

ELSEWHERE_KM = 1e6
STATIONS_USED = 30  # own choice; leave-one-out is no better with more
BELOW_KM = 150.0  # own choice: stations that say how low the land lies
AT_ONCE = 250  # places whose distances to every station are held at once
DESIGN = (
    ("heating_99_C", "h99_best_F", "heating"),
    ("heating_996_C", "h996_best_F", "heating_996"),
    ("cooling_1_C", "c010_best_F", "cooling"),
    ("cooling_04_C", "c004_best_F", "cooling"),
    ("cooling_1_mcwb_C", "c010_mcwb_F", "wet_bulb"),
    ("dew_point_1_C", "dp010_F", "dew_point"),
    ("dew_point_1_dry_bulb_C", "dp010_mcdb_F", "wet_bulb"),
)
DEGREE_DAYS = (("hdd18_3_Kd", "HDD65"), ("cdd18_3_Kd", "CDD65"), ("cdd10_Kd", "CDD50"))
MONTHS = (("mean_C", "tmean"), ("max_C", "tmax"), ("min_C", "tmin"), ("dew_point_C", "tdew"))


class Around:
    """The stations around places (m of them), nearest first; `carry` brings a column of theirs to every place.

    Each place stands three times (axis 1): at its height, and one sigma of its height above and below, for what that leaves open.
    """

    def __init__(self, lat, lon, height_m, height_sigma_m=0.0, without=None):
        """`without`: for each place a station that is left out (its index), for checks."""
        k = self.known = tables.stations()
        self.lat, self.lon, self.height_m = (np.atleast_1d(np.asarray(x, float)) for x in (lat, lon, height_m))
        parts = range(0, len(self.lat), AT_ONCE)
        near = np.concatenate([self._nearest(slice(i, i + AT_ONCE), without) for i in parts])
        km = great_circle_km(self.lat[:, None], self.lon[:, None], k.lat[near], k.lon[near])
        score = _score(
            km, self.height_m[:, None] - k.elevation_m[near], land(self.lat, self.lon)[:, None], land(k.lat, k.lon)[near]
        )
        self.near, self.km, self._taper_km = near[:, :-1], km[:, :-1], taper_km(score[:, :-1], score[:, -1:])
        heights = np.stack([self.height_m + times * height_sigma_m for times in (0.0, 1.0, -1.0)], axis=-1)[..., None]
        self.rise_m = heights - k.elevation_m[self.near][:, None, :]
        self._used = np.flatnonzero(np.bincount(self.near.ravel()))  # as np.unique, without its library of masks
        self._which = np.searchsorted(self._used, self.near)
        self._shore = shore(self.lat, self.lon)[:, None]
        self._solved: dict[str, tuple[np.ndarray, np.ndarray]] = {}
        self._risen: dict[str, list[np.ndarray]] = {}

    def __len__(self) -> int:
        return len(self.lat)

    def _nearest(self, part: slice, without) -> np.ndarray:
        """Stations around some of the places, the nearest first, and the one beyond them."""
        k, lat, lon = self.known, self.lat[part], self.lon[part]
        km = all_great_circles_km(lat, lon, k.lat, k.lon)
        score = _score(km, self.height_m[part, None] - k.elevation_m, land(lat, lon)[:, None], land(k.lat, k.lon))
        if without is not None:
            score[np.arange(len(score)), without[part]] = np.inf
        first = np.argpartition(score, STATIONS_USED, axis=1)[:, : STATIONS_USED + 1]
        return np.take_along_axis(first, np.argsort(np.take_along_axis(score, first, axis=1), axis=1, kind="stable"), axis=1)

    def solved(self, metric: str) -> tuple[np.ndarray, np.ndarray]:
        """Weights (m, 3, n) of the stations and the variance of the estimate (m, 3) [km of variogram]."""
        if metric not in self._solved:
            self._solved[metric] = self._solve(_metric(metric))
        return self._solved[metric]

    def _solve(self, rule: dict[str, float]) -> tuple[np.ndarray, np.ndarray]:
        sea = np.exp(-self.known.coast_km / tables.SHORE_KM)
        metric, nugget = (rule["height_km_m"], rule["shore_km"]), (rule["nugget_km"], rule["range_km"])
        to = effective_km(self.km[:, None], self.rise_m, (self._shore - sea[self.near])[:, None], *metric)
        which = self._which
        between = variogram_km(self._among(sea, *metric), *nugget)[which[:, :, None], which[:, None, :]]
        own = np.arange(STATIONS_USED)
        between[:, own, own] = -self._taper_km
        return ordinary_kriging(between, variogram_km(to, *nugget))

    def _among(self, sea: np.ndarray, height_km_m: float, shore_km: float) -> np.ndarray:
        """Distance between every two stations used, height and shore counted [km]."""
        k, a, b = self.known, self._used[:, None], self._used
        km = great_circle_km(k.lat[a], k.lon[a], k.lat[b], k.lon[b])
        return effective_km(km, k.elevation_m[a] - k.elevation_m[b], sea[a] - sea[b], height_km_m, shore_km)

    @cached_property
    def relief_m(self) -> np.ndarray:
        """How much higher a place stands above the land around it than each station does [m] (m, 3, n)."""
        k, used = self.known, self._used
        theirs = height_around_m(k.lat[used], k.lon[used])[self._which]
        return self.rise_m - (height_around_m(self.lat, self.lon)[:, None] - theirs)[:, None, :]

    def carry(self, columns: str | tuple[str, ...], kind: str) -> np.ndarray:
        """One column (m,) or several (m, columns), in the table's unit."""
        names = (columns,) if isinstance(columns, str) else columns
        found = self.weighed(self.known.of(names, self.near), kind)[:, 0]
        return found[:, 0] if isinstance(columns, str) else found

    def left_open(self, column: str, kind: str) -> np.ndarray:
        """The most that one sigma of the height, up or down, changes in a column (m,)."""
        found = self.weighed(self.known.of((column,), self.near), kind)[..., 0]
        return np.abs(found - found[:, :1]).max(axis=1)

    def weighed(self, here, kind: str) -> np.ndarray:
        """Values of the stations around each place (m, n, columns), weighed and brought to its heights (m, 3, columns)."""
        metric, lapse, by_relief = _kinds()[kind]
        rise, relief = self._risen_km(metric)
        return self.solved(metric)[0] @ here - lapse * rise + by_relief * relief

    def _risen_km(self, metric: str) -> list[np.ndarray]:
        """What the places rise, and rise above the land around, over the stations weighed [km] (m, 3, 1)."""
        if metric not in self._risen:
            weights, _ = self.solved(metric)
            self._risen[metric] = [(weights * by).sum(axis=-1)[..., None] / 1000.0 for by in (self.rise_m, self.relief_m)]
        return self._risen[metric]

    def below_m(self) -> np.ndarray:
        """How far each place lies below the lowest station used within `BELOW_KM`; 0 where there is none [m] (m,)."""
        lowest = np.where(self.km < BELOW_KM, -self.rise_m[:, 0], np.inf).min(axis=1)
        return np.where(np.isfinite(lowest), lowest, 0.0)

    def best_station(self) -> np.ndarray:
        """Index of the station for the typical year: the nearest, height and shore counted (m,)."""
        first = np.argmax(self.solved("cold")[0][:, 0], axis=1)
        return np.take_along_axis(self.near, first[:, None], axis=1)[:, 0]


def _score(km, rise_m, here, there):
    """How near a station is [km], height counted; one of another land is far."""
    return effective_km(km, rise_m, 0.0, _metric("cold")["height_km_m"], 0.0) + ELSEWHERE_KM * (here != there)


def land(lat, lon) -> np.ndarray:
    """0 for the lower 48, 1 for Alaska, 2 for Hawaii: stations serve their own only."""
    return np.where((lat > 50.0) & ((lon < -129.0) | (lon > 160.0)), 1, np.where((lat < 24.0) & (lon < -150.0), 2, 0))


@cache
def _metric(name: str) -> dict[str, float]:
    row = next(r for r in rows("place_metric") if r["metric"] == name)
    return {k: float(v) for k, v in row.items() if k not in ("metric", "source")}


@cache
def _kinds() -> dict[str, tuple[str, np.ndarray, float]]:
    """Metric, lapse (one, or one a column) and rise with the relief of every quantity."""
    return {
        r["quantity"]: (r["metric"], np.array([float(x) for x in r["lapse_per_km"].split()]), float(r["relief_per_km"]))
        for r in rows("place_interpolation")
    }


def design_columns(around: Around) -> dict[str, np.ndarray]:
    """Design temperatures [degC], daily range [K] and degree-days [K d] (m,), in an order that holds anywhere."""
    found = {name: celsius(around.carry(column, kind)) for name, column, kind in DESIGN}
    found["heating_996_C"] = np.minimum(found["heating_996_C"], found["heating_99_C"])
    found["cooling_04_C"] = np.maximum(found["cooling_04_C"], found["cooling_1_C"])
    found["cooling_1_mcwb_C"] = np.minimum(found["cooling_1_mcwb_C"], found["cooling_1_C"])
    found["dew_point_1_dry_bulb_C"] = np.maximum(found["dew_point_1_dry_bulb_C"], found["dew_point_1_C"])
    found["daily_range_K"] = np.maximum(around.carry("MDR_F", "range"), 1.0) / F_PER_K
    return found | {name: np.maximum(around.carry(c, c.lower()), 0.0) / F_PER_K for name, c in DEGREE_DAYS}


def monthly_columns(around: Around) -> dict[str, np.ndarray]:
    """Monthly means, mean daily maxima and minima, dew points [degC], spread of days [K], sun [kWh/m2 a day] (m, 12)."""
    found = {name: celsius(around.carry(monthly_names(stem), stem)) for name, stem in MONTHS}
    found["max_C"] = np.maximum(found["max_C"], found["mean_C"] + 0.5)
    found["min_C"] = np.minimum(found["min_C"], found["mean_C"] - 0.5)
    found["dew_point_C"] = np.minimum(found["dew_point_C"], found["mean_C"])
    found["daily_sd_K"] = np.maximum(around.carry(monthly_names("sdday"), "level"), 0.5) / F_PER_K
    sun = np.maximum(around.carry(monthly_names("ghi", "_kWh_m2_day"), "level"), 0.0)
    return found | {"ghi_kWh_m2_day": sun}


def wind_m_s(around: Around) -> np.ndarray:
    """Mean wind [m/s] (m,)."""
    return np.maximum(around.carry("wind_mean_mph", "level"), 1.0) * M_S_PER_MPH


def variances_km(around: Around) -> dict[str, np.ndarray]:
    """Kriging variance of each percentile's estimate [km of variogram] (m,)."""
    cold, hot = (around.solved(metric)[1][:, 0] for metric in ("cold", "hot"))
    return {"heating": cold, "heating_996": cold, "cooling": hot}


def left_open_F(around: Around) -> dict[str, np.ndarray]:
    """What one sigma of the height leaves open of each percentile's estimate [F] (m,)."""
    columns = {kind: column for _, column, kind in reversed(DESIGN)}
    return {kind: around.left_open(columns[kind], kind) for kind in ("heating", "heating_996", "cooling")}
