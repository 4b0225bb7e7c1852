"""Cools: the unit's full output carries the hottest hour, and its table reaches there."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import LOADS, TOO_SMALL, Outcome, SoFar

STAGE = LOADS
COOLING_SHORT = 0.90  # lower limit of total capacity over load: ANSI/ACCA 3 (2014), from memory


def rule(f: Facts, _: SoFar) -> Outcome:
    """Sensible load in full, total load to nine tenths; a point beyond the table is extrapolated with a band, never off."""
    loads, c = f.loads, f.cooling
    damp = f.cooling_at(loads.damp_C, loads.damp_sensible_W, loads.damp_latent_W)
    hot_ok = _carries(c, loads.sensible_W, loads.latent_W)
    dry_ok = _carries(damp, loads.damp_sensible_W, loads.damp_latent_W)
    last = float(f.unit.cooling.outdoor_C[-1])
    return Outcome(
        code="cools",
        title="carries the hottest and the dampest hour",
        ok=hot_ok & dry_ok,
        source="ANSI/ACCA 3 (2014), lower limit of total cooling, from memory",
        quantities={
            "hot_C": loads.hot_C,
            "sensible_load_W": loads.sensible_W,
            "latent_load_W": loads.latent_W,
            "sensible_cooling_W": c["sensible_W"],
            "latent_cooling_W": c["latent_W"],
            "carries_hot": hot_ok,
            "carries_damp": dry_ok,
            "damp_C": loads.damp_C,
            "damp_load_W": loads.damp_sensible_W + loads.damp_latent_W,
            "beyond_table_K": np.maximum(loads.hot_C - last, 0.0),
        },
        verdict=TOO_SMALL,
    )


def _carries(c: dict[str, np.ndarray], sensible_W: np.ndarray, latent_W: np.ndarray) -> np.ndarray:
    """Sensible load in full, total to nine tenths."""
    return (c["sensible_W"] >= sensible_W) & (c["sensible_W"] + c["latent_W"] >= COOLING_SHORT * (sensible_W + latent_W))
