"""The buyer's figures: one figure a question, each with a text that says what it says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from heatcalc.answers.sale.buyer import Buyer
from heatcalc.judge.metered_year import USES
from heatcalc.model.year_drivers import MONTH_OF_HOUR
from heatcalc.report.drawing import COLOURS, FAINT, INK, Drawn
from heatcalc.show.run_load_text import HOUSE_WORDS, amount
from heatcalc.show.words import quantity
from heatcalc.supply.supply_check import hour_words
from heatcalc.units import label, shown
from heatcalc.wording import MONTHS, USD

SHORT = [m[:3] for m in MONTHS]
USE_COLOURS = dict(zip(USES, (COLOURS[1], COLOURS[0], COLOURS[7], COLOURS[4], COLOURS[2]), strict=True))
HATCHES = dict(zip(USES, ("", "", "///", "\\\\\\", "xx"), strict=True))
SIZE = (4.7, 2.25)
COMFORT = (0.30, 0.60)  # usual indoor range, common practice, no source
DAMP_H = 1000  # a month and a half of hours: common practice, no source
MAP_STEPS, CORD_POINTS = 32, 500
LEAST_SHOWN = 0.5  # kWh a year, or Wh a day
TENTHS = np.arange(5, 100, 10)


def run_load_figures(b: Buyer, system: str) -> tuple[Drawn, ...]:
    """All figures of the run-load sheet, the main one first."""
    return (
        Drawn("months", "What will it cost, month by month?", _months_say(b), lambda: months_figure(b)),
        Drawn("cord-hours", "Will it run on the cord?", _cord_says(b), lambda: cord_figure(b)),
        Drawn(
            "coldest-day", "What happens on the coldest day?", _day_says(b, False, system), lambda: day_figure(b, False, system)
        ),
        Drawn("hottest-day", "What happens on the hottest day?", _day_says(b, True, system), lambda: day_figure(b, True, system)),
        Drawn("month-hour", "When does it draw power?", _map_says(b), lambda: map_figure(b)),
        Drawn("output-share", "How hard does it work?", _output_says(b), lambda: output_figure(b)),
        Drawn("humidity", "How humid will it be indoors?", _humidity_says(b), lambda: humidity_figure(b)),
        cut_drawn(b, system),
    )


def cut_drawn(b: Buyer, system: str) -> Drawn:
    """The power cut on the coldest night."""
    return Drawn("power-cut", "How fast does it cool in a power cut?", _cut_says(b, system), lambda: cut_figure(b, system))


def _axes(size: tuple[float, float] = SIZE) -> tuple[Any, Any]:
    from matplotlib.figure import Figure

    figure = Figure(figsize=size, layout="constrained")
    return figure, figure.subplots()


def _stacked(axes: Any, at: np.ndarray, by_use: Mapping[str, np.ndarray], width: float, line: float) -> np.ndarray:
    """Bars of every use that takes anything, one on the other; their top."""
    base = np.zeros(len(at))
    for use in USES:
        if by_use[use].sum() >= LEAST_SHOWN:
            axes.bar(
                at,
                by_use[use],
                width,
                bottom=base,
                color=USE_COLOURS[use],
                hatch=HATCHES[use],
                edgecolor="white",
                lw=line,
                label=HOUSE_WORDS[use],
            )
        base = base + by_use[use]
    return base


def months_figure(b: Buyer) -> Any:
    """Stacked kWh by use with the likely range, and the month's cost above."""
    figure, axes = _axes()
    at = np.arange(12)
    base = _stacked(axes, at, b.run.load.month_kWh, 0.72, 0.4)
    low, high = b.band.month_kWh
    axes.errorbar(
        at, base, yerr=[base - low, high - base], fmt="none", ecolor=INK, elinewidth=1.0, capsize=2.5, label="likely range"
    )
    currency = b.run.money.currency
    above = "" if currency == USD else f", above: {currency}"
    for m in range(12):
        axes.annotate(
            amount(b, float(b.run.money.month_cost[m])).removeprefix(f"{currency} "),
            (m, high[m]),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            fontsize=7.5,
        )
    axes.set(xticks=at, ylabel=f"kWh a month{above}", ylim=(0, 1.12 * float(high.max())))
    axes.set_xticklabels(SHORT, fontsize=8.5)
    figure.legend(
        loc="outside upper left", fontsize=8, ncols=5, columnspacing=0.7, handlelength=1.0, handletextpad=0.5, borderaxespad=0.0
    )
    return figure


def _months_say(b: Buyer) -> str:
    total = b.run.load.run_W
    kWh = np.bincount(MONTH_OF_HOUR, total, 12) / 1000
    most, least = int(kWh.argmax()), int(kWh.argmin())
    cost = b.run.money.month_cost
    low, high = b.band.year_kWh
    return (
        f"Most in {MONTHS[most]}, {kWh[most]:,.0f} kWh or {amount(b, float(cost[most]))}; least in {MONTHS[least]}, "
        f"{kWh[least]:,.0f} kWh or {amount(b, float(cost[least]))}; the year {b.run.load.year_kWh:,.0f} kWh, likely "
        f"{low:,.0f} to {high:,.0f}."
    )


def day_figure(b: Buyer, hottest: bool, system: str) -> Any:
    """Watts of a day by use, and below them the temperatures outdoors and indoors."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(4.7, 2.6), layout="constrained")
    above, below = figure.subplots(2, 1, sharex=True, height_ratios=[1.5, 1])
    day, line = b.run.day(hottest), b.run.hours
    hours, clock = slice(24 * day, 24 * day + 24), np.arange(24) + 0.5
    base = _stacked(above, clock, {use: watts[hours] for use, watts in b.run.load.uses_W.items()}, 0.9, 0.3)
    above.set(ylabel="watts", ylim=(0, 1.05 * max(float(base.max()), 1.0)))
    one = "si" if system == "si" else "ip"
    for name, words, style in (("indoor_C", "indoors", "-"), ("outdoor_C", "outdoors", "--")):
        below.plot(
            clock,
            shown(line[name][hours], "temperature", one),
            style,
            color=INK if style == "-" else COLOURS[0],
            lw=1.8,
            label=words,
        )
    below.set(ylabel=label("temperature", one), xlabel="hour of the day, standard time", xlim=(0, 24), xticks=range(0, 25, 4))
    _second_scale(below, system)
    figure.legend(
        *_both_legends(above, below),
        loc="outside upper left",
        fontsize=8,
        ncols=5,
        columnspacing=0.9,
        handlelength=1.3,
        borderaxespad=0.1,
    )
    return figure


def _both_legends(above: Any, below: Any) -> tuple[list, list]:
    first, second = above.get_legend_handles_labels(), below.get_legend_handles_labels()
    return first[0] + second[0], first[1] + second[1]


def _second_scale(axes: Any, system: str) -> None:
    """With both unit systems, Celsius on the right of a Fahrenheit axis."""
    if system == "both":
        other = axes.secondary_yaxis("right", functions=(lambda f: (f - 32) / 1.8, lambda c: c * 1.8 + 32))
        other.set_ylabel(label("temperature", "si"))


def _day_says(b: Buyer, hottest: bool, system: str) -> str:
    day, line = b.run.day(hottest), b.run.hours
    hours = slice(24 * day, 24 * day + 24)
    run, out, inside = b.run.load.run_W[hours], line["outdoor_C"][hours], line["indoor_C"][hours]
    date = hour_words(24 * day).split(",")[0]
    spans = [_span(x, system) for x in (out, inside)]
    return (
        f"{date}: outdoors {spans[0]}, indoors {spans[1]}; it draws {run.min():,.0f} to {run.max():,.0f} watts on "
        "hourly average, "
        f"{run.sum() / 1000:.1f} kWh in the day."
    )


def _span(readings: np.ndarray, system: str) -> str:
    """Lowest to highest temperature; one where both are shown alike."""
    low, high = (quantity(float(x), "temperature", system) for x in (readings.min(), readings.max()))
    return low if low == high else f"{low} to {high}"


def map_figure(b: Buyer) -> Any:
    """Average watts by month and hour of the day."""
    figure, axes = _axes()
    from matplotlib import colormaps

    watts = b.run.month_hour_W
    steps = colormaps["cividis"].resampled(MAP_STEPS)
    cells = axes.pcolormesh(np.arange(25), np.arange(13), watts, cmap=steps, vmin=0, edgecolors="face", linewidth=0.3)
    axes.set(xticks=range(0, 25, 4), yticks=np.arange(12) + 0.5, ylim=(12, 0), xlabel="hour of the day, standard time")
    axes.set_yticklabels(SHORT, fontsize=8)
    bar = figure.colorbar(cells, ax=axes, label="average watts", pad=0.02)
    bar.solids.set(edgecolor="face", rasterized=False)
    return figure


def _map_says(b: Buyer) -> str:
    watts = b.run.month_hour_W
    m, h = np.unravel_index(int(watts.argmax()), watts.shape)
    q, k = np.unravel_index(int(watts.argmin()), watts.shape)
    return (
        f"Most in {MONTHS[m]} from {h}:00 to {h + 1}:00, {watts[m, h]:,.0f} W on average; least in {MONTHS[q]} from "
        f"{k}:00 to {k + 1}:00, "
        f"{watts[q, k]:,.0f} W; over the year {watts.mean():,.0f} W."
    )


def output_figure(b: Buyer) -> Any:
    """Hours of the year by share of the greatest output, heating and cooling."""
    figure, axes = _axes()
    year = b.run.load.year
    axes.bar(TENTHS, year.heating_tenths_h, 8.4, color=USE_COLOURS["heating"], label="heating", edgecolor="white")
    axes.bar(
        TENTHS,
        year.cooling_tenths_h,
        8.4,
        bottom=year.heating_tenths_h,
        color=USE_COLOURS["cooling"],
        hatch="///",
        edgecolor="white",
        lw=0.4,
        label="cooling",
    )
    axes.set(xticks=range(0, 101, 20), xlabel="share of what it could give in that hour [%]", ylabel="hours a year")
    axes.legend(fontsize=8)
    return figure


def _output_says(b: Buyer) -> str:
    h = b.run.load.year.hours
    works = h["heating"] + h["cooling"]
    cycles = h["cycling, heating"] + h["cycling, cooling"]
    full = h["full output, heating"] + h["full output, cooling"]
    return (
        f"It heats {h['heating']:,.0f} and cools {h['cooling']:,.0f} hours a year, and rests {8760 - works:,.0f}. In "
        f"{cycles:,.0f} hours "
        f"so little is needed that it goes on and off; at full output it runs {full:,.0f} hours."
    )


def cord_figure(b: Buyer) -> Any:
    """Amperes as a share of the cord, hours sorted from the fullest."""
    figure, axes = _axes()
    share = np.sort(b.run.amperes)[::-1] / b.run.candidate.supply.hangs_on.rating_A * 100
    at = np.unique(np.geomspace(1, len(share), CORD_POINTS).round().astype(int))
    axes.fill_between(at, share[at - 1], color=COLOURS[5], lw=0)
    axes.plot(at, share[at - 1], color=COLOURS[0], lw=1.6)
    for level, words, style in ((80, "80 %, the limit for long running", "--"), (100, "the rating", "-")):
        axes.axhline(level, color=COLOURS[1], lw=1.1, ls=style)
        axes.annotate(words, (8000, level), xytext=(0, 2), textcoords="offset points", ha="right", fontsize=8)
    axes.set(
        xscale="log",
        xlim=(1, 8760),
        ylim=(0, max(110.0, 1.08 * float(share[0]))),
        xticks=[1, 10, 100, 1000, 8760],
        xlabel="hours a year at or above",
        ylabel="share of the rating [%]",
    )
    axes.set_xticklabels(["1", "10", "100", "1,000", "8,760"])
    axes.minorticks_off()
    return figure


def _cord_says(b: Buyer) -> str:
    c = b.run.cord
    above = f"{c.hours_above_80:,} hours are above 80 %" if c.hours_above_80 else "no hour is above 80 %"
    over = f", {c.hours_above_rating:,} of them above its rating" if c.hours_above_rating else ""
    supply = b.run.candidate.supply
    cord = "cord" if supply.hangs_on == supply.cord else f"plan's {supply.hangs_on.name}"
    return (
        f"Hourly averages, hot water with them, for information: the fullest hour, {c.highest_when}, takes {c.highest_A:.1f} A, "
        f"{c.highest_share:.0%} of the {cord}; {above}{over}; half stay below {float(np.median(b.run.amperes)):.1f} A. "
        "Moments are higher than averages: the promise above counts what runs together."
    )


def humidity_figure(b: Buyer) -> Any:
    """Indoor relative humidity through the year: daily mean, and the month's middle four fifths of hours."""
    figure, axes = _axes()
    relative = b.run.hours["indoor_relative"]
    days = relative.reshape(365, 24).mean(axis=1) * 100
    axes.axhspan(COMFORT[0] * 100, COMFORT[1] * 100, color=FAINT, lw=0, label="usual range, 30 to 60 %")
    axes.plot(np.arange(365) + 0.5, days, color=COLOURS[0], lw=1.1, label="average of the day")
    starts = np.cumsum([0, *np.bincount(MONTH_OF_HOUR[::24], minlength=12)])
    axes.set(xticks=(starts[:-1] + starts[1:]) / 2, xlim=(0, 365), ylim=(0, 100), ylabel="relative humidity indoors [%]")
    axes.set_xticklabels(SHORT, fontsize=8.5)
    axes.tick_params(axis="x", length=0)
    axes.legend(fontsize=8, loc="upper left")
    return figure


def _humidity_says(b: Buyer) -> str:
    relative = b.run.hours["indoor_relative"]
    months = np.array([relative[m == MONTH_OF_HOUR].mean() for m in range(12)])
    wet, dry = int(months.argmax()), int(months.argmin())
    humid, arid = int((relative > COMFORT[1]).sum()), int((relative < COMFORT[0]).sum())
    damp = " That is damp: to stay below 60 % takes a dehumidifier; see the owner's page." if humid > DAMP_H else ""
    return (
        f"Most humid in {MONTHS[wet]}, {months[wet]:.0%} on average; driest in {MONTHS[dry]}, {months[dry]:.0%}. "
        f"{humid:,} hours are above 60 % and {arid:,} below 30 %.{damp}"
    )


def cut_figure(b: Buyer, system: str) -> Any:
    """Indoor temperature after the power goes, empty and with people, and outdoors."""
    figure, axes = _axes()
    one, hours = "si" if system == "si" else "ip", 24
    for down, words, style in ((b.cut.people, "indoors, people home", "-"), (b.cut.empty, "indoors, nobody home", "--")):
        line = np.concatenate([[down.start_C], down.indoor_C[:hours]])
        axes.plot(np.arange(hours + 1), shown(line, "temperature", one), style, color=INK, lw=1.8, label=words)
    axes.plot(
        np.arange(hours) + 0.5,
        shown(b.cut.outdoor_C[:hours], "temperature", one),
        ":",
        color=COLOURS[0],
        lw=1.6,
        label="outdoors",
    )
    axes.axhline(shown(0.0, "temperature", one), color=COLOURS[1], lw=1.0)
    axes.annotate(
        "water freezes",
        (hours, shown(0.0, "temperature", one)),
        xytext=(-2, 2),
        textcoords="offset points",
        ha="right",
        fontsize=8,
    )
    axes.set(
        xlabel="hours after the power goes", ylabel=label("temperature", one), xlim=(0, hours), xticks=range(0, hours + 1, 4)
    )
    _second_scale(axes, system)
    axes.legend(fontsize=8)
    return figure


def _cut_says(b: Buyer, system: str) -> str:
    from heatcalc.show.run_load_text import falls

    return f"Power gone from {hour_words(b.cut.starts)}, nobody home: {falls(b.cut.empty, system)}."
