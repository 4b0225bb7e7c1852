"""Airtightness as a builder knows it: a fan test (`3.0 ACH50`, `250 cfm50`) or a class by name."""

from __future__ import annotations

import re
from dataclasses import dataclass

from heatcalc import tables, units
from heatcalc.errors import nearest

ACH50_RANGE = (0.02, 60.0)


@dataclass(frozen=True)
class Tightness:
    """Exactly one of the three is set: air changes per hour at 50 Pa, flow at 50 Pa [m3/s], leakage class."""

    ach50: float | None = None
    flow50_m3_s: float | None = None
    leakage_class: str | None = None


def leakage_classes() -> tuple[str, ...]:
    """The class names of the leakage table."""
    return tuple(row["name"] for row in tables.rows("leakage_classes"))


def about_ach50() -> dict[str, float]:
    """Each class in ACH50 of a house of the starter's size, loose to tight; a larger house has less for the same class."""
    return {row["name"]: float(row["about_ach50"]) for row in tables.rows("leakage_classes")}


def read_tightness(text: str) -> Tightness:
    """`text` as a Tightness.  Raises ValueError with the ways to write it."""
    words = " ".join(str(text).split()).lower()
    if match := re.fullmatch(r"(\d+(?:\.\d+)?) ?(?:ach50|ach @ 50|ach at 50 pa)", words):
        return Tightness(ach50=_within(float(match[1]), *ACH50_RANGE, "ACH50"))
    if match := re.fullmatch(r"(\d[\d,]*(?:\.\d+)? ?(?:cfm|l/s|m3/h))50", words):
        return Tightness(flow50_m3_s=_within(units.parse(match[1], "air flow"), 0.0005, 2.0, "m3/s at 50 Pa"))
    if words in leakage_classes():
        return Tightness(leakage_class=words)
    known = ", ".join(f"{name}: about {ach50:g} ACH50" for name, ach50 in about_ach50().items())
    hint = nearest(words, list(leakage_classes()))
    raise ValueError(f"is written '3.0 ACH50', '250 cfm50' or a class ({known}){'; ' + hint if hint else ''}")


def _within(value: float, low: float, high: float, unit: str) -> float:
    if not low <= value <= high:
        raise ValueError(f"allowed {low:g} to {high:g} {unit}")
    return value
