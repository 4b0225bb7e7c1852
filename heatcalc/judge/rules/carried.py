"""Supply: the smallest supply that carries the unit at its largest input, its heater, and what runs beside them."""

from __future__ import annotations

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import SUPPLY, Outcome, SoFar
from heatcalc.physics.unit.outdoor_unit import resting_W
from heatcalc.supply.coincidence import Situation, smallest_cord
from heatcalc.supply.cord import SEASON_WORDS, cord_named

STAGE = SUPPLY
VOLTS = "voltage of the heat pump or its heater"


def situations(f: Facts, so_far: SoFar) -> tuple[Situation, ...]:
    """The moments in which loads coincide: those of the cold, and largest tabled input at the hot start."""
    cold, still = cold_situations(f, so_far)
    return cold, Situation(name="hot", unit_A=f.most_cooling_A, dehumidifier_W=so_far.dehumidifier_W), still


def cold_situations(f: Facts, so_far: SoFar) -> tuple[Situation, Situation]:
    """Largest tabled input at the design hours' side and recovery, and the hours in which the heat pump stands still and its
    heater, interlocked with it, carries the house alone."""
    resting_A = np.asarray(resting_W(f.unit, f.loads.coldest_C)) / f.unit.volts
    return (
        Situation(name="cold", unit_A=f.there.most_heating_A, heater_W=so_far.beside_W),
        Situation(name="still", unit_A=resting_A, heater_W=np.where(so_far.whole, so_far.heater_W, 0.0)),
    )


def rule(f: Facts, so_far: SoFar) -> Outcome:
    """Worst of the design hours, of recovery and hot start at the largest tabled input, and of the hours a heater carries."""
    supply, when = so_far.house.supply, situations(f, so_far)
    found = smallest_cord(supply, when, f.unit.volts)
    own = found.on(cord_named(supply.cord))
    names = np.array([*(c.name for c in found.cords), ""])
    shape = np.broadcast_shapes(np.shape(so_far.heater_W), own.passes.shape)
    words = np.array([*(SEASON_WORDS[s.name] for s in when), VOLTS])
    on_smallest = np.array([c.set_by for c in found.carried])  # (supplies, cases)
    at = np.minimum(found.by_sum, len(found.cords) - 1)
    set_by = np.take_along_axis(np.broadcast_to(on_smallest, (len(found.cords), *at.shape)), at[None], axis=0)[0]
    by_volts = ~own.fits.all(axis=0) & (own.required_A.max(axis=0) <= own.cord.rating_A)
    return Outcome(
        code="supply",
        title="runs on the supply the house has",
        ok=np.broadcast_to(own.passes, shape),
        source="continuous loads at 125 %: NEC 210.20(A) and 215.3, from memory; largest tabled input of the unit: own choice",
        quantities={
            "smallest": np.broadcast_to(names[found.by_sum], shape),
            "set_by": np.broadcast_to(words[np.where(by_volts, len(when), set_by)], shape),
            "needed_A": np.broadcast_to(own.required_A.max(axis=0), shape),
            "volts_fit": np.broadcast_to(own.fits.all(axis=0), shape),
        },
    )
