"""Packages as pictures: what each costs against what it saves, and where its heat goes."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.study.packages import Comparison
from heatcalc.report.drawing import COLOURS, FAINT, INK
from heatcalc.units import label, shown, text

MARKERS = "osD^vPX*"


def losses(c: Comparison, system: str) -> Any:
    """Stacked heating load by component, one bar a package, total at the end."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.6, 1.7 + 0.55 * len(c.packages)), layout="constrained")
    axes = figure.subplots()
    parts = dict.fromkeys(name for p in c.packages for name in p.sized.heating.components_W)
    order = sorted(parts, key=lambda n: -max(p.sized.heating.components_W.get(n, 0.0) for p in c.packages))
    rows, base = np.arange(len(c.packages))[::-1], np.zeros(len(c.packages))
    for k, name in enumerate(order):
        watts = shown(np.array([max(p.sized.heating.components_W.get(name, 0.0), 0.0) for p in c.packages]), "power", system)
        axes.barh(rows, watts, left=base, height=0.62, color=COLOURS[k % len(COLOURS)], edgecolor="white", label=name)
        base = base + watts
    for y, total, p in zip(rows, base, c.packages, strict=True):
        axes.annotate(f" {text(p.heating_W, 'power', system)}", (total, y), va="center", fontsize=8.5)
    axes.set_yticks(rows, [_short(p.name) for p in c.packages])
    axes.set_xlim(0, base.max() * 1.18)
    axes.set_xlabel(
        f"heat loss at {text(c.packages[0].sized.heating.outdoor_C, 'temperature', system)} outdoors [{label('power', system)}]"
    )
    figure.legend(*axes.get_legend_handles_labels(), loc="outside upper center", ncols=4, fontsize=8.5)
    return figure


def front_figure(c: Comparison, system: str) -> Any:
    """Price (or weight, where no price is said) against the year's energy; what nothing beats is filled and joined."""
    from matplotlib.figure import Figure

    priced = all(p.price is not None for p in c.packages) and len({p.price for p in c.packages}) > 1
    figure = Figure(figsize=(8.6, 4.2), layout="constrained")
    axes = figure.subplots()
    x = np.array([p.price if priced and p.price is not None else float(shown(p.mass_kg, "mass", system)) for p in c.packages])
    y = np.array([p.year_kWh for p in c.packages])
    for k, p in enumerate(c.packages):
        colour, best = COLOURS[k % len(COLOURS)], p.name in c.front
        words = f"{_short(p.name)}\n{text(p.heating_W, 'power', system)}, {p.candidate.name}{'' if best else ', beaten'}"
        axes.plot(
            x[k],
            y[k],
            MARKERS[k % len(MARKERS)],
            ms=10,
            mec=colour,
            mew=1.8,
            color=colour if best else "white",
            label=words,
            ls="",
        )
    _steps(axes, x, y)
    axes.set_xlabel("price of the package [US dollars]" if priced else f"weight of the shell [{label('mass', system)}]")
    axes.set_ylabel("heating, cooling and air [kWh a year]")
    axes.set_xlim(x.min() - 0.06 * np.ptp(x) - 1, x.max() + 0.06 * np.ptp(x) + 1)
    axes.tick_params(colors=INK)
    figure.legend(*axes.get_legend_handles_labels(), loc="outside right center", fontsize=8.5, labelspacing=1.1)
    axes.set_ylim(y.min() - 0.15 * np.ptp(y) - 10, y.max() + 0.15 * np.ptp(y) + 10)
    axes.grid(color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)
    return figure


def _steps(axes: Any, x: np.ndarray, y: np.ndarray) -> None:
    """The staircase of the lowest energy for the money."""
    order = np.lexsort((y, x))
    lowest = np.minimum.accumulate(y[order])
    kept = order[y[order] <= lowest]
    axes.step(x[kept], y[kept], where="post", color="#999999", lw=1.0, ls="--", zorder=0)


def _short(name: str) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(name, 18))
