"""Quantities as text in one unit system or in both."""

from __future__ import annotations

from heatcalc.wording import Q


def quantity(value: float, kind: str, system: str, decimals: int | None = None) -> str:
    """An SI value as `units.text` says it; with "both", the second system in brackets where it differs."""
    return Q(value, kind, decimals).said(system)
