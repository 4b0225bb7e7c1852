"""A section to scale with its temperature line and the indoor dew point."""

from __future__ import annotations

from collections.abc import Sequence

from heatcalc import units
from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer, LayerLine
from heatcalc.report.drawing import blank

FILLS = {
    "wood": "#d9b38c",
    "mineral": "#c9c9c9",
    "insulation": "#f6e7a8",
    "framed": "#f6e7a8",
    "membrane": "#5b6b8c",
    "metal": "#6f7780",
    "steel framed": "#f6e7a8",
    "air": "#eef5fa",
    "plastic": "#b8c4a8",
    "roofing": "#555555",
    "textile": "#c8a2a2",
    "glazing": "#cfe8ef",
    "other": "#e0e0e0",
}
WOOD = "#d9b38c"


def section(answer: AssemblyAnswer, indoor_C: float, outdoor_C: float, dew_point_C: float | None, system: str = "ip"):
    """A matplotlib figure: layers to scale inside to outside, framing share below, temperatures above.

    `answer` must have been explained with the same two air temperatures.
    """
    figure, axes = blank(7.5, 4.6)
    system = "si" if system == "si" else "ip"
    over = axes.twinx()
    per_metre = 1000.0 if system == "si" else 1.0 / 0.0254
    _draw_layers(axes, answer.lines, per_metre)
    _draw_temperatures(over, answer, indoor_C, outdoor_C, dew_point_C, system, per_metre)
    _name_layers(over, answer.lines, per_metre)
    figure.legend(*over.get_legend_handles_labels(), loc="outside upper left", ncols=2, fontsize=8)
    axes.set_xlabel(f"from the inner surface [{'mm' if system == 'si' else 'in'}]")
    axes.set_yticks([])
    u = units.text(answer.u_value_W_m2K, "U-value", system)
    axes.set_title(f"{answer.name}, inside left: U {u}", fontsize=10)
    return figure


def _draw_temperatures(
    axes, answer: AssemblyAnswer, indoor_C: float, outdoor_C: float, dew_point_C: float | None, system: str, per_metre: float
) -> None:
    counted = [x for x in answer.lines if not x.cladding]
    edges = _edges(counted)
    x = [-0.02, *edges, _edges(answer.lines)[-1] + 0.02]
    line = [indoor_C, *(layer.inner_C for layer in counted), answer.outer_C, outdoor_C]
    axes.plot(
        [v * per_metre for v in x],
        [units.shown(t, "temperature", system) for t in line],
        color="#b03a2e",
        lw=2,
        label="temperature through the clear section",
    )
    if dew_point_C is not None:
        axes.axhline(
            units.shown(dew_point_C, "temperature", system), color="#1f618d", ls="--", label="dew point of the indoor air"
        )
    axes.set_ylabel(f"temperature [{units.label('temperature', system)}]")


def _edges(lines: Sequence[LayerLine]) -> list[float]:
    edges = [0.0]
    for line in lines:
        edges.append(edges[-1] + line.thickness_m)
    return edges


def _draw_layers(axes, lines: Sequence[LayerLine], per_metre: float) -> None:
    edges = _edges(lines)
    for line, left, right in zip(lines, edges, edges[1:], strict=False):
        x, width, share = left * per_metre, (right - left) * per_metre, line.framing_share
        axes.add_patch(_box(x, share, width, 1.0 - share, FILLS.get(line.group, FILLS["other"])))
        if share:
            axes.add_patch(_box(x, 0.0, width, share, WOOD))
    axes.set_xlim(-0.025 * per_metre, (edges[-1] + 0.025) * per_metre)
    axes.set_ylim(0.0, 1.0)


def _name_layers(axes, lines: Sequence[LayerLine], per_metre: float) -> None:
    """Names over the temperature lines, legible where one crosses them."""
    edges, plate = _edges(lines), {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8}
    upright = {"rotation": 90, "ha": "center", "va": "center", "fontsize": 7, "bbox": plate}
    for line, left, right in zip(lines, edges, edges[1:], strict=False):
        if line.thickness_m > 0.007:
            axes.text((left + right) / 2 * per_metre, 0.62, line.name, transform=axes.get_xaxis_transform(), **upright)


def _box(x: float, y: float, width: float, height: float, colour: str):
    from matplotlib.patches import Rectangle

    return Rectangle((x, y), width, height, facecolor=colour, edgecolor="#333333", lw=0.5)
