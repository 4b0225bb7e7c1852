"""What matters, as text and as a record."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from heatcalc import units
from heatcalc.answers.study.tornado import OUTPUTS, WORDS
from heatcalc.answers.study.uncertain import UncertainInput
from heatcalc.answers.study.what_matters import WhatMatters, promise
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.report import place_warnings
from heatcalc.show.words import columns, wrapped
from heatcalc.wording import said

KIND = {"heating_W": "power", "cooling_W": "power", "lowest_held_C": "temperature"}
MOST = 8


def sensitivity_text(m: WhatMatters, system: str) -> str:
    """The whole answer, readable without a browser."""
    parts = [
        _heading(m),
        _promise(m, system),
        *(_bars(m, name, system) for name in OUTPUTS),
        *(_shares(m, k) for k in m.shares),
        _ranges(m, system),
        _sources(m),
        _notes("What this says and does not say", m.limits),
        _notes("Warnings of the place", place_warnings(m.at_once.case.place, system)),
        _notes("Cautions", CAUTIONS),
    ]
    return "\n\n".join("\n".join(p) for p in parts if p)


def _heading(m: WhatMatters) -> list[str]:
    house, c = m.one_at_a_time.sized.house, m.at_once.case
    note = f" ({house.note})" if house.note else ""
    package = f", package {house.package}" if house.package else ""
    lines = [f"What matters for {house.name}{note}{package} with {c.unit.name}, in {c.place.name}"]
    return lines if m.one_at_a_time.complete else [*lines, "stopped early: bars below are those that were done"]


def _promise(m: WhatMatters, system: str) -> list[str]:
    title = f"All at once ({m.at_once.draws:,} draws, seed {m.at_once.seed}): words for a quote"
    return [title, *(w for line in promise(m) for w in wrapped(said(line, system)))]


def value(name: str, x: float, system: str) -> str:
    """One output in words."""
    if not np.isfinite(x):
        return "none"
    if name in KIND:
        return units.text(x, KIND[name], system)
    return f"{x:,.0f} kWh" if name == "year_kWh" else f"{x:.1f} A"


def end(u: UncertainInput, x: float, system: str) -> str:
    """One end of an input's range in words."""
    if u.kind == "direction":
        return ""
    if u.unit == "K":
        return ("+" if x > 0 else "") + units.text(x, "temperature difference", system)
    if u.unit == "m/s":
        return units.text(x, "speed", system)
    return f"x {x:.2f}" if u.kind == "factor" else f"{x:g}" if u.kind == "number" else f"{x:+.2f}"


def _bars(m: WhatMatters, name: str, system: str) -> list[str]:
    t = m.one_at_a_time
    rows: list[tuple[str, ...]] = [("input", "from", "to", "at one end", "at the other")]
    for b in t.ranked(name)[:MOST]:
        ends = [value(name, getattr(o, name), system) for o in (b.low, b.high)]
        rows.append((b.input.words, end(b.input, b.input.low, system), end(b.input, b.input.high, system), *ends))
    middle = value(name, getattr(t.middle, name), system)
    return [f"One at a time: {WORDS[name]} (as described {middle})", *columns(rows, right=(3, 4))] if len(rows) > 1 else []


def _shares(m: WhatMatters, which: str) -> list[str]:
    s = m.shares[which]
    words = {"heating": "design heating load", "cooling": "design sensible cooling load", "year": "year's electricity"}[which]
    of_input = {u.name: u.words for u in m.inputs}
    rows: list[tuple[str, ...]] = [("input", "alone", "with all it meets")]
    for k in np.argsort(-s.total)[:MOST]:
        if s.total[k] > 0.005:
            rows.append(
                (
                    of_input[s.names[k]],
                    f"{max(s.first[k], 0):.0%} +/- {s.first_half_width[k]:.0%}",
                    f"{s.total[k]:.0%} +/- {s.total_half_width[k]:.0%}",
                )
            )
    done, runs = "" if s.complete else ", stopped early", "years walked" if which == "year" else "runs"
    return [
        f"Share of the {words}'s variance (Sobol, {s.runs:,} {runs}, 95 % half widths{done}; standard deviation "
        f"{_sd(which, s.variance)})",
        *columns(rows, right=(1, 2)),
    ]


def _sd(which: str, variance: float) -> str:
    return f"{variance**0.5:,.0f} {'kWh' if which == 'year' else 'W'}"


def _ranges(m: WhatMatters, system: str) -> list[str]:
    rows: list[tuple[str, ...]] = [("input", "low", "usual", "high", "drawn as", "mark")]
    for u in m.inputs:
        low, middle, high = (end(u, x, system) for x in (u.low, u.middle, u.high))
        rows.append((u.words, low, middle, high, u.distribution, u.mark.lower()))
    return ["Ranges (mark: where they come from; a choice is our own)", *columns(rows)]


def _sources(m: WhatMatters) -> list[str]:
    return ["Sources of the ranges", *(line for u in m.inputs for line in wrapped(f"- {u.words} [{u.mark.lower()}]: {u.source}"))]


def _notes(title: str, notes: Sequence[str]) -> list[str]:
    return [title, *(w for note in notes for w in wrapped("- " + note))] if notes else []


def sensitivity_record(m: WhatMatters) -> dict[str, Any]:
    """Everything as one object, SI units."""
    t, c = m.one_at_a_time, m.at_once
    spread = {
        k: dict(zip(("p5", "p50", "p95"), np.percentile(x, (5, 50, 95)), strict=True))
        for k, x in (("heating_W", c.heating_W), ("cooling_sensible_W", c.cooling_W), ("backup_W", c.backup_W))
    }
    return {
        "house": t.sized.house.name,
        "package": t.sized.house.package,
        "place": c.case.place.name,
        "place_warnings": place_warnings(c.case.place),
        "unit": c.case.unit.name,
        "inputs": [vars(u) for u in m.inputs],
        "as_described": vars(t.middle),
        "complete": t.complete,
        "one_at_a_time": [{"input": b.input.name, "low": vars(b.low), "high": vars(b.high)} for b in t.bars],
        "draws": c.draws,
        "seed": c.seed,
        "spread": spread,
        "chance": {k: dict(zip(("share", "standard_error"), c.chance(k), strict=True)) for k in ("heating", "cooling", "both")},
        "quote": [said(line, "both") for line in promise(m)],
        "morris": {
            k: {"names": s.names, "mean_effect_W": s.mean_effect, "spread_W": s.spread, "half_width_W": s.half_width}
            for k, s in m.screening.items()
        },
        "sobol": {
            k: {
                "names": s.names,
                "first": s.first,
                "first_half_width": s.first_half_width,
                "total": s.total,
                "total_half_width": s.total_half_width,
                "runs": s.runs,
                "variance": s.variance,
                "complete": s.complete,
            }
            for k, s in m.shares.items()
        },
        "limits": m.limits,
        "cautions": CAUTIONS,
    }
