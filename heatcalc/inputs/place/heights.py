"""How high a position lies, where that is known from, and how surely; how near the sea is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.wording import Q, Said, worded

AT_KM, FADE_KM, WITHIN_KM = 1.0, 6.0, 25.0  # own choice: a known height within 1 km is taken as it is
LEAST_SIGMA_M, SHARE_OF_RANGE, SURE_KM = 15.0, 0.2, 3.0  # from 6,000 known heights, each left out in turn (README)
NO_GRID_SIGMA_M, LOWEST_M = 50.0, -86.0
DOUBTFUL_M = 150.0  # a height less sure than this makes no better than grade C (own choice)


@dataclass(frozen=True)
class Height:
    """Height above the sea [m], its source in words, and one standard deviation [m]."""

    m: float
    source: Said
    sigma_m: float


def height_at(lat: float, lon: float) -> Height:
    """The height of a town or airfield within 1 km; else the coarse grid, moved by what it misses at those within 25 km."""
    known = known_heights()
    km = great_circle_km(lat, lon, known["lat"], known["lon"])
    first = int(np.argmin(km))
    closest = float(km[first])
    if closest <= AT_KM:
        return Height(float(known["m"][first]), name_of(first), LEAST_SIGMA_M)
    grid, near = tables.grid_elevation_m(lat, lon), np.flatnonzero(km < WITHIN_KM)
    if grid is None:
        return Height(float(known["m"][first]) if len(near) else 0.0, f"nearest known: {name_of(first)}", NO_GRID_SIGMA_M)
    sigma = LEAST_SIGMA_M + SHARE_OF_RANGE * tables.grid_span_m(lat, lon) * (1.0 - float(np.exp(-closest / SURE_KM)))
    beside = worded("coarse grid and {}, {} away", name_of(first), Q(closest * 1000.0, "distance"))
    return Height(max(grid + _missed(known, near, km), LOWEST_M), beside if len(near) else "coarse grid", sigma)


def _missed(known: np.ndarray, near: np.ndarray, km: np.ndarray) -> float:
    """What the grid misses at the known heights around, the nearer the heavier [m]."""
    grid = [tables.grid_elevation_m(float(p["lat"]), float(p["lon"])) for p in known[near]]
    use = np.array([g is not None for g in grid], bool)
    if not use.any():
        return 0.0
    weight = np.exp(-km[near][use] / FADE_KM)
    return float(weight @ (known["m"][near][use] - np.array(grid, float)[use]) / weight.sum())


@cache
def known_heights() -> np.ndarray:
    """Position [deg] and height [m] of every town and airfield: fields lat, lon, m."""
    packed = np.frombuffer(tables.unpacked("known_heights.gz"), [("lat", "<i4"), ("lon", "<i4"), ("m", "<i2")])
    known = np.empty(len(packed), [("lat", float), ("lon", float), ("m", float)])
    known["lat"], known["lon"], known["m"] = packed["lat"] / 1e4, packed["lon"] / 1e4, packed["m"]
    return known


def name_of(number: int) -> str:
    """ "town Duluth, MN" or "airfield Sky Harbor": the entry at the position of a known height."""
    lat, lon = (float(known_heights()[number][k]) for k in ("lat", "lon"))
    town = _line_with("towns.csv.gz", f",{lat:.4f},{lon:.4f},")
    if town:
        return f"town {town[1]}, {town[2]}"
    return f"airfield {_line_with('airfields.csv.gz', f'{lat:.3f},{lon:.3f},')[3]}"


def _line_with(name: str, words: str) -> list[str]:
    text = tables.content(name)
    at = text.find(words)
    return text[text.rfind("\n", 0, at) + 1 : text.index("\n", at)].split(",") if at >= 0 else []


def shore(lat, lon) -> np.ndarray:
    """Nearness to the sea: 1 at the shore, fading to 0 over some tens of km inland."""
    return np.exp(-np.array([tables.coast_km(a, b) for a, b in zip(lat, lon, strict=True)]) / tables.SHORE_KM)
