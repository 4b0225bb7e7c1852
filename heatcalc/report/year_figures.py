"""Three figures of the year: electricity by month and use, the coldest and hottest day, hours by load."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.year.year_answer import YearAnswer
from heatcalc.model.year_sums import HOUSEHOLD_USES, USES
from heatcalc.report.drawing import COLOURS, FAINT, INK, blank, keys_beside, measured, ruled, stacked
from heatcalc.supply.supply_check import hour_words
from heatcalc.units import shown
from heatcalc.wording import SHORT_MONTHS

LOOK = {
    "heating": {"color": COLOURS[1], "hatch": ""},
    "backup heat": {"color": COLOURS[3], "hatch": "xx"},
    "cooling": {"color": COLOURS[0], "hatch": "//"},
    "standby": {"color": COLOURS[7], "hatch": ""},
    "crankcase heater": {"color": COLOURS[8], "hatch": "--"},
    "pan heater": {"color": COLOURS[4], "hatch": "\\\\"},
    "hot water": {"color": FAINT, "hatch": "//"},
    "rest of the house": {"color": FAINT, "hatch": ""},
}
CLOCK = np.arange(24)


def _title(a: YearAnswer) -> str:
    return f"{a.house.name}, {a.place.name}, {a.unit.name if a.unit else 'load always carried'}"


def electricity_figure(a: YearAnswer, _: str) -> Any:
    """Monthly kWh stacked by use."""
    figure, axes = blank(8.6, 4.8)
    uses = (*HOUSEHOLD_USES, *(u for u in USES if u not in HOUSEHOLD_USES))
    kWh = {use: a.year.electricity_kWh[use] for use in uses if a.year.electricity_kWh[use].sum() >= 0.5}
    layers = (
        (f"{use}, {months.sum():,.0f} kWh", months, LOOK[use] | {"edgecolor": "#999999" if use in HOUSEHOLD_USES else "white"})
        for use, months in kWh.items()
    )
    top = stacked(axes, np.arange(12), layers, linewidth=0.5, width=0.75)
    for m, total in enumerate(top):
        axes.annotate(f"{total:,.0f}", (m, total), ha="center", va="bottom", fontsize=8.5)
    axes.set_xticks(range(12), SHORT_MONTHS)
    axes.set(ylabel="electricity [kWh a month]", ylim=(0, 1.08 * max(float(top.max()), 1.0)))
    axes.set_title(f"Electricity by month: {top.sum():,.0f} kWh a year\n{_title(a)}")
    keys_beside(axes)
    return figure


def days_figure(a: YearAnswer, system: str) -> Any:
    """The days of the coldest and the hottest outdoor hour: outdoor and indoor air above, electricity below."""
    figure, axes = blank(9.6, 5.6, 2, 2, sharex=True, sharey="row", height_ratios=(1.1, 1.0))
    series = a.year.middle.series
    extremes = {"coldest": int(np.argmin(series["outdoor_C"])), "hottest": int(np.argmax(series["outdoor_C"]))}
    for column, (words, at) in enumerate(extremes.items()):
        day = slice(at // 24 * 24, at // 24 * 24 + 24)
        _air(axes[0, column], series, day, system)
        _watts(axes[1, column], series, day)
        axes[0, column].set_title(f"The {words} day, {hour_words(at).split(',')[0]}")
        axes[1, column].set_xlabel("hour of the day, standard time")
    axes[0, 0].set_ylabel(measured("air", "temperature", system))
    axes[1, 0].set_ylabel("electricity [W]")
    for row in axes:
        keys_beside(row[1], {text: key for ax in row for key, text in zip(*ax.get_legend_handles_labels(), strict=True)})
    figure.suptitle(f"{_title(a)}, front to the {a.year.middle.front_faces}", fontsize=10)
    return figure


def _air(axes: Any, series: dict[str, np.ndarray], day: slice, system: str) -> None:
    for name, words, colour, style in (("outdoor_C", "outdoors", COLOURS[0], "--"), ("indoor_C", "indoors", COLOURS[1], "-")):
        axes.plot(CLOCK + 0.5, shown(series[name][day], "temperature", system), style, color=colour, linewidth=2, label=words)
    axes.grid(axis="y", color=FAINT, linewidth=0.7)
    axes.set(xticks=range(0, 25, 4), xlim=(0, 24))


def _watts(axes: Any, series: dict[str, np.ndarray], day: slice) -> None:
    heats = series["heat_W"][day] >= series["cool_W"][day]
    unit = series["unit_power_W"][day]
    layers = {
        "rest of the house": series["rest_W"][day],
        "heating": np.where(heats, unit, 0.0),
        "cooling": np.where(heats, 0.0, unit),
        "pan heater": series["extra_power_W"][day],
        "backup heat": series["backup_W"][day],
    }
    named = {"pan heater": "standby and heaters of the unit"}
    drawn = ((named.get(use, use), watts, LOOK[use]) for use, watts in layers.items() if watts.max() > 0)
    stacked(axes, CLOCK + 0.5, drawn, width=1.0, edgecolor="#999999", linewidth=0.3)
    ruled(axes)


def load_figure(a: YearAnswer, _: str) -> Any:
    """Hours by load, in tenths of what the unit can give then."""
    figure, axes = blank(8.6, 4.2)
    at, look = np.arange(10), {"width": 0.4, "edgecolor": "white", "linewidth": 0.5}
    for k, (words, hours) in enumerate((("heating", a.year.heating_tenths_h), ("cooling", a.year.cooling_tenths_h))):
        axes.bar(at + 0.21 * (2 * k - 1), hours, label=f"{words}, {hours.sum():,.0f} h", **look, **LOOK[words])
    axes.set_xlim(-0.6, 9.6)
    axes.set_xticks(np.arange(11) - 0.5, [f"{10 * k}" for k in range(11)])
    whole = "load as a share of what the unit can give at that outdoor temperature [%]"
    axes.set(xlabel=whole if a.unit else "share of the highest load [%]", ylabel="hours a year")
    ruled(axes)
    axes.tick_params(colors=INK)
    axes.set_title(f"Hours by load\n{_title(a)}")
    axes.legend(loc="upper right", fontsize=8.5)
    return figure
