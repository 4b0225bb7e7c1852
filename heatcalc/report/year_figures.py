"""Three figures of the year: electricity by month and use, the coldest and hottest day, hours by load."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.year.year_answer import YearAnswer
from heatcalc.model.year_sums import HOUSEHOLD_USES, USES
from heatcalc.report.drawing import COLOURS, FAINT, INK
from heatcalc.supply.supply_check import hour_words
from heatcalc.units import label, shown
from heatcalc.wording import SHORT_MONTHS

LOOK = {
    "heating": (COLOURS[1], ""),
    "backup heat": (COLOURS[3], "xx"),
    "cooling": (COLOURS[0], "//"),
    "standby": (COLOURS[7], ""),
    "crankcase heater": (COLOURS[8], "--"),
    "pan heater": (COLOURS[4], "\\\\"),
    "hot water": (FAINT, "//"),
    "rest of the house": (FAINT, ""),
}
CLOCK = np.arange(24)


def _title(a: YearAnswer) -> str:
    return f"{a.house.name}, {a.place.name}, {a.unit.name if a.unit else 'load always carried'}"


def electricity_figure(a: YearAnswer) -> Any:
    """Monthly kWh stacked by use."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.6, 4.8), layout="constrained")
    axes, r, base = figure.subplots(), a.year, np.zeros(12)
    for use in (*HOUSEHOLD_USES, *(u for u in USES if u not in HOUSEHOLD_USES)):
        months = r.electricity_kWh[use]
        if months.sum() < 0.5:
            continue
        colour, hatch = LOOK[use]
        edge = "#999999" if use in HOUSEHOLD_USES else "white"
        axes.bar(
            range(12),
            months,
            bottom=base,
            color=colour,
            hatch=hatch,
            edgecolor=edge,
            linewidth=0.5,
            width=0.75,
            label=f"{use}, {months.sum():,.0f} kWh",
        )
        base = base + months
    for m, total in enumerate(base):
        axes.annotate(f"{total:,.0f}", (m, total), ha="center", va="bottom", fontsize=8.5)
    axes.set_xticks(range(12), SHORT_MONTHS)
    axes.set_ylabel("electricity [kWh a month]")
    axes.set_ylim(0, 1.08 * max(float(base.max()), 1.0))
    axes.set_title(f"Electricity by month: {base.sum():,.0f} kWh a year\n{_title(a)}")
    axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8.5)
    return figure


def days_figure(a: YearAnswer, system: str) -> Any:
    """The days of the coldest and the hottest outdoor hour: outdoor and indoor air above, electricity below."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.6, 5.6), layout="constrained")
    axes = figure.subplots(2, 2, sharex=True, sharey="row", height_ratios=(1.1, 1.0))
    series = a.year.middle.series
    extremes = {"coldest": int(np.argmin(series["outdoor_C"])), "hottest": int(np.argmax(series["outdoor_C"]))}
    for column, (words, at) in enumerate(extremes.items()):
        day = slice(at // 24 * 24, at // 24 * 24 + 24)
        _air(axes[0, column], series, day, system)
        _watts(axes[1, column], series, day)
        axes[0, column].set_title(f"The {words} day, {hour_words(at).split(',')[0]}")
        axes[1, column].set_xlabel("hour of the day, standard time")
    axes[0, 0].set_ylabel(f"air [{label('temperature', system)}]")
    axes[1, 0].set_ylabel("electricity [W]")
    for row in axes:
        handles = {text: handle for ax in row for handle, text in zip(*ax.get_legend_handles_labels(), strict=True)}
        row[1].legend(handles.values(), handles.keys(), loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8.5)
    figure.suptitle(f"{_title(a)}, front to the {a.year.middle.front_faces}", fontsize=10)
    return figure


def _air(axes: Any, series: dict[str, np.ndarray], day: slice, system: str) -> None:
    for name, words, colour, style in (("outdoor_C", "outdoors", COLOURS[0], "--"), ("indoor_C", "indoors", COLOURS[1], "-")):
        axes.plot(
            CLOCK + 0.5,
            [shown(x, "temperature", system) for x in series[name][day]],
            color=colour,
            linestyle=style,
            linewidth=2,
            label=words,
        )
    axes.grid(axis="y", color=FAINT, linewidth=0.7)
    axes.set_xticks(range(0, 25, 4))
    axes.set_xlim(0, 24)


def _watts(axes: Any, series: dict[str, np.ndarray], day: slice) -> None:
    heats = series["heat_W"][day] >= series["cool_W"][day]
    unit = series["unit_power_W"][day]
    layers = (
        ("rest of the house", series["rest_W"][day]),
        ("heating", np.where(heats, unit, 0.0)),
        ("cooling", np.where(heats, 0.0, unit)),
        ("pan heater", series["extra_power_W"][day]),
        ("backup heat", series["backup_W"][day]),
    )
    base = np.zeros(24)
    for use, watts in layers:
        if watts.max() <= 0:
            continue
        colour, hatch = LOOK[use]
        words = "standby and heaters of the unit" if use == "pan heater" else use
        axes.bar(
            CLOCK + 0.5, watts, bottom=base, width=1.0, color=colour, hatch=hatch, edgecolor="#999999", linewidth=0.3, label=words
        )
        base = base + watts
    axes.grid(axis="y", color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)


def load_figure(a: YearAnswer) -> Any:
    """Hours by load, in tenths of what the unit can give then."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8.6, 4.2), layout="constrained")
    axes, at = figure.subplots(), np.arange(10)
    for k, (words, hours) in enumerate((("heating", a.year.heating_tenths_h), ("cooling", a.year.cooling_tenths_h))):
        colour, hatch = LOOK[words]
        axes.bar(
            at + 0.21 * (2 * k - 1),
            hours,
            width=0.4,
            color=colour,
            hatch=hatch,
            edgecolor="white",
            linewidth=0.5,
            label=f"{words}, {hours.sum():,.0f} h",
        )
    axes.set_xlim(-0.6, 9.6)
    axes.set_xticks(np.arange(11) - 0.5, [f"{10 * k}" for k in range(11)])
    whole = "load as a share of what the unit can give at that outdoor temperature [%]"
    axes.set_xlabel(whole if a.unit else "share of the highest load [%]")
    axes.set_ylabel("hours a year")
    axes.grid(axis="y", color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.tick_params(colors=INK)
    axes.set_title(f"Hours by load\n{_title(a)}")
    axes.legend(loc="upper right", fontsize=8.5)
    return figure
