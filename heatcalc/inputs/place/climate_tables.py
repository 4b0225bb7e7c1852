"""The shipped climate tables: found rows and columns, read once, without any heavy library.  Files are in degF."""

from __future__ import annotations

import csv
import gzip
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import takewhile
from math import floor
from pathlib import Path

import numpy as np

from heatcalc import files

MONTHS = tuple(f"{m:02d}" for m in range(1, 13))
F_PER_K = 1.8
M_S_PER_MPH = 0.44704
BIN_WIDTH_K = 5.0 / F_PER_K
KM_PER_DEGREE, COAST_KM, SHORE_KM = 111.2, 150.0, 30.0  # beyond 150 km the sea is far; its reach fades over 30 km (own choice)
HEAD, FEW = 10, 200  # columns before the first text that may hold a comma; stations up to which only their own lines are read
GRID_NORTH, GRID_WEST, GRID_CELLS, GRID_COLUMNS = 72.0, -180.0, 12, 1536  # elevation.gz: 12 cells a degree
AT_SEA = 255
LOOKS = 8  # so often the text of a table is searched before its lines are made
_SOUGHT: Counter[str] = Counter()
UNORDERED = ("us_stations.csv.gz", "canada.csv")  # tables by state


def celsius(fahrenheit):
    """degF as degC; floats and arrays."""
    return (fahrenheit - 32.0) / F_PER_K


def file_of(name: str) -> Path:
    """Where one table stands."""
    return files.folder("climate_data") / name


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


@cache
def lines(name: str) -> list[str]:
    """The rows of one table as they are written."""
    return content(name).splitlines()[1:]


def _first(name: str, key: str) -> int:
    """Number of the first row whose first column is `key`, by halving where rows stand in its order; -1 where none is."""
    found, begun = lines(name), f"{key},"
    if name in UNORDERED:
        return next((i for i, line in enumerate(found) if line.startswith(begun)), -1)
    whole = key.isalnum()  # then the line itself sorts like its key: a space comes before the comma, letters and digits after
    at = bisect_left(found, key, key=None if whole else _key_of)
    return at if at < len(found) and found[at].startswith(begun) else -1


def _begun(name: str, key: str) -> Iterator[str]:
    """The lines whose first column is `key`: a few look-ups search the text as it is, more of them halve its lines."""
    _SOUGHT[name] += 1
    begun = f"{key},"
    if _SOUGHT[name] <= LOOKS:
        text = content(name)
        at = text.find(f"\n{begun}") + 1
        while at > 0 and text.startswith(begun, at):
            end = text.find("\n", at) % (len(text) + 1)
            yield text[at:end]
            at = end + 1
        return
    at, found = _first(name, key), lines(name)
    yield from takewhile(lambda line: line.startswith(begun), (found[i] for i in range(at, len(found)))) if at >= 0 else ()


def _key_of(line: str) -> str:
    return line[: line.index(",")]


@lru_cache(maxsize=1 << 13)
def row(name: str, key: str) -> dict[str, str] | None:
    """The row whose first column is `key`, or None; not to be changed."""
    line = next(_begun(name, key), None)
    if line is None:
        return None
    return dict(zip(header(name), next(csv.reader([line])) if '"' in line else line.split(","), strict=True))


def rows_of(name: str, key: str) -> list[list[str]]:
    """Every row whose first column is `key`, in file order (the rows stand together)."""
    return [line.split(",") for line in _begun(name, key)]


@cache
def first_columns(name: str, many: int) -> tuple[tuple[str, ...], ...]:
    """The first `many` columns of every row (these never hold a comma)."""
    return tuple(tuple(line.split(",", many)[:many]) for line in lines(name))


@cache
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
            self._columns[name] = np.array([float(self._fields(i)[at]) for i in range(len(self._lines))])
        return self._columns[name]

    def of(self, names: tuple[str, ...], which: np.ndarray) -> np.ndarray:
        """Numeric columns of some stations: the shape of `which`, and a last axis for the columns."""
        if which.size > FEW:
            return self._columns_of(names)[which]
        at = [self._names.index(name) for name in names]
        fields = [self._fields(int(i)) for i in which.ravel()]
        return np.array([[float(f[a]) for a in at] for f in fields]).reshape(*which.shape, len(names))

    @cache  # noqa: B019 - one object of this kind lives as long as the program
    def _columns_of(self, names: tuple[str, ...]) -> np.ndarray:
        return np.stack([self.column(name) for name in names], axis=-1)

    @cache  # noqa: B019
    def _fields(self, i: int) -> list[str]:
        return self._lines[i].split(",")


@cache
def stations() -> Stations:
    """Every station that is not marked X (unusable)."""
    names = header("us_stations.csv.gz")
    quality = names.index("quality")
    return Stations(names, [line for line in lines("us_stations.csv.gz") if line.split(",", quality + 1)[quality] != "X"])


@cache
def grid() -> np.ndarray:
    """The height grid, a byte a cell in 28 m steps, rows from north to south; 255 at sea."""
    return np.frombuffer(unpacked("elevation.gz"), np.uint8).reshape(-1, GRID_COLUMNS)


@cache
def _sea() -> np.ndarray:
    return grid() == AT_SEA


def _metres(code: np.ndarray) -> np.ndarray:
    return np.where(code == AT_SEA, np.nan, np.maximum(code * 28.0 - 450.0, 0.0))


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


def grid_span_m(lat, lon) -> np.ndarray:
    """Highest less lowest of the nine cells around each position [m]; 0 at sea or off the grid."""
    line, column = (GRID_NORTH - np.asarray(lat, float)) * GRID_CELLS, (np.asarray(lon, float) - GRID_WEST) * GRID_CELLS
    line, column = np.floor(line).astype(int), np.floor(column).astype(int)
    on_grid = (line >= 0) & (column >= 0) & (line < len(grid())) & (column < GRID_COLUMNS)
    beside = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
    lines, columns = (
        (np.clip(line + a, 0, len(grid()) - 1) for a, _ in beside),
        (np.clip(column + b, 0, GRID_COLUMNS - 1) for _, b in beside),
    )
    cells = _metres(np.stack([grid()[at] for at in zip(lines, columns, strict=True)]))
    land = ~np.isnan(cells)
    span = np.where(land, cells, -np.inf).max(axis=0) - np.where(land, cells, np.inf).min(axis=0)
    return np.where(on_grid & land.any(axis=0), span, 0.0)


def coast_km(lat: float, lon: float) -> float:
    """Distance to the nearest cell of sea, at most `COAST_KM`."""
    reach = 18
    here = floor((GRID_NORTH - lat) * GRID_CELLS), floor((lon - GRID_WEST) * GRID_CELLS)
    (top, bottom), (left, right) = ((max(k - reach, 0), max(k + reach + 1, 0)) for k in here)
    sea = _sea()[top:bottom, left:right]
    if not sea.any():
        return COAST_KM
    line, column = np.nonzero(sea)
    north = (GRID_NORTH - (line + top + 0.5) / GRID_CELLS - lat) * KM_PER_DEGREE
    east = (GRID_WEST + (column + left + 0.5) / GRID_CELLS - lon) * KM_PER_DEGREE * np.cos(np.radians(lat))
    return float(min(np.hypot(north, east).min(), COAST_KM))
