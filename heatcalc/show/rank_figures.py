"""Assemblies against each other: watts over inches and over dollars, who beats whom, where each is wettest."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from heatcalc.answers.study.rank_assemblies import Choice, Ranking
from heatcalc.report.about_assembly import moisture_cells
from heatcalc.report.drawing import COLOURS, FAINT
from heatcalc.units import label, shown, text
from heatcalc.wording import said

MARKERS = "osD^vP*Xhp<>"


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


def ranking_rows(r: Ranking, kind: str, system: str) -> list[tuple[str, ...]]:
    """Table of one kind, head row first."""
    head = (
        "assembly",
        "U-value",
        "heating load",
        "cooling load",
        "a year",
        "thickness",
        "weight",
        f"price ({r.price_basis})",
        "beaten by",
    )
    rows: list[tuple[str, ...]] = [head]
    for c in r.of(kind):
        thick = (
            "-"
            if not np.isfinite(c.thickness_m)
            else (f"{1000 * c.thickness_m:.0f} mm" if system == "si" else f"{c.thickness_m / 0.0254:.1f} in")
        )
        mass = text(c.mass_kg, "mass", system) if np.isfinite(c.mass_kg) else "-"
        price = f"${c.price:,.0f}" if np.isfinite(c.price) else "-"
        loads = [text(w, "power", system) for w in (c.heating_W, c.cooling_W)]
        rows.append(
            (
                c.name + (" *" if c.own else ""),
                text(c.u_value_W_m2K, "U-value", system),
                *loads,
                f"{c.year_kWh:,.0f} kWh",
                thick,
                mass,
                price,
                _first_of(c.beaten_by),
            )
        )
    return rows


def _first_of(names: tuple[str, ...]) -> str:
    return f"{names[0]} and {len(names) - 1} more" if len(names) > 1 else "".join(names)


def beaten_lines(r: Ranking, system: str) -> list[str]:
    """With which unit the year was walked, what the axles carry, and everything that beats each assembly."""
    carried = (
        "recommended for the house as it is"
        if r.recommended
        else ("the best of those too small for this house here, so backup heat counts in the kWh")
    )
    beaten = [f"{c.name}: beaten by {', '.join(c.beaten_by)}" for c in r.choices if c.beaten_by]
    carries = f"Walls, roof and floor as the house has them weigh {text(r.shell_kg, 'mass', system)} by their layers."
    return [f"The year is walked with {r.unit.name}, {carried}.", carries, *(beaten or ["Nothing is beaten."])]


def moisture_rows(r: Ranking, system: str) -> list[tuple[str, ...]]:
    """Every assembly's weakest point and the water inside it, head row first."""
    head = ("assembly", "weakest point", "temperature factor", "mould", "water inside")
    return [head, *((c.name + (" *" if c.own else ""), *_moist(c, system)) for c in r.choices)]


def _moist(c: Choice, system: str) -> tuple[str, ...]:
    spot, has, mould, water = moisture_cells(c.moisture)
    return spot, f"{has:.2f}", mould, said(water, system)
