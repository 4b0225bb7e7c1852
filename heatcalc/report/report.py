"""The records of a report: what is said, in which order, with every number typed.  No medium, no unit system, no layout.

A report is a title, a decision, and chapters of sentences, tables, figures and cautions.  The order is the same everywhere:
decision, why, what else to buy, warnings, loads, units, assumptions, cautions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from heatcalc.report.table import Column, Table
from heatcalc.wording import Said, Words, said, worded

if TYPE_CHECKING:
    from heatcalc.inputs.house.house_record import House
    from heatcalc.inputs.place.place_record import Place

ONE_SIGMA = "One sigma: two of three times the true value lies no farther off."
TMY3_YEARS = "1991-2005"  # of the hourly records behind the tables of the United States (climate_data/README.md)


@dataclass(frozen=True)
class Sentence:
    """One sentence; `code` names what it says for whoever reads by machine."""

    words: Said
    code: str = ""


@dataclass(frozen=True)
class Bullet(Sentence):
    """One line of a list."""


@dataclass(frozen=True)
class Caution(Bullet):
    """A line that someone's safety hangs on: no medium folds it away."""


@dataclass(frozen=True)
class Tick(Bullet):
    """A line to be ticked by hand on paper."""


@dataclass(frozen=True)
class Note(Sentence):
    """Small print: a source, a method, a limit."""


@dataclass(frozen=True)
class Figure:
    """A drawing of the answer: `draw(system)` gives a matplotlib figure; `says` is its text for who cannot see it."""

    key: str
    title: Said
    says: Said
    draw: Callable[[str], Any] = field(compare=False)


@dataclass(frozen=True, eq=False)
class Series:
    """Named values of a chart, in SI: a line ("-", "--"), a band (all lowest, then all highest: "band"), or bars ("bar")."""

    name: Said
    values: Any
    colour: str
    look: str = "-"
    width: float = 2.2


@dataclass(frozen=True, eq=False)
class Chart:
    """A figure in a few series over places of an axis (numbers, or names of bars), so plain that a page draws it at once.

    x, y : what the axes hold; `mark` is a place of the first and its words
    """

    key: str
    title: Said
    says: Said
    x: Column
    at: Any
    y: Column
    series: tuple[Series, ...]
    mark: tuple[float, Said] | None = None


@dataclass(frozen=True)
class Working:
    """A derivation written out, as a figure is drawn out: `lines(system)` gives indented lines of symbols and numbers, `short`
    the result and the numbers it is made of."""

    lines: Callable[[str], list[str]] = field(compare=False)
    short: Callable[[str], list[str]] | None = field(default=None, compare=False)


Item = Sentence | Table | Figure | Chart | Working


@dataclass(frozen=True)
class Chapter:
    """Some items under one heading.  `more` ones are shown with --full, and folded on a page; `brief` says in a line of the short
    text what every other medium says item by item."""

    heading: Said
    items: tuple[Item, ...]
    more: bool = False
    brief: Said = ""


@dataclass(frozen=True)
class Report:
    """One answer: which question, what was decided, and everything behind it.  `values` is the answer in SI for machines."""

    question: str
    title: Said
    under: tuple[Said, ...] = ()
    decision: tuple[Sentence, ...] = ()
    chapters: tuple[Chapter, ...] = ()
    values: Mapping[str, Any] | Sequence[Any] = field(default_factory=dict)
    data: tuple[Table | Figure, ...] = ()  # for frames, pictures and workbooks alone: what is shown above in smaller pieces
    sheet: bool = False  # a paper to hand over: few pages, its figures in pairs
    book: Callable[[Any, str], None] | None = field(default=None, compare=False)  # fills a workbook its own way, with formulas
    inputs: str = ""  # hash of what it was made from, told at its foot
    stamp: str = ""  # house, place and years of the climate records: stands on every figure

    @property
    def items(self) -> Iterator[Item]:
        """Everything in the chapters, in order."""
        return (item for chapter in self.chapters for item in chapter.items)

    @property
    def tables(self) -> dict[str, Table]:
        """Its tables by name."""
        return {item.key: item for item in (*self.items, *self.data) if isinstance(item, Table)}

    @property
    def figures(self) -> dict[str, Figure]:
        """Its figures by name."""
        return {item.key: item for item in (*self.items, *self.data) if isinstance(item, Figure)}


def chapter(heading: Said, *items: Item | Said | None, more: bool = False, brief: Said = "") -> Chapter | None:
    """A chapter of its items; plain words become sentences, what is empty drops out; None where nothing is left."""
    kept = tuple(Sentence(x) if isinstance(x, (str, Words)) else x for x in items if x)
    return Chapter(heading, kept, more, brief) if kept else None


def chapters(*some: Chapter | None) -> tuple[Chapter, ...]:
    """Those that have something to say."""
    return tuple(one for one in some if one is not None)


def bullets(words: Sequence[Said], kind: type[Sentence] = Bullet) -> tuple[Sentence, ...]:
    """Words as lines of a list (or cautions, or notes)."""
    return tuple(kind(one) for one in words)


def at_place(report: Report, place: Place, house: str = "") -> Report:
    """A report whose numbers hang on a place: its name and its warnings go with it on every surface, and figures say whose."""
    warned = chapter("Warnings of the place", *bullets(place.warnings, Caution))
    told = {"place": place.name, "place_warnings": place_warnings(place)}
    values = report.values
    return replace(
        report,
        under=report.under if place.name in said(report.title, "si") else (*report.under, worded("in {}", place.name)),
        chapters=(*report.chapters, *chapters(warned)),
        stamp=stamped(place, house),
        values={**values, **told} if isinstance(values, Mapping) else [{**some, **told} for some in values],
    )


def named(house: House, package: bool = True) -> str:
    """A house by its name, what is to be known of it, and its option package."""
    note = f" ({house.note})" if house.note else ""
    return f"{house.name}{note}{f', package {house.package}' if package and house.package else ''}"


def stamped(place: Place | None, house: str = "") -> str:
    """What a figure torn from its page must still say: whose house, where (None: many places), and the years of the records."""
    years = re.search(r"\d{4}-\d{4}", str(place.source)) if place else None
    record = place.hours.source if place and place.hours else f"climate records of {years.group() if years else TMY3_YEARS}"
    return ", ".join(filter(None, (house, place.name if place else "", record)))


def place_warnings(place: Place, system: str = "si") -> list[str]:
    """What is to be minded about a place."""
    return [said(note, system) for note in place.warnings]
