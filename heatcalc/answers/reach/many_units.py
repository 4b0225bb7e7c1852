"""Every unit judged at every place, in arrays: the verdicts, backup heat, balance point and amperes of a sizing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.reach.many_loads import ManyLoads
from heatcalc.answers.reach.sites import Sites
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import (
    COOLING_OVERSIZE,
    COOLING_SHORT,
    EXCESS_LATENT_TO_SENSIBLE,
    FITS,
    MILD_C,
    ONE_HEATER_W,
    POWER_FACTOR,
    STOPS,
    TOO_SMALL,
    WITH_BACKUP,
    place_in_line,
)
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.altitude import capacity_factor, sensible_factor
from heatcalc.physics.unit.at_site import at_site, by_factors, wet_bulb_factors
from heatcalc.physics.unit.extras import cooling_input_W, heating_input_W
from heatcalc.physics.unit.heat_pump import capacity, level_values, operate
from heatcalc.physics.unit.printed_room import in_printed_rooms, own_and_printed, room_weights
from heatcalc.supply.cord import check_hour, cord_named
from heatcalc.supply.supply_check import house_loads

Array = np.ndarray
HEIGHTS_m = np.array([0.0, 1500.0, 3000.0])  # the coil's share in the room, drawn through these; within 1e-5 of each place
WORDS = np.array([FITS, WITH_BACKUP, STOPS, TOO_SMALL])
DRIES, LITTLE, SHORT = "dries", "dries little", "short of drying"
HUMIDITY = np.array([DRIES, LITTLE, SHORT])
MOIST_SHARE = 0.15  # of the cooling load; below it the air outside dries the house: own choice


@dataclass(frozen=True, eq=False)
class UnitReach:
    """One unit with one package, a value for each place; SI."""

    unit: Unit
    verdict: Array  # words of `choice`
    verdict_996: Array
    most_heat_W: Array
    most_heat_996_W: Array
    backup_W: Array
    backup_996_W: Array
    estimated: Array
    balance_C: Array  # NaN where the unit never falls short
    lowest_held_C: Array
    mild_run: Array
    sensible_cooling_W: Array
    latent_cooling_W: Array
    cooling_ratio: Array
    cools: Array
    humidity: Array  # words of HUMIDITY
    cold_A: Array
    hot_A: Array
    from_cord: Array

    def order(self) -> list[Array]:
        """Keys by which `choice.rank` puts candidates in order, first key first."""
        places = range(len(self.verdict))
        first = np.array([place_in_line(str(self.verdict[i]), bool(self.from_cord[i]), self.unit.generic) for i in places])
        coldest = np.where((self.verdict == STOPS) & np.isfinite(self.lowest_held_C), np.round(self.lowest_held_C, 1), 0.0)
        same = np.ones(len(first))
        backup, unit = np.round(self.backup_W / 50.0), self.unit
        return [first, coldest, backup, unit.size_kBtuh * same, -self.mild_run, unit.volts * same]


class Rooms:
    """What the places do to any unit: altitude, and the wet bulb of the cooled room."""

    def __init__(self, house: House, sites: Sites):
        points, z = house.set_points, sites.elevation_m
        self.points, self.elevation_m = points, z
        lifted = z >= 1.0
        self.total = np.where(lifted, [capacity_factor(float(e)) for e in z], 1.0)
        self.drier = np.where(lifted, [sensible_factor(float(e)) for e in z], 1.0)
        self.wet_C = self._wet(z)
        self.heights_wet_C = self._wet(HEIGHTS_m)
        self.factors: dict[float, tuple[Array, Array]] = {}
        self.limits: dict[float, Any] = {}

    def _wet(self, elevation_m: Array) -> Array:
        p, pressure = self.points, moist_air.pressure_at_altitude(elevation_m)
        inside = moist_air.humidity_ratio_from_relative(p.cooling, p.cooling_humidity, pressure)
        return moist_air.wet_bulb(p.cooling, inside, pressure)

    def cooling_factors(self, unit: Unit) -> tuple[Array, Array]:
        """Cooling capacity and power over the rated room's (`at_site.wet_bulb_factors`)."""
        rated = unit.cooling.indoor_wet_bulb_C
        if rated not in self.factors:
            pairs = np.array([wet_bulb_factors(float(w), rated) for w in self.wet_C])
            self.factors[rated] = pairs[:, 0], pairs[:, 1]
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
        found = [by_factors(curves, room_C, float(wet)).sensible_heat_ratio[level] for wet in x]
        weights = [np.ones(len(y))]
        if np.ptp(x) > 1e-6:
            weights = [np.prod([(y - x[j]) / (x[k] - x[j]) for j in range(3) if j != k], axis=0) for k in range(3)]
        row = sum(np.outer(w, f) for w, f in zip(weights, found, strict=False))
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


def judge_everywhere(unit: Unit, house: House, loads: ManyLoads, heating_996_C: Array, rooms: Rooms) -> UnitReach:
    """The unit with one house everywhere; see `choice.judge`."""
    heating = at_site(unit, 0.0, house.set_points.heating).heating
    most, most_996 = (capacity(heating, t, "max") for t in (loads.design_C, heating_996_C))
    heat, heat_996 = most.value_W * rooms.total, most_996.value_W * rooms.total
    cool = _cooling(unit, loads, rooms)
    backup, backup_996 = np.maximum(loads.heating_W - heat, 0.0), np.maximum(loads.heating_996_W - heat_996, 0.0)
    verdict = _verdict(most.mark == "off", backup, loads.heating_W, cool["cools"])
    balance = _balance(heating, loads, rooms)
    cold_A, hot_A = _cold_A(unit, heating, loads, rooms), cool.pop("hot_A")
    mild = loads.at(np.array([MILD_C]))[:, 0]
    least = float(capacity(heating, np.array([MILD_C]), "min").value_W[0]) * rooms.total
    never = np.isnan(balance)
    return UnitReach(
        unit,
        verdict,
        _verdict(most_996.mark == "off", backup_996, loads.heating_996_W, cool["cools"]),
        heat,
        heat_996,
        backup,
        backup_996,
        most.mark == "estimated",
        balance,
        np.where(never, max(unit.lowest_heating_C, float(loads.line_C[0])), balance),
        np.where(least > 0, np.minimum(mild / np.maximum(least, 1e-9), 1.0), 1.0),
        **cool,
        cold_A=cold_A,
        hot_A=hot_A,
        from_cord=from_cord(unit, house, cold_A, hot_A, backup, rooms.limits),
    )


def _verdict(off: Array, backup: Array, load: Array, cools: Array) -> Array:
    small = ~cools | (backup > np.maximum(load / 2, ONE_HEATER_W))
    return WORDS[np.select([off, small, backup == 0], [2, 3, 0], 1)]


def _balance(heating: Any, loads: ManyLoads, rooms: Rooms) -> Array:
    """As `choice.balance_point`; NaN where the unit never or always falls short."""
    short = loads.fine_W > capacity(heating, loads.fine_C, "max").value_W * rooms.total[:, None]
    last = short.shape[1] - 1 - np.argmax(short[:, ::-1], axis=1)
    some = short.any(axis=1) & ~short.all(axis=1)
    return np.where(some, loads.fine_C[np.minimum(last + 1, len(loads.fine_C) - 1)], np.nan)


def _cold_A(unit: Unit, heating: Any, loads: ManyLoads, rooms: Rooms) -> Array:
    capacities, inputs = level_values(heating, loads.design_C)
    watts = heating_input_W(unit, loads.design_C, operate(capacities * rooms.total, inputs, loads.heating_W))
    return watts / (unit.volts * POWER_FACTOR)


def _cooling(unit: Unit, loads: ManyLoads, rooms: Rooms) -> dict[str, Array]:
    """As `choice._cooling` in both conditions, with the amperes and what it means for humidity."""
    load = loads.sensible_W + loads.latent_W
    capacities, inputs = rooms.cooled(unit, loads.hot_C)
    sensible, latent, cools = _carried(unit, rooms, capacities[-1], loads.hot_C, loads.sensible_W, loads.latent_W)
    damp_W = rooms.cooled(unit, loads.damp_C)[0][-1]
    dries = _carried(unit, rooms, damp_W, loads.damp_C, loads.damp_sensible_W, loads.damp_latent_W)[2]
    ratio = np.where(load > 0, capacities[-1] / np.maximum(load, 1e-9), np.inf)
    watts = cooling_input_W(unit, loads.hot_C, operate(capacities, inputs, load))
    moist = loads.latent_W > MOIST_SHARE * load
    damp = np.select([moist & (latent < loads.latent_W), moist & (ratio > COOLING_OVERSIZE)], [2, 1], 0)
    return {
        "sensible_cooling_W": sensible,
        "latent_cooling_W": latent,
        "cooling_ratio": ratio,
        "cools": cools & dries,
        "humidity": HUMIDITY[damp],
        "hot_A": watts / (unit.volts * POWER_FACTOR),
    }


def _carried(
    unit: Unit, rooms: Rooms, total_W: Array, outdoor_C: Array, sensible_W: Array, latent_W: Array
) -> tuple[Array, Array, Array]:
    """Sensible and latent capacity of an hour [W], and where they carry it."""
    latent = total_W * (1 - rooms.share(unit, outdoor_C))
    turned = EXCESS_LATENT_TO_SENSIBLE * np.maximum(latent - latent_W, 0.0)
    sensible = total_W - latent + turned
    return sensible, latent - turned, (sensible >= sensible_W) & (total_W >= COOLING_SHORT * (sensible_W + latent_W))


def from_cord(unit: Unit, house: House, cold_A: Array, hot_A: Array, backup_W: Array, limits: dict[float, Any]) -> Array:
    """Whether cord and voltage carry both hours.

    A cord's verdict only turns once as the unit's amperes grow, so one limit for each season answers every place without
    backup heat, kept by voltage in `limits`; places with it are asked one by one.
    """
    cord = cord_named(house.supply.cord)
    if (unit.volts >= 200 and cord.legs < 2) or (cord.legs < 2 and any(a.volts != 120 for a in house.supply.appliances)):
        return np.zeros(len(cold_A), bool)

    def passes(season: str, amperes: float, backup: float) -> bool:
        loads = house_loads(house.supply, amperes, unit.volts, backup, season, cord)
        return check_hour(season, loads, house.supply.lock_outs, cord).verdict != "fail"

    if unit.volts not in limits:
        limits[unit.volts] = tuple(_limit(partial(passes, season, backup=0.0)) for season in ("hot", "cold"))
    carried, cold = hot_A <= limits[unit.volts][0], cold_A <= limits[unit.volts][1]
    for i in np.flatnonzero((backup_W > 0) & carried & cold):
        cold[i] = passes("cold", float(cold_A[i]), float(backup_W[i]))
    return carried & cold


def _limit(passes: Any) -> float:
    """The most amperes that pass, by halving; below 0 where none do."""
    low, high = 0.0, 200.0
    if not passes(1e-9):
        return -1.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low


def best_of(found: list[UnitReach]) -> Array:
    """The unit `choice.rank` puts first at each place that is not too small, as a number into `found`; -1 for none."""
    by_name = sorted(range(len(found)), key=lambda k: found[k].unit.name)
    keys = np.array([found[k].order() for k in by_name])  # (units, keys, places)
    small = np.array([found[k].verdict == TOO_SMALL for k in by_name])
    best = np.full(keys.shape[2], -1)
    for i in range(keys.shape[2]):
        first = np.lexsort(keys[:, ::-1, i].T)[0]
        best[i] = -1 if small[first, i] else by_name[first]
    return best
