"""What `heatcalc checks` says: every check against print, area by area; what does not reproduce and why; the sum."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import isfinite
from typing import Any

from heatcalc.checks.published import AGREES, ELSEWHERE, KNOWN, WITHIN, CheckResult
from heatcalc.report.report import Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Cell, Column, Table

FEW = 3  # areas shown check by check in a short text
ORDER = (AGREES, WITHIN, KNOWN, ELSEWHERE)
HEADS = (Column("computed"), Column("printed"), Column("unit"), Column("digits"), Column("verdict"), Column("at"))


def about_checks(outcomes: Sequence[CheckResult], sentences: Mapping[str, str]) -> Report:
    """Every check of the areas asked for; of more than `FEW` areas the short text shows the sum and what fails."""
    failed = [_reason(o) for o in outcomes if o.failed]
    odd = [_reason(o) for o in outcomes if not o.failed and o.verdict in (KNOWN, ELSEWHERE)]
    last = "every check that should reproduce does" if not failed else f"{len(failed)} that should reproduce do not"
    areas = [(area, list(rows)) for area, rows in groupby(outcomes, key=lambda o: o.check.area)]
    many = len(areas) > FEW
    return Report(
        question="checks",
        title="Checks against print",
        decision=(Sentence(f"{len(outcomes)} checks: {last}."),),
        chapters=chapters(
            chapter("Should reproduce and do not", *bullets(failed)),
            *(chapter(area, sentences[area], *_groups(area, rows), more=many) for area, rows in areas),
            chapter("Known not to reproduce, or run elsewhere", *bullets(odd), more=many),
            chapter("Summary", _sums(outcomes, sentences)),
        ),
        data=_data(outcomes),
        values={"checks": [_values(o) for o in outcomes]},
    )


def _data(outcomes: Sequence[CheckResult]) -> tuple[Table, ...]:
    """Every check in one table, and those that do not reproduce with the reason."""
    own = ("area", "what", "at", "computed", "printed", "unit", "digits", "verdict", "source", "where", "mark")
    heads = tuple(Column(name) for name in own)
    rows = [
        (o, (o.check.area, o.check.what, o.check.at, *_cells(o)[:-1], o.check.source, o.check.where, o.check.mark))
        for o in outcomes
    ]
    odd = [(*row, o.check.known or o.check.elsewhere) for o, row in rows if o.check.known or o.check.elsewhere]
    return (
        Table("all", "", heads, tuple(row for _, row in rows)),
        Table("not reproduced", "", (*heads, Column("reason")), tuple(odd)),
    )


def _groups(area: str, outcomes: list[CheckResult]) -> Iterator[Table]:
    for n, (heading, rows) in enumerate(groupby(outcomes, key=_heading), 1):
        yield Table(f"{area} {n}", heading, HEADS, tuple(_cells(o) for o in rows))


def _heading(o: CheckResult) -> str:
    mark = f" ({o.check.mark})" if o.check.mark else ""
    return f"{o.check.what}: {o.check.source}, {o.check.where}{mark}"


def _cells(o: CheckResult) -> tuple[str, ...]:
    return computed(o), o.check.printed, o.check.unit, digits(o), o.verdict, o.check.at


def computed(o: CheckResult) -> str:
    """The computed value to two digits more than the print."""
    if o.computed is None:
        return "-"
    return f"{o.computed:.{o.of + 2}g}" if isfinite(o.computed) else "refused"


def digits(o: CheckResult) -> str:
    """Digits agreeing of digits printed."""
    return f"{o.digits} of {o.of}" if o.of else "-"


def _reason(o: CheckResult) -> str:
    c = o.check
    why = c.elsewhere and f"run in {c.elsewhere}" or c.known or "should reproduce and does not"
    got = f": computed {computed(o)}, printed {c.printed} {c.unit}".rstrip() if o.computed is not None else ""
    flag = f"{o.verdict}: " if o.failed else ""
    return f"{flag}{c.what}, {c.source} {c.where}{', ' + c.at if c.at else ''}{got}: {why}"


def _sums(outcomes: Sequence[CheckResult], sentences: Mapping[str, str]) -> Table:
    """Checks of each area by verdict, the sum last."""
    by_area = {area: [o for o in outcomes if o.check.area == area] for area in sentences}
    heads = (Column("area"), Column("checks", decimals=0), *(Column(verdict, decimals=0) for verdict in ORDER))
    rows: list[tuple[Cell, ...]] = [(area, *_counts(found)) for area, found in by_area.items() if found]
    return Table("areas", "", heads, (*rows, ("all", *_counts(outcomes))))


def _counts(outcomes: Sequence[CheckResult]) -> tuple[int, ...]:
    found = Counter(o.verdict for o in outcomes)
    return len(outcomes), *(found[v] for v in ORDER)


def _values(o: CheckResult) -> dict[str, Any]:
    """One flat record a check."""
    own = ("id", "area", "what", "at", "printed", "unit", "spread", "why", "source", "where", "mark")
    more = {"computed": o.computed, "digits": o.digits, "of": o.of, "verdict": o.verdict}
    return {key: getattr(o.check, key) for key in own} | more | {"reason": o.check.known or o.check.elsewhere}
