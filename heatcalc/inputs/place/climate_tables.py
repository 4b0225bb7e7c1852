"""The shipped climate tables: found rows and columns, read once, without any heavy library.  Files are in degF."""

from __future__ import annotations

import csv
import gzip
from functools import cache
from pathlib import Path

import numpy as np

from heatcalc import resources

MONTHS = tuple(f"{m:02d}" for m in range(1, 13))
F_PER_K = 1.8
M_S_PER_MPH = 0.44704
BIN_WIDTH_K = 5.0 / F_PER_K
KM_PER_DEGREE, COAST_KM, SHORE_KM = 111.2, 150.0, 30.0  # beyond 150 km the sea is far; its reach fades over 30 km (own choice)
HEAD, FEW = 10, 200  # columns before the first text that may hold a comma; stations up to which only their own lines are read
GRID_NORTH, GRID_WEST, GRID_CELLS, GRID_COLUMNS = 72.0, -180.0, 12, 1536  # elevation.gz: 12 cells a degree


def celsius(fahrenheit):
    """degF as degC; floats and arrays."""
    return (fahrenheit - 32.0) / F_PER_K


def file_of(name: str) -> Path:
    """Where one table stands."""
    return resources.folder("climate_data") / name


def unpacked(name: str) -> bytes:
    """The bytes of one table."""
    raw = file_of(name).read_bytes()
    return gzip.decompress(raw) if name.endswith(".gz") else raw


@cache
def content(name: str) -> str:
    """The text of one table, unpacked."""
    return unpacked(name).decode("utf-8")


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


def monthly_names(stem: str, ending: str = "_F") -> tuple[str, ...]:
    """The twelve columns of a monthly quantity."""
    return tuple(f"{stem}_{m}{ending}" for m in MONTHS)


def monthly(found: dict[str, str], stem: str, ending: str = "_F") -> np.ndarray:
    """Twelve values of one row, e.g. monthly(row, "tmean") in degF."""
    return np.array([float(found[name]) for name in monthly_names(stem, ending)])


class Stations:
    """The usable stations, in the table's units; of a few only their own lines are read, of many whole columns."""

    def __init__(self, names: tuple[str, ...], lines: list[str]):
        self._names, self._lines = names, lines
        self._columns: dict[str, np.ndarray] = {}
        first = [line.split(",", HEAD)[:HEAD] for line in lines]
        self.usaf = tuple(fields[0] for fields in first)
        self.lat, self.lon, self.elevation_m, self.coast_km = (
            np.array([float(fields[names.index(k)]) for fields in first]) for k in ("lat", "lon", "elev_m", "coast_km")
        )

    def column(self, name: str) -> np.ndarray:
        """One numeric column."""
        if name not in self._columns:
            at = self._names.index(name)
            self._columns[name] = np.array([float(line.split(",", at + 1)[at]) for line in self._lines])
        return self._columns[name]

    def of(self, names: tuple[str, ...], which: np.ndarray) -> np.ndarray:
        """Numeric columns of some stations: the shape of `which`, and a last axis for the columns."""
        if which.size > FEW:
            return np.stack([self.column(name)[which] for name in names], axis=-1)
        at = [self._names.index(name) for name in names]
        fields = [self._lines[i].split(",") for i in which.ravel()]
        return np.array([[float(f[a]) for a in at] for f in fields]).reshape(*which.shape, len(names))


@cache
def stations() -> Stations:
    """Every station that is not marked X (unusable)."""
    names = header("us_stations.csv.gz")
    quality = names.index("quality")
    lines = content("us_stations.csv.gz").splitlines()[1:]
    return Stations(names, [line for line in lines if line.split(",", quality + 1)[quality] != "X"])


@cache
def grid() -> np.ndarray:
    """The height grid, a byte a cell in 28 m steps, rows from north to south; 255 at sea."""
    return np.frombuffer(unpacked("elevation.gz"), np.uint8).reshape(-1, GRID_COLUMNS)


def _metres(code: np.ndarray) -> np.ndarray:
    return np.where(code == 255, np.nan, np.maximum(code * 28.0 - 450.0, 0.0))


def _cells(lat: float, lon: float, reach: int) -> np.ndarray:
    """The cells around a position, `reach` each way."""
    line, column = int((GRID_NORTH - lat) * GRID_CELLS), int((lon - GRID_WEST) * GRID_CELLS)
    return _metres(grid()[max(line - reach, 0) : line + reach + 1, max(column - reach, 0) : column + reach + 1])


def grid_elevation_m(lat, lon) -> np.ndarray:
    """Heights from the 5-minute grid, between its cells (coarse: hundreds of metres off in mountains); NaN at sea or off it."""
    y, x = (GRID_NORTH - np.asarray(lat, float)) * GRID_CELLS - 0.5, (np.asarray(lon, float) - GRID_WEST) * GRID_CELLS - 0.5
    line, column = np.floor(y).astype(int), np.floor(x).astype(int)
    on_grid = (line >= 0) & (column >= 0) & (line < len(grid()) - 1) & (column < GRID_COLUMNS - 1)
    line, column = np.where(on_grid, line, 0), np.where(on_grid, column, 0)
    cells = _metres(np.stack([grid()[line + a, column + b] for a in (0, 1) for b in (0, 1)]))
    south, east = y - line, x - column
    share = np.stack([(1 - south) * (1 - east), (1 - south) * east, south * (1 - east), south * east]) * ~np.isnan(cells)
    total = share.sum(axis=0)
    return np.where(on_grid & (total > 0), (share * np.nan_to_num(cells)).sum(axis=0) / np.where(total > 0, total, 1.0), np.nan)


def grid_span_m(lat: float, lon: float) -> float:
    """Highest less lowest of the nine cells around a position [m]."""
    cells = _cells(lat, lon, 1)
    return float(np.nanmax(cells) - np.nanmin(cells)) if np.isfinite(cells).any() else 0.0


def coast_km(lat: float, lon: float) -> float:
    """Distance to the nearest cell of sea, at most `COAST_KM`."""
    reach = 18
    top, left = int((GRID_NORTH - lat) * GRID_CELLS), int((lon - GRID_WEST) * GRID_CELLS)
    line, column = np.nonzero(np.isnan(_cells(lat, lon, reach)))
    if not len(line):
        return COAST_KM
    line, column = line + max(top - reach, 0), column + max(left - reach, 0)
    north = (GRID_NORTH - (line + 0.5) / GRID_CELLS - lat) * KM_PER_DEGREE
    east = (GRID_WEST + (column + 0.5) / GRID_CELLS - lon) * KM_PER_DEGREE * np.cos(np.radians(lat))
    return float(min(np.hypot(north, east).min(), COAST_KM))
