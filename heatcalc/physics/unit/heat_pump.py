"""A mini-split between and beyond its printed points: capacity by level, power at a load, sensible share.

Between printed temperatures capacity and power run straight at one level; between levels the COP is straight
in load, never the power (straight power is 15 % too high on average).  Beyond the print there is a band,
marked estimated, for at most 12 F on the demanding side, and nothing below the lowest operating temperature.

Rules between and beyond points: own study on the cycle of `machine`; errors in tables/estimate_errors.csv.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import accumulate

import numpy as np

from heatcalc.tables import rows
from heatcalc.wording import Said

LEVELS = ("min", "rated", "max")
REACH_K = 12.0 / 1.8  # never extrapolate more than 12 F
FROST_LOW_C, FROST_HIGH_C = (17.0 - 32.0) / 1.8, 7.0  # between these, exclusive, a heating point carries frost
SAME_NODE_K = 1e-6

Array = np.ndarray


@cache
def rule(name: str) -> float:
    """The value of one rule; the table names its unit and source [unit in the table]."""
    return next(float(row["value"]) for row in rows("unit_rules") if row["name"] == name)


DEGRADATION = rule("default_cd")


@dataclass(frozen=True, kw_only=True)
class PrintedRoom:
    """Rows printed for another room: by level, print over what the room's factors make of the curves, at each node [-]."""

    indoor_C: float
    indoor_wet_bulb_C: float
    capacity: dict[str, Array]
    power: dict[str, Array]
    sensible: dict[str, Array]
    given: dict[str, Array]
    power_given: dict[str, Array]


@dataclass(frozen=True, kw_only=True)
class Curves:
    """One mode of a unit.  `outdoor_C` increases; each level has one value per outdoor temperature.

    `given` and `power_given` say which values were printed; the others were filled by the reader.  Once a correction was
    applied, `exact` and `power_exact` say which values are still those of a printed row.
    """

    mode: str  # "heating" or "cooling"
    outdoor_C: Array
    capacity_W: dict[str, Array]
    power_W: dict[str, Array]
    given: dict[str, Array]
    power_given: dict[str, Array]
    lowest_C: float
    indoor_C: float
    indoor_wet_bulb_C: float = (67.0 - 32.0) / 1.8  # matters in cooling alone
    sensible_heat_ratio: dict[str, Array] = field(default_factory=dict)
    frost_by_rule: bool = False
    rooms: tuple[PrintedRoom, ...] = ()
    exact: dict[str, Array] | None = None
    power_exact: dict[str, Array] | None = None
    filled_spread: dict[str, dict[str, Array]] = field(default_factory=dict)  # quantity -> level -> half-width, log ratio

    @property
    def levels(self) -> tuple[str, ...]:
        """The levels present, from low to high."""
        return tuple(level for level in LEVELS if level in self.capacity_W)


@dataclass(frozen=True, kw_only=True)
class Unit:
    """One single-zone ductless heat pump: nameplate and both modes, all SI."""

    name: str
    size_kBtuh: float
    unit_class: str
    volts: float
    mca_A: float
    mop_A: float
    refrigerant: str
    charge_kg: float
    lowest_heating_C: float
    lowest_cooling_C: float
    pan_heater_W: float
    standby_W: float
    crankcase_W: float
    generic: bool
    source: str
    tested_frost_point: bool
    heating: Curves
    cooling: Curves
    assumed: tuple[Said, ...] = ()  # what the file leaves out and was assumed, one phrase each
    understood: tuple[str, ...] = ()  # what a printed table was taken to say, one phrase each
    corrections: tuple[Said, ...] = ()  # what `at_site` changed, one phrase each
    sound_dBA: float | None = None  # the unit's own printed value, if any
    defrost: str = "unknown"  # whether its heating rows hold their defrosts: "integrated", "not" or "unknown"
    lowest_volts: float | None = None  # the least its manual allows, if it says so


@dataclass(frozen=True)
class Estimate:
    """A value at each outdoor temperature with its band; `mark` is given, between, estimated or off."""

    value_W: Array
    low_W: Array
    high_W: Array
    mark: Array


@dataclass(frozen=True)
class Operation:
    """What a unit does at a load: electric input, heat or cold delivered, the rest, and how."""

    power_W: Array
    delivered_W: Array
    unmet_W: Array
    run_fraction: Array

    @property
    def cop(self) -> Array:
        """Delivered over input; 0 where it rests."""
        on = self.power_W > 0.0
        return np.where(on, self.delivered_W / np.where(on, self.power_W, 1.0), 0.0)


@cache
def error_band(what: str) -> tuple[float, float]:
    """Low and high error of one kind of estimate, as fractions (table estimate_errors)."""
    row = next(r for r in rows("estimate_errors") if r["what"] == what)
    return float(row["low"]), float(row["high"])


@cache
def _cold_shape() -> tuple[Array, Array, Array]:
    """Outdoor temperature [C], log capacity and log power ratio of a machine at constant speed."""
    table = sorted((float(r["outdoor_F"]), float(r["capacity_ratio"]), float(r["power_ratio"])) for r in rows("cold_shape"))
    fahrenheit, capacity_ratio, power_ratio = np.array(table).T
    return (fahrenheit - 32.0) / 1.8, np.log(capacity_ratio), np.log(power_ratio)


def constant_speed_ratio(outdoor_C: Array, from_C: float, quantity: str) -> Array:
    """Capacity or power at constant speed relative to that at `from_C` (own cycle model, table cold_shape).

    Log-linear between the table's temperatures; beyond its ends the last slope is held.
    """
    nodes, log_capacity, log_power = _cold_shape()
    logs = log_capacity if quantity == "capacity" else log_power
    return np.exp(_straight(nodes, logs, outdoor_C) - _straight(nodes, logs, np.asarray(from_C, float)))


def _straight(nodes: Array, values: Array, at: Array) -> Array:
    """Piecewise straight line through the nodes, end slopes held."""
    i = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)
    share = (at - nodes[i]) / (nodes[i + 1] - nodes[i])
    return values[i] + share * (values[i + 1] - values[i])


def _dry_neighbour(curves: Curves, end: int, inward: int) -> int:
    """The node whose line through the end node carries no frost dip outward."""
    nodes = curves.outdoor_C
    i = end + inward
    frosty = curves.mode == "heating"
    while frosty and 0 < i < len(nodes) - 1 and FROST_LOW_C + 0.1 < nodes[i] < FROST_HIGH_C:
        i += inward
    return i


def _line(curves: Curves, values: Array, at: Array, end: int, inward: int) -> Array:
    """Straight line beyond one end of the print, through the end node."""
    nodes = curves.outdoor_C
    other = _dry_neighbour(curves, end, inward) if len(nodes) > 1 else end
    slope = 0.0 if other == end else (values[end] - values[other]) / (nodes[end] - nodes[other])
    return np.maximum(values[end] + slope * np.clip(at - nodes[end], -REACH_K, REACH_K), 0.2 * values[end])


def _shape(curves: Curves, values: Array, at: Array, quantity: str) -> Array:
    """Constant-speed shape beyond the cold end of the print, through the end node."""
    end_C = curves.outdoor_C[0]
    return values[0] * constant_speed_ratio(end_C + np.clip(at - end_C, -REACH_K, REACH_K), float(end_C), quantity)


def _value(curves: Curves, values: Array, at: Array, quantity: str) -> Array:
    """One printed row at `at`, ignoring the limits of operation."""
    value = np.interp(at, curves.outdoor_C, values)
    for outside, end, inward in _ends(curves, at):
        line = _line(curves, values, at[outside], end, inward)
        colder = curves.mode == "heating" and end == 0
        value[outside] = 0.5 * (line + _shape(curves, values, at[outside], quantity)) if colder else line
    return value


def _ends(curves: Curves, at: Array) -> Iterator[tuple[Array, int, int]]:
    """Where `at` lies beyond an end of the print, that end's number, the step inward from it."""
    nodes = curves.outdoor_C
    for outside, end, inward in ((at < nodes[0], 0, 1), (at > nodes[-1], len(nodes) - 1, -1)):
        if outside.any():
            yield outside, end, inward


def _band(curves: Curves, values: Array, at: Array, quantity: str, value: Array) -> tuple[Array, Array]:
    """Low and high of one printed row at `at`, ignoring the limits of operation."""
    low_error: float | Array
    low_error, high_error = error_band(f"{quantity} between points")
    if curves.frost_by_rule and quantity == "capacity":
        low_error = low_error + np.where((at > FROST_LOW_C) & (at < FROST_HIGH_C), error_band("capacity frost by rule")[0], 0.0)
    low, high = value * (1.0 + low_error), value * (1.0 + high_error)
    for outside, end, inward in _ends(curves, at):
        found = _outside_band(curves, values, at[outside], quantity, end, inward, value[outside])
        low[outside], high[outside] = found
    return low, high


def _outside_band(curves: Curves, values: Array, at: Array, quantity: str, end: int, inward: int, value: Array):
    """Low and high beyond one end: cold heating between line and cycle, else the held slope."""
    if curves.mode == "heating" and end == 0:
        line, shape = _line(curves, values, at, end, inward), _shape(curves, values, at, quantity)
        least = 1.0 + np.outer(error_band(f"{quantity} cold side"), (curves.outdoor_C[0] - at) / REACH_K)
        return np.minimum(np.minimum(line, shape), value * least[0]), np.maximum(np.maximum(line, shape), value * least[1])
    side = "hot side" if curves.mode == "cooling" and end > 0 else "mild side"
    low, high = error_band(f"{quantity} {side}")
    return value * (1.0 + low), value * (1.0 + high)


def off_at(curves: Curves, outdoor_C: Array) -> Array:
    """Where it gives nothing: below its lowest temperature, and in heating over 12 F below the print [true or false].

    A machine does not stop because a table ends: beyond the hot end the estimate 12 F out is kept, marked estimated.
    """
    at = np.asarray(outdoor_C, float)
    below = at < curves.lowest_C - 1e-9
    if curves.mode == "heating":
        return below | (at < curves.outdoor_C[0] - REACH_K - 1e-9)
    return below


def _marks(curves: Curves, at: Array, given: Array, exact: Array) -> Array:
    """given on a printed point, between inside the print, estimated beyond it, off where nothing is given."""
    printed = curves.outdoor_C[given] if given.any() else np.full(1, np.nan)
    on_point = np.any(np.abs(at[..., None] - curves.outdoor_C[exact]) < SAME_NODE_K, axis=-1)
    inside = (at >= printed[0] - SAME_NODE_K) & (at <= printed[-1] + SAME_NODE_K)
    return np.select([off_at(curves, at), on_point, inside], ["off", "given", "between"], "estimated")


def _printed(curves: Curves, quantity: str, level: str) -> tuple[Array, Array]:
    """Which nodes were printed, and which still hold the printed value."""
    given, exact = (curves.given, curves.exact) if quantity == "capacity" else (curves.power_given, curves.power_exact)
    return given[level], (given if exact is None else exact)[level]


def level_or_nearest(curves: Curves, level: str) -> str:
    """The level itself, or the one that stands for it: a unit without a printed minimum cannot turn down.

    Raises KeyError for a word that is no level.
    """
    if level not in LEVELS:
        raise KeyError(f"no level {level!r}; known: {', '.join(LEVELS)}")
    if level in curves.levels:
        return level
    return curves.levels[0] if level == "min" else curves.levels[-1]


def _estimate(curves: Curves, outdoor_C, level: str, quantity: str) -> Estimate:
    level = level_or_nearest(curves, level)
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    values = (curves.capacity_W if quantity == "capacity" else curves.power_W)[level]
    value = _value(curves, values, at, quantity)
    low, high = _band(curves, values, at, quantity, value)
    given, exact = _printed(curves, quantity, level)
    mark = _marks(curves, at, given, exact)
    wide = np.zeros(at.shape)
    if level in curves.filled_spread.get(quantity, {}):
        wide = np.interp(at, curves.outdoor_C, curves.filled_spread[quantity][level])
    low = np.where(mark == "given", value, low * np.exp(-wide))
    high = np.where(mark == "given", value, high * np.exp(wide))
    value, low, high = (np.where(mark == "off", 0.0, x) for x in (value, low, high))
    return Estimate(value, low, high, mark)


def capacity(curves: Curves, outdoor_C, level: str) -> Estimate:
    """Heating or total cooling capacity [W] at one level ("min", "rated", "max"), with band and mark.

    Straight between printed points (within 3 % of a full cycle); beyond them see the module's head.  Printed
    points are returned exactly.  Where a level is not in the table its neighbour stands for it.
    """
    return _estimate(curves, outdoor_C, level, "capacity")


def value_W(curves: Curves, outdoor_C, level: str, quantity: str = "capacity") -> Array:
    """Capacity or input ("power") at one level [W], as `capacity` and `input_power` without band and mark."""
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    values = (curves.capacity_W if quantity == "capacity" else curves.power_W)[level_or_nearest(curves, level)]
    return np.where(off_at(curves, at), 0.0, _value(curves, values, at, quantity))


def input_power(curves: Curves, outdoor_C, level: str) -> Estimate:
    """Electric input [W] at one level running steadily, with band and mark; the same rules as `capacity`."""
    return _estimate(curves, outdoor_C, level, "power")


def level_values(curves: Curves, outdoor_C) -> tuple[Array, Array]:
    """Capacity and input by level, each shaped (level, temperature), zero where off [W]."""
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    running = ~off_at(curves, at)
    return (
        _rising([np.where(running, _value(curves, curves.capacity_W[k], at, "capacity"), 0.0) for k in curves.levels]),
        _rising([np.where(running, _value(curves, curves.power_W[k], at, "power"), 0.0) for k in curves.levels]),
    )


def _rising(levels: list[Array]) -> Array:
    """Each level no less than the one below it."""
    return np.stack(list(accumulate(levels, np.maximum)))


def cycling_input(share, degradation):
    """Mean input of a unit that goes on and off over its input while on [-]: X / (1 - Cd (1 - X)).

    share : of the time that it runs, X = load over least output, 0 to 1; degradation : Cd, `DEGRADATION` unless known.
    Floats and arrays alike; the year's loops compile this very function.  Source: the part-load fraction of 10 CFR 430
    subpart B appendix M1 (from memory).
    """
    return share / (1.0 - degradation * (1.0 - share))


def power(curves: Curves, outdoor_C, load_W, cd: float = DEGRADATION) -> Operation:
    """Electric input [W] that carries `load_W` at `outdoor_C` (arrays of one shape).

    Between levels the COP is straight in the load.  Below the minimum the unit cycles: run fraction
    X = Q/Qmin, see `cycling_input`.  Above the maximum the rest is `unmet_W`.  Off below the lowest temperature.
    Error of the COP rule: at most 5.7 %.
    """
    at, load = np.broadcast_arrays(np.atleast_1d(np.asarray(outdoor_C, float)), np.asarray(load_W, float))
    capacities, inputs = level_values(curves, at)
    return operate(capacities, inputs, load, cd)


def operate(capacities: Array, inputs: Array, load_W: Array, cd: float = DEGRADATION) -> Operation:
    """`power` on ready level tables (level, temperature), for loops over a year."""
    load = np.maximum(load_W, 0.0)
    low, high = capacities[0], capacities[-1]
    running = (high > 0.0) & (load > 0.0)
    delivered = np.where(running, np.minimum(load, high), 0.0)
    steady = np.clip(delivered, low, high)
    cop = _cop_between_levels(capacities, inputs, steady)
    run_fraction = np.where(running, np.minimum(1.0, delivered / np.where(low > 0.0, low, 1.0)), 0.0)
    electric = np.where(running, steady / np.where(cop > 0.0, cop, 1.0) * cycling_input(run_fraction, cd), 0.0)
    return Operation(electric, delivered, load - delivered, run_fraction)


def _cop_between_levels(capacities: Array, inputs: Array, steady: Array) -> Array:
    """COP straight in capacity between neighbouring levels."""
    cops = np.where(inputs > 0.0, capacities / np.where(inputs > 0.0, inputs, 1.0), 0.0)
    cop = cops[0]
    for k in range(len(capacities) - 1):
        width = np.maximum(capacities[k + 1] - capacities[k], 1e-9)
        share = np.clip((steady - capacities[k]) / width, 0.0, 1.0)
        inside = steady >= capacities[k]
        cop = np.where(inside, cops[k] + share * (cops[k + 1] - cops[k]), cop)
    return cop


def sensible_heat_ratio(curves: Curves, outdoor_C, load_W) -> Array:
    """Sensible share of the cooling at a load: straight in load between levels, the minimum's below it."""
    at, load = np.broadcast_arrays(np.atleast_1d(np.asarray(outdoor_C, float)), np.asarray(load_W, float))
    capacities, _ = level_values(curves, at)
    shares = np.stack([np.interp(at, curves.outdoor_C, curves.sensible_heat_ratio[level]) for level in curves.levels])
    value = shares[0]
    for k in range(len(shares) - 1):
        width = np.maximum(capacities[k + 1] - capacities[k], 1e-9)
        place = np.clip((load - capacities[k]) / width, 0.0, 1.0)
        value = np.where(load >= capacities[k], shares[k] + place * (shares[k + 1] - shares[k]), value)
    return value
