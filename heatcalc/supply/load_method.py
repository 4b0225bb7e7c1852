"""The load by a code's own method, step by step, beside the sum of what runs together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Appliance, Supply
from heatcalc.physics.supply import electrics
from heatcalc.physics.unit.heat_pump import Unit
from heatcalc.supply.circuits import LARGEST_120_V_HEATER_W, load_step
from heatcalc.supply.cord import cords_by_size, leg_sums
from heatcalc.tables import rows

Array = np.ndarray
FOOT2_M2 = 0.09290304
SMALL_APPLIANCE_CIRCUITS = 2  # two kitchen circuits: common practice, no source
LEG_VOLTS = 115.0  # the text's 115/230 V supply
MOTOR_SHARE = 0.25  # step (C)
MANY_APPLIANCES, SHARE_OF_MANY = 3, 0.75  # step (D): above three, 75 % of their total
METHOD = (
    "Method 1 of 675 IAC 15-2-100 (Indiana Mobile Structures Code), for a three-wire 115/230 V supply. Read there: (A), (B), "
    "the beginning of (C), 75 % of more than three appliances, the table of ranges, the loads of its example. Not seen: the "
    "wording of (D) to (F) and the printed sum of the example; these follow 24 CFR 3280.811 and NEC 550.18, from memory. From "
    "memory, too, those texts divide by 240 V, which gives 4 % less. The heat pump counts with its minimum circuit ampacity, in "
    "which 25 % of its compressor already is, so (C) adds only what a larger motor asks beyond it."
)


@dataclass(frozen=True)
class MethodLoad:
    """One line of the method: the letter of its step, what is counted, amperes on each of its legs."""

    step: str
    name: str
    amperes: float
    legs: int


@dataclass(frozen=True, kw_only=True)
class LoadMethod:
    """Demand by the method on a three-wire supply; amperes of the heavier leg, and the smallest three-wire supply by it."""

    connected_VA: float
    demand_VA: float
    lighting_leg_A: float
    loads: tuple[MethodLoad, ...]
    leg_A: float
    other_leg_A: float
    smallest_by_method: str | None
    smallest_words: str
    method: str = METHOD


@dataclass(frozen=True, eq=False)
class _Row:
    """One line of the method in every case: amperes on each leg, whether both legs carry it, whether a motor."""

    step: str
    name: str
    amperes: Array
    both: Array
    motor: bool = False


def house_method(supply: Supply, outside_floor_m2: float, unit: Unit, backup_W: float, dehumidifier_W: float = 0.0) -> LoadMethod:
    """The method for a house with its unit's nameplate."""
    return load_method(supply, outside_floor_m2, unit.mca_A, unit.volts, backup_W, dehumidifier_W)


def load_method(
    supply: Supply, outside_floor_m2: float, unit_A: float, unit_volts: float, backup_W: float, dehumidifier_W: float = 0.0
) -> LoadMethod:
    """Demand by 675 IAC 15-2-100(a)(1); `unit_A` is the heat pump's nameplate ampacity, 0 without one.

    115 V loads are balanced between the legs.
    """
    lines, quarter = _lines(supply, outside_floor_m2, unit_A, unit_volts, backup_W, dehumidifier_W)
    at = [k for k, x in enumerate(lines) if x.step != "C"]
    fuller, other = (float(x[0]) for x in _legs(lines, quarter))
    largest = int(np.argmax(quarter[:, 0]))
    motor = lines[largest]
    extra = (MethodLoad("C", motor.name, float(quarter[largest, 0]), 1 + bool(motor.both[0])),) if quarter[largest, 0] > 0 else ()
    loads = tuple(MethodLoad(lines[k].step, lines[k].name, float(lines[k].amperes[0]), 1 + bool(lines[k].both[0])) for k in at)
    loads = tuple(x for x in loads if x.amperes > 0)
    after = sum(x.step in ("A", "B") for x in loads)
    smallest, words = _smallest(fuller)
    return LoadMethod(
        connected_VA=_connected_VA(outside_floor_m2),
        demand_VA=electrics.stepped_demand(_connected_VA(outside_floor_m2)),
        lighting_leg_A=loads[0].amperes,
        loads=(*loads[:after], *extra, *loads[after:]),
        leg_A=fuller,
        other_leg_A=other,
        smallest_by_method=smallest,
        smallest_words=words,
    )


def method_leg_A(
    supply: Supply,
    outside_floor_m2: float,
    unit_A: ArrayLike,
    unit_volts: ArrayLike,
    heater_W: ArrayLike,
    dehumidifier_W: ArrayLike = 0.0,
) -> Array:
    """Amperes of the heavier leg by `load_method`, for arrays of units, heaters and dehumidifiers of one shape (cases)."""
    return _legs(*_lines(supply, outside_floor_m2, unit_A, unit_volts, heater_W, dehumidifier_W))[0]


def _legs(lines: list[_Row], quarter: Array) -> Array:
    """Amperes of both legs, 115 V loads balanced; the 25 % of (C) goes with its motor."""
    return leg_sums(np.stack([x.amperes for x in lines]) + quarter, np.stack([x.both for x in lines]))


def _connected_VA(outside_floor_m2: float) -> float:
    return electrics.dwelling_connected_load(outside_floor_m2 / FOOT2_M2, SMALL_APPLIANCE_CIRCUITS)


def _lines(supply: Supply, floor_m2: float, unit_A, unit_volts, heater_W, dehumidifier_W) -> tuple[list[_Row], Array]:
    """Every line but (C), and what (C) adds to each: (lines, cases)."""
    given = (np.asarray(x, float) for x in (unit_A, unit_volts, heater_W, dehumidifier_W))
    unit, volts, heater, dryer = np.broadcast_arrays(*given, np.zeros(1))[:4]
    lighting = electrics.stepped_demand(_connected_VA(floor_m2)) / (2 * LEG_VOLTS)
    fixed = [_row("A", "lighting and small appliances", np.full(unit.shape, lighting), True)]
    fixed += [_row("B", HEAT_PUMP, unit, volts >= 200.0)]
    fixed += _motors_and_heaters(supply, heater, dryer)
    rest = [*_appliances(supply, unit.shape), *_ranges(supply, unit.shape), *_own_circuits(supply, unit.shape)]
    lines = [*fixed, *rest]
    return lines, _quarter_of_largest_motor(lines, unit)


def _row(step: str, name: str, amperes: Array, both, motor: bool = False) -> _Row:
    return _Row(step, name, amperes, np.broadcast_to(np.asarray(both, bool), amperes.shape), motor)


def _of(step: str, appliance: Appliance, shape: tuple[int, ...], share: float = 1.0) -> _Row:
    legs = appliance.volts // 120
    amperes = np.full(shape, share * appliance.watts / (LEG_VOLTS * legs))
    return _row(step, appliance.name, amperes, legs == 2, load_step(appliance) == "B motor")


def _at(supply: Supply, *steps: str) -> tuple[Appliance, ...]:
    return tuple(a for a in supply.appliances if load_step(a) in steps)


def _motors_and_heaters(supply: Supply, heater_W: Array, dehumidifier_W: Array) -> list[_Row]:
    """(B) Nameplate amperes of motors and heaters; of what runs in one season only the smaller season is left out."""
    shape, fixed = heater_W.shape, _at(supply, "B motor", "B heater")
    any_time, cold, hot = ([_of("B", a, shape) for a in fixed if a.season == season] for season in ("any", "cold", "hot"))
    two = heater_W > LARGEST_120_V_HEATER_W
    cold = [_row("B", BACKUP, heater_W / np.where(two, 2 * LEG_VOLTS, LEG_VOLTS), two), *cold]
    if all(x.name != DEHUMIDIFIER for x in (*any_time, *hot)):
        hot = [*hot, _row("B", DEHUMIDIFIER, dehumidifier_W / LEG_VOLTS, False, True)]
    in_cold = _leg_amperes(cold) >= _leg_amperes(hot)
    chosen = [(x, in_cold) for x in cold] + [(x, ~in_cold) for x in hot]
    return [*any_time, *(_row("B", x.name, np.where(on, x.amperes, 0.0), x.both, x.motor) for x, on in chosen)]


def _leg_amperes(lines: list[_Row]) -> Array:
    return sum((x.amperes * (1 + x.both) for x in lines), np.zeros(1))


def _quarter_of_largest_motor(lines: list[_Row], unit_A: Array) -> Array:
    """(C) 25 % of the current of the largest motor, less what the heat pump's ampacity holds of it already (NEC 440.33)."""
    motors = np.stack([x.amperes if x.motor else np.zeros(unit_A.shape) for x in lines])
    held = unit_A * MOTOR_SHARE / (1.0 + MOTOR_SHARE)
    extra = np.maximum(MOTOR_SHARE * motors.max(axis=0) - held, 0.0)
    largest = np.arange(len(lines)).reshape(-1, *(1,) * unit_A.ndim) == motors.argmax(axis=0)
    return np.where(largest, extra, 0.0)


def _appliances(supply: Supply, shape: tuple[int, ...]) -> list[_Row]:
    """(D) Nameplate amperes of dishwasher, water heater, clothes dryer and their like; above three, 75 % of their total."""
    named = _at(supply, "D")
    share = SHARE_OF_MANY if len(named) > MANY_APPLIANCES else 1.0
    return [_of("D", a, shape, share) for a in named]


def _ranges(supply: Supply, shape: tuple[int, ...]) -> list[_Row]:
    """(E) Free-standing ranges by the table of their nameplate."""
    return [_of("E", a, shape, range_demand(a.watts) / a.watts) for a in _at(supply, "E")]


def range_demand(nameplate_W: float) -> float:
    """Demand of an electric range [VA] by the table of 675 IAC 15-2-100; the whole nameplate above its end."""
    for row in rows("range_demand"):
        if nameplate_W <= float(row["nameplate_to_W"]):
            return float(row["share"]) * nameplate_W if row["share"] else float(row["demand_VA"])
    return nameplate_W


def _own_circuits(supply: Supply, shape: tuple[int, ...]) -> list[_Row]:
    """(F) The load expected on other circuits: an appliance with a breaker of its own."""
    return [_of("F", a, shape) for a in _at(supply, "F")]


def _smallest(leg_A: float) -> tuple[str | None, str]:
    """The smallest three-wire supply by the method, and what that means."""
    by_method = next((c.name for c in cords_by_size() if c.proposed and c.legs == 2 and leg_A <= c.rating_A), None)
    return by_method, (
        f"{by_method or 'none in the table'} by the load method ({leg_A:.1f} A on the heavier leg), which is for three-wire "
        "supplies and counts nameplate amperes and every fixed appliance at once; the code adopted there says whether it counts"
    )
