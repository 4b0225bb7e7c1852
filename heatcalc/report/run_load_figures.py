"""The buyer's figures: one figure a question, each with a text that says what it says."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.sale.buyer import Buyer
from heatcalc.judge.metered_year import USES
from heatcalc.model.year_drivers import MONTH_OF_HOUR
from heatcalc.report.drawing import COLOURS, FAINT, INK, blank, stacked, told
from heatcalc.report.promise_words import amount, falls
from heatcalc.report.report import Figure
from heatcalc.supply.supply_check import hour_words
from heatcalc.units import label, shown
from heatcalc.wording import MONTHS, SHORT_MONTHS, USD, FromTo, Said, worded

USE_COLOURS = dict(zip(USES, (COLOURS[1], COLOURS[0], COLOURS[7], COLOURS[4], COLOURS[2]), strict=True))
HATCHES = dict(zip(USES, ("", "", "///", "\\\\\\", "xx"), strict=True))
HOUSE_WORDS = {use: use for use in USES} | {"backup": "backup heat", "fan and standby": "fan, standby"}
SIZE = (4.7, 2.25)
COMFORT = (0.30, 0.60)  # usual indoor range, common practice, no source
DAMP_H = 1000  # a month and a half of hours: common practice, no source
MAP_STEPS, CORD_POINTS = 32, 500
LEAST_SHOWN = 0.5  # kWh a year, or Wh a day
TENTHS = np.arange(5, 100, 10)
BESIDE = ("output-share", "power-cut")  # figures that have no room on the two pages


def run_load_figures(b: Buyer) -> tuple[Figure, ...]:
    """All figures of the run-load sheet, the main one first."""
    coldest, hottest = (partial(day_figure, b, hottest) for hottest in (False, True))
    return (
        Figure("months", "What will it cost, month by month?", _months_say(b), partial(months_figure, b)),
        Figure("cord-hours", "Will it run on the cord?", _cord_says(b), partial(cord_figure, b)),
        Figure("coldest-day", "What happens on the coldest day?", _day_says(b, False), coldest),
        Figure("hottest-day", "What happens on the hottest day?", _day_says(b, True), hottest),
        Figure("month-hour", "When does it draw power?", _map_says(b), partial(map_figure, b)),
        Figure("output-share", "How hard does it work?", _output_says(b), partial(output_figure, b)),
        Figure("humidity", "How humid will it be indoors?", _humidity_says(b), partial(humidity_figure, b)),
        cut_drawn(b),
    )


def cut_drawn(b: Buyer) -> Figure:
    """The power cut on the coldest night."""
    words = worded("Power gone from {}, nobody home: {}.", hour_words(b.cut.starts), falls(b.cut.empty))
    return Figure("power-cut", "How fast does it cool in a power cut?", words, partial(cut_figure, b))


def month_uses(b: Buyer) -> tuple[str, ...]:
    """The uses that take anything in the year."""
    return tuple(use for use in USES if b.run.load.month_kWh[use].sum() >= LEAST_SHOWN)


def _stacked(axes: Any, at: np.ndarray, by_use: Mapping[str, np.ndarray], width: float, line: float) -> np.ndarray:
    """Bars of every use that takes anything, one on the other; their top."""
    used = [use for use in USES if by_use[use].sum() >= LEAST_SHOWN]
    layers = ((HOUSE_WORDS[use], by_use[use], {"color": USE_COLOURS[use], "hatch": HATCHES[use]}) for use in used)
    top = stacked(axes, at, layers, width=width, edgecolor="white", lw=line)
    return np.asarray(top + sum(by_use[use] for use in USES if use not in used))


def months_figure(b: Buyer, _: str) -> Any:
    """Stacked kWh by use with the likely range, and the month's cost above."""
    figure, axes = blank(*SIZE)
    at, (low, high) = np.arange(12), b.band.month_kWh
    base = _stacked(axes, at, b.run.load.month_kWh, 0.72, 0.4)
    look = {"fmt": "none", "ecolor": INK, "elinewidth": 1.0, "capsize": 2.5}
    axes.errorbar(at, base, yerr=np.maximum([base - low, high - base], 0.0), label="likely range", **look)
    currency = b.run.money.currency
    for m, cost in enumerate(b.run.money.month_cost):
        words = amount(b, float(cost)).removeprefix(f"{currency} ")
        told(axes, words, (m, high[m]), ha="center", fontsize=7.5)
    above = "" if currency == USD else f", above: {currency}"
    axes.set(xticks=at, ylabel=f"kWh a month{above}", ylim=(0, 1.12 * float(high.max())))
    axes.set_xticklabels(SHORT_MONTHS, fontsize=8.5)
    _keys(figure, axes)
    return figure


def _keys(figure: Any, *drawn: Any) -> None:
    """One row of keys above."""
    keys = [axes.get_legend_handles_labels() for axes in drawn]
    handles, words = [h for some, _ in keys for h in some], [w for _, some in keys for w in some]
    style = {"columnspacing": 0.7, "handlelength": 1.1, "handletextpad": 0.5, "borderaxespad": 0.0}
    figure.legend(handles, words, loc="outside upper left", fontsize=8, ncols=5, **style)


def _months_say(b: Buyer) -> str:
    kWh, cost = np.bincount(MONTH_OF_HOUR, b.run.load.run_W, 12) / 1000, b.run.money.month_cost
    most, least = (f"{MONTHS[m]}, {kWh[m]:,.0f} kWh or {amount(b, float(cost[m]))}" for m in (kWh.argmax(), kWh.argmin()))
    low, high = b.band.year_kWh
    return f"Most in {most}; least in {least}; the year {b.run.load.year_kWh:,.0f} kWh, likely {low:,.0f} to {high:,.0f}."


def day_figure(b: Buyer, hottest: bool, system: str) -> Any:
    """Watts of a day by use, and below them the temperatures outdoors and indoors."""
    figure, (above, below) = blank(4.7, 2.6, 2, sharex=True, height_ratios=[1.5, 1])
    hours, clock, one = _day(b, hottest), np.arange(24) + 0.5, "si" if system == "si" else "ip"
    base = _stacked(above, clock, {use: watts[hours] for use, watts in b.run.load.uses_W.items()}, 0.9, 0.3)
    above.set(ylabel="watts", ylim=(0, 1.05 * max(float(base.max()), 1.0)))
    for name, words, style, colour in (("indoor_C", "indoors", "-", INK), ("outdoor_C", "outdoors", "--", COLOURS[0])):
        below.plot(clock, shown(b.run.hours[name][hours], "temperature", one), style, color=colour, lw=1.8, label=words)
    below.set(ylabel=label("temperature", one), xlabel="hour of the day, standard time", xlim=(0, 24), xticks=range(0, 25, 4))
    _second_scale(below, system)
    _keys(figure, above, below)
    return figure


def _day(b: Buyer, hottest: bool) -> slice:
    """The hours of the day of the hottest or the coldest hour."""
    day = b.run.day(hottest)
    return slice(24 * day, 24 * day + 24)


def _second_scale(axes: Any, system: str) -> None:
    """With both unit systems, Celsius on the right of a Fahrenheit axis."""
    if system == "both":
        other = axes.secondary_yaxis("right", functions=(lambda f: (f - 32) / 1.8, lambda c: c * 1.8 + 32))
        other.set_ylabel(label("temperature", "si"))


def _day_says(b: Buyer, hottest: bool) -> Said:
    hours = _day(b, hottest)
    run, date = b.run.load.run_W[hours], hour_words(hours.start).split(",")[0]
    spans = (_span(b.run.hours[name][hours]) for name in ("outdoor_C", "indoor_C"))
    words = "{}: outdoors {}, indoors {}; it draws {:,.0f} to {:,.0f} watts on hourly average, {:.1f} kWh in the day."
    return worded(words, date, *spans, run.min(), run.max(), run.sum() / 1000)


def _span(readings: np.ndarray) -> FromTo:
    """Lowest to highest temperature."""
    return FromTo(float(readings.min()), "temperature", to=float(readings.max()))


def map_figure(b: Buyer, _: str) -> Any:
    """Average watts by month and hour of the day."""
    from matplotlib import colormaps

    figure, axes = blank(*SIZE)
    cells = _tiles(axes, b.run.month_hour_W, colormaps["cividis"].resampled(MAP_STEPS))
    axes.set(
        xticks=range(0, 25, 4), yticks=np.arange(12) + 0.5, xlim=(0, 24), ylim=(12, 0), xlabel="hour of the day, standard time"
    )
    axes.set_yticklabels(SHORT_MONTHS, fontsize=8)
    bar = figure.colorbar(cells, ax=axes, label="average watts", pad=0.02)
    bar.solids.set(edgecolor="face", rasterized=False)
    return figure


def _tiles(axes: Any, watts: np.ndarray, colours: Any) -> Any:
    """Unit squares by row and column, those of one step of the colours one shape."""
    from matplotlib.collections import PathCollection
    from matplotlib.colors import Normalize
    from matplotlib.path import Path

    most = float(watts.max())
    step = np.minimum(watts / max(most, 1e-9) * colours.N, colours.N - 1).astype(int)
    tile = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)])
    drawn = [Path.MOVETO, *3 * [Path.LINETO], Path.CLOSEPOLY]
    steps = np.unique(step)
    places = [np.argwhere(step == one)[:, ::-1] for one in steps]
    shapes = [Path((at[:, None] + tile).reshape(-1, 2), drawn * len(at)) for at in places]
    look = {"cmap": colours, "norm": Normalize(0.0, most), "edgecolors": "face", "linewidth": 0.3}
    return axes.add_collection(PathCollection(shapes, array=(steps + 0.5) * most / colours.N, **look))


def _map_says(b: Buyer) -> str:
    watts = b.run.month_hour_W
    (m, h), (q, k) = (np.unravel_index(int(at), watts.shape) for at in (watts.argmax(), watts.argmin()))
    return (
        f"Most in {MONTHS[m]} from {h}:00 to {h + 1}:00, {watts[m, h]:,.0f} W on average; least in {MONTHS[q]} from "
        f"{k}:00 to {k + 1}:00, {watts[q, k]:,.0f} W; over the year {watts.mean():,.0f} W."
    )


def output_figure(b: Buyer, _: str) -> Any:
    """Hours of the year by share of the greatest output, heating and cooling."""
    figure, axes = blank(*SIZE)
    heats, cools = b.run.load.year.heating_tenths_h, b.run.load.year.cooling_tenths_h
    cooling: dict[str, Any] = {"color": USE_COLOURS["cooling"], "hatch": "///", "lw": 0.4}
    layers = ("heating", heats, {"color": USE_COLOURS["heating"]}), ("cooling", cools, cooling)
    stacked(axes, TENTHS, layers, width=8.4, edgecolor="white")
    axes.set(xticks=range(0, 101, 20), xlabel="share of what it could give in that hour [%]", ylabel="hours a year")
    axes.legend(fontsize=8)
    return figure


def _output_says(b: Buyer) -> str:
    h = b.run.load.year.hours
    cycles, full = (h[f"{how}, heating"] + h[f"{how}, cooling"] for how in ("cycling", "full output"))
    return (
        f"It heats {h['heating']:,.0f} and cools {h['cooling']:,.0f} hours a year, and rests "
        f"{8760 - h['heating'] - h['cooling']:,.0f}. In {cycles:,.0f} hours so little is needed that it goes on and off; at full "
        f"output it runs {full:,.0f} hours."
    )


def cord_figure(b: Buyer, _: str) -> Any:
    """Amperes as a share of the cord, hours sorted from the fullest."""
    figure, axes = blank(*SIZE)
    share = np.sort(b.run.amperes)[::-1] / b.run.candidate.supply.hangs_on.rating_A * 100
    at = np.unique(np.geomspace(1, len(share), CORD_POINTS).round().astype(int))
    axes.fill_between(at, share[at - 1], color=COLOURS[5], lw=0)
    axes.plot(at, share[at - 1], color=COLOURS[0], lw=1.6)
    for level, words, style in ((80, "80 %, the limit for long running", "--"), (100, "the rating", "-")):
        axes.axhline(level, color=COLOURS[1], lw=1.1, ls=style)
        told(axes, words, (8000, level), ha="right", fontsize=8)
    axes.set(xscale="log", xlim=(1, 8760), ylim=(0, max(110.0, 1.08 * float(share[0]))), xticks=[1, 10, 100, 1000, 8760])
    axes.set(xlabel="hours a year at or above", ylabel="share of the rating [%]")
    axes.set_xticklabels(["1", "10", "100", "1,000", "8,760"])
    axes.minorticks_off()
    return figure


def _cord_says(b: Buyer) -> str:
    c, supply = b.run.cord, b.run.candidate.supply
    above = f"{c.hours_above_80:,} hours are above 80 %" if c.hours_above_80 else "no hour is above 80 %"
    over = f", {c.hours_above_rating:,} of them above its rating" if c.hours_above_rating else ""
    cord = "cord" if supply.hangs_on == supply.cord else f"plan's {supply.hangs_on.name}"
    return (
        f"Hourly averages, hot water with them, for information: the fullest hour, {c.highest_when}, takes {c.highest_A:.1f} A, "
        f"{c.highest_share:.0%} of the {cord}; {above}{over}; half stay below {float(np.median(b.run.amperes)):.1f} A. "
        "Moments are higher than averages: the promise above counts what runs together."
    )


def humidity_figure(b: Buyer, _: str) -> Any:
    """Indoor relative humidity through the year: daily mean, and the usual range."""
    figure, axes = blank(*SIZE)
    days = b.run.hours["indoor_relative"].reshape(365, 24).mean(axis=1) * 100
    axes.axhspan(COMFORT[0] * 100, COMFORT[1] * 100, color=FAINT, lw=0, label="usual range, 30 to 60 %")
    axes.plot(np.arange(365) + 0.5, days, color=COLOURS[0], lw=1.1, label="average of the day")
    starts = np.cumsum([0, *np.bincount(MONTH_OF_HOUR[::24], minlength=12)])
    axes.set(xticks=(starts[:-1] + starts[1:]) / 2, xlim=(0, 365), ylim=(0, 100), ylabel="humidity indoors [%]")
    axes.set_xticklabels(SHORT_MONTHS, fontsize=8.5)
    axes.tick_params(axis="x", length=0)
    axes.legend(fontsize=8, loc="upper left")
    return figure


def _humidity_says(b: Buyer) -> str:
    relative = b.run.hours["indoor_relative"]
    months = np.array([relative[m == MONTH_OF_HOUR].mean() for m in range(12)])
    wet, dry = int(months.argmax()), int(months.argmin())
    every = np.array([way.series["indoor_relative"] for way in b.run.load.year.ways])
    humid, arid = (outside.sum(axis=1).mean() for outside in (every > COMFORT[1], every < COMFORT[0]))
    damp = " That is damp: to stay below 60 % takes a dehumidifier; see the owner's page." if humid > DAMP_H else ""
    if b.run.load.damp.asks:
        damp = " So by the heat pump alone; the dehumidifier of the plan takes out what is too much."
    return (
        f"Most humid in {MONTHS[wet]}, {months[wet]:.0%} on average; driest in {MONTHS[dry]}, {months[dry]:.0%}. "
        f"{humid:,.0f} hours are above 60 % and {arid:,.0f} below 30 %.{damp}"
    )


def cut_figure(b: Buyer, system: str) -> Any:
    """Indoor temperature after the power goes, empty and with people, and outdoors."""
    figure, axes = blank(*SIZE)
    one, hours = "si" if system == "si" else "ip", 24
    for down, words, style in ((b.cut.people, "indoors, people home", "-"), (b.cut.empty, "indoors, nobody home", "--")):
        line = shown(np.concatenate([[down.start_C], down.indoor_C[:hours]]), "temperature", one)
        axes.plot(np.arange(hours + 1), line, style, color=INK, lw=1.8, label=words)
    outdoors, freezing = shown(b.cut.outdoor_C[:hours], "temperature", one), shown(0.0, "temperature", one)
    axes.plot(np.arange(hours) + 0.5, outdoors, ":", color=COLOURS[0], lw=1.6, label="outdoors")
    axes.axhline(freezing, color=COLOURS[1], lw=1.0)
    told(axes, "water freezes", (0, freezing), (3, 2), fontsize=8)
    axes.set(xlabel="hours after the power goes", ylabel=label("temperature", one), xlim=(0, hours))
    axes.set_xticks(range(0, hours + 1, 4))
    _second_scale(axes, system)
    axes.legend(fontsize=8)
    return figure
