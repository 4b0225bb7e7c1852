"""Tornado plots, the spread of the load against what the unit gives, and the shares of the variance."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.study.tornado import OUTPUTS, WORDS
from heatcalc.answers.study.uncertain import UncertainInput
from heatcalc.answers.study.what_matters import WhatMatters
from heatcalc.report.drawing import COLOURS, FAINT, INK
from heatcalc.units import label, shown
from heatcalc.wording import Q, Said, said, worded

MOST = 8
KIND = {"heating_W": "power", "cooling_W": "power", "lowest_held_C": "temperature"}
LOW, HIGH = COLOURS[5], COLOURS[1]


def value_words(name: str, x: float) -> Said:
    """One output in words."""
    if not np.isfinite(x):
        return "none"
    if name in KIND:
        return worded("{}", Q(x, KIND[name]))
    return f"{x:,.0f} kWh" if name == "year_kWh" else f"{x:.1f} A"


def end_words(u: UncertainInput, x: float) -> Said:
    """One end of an input's range in words."""
    if u.kind == "direction":
        return ""
    if u.unit == "K":
        return worded("{}{}", "+" if x > 0 else "", Q(x, "temperature difference"))
    if u.unit == "m/s":
        return worded("{}", Q(x, "speed"))
    return f"x {x:.2f}" if u.kind == "factor" else f"{x:g}" if u.kind == "number" else f"{x:+.2f}"


def _scaled(name: str, x: float, system: str) -> float:
    return float(shown(x, KIND[name], system)) if name in KIND else x


def _unit(name: str, system: str) -> str:
    return label(KIND[name], system) if name in KIND else {"year_kWh": "kWh", "peak_A": "A"}[name]


def tornado_figure(m: WhatMatters, system: str) -> Any:
    """A panel for each output, the widest bars on top; the line is the house as described."""
    from matplotlib.figure import Figure
    from matplotlib.patches import Patch

    figure = Figure(figsize=(11.6, 9.6), layout="constrained")
    grid = figure.subplots(3, 2).ravel()
    for axes, name in zip(grid, OUTPUTS, strict=False):
        _panel(axes, m, name, system)
    grid[-1].set_axis_off()
    handles = [
        Patch(color=LOW, label="input at the low end of its range"),
        Patch(facecolor=HIGH, hatch="////", edgecolor="white", label="input at the high end"),
        Patch(color="white", label="line: the house as described"),
    ]
    grid[-1].legend(handles=handles, loc="upper left", fontsize=10)
    return figure


def _panel(axes: Any, m: WhatMatters, name: str, system: str) -> None:
    t = m.one_at_a_time
    bars = t.ranked(name)[:MOST][::-1]
    middle = _scaled(name, getattr(t.middle, name), system)
    for k, b in enumerate(bars):
        low, high = (_scaled(name, getattr(o, name), system) for o in (b.low, b.high))
        axes.barh(k, low - middle, left=middle, color=LOW, height=0.66)
        axes.barh(k, high - middle, left=middle, color=HIGH, height=0.66, hatch="////", edgecolor="white", linewidth=0)
        _ends(axes, k, b.input, (low, high), middle, system)
    axes.axvline(middle, color=INK, lw=1.0)
    axes.set_yticks(range(len(bars)), [b.input.name for b in bars])
    axes.set_ylim(len(bars) - MOST - 0.4, len(bars) - 0.4)
    axes.use_sticky_edges = False
    axes.margins(x=0.18)
    axes.set_title(f"{WORDS[name]}: {said(value_words(name, getattr(t.middle, name)), system)}", fontsize=10)
    axes.set_xlabel(f"[{_unit(name, system)}]")
    axes.grid(axis="x", color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)


def _ends(axes: Any, row: int, u: UncertainInput, at: tuple[float, float], middle: float, system: str) -> None:
    """What stands at the two ends of a bar; nothing at an end that did not move."""
    for x, where, other in ((u.low, at[0], at[1]), (u.high, at[1], at[0])):
        if abs(where - middle) > 1e-9:
            side = "right" if where < other else "left"
            axes.annotate(f" {said(end_words(u, x), system)} ", (where, row), ha=side, va="center", fontsize=7.5, color=INK)


def spread_figure(m: WhatMatters, system: str) -> Any:
    """Histograms of the load and of the unit's most heat in the same draws; where they overlap the unit may fall short."""
    from matplotlib.figure import Figure

    c = m.at_once
    figure = Figure(figsize=(10.4, 4.2), layout="constrained")
    pairs = (
        ("heating at the design cold", c.heating_W, c.most_heat_W, "heating"),
        ("sensible cooling in the hottest hour", c.cooling_W, c.most_cool_W, "cooling"),
    )
    for axes, (words, need, most, which) in zip(figure.subplots(1, 2), pairs, strict=True):
        need, most = (np.asarray(shown(x, "power", system)) for x in (need, most))
        bins = np.linspace(min(need.min(), most.min()), max(need.max(), most.max()), 70)
        axes.hist(need, bins, color=COLOURS[1], alpha=0.65, label="needed")
        words_of_unit = f"{c.case.unit.name} gives at most"
        axes.hist(most, bins, histtype="step", color=COLOURS[0], lw=1.8, hatch="\\\\\\", label=words_of_unit)
        share, error = c.chance(which)
        axes.set_title(f"{words}: carried in {share:.0%} of draws", fontsize=10)
        axes.set_xlabel(f"[{label('power', system)}]")
        axes.set_yticks([])
        axes.set_ylabel("draws")
        axes.legend(fontsize=8.5)
    return figure


def shares_figure(m: WhatMatters) -> Any:
    """Sobol shares, alone and total, with their 95 % half widths."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(4.2 * len(m.shares) + 0.6, 4.4), layout="constrained")
    titles = {"heating": "design heating load", "cooling": "design cooling load", "year": "year's electricity"}
    for axes, (which, s) in zip(np.atleast_1d(figure.subplots(1, len(m.shares))), m.shares.items(), strict=True):
        order = np.argsort(-s.total)[:MOST][::-1]
        at = np.arange(len(order))
        axes.barh(
            at + 0.2,
            100 * s.total[order],
            0.38,
            xerr=100 * s.total_half_width[order],
            color=COLOURS[0],
            label="with all it meets",
            error_kw={"elinewidth": 0.9, "ecolor": INK},
        )
        axes.barh(
            at - 0.2,
            100 * np.maximum(s.first[order], 0),
            0.38,
            color=COLOURS[4],
            hatch="////",
            edgecolor="white",
            linewidth=0,
            label="alone",
        )
        axes.set_yticks(at, [s.names[k] for k in order])
        axes.set_xlim(0, None)
        axes.set_xlabel("share of the variance [%]")
        axes.set_title(titles[which], fontsize=10)
        axes.grid(axis="x", color=FAINT, linewidth=0.7)
        axes.set_axisbelow(True)
    axes.legend(loc="lower right", fontsize=8.5)
    return figure
