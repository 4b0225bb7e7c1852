"""What `heatcalc sensitivity` says: a quote, one input at a time, the spread of the load against what the unit gives, shares of
the variance, the questions turned round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.study.inverse import HowCold, Limits, Most
from heatcalc.answers.study.tornado import OUTPUTS, WORDS
from heatcalc.answers.study.uncertain import UncertainInput
from heatcalc.answers.study.what_matters import WhatMatters, promise
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.about_design import cautions_chapter
from heatcalc.report.drawing import COLOURS, INK, blank, ruled, told
from heatcalc.report.report import (
    Caution,
    Chapter,
    Figure,
    Note,
    Report,
    Sentence,
    bullets,
    chapter,
    chapters,
    named,
    place_warnings,
    stamped,
)
from heatcalc.report.table import Column, Table, fields_of, table_of
from heatcalc.units import label, shown
from heatcalc.wording import Q, Said, joined, said, worded

UNITS = {
    "heating_W": ("heating", "power", ""),
    "cooling_W": ("cooling", "power", ""),
    "year_kWh": ("year", "", "kWh"),
    "peak_A": ("peak", "current", ""),
    "lowest_held_C": ("lowest held", "temperature", ""),
}
OF = {"heating": "design heating load", "cooling": "design sensible cooling load", "year": "year's electricity"}


def about_sensitivity(m: WhatMatters, limits: Limits | None = None) -> Report:
    """The whole answer, with how cold, how leaky, how much glass where `limits` are asked for."""
    quote = promise(m)
    return Report(
        question="sensitivity",
        title=_title(m),
        under=() if m.one_at_a_time.complete else ("stopped early: bars below are those that were done",),
        decision=tuple(Sentence(words) for words in quote),
        chapters=chapters(
            chapter("Figures", *_figures(m, joined(" ", quote))),
            _bars(m, "heating_W", more=False),
            *(_bars(m, name) for name in OUTPUTS if name != "heating_W"),
            *(_shares(m, which) for which in m.shares),
            None if limits is None else chapter(f"Turned round, for {limits.unit.name}", *_turned_round(limits)),
            chapter("Ranges (mark: where they come from)", _ranges(m), more=True),
            chapter("Sources of the ranges", *bullets([f"{u.words} [{u.mark}]: {u.source}" for u in m.inputs], Note), more=True),
            chapter("What this says and does not say", *bullets([*m.limits, _drawn(m)], Note)),
            chapter("Warnings of the place", *bullets(m.at_once.case.place.warnings, Caution)),
            cautions_chapter(),
        ),
        values=_values(m, limits),
        stamp=stamped(m.at_once.case.place, m.one_at_a_time.sized.house.name),
    )


def _title(m: WhatMatters) -> str:
    house, c = m.one_at_a_time.sized.house, m.at_once.case
    return f"What matters for {named(house)} with {c.unit.name}, in {c.place.name}"


def _drawn(m: WhatMatters) -> str:
    return f"All at once: {m.at_once.draws:,} draws, seed {m.at_once.seed}."


def _figures(m: WhatMatters, quote: Said) -> Iterator[Figure]:
    bars = "One at a time: how far each uncertain input moves the answer"
    yield Figure("tornado", bars, joined("; ", _widest(m)), partial(tornado_figure, m))
    yield Figure("spread", "All at once: the load against what the unit gives", quote, partial(spread_figure, m))
    first = ((k, ", ".join(f"{s.names[i]} {s.total[i]:.0%}" for i in np.argsort(-s.total)[:4])) for k, s in m.shares.items())
    says = "; ".join(f"{k}: {names}" for k, names in first)
    yield Figure("shares", "Which input makes the spread", says, partial(shares_figure, m))


def _widest(m: WhatMatters) -> Iterator[Said]:
    for name in OUTPUTS:
        for b in m.one_at_a_time.ranked(name)[:1]:
            ends = (value_words(name, getattr(o, name)) for o in (b.low, b.high))
            yield worded("{}: most by {}, {} to {}", WORDS[name], b.input.words, *ends)


def _bars(m: WhatMatters, name: str, more: bool = True) -> Chapter | None:
    t, (key, kind, unit) = m.one_at_a_time, UNITS[name]
    known: dict[str, Any] = {"kind": kind, "unit": unit, "decimals": 0 if unit else None, "missing": "none"}
    table = table_of(
        key,
        t.ranked(name)[:MOST],
        (Column("input"), "input.words"),
        (Column("from"), lambda b: end_words(b.input, b.input.low)),
        (Column("to"), lambda b: end_words(b.input, b.input.high)),
        (Column("at one end", **known), lambda b: _known(b.low, name)),
        (Column("at the other", **known), lambda b: _known(b.high, name)),
    )
    title = worded("One at a time: {} (as described {})", WORDS[name], value_words(name, getattr(t.middle, name)))
    return chapter(title, table, more=more) if table.rows else None


def _known(outputs: Any, name: str) -> float | None:
    value = float(getattr(outputs, name))
    return value if np.isfinite(value) else None


def _shares(m: WhatMatters, which: str) -> Chapter | None:
    s, of_input = m.shares[which], {u.name: u.words for u in m.inputs}
    heads = (Column("input"), *(Column(x, "fraction") for x in ("alone", "+/-", "with all it meets", "+/- with all")))
    rows = tuple(
        (of_input[s.names[k]], max(s.first[k], 0), s.first_half_width[k], s.total[k], s.total_half_width[k])
        for k in np.argsort(-s.total)[:MOST]
        if s.total[k] > 0.005
    )
    runs, done = "years walked" if which == "year" else "runs", "" if s.complete else ", stopped early"
    spread = Sentence(f"Sobol, {s.runs:,} {runs}, 95 % half widths{done}; standard deviation {s.variance**0.5:,.0f} kWh")
    if which != "year":
        spread = Sentence(
            worded("Sobol, {:,} {}, 95 % half widths{}; standard deviation {}", s.runs, runs, done, Q(s.variance**0.5, "power"))
        )
    return chapter(f"Share of the {OF[which]}'s variance", spread, Table(f"shares {which}", "", heads, rows), more=True)


def _ranges(m: WhatMatters) -> Table:
    heads = tuple(Column(head) for head in ("input", "low", "usual", "high", "drawn as", "mark"))
    ends = ((u, (end_words(u, x) for x in (u.low, u.middle, u.high))) for u in m.inputs)
    return Table("ranges", "", heads, tuple((u.words, *at, u.distribution, u.mark) for u, at in ends))


def _turned_round(x: Limits) -> Iterator[Any]:
    """How cold, how leaky, how much glass, which skirting."""
    held = (Column("with backup heat", unit="kW", decimals=1), Column("it holds down to"))
    yield Table("how cold", "", held, tuple((c.backup_W / 1000.0, _cold(c)) for c in x.cold))
    yield worded("How leaky may it be: {}", _most(x.ach50, lambda v: f"{v:.1f} ACH50", "heat"))
    yield worded("How much glass may it have: {}", _most(x.glass_m2, lambda v: Q(v, "area"), "heat and cold"))
    heads = (Column("under the floor"), Column("heating load", "power"), Column("recommended unit"))
    yield Table("skirting", "", heads, tuple((s.below, s.heating_W, s.unit) for s in x.skirting))
    better = ", ".join(x.saves_size)
    yield Sentence(f"saves a unit size over open air: {better}" if better else "none of these saves a unit size here")


def _cold(c: HowCold) -> Said:
    if c.outdoor_C is None:
        return "nowhere: too small even in mild weather"
    return worded("{}{}", Q(c.outdoor_C, "temperature"), ", where it stops" if c.stops else "")


def _most(m: Most, words: Callable[[float], str | Q], what: str) -> Said:
    now = worded("(as described {})", words(m.as_described))
    if m.value is None:
        return worded("not even with the least does the unit carry the {} {}", what, now)
    return worded("{} and more {}" if m.free else "at most {} {}", words(m.value), now)


def _turned(x: Limits) -> dict[str, Any]:
    return fields_of(x, "unit=unit.name how_cold=cold ach50 glass_m2 below=skirting saves_size")


def _values(m: WhatMatters, limits: Limits | None) -> dict[str, Any]:
    t, c = m.one_at_a_time, m.at_once
    drawn = {"heating_W": c.heating_W, "cooling_sensible_W": c.cooling_W, "backup_W": c.backup_W}
    points = ("p5", "p50", "p95")
    return {
        **fields_of(t.sized.house, "house=name package"),
        "place": c.case.place.name,
        "place_warnings": place_warnings(c.case.place),
        "unit": c.case.unit.name,
        "inputs": m.inputs,
        **fields_of(t, "as_described=middle complete"),
        "one_at_a_time": [{"input": b.input.name, "low": b.low, "high": b.high} for b in t.bars],
        "draws": c.draws,
        "seed": c.seed,
        "spread": {k: dict(zip(points, np.percentile(x, (5, 50, 95)), strict=True)) for k, x in drawn.items()},
        "chance": {k: dict(zip(("share", "standard_error"), c.chance(k), strict=True)) for k in ("heating", "cooling", "both")},
        "quote": [said(line, "both") for line in promise(m)],
        "morris": {
            k: fields_of(s, "names mean_effect_W=mean_effect spread_W=spread half_width_W=half_width")
            for k, s in m.screening.items()
        },
        "sobol": {
            k: fields_of(s, "names first first_half_width total total_half_width runs variance complete")
            for k, s in m.shares.items()
        },
        "limits": m.limits,
        "cautions": CAUTIONS,
        "turned_round": None if limits is None else _turned(limits),
    }


MOST = 8
KIND = {"heating_W": "power", "cooling_W": "power", "lowest_held_C": "temperature"}
LOW, HIGH = COLOURS[5], COLOURS[1]


def value_words(name: str, x: float) -> Said:
    """One output in words."""
    if not np.isfinite(x):
        return "none"
    if name in KIND:
        return worded("{}", Q(x, KIND[name]))
    return f"{x:,.0f} kWh" if name == "year_kWh" else f"{x:.1f} A"


def end_words(u: UncertainInput, x: float) -> Said:
    """One end of an input's range in words."""
    if u.kind == "direction":
        return ""
    if u.unit == "K":
        return worded("{}{}", "+" if x > 0 else "", Q(x, "temperature difference"))
    if u.unit == "m/s":
        return worded("{}", Q(x, "speed"))
    return f"x {x:.2f}" if u.kind == "factor" else f"{x:g}" if u.kind == "number" else f"{x:+.2f}"


def _scaled(name: str, x: float, system: str) -> float:
    return float(shown(x, KIND[name], system)) if name in KIND else x


def _unit(name: str, system: str) -> str:
    return label(KIND[name], system) if name in KIND else {"year_kWh": "kWh", "peak_A": "A"}[name]


def tornado_figure(m: WhatMatters, system: str) -> Any:
    """A panel for each output, the widest bars on top; the line is the house as described."""
    from matplotlib.patches import Patch

    figure, panels = blank(11.6, 9.6, 3, 2)
    grid = panels.ravel()
    for axes, name in zip(grid, OUTPUTS, strict=False):
        _panel(axes, m, name, system)
    grid[-1].set_axis_off()
    handles = [
        Patch(color=LOW, label="input at the low end of its range"),
        Patch(facecolor=HIGH, hatch="////", edgecolor="white", label="input at the high end"),
        Patch(color="white", label="line: the house as described"),
    ]
    grid[-1].legend(handles=handles, loc="upper left", fontsize=10)
    return figure


def _panel(axes: Any, m: WhatMatters, name: str, system: str) -> None:
    t = m.one_at_a_time
    bars = t.ranked(name)[:MOST][::-1]
    middle = _scaled(name, getattr(t.middle, name), system)
    for k, b in enumerate(bars):
        low, high = (_scaled(name, getattr(o, name), system) for o in (b.low, b.high))
        axes.barh(k, low - middle, left=middle, color=LOW, height=0.66)
        axes.barh(k, high - middle, left=middle, color=HIGH, height=0.66, hatch="////", edgecolor="white", linewidth=0)
        _ends(axes, k, b.input, (low, high), middle, system)
    axes.axvline(middle, color=INK, lw=1.0)
    axes.set_yticks(range(len(bars)), [b.input.name for b in bars])
    axes.set_ylim(len(bars) - MOST - 0.4, len(bars) - 0.4)
    axes.use_sticky_edges = False
    axes.margins(x=0.18)
    axes.set_title(f"{WORDS[name]}: {said(value_words(name, getattr(t.middle, name)), system)}", fontsize=10)
    axes.set_xlabel(f"[{_unit(name, system)}]")
    ruled(axes, "x")


def _ends(axes: Any, row: int, u: UncertainInput, at: tuple[float, float], middle: float, system: str) -> None:
    """What stands at the two ends of a bar; nothing at an end that did not move."""
    for x, where, other in ((u.low, at[0], at[1]), (u.high, at[1], at[0])):
        if abs(where - middle) > 1e-9:
            side, away = ("right", -3) if where < other else ("left", 3)
            told(axes, said(end_words(u, x), system), (where, row), (away, 0), ha=side, va="center", fontsize=7.5)


def spread_figure(m: WhatMatters, system: str) -> Any:
    """Histograms of the load and of the unit's most heat in the same draws; where they overlap the unit may fall short."""
    c, (figure, both) = m.at_once, blank(10.4, 4.2, 1, 2)
    pairs = (
        ("heating at the design cold", c.heating_W, c.most_heat_W, "heating"),
        ("sensible cooling in the hottest hour", c.cooling_W, c.most_cool_W, "cooling"),
    )
    for axes, (words, need, most, which) in zip(both, pairs, strict=True):
        need, most = (np.asarray(shown(x, "power", system)) for x in (need, most))
        bins = np.linspace(min(need.min(), most.min()), max(need.max(), most.max()), 70)
        axes.hist(need, bins, color=COLOURS[1], alpha=0.65, label="needed")
        words_of_unit = f"{c.case.unit.name} gives at most"
        axes.hist(most, bins, histtype="step", color=COLOURS[0], lw=1.8, hatch="\\\\\\", label=words_of_unit)
        share, error = c.chance(which)
        axes.set_title(f"{words}: carried in {share:.0%} of draws", fontsize=10)
        axes.set(xlabel=f"[{label('power', system)}]", yticks=[], ylabel="draws")
        axes.legend(fontsize=8.5)
    return figure


def shares_figure(m: WhatMatters, _: str) -> Any:
    """Sobol shares, alone and total, with their 95 % half widths."""
    figure, panels = blank(4.2 * len(m.shares) + 0.6, 4.4, 1, len(m.shares), squeeze=False)
    titles = {"heating": "design heating load", "cooling": "design cooling load", "year": "year's electricity"}
    for axes, (which, s) in zip(panels[0], m.shares.items(), strict=True):
        order = np.argsort(-s.total)[:MOST][::-1]
        at = np.arange(len(order))
        spread = {"xerr": 100 * s.total_half_width[order], "error_kw": {"elinewidth": 0.9, "ecolor": INK}}
        axes.barh(at + 0.2, 100 * s.total[order], 0.38, color=COLOURS[0], label="with all it meets", **spread)
        hatched = {"color": COLOURS[4], "hatch": "////", "edgecolor": "white", "linewidth": 0}
        axes.barh(at - 0.2, 100 * np.maximum(s.first[order], 0), 0.38, label="alone", **hatched)
        axes.set_yticks(at, [s.names[k] for k in order])
        axes.set(xlim=(0, None), xlabel="share of the variance [%]")
        axes.set_title(titles[which], fontsize=10)
        ruled(axes, "x")
    axes.legend(loc="lower right", fontsize=8.5)
    return figure
