"""The place's year at a glance: monthly means and ranges, hours by temperature, sun.  Readable in grey print."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.inputs.place.find_place import Place
from heatcalc.model.climate import year_bins
from heatcalc.units import label, shown, text
from heatcalc.wording import SHORT_MONTHS

COLD, WARM, SUN, LINE = "#2f6690", "#c8553d", "#e0a100", "#222222"
AT = np.arange(12)
SUNSHINE, DECIMALS = "energy per area", {"ip": 0, "si": 1}
COOL_C, WARM_C = 10.0, (75.0 - 32.0) / 1.8  # 50 F and 75 F: colours of the bins only


def year_figure(place: Place, system: str = "ip") -> Any:
    """A matplotlib Figure; panels the records cannot fill are left out and named."""
    from matplotlib.figure import Figure

    bins, sun = year_bins(place), place.monthly.ghi_kWh_m2_day
    figure = Figure(figsize=(11.5 if bins else 7.5, 6.2 if sun else 4.6), layout="constrained")
    columns, rows = (1.45, 1.0)[: 1 + (bins is not None)], (1.45, 1.0)[: 1 + (sun is not None)]
    grid = figure.add_gridspec(len(rows), len(columns), width_ratios=columns, height_ratios=rows)
    _months(figure.add_subplot(grid[0, 0]), place, system)
    if sun:
        _sun(figure.add_subplot(grid[1, 0]), np.array([shown(v, SUNSHINE, system) for v in sun]), system)
    if bins:
        _bins(figure.add_subplot(grid[:, 1]), bins, place, system)
    figure.suptitle(place.name, fontweight="bold", fontsize=13)
    figure.supxlabel(_footer(place, system), fontsize=8.5)
    return figure


def _footer(place: Place, system: str) -> str:
    zone = f"climate zone {place.zone} ({place.zone_edition}), " if place.zone else ""
    days = (place.hdd18_3_Kd, place.cdd18_3_Kd)
    words = (
        f"{days[0] * 1.8:,.0f} heating and {days[1] * 1.8:,.0f} cooling degree-days (65 °F)"
        if system == "ip"
        else f"{days[0]:,.0f} heating and {days[1]:,.0f} cooling degree-days (18.3 °C)"
    )
    return (
        f"{zone}grade {place.grade}, {text(place.elevation_m, 'length', system, 0)} above sea level, {words}\n"
        "A typical year, not a worst one. For information; local codes and licensed practice decide."
    )


def _months(axes: Any, place: Place, system: str) -> None:
    months = place.monthly
    high, low, mean = (
        np.array([shown(v, "temperature", system) for v in column]) for column in (months.max_C, months.min_C, months.mean_C)
    )
    axes.bar(
        AT,
        high - low,
        bottom=low,
        width=0.62,
        color="#d7d2c8",
        edgecolor="#8d8778",
        linewidth=0.8,
        label="mean daily minimum to maximum",
    )
    axes.plot(AT, mean, color=LINE, marker="o", markersize=4, label="mean")
    if months.dew_point_C:
        axes.plot(
            AT,
            [shown(v, "temperature", system) for v in months.dew_point_C],
            color="#5f7f6f",
            linestyle=":",
            marker="s",
            markersize=3.2,
            label="dew point",
        )
    for value, words, colour, style in (
        (place.heating_99_C, "heating 99 %", COLD, "--"),
        (place.cooling_1_C, "cooling 1 %", WARM, "-."),
    ):
        axes.axhline(
            shown(value, "temperature", system),
            color=colour,
            linestyle=style,
            linewidth=1.6,
            label=f"{words}: {text(value, 'temperature', system, 0)}",
        )
    _calendar(axes, label("temperature", system))
    axes.set_title("months, and the design temperatures", loc="left", fontsize=10)
    axes.legend(fontsize=8, frameon=False, ncols=3, loc="upper center", bbox_to_anchor=(0.5, -0.08))


def _calendar(axes: Any, unit: str) -> None:
    axes.set_xticks(AT, SHORT_MONTHS)
    axes.set_xlim(-0.6, 11.6)
    axes.set_ylabel(unit, rotation=0, ha="right", va="center")
    axes.grid(axis="y", color="#e3e3e3", linewidth=0.7)
    axes.set_axisbelow(True)


def _sun(axes: Any, sun: np.ndarray, system: str) -> None:
    axes.bar(AT, sun, width=0.62, color=SUN, edgecolor="#8a6300", linewidth=0.8)
    for at, value in zip(AT, sun, strict=True):
        axes.annotate(f"{value:,.{DECIMALS[system]}f}", (at, value), ha="center", va="bottom", fontsize=8)
    _calendar(axes, f"{label(SUNSHINE, system)}\na day")
    axes.set_ylim(0, sun.max() * 1.18 + 0.1)
    axes.set_title("sun on level ground", loc="left", fontsize=10)


def _bins(axes: Any, bins: Any, place: Place, system: str) -> None:
    edges, width = (
        np.array([shown(e, "temperature", system) for e in bins.lower_edges_C]),
        shown(bins.width_K, "temperature difference", system),
    )
    kinds = np.searchsorted((COOL_C, WARM_C), np.array(bins.lower_edges_C) + 1e-6)
    for kind, (words, colour, hatch) in enumerate(
        (("below {}", COLD, "///"), ("between", "#d7d2c8", ""), ("{} and above", WARM, "\\\\\\"))
    ):
        at = kinds == kind
        named = words.format(text((COOL_C, COOL_C, WARM_C)[kind], "temperature", system, 0))
        axes.barh(
            edges[at] + width / 2,
            np.array(bins.hours)[at],
            height=width * 0.86,
            color=colour,
            hatch=hatch,
            edgecolor="white",
            linewidth=0.4,
            label=named,
        )
    for value, colour, style in ((place.heating_99_C, COLD, "--"), (place.cooling_1_C, WARM, "-.")):
        axes.axhline(shown(value, "temperature", system), color=colour, linestyle=style, linewidth=1.6)
    axes.set_ylabel(label("temperature", system), rotation=0, ha="right", va="center")
    axes.set_xlabel("hours of a typical year")
    axes.grid(axis="x", color="#e3e3e3", linewidth=0.7)
    axes.set_axisbelow(True)
    axes.legend(fontsize=8, loc="lower right", facecolor="white", edgecolor="none", framealpha=1.0)
    axes.set_title("hours by outdoor temperature", loc="left", fontsize=10)
