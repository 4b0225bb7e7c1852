"""What a unit does against a house's loads, everywhere at once: the numbers that the rules read.

One unit, one package of a house, a value for each place.  A sizing is the case of one place; a map of the country the case
of a thousand; a house that moves takes the worst of its places.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.chance import CLIMATE_CASES, CLIMATE_CASES_ELSEWHERE, Spread, normal_below, normal_nodes, of_nodes, triangular
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.sites import Sites
from heatcalc.model.fleet_learning import general_range
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.altitude import capacity_factor, sensible_factor, spread
from heatcalc.physics.unit.at_site import at_site, shares_in_rooms, wet_bulb_factors
from heatcalc.physics.unit.extras import cooling_input_W, heating_input_W
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, capacity, level_values, operate, value_W
from heatcalc.physics.unit.printed_room import in_printed_rooms, own_and_printed, room_weights
from heatcalc.supply.coincidence import POWER_FACTOR, largest_cooling_A, largest_heating_A

Array = np.ndarray
HEIGHTS_m = np.array([0.0, 1500.0, 3000.0])  # the coil's share in the room, drawn through these; within 1e-5 of each place
MILD_C = (47.0 - 32.0) / 1.8  # the mild end of the range, 47 F
EXCESS_LATENT_TO_SENSIBLE = 0.5
COOLS_FROM_K, HOURLY_SD_K = 8.0, 6.5
MONTH_NODES, MONTH_WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
MILDEST_COOLING_C = 20.0
MOST_KEPT = 500


@dataclass(frozen=True)
class Asked:
    """What the builder asks of every unit: the chance it is to hold with, and what only the user knows."""

    sure: float = 0.9


class Rooms:
    """What the places do to any unit: altitude, and the wet bulb of the cooled room."""

    def __init__(self, house: House, sites: Sites):
        points, z = house.set_points, sites.elevation_m
        self.points, self.elevation_m = points, z
        lifted = z >= 1.0
        self.total = np.where(lifted, capacity_factor(z), 1.0)
        self.drier = np.where(lifted, sensible_factor(z), 1.0)
        self.wet_C = self._wet(z)
        self.heights_wet_C = self._wet(HEIGHTS_m)
        self.factors: dict[float, tuple[Array, Array]] = {}
        self.month_hours_C = (sites.mean_C[:, :, None] + HOURLY_SD_K * MONTH_NODES).reshape(len(sites), -1)
        self.levels: dict[int, tuple[Curves, Array, Array]] = {}
        self.climate_cases = np.array([CLIMATE_CASES.get(state, CLIMATE_CASES_ELSEWHERE) for state in sites.state])

    @cached_property
    def altitude(self) -> Spread:
        """Published factors of altitude about the one used, as shares of it: triangular over their span."""
        found = list(spread(self.elevation_m).values())
        low, high, middle = np.min(found, axis=0), np.max(found, axis=0), capacity_factor(self.elevation_m)
        return triangular(low / middle - 1.0, 0.0, high / middle - 1.0)

    def month_levels(self, curves: Curves) -> tuple[Array, Array]:
        """Capacity and power by level in those hours, (levels, places, 60), worked out once for all packages of a model."""
        if id(curves) not in self.levels:
            self.levels[id(curves)] = curves, *level_values(curves, self.month_hours_C)
        return self.levels[id(curves)][1:]

    def _wet(self, elevation_m: Array) -> Array:
        p, pressure = self.points, moist_air.pressure_at_altitude(elevation_m)
        inside = moist_air.humidity_ratio_from_relative(p.cooling, p.cooling_humidity, pressure)
        return moist_air.wet_bulb(p.cooling, inside, pressure)

    def cooling_factors(self, unit: Unit) -> tuple[Array, Array]:
        """Cooling capacity and power over the rated room's (`at_site.wet_bulb_factors`)."""
        rated = unit.cooling.indoor_wet_bulb_C
        if rated not in self.factors:
            self.factors[rated] = wet_bulb_factors(self.wet_C, rated)
        return self.factors[rated]

    def cooled(self, unit: Unit, outdoor_C: Array) -> tuple[Array, Array]:
        """Cooling capacity and power by level at each place's outdoor temperature in its room, (level, place) [W].

        The rows the unit prints for other rooms weigh as in `printed_room`.
        """
        more, power = self.cooling_factors(unit)
        weights = room_weights(own_and_printed(unit.cooling), self.points.cooling, self.wet_C).T
        printed = [level_values(curves, outdoor_C) for curves in in_printed_rooms(unit.cooling)]
        capacities, inputs = (sum(w * found[k] for w, found in zip(weights, printed, strict=True)) for k in (0, 1))
        return capacities * more * self.total, inputs * power

    def share(self, unit: Unit, hot_C: Array) -> Array:
        """Sensible share at full output in the hot hour: exact at three heights, a parabola in the wet bulb between."""
        curves = unit.cooling
        level = curves.levels[-1]
        room_C, x, y = self.points.cooling, self.heights_wet_C, self.wet_C
        found = shares_there(curves, room_C, tuple(np.round(x, 9).tolist()))
        weights = [np.ones(len(y))]
        if np.ptp(x) > 1e-6:
            weights = [np.prod([(y - x[j]) / (x[k] - x[j]) for j in range(3) if j != k], axis=0) for k in range(3)]
        row = np.sum([np.outer(w, f) for w, f in zip(weights, found, strict=False)], axis=0)
        over = [np.ones(len(curves.outdoor_C)), *(room.sensible[level] for room in curves.rooms)]
        row = np.clip(row * (room_weights(own_and_printed(curves), room_C, y) @ np.array(over)), 0.0, 1.0)
        return _interpolated(hot_C, curves.outdoor_C, np.where(row > 0.999, row, row * self.drier[:, None]))


def _interpolated(at: Array, nodes: Array, values: Array) -> Array:
    """Straight between nodes, held beyond; a row of values for each `at`."""
    i = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, max(len(nodes) - 2, 0))
    if len(nodes) == 1:
        return values[:, 0]
    x = np.clip((at - nodes[i]) / (nodes[i + 1] - nodes[i]), 0.0, 1.0)
    rows = np.arange(len(at))
    return (1 - x) * values[rows, i] + x * values[rows, i + 1]


_SHARES: dict[tuple[int, float, tuple[float, ...]], tuple[Curves, Array]] = {}


def shares_there(curves: Curves, room_C: float, wet_C: tuple[float, ...]) -> Array:
    """Sensible shares of a unit at full output in other cooled rooms, (rooms, nodes), worked out once (see `_HEATED`)."""
    key = (id(curves), room_C, wet_C)
    if key not in _SHARES:
        if len(_SHARES) > MOST_KEPT:
            _SHARES.clear()
        _SHARES[key] = curves, shares_in_rooms(curves, room_C, np.array(wet_C))
    return _SHARES[key][1]


_HEATED: dict[tuple[int, float], tuple[Unit, Unit]] = {}
"""Units in a heated room at sea level, by identity; each with its unit, so that no other can take its place in memory."""


def heated(unit: Unit, room_C: float) -> Unit:
    """The unit in a heated room at sea level, worked out once."""
    key = (id(unit), room_C)
    if key not in _HEATED:
        if len(_HEATED) > MOST_KEPT:
            _HEATED.clear()
        _HEATED[key] = unit, at_site(unit, 0.0, room_C)
    return _HEATED[key][1]


@dataclass(frozen=True, eq=False)
class Facts:
    """One unit against a house's loads everywhere, whatever the supply; SI, one value a place unless it says otherwise."""

    unit: Unit
    loads: ManyLoads
    rooms: Rooms
    asked: Asked = field(default_factory=Asked)

    # ---- heating

    @cached_property
    def here(self) -> Unit:
        """The unit in this house's heated room, at sea level."""
        return heated(self.unit, self.rooms.points.heating)

    @property
    def heating(self) -> Curves:
        """Its heating curves there."""
        return self.here.heating

    @cached_property
    def coldest_running_C(self) -> float:
        """The unit gives no heat below: its lowest operating temperature, or where its table has nothing to say."""
        return max(self.heating.lowest_C, float(self.heating.outdoor_C[0]) - REACH_K)

    def most_heat_W(self, outdoor_C: Array) -> Array:
        """Most heat at each place's own temperatures, as if it never stopped: below its lowest it keeps what it gives there."""
        return self._at_places(value_W(self.heating, np.maximum(outdoor_C, self.coldest_running_C), "max"))

    def _at_places(self, watts: Array) -> Array:
        """Capacity at sea level as capacity at each place's height; places along the first axis."""
        return watts * (self.rooms.total if np.ndim(watts) == 1 else self.rooms.total[:, None])

    @cached_property
    def most_at_design(self):
        """The estimate of the most heat at the design cold, at sea level, with its band and mark."""
        return capacity(self.heating, self.loads.design_C, "max")

    @cached_property
    def heat_W(self) -> Array:
        """Most heat at the design cold; 0 where the unit is off."""
        return self.most_at_design.value_W * self.rooms.total

    @cached_property
    def heat_996_W(self) -> Array:
        """Most heat at the 99.6 % temperature."""
        return value_W(self.heating, self.loads.sites.heating_996_C, "max") * self.rooms.total

    @cached_property
    def missing_W(self) -> Array:
        """Load less capacity at the design cold, on paper."""
        return self.loads.heating_W - self.heat_W

    @cached_property
    def least_mild_W(self) -> Array:
        """Least steady heat at the mild end, 47 F."""
        return float(value_W(self.heating, MILD_C, "min")[0]) * self.rooms.total

    @cached_property
    def mild_load_W(self) -> Array:
        """Load there without sun and people."""
        return self.loads.at(np.array([MILD_C]))[:, 0]

    # ---- chance

    @cached_property
    def unit_spread(self) -> Spread:
        """How far the unit's most heat may be off, as shares of it: its table, a filled or extrapolated point, altitude."""
        low, middle, high = general_range("capacity")
        table = triangular(low - middle, 0.0, high - middle)
        most = self.most_at_design
        value = np.maximum(most.value_W, 1e-9)
        estimated = most.mark == "estimated"
        band = [np.where(estimated, x / value - 1.0, 0.0) for x in (most.low_W, most.high_W)]
        return table + triangular(band[0], 0.0, band[1]) + self.rooms.altitude

    @cached_property
    def climate_spread(self) -> Spread:
        """What the place's own error of its design cold does to load less capacity."""
        nodes, weights = normal_nodes()
        at = self.loads.design_C[:, None] + self.loads.sites.sigma_heating_K[:, None] * nodes
        missing = self.loads.at_own(at) - self.most_heat_W(at)
        return of_nodes(missing - missing[:, [len(nodes) // 2]], weights, self.rooms.climate_cases)

    @cached_property
    def spread(self) -> Spread:
        """Load less the unit's heat at the design cold, everything uncertain joined; its mean is the missing heat itself."""
        usual = self.loads.heating_W - self.most_heat_W(self.loads.design_C[:, None])[:, 0]
        whole = self.loads.spread + self.unit_spread.times(-self.most_heat_W(self.loads.design_C[:, None])[:, 0])
        whole = whole + self.climate_spread
        return replace(whole, mean=usual + whole.mean)

    @cached_property
    def alone(self) -> Spread:
        """The load by itself, everything uncertain of the house joined."""
        return replace(self.loads.spread, mean=self.loads.heating_W + self.loads.spread.mean)

    @cached_property
    def chance_it_runs(self) -> Array:
        """Chance that the design cold is not below where the unit stops."""
        sigma = np.maximum(self.loads.sites.sigma_heating_K, 1e-9)
        return normal_below((self.loads.design_C - self.coldest_running_C) / sigma)

    def chance(self, heater_W: Array | float, whole: Array | bool = False, gains_W: Array | float = 0.0) -> Array:
        """Chance that unit and heater hold the set point at the design cold; `whole` where the heater carries it alone."""
        beside = self.spread.chance_below(heater_W + gains_W)
        alone = self.alone.chance_below(heater_W + gains_W)
        return np.where(whole, np.maximum(beside, alone), np.minimum(beside, np.maximum(self.chance_it_runs, alone)))

    def chance_between(self, heater_W: Array | float, whole: Array | bool = False) -> tuple[Array, Array]:
        """The 95 % interval of that chance by how well its ranges are known (`chance.Spread.between`)."""
        chance = self.chance(heater_W, whole)
        found = zip(self.alone.between(chance), self.spread.between(chance), strict=True)
        low, high = (np.where(whole, alone, beside) for alone, beside in found)
        return low, high

    def heater_for_W(self, sure: float) -> Array:
        """Heat a second heater must give beside the unit at the design cold, to hold with a chance; never below nil."""
        return np.maximum(self.spread.quantile(sure), 0.0)

    # ---- the temperature held

    def held_C(self, heater_W: Array, sure: float | None) -> Array:
        """Coldest outdoor temperature down to which unit and heater hold the set point: with a chance, or on paper (None).

        The climate is not uncertain here: the answer is a temperature.  NaN where they do not hold even the mildest.
        """
        at = self.loads.fine_C
        load = self.loads.fine_W
        heat = self._at_places(np.broadcast_to(value_W(self.heating, at, "max"), load.shape))
        short = load - heat if sure is None else self._short_W(load, heat, sure)
        return _last_held(at, short > np.asarray(heater_W)[:, None] + 1e-9)

    def _short_W(self, load: Array, heat: Array, sure: float) -> Array:
        house = self.loads.spread
        share = load / self.loads.heating_W[:, None]
        unit = self.unit_spread
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
        rooms = self.rooms
        hot = np.minimum(outdoor_C, self.unit.cooling.outdoor_C[-1] + REACH_K)  # beyond the table its last estimate is kept
        capacities, inputs = rooms.cooled(self.unit, hot)
        total = capacities[-1]
        latent = total * (1 - rooms.share(self.unit, hot))
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

    def yearly_usd(self, which: Array | slice = slice(None)) -> Array:
        """A year's heat and cold by twelve months, for the order of plans alone: the plan shows the walked year [US dollars].

        which : the places asked for.  Each month is five hours about its mean (Gauss-Hermite, 6.5 K apart by the hour): the load
        line less the household's own heat over the input it takes then, what the unit cannot give by resistance; cooling runs
        straight from nil, 8 K below the set point, to the design hour.  Own choice.
        """
        loads, at = self.loads, self.rooms.month_hours_C[which]
        share = np.tile(MONTH_WEIGHTS / MONTH_WEIGHTS.sum(), 12) / 12.0
        heat = np.maximum(loads.at_own(at, which) - loads.night_gains_W[which, None], 0.0)
        capacities, inputs = (levels[:, which] for levels in self.rooms.month_levels(self.heating))
        run = operate(capacities * self.rooms.total[which, None], inputs, heat)
        watts = (heating_input_W(self.unit, at, run) + run.unmet_W) @ share
        none = self.rooms.points.cooling - COOLS_FROM_K
        load = (loads.sensible_W + loads.latent_W)[which, None]
        cold = np.clip((at - none) / np.maximum(loads.hot_C - none, 1.0)[which, None], 0.0, 1.0) * load
        watts = watts + (cold / np.maximum(self._cooling_cop[which, None], 0.1)) @ share
        return np.round(watts * 8.76 * loads.sites.usd_per_kWh[which], 2)

    @cached_property
    def _cooling_cop(self) -> Array:
        """COP in the hot hour at its load."""
        loads = self.loads
        return (loads.sensible_W + loads.latent_W) / np.maximum(self.cooling["input_W"], 1.0)

    @cached_property
    def most_heating_A(self) -> Array:
        """Largest tabled amperes while it heats, from the coldest hours up to its room."""
        return largest_heating_A(self.here, self.loads.coldest_C, self.rooms.points.heating)

    @cached_property
    def most_cooling_A(self) -> Array:
        """Largest tabled amperes while it cools, up to the hot hour."""
        return largest_cooling_A(self.here, MILDEST_COOLING_C, self.loads.hot_C)

    @cached_property
    def cold_A(self) -> Array:
        """Mean amperes in the design cold at the load carried."""
        capacities, inputs = level_values(self.heating, self.loads.design_C)
        run = operate(capacities * self.rooms.total, inputs, self.loads.heating_W)
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
