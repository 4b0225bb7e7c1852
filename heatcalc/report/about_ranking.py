"""Assemblies of the shelf in one house, each alone: watts over inches and dollars, who beats whom, where each is wettest."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from heatcalc.answers.study.rank_assemblies import Choice, Ranking
from heatcalc.report.about_assembly import moisture_cells, moisture_items
from heatcalc.report.drawing import COLOURS, FAINT
from heatcalc.report.report import Figure, Report, Sentence, bullets, chapter, chapters, stamped
from heatcalc.report.table import Cell, Column, Table
from heatcalc.units import label, shown
from heatcalc.wording import Q, Said, joined, worded

MARKERS = "osD^vP*Xhp<>"
MOIST = (
    Column("assembly"),
    Column("weakest point"),
    Column("temperature factor", decimals=2),
    Column("mould"),
    Column("water inside"),
)


def about_ranking(r: Ranking) -> Report:
    """Every kind with its table and figure, then what beats what, then moisture."""
    kinds = tuple(dict.fromkeys(c.kind for c in r.choices))
    return Report(
        question="assemblies",
        title=f"Assemblies of the shelf in {r.house.name}, in {r.place.name}",
        decision=tuple(Sentence(words) for words in _walked(r)),
        chapters=chapters(
            *(chapter(f"{kind.capitalize()}s", _table(r, kind), _figure(r, kind)) for kind in kinds),
            chapter("Who beats whom", *bullets(beaten_words(r))),
            chapter(
                "Moisture by ISO 13788",
                Table("moisture", "", MOIST, tuple((_named(c), *moisture_cells(c.moisture)) for c in r.choices)),
                *moisture_items([c.moisture for c in r.choices]),
            ),
        ),
        values={"house": r.house.name, "place": r.place.name, "unit": r.unit.name, "assemblies": [_values(c) for c in r.choices]},
        stamp=stamped(r.place, r.house.name),
    )


def _walked(r: Ranking) -> Iterator[Said]:
    """With which unit the year was walked, and what the axles carry."""
    carried = (
        "recommended for the house as it is"
        if r.recommended
        else "the best of those too small for this house here, so backup heat counts in the kWh"
    )
    yield f"The year is walked with {r.unit.name}, {carried}."
    yield worded("Walls, roof and floor as the house has them weigh {} by their layers.", Q(r.shell_kg, "mass"))


def beaten_words(r: Ranking) -> list[str]:
    """Everything that beats each assembly."""
    return [f"{c.name}: beaten by {', '.join(c.beaten_by)}" for c in r.choices if c.beaten_by] or ["Nothing is beaten."]


def _named(c: Choice) -> str:
    return c.name + (" *" if c.own else "")


def _table(r: Ranking, kind: str) -> Table:
    """One kind, the house's own marked with a star."""
    heads = (
        Column("assembly"),
        Column("U-value", "U-value"),
        Column("heating load", "power"),
        Column("cooling load", "power"),
        Column("a year", unit="kWh", decimals=0),
        Column("thickness", "thickness", decimals=(1, 0)),
        Column("weight", "mass"),
        Column(f"price ({r.price_basis})", unit="$", decimals=0),
        Column("beaten by"),
    )
    return Table(kind, "", heads, tuple(_row(c) for c in r.of(kind)))


def _row(c: Choice) -> tuple[Cell, ...]:
    known = (x if np.isfinite(x) else None for x in (c.thickness_m, c.mass_kg, c.price))
    others = f" and {len(c.beaten_by) - 1} more" if len(c.beaten_by) > 1 else ""
    beaten = f"{c.beaten_by[0]}{others}" if c.beaten_by else ""
    return _named(c), c.u_value_W_m2K, c.heating_W, c.cooling_W, c.year_kWh, *known, beaten


def _figure(r: Ranking, kind: str) -> Figure:
    says = joined("; ", (worded("{} {}", c.name, Q(c.heating_W, "power")) for c in r.of(kind)))
    return Figure(kind, f"{kind.capitalize()}s against each other", says, lambda system: ranking_figure(r, kind, system))


def _values(c: Choice) -> dict[str, Any]:
    kept = ("kind", "name", "own", "u_value_W_m2K", "area_m2", "heating_W", "cooling_W", "year_kWh", "thickness_m", "mass_kg")
    return {k: getattr(c, k) for k in (*kept, "price", "beaten_by")}


def ranking_figure(r: Ranking, kind: str, system: str) -> Any:
    """Heating load of the house over thickness (over the year's energy for windows) and over price; filled: nothing beats it."""
    from matplotlib.figure import Figure

    sides = [
        (_year, "heating and cooling [kWh a year]")
        if kind == "window"
        else (_thickness, f"thickness [{'mm' if system == 'si' else 'in'}]")
    ]
    if any(np.isfinite(c.price) for c in r.of(kind)):
        sides.append((_price, f"price [$], {r.price_basis}"))
    figure = Figure(figsize=(4.4 + 3.3 * len(sides), 4.6), layout="constrained")
    both = figure.subplots(1, len(sides), sharey=True, squeeze=False)[0]
    for axes, (across, words) in zip(both, sides, strict=True):
        _points(axes, r.of(kind), across, system)
        axes.set_xlabel(words)
        axes.margins(0.08)
        axes.grid(color=FAINT, linewidth=0.7)
        axes.set_axisbelow(True)
    both[0].set_ylabel(f"heating load of the house [{label('power', system)}]")
    figure.legend(*both[0].get_legend_handles_labels(), loc="outside right center", fontsize=8.5)
    return figure


def _points(axes: Any, choices: tuple[Choice, ...], across: Callable[[Choice, str], float], system: str) -> None:
    """One mark an assembly; hollow where another beats it."""
    for k, c in enumerate(choices):
        colour = COLOURS[k % len(COLOURS)]
        word = f"{c.name}{' (the house has it)' if c.own else ''}{', beaten' if c.beaten_by else ''}"
        axes.plot(
            across(c, system),
            float(shown(c.heating_W, "power", system)),
            MARKERS[k % len(MARKERS)],
            ls="",
            ms=9,
            mec=colour,
            mew=1.6,
            color="white" if c.beaten_by else colour,
            label=word,
        )


def _thickness(c: Choice, system: str) -> float:
    return c.thickness_m * (1000.0 if system == "si" else 1 / 0.0254)


def _price(c: Choice, system: str) -> float:
    return c.price


def _year(c: Choice, system: str) -> float:
    return c.year_kWh
