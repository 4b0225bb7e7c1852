"""A chain as an indented tree: formula in symbols, the same with numbers and units, source.

Five significant digits everywhere, so that a pencil comes to the same figures.
"""

from __future__ import annotations

import re
import textwrap
from dataclasses import asdict

from heatcalc import units
from heatcalc.answers.envelope.step import Step
from heatcalc.answers.explain.chains import Explanation
from heatcalc.report.report import Report, Working, at_place, chapter, chapters
from heatcalc.wording import said, worded

OWN = {  # kind: SI unit, shown in SI, shown in inch-pound: (pint unit, label)
    "air heat factor": (
        "joule/meter**3/kelvin",
        ("watt/kelvin/liter*second", "W/(K·L/s)"),
        ("Btu/hour/delta_degF/foot**3*minute", "Btu/(h·°F·cfm)"),
    ),
    "per hour": ("dimensionless/hour", ("dimensionless/hour", "1/h"), ("dimensionless/hour", "1/h")),
    "number": ("dimensionless", ("dimensionless", ""), ("dimensionless", "")),
    "flow coefficient": ("dimensionless", ("dimensionless", "m³/(s·Pa^n)"), ("dimensionless", "m³/(s·Pa^n)")),
    "degree-hours": ("kelvin*hour", ("kelvin*hour", "K·h"), ("kelvin*hour", "K·h")),
}
WIDTH, HARD = 118, "\u00a0"
BASE = {
    "air flow": "m³/s",
    "volume": "m³",
    "temperature difference": "K",
    "speed": "m/s",
    "heat loss coefficient": "W/K",
    "U-value": "W/(m²·K)",
    "conductivity": "W/(m·K)",
    "length": "m",
    "area": "m²",
}


def about_explain(e: Explanation) -> Report:
    """The whole chain."""
    title = f"{e.asked}: {e.result.house.name}, {e.result.place.name}"
    chain = Working(lambda system: _tree(e.chain, system, 0, set()), lambda system: _first_step(e.chain, system))
    values = {"result": e.asked, "house": e.result.house.name, "place": e.result.place.name, "chain": asdict(e.chain)}
    return at_place(Report("explain", title, chapters=chapters(chapter("", chain)), values=values), e.result.place)


def _first_step(step: Step, system: str) -> list[str]:
    """The result with its formula, then each number in it; what those are made of in turn is in the whole chain."""
    own = [_head(step, system), *_formula(step, system, 4), *_remarks(step, system, 4)]
    parts = [f"  {_head(part, system)}" for part in dict.fromkeys(step.parts)]
    return [*own, *parts, *(f"  beside it: {_head(check, system)}" for check in step.check)]


def _head(step: Step, system: str) -> str:
    return f"{step.symbol} = {quantity(step.value, step.kind, system)}  {said(step.name, system)}"


def step_lines(step: Step, system: str) -> list[str]:
    """One step with what it is made of, indented, for a card."""
    return _tree(step, system, 1, set())


def quantity(value: float, kind: str, system: str, base: bool = False) -> str:
    """Five significant digits and the unit; `base` keeps the plain SI unit that metric coefficients need."""
    if base and kind in BASE:
        return f"{five(value)} {BASE[kind]}"
    if kind in OWN:
        si, *shown = OWN[kind]
        unit, label = shown[system == "ip"]
        return f"{five(units.convert(value, si, unit))} {label}".rstrip()
    return f"{five(units.shown(value, kind, system))} {units.label(kind, system)}"


def five(value: float) -> str:
    """A number to five significant digits, without an exponent where a person would not write one."""
    text = f"{value:.0f}" if abs(value) >= 1e5 else f"{value:.5g}"
    return "0" if text in ("-0", "0") else text


def _tree(step: Step, system: str, depth: int, seen: set[Step]) -> list[str]:
    pad, known = "  " * depth, step in seen
    head = _head(step, system)
    if known and (step.parts or step.source):
        return [f"{pad}{head} (above)"]
    seen.add(step)
    if not (step.formula or step.note or step.parts or step.check):
        return _wrapped(head + (f" [{said(step.source, system)}]" if step.source else ""), WIDTH, len(pad))
    lines = [f"{pad}{head}", *_formula(step, system, len(pad) + 4), *_remarks(step, system, len(pad) + 4)]
    for part in dict.fromkeys(step.parts):
        lines += _tree(part, system, depth + 1, seen)
    for check in step.check:
        lines += [f"{pad}  beside it:", *_tree(check, system, depth + 2, seen)]
    return lines


def _formula(step: Step, system: str, indent: int) -> list[str]:
    if not step.formula or step.formula == f"{{{step.parts[0].symbol}}}":
        return []
    symbols = step.formula.replace("{", "").replace("}", "")
    result = quantity(step.value, step.kind, system, step.si)
    shown = "" if result == quantity(step.value, step.kind, system) else f" = {result}"
    figures = _wrapped(f"= {numbers(step, system, HARD)}{shown.replace(' ', HARD)}", WIDTH, indent)
    return [*_wrapped(f"= {symbols}", WIDTH, indent), *(line.replace(HARD, " ") for line in figures)]


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    """One paragraph; symbols are not broken at their hyphens."""
    pad = " " * indent
    return textwrap.wrap(
        text, width, initial_indent=pad, subsequent_indent=pad + "  ", break_on_hyphens=False, break_long_words=False
    )


def numbers(step: Step, system: str, space: str = " ") -> str:
    """The formula with each symbol's number and unit, `space` between them."""
    text = {p.symbol: quantity(p.value, p.kind, system, step.si).replace(" ", space) for p in step.parts}
    text = {k: f"({v})" if v.startswith("-") else v for k, v in text.items()}
    return re.sub(r"\{([^}]+)\}", lambda m: text[m[1]], step.formula)


def _remarks(step: Step, system: str, indent: int) -> list[str]:
    words = [said(x, system) for x in (step.source and worded("source: {}", step.source), step.note) if x]
    return [line for text in words for line in _wrapped(text, WIDTH, indent)]
