"""A light outline of the country from the shipped tables alone: the coast from the height grid, state lines from ZIPs.

No map file: the grid knows where land is; a line between two states runs midway between neighbouring ZIPs that lie in
different ones (triangles of their positions), so it is good to about ten kilometres in the east and thirty in the west.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.inputs.place import climate_tables as tables

Array = np.ndarray
LONGEST_DEG = 2.2  # of a triangle's side; longer ones span water or another country
FRAMES = {"lower 48": (-125.5, -66.0, 24.0, 50.0), "Alaska": (-172.0, -129.0, 51.0, 71.8), "Hawaii": (-160.8, -154.5, 18.6, 22.6)}
SEA = 255


@dataclass(frozen=True, eq=False)
class Outline:
    """Land as a grid of true and false with its edges, and state lines as segments (n, 2 ends, lon and lat)."""

    lon: Array
    lat: Array
    land: Array
    lines: Array


@cache
def outline() -> Outline:
    """The outline of all states, worked out once."""
    lat, lon, land = land_grid()
    return Outline(lon, lat, land, state_lines())


def land_grid() -> tuple[Array, Array, Array]:
    """Centres of the height grid's cells and whether each is land (18 to 72 N, 180 to 52 W)."""
    grid = tables.grid()
    lat = tables.GRID_NORTH - (np.arange(len(grid)) + 0.5) / tables.GRID_CELLS
    lon = tables.GRID_WEST + (np.arange(tables.GRID_COLUMNS) + 0.5) / tables.GRID_CELLS
    return lat, lon, grid != SEA


def state_lines() -> Array:
    """Segments midway between neighbouring ZIPs of different states."""
    from scipy.spatial import Delaunay

    found = np.array([(float(r[3]), float(r[2]), int(r[1][:2])) for r in tables.first_columns("zips.csv.gz", 4)])
    at, first = np.unique(found[:, :2].round(3), axis=0, return_index=True)
    state = found[first, 2].astype(int)
    corners = Delaunay(at * [np.cos(np.radians(39.0)), 1.0]).simplices
    sides = at[corners] - at[np.roll(corners, -1, axis=1)]
    corners = corners[np.hypot(sides[..., 0] * 0.78, sides[..., 1]).max(axis=1) < LONGEST_DEG]
    return np.concatenate([_two_states(at, state, corners), _three_states(at, state, corners)])


def _two_states(at: Array, state: Array, corners: Array) -> Array:
    """In a triangle of two states the line joins the middles of the two mixed sides."""
    s = state[corners]
    segments = []
    for lone in range(3):
        a, b = (lone + 1) % 3, (lone + 2) % 3
        mixed = corners[(s[:, a] == s[:, b]) & (s[:, lone] != s[:, a])]
        points = at[mixed]
        segments.append(np.stack([(points[:, lone] + points[:, k]) / 2 for k in (a, b)], axis=1))
    return np.concatenate(segments)


def _three_states(at: Array, state: Array, corners: Array) -> Array:
    """In a triangle of three states three lines meet in its middle."""
    s = state[corners]
    points = at[corners[(s[:, 0] != s[:, 1]) & (s[:, 1] != s[:, 2]) & (s[:, 0] != s[:, 2])]]
    middle = points.mean(axis=1)
    return np.concatenate([np.stack([(points[:, k] + points[:, (k + 1) % 3]) / 2, middle], axis=1) for k in range(3)])
