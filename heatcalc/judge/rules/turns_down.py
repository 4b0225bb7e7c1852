"""Turns down: how steadily the unit runs in the year's own hours, sun and people included."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import YEAR, Outcome, SoFar

STAGE = YEAR
MOST_ON_OFF = 0.75


def rule(f: Facts, so_far: SoFar) -> Outcome | None:
    """Share of heating and of cooling hours it goes on and off, and its least output against the real load near 47 F."""
    if so_far.year is None:
        return None
    mild = [y.mild for y in so_far.year.every]
    return Outcome(
        code="turns down",
        title="runs steadily in mild weather",
        ok=np.array([m.heating_on_off <= MOST_ON_OFF for m in mild]),
        source="own choice: on and off in at most three of four heating hours; the published limit is the rule `not too large`",
        quantities={
            "heating_on_off": np.array([m.heating_on_off for m in mild]),
            "cooling_on_off": np.array([m.cooling_on_off for m in mild]),
            "least_output_W": f.there.least_mild_W,
            "real_load_at_47F_W": np.array([m.load_W for m in mild]),
        },
    )
