"""A section drawn from regions of material and air, and the tensor-product grid laid over it.

Regions are painted in order: a later one covers an earlier one.  Every corner of a region is a grid line, so
edges along x and y are met exactly.  A sloping edge becomes a fine staircase; where it borders air, the film of
each step counts only with the step's share of the true surface (|n . face normal|), so that the film area is right
on every grid.

Own way of laying the grid; plane geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

SIDES = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1)}
NOTHING = -1  # no air: solid, or an adiabatic edge
BARE = -2  # void: neither material nor air; no heat crosses its edge
FLAT = 0.83  # height over width of the cells that follow slopes
SAME_LINE_m = 1e-6  # grid lines closer than this are one line


@dataclass(frozen=True)
class AirSide:
    """Air of one temperature [degC] behind one film [m2K/W]; film 0 holds the surface at the temperature."""

    temperature_C: float
    film_m2K_W: float


@dataclass(frozen=True)
class Region:
    """A simple polygon (corners in order, m) of one conductivity [W/mK], of air (index into the airs) or BARE."""

    corners: tuple[tuple[float, float], ...]
    conductivity_W_mK: float = 0.0
    air: int = NOTHING

    @cached_property
    def is_rectangle(self) -> bool:
        """True where the corners are those of an upright rectangle."""
        xs, ys = zip(*self.corners, strict=True)
        box = {(x, y) for x in (min(xs), max(xs)) for y in (min(ys), max(ys))}
        return len(self.corners) == 4 and box == set(self.corners)


@dataclass(frozen=True)
class Edge:
    """Air along one side of the box, from `start` to `end` [m]; what no edge names is adiabatic."""

    side: str
    start: float
    end: float
    air: int


@dataclass(frozen=True)
class Section:
    """The drawing: regions in painting order, the airs they face, and the airs along the sides of the box."""

    regions: tuple[Region, ...]
    airs: tuple[AirSide, ...]
    edges: tuple[Edge, ...] = ()

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top [m]."""
        xs, ys = zip(*(corner for region in self.regions for corner in region.corners), strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    @cached_property
    def segments(self) -> np.ndarray:
        """Every drawn edge as x1, y1, x2, y2 [m]."""
        return np.array([(*a, *b) for r in self.regions for a, b in _sides(r)])

    @cached_property
    def has_slopes(self) -> bool:
        """True where any region has a sloping edge."""
        return not all(region.is_rectangle for region in self.regions) and bool(_sloping(self.segments).any())


@dataclass(frozen=True)
class Grid:
    """Cell edges along x and y [m], ascending."""

    x: np.ndarray
    y: np.ndarray

    @property
    def shape(self) -> tuple[int, int]:
        """Rows (along y) and columns (along x) of cells."""
        return self.y.size - 1, self.x.size - 1

    @property
    def cells(self) -> int:
        """Number of cells."""
        return (self.y.size - 1) * (self.x.size - 1)

    def centres(self) -> tuple[np.ndarray, np.ndarray]:
        """Centres of the cells along x and y [m]."""
        return (self.x[1:] + self.x[:-1]) / 2, (self.y[1:] + self.y[:-1]) / 2


@dataclass(frozen=True)
class Painted:
    """Per cell: conductivity [W/mK] (NaN in air), air index (NOTHING in solid, BARE in void), region index."""

    conductivity_W_mK: np.ndarray
    air: np.ndarray
    region: np.ndarray

    @property
    def solid(self) -> np.ndarray:
        """True for cells of material."""
        return self.air == NOTHING


def first_grid(section: Section, finest_m: float = 0.006, growth: float = 2.0) -> Grid:
    """The coarsest grid: lines at every drawn edge, cells of `finest_m` [m] beside each, then growing.

    Sections with slopes get cells of at most 1/100 of the box, since a staircase needs them everywhere, and flat
    ones (0.83), so that no usual roof pitch runs along their diagonals and errs on one side at every step.
    """
    left, bottom, right, top = section.box
    widest = max(right - left, top - bottom) / (100 if section.has_slopes else 8)
    flat = FLAT if section.has_slopes else 1.0
    corners = np.array([c for region in section.regions for c in region.corners])
    ends: dict[str, list[float]] = {"x": [], "y": []}
    for edge in section.edges:
        ends["y" if edge.side in ("left", "right") else "x"] += [edge.start, edge.end]
    return Grid(
        _lines(np.append(corners[:, 0], ends["x"]), (left, right), finest_m, growth, widest),
        _lines(np.append(corners[:, 1], ends["y"]), (bottom, top), flat * finest_m, growth, flat * widest),
    )


def refined(grid: Grid) -> Grid:
    """The grid with every cell halved both ways."""
    return Grid(_halved(grid.x), _halved(grid.y))


def painted(section: Section, grid: Grid) -> Painted:
    """What fills each cell, taken at its centre; later regions cover earlier ones."""
    region = np.full(grid.shape, BARE)
    for number, shape in enumerate(section.regions):
        region[_inside(shape, grid)] = number
    nothing = Region((), air=BARE)  # found by BARE, the last but one of the list
    shapes = (*section.regions, nothing, nothing)
    conductivity = np.array([r.conductivity_W_mK if r.air == NOTHING else np.nan for r in shapes])
    return Painted(conductivity[region], np.array([r.air for r in shapes])[region], region)


def edge_air(section: Section, grid: Grid, side: str) -> np.ndarray:
    """The air index beyond each cell of one side of the box, NOTHING where adiabatic."""
    along = grid.centres()[1 if side in ("left", "right") else 0]
    beyond = np.full(along.size, NOTHING)
    for edge in section.edges:
        if edge.side == side:
            beyond[(along > edge.start) & (along < edge.end)] = edge.air
    return beyond


def true_share(section: Section, x: np.ndarray, y: np.ndarray, side: str) -> np.ndarray:
    """Share of each staircase face (middles x, y [m]; facing `side`) in the true surface: 1 on straight edges.

    The nearest drawn edge tells the direction of the surface there; its |n . face normal| summed over the steps
    gives back the true length.
    """
    if not section.has_slopes or x.size == 0:
        return np.ones(x.size)
    x1, y1, x2, y2 = section.segments.T
    distance = _distance(x[:, None], y[:, None], x1, y1, x2, y2) + 1e-9 * _sloping(section.segments)
    nearest = distance.argmin(axis=1)
    length = np.hypot(x2 - x1, y2 - y1)
    normal = np.abs(y2 - y1) if side in ("left", "right") else np.abs(x2 - x1)
    share = (normal / length)[nearest]
    return np.where(_sloping(section.segments)[nearest], share, 1.0)


def _sloping(segments: np.ndarray) -> np.ndarray:
    x1, y1, x2, y2 = segments.T
    return (np.abs(x2 - x1) > SAME_LINE_m) & (np.abs(y2 - y1) > SAME_LINE_m)


def _distance(x, y, x1, y1, x2, y2):
    along = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
    along = np.clip(along, 0.0, 1.0)
    return np.hypot(x - x1 - along * (x2 - x1), y - y1 - along * (y2 - y1))


def _sides(region: Region):
    """The sides of a polygon as pairs of corners."""
    return zip(region.corners, region.corners[1:] + region.corners[:1], strict=True)


def _lines(drawn: np.ndarray, ends: tuple[float, float], finest: float, growth: float, widest: float) -> np.ndarray:
    breaks = np.unique(np.clip(np.append(drawn, ends), *ends))
    breaks = breaks[np.append(True, np.diff(breaks) > SAME_LINE_m)]
    breaks[-1] = ends[1]
    pieces = [a + _graded(b - a, finest, growth, widest) for a, b in zip(breaks, breaks[1:], strict=False)]
    return np.append(np.concatenate(pieces), ends[1])


def _graded(length: float, finest: float, growth: float, widest: float) -> np.ndarray:
    """Left edges of cells filling `length`: `finest` at both ends, growing to at most `widest` in the middle."""
    half = [min(finest, widest)]
    while sum(half) < length / 2 * (1 - 1e-9):
        half.append(min(half[-1] * growth, widest))
    sizes = np.array(half + half[::-1])
    return length * np.append(0.0, np.cumsum(sizes)[:-1]) / sizes.sum()


def _halved(lines: np.ndarray) -> np.ndarray:
    finer = np.empty(2 * lines.size - 1)
    finer[::2], finer[1::2] = lines, (lines[1:] + lines[:-1]) / 2
    return finer


def _inside(region: Region, grid: Grid) -> np.ndarray:
    """Which cell centres lie in the region (even-odd rule)."""
    x, y = grid.centres()
    xs, ys = np.array(region.corners).T
    if region.is_rectangle:
        return np.outer((y > ys.min()) & (y < ys.max()), (x > xs.min()) & (x < xs.max()))
    inside = np.zeros(grid.shape, dtype=bool)
    for (x1, y1), (x2, y2) in _sides(region):
        if y1 != y2:
            crossed = (y > y1) != (y > y2)
            inside ^= crossed[:, None] & (x[None, :] < (x1 + (y - y1) * (x2 - x1) / (y2 - y1))[:, None])
    return inside
