"""A chart as a small SVG: quick enough to follow a hand, readable on a phone.

Drawn 420 units wide, so that on a narrow screen its words stay about as large as the page's own.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Any

import numpy as np

from heatcalc.render.cells import head_text
from heatcalc.report.drawing import FAINT, INK, short
from heatcalc.report.report import Chart, Series
from heatcalc.report.table import Column
from heatcalc.units import shown
from heatcalc.wording import said

WIDE, HIGH = 420.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 54.0, 10.0, 46.0, 40.0
GREY, MOST_KEY = "#555555", 30


@dataclass(frozen=True)
class SmallAxes:
    """Where values fall on the drawing."""

    x: tuple[float, float]
    y: tuple[float, float]

    def across(self, value: float) -> float:
        """Horizontal place of a value."""
        return LEFT + (value - self.x[0]) / (self.x[1] - self.x[0]) * (WIDE - LEFT - RIGHT)

    def up(self, value: float) -> float:
        """Vertical place of a value."""
        return HIGH - BOTTOM - (value - self.y[0]) / (self.y[1] - self.y[0]) * (HIGH - TOP - BOTTOM)

    def path(self, x: Any, y: Any) -> str:
        """Points of a polyline; places that are not numbers are left out."""
        return " ".join(f"{self.across(a):.1f},{self.up(b):.1f}" for a, b in zip(x, y, strict=True) if np.isfinite(b))


def small_svg(chart: Chart, system: str) -> str:
    """The drawing, with its title and words for who cannot see it."""
    named = isinstance(chart.at[0], str)
    at = np.arange(len(chart.at) + 1.0) if named else _shown(chart.x, chart.at, system)
    drawn = [(series, _shown(chart.y, series.values, system)) for series in chart.series]
    stacked = np.sum([values for series, values in drawn if series.look == "bar"], axis=0)
    most = max(1.0, float(np.max(stacked)), *(float(np.nanmax([*values, 0.0])) for _, values in drawn))
    axes = SmallAxes((float(at[0]), float(at[-1])), (0.0, 1.05 * most))
    body = [*_bands(axes, at, drawn), _frame(axes, () if named else _ticks(*axes.x, about=5)), *_lines(axes, at, drawn)]
    body += [
        *_bars(axes, drawn),
        _mark(axes, chart, system),
        _keys([series for series, _ in drawn if said(series.name, system)], system),
    ]
    names = enumerate(chart.at) if named else ()
    body += [_text(axes.across(k + 0.5), HIGH - BOTTOM + 15, str(name), INK, "middle") for k, name in names]
    body += [_text(LEFT, HIGH - 4, head_text(chart.x, system, unit=True), INK, "start")]
    body += [_text(4, 30, head_text(chart.y, system, unit=True), INK, "start")]
    words = html.escape(f"{said(chart.title, system)}. {said(chart.says, system)}")
    size = f'viewBox="0 0 {WIDE:.0f} {HIGH:.0f}" font-size="12" font-family="system-ui, sans-serif"'
    return f'<svg role="img" aria-label="{words}" {size}>{"".join(body)}</svg>'


def _shown(column: Column, values: Any, system: str) -> np.ndarray:
    """Values in the unit that an axis shows."""
    return np.asarray(shown(np.asarray(values), column.kind, system) if column.kind else values)


def _bands(axes: SmallAxes, at: np.ndarray, drawn: Sequence[tuple[Series, np.ndarray]]) -> list[str]:
    """Lowest values from left to right, highest ones back."""
    found = (np.split(values, 2) for series, values in drawn if series.look == "band")
    points = (axes.path([*at, *at[::-1]], [*low, *high[::-1]]) for low, high in found)
    return [f'<polygon points="{one}" fill="{FAINT}"/>' for one in points]


def _lines(axes: SmallAxes, at: np.ndarray, drawn: Sequence[tuple[Series, np.ndarray]]) -> list[str]:
    return [_line(axes.path(at, y), s.colour, s.look, s.width) for s, y in drawn if s.look in ("-", "--")]


def _bars(axes: SmallAxes, drawn: Sequence[tuple[Series, np.ndarray]]) -> list[str]:
    """One on the other, in the order of the series."""
    bars, base = [], np.zeros(1)
    for series, values in drawn:
        if series.look == "bar":
            top = base + values
            for k in np.flatnonzero(values > 0):
                x, y = axes.across(k + 0.12), axes.up(top[k])
                low = axes.up(np.broadcast_to(base, top.shape)[k])
                size = f'width="{axes.across(k + 0.88) - x:.1f}" height="{low - y:.1f}"'
                bars.append(f'<rect x="{x:.1f}" y="{y:.1f}" {size} fill="{series.colour}" stroke="#ffffff" stroke-width="0.6"/>')
            base = top
    return bars


def _mark(axes: SmallAxes, chart: Chart, system: str) -> str:
    """A dotted line at one place of the axis, with its words."""
    if chart.mark is None:
        return ""
    value, words = chart.mark
    x = axes.across(float(_shown(chart.x, value, system)))
    line = f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{HIGH - BOTTOM}" stroke="{GREY}" stroke-dasharray="2 3"/>'
    return line + _text(x + 4, TOP + 11, said(words, system), GREY, "start")


def _ticks(low: float, high: float, about: int) -> list[float]:
    """Round numbers between two values, steps of 1, 2 or 5 times a power of ten."""
    rough = max(high - low, 1e-9) / about
    power = 10.0 ** floor(log10(rough))
    step = power * next(m for m in (1, 2, 5, 10) if m * power >= rough)
    return [step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def _frame(axes: SmallAxes, x_ticks: Sequence[float]) -> str:
    floor_y = HIGH - BOTTOM
    parts = [f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{floor_y}" y2="{floor_y}" stroke="{INK}"/>']
    for value in _ticks(*axes.y, about=4):
        y = axes.up(value)
        parts.append(f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="{FAINT}" stroke-width="0.7"/>')
        parts.append(_text(LEFT - 5, y + 4, f"{value:,.0f}", INK, "end"))
    return "".join([*parts, *(_text(axes.across(value), floor_y + 15, f"{value:.0f}", INK, "middle") for value in x_ticks)])


def _keys(keys: Sequence[Series], system: str) -> str:
    """A row of names with their line or square; each takes the room its name needs, smaller letters where all need too much."""
    names = [short(said(key.name, system), MOST_KEY) for key in keys]
    marks = [14.0 if key.look == "bar" else 24.0 for key in keys]
    room = WIDE - 4.0 - sum(marks) - 10.0 * len(keys)
    letter = min(6.7, room / max(sum(map(len, names)), 1))
    parts, x = [], 4.0
    for key, name, mark in zip(keys, names, marks, strict=True):
        square = f'<rect x="{x:.0f}" y="4" width="10" height="10" fill="{key.colour}"/>'
        parts.append(square if key.look == "bar" else _line(f"{x:.0f},9 {x + 20:.0f},9", key.colour, key.look, 2.4))
        parts.append(_text(x + mark, 13, name, INK, "start"))
        x += mark + letter * len(name) + 10.0
    return f'<g font-size="{12 * letter / 6.7:.2f}">{"".join(parts)}</g>'


def _line(points: str, colour: str, look: str, width: float) -> str:
    dashed = ' stroke-dasharray="6 4"' if look == "--" else ""
    return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="{width}"{dashed}/>'


def _text(x: float, y: float, words: str, colour: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}">{html.escape(words)}</text>'
