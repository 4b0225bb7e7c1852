"""Runs: the unit's lowest operating temperature lies below the cold of the place, or a heater carries the whole house then."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.chance import Spread
from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import LOADS, STOPS, Outcome, SoFar

STAGE = LOADS


def rule(f: Facts, _: SoFar) -> Outcome:
    """Against the colder of the 99.6 % temperature less its sigma and the coldest hour of the typical record."""
    loads = f.loads
    ok = f.there.coldest_running_C < loads.coldest_C
    share = loads.coldest_W / loads.heating_W
    alone = Spread(np.zeros_like(share), np.zeros_like(share), np.zeros_like(share)) + loads.spread.times(share)
    whole_W = np.maximum(loads.coldest_W + alone.quantile(f.asked.sure), 0.0)
    return Outcome(
        code="runs",
        title="runs in the coldest hours",
        ok=ok,
        source="own choice: lowest operating temperature of the unit's table against the place's record less one sigma",
        quantities={
            "stops_below_C": np.full(ok.shape, f.there.coldest_running_C),
            "coldest_C": loads.coldest_C,
            "load_then_W": loads.coldest_W,
        },
        verdict=STOPS,
        heater_W=np.where(ok, 0.0, whole_W),
        heater_for="the whole house in the hours in which the heat pump stands still",
        whole=~ok,
    )
