"""The tables of a report: cells of every kind, columns that say what they hold, and how records fill them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from heatcalc.wording import SHORT_MONTHS, Q, Said, Words


@dataclass(frozen=True)
class Rough:
    """A number that is estimated: shown with ~ before it."""

    value: float


@dataclass(frozen=True)
class Live:
    """A number that a spreadsheet works out itself: `formula` names cells of the workbook's sheets, one a table by its key."""

    value: float
    formula: str


@dataclass(frozen=True)
class Links:
    """Files beside the page: (address, words) each."""

    to: tuple[tuple[str, str], ...]


Cell = float | int | bool | str | Q | Words | Rough | Live | Links | None


@dataclass(frozen=True)
class Column:
    """A column of numbers of one `kind` of `units.KINDS`, or of a fixed `unit` (kWh, h, $, %), or of text where both are empty.

    `decimals` overrides the kind's usual ones (a pair: inch-pound, SI); `missing` is shown for None.
    """

    head: Said
    kind: str = ""
    unit: str = ""
    decimals: int | tuple[int, int] | None = None
    missing: str = "-"
    signed: bool = False  # a difference: its sign is said, nil has none

    @property
    def numeric(self) -> bool:
        """Whether its cells are numbers."""
        return bool(self.kind or self.unit or self.decimals is not None)


@dataclass(frozen=True)
class Table:
    """Rows of typed cells.  `key` is its name in `.tables`; `chosen` the row of the answer.

    `across` shows a row as a column in text, and on a page where that is the narrower way.
    """

    key: str
    title: Said
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    chosen: int | None = None
    across: bool = False
    head_units: bool = False  # units stand in the heads alone, where many columns share little room
    yours: bool = False  # its numbers are for the reader to change: yellow cells of a workbook


Filling = tuple[Column, str | Callable[[Any], Cell]]  # a column, and what fills it of a record: a field or a function


def facts(key: str, *pairs: tuple[Column | Said, Cell] | None, title: Said = "") -> Table:
    """Single values by name, each of its own kind: a table of one row, shown across."""
    kept = [pair for pair in pairs if pair is not None]
    columns = tuple(head if isinstance(head, Column) else Column(head) for head, _ in kept)
    return Table(key, title, columns, (tuple(cell for _, cell in kept),), across=True)


def by_month(key: str, title: Said, series: Mapping[str, Any], *below: tuple[Cell, ...], unit: str = "kWh") -> Table:
    """Twelve rows a series and their sum, with more rows below; units stand in the heads."""
    columns = (Column("month"), *(Column(name, unit=unit, decimals=0) for name in series))
    rows: list[tuple[Cell, ...]] = [(m, *(float(x[k]) for x in series.values())) for k, m in enumerate(SHORT_MONTHS)]
    year: tuple[Cell, ...] = ("year", *(float(x.sum()) for x in series.values()))
    return Table(key, title, columns, (*rows, year, *below), head_units=True)


def table_of(key: str, records: Iterable[Any], *columns: Filling, title: Said = "", **more: Any) -> Table:
    """A row a record; a field that fills a column may lead on into its own fields by dots."""
    fills = [_filler(fill) for _, fill in columns]
    rows = tuple(tuple(fill(record) for fill in fills) for record in records)
    return Table(key, title, tuple(column for column, _ in columns), rows, **more)


def _filler(fill: str | Callable[[Any], Cell]) -> Callable[[Any], Cell]:
    return attrgetter(fill) if isinstance(fill, str) else fill


def columns_of(part: str, *columns: Filling) -> tuple[Filling, ...]:
    """The same columns, each filled from a part of the record."""
    whole = attrgetter(part)
    return tuple((column, lambda record, fill=fill: _filler(fill)(whole(record))) for column, fill in columns)


def fields_of(record: Any, names: str) -> dict[str, Any]:
    """Some fields of a record by their names, parted by blanks; `key=field.of.a.field` says one under another key."""
    pairs = (name.rpartition("=")[::2] for name in names.split())
    return {key or field: attrgetter(field)(record) for key, field in pairs}
