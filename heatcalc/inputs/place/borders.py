"""Which county, or which country, a position lies in (climate_data/borders.npz: map borders, true to some 300 m)."""

from __future__ import annotations

from functools import cache

import numpy as np

from heatcalc.inputs.place import climate_tables as tables

UNITS = 1e4  # whole numbers a degree
NEAR_SHORE_DEG = 0.04  # a quay or a beach outside a border drawn for maps still belongs to its county (own choice)


def county_at(lat: float, lon: float) -> str | None:
    """FIPS of the county at a position, or of one within about 4 km where the shore is drawn coarsely; None elsewhere."""
    found = _area(lat, lon) or _close_by(lat, lon)
    return found if found.isdigit() else None


def neighbour_at(lat: float, lon: float) -> str | None:
    """ "Canada" or "Mexico" where a position lies there, else None."""
    found = _area(lat, lon)
    return found if found and not found.isdigit() else None


def _close_by(lat: float, lon: float) -> str:
    ways = ((0, 1), (0, -1), (1, 0), (-1, 0), (0.7, 0.7), (0.7, -0.7), (-0.7, 0.7), (-0.7, -0.7))
    steps = ((north * step, east * step * 1.3) for step in (NEAR_SHORE_DEG / 2, NEAR_SHORE_DEG) for north, east in ways)
    found = (_area(lat + north, lon + east) for north, east in steps)
    return next((key for key in found if key.isdigit()), "")


@cache
def _held() -> dict[str, np.ndarray]:
    with np.load(tables.file_of("borders.npz")) as held:
        return {name: held[name] for name in held.files}


def _area(lat: float, lon: float) -> str:
    """The area that holds a point: among those whose box does, the one with an odd number of crossings; "" where none does."""
    held = _held()
    west, south, east, north = held["box"].T / UNITS
    near = np.flatnonzero((west <= lon) & (lon <= east) & (south <= lat) & (lat <= north))
    inside = (str(held["key"][a]) for a in near if sum(_crossings(ring, lat, lon) for ring in _rings(int(a))) % 2)
    return next(inside, "")


@cache
def _rings(area: int) -> tuple[np.ndarray, ...]:
    """Longitude and latitude of every ring of an area [deg]."""
    held = _held()
    first, last = _span(held["area_ends"], area)
    arcs = (held["ring_arcs"][slice(*_span(held["ring_ends"], ring))] for ring in range(first, last))
    return tuple(np.concatenate([_arc(int(a)) for a in ring]) for ring in arcs)


def _arc(number: int) -> np.ndarray:
    held = _held()
    points = np.cumsum(held["points"][slice(*_span(held["arc_ends"], max(number, ~number)))], axis=0) / UNITS
    return points if number >= 0 else points[::-1]


def _span(ends: np.ndarray, number: int) -> tuple[int, int]:
    return int(ends[number - 1]) if number else 0, int(ends[number])


def _crossings(ring: np.ndarray, lat: float, lon: float) -> int:
    """How often a ray to the east crosses a closed ring (even-odd rule, textbook)."""
    x, y = ring[:, 0], ring[:, 1]
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    spans = (y > lat) != (y2 > lat)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = x + (lat - y) * (x2 - x) / (y2 - y)
    return int(np.count_nonzero(spans & (lon < at)))
