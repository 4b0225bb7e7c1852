"""Not too large: full cooling against the load, since a unit larger than needed switches on and off and dries little."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import LARGE, LOADS, Outcome, SoFar

STAGE = LOADS
MOST_RATIO = 1.30
HEATED_MORE_W = 15_000.0 * 0.29307107  # 15 kBtu/h
HEATING_CLIMATE = 2.0
SMALLEST_W = 6_000.0 * 0.29307107 * 1.3
"""No smaller class than 6 kBtu/h is built, and its most is about a third above its rating: own choice."""


def rule(f: Facts, _: SoFar) -> Outcome:
    """At most 1.3 times the load; 15 kBtu/h above it where heating rules (its degree-days at least twice those of cooling)."""
    loads, total = f.loads, f.cooling["total_W"]
    load = loads.sensible_W + loads.latent_W
    heats = loads.sites.hdd_per_cdd >= HEATING_CLIMATE
    limit = np.maximum(np.where(heats, load + HEATED_MORE_W, MOST_RATIO * load), SMALLEST_W)
    return Outcome(
        code="not too large",
        title="full cooling within the published limit",
        ok=total <= limit,
        source="ANSI/ACCA 3 (2014), variable speed, from memory: total cooling at most 1.3 times the load; heat pumps where "
        "heating rules may exceed it by 15 kBtu/h (4.4 kW)",
        quantities={"cooling_W": total, "limit_W": limit, "ratio": f.cooling["ratio"]},
        verdict=LARGE,
    )
