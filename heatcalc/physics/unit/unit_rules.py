"""Single numbers of the mini-split model, read from the table unit_rules."""

from __future__ import annotations

from functools import cache

from heatcalc.tables import rows


@cache
def rule(name: str) -> float:
    """The value of one rule; the table names its unit and source [unit in the table]."""
    return next(float(row["value"]) for row in rows("unit_rules") if row["name"] == name)
