"""The checks against print as text, and as rows for a table or JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby
from math import isfinite
from typing import Any

from heatcalc.checks.published import AGREES, ELSEWHERE, KNOWN, WITHIN, Outcome
from heatcalc.show.words import columns, wrapped

ORDER = (AGREES, WITHIN, KNOWN, ELSEWHERE)


def checks_text(outcomes: Sequence[Outcome], sentences: dict[str, str]) -> str:
    """Every check, area by area; then what does not reproduce and why; then the sum."""
    blocks = [_area(area, sentences[area], list(rows)) for area, rows in groupby(outcomes, key=lambda o: o.check.area)]
    odd = [o for o in outcomes if o.failed or o.verdict in (KNOWN, ELSEWHERE)]
    if odd:
        blocks.append(["Not reproduced, or run elsewhere", *(line for o in odd for line in wrapped(f"- {_reason(o)}"))])
    return "\n\n".join("\n".join(block) for block in [*blocks, summary(outcomes, sentences)])


def _area(area: str, sentence: str, outcomes: list[Outcome]) -> list[str]:
    lines = [f"{area}: {sentence}"]
    for _, rows in groupby(outcomes, key=_heading):
        group = list(rows)
        lines += wrapped(_heading(group[0]))
        head = ("computed", "printed", "unit", "digits", "", "at")
        lines += columns([head, *(_cells(o) for o in group)], indent=4, right=(0, 1, 3))
    return lines


def _heading(o: Outcome) -> str:
    mark = f" ({o.check.mark})" if o.check.mark else ""
    return f"{o.check.what}: {o.check.source}, {o.check.where}{mark}"


def _cells(o: Outcome) -> tuple[str, ...]:
    return computed(o), o.check.printed, o.check.unit, digits(o), o.verdict, o.check.at


def computed(o: Outcome) -> str:
    """The computed value to two digits more than the print."""
    if o.computed is None:
        return "-"
    return f"{o.computed:.{o.of + 2}g}" if isfinite(o.computed) else "refused"


def digits(o: Outcome) -> str:
    """Digits agreeing of digits printed."""
    return f"{o.digits} of {o.of}" if o.of else "-"


def _reason(o: Outcome) -> str:
    c = o.check
    why = c.elsewhere and f"run in {c.elsewhere}" or c.known or "should reproduce and does not"
    got = f": computed {computed(o)}, printed {c.printed} {c.unit}".rstrip() if o.computed is not None else ""
    flag = f"{o.verdict}: " if o.failed else ""
    return f"{flag}{c.what}, {c.source} {c.where}{', ' + c.at if c.at else ''}{got}: {why}"


def summary(outcomes: Sequence[Outcome], sentences: dict[str, str]) -> list[str]:
    """How many of each area agree, and the totals."""
    failed = sum(o.failed for o in outcomes)
    last = "every check that should reproduce does" if not failed else f"{failed} that should reproduce do not"
    return ["Summary", *columns(area_rows(outcomes, sentences), right=(1, 2, 3, 4, 5)), f"  {last}"]


def area_rows(outcomes: Sequence[Outcome], sentences: dict[str, str]) -> list[tuple[str, ...]]:
    """Checks of each area by verdict, head row first, the sum last."""
    by_area = {area: [o for o in outcomes if o.check.area == area] for area in sentences}
    rows = [(area, *_counts(found)) for area, found in by_area.items() if found]
    return [("area", "checks", *ORDER), *rows, ("all", *_counts(outcomes))]


def _counts(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    found = Counter(o.verdict for o in outcomes)
    return str(len(outcomes)), *(str(found[v]) for v in ORDER)


def check_rows(outcomes: Sequence[Outcome]) -> list[dict[str, Any]]:
    """One flat record a check, for JSON or a table."""
    return [
        {
            "id": o.check.id,
            "area": o.check.area,
            "what": o.check.what,
            "at": o.check.at,
            "computed": o.computed,
            "printed": o.check.printed,
            "unit": o.check.unit,
            "digits": o.digits,
            "of": o.of,
            "verdict": o.verdict,
            "spread": o.check.spread,
            "why": o.check.why,
            "reason": o.check.known or o.check.elsewhere,
            "source": o.check.source,
            "where": o.check.where,
            "mark": o.check.mark,
        }
        for o in outcomes
    ]
