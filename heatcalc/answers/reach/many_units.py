"""Every unit judged at every place: the same judge as a sizing, a row of places at a time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.facts import Asked, Facts, Rooms
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.plan import Judged, judge
from heatcalc.judge.rules import TOO_SMALL
from heatcalc.judge.rules.not_too_large import MOST_RATIO
from heatcalc.judge.three_plans import first_plans

Array = np.ndarray
DRIES, LITTLE, SHORT = "dries", "dries little", "short of drying"
HUMIDITY = np.array([DRIES, LITTLE, SHORT])
PER_PLACE = (
    "verdict",
    "chance",
    "most_heat_W",
    "backup_W",
    "held_C",
    "supply",
    "sensible_cooling_W",
    "latent_cooling_W",
    "humidity",
    "cold_A",
    "hot_A",
    "from_cord",
)
UNIT_COLUMNS = (*PER_PLACE, "holds", "kept")  # of `UnitReach`, all that is shown
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
    def holds(self) -> Array:
        """Whether unit and heater hold the set point with the chance asked for."""
        return self.judged.holds

    @property
    def kept(self) -> Array:
        """Whether the unit's own plan stays on the supply the house has, with the lock-out it takes."""
        return np.array([kept for _, _, kept in first_plans([self.judged], self.judged.house)])

    @property
    def most_heat_W(self) -> Array:
        """Most heat at the design cold."""
        return self.judged.facts.heat_W

    @property
    def estimated(self) -> Array:
        """Whether that is an estimate."""
        return self.judged.facts.there.most_at_design.mark == "estimated"

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
    """The unit of each place's first plan, -1 where it is too small, and the lock-out it takes ("" where none)."""
    first = first_plans([u.judged for u in found], house)
    best = [-1 if found[n].verdict[k] == TOO_SMALL else n for k, (n, _, _) in enumerate(first)]
    return np.array(best), np.array(["" if lock is None else lock.words for _, lock, _ in first], dtype=object)
