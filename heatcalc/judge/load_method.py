"""The load by a code's own method, step by step, beside the sum of what runs together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from heatcalc.inputs.supply.supply_record import BACKUP, HEAT_PUMP, Appliance, Supply
from heatcalc.judge.choice import Candidate
from heatcalc.physics.supply import conductors
from heatcalc.supply.circuits import backup_legs, unit_ampacity
from heatcalc.supply.cord import Load, cords_by_size, share_legs
from heatcalc.tables import rows

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


@dataclass(frozen=True)
class LoadMethod:
    """Demand by the method on a three-wire supply; amperes of the heavier leg, and the smallest supply by both routes."""

    connected_VA: float
    demand_VA: float
    lighting_leg_A: float
    loads: tuple[MethodLoad, ...]
    leg_A: float
    other_leg_A: float
    smallest_by_method: str | None
    smallest_by_sum: str | None
    smallest_cord: str | None  # the larger of the two; None: no supply of the table
    smallest_words: str
    method: str = METHOD


def house_method(supply: Supply, outside_floor_m2: float, chosen: Candidate) -> LoadMethod:
    """The method for a house with the unit chosen for it, against the smallest supply by the sum of what runs together."""
    nameplate = unit_ampacity(max(chosen.cold_A, chosen.hot_A), chosen.unit.mca_A)
    return load_method(supply, outside_floor_m2, nameplate, chosen.unit.volts, chosen.backup_W, chosen.supply.smallest_cord)


def load_method(
    supply: Supply, outside_floor_m2: float, unit_A: float, unit_volts: float, backup_W: float, by_sum: str | None = None
) -> LoadMethod:
    """Demand by 675 IAC 15-2-100(a)(1); `unit_A` is the heat pump's nameplate ampacity, 0 without one.

    `by_sum` names the smallest supply that carries what runs together; 115 V loads are balanced between the legs.
    """
    connected = conductors.dwelling_connected_load(outside_floor_m2 / FOOT2_M2, SMALL_APPLIANCE_CIRCUITS)
    demand = conductors.stepped_demand(connected)
    lighting = MethodLoad("A", "lighting and small appliances", demand / (2 * LEG_VOLTS), 2)
    motors_and_heaters = _motors_and_heaters(supply, unit_A, unit_volts, backup_W)
    quarter = _quarter_of_largest_motor(supply, motors_and_heaters, unit_A)
    loads = (lighting, *motors_and_heaters, *quarter, *_appliances(supply), *_ranges(supply), *_own_circuits(supply))
    leg_A, other_A = _legs(loads, quarter)
    return LoadMethod(connected, demand, lighting.amperes, loads, leg_A, other_A, *_smallest(leg_A, by_sum))


def load_step(appliance: Appliance) -> str:
    """Letter of the step that counts an appliance: by the table, else (A) on the circuits every house has and (F) on its own."""
    known = {row["name"]: row["load_step"] for row in rows("appliances_electric")}
    if appliance.name in known:
        return known[appliance.name]
    if appliance.starting is not None:
        return "B motor"
    return "A" if appliance.circuit in {row["circuit"] for row in rows("circuits")} else "F"


def _of(step: str, appliance: Appliance, share: float = 1.0) -> MethodLoad:
    legs = appliance.volts // 120
    return MethodLoad(step, appliance.name, share * appliance.watts / (LEG_VOLTS * legs), legs)


def _at(supply: Supply, *steps: str) -> tuple[Appliance, ...]:
    return tuple(a for a in supply.appliances if load_step(a) in steps)


def _motors_and_heaters(supply: Supply, unit_A: float, unit_volts: float, backup_W: float) -> tuple[MethodLoad, ...]:
    """(B) Nameplate amperes of motors and heaters; of what runs in one season only the smaller season is left out."""
    unit = (MethodLoad("B", HEAT_PUMP, unit_A, 2 if unit_volts >= 200 else 1),) if unit_A > 0 else ()
    fixed = _at(supply, "B motor", "B heater")
    any_time, cold, hot = (tuple(_of("B", a) for a in fixed if a.season == season) for season in ("any", "cold", "hot"))
    legs = backup_legs(backup_W, 2)
    backup = (MethodLoad("B", BACKUP, backup_W / (LEG_VOLTS * legs), legs),) if backup_W > 0 else ()
    return (*unit, *any_time, *max((*backup, *cold), hot, key=_leg_amperes))


def _leg_amperes(loads: Iterable[MethodLoad]) -> float:
    return sum(x.amperes * x.legs for x in loads)


def _quarter_of_largest_motor(supply: Supply, counted: tuple[MethodLoad, ...], unit_A: float) -> tuple[MethodLoad, ...]:
    """(C) 25 % of the current of the largest motor, less what the heat pump's ampacity holds of it already (NEC 440.33)."""
    names = {a.name for a in _at(supply, "B motor")}
    largest = max((x for x in counted if x.name in names), key=lambda x: x.amperes, default=None)
    held = unit_A * MOTOR_SHARE / (1.0 + MOTOR_SHARE)
    if largest is None or MOTOR_SHARE * largest.amperes <= held:
        return ()
    return (replace(largest, step="C", amperes=MOTOR_SHARE * largest.amperes - held),)


def _appliances(supply: Supply) -> tuple[MethodLoad, ...]:
    """(D) Nameplate amperes of dishwasher, water heater, clothes dryer and their like; above three, 75 % of their total."""
    named = _at(supply, "D")
    share = SHARE_OF_MANY if len(named) > MANY_APPLIANCES else 1.0
    return tuple(_of("D", a, share) for a in named)


def _ranges(supply: Supply) -> tuple[MethodLoad, ...]:
    """(E) Free-standing ranges by the table of their nameplate."""
    return tuple(_of("E", a, range_demand(a.watts) / a.watts) for a in _at(supply, "E"))


def range_demand(nameplate_W: float) -> float:
    """Demand of an electric range [VA] by the table of 675 IAC 15-2-100; the whole nameplate above its end."""
    for row in rows("range_demand"):
        if nameplate_W <= float(row["nameplate_to_W"]):
            return float(row["share"]) * nameplate_W if row["share"] else float(row["demand_VA"])
    return nameplate_W


def _own_circuits(supply: Supply) -> tuple[MethodLoad, ...]:
    """(F) The load expected on other circuits: an appliance with a breaker of its own."""
    return tuple(_of("F", a) for a in _at(supply, "F"))


def _legs(loads: tuple[MethodLoad, ...], quarter: tuple[MethodLoad, ...]) -> tuple[float, float]:
    """Amperes of the two legs, 115 V loads balanced; the 25 % of (C) goes with its motor."""
    extra = {x.name: x.amperes for x in quarter}
    whole = tuple(
        Load(f"{x.step} {x.name}", x.amperes + extra.get(x.name, 0.0), x.legs, 0.0, False) for x in loads if x.step != "C"
    )
    fuller, other = share_legs(whole, 2)
    return sum(x.amperes for x in fuller), sum(x.amperes for x in other)


def _smallest(leg_A: float, by_sum: str | None) -> tuple[str | None, str | None, str | None, str]:
    """By the method, by the sum, the larger of both, and a sentence that says why they differ."""
    by_method = next((c.name for c in cords_by_size() if c.legs == 2 and leg_A <= c.rating_A), None)
    order = [c.name for c in cords_by_size()]
    larger = None if by_sum is None or by_method is None else max(by_sum, by_method, key=order.index)
    if by_sum == by_method:
        return by_method, by_sum, larger, f"{larger or 'none in the table'}, by what runs together and by the load method alike"
    why = (
        f"{larger or 'none in the table'}, being the larger of two routes: {by_sum or 'none'} by what runs together in the two "
        f"design hours, {by_method or 'none'} by the load method ({leg_A:.1f} A on the heavier leg), which counts nameplate "
        "amperes and every fixed appliance at once, lighting and ranges in part; the code adopted at the place says which counts"
    )
    return by_method, by_sum, larger, why
