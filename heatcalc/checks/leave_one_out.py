"""Every station's design temperature from the other stations: how good the interpolation is, and whether sigma is true.

The stations' best estimates are smoothed over neighbours (climate_data/README.md, step 3); so that a station left out is really
out, its share is taken from its neighbours' values first.  Nothing here has seen a published value.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.interpolate import Around, land, variances_km
from heatcalc.inputs.place.place_record import carried_sigma_F, region, sureness
from heatcalc.physics.year.interpolation import great_circle_km

SMOOTHED = {"h": (150.0, 400.0, 3.6), "c": (60.0, 150.0, 5.5)}  # km, m, F per km: README, step 3
OWN_WEIGHT = 3.0
PERCENTILES = {
    "h99": ("heating", "heating"),
    "h996": ("heating_996", "heating_996"),
    "c010": ("cooling", "cooling"),
    "c004": ("cooling", "cooling"),
}


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """Estimate less the station's own best value, and the one sigma of the interpolation, for each station [F]."""

    key: str
    error_F: np.ndarray
    sigma_F: np.ndarray
    nearest_km: np.ndarray
    lat: np.ndarray
    lon: np.ndarray
    elevation_m: np.ndarray


@cache
def leave_one_out(key: str) -> LeftOut:
    """`key`: h99, h996, c010 or c004.  Every usable station of the lower 48, Alaska and Hawaii."""
    known, around = tables.stations(), _around()
    percentile, kind = PERCENTILES[key]
    best = known.column(f"{key}_best_F")
    estimate = around.weighed(_without_each(key)[np.arange(len(best))[:, None], around.near][..., None], kind)[:, 0, 0]
    return LeftOut(
        key=key,
        error_F=estimate - best,
        sigma_F=_sigma_F(around, percentile),
        nearest_km=around.km.min(axis=1),
        lat=known.lat,
        lon=known.lon,
        elevation_m=known.elevation_m,
    )


@cache
def _around() -> Around:
    """Every station as a place of its own position and height, among the others."""
    known = tables.stations()
    return Around(known.lat, known.lon, known.elevation_m, without=np.arange(len(known.lat)))


@cache
def parts() -> np.ndarray:
    """The part of the country that each station lies in."""
    around = _around()
    states = np.array(["", "AK", "HI"])[land(around.lat, around.lon)].tolist()
    return np.array([region(*at) for at in zip(states, around.lon.tolist(), around.height_m.tolist(), strict=True)])


def _sigma_F(around: Around, percentile: str) -> np.ndarray:
    """What the interpolation alone adds at each station."""
    variance = variances_km(around)[percentile]
    return np.array([carried_sigma_F(part, percentile, v) for part, v in zip(parts().tolist(), variance, strict=True)])


@cache
def grades() -> np.ndarray:
    """The grade that a place of each station's position and given height would have, were the station not there."""
    columns = variances_km(_around())
    apart = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    return np.array([sureness(part, variance).grade for part, variance in zip(parts().tolist(), apart, strict=True)])


def _without_each(key: str) -> np.ndarray:
    """[i, j]: the best value of station j when station i is taken out of its smoothing (lower 48)."""
    known = tables.stations()
    length, height, lapse = SMOOTHED[key[0]]
    best, raw = known.column(f"{key}_best_F"), known.column(f"{key}_tmy_F")
    rise = known.elevation_m[:, None] - known.elevation_m
    km = great_circle_km(known.lat[:, None], known.lon[:, None], known.lat, known.lon)
    home = land(known.lat, known.lon) == 0
    weight = np.exp(-((km / length) ** 2) - (rise / height) ** 2) * np.outer(home, home)
    np.fill_diagonal(weight, OWN_WEIGHT)
    value = raw - lapse / 1000.0 * rise
    total, share = (weight * value).sum(axis=1), weight.sum(axis=1)
    out = (total - (weight * value).T) / np.maximum(share - weight.T, 1e-9)
    moved = _smoothed_share(key) * (out - total / share) * np.outer(home, home)
    np.fill_diagonal(moved, 0.0)
    return best + moved


def _smoothed_share(key: str) -> float:
    """How much of the smoothed value the calibration takes (model_coefficients.csv)."""
    lines = tables.content("model_coefficients.csv").splitlines()
    at = lines[0].split(",").index(key)
    return float(next(line for line in lines if line.startswith("smoothed")).split(",")[at])


@dataclass(frozen=True, kw_only=True)
class Group:
    """Leave-one-out over some stations: bias, SD and worst error [F], and the share within one and two (1.96) sigma [%]."""

    what: str
    where: str
    n: int
    bias_F: float
    sd_F: float
    worst_F: float
    within_1: float
    within_2: float


NAMES = {"h99": "heating 99 %", "h996": "heating 99.6 %", "c010": "cooling 1 %", "c004": "cooling 0.4 %"}
DISTANCES = (("nearest station within 30 km", 0.0, 30.0), ("30 to 60 km", 30.0, 60.0), ("beyond 60 km", 60.0, 1e9))
GRADES = ("grade A", "grade B", "grade C")
FEWEST = 10  # stations of a grade and distance that are told apart (own choice: of fewer a share says nothing)
PARTS = (("east of 103 W", "east"), ("west, below 1,000 m", "west"), ("mountain West", "mountain"), ("Pacific slope", "pacific"))


@cache
def summary() -> tuple[Group, ...]:
    """Every percentile, over the lower 48, by distance, by grade, by both and by part of the country, and Alaska and Hawaii."""
    return tuple(group for key in NAMES for group in _groups(leave_one_out(key)))


def _groups(found: LeftOut) -> list[Group]:
    home = land(found.lat, found.lon)
    near = [(words, (found.nearest_km > low) & (found.nearest_km <= high)) for words, low, high in DISTANCES]
    choices = [("lower 48", home == 0), *near]
    for grade in GRADES:
        of = grades() == grade[-1]
        choices += [
            (grade, of),
            *((f"{grade}, {words}", of & at) for words, at in near if (of & at & (home == 0)).sum() >= FEWEST),
        ]
    choices += [(words, np.char.startswith(parts(), name)) for words, name in PARTS]
    choices = [(words, which & (home == 0)) for words, which in choices]
    return [_group(found, words, which) for words, which in [*choices, ("Alaska", home == 1), ("Hawaii", home == 2)]]


def _group(found: LeftOut, where: str, which: np.ndarray) -> Group:
    error, apart = found.error_F[which], np.abs(found.error_F / found.sigma_F)[which]
    return _measured(NAMES[found.key], where, error, apart)


def _measured(what: str, where: str, error: np.ndarray, apart: np.ndarray) -> Group:
    """Bias, spread and worst of errors [F], and how many of them lie within their sigma: `apart` is in sigmas."""
    within_1, within_2 = (float(100.0 * np.mean(apart <= times)) for times in (1.0, 1.96))
    bias, spread, worst = float(error.mean()), float(error.std()), float(np.abs(error).max())
    return Group(
        what=what, where=where, n=len(error), bias_F=bias, sd_F=spread, worst_F=worst, within_1=within_1, within_2=within_2
    )


def unseen(key: str) -> Group:
    """The 34 published stations of the lower 48, each estimated without itself, against the published value; whole sigma."""
    known, found = tables.stations(), leave_one_out(key)
    rows = csv.DictReader(tables.content("published_design.csv").splitlines())
    number = {usaf: i for i, usaf in enumerate(known.usaf)}
    published = {number[r["id"]]: float(r[f"pub_{key}_F"]) for r in rows if r["state"] != "AK" and r["id"] in number}
    which = np.array(list(published))
    estimate = found.error_F + known.column(f"{key}_best_F")
    apart = estimate[which] - np.array(list(published.values()))
    own = getattr(sureness("east"), f"{PERCENTILES[key][0]}_K") * tables.F_PER_K  # the same for every station of the lower 48
    sigma = np.hypot(found.sigma_F[which], own)
    return _measured(NAMES[key], "published stations, unseen", apart, np.abs(apart) / sigma)
