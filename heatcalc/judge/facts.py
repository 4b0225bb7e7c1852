"""What a unit does against a house's loads, everywhere at once: the numbers that the rules read.

One unit, one package of a house, a value for each place.  A sizing is the case of one place; a map of the country the case
of a thousand; a house that moves takes the worst of its places.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.chance import Spread, normal_below, normal_nodes, of_nodes
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.sites import MONTH_SHARES
from heatcalc.judge.unit_there import MILD_C, Rooms, UnitThere
from heatcalc.physics.unit.heat_pump import REACH_K, operate, value_W
from heatcalc.physics.unit.outdoor_unit import cooling_input_W, heating_input_W
from heatcalc.supply.coincidence import POWER_FACTOR, largest_cooling_A

Array = np.ndarray
EXCESS_LATENT_TO_SENSIBLE = 0.5
MILDEST_COOLING_C = 20.0
HOT_SHARE = 0.15
"""Load and cooling of the hottest hour together, one standard deviation over the sensible load: own choice, not measured."""


@dataclass(frozen=True)
class Asked:
    """What the builder asks of every unit: the chance it is to hold with, and what only the user knows."""

    sure: float = 0.9


@dataclass(frozen=True, eq=False)
class Facts:
    """One unit against a house's loads everywhere, whatever the supply; SI, one value a place unless it says otherwise."""

    unit: Unit
    loads: ManyLoads
    rooms: Rooms
    asked: Asked = field(default_factory=Asked)

    @cached_property
    def there(self) -> UnitThere:
        """The unit at the places, whatever the house."""
        return self.rooms.with_unit(self.unit)

    # ---- heating

    @property
    def heat_W(self) -> Array:
        """Most heat at the design cold; 0 where the unit is off."""
        return self.there.heat_W

    @cached_property
    def missing_W(self) -> Array:
        """Load less capacity at the design cold, on paper."""
        return self.loads.heating_W - self.heat_W

    @cached_property
    def mild_load_W(self) -> Array:
        """Load at 47 F without sun and people."""
        return self.loads.at(np.array([MILD_C]))[:, 0]

    # ---- chance

    @cached_property
    def climate_spread(self) -> Spread:
        """What the place's own error of its design cold does to load less capacity."""
        nodes, weights = normal_nodes()
        missing = self.loads.near_cold_W - self.there.near_cold_W
        return of_nodes(missing - missing[:, [len(nodes) // 2]], weights, self.rooms.climate_cases)

    @cached_property
    def spread(self) -> Spread:
        """Load less the unit's heat at the design cold, everything uncertain joined; its mean is the missing heat itself."""
        usual = self.loads.heating_W - self.there.unstopped_W
        whole = self.loads.spread + self.there.spread_W + self.climate_spread
        return replace(whole, mean=usual + whole.mean)

    def chance(self, heater_W: Array | float, whole: Array | bool = False, gains_W: Array | float = 0.0) -> Array:
        """Chance that unit and heater hold the set point at the design cold; `whole` where the heater carries it alone."""
        beside = self.spread.chance_below(heater_W + gains_W)
        alone = self.loads.alone.chance_below(heater_W + gains_W)
        return np.where(whole, np.maximum(beside, alone), np.minimum(beside, np.maximum(self.there.chance_it_runs, alone)))

    def chance_between(self, heater_W: Array | float, whole: Array | bool = False) -> tuple[Array, Array]:
        """The 95 % interval of that chance by how well its ranges are known (`chance.Spread.between`)."""
        chance = self.chance(heater_W, whole)
        found = zip(self.loads.alone.between(chance), self.spread.between(chance), strict=True)
        low, high = (np.where(whole, alone, beside) for alone, beside in found)
        return low, high

    def heater_for_W(self, sure: float) -> Array:
        """Heat a second heater must give beside the unit at the design cold, to hold with a chance; never below nil."""
        return np.maximum(self.spread.quantile(sure), 0.0)

    # ---- the temperature held

    def held_C(self, heater_W: Array, sure: float | None, which: Array | slice = slice(None)) -> Array:
        """Coldest outdoor temperature down to which unit and heater hold the set point: with a chance, or on paper (None).

        which : the places asked for, one heater each.  The climate is not uncertain here: the answer is a temperature.  NaN where
        they do not hold even the mildest.
        """
        at, load = self.loads.fine_C, self.loads.fine_W[which]
        heat = np.outer(self.rooms.total[which], value_W(self.there.heating, at, "max"))
        short = load - heat if sure is None else self._short_W(load, heat, sure, which)
        return _last_held(at, short > np.asarray(heater_W)[:, None] + 1e-9)

    def _short_W(self, load: Array, heat: Array, sure: float, which: Array | slice) -> Array:
        house, unit = (x.take(which) for x in (self.loads.spread, self.there.spread))
        share = load / self.loads.heating_W[which][:, None]
        column = [Spread(s.mean[:, None], s.variance[:, None], s.third[:, None]) for s in (house, unit)]
        both = column[0].times(share) + column[1].times(-heat)
        return Spread(load - heat + both.mean, both.variance, both.third).quantile(sure)

    # ---- cooling

    @cached_property
    def cooling(self) -> dict[str, Array]:
        """Full output in the hot hour; see `cooling_at`."""
        return self.cooling_at(self.loads.hot_C, self.loads.sensible_W, self.loads.latent_W)

    def cooling_at(self, outdoor_C: Array, sensible_W: Array, latent_W: Array) -> dict[str, Array]:
        """Full output at an hour of some load: sensible and latent [W], total over load, input [W].

        Latent capacity beyond the load dries the room, and a drier coil cools more: half of the excess counts as sensible
        (the usual selection rule, from memory).
        """
        hot = np.minimum(outdoor_C, self.unit.cooling.outdoor_C[-1] + REACH_K)  # beyond the table its last estimate is kept
        capacities, inputs = self.there.cooled(hot)
        total = capacities[-1]
        latent = total * (1 - self.there.share(hot))
        turned = EXCESS_LATENT_TO_SENSIBLE * np.maximum(latent - latent_W, 0.0)
        load = sensible_W + latent_W
        run = operate(capacities, inputs, load)
        return {
            "sensible_W": total - latent + turned,
            "latent_W": latent - turned,
            "total_W": total,
            "ratio": np.where(load > 0, total / np.maximum(load, 1e-9), np.inf),
            "input_W": cooling_input_W(self.unit, outdoor_C, run),
        }

    @cached_property
    def chance_hot(self) -> Array:
        """Chance that the unit carries the sensible load of the hottest hour; load and output together are off by `HOT_SHARE`."""
        load_W = np.maximum(self.loads.sensible_W, 1e-9)
        return np.round(normal_below((self.cooling["sensible_W"] / load_W - 1.0) / HOT_SHARE), 4)

    def yearly_usd(self, which: Array | slice = slice(None)) -> Array:
        """A year's heat and cold by twelve months, for the order of plans alone: the plan shows the walked year [US dollars].

        which : the places asked for.  Each month is five hours about its mean (Gauss-Hermite, 6.5 K apart by the hour): the load
        line less the household's own heat over the input it takes then, what the unit cannot give by resistance; cooling runs
        straight from nil, 8 K below the set point, to the design hour.  Own choice.
        """
        loads, rows = self.loads, np.arange(len(self.loads.sites))[which]
        heat = loads.month_heat_W[rows]
        on = np.flatnonzero(heat > 0.0)
        at = rows[on // heat.shape[1]] * heat.shape[1] + on % heat.shape[1]
        capacities, inputs, pan, resting = self.there.month_levels
        run = operate(capacities[:, at], inputs[:, at], heat.ravel()[on])
        watts = resting.reshape(loads.month_heat_W.shape)[rows]
        watts.ravel()[on] = run.power_W + run.run_fraction * pan[at] + (1.0 - run.run_fraction) * resting[at] + run.unmet_W
        watts = watts @ MONTH_SHARES + loads.month_cold_W[rows] / np.maximum(self._cooling_cop[rows], 0.1)
        return np.round(watts * 8.76 * loads.sites.usd_per_kWh[rows], 2)

    @cached_property
    def _cooling_cop(self) -> Array:
        """COP in the hot hour at its load."""
        loads = self.loads
        return (loads.sensible_W + loads.latent_W) / np.maximum(self.cooling["input_W"], 1.0)

    @cached_property
    def most_cooling_A(self) -> Array:
        """Largest tabled amperes while it cools, up to the hot hour."""
        return largest_cooling_A(self.there.here, MILDEST_COOLING_C, self.loads.hot_C)

    @cached_property
    def cold_A(self) -> Array:
        """Mean amperes in the design cold at the load carried."""
        run = operate(*self.there.cold_levels, self.loads.heating_W)
        return heating_input_W(self.unit, self.loads.design_C, run) / (self.unit.volts * POWER_FACTOR)

    @cached_property
    def hot_A(self) -> Array:
        """Mean amperes in the hour of the largest cooling load."""
        return self.cooling["input_W"] / (self.unit.volts * POWER_FACTOR)


def _last_held(at: Array, short: Array) -> Array:
    """The temperature above the warmest one that falls short; the coldest of the grid where none does, NaN where all do."""
    last = short.shape[1] - 1 - np.argmax(short[:, ::-1], axis=1)
    held = np.where(short.any(axis=1), at[np.minimum(last + 1, len(at) - 1)], at[0])
    return np.where(short[:, -1], np.nan, held)
