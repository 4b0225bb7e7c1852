"""How high a position lies, where that is known from, and how surely; how near the sea is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.wording import Q, Said, worded

PACKED = [("lat", "<i4"), ("lon", "<i4"), ("m", "<i2"), ("missed", "<i2"), ("row", "<u2")]  # 1e-4 deg, m
NO_GRID = -32768
AT_KM, FADE_KM, WITHIN_KM = 1.0, 6.0, 25.0  # own choice: a known height within 1 km is taken as it is
LEAST_SIGMA_M, SHARE_OF_RANGE, SURE_KM = 15.0, 0.2, 3.0  # from 6,000 known heights, each left out in turn (README)
NO_GRID_SIGMA_M, LOWEST_M, BAND_DEG = 50.0, -86.0, 0.25
AROUND_KM, AROUND_POINTS = 70.0, 100  # own choice: flat bottom of the leave-one-out error from 60 to 100 km
DOUBTFUL_M = 150.0  # a height less sure than this makes no better than grade C (own choice)


@dataclass(frozen=True)
class Height:
    """Height above the sea [m], its source in words, and one standard deviation [m]."""

    m: float
    source: Said
    sigma_m: float


def height_at(lat: float, lon: float) -> Height:
    """The height of a town or airfield within 1 km; else the coarse grid, moved by what it misses at those within 25 km."""
    return heights_at([lat], [lon])[0]


def heights_at(lat, lon) -> list[Height]:
    """`height_at` of many positions."""
    lat, lon = (np.asarray(x, float) for x in (lat, lon))
    nearest, km, missed = _known_around(lat, lon)
    grid = np.asarray(tables.grid_elevation_m(lat, lon))
    sigma = LEAST_SIGMA_M + SHARE_OF_RANGE * tables.grid_span_m(lat, lon) * (1.0 - np.exp(-km / SURE_KM))
    own = known_heights()["m"][nearest]
    return [_height(*of) for of in zip(nearest, *(x.tolist() for x in (own, km, grid, grid + missed, sigma)), strict=True)]


def _height(nearest: int, own_m: float, km: float, grid_m: float, moved_m: float, sigma_m: float) -> Height:
    if km <= AT_KM:
        return Height(own_m, name_of(nearest), LEAST_SIGMA_M)
    if np.isnan(grid_m):
        return Height(own_m if km < WITHIN_KM else 0.0, worded("nearest known: {}", name_of(nearest)), NO_GRID_SIGMA_M)
    beside = worded("coarse grid and {}, {} away", name_of(nearest), Q(km * 1000.0, "distance"))
    return Height(max(moved_m, LOWEST_M), beside if km < WITHIN_KM else "coarse grid", sigma_m)


def _known_around(lat: np.ndarray, lon: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Of each position: the nearest known height, its distance [km], and what the grid misses at those around [m]."""
    found = np.zeros(len(lat), int), np.full(len(lat), np.inf), np.zeros(len(lat))
    for these in _blocks(lat, lon):
        for column, values in zip(found, _seen_from(lat[these], lon[these], _known_beside(lat[these], lon[these])), strict=True):
            column[these] = values
    for alone in np.flatnonzero(found[1] > WITHIN_KM)[:, None]:
        for column, values in zip(found, _seen_from(lat[alone], lon[alone], np.arange(len(known_heights()["lat"]))), strict=True):
            column[alone] = values
    return found


def _blocks(lat: np.ndarray, lon: np.ndarray) -> list[np.ndarray]:
    """Numbers of the positions, those that lie near each other together."""
    cell = np.floor(lat / BAND_DEG) * 1e4 + np.floor(lon / (3.0 * BAND_DEG))
    order = np.argsort(cell, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(cell[order])) + 1)


def _known_beside(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Numbers of the known heights within some 25 km of any of the positions, and more."""
    known = known_heights()
    low, high = np.searchsorted(known["lat"], [lat.min() - BAND_DEG, lat.max() + BAND_DEG])
    east = known["lon"][low:high]
    return low + np.flatnonzero((lon.min() - 3.0 * BAND_DEG < east) & (east < lon.max() + 3.0 * BAND_DEG))


def _seen_from(lat: np.ndarray, lon: np.ndarray, near: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """As `_known_around`, of the known heights `near`; what the grid misses counts the more the nearer it is."""
    if not len(near):
        return np.zeros(len(lat), int), np.full(len(lat), np.inf), np.zeros(len(lat))
    known = known_heights()
    km = great_circle_km(lat[:, None], lon[:, None], known["lat"][near], known["lon"][near])
    missed = known["missed"][near]
    weight = np.where((km < WITHIN_KM) & (missed > NO_GRID), np.exp(-km / FADE_KM), 0.0)
    total = weight.sum(axis=1)
    return near[km.argmin(axis=1)], km.min(axis=1), (weight * missed).sum(axis=1) / np.where(total > 0.0, total, 1.0)


@cache
def known_heights() -> dict[str, np.ndarray]:
    """Every town and airfield from south to north: lat, lon [deg], m, missed = m less the coarse grid's [m], row of its table."""
    packed = np.frombuffer(tables.unpacked("known_heights.gz"), PACKED)
    return {k: packed[k] / (1e4 if k in ("lat", "lon") else 1) for k in ("lat", "lon", "m", "missed")} | {"row": packed["row"]}


def name_of(number: int) -> str:
    """ "town Duluth, MN" or "airfield Sky Harbor"."""
    row, towns = int(known_heights()["row"][number]), tables.lines("towns.csv.gz")
    if row < len(towns):
        _, name, state = towns[row].split(",", 3)[:3]
        return f"town {name}, {state}"
    return f"airfield {tables.lines('airfields.csv.gz')[row - len(towns)].split(',')[3]}"


def shore(lat, lon) -> np.ndarray:
    """Nearness to the sea: 1 at the shore, fading to 0 over some tens of km inland."""
    return np.exp(-np.array([tables.coast_km(a, b) for a, b in zip(lat, lon, strict=True)]) / tables.SHORE_KM)


def height_around_m(lat, lon) -> np.ndarray:
    """Mean height of the land, and of the sea as 0, within 70 km [m]: basins lie below it, ridges rise above it."""
    lat, lon = (np.asarray(x, float)[:, None] for x in (lat, lon))
    north, east = _disc_deg()
    return np.nan_to_num(tables.grid_elevation_m(lat + north, lon + east / np.cos(np.radians(lat)))).mean(axis=1)


@cache
def _disc_deg() -> tuple[np.ndarray, np.ndarray]:
    """Points spread evenly over a disc: degrees of latitude north and east of its middle (each turned on by the golden angle)."""
    number = np.arange(AROUND_POINTS)
    away, turned = (
        np.sqrt((number + 0.5) / AROUND_POINTS) * AROUND_KM / tables.KM_PER_DEGREE,
        number * np.pi * (3.0 - np.sqrt(5.0)),
    )
    return away * np.cos(turned), away * np.sin(turned)
