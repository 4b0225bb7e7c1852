"""Every unit judged at every place: the same judge as a sizing, a row of places at a time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import lock_outs
from heatcalc.judge.facts import Asked, Facts, Rooms
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.plan import Judged, judge, on_panel, order_columns
from heatcalc.judge.rules import TOO_SMALL
from heatcalc.judge.rules.not_too_large import MOST_RATIO

Array = np.ndarray
DRIES, LITTLE, SHORT = "dries", "dries little", "short of drying"
HUMIDITY = np.array([DRIES, LITTLE, SHORT])
MOIST_SHARE = 0.15  # of the cooling load; below it the air outside dries the house: own choice


@dataclass(frozen=True, eq=False)
class UnitReach:
    """One unit with one package, a value for each place; SI."""

    judged: Judged

    @property
    def unit(self) -> Unit:
        """The unit."""
        return self.judged.unit

    @property
    def verdict(self) -> Array:
        """Words of `rules.WORDS`."""
        return self.judged.verdict

    @property
    def chance(self) -> Array:
        """Chance that unit and heater hold the design cold."""
        return self.judged.chance

    @property
    def backup_W(self) -> Array:
        """The plan's second heater."""
        return self.judged.heater_W

    @property
    def supply(self) -> Array:
        """The smallest supply; empty beyond the table."""
        return self.judged.outcome("supply").quantities["smallest"]

    @property
    def from_cord(self) -> Array:
        """Whether the supply the house has carries it."""
        return self.judged.supply_carried

    @property
    def most_heat_W(self) -> Array:
        """Most heat at the design cold."""
        return self.judged.facts.heat_W

    @property
    def estimated(self) -> Array:
        """Whether that is an estimate."""
        return self.judged.facts.most_at_design.mark == "estimated"

    @cached_property
    def held_C(self) -> Array:
        """Coldest outdoor temperature held at the chance asked for, with the heater; NaN where none is."""
        return np.round(self.judged.facts.held_C(self.judged.heater_W, self.judged.facts.asked.sure), 2)

    @property
    def sensible_cooling_W(self) -> Array:
        """Sensible capacity in the hot hour."""
        return self.judged.facts.cooling["sensible_W"]

    @property
    def latent_cooling_W(self) -> Array:
        """Latent capacity then."""
        return self.judged.facts.cooling["latent_W"]

    @property
    def cold_A(self) -> Array:
        """Mean amperes in the design cold."""
        return self.judged.facts.cold_A

    @property
    def hot_A(self) -> Array:
        """Mean amperes in the hour of the largest cooling load."""
        return self.judged.facts.hot_A

    @property
    def humidity(self) -> Array:
        """What full cooling means for humidity in the design hour: words of HUMIDITY."""
        loads, ratio = self.judged.facts.loads, self.judged.facts.cooling["ratio"]
        moist = loads.latent_W > MOIST_SHARE * (loads.sensible_W + loads.latent_W)
        damp = np.select([moist & (self.latent_cooling_W < loads.latent_W), moist & (ratio > MOST_RATIO)], [2, 1], 0)
        return HUMIDITY[damp]


def judge_everywhere(unit: Unit, house: House, loads: ManyLoads, rooms: Rooms, asked: Asked) -> UnitReach:
    """The unit with one house everywhere; the judge of a sizing."""
    return UnitReach(judge(Facts(unit, loads, rooms, asked), house))


def best_kept(found: list[UnitReach], house: House) -> tuple[Array, Array]:
    """The unit of each place's first plan, and the lock-out it takes ("" where none): as `three_plans` chooses."""
    best, said = best_of(found), np.full(len(found[0].verdict), "", dtype=object)
    rows = np.arange(len(best))
    carried = np.array([u.from_cord for u in found])[best, rows] & (best >= 0)
    able = [k for k, u in enumerate(found) if (u.judged.holds & u.judged.outcome("supply").quantities["volts_fit"]).any()]
    for change in lock_outs(house):
        if carried.all() or not able:
            break
        other = [UnitReach(on_panel(found[k].judged, change.house)) for k in able]
        at = best_of(other)
        first, kept = np.array(able)[at], np.array([u.from_cord & u.judged.holds for u in other])[at, rows]
        kept &= ~carried & (at >= 0)
        best, said = np.where(kept, first, best), np.where(kept, change.words, said)
        carried |= kept
    return best, said


def best_of(found: list[UnitReach]) -> Array:
    """The unit that comes first at each place and is not too small, as a number into `found`; -1 for none."""
    by_name = sorted(range(len(found)), key=lambda k: found[k].unit.name)
    keys = np.array([order_columns(found[k].judged) for k in by_name])  # (units, keys, places)
    small = np.array([found[k].verdict == TOO_SMALL for k in by_name])
    first = np.lexsort(keys.transpose(1, 0, 2)[::-1], axis=0)[0]
    return np.where(small[first, np.arange(keys.shape[2])], -1, np.array(by_name)[first])
