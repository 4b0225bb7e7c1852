"""Two-dimensional steady conduction by finite volumes: heat flows, coupling, temperatures of a drawn section.

div(k grad T) = 0 is integrated over each cell (S. V. Patankar, Numerical Heat Transfer and Fluid Flow, 1980,
ch. 4): the flow across a face is the temperature difference over the half-cell resistances in series (the harmonic
mean), and a face to air adds the film resistance.  Refinement follows the habit of ISO 10211: subdivide until the
heat flow changes by less than a stated share (the standard's 1 % is from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatcalc.physics.shell.conduction_mesh import (
    NOTHING,
    SIDES,
    AirSide,
    Grid,
    Painted,
    Section,
    edge_air,
    first_grid,
    painted,
    refined,
    true_share,
)

MOST_CELLS = 800_000


@dataclass(frozen=True, kw_only=True)
class Contacts:
    """Every face between a solid cell and air: middle and length [m], film and film + half-cell resistance [m2K/W]."""

    row: np.ndarray
    column: np.ndarray
    air: np.ndarray
    x: np.ndarray
    y: np.ndarray
    length: np.ndarray
    film: np.ndarray
    resistance: np.ndarray

    @property
    def conductance(self) -> np.ndarray:
        """Conductance of every contact [W/(m K)]."""
        return self.length / self.resistance


@dataclass(frozen=True, kw_only=True)
class Field:
    """A solved section: per-air response, cell temperatures [degC] (NaN in air) and the faces to air."""

    section: Section
    grid: Grid
    painted: Painted
    contacts: Contacts
    temperature_C: np.ndarray
    coupling_W_mK: np.ndarray  # [i, j]: what air i gives per kelvin of air j; rows and columns sum to zero

    @property
    def flows_W_m(self) -> np.ndarray:
        """Heat each air gives to the section, W per metre run; they sum to zero."""
        cell = self.temperature_C[self.contacts.row, self.contacts.column]
        given = self.contacts.conductance * (_temperatures(self.section)[self.contacts.air] - cell)
        return np.bincount(self.contacts.air, given, minlength=len(self.section.airs))

    @property
    def heat_flow_W_m(self) -> float:
        """Heat through the section, W per metre run: half the sum of what all airs give and take."""
        return float(np.abs(self.flows_W_m).sum() / 2)

    @property
    def surface_C(self) -> np.ndarray:
        """Temperature of each face in `contacts`, degC."""
        air = _temperatures(self.section)[self.contacts.air]
        cell = self.temperature_C[self.contacts.row, self.contacts.column]
        return air + (cell - air) * self.contacts.film / self.contacts.resistance


@dataclass(frozen=True)
class Converged:
    """The field on the last grid and the path to it: (cells, heat flow W/m) of each grid."""

    field: Field
    path: tuple[tuple[int, float], ...]

    @property
    def last_change(self) -> float:
        """Share by which the last halving changed the heat flow; what is still open is about as much.

        Where four very different materials meet in one corner the order falls below 1, and more is open.
        """
        return _change(*[flow for _, flow in self.path[-2:]])


def solve(section: Section, grid: Grid) -> Field:
    """Temperatures and flows of `section` on `grid`.

    Finite volumes, div(k grad T) = 0 (Patankar 1980, eq. 4.9: harmonic-mean face conductances); one sparse
    factorisation serves all airs.  Raises ValueError where part of the section touches no air.
    """
    fill = painted(section, grid)
    contacts = _contacts(section, grid, fill)
    difference, face, into = _balance(grid, fill, contacts, len(section.airs))
    response = _responses(difference, face, into)
    temperature = np.full(grid.shape, np.nan)
    temperature[fill.solid] = response @ _temperatures(section)
    given = np.diag(np.bincount(contacts.air, contacts.conductance, minlength=len(section.airs)))
    return Field(
        section=section,
        grid=grid,
        painted=fill,
        contacts=contacts,
        temperature_C=temperature,
        coupling_W_mK=given - into.T @ response,
    )


def solve_to_limit(section: Section, share: float = 0.002, most_cells: int = MOST_CELLS) -> Converged:
    """Halve all cells until the heat flow changes by at most `share` (ISO 10211 asks 0.01, from memory).

    Slopes, whose staircase converges with order 1, are halved twice at least.

    Raises ValueError with the change reached when the next grid would pass `most_cells`.
    """
    grid = first_grid(section)
    path: list[tuple[int, float]] = []
    while grid.cells <= most_cells:
        field = solve(section, grid)
        path.append((grid.cells, field.heat_flow_W_m))
        if len(path) > (2 if section.has_slopes else 1) and _change(path[-2][1], path[-1][1]) <= share:
            return Converged(field, tuple(path))
        grid = refined(grid)
    reached = f"; the last one changed it by {_change(path[-2][1], path[-1][1]):.2%}" if len(path) > 1 else ""
    raise ValueError(f"halving up to {most_cells:,} cells still changes the heat flow by over {share:.2%}{reached}")


def with_films(section: Section, airs: tuple[AirSide, ...]) -> Section:
    """The same drawing facing other airs."""
    return replace(section, airs=airs)


def temperature_at(field: Field, x: float, y: float) -> float:
    """Temperature [degC] at a point [m] of the solid, its surface or a material corner.

    Read inside the most conductive material that touches the point: there the temperature varies least, and it
    is continuous, so the value is its neighbours' too.  From the middle of each such cell the temperature runs
    linearly to its faces, whose temperatures follow from the flow across them; several cells are averaged.
    A point on a slope that the staircase misses takes the nearest step's surface.  Raises ValueError where no
    solid touches the point.
    """
    cells = _touching(field, x, y)
    if not cells:
        return _on_slope(field, x, y)
    conductivity = field.painted.conductivity_W_mK
    best = max(conductivity[c] for c in cells)
    return float(np.mean([_within_cell(field, c, x, y) for c in cells if conductivity[c] == best]))


def cut_resistance(section: Section, side: str) -> tuple[tuple[int, int], float]:
    """The two airs and the total resistance [m2K/W], films included, of the layers along one side of the box.

    R = R_film1 + sum d/k + R_film2 (ISO 6946:2017, eq. 4) for the one-dimensional flow at an adiabatic cut.
    Raises ValueError unless the side shows exactly one stack of layers between two airs.
    """
    grid = first_grid(section)
    fill = painted(section, grid)
    upright = side in ("left", "right")
    along = {"left": lambda a: a[:, 0], "right": lambda a: a[:, -1], "bottom": lambda a: a[0], "top": lambda a: a[-1]}[side]
    ends = ("bottom", "top") if upright else ("left", "right")
    last = 0 if side in ("left", "bottom") else -1
    airs = [int(edge_air(section, grid, end)[last]) for end in ends]
    line = np.concatenate([[airs[0]], along(fill.air), [airs[1]]])
    layers = np.diff(grid.y if upright else grid.x) / along(fill.conductivity_W_mK)
    stacks = _stacks(line, np.concatenate([[0.0], layers, [0.0]]))
    if len(stacks) != 1:
        raise ValueError(f"the {side} side shows {len(stacks)} stacks of layers between two airs, not one")
    airs_met, resistance = stacks[0]
    return airs_met, float(resistance + sum(section.airs[a].film_m2K_W for a in airs_met))


def _stacks(line: np.ndarray, resistance: np.ndarray) -> list[tuple[tuple[int, int], float]]:
    found, before, total = [], NOTHING, 0.0
    for air, layer in zip(line, resistance, strict=True):
        if air == NOTHING:
            total += layer
            continue
        if before != NOTHING and total > 0:
            found.append(((before, int(air)), total))
        before, total = int(air), 0.0
    return found


def _change(before: float, after: float) -> float:
    return abs(after - before) / max(abs(after), 1e-300) if after != before else 0.0


def _temperatures(section: Section) -> np.ndarray:
    return np.array([air.temperature_C for air in section.airs])


def _beyond(section: Section, grid: Grid, fill: Painted, side: str) -> np.ndarray:
    """For each cell the air index on its `side`, NOTHING where there is solid or an adiabatic edge."""
    east, north = SIDES[side]
    around = np.pad(fill.air, 1, constant_values=NOTHING)
    rim = {"left": around[1:-1, 0], "right": around[1:-1, -1], "bottom": around[0, 1:-1], "top": around[-1, 1:-1]}[side]
    rim[:] = edge_air(section, grid, side)
    rows, columns = grid.shape
    return around[1 + north : 1 + north + rows, 1 + east : 1 + east + columns]


def _contacts(section: Section, grid: Grid, fill: Painted) -> Contacts:
    parts = [_contacts_on(section, grid, fill, side) for side in SIDES]
    return Contacts(**{k: np.concatenate([vars(part)[k] for part in parts]) for k in vars(parts[0])})


def _contacts_on(section: Section, grid: Grid, fill: Painted, side: str) -> Contacts:
    beyond = _beyond(section, grid, fill, side)
    row, column = np.nonzero(fill.solid & (beyond >= 0))
    (x, y), (wide, high) = grid.centres(), (np.diff(grid.x), np.diff(grid.y))
    east, north = SIDES[side]
    middle_x, middle_y = x[column] + east * wide[column] / 2, y[row] + north * high[row] / 2
    depth, length = (wide[column], high[row]) if east else (high[row], wide[column])
    air = beyond[row, column]
    film = np.array([a.film_m2K_W for a in section.airs])[air] / true_share(section, middle_x, middle_y, side)
    half = depth / 2 / fill.conductivity_W_mK[row, column]
    return Contacts(row=row, column=column, air=air, x=middle_x, y=middle_y, length=length, film=film, resistance=film + half)


def _face_conductances(grid: Grid, fill: Painted) -> tuple[np.ndarray, np.ndarray]:
    """Conductance [W/mK] of every face between two solid cells, across x and across y; 0 elsewhere."""
    wide, high = np.diff(grid.x)[None, :], np.diff(grid.y)[:, None]
    half_x = np.where(fill.solid, wide / 2 / fill.conductivity_W_mK, np.inf)
    half_y = np.where(fill.solid, high / 2 / fill.conductivity_W_mK, np.inf)
    return high / (half_x[:, 1:] + half_x[:, :-1]), wide / (half_y[1:] + half_y[:-1])


def _balance(grid: Grid, fill: Painted, contacts: Contacts, airs: int):
    """Differences across solid faces (sparse, faces x cells), the faces' conductances, and those to each air."""
    from scipy.sparse import csr_matrix

    number = np.where(fill.solid, np.cumsum(fill.solid).reshape(fill.solid.shape) - 1, NOTHING)
    across_x, across_y = _face_conductances(grid, fill)
    one = np.concatenate([number[:, :-1].ravel(), number[:-1].ravel()])
    other = np.concatenate([number[:, 1:].ravel(), number[1:].ravel()])
    face = np.concatenate([across_x.ravel(), across_y.ravel()])
    live = np.nonzero(face > 0)[0]
    ends = np.column_stack([one[live], other[live]]).ravel()
    size, starts = int(fill.solid.sum()), np.arange(0, ends.size + 1, 2)
    difference = csr_matrix((np.tile([1.0, -1.0], live.size), ends, starts), shape=(live.size, size))
    into = np.zeros((size, airs))
    np.add.at(into, (number[contacts.row, contacts.column], contacts.air), contacts.conductance)
    return difference, face[live], into


def _responses(difference, face: np.ndarray, into: np.ndarray) -> np.ndarray:
    """Cell temperatures per kelvin of each air.

    The refinement steps take their residual flow by flow, so the balance closes to the rounding of the flows.
    """
    from scipy.sparse import diags
    from scipy.sparse.linalg import splu

    matrix = (difference.T @ diags(face) @ difference + diags(into.sum(axis=1))).tocsc()
    _must_touch_air(matrix, into)
    factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    response = factor.solve(into)
    for _ in range(2):
        leaving = difference.T @ (face[:, None] * (difference @ response))
        entering = sum(into[:, [a]] * (np.eye(into.shape[1])[a] - response) for a in range(into.shape[1]))
        response = response + factor.solve(entering - leaving)
    return response


def _must_touch_air(matrix, into: np.ndarray) -> None:
    from scipy.sparse.csgraph import connected_components

    pieces, piece = connected_components(matrix, directed=False)
    if (np.bincount(piece, into.sum(axis=1), minlength=pieces) == 0).any():
        raise ValueError("part of the section touches no air, so its temperature is not determined")


def _touching(field: Field, x: float, y: float) -> list[tuple[int, int]]:
    tolerance = 1e-9
    columns = np.nonzero((field.grid.x[:-1] <= x + tolerance) & (field.grid.x[1:] >= x - tolerance))[0]
    rows = np.nonzero((field.grid.y[:-1] <= y + tolerance) & (field.grid.y[1:] >= y - tolerance))[0]
    return [(int(r), int(c)) for r in rows for c in columns if field.painted.solid[r, c]]


def _on_slope(field: Field, x: float, y: float) -> float:
    contacts, grid = field.contacts, field.grid
    away = np.hypot(contacts.x - x, contacts.y - y)
    nearest = int(away.argmin())
    row, column = contacts.row[nearest], contacts.column[nearest]
    step = np.hypot(grid.x[column + 1] - grid.x[column], grid.y[row + 1] - grid.y[row])
    if not field.section.has_slopes or away[nearest] > 2 * step:
        raise ValueError(f"no material at x = {x:g} m, y = {y:g} m")
    return float(field.surface_C[nearest])


def _within_cell(field: Field, cell: tuple[int, int], x: float, y: float) -> float:
    row, column = cell
    grid, middle = field.grid, field.temperature_C[cell]
    from_x = x - (grid.x[column] + grid.x[column + 1]) / 2
    from_y = y - (grid.y[row] + grid.y[row + 1]) / 2
    half_x, half_y = (grid.x[column + 1] - grid.x[column]) / 2, (grid.y[row + 1] - grid.y[row]) / 2
    to_x = _face_temperature(field, cell, "right" if from_x > 0 else "left") - middle
    to_y = _face_temperature(field, cell, "top" if from_y > 0 else "bottom") - middle
    return middle + to_x * abs(from_x) / half_x + to_y * abs(from_y) / half_y


def _face_temperature(field: Field, cell: tuple[int, int], side: str) -> float:
    """Temperature in the middle of one face of a cell: neighbours share it by their half-cell resistances."""
    contacts, (east, north) = field.contacts, SIDES[side]
    here = field.temperature_C[cell]
    row, column = cell[0] + north, cell[1] + east
    rows, columns = field.grid.shape
    if 0 <= row < rows and 0 <= column < columns and field.painted.solid[row, column]:
        k, size = field.painted.conductivity_W_mK, np.diff(field.grid.x if east else field.grid.y)
        own, theirs = (cell[1], column) if east else (cell[0], row)
        weight, other = k[cell] / size[own], k[row, column] / size[theirs]
        return float((weight * here + other * field.temperature_C[row, column]) / (weight + other))
    (x, y), (wide, high) = field.grid.centres(), (np.diff(field.grid.x), np.diff(field.grid.y))
    at_x, at_y = x[cell[1]] + east * wide[cell[1]] / 2, y[cell[0]] + north * high[cell[0]] / 2
    face = np.nonzero(
        (contacts.row == cell[0]) & (contacts.column == cell[1]) & (np.abs(contacts.x - at_x) + np.abs(contacts.y - at_y) < 1e-9)
    )[0]
    return float(field.surface_C[face[0]]) if face.size else float(here)
