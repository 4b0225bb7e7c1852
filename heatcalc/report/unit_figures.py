"""Capacity and COP over outdoor temperature: dots printed, lines between, dashes and bands estimated."""

from __future__ import annotations

import numpy as np

from heatcalc import units
from heatcalc.answers.unit.unit_answer import UnitAnswer, curve_table
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, PrintedRoom
from heatcalc.wording import Q, Said, said, worded

GENERIC = "generic, replace with your unit's table"
T = "temperature"
COLORS = {"min": "#2a7f8e", "rated": "#5c5c5c", "max": "#b4532a"}
LEAST_POINTS = 400
WARMEST_HEATING_C = 19.0
DESIGN = "#7a5ba6"
DASHES = ("-", "--", "-.", ":")  # one for each place, then again


def room_words(mode: str, room: Curves | PrintedRoom) -> Said:
    """The room a table is for: its dry bulb, in cooling its wet bulb too."""
    dry, wet = Q(room.indoor_C, T, 0), Q(room.indoor_wet_bulb_C, T, 0)
    return worded("a room of {} / {} wet bulb", dry, wet) if mode == "cooling" else worded("a room of {}", dry)


def unit_figure(answer: UnitAnswer, system: str = "ip"):
    """Four axes: capacity above COP, heating left, cooling right."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(10.5, 6.4), layout="constrained")
    axes = figure.subplots(2, 2, sharex="col", gridspec_kw={"height_ratios": (3, 2)})
    u = answer.unit
    for column, curves in enumerate((u.heating, u.cooling)):
        _draw(axes[:, column], curves, system)
        axes[0, column].set_title(f"{curves.mode}, {said(room_words(curves.mode, curves), system)}", fontsize=11)
        axes[1, column].set_xlabel(f"outdoor temperature [{units.label('temperature', system)}]")
    axes[0, 0].set_ylabel(f"capacity [{'kBtu/h' if system == 'ip' else 'kW'}]")
    axes[1, 0].set_ylabel("COP")
    _place_lines(axes, answer, system)
    _legend(figure, answer)
    label = f"   [{GENERIC}]" if u.generic else ""
    figure.suptitle(f"{u.name}, {u.size_kBtuh:g} kBtu/h, {u.unit_class}{label}", fontsize=12)
    return figure


def _draw(axes, curves: Curves, system: str) -> None:
    nodes = curves.outdoor_C
    low, high = max(nodes[0] - REACH_K, curves.lowest_C), nodes[-1] + REACH_K
    if curves.mode == "heating":
        high = max(nodes[-1], min(high, WARMEST_HEATING_C))
    grid = np.unique(np.concatenate([np.linspace(low, high, LEAST_POINTS), nodes]))
    table = curve_table(curves, grid)
    x = units.shown(grid, "temperature", system)
    for line in table.lines:
        color = COLORS[line.level]
        dashed = (line.capacity.mark == "estimated") | (line.capacity.mark == "off")
        _line(axes[0], x, _thousands(line.capacity.value_W, system), dashed, color)
        _line(axes[1], x, line.cop, dashed | (line.power.mark == "estimated"), color)
        lower, upper = (_thousands(v, system) for v in (line.capacity.low_W, line.capacity.high_W))
        axes[0].fill_between(x, lower, upper, where=dashed, color=color, alpha=0.18, lw=0)
        _dots(axes, curves, line.level, system, color)
    if curves.mode == "heating":
        for ax in axes:
            ax.axvline(units.shown(curves.lowest_C, "temperature", system), color="#888888", lw=0.9, ls=":")
    for ax in axes:
        ax.grid(color="#e6e6e6", lw=0.6)
        ax.set_ylim(bottom=0)
        ax.spines[["top", "right"]].set_visible(False)


def _thousands(watts, system: str):
    return np.asarray(units.shown(watts, "power", system)) / 1000.0


def _line(ax, x, y, dashed, color: str) -> None:
    """Solid where known, dashed where estimated; both share their meeting point."""
    edge = dashed & ~(np.roll(dashed, 1) & np.roll(dashed, -1))
    ax.plot(x, np.where(~dashed | edge, y, np.nan), color=color, lw=1.7)
    ax.plot(x, np.where(dashed, y, np.nan), color=color, lw=1.4, ls=(0, (4, 2)))


def _dots(axes, curves: Curves, level: str, system: str, color: str) -> None:
    given = curves.given[level]
    x = units.shown(curves.outdoor_C, "temperature", system)
    axes[0].plot(x[given], _thousands(curves.capacity_W[level][given], system), "o", color=color, ms=5)
    both = given & curves.power_given[level]
    cop = curves.capacity_W[level] / curves.power_W[level]
    axes[1].plot(x[both], cop[both], "o", color=color, ms=5)


def _place_lines(axes, answer: UnitAnswer, system: str) -> None:
    for k, place in enumerate(answer.places):
        for column, celsius in enumerate((place.heating_design_C, place.cooling_design_C)):
            for ax in axes[:, column]:
                ax.axvline(units.shown(celsius, "temperature", system), color=DESIGN, lw=1.2, ls=DASHES[k % len(DASHES)])


def _legend(figure, answer: UnitAnswer) -> None:
    from matplotlib.lines import Line2D

    unit = answer.unit
    levels = [x for x in ("max", "rated", "min") if x in unit.heating.levels or x in unit.cooling.levels]
    handles = [Line2D([], [], color=COLORS[x], label={"min": "minimum", "max": "maximum"}.get(x, x)) for x in levels]
    handles += [
        Line2D([], [], color="k", marker="o", ls="", label="printed"),
        Line2D([], [], color="k", label="between"),
        Line2D([], [], color="k", ls=(0, (4, 2)), label="estimated, with band"),
        Line2D([], [], color="#888888", ls=":", label="lowest operating temperature"),
    ]
    handles += [
        Line2D([], [], color=DESIGN, ls=DASHES[k % len(DASHES)], label=f"design, {p.place}") for k, p in enumerate(answer.places)
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=4, fontsize=8.5, frameon=False)
