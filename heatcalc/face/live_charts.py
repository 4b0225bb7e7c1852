"""Two small charts for the live page, written straight as SVG: quick enough to follow a hand, readable on a phone.

Drawn 420 units wide, so that on a narrow screen their words stay about as large as the page's own.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np

from heatcalc.judge.choice import Candidate, heat_range
from heatcalc.judge.sizing import SizeResult
from heatcalc.report.drawing import COLOURS, FAINT, INK, short
from heatcalc.units import label, shown, text
from heatcalc.wording import MONTHS

WIDE, HIGH = 420.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 54.0, 10.0, 46.0, 40.0
GREY = "#555555"


@dataclass(frozen=True)
class Axes:
    """Where values fall on the drawing."""

    x: tuple[float, float]
    y: tuple[float, float]

    def across(self, value: float) -> float:
        """Horizontal place of a value."""
        return LEFT + (value - self.x[0]) / (self.x[1] - self.x[0]) * (WIDE - LEFT - RIGHT)

    def up(self, value: float) -> float:
        """Vertical place of a value."""
        return HIGH - BOTTOM - (value - self.y[0]) / (self.y[1] - self.y[0]) * (HIGH - TOP - BOTTOM)

    def path(self, x: Sequence[float] | np.ndarray, y: Sequence[float] | np.ndarray) -> str:
        """Points of a polyline; places that are not numbers are left out."""
        return " ".join(f"{self.across(a):.1f},{self.up(b):.1f}" for a, b in zip(x, y, strict=True) if np.isfinite(b))


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers between two values, steps of 1, 2 or 5 times a power of ten."""
    rough = max(high - low, 1e-9) / about
    power = 10.0 ** floor(log10(rough))
    step = power * next(m for m in (1, 2, 5, 10) if m * power >= rough)
    return [step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def load_chart(r: SizeResult, judged: Candidate | None, system: str) -> str:
    """Load of the house with its band, and what the unit gives at most and at least, over outdoor temperature."""
    line = r.task.line
    at = np.linspace(min(r.designer.conditions.heating_996_C - 6.0, -16.0), 20.0, 73)
    x = shown(at, "temperature", system)
    load, low, high = (shown(np.interp(at, line.outdoor_C, w), "power", system) for w in (line.load_W, line.low_W, line.high_W))
    most, least = _range(r, judged, at, system)
    axes = Axes((float(x[0]), float(x[-1])), (0.0, 1.05 * float(np.nanmax([*high, *most, 1.0]))))
    design = axes.across(shown(r.task.design_C, "temperature", system))
    body = [
        _polygon(axes.path([*x, *x[::-1]], [*low, *high[::-1]])),
        _frame(axes, x_ticks=ticks(*axes.x)),
        _line(axes.path(x, load), INK, 2.6),
        f'<line x1="{design:.1f}" x2="{design:.1f}" y1="{TOP}" y2="{HIGH - BOTTOM}" stroke="{GREY}" stroke-dasharray="2 3"/>',
        _text(design + 4, TOP + 11, "design cold", GREY, "start"),
    ]
    keys = [("load, likely range", INK, "")]
    if judged is not None:
        body += [_line(axes.path(x, most), COLOURS[0], 2.2), _line(axes.path(x, least), COLOURS[0], 1.8, "6 4")]
        keys += [(f"{short(judged.name, 24)} most", COLOURS[0], ""), ("least", COLOURS[0], "6 4")]
    body += [
        _keys(keys),
        _text(LEFT, HIGH - 4, f"outdoor temperature [{label('temperature', system)}]", INK, "start"),
        _text(4, 30, f"heat [{label('power', system)}]", INK, "start"),
    ]
    return _svg("Heat needed and heat available", load_says(r, judged, system), "".join(body))


def load_says(r: SizeResult, judged: Candidate | None, system: str) -> str:
    """What the load chart says, in words."""
    cold = text(r.task.design_C, "temperature", system)
    words = f"At {cold} outdoors the house needs {text(r.heating.load_W, 'power', system)}"
    if judged is None:
        return words + "."
    return f"{words}; {judged.name} gives at most {text(judged.max_heat_at_design_W, 'power', system)}."


def _range(r: SizeResult, judged: Candidate | None, at: np.ndarray, system: str) -> tuple[np.ndarray, np.ndarray]:
    if judged is None:
        return np.full(at.shape, np.nan), np.full(at.shape, np.nan)
    most, least, mark = heat_range(judged.unit, r.task, at)
    most, least = (np.where(mark == "off", np.nan, shown(w, "power", system)) for w in (most, least))
    return most, least


@dataclass(frozen=True)
class Share:
    """One kind of use through the year: twelve values [kWh] and its colour."""

    name: str
    energy_kWh: tuple[float, ...]
    colour: str


def month_chart(shares: Sequence[Share]) -> str:
    """Stacked bars of kWh by month."""
    total = np.sum([s.energy_kWh for s in shares], axis=0)
    axes = Axes((0.0, 12.0), (0.0, 1.05 * max(float(total.max()), 1.0)))
    body = [_frame(axes, x_ticks=[])]
    base = np.zeros(12)
    for share in shares:
        for m, kWh in enumerate(share.energy_kWh):
            body.append(_bar(axes, m, float(base[m]), float(base[m] + kWh), share.colour))
        base = base + np.array(share.energy_kWh)
    body += [_text(axes.across(m + 0.5), HIGH - BOTTOM + 15, name[:3], INK, "middle") for m, name in enumerate(MONTHS)]
    used = [s for s in shares if sum(s.energy_kWh) >= 0.5]
    body += [_keys([(s.name, s.colour, "bar") for s in used]), _text(4, 30, "kWh a month", INK, "start")]
    return _svg("Electricity by month", months_say(shares), "".join(body))


def months_say(shares: Sequence[Share]) -> str:
    """What the month chart says, in words."""
    total = np.sum([s.energy_kWh for s in shares], axis=0)
    most, least = int(total.argmax()), int(total.argmin())
    return (
        f"About {total.sum():,.0f} kWh in a typical year; most in {MONTHS[most]} with {total[most]:,.0f} kWh, "
        f"least in {MONTHS[least]} with {total[least]:,.0f} kWh."
    )


def month_table(shares: Sequence[Share]) -> str:
    """The same months as an HTML table."""
    head = "".join(f'<th scope="col" class="n">{html.escape(s.name)}</th>' for s in shares)
    rows = [(name, [s.energy_kWh[m] for s in shares]) for m, name in enumerate(MONTHS)]
    rows.append(("year", [sum(s.energy_kWh) for s in shares]))
    body = "".join(
        f'<tr><th scope="row">{name}</th>' + "".join(f'<td class="n">{kWh:,.0f}</td>' for kWh in (*line, sum(line))) + "</tr>"
        for name, line in rows
    )
    return (
        f'<table><caption>Electricity by month, kWh, in a typical year</caption><thead><tr><th scope="col">month</th>{head}'
        f'<th scope="col" class="n">all</th></tr></thead><tbody>{body}</tbody></table>'
    )


def _bar(axes: Axes, month: int, low: float, high: float, colour: str) -> str:
    if high - low <= 0:
        return ""
    x, top = axes.across(month + 0.12), axes.up(high)
    return (
        f'<rect x="{x:.1f}" y="{top:.1f}" width="{axes.across(month + 0.88) - x:.1f}" height="{axes.up(low) - top:.1f}" '
        f'fill="{colour}" stroke="#ffffff" stroke-width="0.6"/>'
    )


def _frame(axes: Axes, x_ticks: list[float]) -> str:
    floor_y = HIGH - BOTTOM
    parts = [f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{floor_y}" y2="{floor_y}" stroke="{INK}"/>']
    for value in ticks(*axes.y, about=4):
        y = axes.up(value)
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="{FAINT}" stroke-width="0.7"/>'
            + _text(LEFT - 5, y + 4, f"{value:,.0f}", INK, "end")
        )
    parts += [_text(axes.across(value), floor_y + 15, f"{value:.0f}", INK, "middle") for value in x_ticks]
    return "".join(parts)


def _keys(keys: Sequence[tuple[str, str, str]]) -> str:
    """A row of names with their line or square; each takes the room its name needs, smaller letters where all need too much."""
    marks = [14.0 if style == "bar" else 24.0 for *_, style in keys]
    room = WIDE - 4.0 - sum(marks) - 10.0 * len(keys)
    letter = min(6.7, room / max(sum(len(name) for name, *_ in keys), 1))
    parts, x = [], 4.0
    for (name, colour, style), mark in zip(keys, marks, strict=True):
        square = f'<rect x="{x:.0f}" y="4" width="10" height="10" fill="{colour}"/>'
        parts.append(square if style == "bar" else _line(f"{x:.0f},9 {x + 20:.0f},9", colour, 2.4, style))
        parts.append(_text(x + mark, 13, name, INK, "start"))
        x += mark + letter * len(name) + 10.0
    return f'<g font-size="{12 * letter / 6.7:.2f}">{"".join(parts)}</g>'


def _polygon(points: str) -> str:
    return f'<polygon points="{points}" fill="{FAINT}"/>'


def _line(points: str, colour: str, width: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="{width}"{dashed}/>'


def _text(x: float, y: float, words: str, colour: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}">{html.escape(words)}</text>'


def _svg(title: str, says: str, body: str) -> str:
    return (
        f'<svg role="img" aria-label="{html.escape(f"{title}. {says}")}" viewBox="0 0 {WIDE:.0f} {HIGH:.0f}" '
        f'font-size="12" font-family="system-ui, sans-serif">{body}</svg>'
    )
