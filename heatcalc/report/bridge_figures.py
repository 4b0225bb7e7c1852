"""The drawn section and its temperature field with isotherms, in colours that bear grey print and colour blindness."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from heatcalc.inputs.assembly.detail import Detail
from heatcalc.model.detail_bridge import BridgeAnswer
from heatcalc.tables import rows
from heatcalc.units import label, shown, text

# Fill and hatch by what a material does, so that grey print and colour-blind eyes can tell them apart.
METAL, INSULATION, WOOD, OTHER = ("#3b3b3b", ""), ("#f4e3a1", "\\\\\\"), ("#c89a6a", "///"), ("#d9d9d9", "")
LOOKS = {"metal": METAL, "insulation": INSULATION, "wood": WOOD}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ROOM, OUTDOORS, ELSEWHERE = "#fbeee6", "#e3edf7", "#f3f3f3"
STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def bridge_figure(bridge: BridgeAnswer, system: str = "ip") -> Any:
    """A matplotlib Figure: the section by material, and the temperatures with isotherms, each with its key."""
    from matplotlib.figure import Figure

    left, bottom, right, top = bridge.detail.section.box
    aspect = (top - bottom) / (right - left)
    wide = aspect < 0.75
    width, columns, aspect = (9.5, 3, max(aspect, 0.16)) if wide else (12.5, 2, aspect)
    keys = [0.22 * -(-n // columns) + 0.1 for n in (len(set(bridge.detail.materials)), len(bridge.points) + 1)]
    plot = (7.6 if wide else 5.2) * aspect + 0.7
    heights = [plot, keys[0], plot, keys[1]] if wide else [plot, max(keys)]
    figure = Figure(figsize=(width, sum(heights) + 1.3), layout="constrained")
    axes = figure.subplots(len(heights), 1 if wide else 2, height_ratios=heights).ravel()
    drawn, field = (axes[0], axes[2]) if wide else axes[:2]
    drawn_key, field_key = (axes[1], axes[3]) if wide else axes[2:]
    _key(drawn_key, _draw_section(drawn, bridge.detail, system), columns)
    _key(field_key, _draw_field(figure, field, bridge, system), columns if wide else 1)
    figure.suptitle(bridge.detail.title, fontweight="bold", fontsize=12)
    figure.supxlabel(_footer(bridge, system), fontsize=8.5)
    return figure


def _key(axes: Any, entries: dict[str, Any], columns: int) -> None:
    axes.set_axis_off()
    axes.legend(entries.values(), entries.keys(), fontsize=8, loc="upper center", ncols=columns, frameon=False, borderaxespad=0)


def _footer(bridge: BridgeAnswer, system: str) -> str:
    parts = [f"heat flow changed by {bridge.solution.last_change:.2%} in the last halving to {bridge.cells:,} cells"]
    if bridge.psi_W_mK is not None:
        which = f" ({bridge.detail.dimensions} lengths)" if bridge.transmittance.plain_parts else ""
        parts.insert(0, f"psi {text(bridge.psi_W_mK, 'linear thermal transmittance', system)}{which}")
    if bridge.temperature_factor is not None and bridge.mould_humidity_limit is not None:
        parts.insert(
            1,
            f"temperature factor {bridge.temperature_factor:.2f}, "
            f"80 % at the coldest surface from {bridge.mould_humidity_limit:.0%} room humidity",
        )
    return "\n".join(parts)


def _length_unit(system: str) -> tuple[str, float]:
    return ("in", 1 / 0.0254) if system == "ip" else ("mm", 1000.0)


def _frame(axes: Any, detail: Detail, system: str) -> float:
    unit, scale = _length_unit(system)
    left, bottom, right, top = (scale * v for v in detail.section.box)
    margin = 0.02 * max(right - left, top - bottom)
    axes.set(xlim=(left - margin, right + margin), ylim=(bottom - margin, top + margin), aspect="equal", xlabel=unit, ylabel=unit)
    return scale


def _look(detail: Detail, region: int) -> tuple[str, str]:
    shape = detail.section.regions[region]
    if shape.air >= 0:
        return {"inside": ROOM, "outside": OUTDOORS, "other": ELSEWHERE}[detail.air_sides[shape.air]], ""
    if shape.conductivity_W_mK <= 0:
        return "white", ""
    group = {row["name"]: row["group"] for row in rows("materials")}.get(detail.materials[region], "")
    return LOOKS.get(group, INSULATION if shape.conductivity_W_mK < 0.06 else OTHER)


def _draw_section(axes: Any, detail: Detail, system: str) -> dict[str, Any]:
    from matplotlib.patches import Polygon

    scale = _frame(axes, detail, system)
    keys: dict[str, Any] = {}
    for number, region in enumerate(detail.section.regions):
        colour, hatch = _look(detail, number)
        line = "none" if region.conductivity_W_mK <= 0 else "#444444"
        patch = Polygon(scale * np.array(region.corners), facecolor=colour, edgecolor=line, hatch=hatch, linewidth=0.5)
        axes.add_patch(patch)
        if name := detail.materials[number]:
            k = region.conductivity_W_mK
            digits = 0 if k > 10 else 2 if system == "ip" else 3
            keys.setdefault(f"{name}, {text(k, 'conductivity', system, digits)}" if k > 0 else name, patch)
    axes.set_title("Section")
    return keys


def _draw_field(figure: Any, axes: Any, bridge: BridgeAnswer, system: str) -> dict[str, Any]:
    field, scale = bridge.solution.field, _frame(axes, bridge.detail, system)
    degrees = shown(field.temperature_C, "temperature", system)
    mesh = axes.pcolormesh(
        scale * field.grid.x, scale * field.grid.y, np.ma.masked_invalid(degrees), cmap="cividis", rasterized=True
    )
    _isotherms(axes, field, degrees, scale)
    _outlines(axes, bridge.detail, scale)
    figure.colorbar(mesh, ax=axes, label=label("temperature", system), shrink=0.85)
    axes.set_title("Temperature, with isotherms")
    return _marks(axes, bridge, scale, system)


def _isotherms(axes: Any, field: Any, degrees: np.ndarray, scale: float) -> None:
    low, high = float(np.nanmin(degrees)), float(np.nanmax(degrees))
    if high - low < 0.5:
        return
    step = next((s for s in STEPS if (high - low) / s <= 9), STEPS[-1])
    x, y = field.grid.centres()
    lines = axes.contour(
        scale * x,
        scale * y,
        np.ma.masked_invalid(degrees),
        colors="white",
        linewidths=0.8,
        levels=np.arange(math.ceil(low / step), math.floor(high / step) + 1) * step,
    )
    for words in axes.clabel(lines, fmt="%g", fontsize=7.5, inline=True):
        _halo(words)


def _outlines(axes: Any, detail: Detail, scale: float) -> None:
    for region in detail.section.regions:
        if region.conductivity_W_mK > 0:
            x, y = np.array((*region.corners, region.corners[0])).T
            axes.plot(scale * x, scale * y, color="black", linewidth=0.35)


def _marks(axes: Any, bridge: BridgeAnswer, scale: float, system: str) -> dict[str, Any]:
    """Letters at the points and a triangle at the coldest surface; what they stand for, for the key."""
    places, keys = {name: (x, y) for name, x, y in bridge.detail.points}, {}
    for letter, (name, value) in zip(LETTERS, bridge.points, strict=False):
        words = f"{letter}  {name}: {text(value, 'temperature', system, 1)}"
        keys[words] = _mark(axes, places[name], scale, "o", 5.5)
        _halo(
            axes.annotate(
                letter,
                (scale * places[name][0], scale * places[name][1]),
                xytext=(5, 5),
                fontsize=9,
                textcoords="offset points",
                fontweight="bold",
                zorder=6,
            )
        )
    if bridge.coldest_at_m is not None and bridge.surface_temperature_min_C is not None:
        cold = text(bridge.surface_temperature_min_C, "temperature", system, 1)
        keys[f"coldest inside surface: {cold}"] = _mark(axes, bridge.coldest_at_m, scale, "v", 4)
    return keys


def _mark(axes: Any, place: tuple[float, float], scale: float, shape: str, size: float) -> Any:
    colours = {"markerfacecolor": "white" if shape == "o" else "black", "markeredgecolor": "black"}
    return axes.plot(scale * place[0], scale * place[1], shape, markersize=size, clip_on=False, zorder=5, **colours)[0]


def _halo(words: Any) -> None:
    from matplotlib.patheffects import withStroke

    words.set_color("black")
    words.set_path_effects([withStroke(linewidth=2.2, foreground="white")])
