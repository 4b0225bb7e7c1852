"""Every check against print: the cases as data, computed by the program itself, compared digit by digit.

The command `heatcalc checks`, the workbook and tests/published/test_checks.py read the same rows, in heatcalc/checks/*.json.
A file NAME.json is computed by heatcalc/checks/evaluate_NAME.py, one function a phenomenon.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.resources import files
from math import floor, log10
from typing import Any

from heatcalc.errors import InputError, nearest

FILES = ("air", "places", "envelope", "sun", "hand", "network", "unit", "supply")
AGREES, WITHIN, KNOWN = "agrees", "within the spread", "does not, as known"
DIFFERS, CHANGED, ELSEWHERE = "DIFFERS", "AGREES, THOUGH LISTED", "run elsewhere"
FAILED = (DIFFERS, CHANGED)


@dataclass(frozen=True)
class Span:
    """A computed value, and the lowest and highest it takes when its rounded inputs move within their last digit."""

    low: float
    value: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Check:
    """One printed number: where it stands, what goes in, to which digit it is printed.

    `at` are the inputs in words; `spread` is what may be between beside half a last digit, for the reason in `why`;
    `known` says why a case does not reproduce; `elsewhere` says where a case runs that this list only names.
    """

    id: str
    area: str
    what: str
    source: str
    where: str
    mark: str
    unit: str
    file: str
    evaluator: str
    inputs: dict[str, Any]
    at: str
    printed: str
    last_digit: float
    spread: float = 0.0
    why: str = ""
    known: str = ""
    elsewhere: str = ""


@dataclass(frozen=True)
class CheckResult:
    """A check with what the program computes: `digits` of `of` printed significant digits agree."""

    check: Check
    computed: float | None
    digits: int
    of: int
    verdict: str

    @property
    def failed(self) -> bool:
        """Should reproduce and does not, or is listed as not reproducing and does."""
        return self.verdict in FAILED


@cache
def _file(name: str) -> dict[str, Any]:
    return json.loads((files("heatcalc") / "checks" / f"{name}.json").read_text(encoding="utf-8"))


def areas() -> dict[str, str]:
    """Every area with its sentence, in the order of the list."""
    return {area: sentence for name in FILES for area, sentence in _file(name)["areas"].items()}


def all_checks() -> tuple[Check, ...]:
    """Every row of every file, areas in order."""
    found = [c for name in FILES for group in _file(name)["groups"] for c in _of_group(group, name)]
    order = list(areas())
    return tuple(sorted(found, key=lambda c: order.index(c.area)))


def checks_of(wanted: Iterable[str] = ()) -> tuple[Check, ...]:
    """The checks of some areas, named whole or by a word in them (none named: all); InputError with the nearest area."""
    known, chosen = list(areas()), set()
    for word in wanted:
        meant = [a for a in known if word.lower() == a.lower()] or [a for a in known if word.lower() in a.lower()]
        if not meant:
            raise InputError("area", word, "is not an area", nearest(word, known) or f"known: {', '.join(known)}")
        chosen |= set(meant)
    return tuple(c for c in all_checks() if not chosen or c.area in chosen)


def _of_group(group: dict[str, Any], file: str) -> list[Check]:
    return [_of_row(group, row, file, n) for n, row in enumerate(group["rows"], start=1)]


def _of_row(group: dict[str, Any], row: list[Any], file: str, n: int) -> Check:
    own = row[-1] if isinstance(row[-1], dict) else {}
    cells = row[:-1] if own else row
    inputs = {**dict(zip(group["columns"], cells[:-1], strict=True)), **group.get("inputs", {})}
    said = {**group, **own}
    printed = str(cells[-1])
    at = ", ".join(f"{k} {v}" for k, v in inputs.items() if not isinstance(v, list))
    return Check(
        id=f"{group['id']} {n}",
        area=group["area"],
        what=said["what"],
        source=said["source"],
        where=said["where"],
        mark=said.get("mark", ""),
        unit=said.get("units", {}).get(inputs.get("figure"), said.get("unit", "")),
        file=file,
        evaluator=group["check"],
        inputs=inputs,
        at=at,
        printed=printed,
        last_digit=said.get("last_digit", last_digit(printed)),
        spread=_spread(said, printed),
        why=said.get("why", ""),
        known=said.get("known", ""),
        elsewhere=said.get("elsewhere", ""),
    )


def _spread(said: dict[str, Any], printed: str) -> float:
    share = said.get("spread_share", 0.0)
    return float(said.get("spread", 0.0) + (share * abs(float(printed)) if share else 0.0))


def last_digit(printed: str) -> float:
    """Worth of the last digit of a printed number: 0.01 of "1.23", 1 of "300"; 1 where it is no number."""
    mantissa, _, power = printed.lower().partition("e")
    return 10.0 ** (int(power or 0) - len(mantissa.partition(".")[2]))


def significant(printed: float, unit: float) -> int:
    """Significant digits of a number printed to `unit`."""
    return 1 if abs(printed) < unit else floor(log10(abs(printed)) + 1e-12) - round(log10(unit)) + 1


def agreeing(computed: float, printed: float, unit: float) -> int:
    """How many of the printed significant digits the computed value rounds to, first digit first."""
    digits = significant(printed, unit)
    for k in range(digits, 0, -1):
        if abs(computed - printed) <= 0.5 * unit * 10.0 ** (digits - k) * (1.0 + 1e-9):
            return k
    return 0


def run_check(check: Check) -> CheckResult:
    """Compute one check and compare."""
    if check.elsewhere:
        return CheckResult(check, None, 0, 0, ELSEWHERE)
    found = _evaluate(check)
    span = found if isinstance(found, Span) else Span(float(found), float(found), float(found))
    printed, unit = float(check.printed), check.last_digit
    digits = agreeing(span.value, printed, unit)
    return CheckResult(check, span.value, digits, significant(printed, unit), _verdict(check, span, digits))


def _verdict(check: Check, span: Span, digits: int) -> str:
    printed, half = float(check.printed), 0.5 * check.last_digit * (1.0 + 1e-9)
    agrees = abs(span.value - printed) <= half
    near = span.low - half - check.spread <= printed <= span.high + half + check.spread
    if check.known:
        return CHANGED if agrees or near else KNOWN
    return AGREES if agrees else WITHIN if near else DIFFERS


def _evaluate(check: Check) -> float | Span:
    try:
        return _computed(check.file, check.evaluator, json.dumps(check.inputs))
    except InputError as refusal:
        if check.known:  # a case the program refuses does not reproduce
            return float("nan")
        raise refusal


@cache
def _computed(file: str, evaluator: str, inputs: str) -> float | Span:
    """What an evaluator finds for inputs said in JSON; kept, since the same rows are asked for again in a process."""
    return import_module(f"heatcalc.checks.evaluate_{file}").EVALUATORS[evaluator](**json.loads(inputs))


def run_checks(wanted: Iterable[str] = ()) -> tuple[CheckResult, ...]:
    """Compute every check of some areas (none named: all)."""
    return tuple(run_check(c) for c in checks_of(tuple(wanted)))
