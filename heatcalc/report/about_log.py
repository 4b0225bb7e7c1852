"""What `heatcalc log` says: does the metered house behave as computed, and if not, why likely; heat over temperature difference
with both lines, and the days off the line by outdoor temperature.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.year.log_answer import LogResult, allowed_W_K
from heatcalc.answers.year.log_causes import explained
from heatcalc.physics.unit.heat_pump import FROST_HIGH_C, FROST_LOW_C
from heatcalc.physics.zone.loss_line import CONFIDENCE
from heatcalc.report.drawing import COLOURS, FAINT, INK, blank, measured
from heatcalc.report.report import Figure, Note, Report, Sentence, at_place, bullets, chapter, chapters
from heatcalc.report.table import Column, Table, fields_of
from heatcalc.units import shown
from heatcalc.wording import Q, Said, worded

UA, T = "heat loss coefficient", "temperature"
METHOD = (
    "Heat is the metered electricity read backwards through the unit's own curves, period by period, with the month's usual "
    "sun through the glass added; the computed year's meter is read the same way. The line over the temperature difference is "
    "Huber's robust least squares with intercept (Robust Statistics, 1981, from memory), its interval Student's t with the "
    "number of days lowered for days that resemble the day before (Bartlett 1935, from memory)."
)
LIMITS = (
    "A meter alone seldom tells an air leak from missing insulation or from a unit that gives less than its table: their shares "
    "are Bayes' rule over Gaussian ranges (own choice), equal odds before; the measurement named beside each decides.",
    "The unit's capacity and input are taken to within 10 % of its table (common practice, no source); sun is the usual sun of "
    "the month, not that of the logged days.",
    "Electric and refrigerant work belongs to licensed people; the unit's manual says what an owner may clean.",
)


def about_log(r: LogResult) -> Report:
    """The whole answer."""
    house, place = r.designer.model.house.name, r.designer.place.name
    found = Report(
        question="log",
        title=f"{r.log.file} against {house} with {r.unit.name}, in {place}",
        decision=(Sentence(f"Answer: {verdict(r)}"), *(Sentence(words, kind) for words, kind in _causes(r))),
        chapters=chapters(
            chapter("What was compared", *_compared(r)),
            chapter("Loss of heat a degree", _lines(r)),
            chapter("Figures", *_figures(r)),
            chapter("What was done with the file", *bullets(r.log.report)),
            chapter("Method", Note(METHOD)),
            chapter("Limits", *bullets(LIMITS)),
        ),
        values=_values(r),
    )
    return at_place(found, r.designer.place, house)


def verdict(r: LogResult) -> str:
    """One sentence: does the house behave as computed?"""
    if any(f.kind == "data" for f in r.findings):
        return "the log cannot be compared as it is."
    if not r.as_computed:
        return f"the house loses {'more' if r.fit.slope_W_K > r.computed.slope_W_K else 'less'} heat than computed."
    odd = [f.kind for f in r.findings]
    return "the house behaves as computed, as far as this log can tell" + (f", but for this: {', '.join(odd)}." if odd else ".")


def _causes(r: LogResult) -> Iterator[tuple[Said, str]]:
    """Each sign in a sentence; what agreement means; the smallest change that this log would show."""
    for f in r.findings:
        yield worded("{}: {}.", f.kind, f.words), f.kind
    if not r.findings:
        yield "No sign of a leak, of icing, of another set point or of a unit too small.", "none"
    if not any(f.kind == "data" for f in r.findings):
        least = allowed_W_K(r)
        words = "A change of less than {} ({:.0%} of the loss) cannot be seen in this log: below that the data cannot tell."
        yield worded(words, Q(least, UA), least / r.computed.slope_W_K), "seen from"


def _compared(r: LogResult) -> Iterator[Said]:
    m = r.measured
    first, last = (_date(x) for x in (m.begin_h[0], m.begin_h[-1]))
    odd = int(r.fit.odd.sum())
    period = "days" if r.log.interval_h <= 24.5 else "periods"
    yield (
        f"{len(m.days)} {period} with the heating running, {first} to {last}, worth {r.fit.days_worth:.0f} independent ones; "
        f"{odd} odd {'one counts' if odd == 1 else 'ones count'} little"
    )
    yield (
        f"metered on these {period}: {r.used_kWh:,.0f} kWh; the computed house in the same weather: "
        f"{r.expected_kWh:,.0f} kWh ({r.used_kWh / r.expected_kWh - 1.0:+.0%})"
    )
    yield worded("room {} {}", Q(m.room_C, T), "as logged" if m.indoor_logged else "(not logged: the set point is taken)")


def _lines(r: LogResult) -> Table:
    heads = (Column("whose"), Column("loss coefficient", UA), Column("from", UA), Column("to", UA), Column("what the range is"))
    rows = (
        ("from the log", r.fit.slope_W_K, *r.fit.interval_W_K, f"{CONFIDENCE:.0%} interval of the line"),
        ("with the unit's uncertainty", r.fit.slope_W_K, *r.real_band_W_K, "capacity and input to 10 %"),
        ("computed, shell and air", r.computed.slope_W_K, *r.computed_band_W_K, "likely"),
    )
    return Table("loss", "", heads, rows)


def _figures(r: LogResult) -> tuple[Figure, Figure]:
    slopes = Q(r.fit.slope_W_K, UA), Q(r.computed.slope_W_K, UA)
    follows = worded("The log's days follow {}, the computed house {}: {}", *slopes, verdict(r))
    off = "Each day's heat less the line through all days, over the outdoor temperature; days near freezing are shaded."
    return (
        Figure("log-loss-line", "Heat over temperature difference", follows, partial(line_figure, r, verdict(r))),
        Figure("log-off-the-line", "Days off the line", off, partial(off_figure, r)),
    )


def _date(hours: float) -> str:
    return str(np.datetime64("1970-01-01T00", "h") + np.timedelta64(int(hours), "h"))[:10]


def _values(r: LogResult) -> dict[str, Any]:
    return {
        "log": fields_of(r.log, "file interval_h meter report"),
        "house": r.designer.model.house.name,
        "unit": r.unit.name,
        "verdict": verdict(r),
        **fields_of(r, "as_computed findings"),
        "periods": len(r.measured.days),
        "independent_periods": r.fit.days_worth,
        "odd_periods": int(r.fit.odd.sum()),
        "explained_share": explained(r.measured, r.fit),
        **fields_of(r.fit, "loss_coefficient_W_K=slope_W_K interval_W_K"),
        "confidence": CONFIDENCE,
        **fields_of(r, "real_band_W_K computed_W_K=computed.slope_W_K computed_band_W_K"),
        "seen_from_W_K": allowed_W_K(r),
        **fields_of(r, "used_kWh expected_kWh room_C=measured.room_C"),
        "method": METHOD,
        "limits": LIMITS,
    }


def line_figure(r: LogResult, verdict: str, system: str) -> Any:
    """The days, the line through them with its interval, and the computed house's line, its meter read the same way."""
    m, (figure, axes) = r.measured, blank(8.0, 5.0)
    heat = m.heat_W + m.sun_W
    at = np.linspace(float(m.difference_K.min()), float(m.difference_K.max()), 50)
    x, middle = shown(at, "temperature difference", system), float(np.average(m.difference_K, weights=m.days))
    share = 0.5 * (r.computed_band_W_K[1] - r.computed_band_W_K[0]) / r.computed.slope_W_K
    computed, fitted = r.read.slope_W_K * at + r.read.intercept_W, r.slope_of_days_W_K * at + r.fit.intercept_W
    lines = (
        (computed, share * r.read.slope_W_K * at, INK, "as computed, likely range"),
        (fitted, r.fit.half_width_W_K * np.abs(at - middle), COLOURS[0], "fitted, 95 % interval"),
    )
    for line, spread, colour, words in lines:
        band = [shown(line + sign * spread, "power", system) for sign in (-1, 1)]
        axes.fill_between(x, *band, color=colour, alpha=0.15, lw=0)
        axes.plot(x, shown(line, "power", system), color=colour, lw=2, label=words)
    period = "day" if r.log.interval_h <= 24.5 else "period"
    kinds = ((~r.fit.odd, COLOURS[0], "o", period), (r.fit.odd, COLOURS[1], "x", f"odd {period}"))
    for which, colour, marker, words in kinds:
        if which.any():
            y = shown(heat[which], "power", system)
            across = shown(m.difference_K[which], "temperature difference", system)
            axes.scatter(across, y, s=16, alpha=0.7, label=words, color=colour, marker=marker)
    axes.set(
        xlabel=measured("indoor less outdoor", "temperature difference", system),
        ylabel=measured("heat with the month's usual sun", "power", system),
    )
    axes.set_title(f"{r.log.file}: {verdict}")
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.legend(loc="upper left")
    return figure


def off_figure(r: LogResult, system: str) -> Any:
    """Residuals by outdoor temperature; a hump near freezing is ice."""
    figure, axes = blank(8.0, 3.6)
    icy = (shown(t, "temperature", system) for t in (FROST_LOW_C, FROST_HIGH_C))
    axes.axvspan(*icy, color=FAINT, alpha=0.6, lw=0, label="near freezing")
    axes.axhline(0, color=INK, lw=1)
    outdoors, off = shown(r.measured.outdoor_C, "temperature", system), shown(r.fit.residual_W, "power", system)
    axes.scatter(outdoors, off, s=16, color=COLOURS[0], alpha=0.7)
    axes.set(xlabel=measured("outdoor temperature", "temperature", system), ylabel=measured("heat off the line", "power", system))
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0))
    return figure
