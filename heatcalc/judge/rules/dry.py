"""Dry: what the walked year leaves in the air with this unit in the loop, and the dehumidifier that takes it out."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import YEAR, Outcome, SoFar

STAGE = YEAR


def rule(f: Facts, so_far: SoFar) -> Outcome | None:
    """Hours above 60 and 80 % while it is warm; thirty days above 65 % on the mean, or two above 80 %, ask for a dehumidifier."""
    if so_far.year is None:
        return None
    damp = [y.damp for y in so_far.year.every]
    return Outcome(
        code="dry",
        title="keeps the room dry",
        ok=np.array([not d.asks for d in damp]),
        source="65 % over thirty days: the limit of ASHRAE 62.1 (2016), from memory; 48 hours above 80 %: own choice; with the "
        "outdoor air above 10 C (50 F)",
        quantities={
            "above_60_h": np.array([d.above_60_h for d in damp]),
            "above_80_h": np.array([d.above_80_h for d in damp]),
            "worst_30_days": np.array([d.worst_month for d in damp]),
            "to_remove_kg_day": np.array([d.most_kg_day for d in damp]),
        },
    )
