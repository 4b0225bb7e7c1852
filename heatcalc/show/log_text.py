"""The comparison with an owner's log in plain words, and as one record."""

from __future__ import annotations

from typing import Any

from heatcalc import units
from heatcalc.answers.year.log_answer import LogResult, allowed_W_K
from heatcalc.answers.year.log_causes import explained
from heatcalc.physics.zone.loss_line import CONFIDENCE
from heatcalc.show.words import quantity, wrapped
from heatcalc.wording import said

METHOD = (
    "Heat is the metered electricity read backwards through the unit's own curves, period by period, with the month's usual "
    "sun through the glass added; the computed year's meter is read the same way. The line over the temperature difference is "
    "Huber's robust least squares with intercept (Robust Statistics, 1981, from memory), its interval Student's t with the "
    "number of days lowered for days that resemble the day before (Bartlett 1935, from memory)."
)
LIMITS = (
    "A meter alone cannot tell an air leak from missing insulation or from a unit that gives less than its table: a fan test "
    "and a look at the unit can.",
    "The unit's capacity and input are taken to within 10 % of its table (common practice, no source); sun is the usual sun of "
    "the month, not that of the logged days.",
    "Electric and refrigerant work belongs to licensed people; the unit's manual says what an owner may clean.",
)


def log_text(r: LogResult, system: str) -> str:
    """The whole answer."""
    parts = (
        [heading(r)],
        ["Answer: " + verdict(r), *(w for line in sentences(r, system) for w in wrapped(line))],
        ["What was compared", *(w for line in compared(r, system) for w in wrapped(line))],
        ["What was done with the file", *(w for line in r.log.report for w in wrapped("- " + line))] if r.log.report else [],
        ["Method", *wrapped(METHOD)],
        ["Limits", *(w for line in LIMITS for w in wrapped("- " + line))],
    )
    return "\n\n".join("\n".join(part) for part in parts if part)


def heading(r: LogResult) -> str:
    """Which log, which house, where."""
    return f"{r.log.file} against {r.designer.model.house.name} with {r.unit.name}, in {r.designer.place.name}"


def verdict(r: LogResult) -> str:
    """One sentence: does the house behave as computed?"""
    if any(f.kind == "data" for f in r.findings):
        return "the log cannot be compared as it is."
    if not r.as_computed:
        return f"the house loses {'more' if r.fit.slope_W_K > r.computed.slope_W_K else 'less'} heat than computed."
    odd = [f.kind for f in r.findings]
    return "the house behaves as computed" + (f", but for this: {', '.join(odd)}." if odd else ".")


def sentences(r: LogResult, system: str) -> list[str]:
    """The likely causes, one sentence each; what the agreement means where there is none."""
    words = [f"{f.kind}: {said(f.words, system)}." for f in r.findings]
    if not words:
        seen = quantity(allowed_W_K(r), "heat loss coefficient", system)
        words = [
            f"No sign of a leak, of icing, of another set point or of a unit too small. "
            f"A change of less than {seen} cannot be seen."
        ]
    return words


def compared(r: LogResult, system: str) -> list[str]:
    """The numbers behind the verdict."""

    def h(x: float) -> str:
        return units.text(x, "heat loss coefficient", system)

    m, (low, high) = r.measured, r.fit.interval_W_K
    first, last = (_date(x) for x in (m.begin_h[0], m.begin_h[-1]))
    period = "days" if r.log.interval_h <= 24.5 else "periods"
    share = r.used_kWh / r.expected_kWh - 1.0
    room = units.text(m.room_C, "temperature", system)
    return [
        f"{len(m.days)} {period} with the heating running, {first} to {last}, worth {r.fit.days_worth:.0f} independent ones; "
        f"{int(r.fit.odd.sum())} odd ones count little",
        f"loss coefficient from the log: {h(r.fit.slope_W_K)}, {CONFIDENCE:.0%} interval {h(low)} to {h(high)}; "
        f"with the unit's uncertainty {h(r.real_band_W_K[0])} to {h(r.real_band_W_K[1])}",
        f"computed, shell and air: {h(r.computed.slope_W_K)}, likely {h(r.computed_band_W_K[0])} to {h(r.computed_band_W_K[1])}",
        f"metered on these {period}: {r.used_kWh:,.0f} kWh; the computed house in the same weather: "
        f"{r.expected_kWh:,.0f} kWh ({share:+.0%})",
        f"room {room} " + ("as logged" if m.indoor_logged else "(not logged: the set point is taken)"),
    ]


def _date(hours: float) -> str:
    import numpy as np

    return str(np.datetime64("1970-01-01T00", "h") + np.timedelta64(int(hours), "h"))[:10]


def log_record(r: LogResult) -> dict[str, Any]:
    """The comparison as one object, SI."""
    m = r.measured
    return {
        "log": {"file": r.log.file, "interval_h": r.log.interval_h, "meter": r.log.meter, "report": list(r.log.report)},
        "house": r.designer.model.house.name,
        "place": r.designer.place.name,
        "unit": r.unit.name,
        "verdict": verdict(r),
        "as_computed": r.as_computed,
        "findings": [{"kind": f.kind, "words": said(f.words, "si")} for f in r.findings],
        "periods": len(m.days),
        "independent_periods": r.fit.days_worth,
        "odd_periods": int(r.fit.odd.sum()),
        "explained_share": explained(m, r.fit),
        "loss_coefficient_W_K": r.fit.slope_W_K,
        "interval_W_K": r.fit.interval_W_K,
        "confidence": CONFIDENCE,
        "real_band_W_K": r.real_band_W_K,
        "computed_W_K": r.computed.slope_W_K,
        "computed_band_W_K": r.computed_band_W_K,
        "seen_from_W_K": allowed_W_K(r),
        "used_kWh": r.used_kWh,
        "expected_kWh": r.expected_kWh,
        "room_C": m.room_C,
        "method": METHOD,
        "limits": list(LIMITS),
    }
