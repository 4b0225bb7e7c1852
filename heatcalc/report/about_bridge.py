"""What `heatcalc bridge` says: a drawn detail solved in two dimensions, its section and its field with isotherms in colours that
bear grey print and colour blindness, or the ready details side by side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from operator import itemgetter
from typing import Any

import numpy as np

from heatcalc.inputs.assembly.detail import Detail
from heatcalc.model.detail_bridge import LOW_R_SHARE, BridgeAnswer
from heatcalc.report.drawing import blank, told
from heatcalc.report.report import Caution, Figure, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Column, Table, fields_of, table_of
from heatcalc.tables import rows
from heatcalc.units import label, shown, text
from heatcalc.wording import Q, Said, Words, worded

PSI, FLOW, LENGTH = "linear thermal transmittance", "heat flow per length", "length"


def about_bridge(b: BridgeAnswer) -> Report:
    """One detail: heat, psi with its terms, the cold spot and what it bears, points, cautions."""
    d = b.detail
    points = Table("points", "", (Column("point"), Column("temperature", "temperature", decimals=1)), b.points)
    return Report(
        question="bridge",
        title=f"{d.title}  ({d.name})",
        under=(*([d.source] if d.source else []), *d.notes),
        decision=tuple(Sentence(words) for words in _decision(b)),
        chapters=chapters(
            chapter("Heat flow", *_heat(b)),
            chapter("Inner surface", *_surface(b)),
            chapter("Points", points if b.points else None),
            chapter("Drawing", Figure(d.name, d.title, _says(b), partial(bridge_figure, b))),
            chapter("Materials", *bullets(d.material_sources, Note)),
            chapter("Cautions", *bullets(b.cautions, Caution)),
        ),
        values=_rounded(_values(b)),
    )


def _decision(b: BridgeAnswer) -> Iterator[Said]:
    t = b.transmittance
    if t.psi_external_W_mK is None or t.psi_internal_W_mK is None or t.change_W_mK is None:
        yield worded("psi -: {}", t.reference)
    else:
        inner = worded(" by external lengths; {} by internal", Q(t.psi_internal_W_mK, PSI)) if t.plain_parts else ""
        yield worded("psi {}{} (last halving: {})", Q(t.psi_external_W_mK, PSI), inner, Q(t.change_W_mK, PSI))
    if b.temperature_factor is not None and b.mould_humidity_limit is not None:
        words = "temperature factor {:.2f}: room humidity up to {:.0%} keeps its coldest spot below 80 %"
        yield worded(words, b.temperature_factor, b.mould_humidity_limit)


def _heat(b: BridgeAnswer) -> Iterator[Said]:
    t, d = b.transmittance, b.detail
    changed = b.solution.last_change
    yield worded("heat flow {} ({:,} cells; the last halving changed it by {:.2%})", Q(b.heat_flow_W_m, FLOW), b.cells, changed)
    if t.coupling_W_mK is not None:
        yield worded("coupling L2D {}", Q(t.coupling_W_mK, PSI))
    for p in t.plain_parts:
        lengths = Q(p.internal_m, LENGTH, 2), Q(p.external_m, LENGTH, 2)
        yield worded("less {}: U {} x {} inside, {} outside ({})", p.name, Q(p.u_value_W_m2K, "U-value"), *lengths, p.origin)
    if t.reference_flow_W_mK is not None:
        yield worded("less {}: {}", Q(t.reference_flow_W_mK, PSI), t.reference)
    if b.added_u_value_W_m2K is not None and d.spacing_m is not None:
        added = Q(d.spacing_m, LENGTH, 2), Q(b.added_u_value_W_m2K, "U-value")
        yield worded("every {} it adds {} to the floor, wall or roof", *added)
    if b.low_r_share is not None:
        yield (
            f"{b.low_r_share:.1%} of the inside surface has less than half the plain R (24 CFR 3280.508(c), low-R paths over "
            f"1 % of the area: {'count it' if b.low_r_share > LOW_R_SHARE else 'below the 1 % line'})"
        )


def _surface(b: BridgeAnswer) -> Iterator[Said]:
    if b.surface_temperature_min_C is None or b.coldest_at_m is None:
        return
    x, y = (Q(v, "thickness") for v in b.coldest_at_m)
    air: Said = ""
    if b.inside_C is not None and b.outside_C is not None:
        air = worded(", room {}, outside {}", Q(b.inside_C, "temperature"), Q(b.outside_C, "temperature"))
    yield Words("coldest ", Q(b.surface_temperature_min_C, "temperature", 1), " at x ", x, " y ", y, air)
    if b.temperature_factor is None or b.sheltered_temperature_factor is None or b.mould_humidity_limit is None:
        return
    film = Q(0.25, "thermal resistance", 2)
    words = "temperature factor {:.2f}; {:.2f} behind furniture (film {}, ISO 13788)"
    yield worded(words, b.temperature_factor, b.sheltered_temperature_factor, film)
    yield (
        f"mould limit: room humidity up to {b.mould_humidity_limit:.0%} keeps this spot below 80 %; "
        f"condensation from {b.condensation_humidity:.0%}"
    )


def _says(b: BridgeAnswer) -> Said:
    return worded("the section by material, and its temperatures with isotherms; {}", Words(*list(_decision(b))[:1]))


def about_details(details: Sequence[dict[str, Any]]) -> Report:
    """The ready details with their psi."""
    table = table_of(
        "details",
        details,
        (Column("ready detail"), itemgetter("name")),
        (Column("psi, external lengths", PSI), itemgetter("psi_external_W_mK")),
        (Column("psi, internal lengths", PSI), itemgetter("psi_internal_W_mK")),
        (Column("what it is"), itemgetter("title")),
        head_units=True,
    )
    title = "Ready details, computed from their drawings: psi is what each loses a length beyond its plain wall and floor"
    return Report("bridge", title, chapters=chapters(chapter("Details", table)), values=_rounded(list(details)))


def _values(b: BridgeAnswer) -> dict[str, Any]:
    return {
        **fields_of(b, "name=detail.name title=detail.title heat_flow_W_m psi_W_mK surface_temperature_min_C temperature_factor"),
        **fields_of(b, "cells added_u_value_W_m2K mould_humidity_limit condensation_humidity low_r_share cautions"),
        "points": dict(b.points),
        "dimensions": b.detail.dimensions,
        **fields_of(b.transmittance, "psi_internal_W_mK psi_external_W_mK psi_reference=reference psi_change_W_mK=change_W_mK"),
        "coupling_W_mK": b.transmittance.coupling_W_mK,
        **fields_of(b, "spacing_m=detail.spacing_m temperature_factor_sheltered=sheltered_temperature_factor"),
        "heat_flow_last_change": b.solution.last_change,
        "plain_parts": [vars(p) for p in b.transmittance.plain_parts],
        "materials": list(b.detail.material_sources),
        "source": b.detail.source,
    }


def _rounded(said: Any) -> Any:
    """Numbers at the ninth digit: what the solver's last digits say is chance."""
    if isinstance(said, float):
        return float(f"{said:.9g}")
    if isinstance(said, dict):
        return {key: _rounded(value) for key, value in said.items()}
    return [_rounded(value) for value in said] if isinstance(said, (list, tuple)) else said


# Fill and hatch by what a material does, so that grey print and colour-blind eyes can tell them apart.
METAL, INSULATION, WOOD, OTHER = ("#3b3b3b", ""), ("#f4e3a1", "\\\\\\"), ("#c89a6a", "///"), ("#d9d9d9", "")
LOOKS = {"metal": METAL, "insulation": INSULATION, "wood": WOOD}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ROOM, OUTDOORS, ELSEWHERE = "#fbeee6", "#e3edf7", "#f3f3f3"
STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


def bridge_figure(bridge: BridgeAnswer, system: str = "ip") -> Any:
    """A matplotlib Figure: the section by material, and the temperatures with isotherms, each with its key."""
    left, bottom, right, top = bridge.detail.section.box
    aspect = (top - bottom) / (right - left)
    wide = aspect < 0.75
    width, columns, aspect = (9.5, 3, max(aspect, 0.16)) if wide else (12.5, 2, aspect)
    keys = [0.22 * -(-n // columns) + 0.1 for n in (len(set(bridge.detail.materials)), len(bridge.points) + 1)]
    plot = (7.6 if wide else 5.2) * aspect + 0.7
    heights = [plot, keys[0], plot, keys[1]] if wide else [plot, max(keys)]
    figure, grid = blank(width, sum(heights) + 1.3, len(heights), 1 if wide else 2, height_ratios=heights)
    axes = grid.ravel()
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
    across, up = scale * field.grid.x, scale * field.grid.y
    mesh = axes.pcolormesh(across, up, np.ma.masked_invalid(degrees), cmap="cividis", rasterized=True)
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
    levels = np.arange(math.ceil(low / step), math.floor(high / step) + 1) * step
    look = {"colors": "white", "linewidths": 0.8, "levels": levels}
    lines = axes.contour(scale * x, scale * y, np.ma.masked_invalid(degrees), **look)
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
        x, y = places[name]
        _halo(told(axes, letter, (scale * x, scale * y), (5, 5), fontsize=9, fontweight="bold", zorder=6))
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
