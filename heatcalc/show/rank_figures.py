"""Assemblies against each other: watts over inches, who beats whom."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.rank_assemblies import Choice, Ranking
from heatcalc.show.drawing import COLOURS, FAINT
from heatcalc.units import label, shown, text


def ranking_figure(r: Ranking, kind: str, system: str) -> Any:
    """Heating load of the house against thickness (against the year's energy for windows); filled: nothing beats it."""
    from matplotlib.figure import Figure

    choices = r.of(kind)
    figure = Figure(figsize=(9.4, 4.6), layout="constrained")
    axes = figure.subplots()
    markers = "osD^vP*Xhp<>"
    for k, c in enumerate(choices):
        colour = COLOURS[k % len(COLOURS)]
        x, y = _across(c, system), float(shown(c.heating_W, "power", system))
        word = f"{c.name}{' (the house has it)' if c.own else ''}{', beaten' if c.beaten_by else ''}"
        inside = "white" if c.beaten_by else colour
        axes.plot(x, y, markers[k % len(markers)], ls="", ms=9, mec=colour, mew=1.6, color=inside, label=word)
    axes.set_xlabel(f"thickness [{'mm' if system == 'si' else 'in'}]" if kind != "window" else "heating and cooling [kWh a year]")
    axes.set_ylabel(f"heating load of the house [{label('power', system)}]")
    axes.margins(0.08)
    axes.grid(color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)
    figure.legend(*axes.get_legend_handles_labels(), loc="outside right center", fontsize=8.5)
    return figure


def _across(c: Choice, system: str) -> float:
    if not np.isfinite(c.thickness_m):
        return c.year_kWh
    return c.thickness_m * (1000.0 if system == "si" else 1 / 0.0254)


def ranking_rows(r: Ranking, kind: str, system: str) -> list[tuple[str, ...]]:
    """Table of one kind, head row first."""
    head = ("assembly", "U-value", "heating load", "cooling load", "a year", "thickness", "weight", "price", "beaten by")
    rows: list[tuple[str, ...]] = [head]
    for c in r.of(kind):
        thick = "-" if not np.isfinite(c.thickness_m) else (
            f"{1000 * c.thickness_m:.0f} mm" if system == "si" else f"{c.thickness_m / 0.0254:.1f} in")
        mass = text(c.mass_kg, "mass", system) if np.isfinite(c.mass_kg) else "-"
        price = f"${c.price:,.0f}" if np.isfinite(c.price) else "-"
        loads = [text(w, "power", system) for w in (c.heating_W, c.cooling_W)]
        rows.append((c.name + (" *" if c.own else ""), text(c.u_value_W_m2K, "U-value", system), *loads, f"{c.year_kWh:,.0f} kWh",
                     thick, mass, price, ", ".join(c.beaten_by)))
    return rows
