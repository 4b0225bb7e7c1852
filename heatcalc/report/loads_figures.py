"""Two figures: the components by three methods, and the peak by month and by the way the house stands."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.answers.methods.side_by_side import ComponentRow
from heatcalc.report.drawing import COLOURS, INK
from heatcalc.units import label, shown
from heatcalc.wording import MONTHS

METHODS = (("network", "network_W"), ("load factor", "load_factor_W"), ("time series", "time_series_W"))


def methods_figure(r: LoadsResult, system: str) -> Any:
    """Grouped bars: heating on the left, cooling on the right."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.4, 5.0), layout="constrained")
    left, right = figure.subplots(1, 2)
    _bars(left, r.comparison.heating, system)
    _bars(right, r.comparison.cooling, system)
    left.set_xlabel(f"heating load [{label('power', system)}]")
    right.set_xlabel(f"sensible cooling load [{label('power', system)}]")
    figure.legend(*left.get_legend_handles_labels(), loc="outside upper center", ncols=3)
    return figure


def _bars(axes: Any, rows: tuple[ComponentRow, ...], system: str) -> None:
    order = sorted(rows, key=lambda row: row.network_W)
    at = np.arange(len(order))
    for k, (name, field) in enumerate(METHODS):
        watts = np.array([getattr(row, field) for row in order])
        axes.barh(at + 0.27 * (1 - k), shown(watts, "power", system), height=0.25, color=COLOURS[k], label=name)
    axes.set_yticks(at, [row.component for row in order])
    axes.axvline(0.0, color=INK, lw=0.8)


def peaks_figure(r: LoadsResult, system: str) -> Any:
    """A map: months down, ways across, each cell with its value; darker is more."""
    from matplotlib.figure import Figure

    ways = list(dict.fromkeys(c.front_faces for c in r.peaks))
    months = list(dict.fromkeys(c.month for c in r.peaks))
    values = shown(np.array([[c.peak_W for c in r.peaks if c.month == m] for m in months]), "power", system)
    figure = Figure(figsize=(8.6, 1.6 + 0.42 * len(months)), layout="constrained")
    axes = figure.subplots()
    image = axes.imshow(values, aspect="auto", cmap="cividis")
    middle = 0.5 * (values.min() + values.max())
    for i, j in np.ndindex(values.shape):
        axes.text(
            j, i, f"{values[i, j]:,.0f}", ha="center", va="center", fontsize=8.5, color="white" if values[i, j] < middle else INK
        )
    axes.set_xticks(range(len(ways)), ways)
    axes.set_yticks(range(len(months)), [MONTHS[m - 1] for m in months])
    axes.set_xlabel("the front (hitch end) faces")
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    figure.colorbar(image, ax=axes, label=f"peak sensible cooling [{label('power', system)}]")
    return figure
