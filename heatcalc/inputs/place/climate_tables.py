"""The shipped climate tables: found rows and columns, read once, without any heavy library.  Files are in degF."""

from __future__ import annotations

import csv
import gzip
from functools import cache

import numpy as np

from heatcalc import resources

MONTHS = tuple(f"{m:02d}" for m in range(1, 13))
F_PER_K = 1.8
M_S_PER_MPH = 0.44704
BIN_WIDTH_K = 5.0 / F_PER_K
GRID_NORTH, GRID_WEST, GRID_CELLS, GRID_COLUMNS = 72.0, -180.0, 12, 1536  # elevation.gz: 12 cells a degree


def celsius(fahrenheit):
    """degF as degC; floats and arrays."""
    return (fahrenheit - 32.0) / F_PER_K


@cache
def content(name: str) -> str:
    """The text of one table, unpacked."""
    raw = (resources.folder("climate_data") / name).read_bytes()
    return (gzip.decompress(raw) if name.endswith(".gz") else raw).decode("utf-8")


@cache
def header(name: str) -> tuple[str, ...]:
    """Column names of one table."""
    return tuple(content(name).split("\n", 1)[0].split(","))


def row(name: str, key: str) -> dict[str, str] | None:
    """The row whose first column is `key`, or None."""
    text = content(name)
    start = text.find(f"\n{key},") + 1
    if not start:
        return None
    return dict(zip(header(name), next(csv.reader([text[start : text.index("\n", start)]])), strict=True))


def rows_of(name: str, key: str) -> list[list[str]]:
    """Every row whose first column is `key`, in file order (the rows stand together)."""
    text = content(name)
    start = text.find(f"\n{key},") + 1
    found = []
    while start and text.startswith(f"{key},", start):
        end = text.index("\n", start)
        found.append(text[start:end].split(","))
        start = end + 1
    return found


@cache
def first_columns(name: str, many: int) -> tuple[tuple[str, ...], ...]:
    """The first `many` columns of every row (these never hold a comma)."""
    return tuple(tuple(line.split(",", many)[:many]) for line in content(name).splitlines()[1:])


def monthly(found: dict[str, str], stem: str, ending: str = "_F") -> np.ndarray:
    """Twelve values of one row, e.g. monthly(row, "tmean") in degF."""
    return np.array([float(found[f"{stem}_{m}{ending}"]) for m in MONTHS])


class Stations:
    """The usable stations as columns, in the table's units; a column is read when it is first asked for."""

    def __init__(self, names: tuple[str, ...], rows: list[list[str]]):
        self._names, self._rows = names, rows
        self._columns: dict[str, np.ndarray] = {}
        self.usaf = tuple(row[0] for row in rows)
        self.lat, self.lon, self.elevation_m = (self.column(k) for k in ("lat", "lon", "elev_m"))

    def column(self, name: str) -> np.ndarray:
        """One numeric column."""
        if name not in self._columns:
            at = self._names.index(name)
            self._columns[name] = np.array([float(row[at]) for row in self._rows])
        return self._columns[name]

    def monthly(self, stem: str, ending: str = "_F") -> np.ndarray:
        """Station x month."""
        return np.column_stack([self.column(f"{stem}_{m}{ending}") for m in MONTHS])


@cache
def stations() -> Stations:
    """Every station that is not marked X (unusable)."""
    names = header("us_stations.csv.gz")
    lines = content("us_stations.csv.gz").splitlines()[1:]
    quality = names.index("quality")
    return Stations(names, [row for row in csv.reader(lines) if row[quality] != "X"])


@cache
def grid_bytes() -> bytes:
    """The height grid, a byte a cell from the north-west corner, 255 where there is no land."""
    return gzip.decompress((resources.folder("climate_data") / "elevation.gz").read_bytes())


def grid_elevation_m(lat: float, lon: float) -> float | None:
    """Elevation from a 5-minute grid in 28 m steps (coarse: hundreds of metres off in mountains); None off the grid."""
    line, column = int((GRID_NORTH - lat) * GRID_CELLS), int((lon - GRID_WEST) * GRID_CELLS)
    if lat > GRID_NORTH or lon < GRID_WEST or column >= GRID_COLUMNS or (line + 1) * GRID_COLUMNS > len(grid_bytes()):
        return None
    code = grid_bytes()[line * GRID_COLUMNS + column]
    return None if code == 255 else max(0.0, code * 28.0 - 450.0)
