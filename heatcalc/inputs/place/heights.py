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
DOUBTFUL_M = 150.0  # a height less sure than this makes no better than grade C (own choice)


@dataclass(frozen=True)
class Height:
    """Height above the sea [m], its source in words, and one standard deviation [m]."""

    m: float
    source: Said
    sigma_m: float


def height_at(lat: float, lon: float) -> Height:
    """The height of a town or airfield within 1 km; else the coarse grid, moved by what it misses at those within 25 km."""
    near, km = _known_near(lat, lon)
    first = near[int(np.argmin(km))]
    closest = float(km.min())
    own = float(known_heights()["m"][first])
    if closest <= AT_KM:
        return Height(own, name_of(first), LEAST_SIGMA_M)
    grid = float(tables.grid_elevation_m(lat, lon))
    if np.isnan(grid):
        return Height(own if closest < WITHIN_KM else 0.0, worded("nearest known: {}", name_of(first)), NO_GRID_SIGMA_M)
    sigma = LEAST_SIGMA_M + SHARE_OF_RANGE * tables.grid_span_m(lat, lon) * (1.0 - float(np.exp(-closest / SURE_KM)))
    beside = worded("coarse grid and {}, {} away", name_of(first), Q(closest * 1000.0, "distance"))
    return Height(max(grid + _missed(near, km), LOWEST_M), beside if closest < WITHIN_KM else "coarse grid", sigma)


def _known_near(lat: float, lon: float) -> tuple[np.ndarray, np.ndarray]:
    """Numbers and distances [km] of the known heights within some 25 km north and south; of all where there is none."""
    known = known_heights()
    low, high = np.searchsorted(known["lat"], [lat - BAND_DEG, lat + BAND_DEG])
    number = np.arange(low, high)
    number = number[np.abs(known["lon"][low:high] - lon) < BAND_DEG * 3.0]
    number = number if len(number) else np.arange(len(known))
    return number, great_circle_km(lat, lon, known["lat"][number], known["lon"][number])


def _missed(near: np.ndarray, km: np.ndarray) -> float:
    """What the grid misses at the known heights around, the nearer the heavier [m]."""
    missed = known_heights()["missed"][near]
    use = (km < WITHIN_KM) & (missed > NO_GRID)
    weight = np.exp(-km[use] / FADE_KM)
    return float(weight @ missed[use] / weight.sum()) if use.any() else 0.0


@cache
def known_heights() -> dict[str, np.ndarray]:
    """Every town and airfield from south to north: lat, lon [deg], m, missed = m less the coarse grid's [m], row of its table."""
    packed = np.frombuffer(tables.unpacked("known_heights.gz"), PACKED)
    return {k: packed[k] / (1e4 if k in ("lat", "lon") else 1) for k in ("lat", "lon", "m", "missed")} | {"row": packed["row"]}


def name_of(number: int) -> str:
    """ "town Duluth, MN" or "airfield Sky Harbor"."""
    row, towns = int(known_heights()["row"][number]), _lines("towns.csv.gz")
    if row < len(towns):
        _, name, state = towns[row].split(",", 3)[:3]
        return f"town {name}, {state}"
    return f"airfield {_lines('airfields.csv.gz')[row - len(towns)].split(',')[3]}"


@cache
def _lines(name: str) -> list[str]:
    return tables.content(name).splitlines()[1:]


def shore(lat, lon) -> np.ndarray:
    """Nearness to the sea: 1 at the shore, fading to 0 over some tens of km inland."""
    return np.exp(-np.array([tables.coast_km(a, b) for a, b in zip(lat, lon, strict=True)]) / tables.SHORE_KM)
