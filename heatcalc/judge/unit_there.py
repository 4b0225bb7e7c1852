"""What a unit does at the places, in rooms of one set point, whatever the house: worked out once for all packages of a model."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.chance import CLIMATE_CASES, CLIMATE_CASES_ELSEWHERE, Spread, normal_below, triangular
from heatcalc.judge.sites import Sites
from heatcalc.model.fleet_learning import general_range
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import (
    at_site,
    capacity_factor,
    in_printed_rooms,
    own_and_printed,
    room_weights,
    sensible_factor,
    shares_in_rooms,
    spread,
    wet_bulb_factors,
)
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, Estimate, capacity, level_values, value_W
from heatcalc.physics.unit.outdoor_unit import pan_W, resting_W
from heatcalc.supply.coincidence import largest_heating_A

Array = np.ndarray
HEIGHTS_m = np.array([0.0, 1500.0, 3000.0])  # the coil's share in the room, drawn through these; within 1e-5 of each place
MILD_C = (47.0 - 32.0) / 1.8  # the mild end of the range, 47 F
MOST_KEPT = 500


class Rooms:
    """What the places do to any unit: their cold, altitude, and the wet bulb of the cooled room."""

    def __init__(self, house: House, sites: Sites):
        points, z = house.set_points, sites.elevation_m
        self.points, self.sites, self.elevation_m = points, sites, z
        self.design_C = sites.design_C(house.design.percentile)
        lifted = z >= 1.0
        self.total = np.where(lifted, capacity_factor(z), 1.0)
        self.drier = np.where(lifted, sensible_factor(z), 1.0)
        self.wet_C = self._wet(z)
        self.heights_wet_C = self._wet(HEIGHTS_m)
        self.climate_cases = np.array([CLIMATE_CASES.get(state, CLIMATE_CASES_ELSEWHERE) for state in sites.state])
        self.known: dict[int, UnitThere] = {}

    @cached_property
    def altitude(self) -> Spread:
        """Published factors of altitude about the one used, as shares of it: triangular over their span."""
        found = list(spread(self.elevation_m).values())
        low, high, middle = np.min(found, axis=0), np.max(found, axis=0), capacity_factor(self.elevation_m)
        return triangular(low / middle - 1.0, 0.0, high / middle - 1.0)

    def _wet(self, elevation_m: Array) -> Array:
        p, pressure = self.points, moist_air.pressure_at_altitude(elevation_m)
        inside = moist_air.humidity_ratio_from_relative(p.cooling, p.cooling_humidity, pressure)
        return moist_air.wet_bulb(p.cooling, inside, pressure)

    def with_unit(self, unit: Unit) -> UnitThere:
        """A unit in these rooms; each unit, by identity, once."""
        if id(unit) not in self.known:
            self.known[id(unit)] = UnitThere(unit, self)
        return self.known[id(unit)]


def _interpolated(at: Array, nodes: Array, values: Array) -> Array:
    """Straight between nodes, held beyond; a row of values for each `at`, or one for all."""
    i = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, max(len(nodes) - 2, 0))
    if len(nodes) == 1:
        return values[:, 0]
    x = np.clip((at - nodes[i]) / (nodes[i + 1] - nodes[i]), 0.0, 1.0)
    rows = np.arange(len(values))
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
class UnitThere:
    """One unit in rooms of one set point at every place; SI, one value a place unless it says otherwise."""

    unit: Unit
    rooms: Rooms

    # ---- heating

    @cached_property
    def here(self) -> Unit:
        """The unit in the heated room, at sea level."""
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
        return self.at_height(value_W(self.heating, np.maximum(outdoor_C, self.coldest_running_C), "max"))

    def at_height(self, watts: Array) -> Array:
        """Capacity at sea level as capacity at each place's height; places along the first axis."""
        return watts * (self.rooms.total if np.ndim(watts) == 1 else self.rooms.total[:, None])

    @cached_property
    def most_at_design(self) -> Estimate:
        """The estimate of the most heat at the design cold, at sea level, with its band and mark."""
        return capacity(self.heating, self.rooms.design_C, "max")

    @cached_property
    def heat_W(self) -> Array:
        """Most heat at the design cold; 0 where the unit is off."""
        return self.most_at_design.value_W * self.rooms.total

    @cached_property
    def unstopped_W(self) -> Array:
        """Most heat at the design cold as if it never stopped."""
        return self.most_heat_W(self.rooms.design_C)

    @cached_property
    def near_cold_W(self) -> Array:
        """The same at the temperatures about the design cold, (places, nodes); see `Sites.near_cold_C`."""
        return self.most_heat_W(self.rooms.sites.near_cold_C(self.rooms.design_C))

    @cached_property
    def least_mild_W(self) -> Array:
        """Least steady heat at the mild end, 47 F."""
        return float(value_W(self.heating, MILD_C, "min")[0]) * self.rooms.total

    @cached_property
    def cold_levels(self) -> tuple[Array, Array]:
        """Capacity and input by level at the design cold."""
        capacities, inputs = level_values(self.heating, self.rooms.design_C)
        return capacities * self.rooms.total, inputs

    @cached_property
    def month_levels(self) -> tuple[Array, Array, Array, Array]:
        """Capacity and input by level in the hours of the months, (levels, places x hours); pan heater and rest then."""
        at = self.rooms.sites.month_hours_C.ravel()
        capacities, inputs = level_values(self.heating, at)
        lifted = np.repeat(self.rooms.total, len(at) // len(self.rooms.total))
        return capacities * lifted, inputs, pan_W(self.unit, at), resting_W(self.unit, at)

    @cached_property
    def most_heating_A(self) -> Array:
        """Largest tabled amperes while it heats, from the coldest hours up to its room."""
        return largest_heating_A(self.here, self.rooms.sites.coldest_C, self.rooms.points.heating)

    # ---- chance

    @cached_property
    def spread(self) -> Spread:
        """How far the unit's most heat may be off, as shares of it: its table, a filled or extrapolated point, altitude."""
        low, middle, high = general_range("capacity")
        table = triangular(low - middle, 0.0, high - middle)
        most = self.most_at_design
        value = np.maximum(most.value_W, 1e-9)
        estimated = most.mark == "estimated"
        band = [np.where(estimated, x / value - 1.0, 0.0) for x in (most.low_W, most.high_W)]
        return table + triangular(band[0], 0.0, band[1]) + self.rooms.altitude

    @cached_property
    def spread_W(self) -> Spread:
        """The same as heat that the load misses."""
        return self.spread.times(-self.unstopped_W)

    @cached_property
    def chance_it_runs(self) -> Array:
        """Chance that the design cold is not below where the unit stops."""
        sigma = np.maximum(self.rooms.sites.sigma_heating_K, 1e-9)
        return normal_below((self.rooms.design_C - self.coldest_running_C) / sigma)

    # ---- cooling

    @cached_property
    def _room_weights(self) -> Array:
        return room_weights(own_and_printed(self.unit.cooling), self.rooms.points.cooling, self.rooms.wet_C)

    @cached_property
    def _wet_bulb_factors(self) -> tuple[Array, Array]:
        return wet_bulb_factors(self.rooms.wet_C, self.unit.cooling.indoor_wet_bulb_C)

    def cooled(self, outdoor_C: Array) -> tuple[Array, Array]:
        """Cooling capacity and power by level at each place's outdoor temperature in its room, (level, place) [W].

        The rows the unit prints for other rooms weigh as in `printed_room`.
        """
        more, power = self._wet_bulb_factors
        printed = [level_values(curves, outdoor_C) for curves in in_printed_rooms(self.unit.cooling)]
        capacities, inputs = (sum(w * found[k] for w, found in zip(self._room_weights.T, printed, strict=True)) for k in (0, 1))
        return capacities * more * self.rooms.total, inputs * power

    @cached_property
    def _shares(self) -> Array:
        """Sensible share at full output at the printed temperatures, (places, nodes): exact at three heights, a parabola in the
        wet bulb between."""
        curves, x, y = self.unit.cooling, self.rooms.heights_wet_C, self.rooms.wet_C
        found = shares_there(curves, self.rooms.points.cooling, tuple(np.round(x, 9).tolist()))
        weights = [np.ones(len(y))]
        if np.ptp(x) > 1e-6:
            weights = [np.prod([(y - x[j]) / (x[k] - x[j]) for j in range(3) if j != k], axis=0) for k in range(3)]
        row = np.sum([np.outer(w, f) for w, f in zip(weights, found, strict=False)], axis=0)
        over = [np.ones(len(curves.outdoor_C)), *(room.sensible[curves.levels[-1]] for room in curves.rooms)]
        row = np.clip(row * (self._room_weights @ np.array(over)), 0.0, 1.0)
        return np.where(row > 0.999, row, row * self.rooms.drier[:, None])

    def share(self, hot_C: Array) -> Array:
        """Sensible share at full output in the hot hour."""
        return _interpolated(hot_C, self.unit.cooling.outdoor_C, self._shares)
