"""Assemblies of the shelf in one house, each alone: watts over inches and dollars, who beats whom, where each is wettest."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.study.rank_assemblies import Choice, Ranking
from heatcalc.report.about_assembly import moisture_cells, moisture_items
from heatcalc.report.drawing import blank, measured, one_of_many, ruled
from heatcalc.report.report import Figure, Report, Sentence, bullets, chapter, chapters, stamped
from heatcalc.report.table import Column, Table, fields_of, table_of
from heatcalc.units import shown
from heatcalc.wording import Q, Said, joined, worded

VALUES = "kind name own u_value_W_m2K area_m2 heating_W cooling_W year_kWh thickness_m mass_kg price beaten_by"
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
        values={
            "house": r.house.name,
            "place": r.place.name,
            "unit": r.unit.name,
            "assemblies": [fields_of(c, VALUES) for c in r.choices],
        },
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
    return table_of(
        kind,
        r.of(kind),
        (Column("assembly"), _named),
        (Column("U-value", "U-value"), "u_value_W_m2K"),
        (Column("heating load", "power"), "heating_W"),
        (Column("cooling load", "power"), "cooling_W"),
        (Column("a year", unit="kWh", decimals=0), "year_kWh"),
        (Column("thickness", "thickness", decimals=(1, 0)), lambda c: _known(c.thickness_m)),
        (Column("weight", "mass"), lambda c: _known(c.mass_kg)),
        (Column(f"price ({r.price_basis})", unit="$", decimals=0), lambda c: _known(c.price)),
        (Column("beaten by"), _beaten_by),
    )


def _known(x: float) -> float | None:
    return x if np.isfinite(x) else None


def _beaten_by(c: Choice) -> str:
    more = f" and {len(c.beaten_by) - 1} more" if len(c.beaten_by) > 1 else ""
    return f"{c.beaten_by[0]}{more}" if c.beaten_by else ""


def _figure(r: Ranking, kind: str) -> Figure:
    says = joined("; ", (worded("{} {}", c.name, Q(c.heating_W, "power")) for c in r.of(kind)))
    return Figure(kind, f"{kind.capitalize()}s against each other", says, partial(ranking_figure, r, kind))


def ranking_figure(r: Ranking, kind: str, system: str) -> Any:
    """Heating load of the house over thickness (over the year's energy for windows) and over price; filled: nothing beats it."""
    unit, in_metres = ("mm", 1000.0) if system == "si" else ("in", 1 / 0.0254)
    choices = r.of(kind)
    sides = (
        [("heating and cooling [kWh a year]", [c.year_kWh for c in choices])]
        if kind == "window"
        else [(f"thickness [{unit}]", [c.thickness_m * in_metres for c in choices])]
    )
    if any(np.isfinite(c.price) for c in choices):
        sides.append((f"price [$], {r.price_basis}", [c.price for c in choices]))
    figure, grid = blank(4.4 + 3.3 * len(sides), 4.6, 1, len(sides), sharey=True, squeeze=False)
    for axes, (words, across) in zip(grid[0], sides, strict=True):
        for k, (c, x) in enumerate(zip(choices, across, strict=True)):
            word = f"{c.name}{' (the house has it)' if c.own else ''}{', beaten' if c.beaten_by else ''}"
            heat = float(shown(c.heating_W, "power", system))
            one_of_many(axes, k, (x, heat), word, beaten=bool(c.beaten_by), ms=9, mew=1.6)
        axes.set_xlabel(words)
        axes.margins(0.08)
        ruled(axes, "both")
    grid[0][0].set_ylabel(measured("heating load of the house", "power", system))
    figure.legend(*grid[0][0].get_legend_handles_labels(), loc="outside right center", fontsize=8.5)
    return figure
