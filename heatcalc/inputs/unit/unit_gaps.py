"""What a submittal leaves out, by the refrigerant-cycle model: missing power, cooling printed at 95 F alone.

The model loads the refrigerant property library, so it runs only where a file has such a gap.
"""

from __future__ import annotations

from typing import Any

from heatcalc.errors import InputError
from heatcalc.inputs.unit.unit_points import Modelled, Point
from heatcalc.physics.unit.frost import has_frost_point
from heatcalc.physics.unit.unit_rules import rule

_OTHER_COOLING_F = (67.0, 82.0, 105.0, 115.0)


def with_modelled(heating: list[Point], cooling: list[Point], plate: Any, where: str):
    """Both modes' points with their gaps filled, and one phrase for each kind of filling."""
    gaps = [p for p in heating + cooling if p.input_W is None]
    alone = len({round(p.outdoor, 2) for p in cooling}) == 1
    if not gaps and not alone:
        return {"heating": heating, "cooling": cooling}, []
    try:
        return _by_machine(heating, cooling, plate, where)
    except ValueError as problem:  # the property library finds no state at what the points ask for
        if isinstance(problem, InputError):
            raise
        raise InputError(
            "power",
            None,
            "the refrigerant-cycle model cannot fill this table's gaps: no machine runs so",
            "look at the capacities, or give power at every point",
            where,
        ) from None


def _by_machine(heating: list[Point], cooling: list[Point], plate: Any, where: str):
    gaps = [p for p in heating + cooling if p.input_W is None]
    alone = len({round(p.outdoor, 2) for p in cooling}) == 1
    machine, remarks = _fitted(heating, cooling, plate, where)
    if gaps:
        remarks.append(f"power of {len(gaps)} points by refrigerant-cycle model")
        heating, cooling = ([_with_power(machine, p) for p in mine] for mine in (heating, cooling))
    if alone:
        remarks.append("cooling at other temperatures by refrigerant-cycle model at constant speed")
        cooling = cooling + [moved for p in cooling for moved in _at_others(machine, p)]
    return {"heating": heating, "cooling": cooling}, remarks


def _fitted(heating: list[Point], cooling: list[Point], plate: Any, where: str):
    from heatcalc.physics.unit.machine import RATED_OUTDOOR_C, anchored, fitted

    rated = [p for p in cooling if abs(p.outdoor - RATED_OUTDOOR_C) < 3.0 and p.level != "min" and p.input_W]
    if not rated:
        raise InputError(
            "power",
            None,
            "points without power or COP need the rated cooling point at 95 F with its power",
            "the refrigerant-cycle model starts from it",
            where,
        )
    first = rated[0]
    machine = fitted(plate.refrigerant, plate.unit_class, first.capacity, first.input_W or 0.0)
    anchors = [p for p in heating if p.input_W and p.level != "min" and not has_frost_point([p.outdoor])]
    if not anchors:
        return machine, ["heating power level assumed from the cooling rating (no heating COP printed)"]
    a = anchors[0]
    return anchored(machine, a.outdoor, a.capacity, a.capacity / (a.input_W or 1.0)), []


def _with_power(machine, p: Point) -> Point:
    """The point with the model's power at the speed of its capacity; frost taken out and put back."""
    from heatcalc.physics.unit import machine as model

    if p.input_W is not None:
        return p
    frosty = p.mode == "heating" and has_frost_point([p.outdoor])
    dry = p.capacity / (rule("frost_capacity_35F") if frosty else 1.0)
    run = model.heating if p.mode == "heating" else model.cooling
    steady = run(machine, p.outdoor, model.speed_for(machine, p.mode, p.outdoor, dry))
    power = dry / steady.cop * (rule("frost_power_35F") if frosty else 1.0)
    return Modelled.model_construct(**{**dict(p), "power": power, "whole": isinstance(p, Modelled) and p.whole})


def _at_others(machine, p: Point) -> list[Point]:
    """The printed cooling point carried to other outdoor temperatures by the model's ratios at one speed."""
    from heatcalc.physics.unit import machine as model

    speed = model.speed_for(machine, "cooling", p.outdoor, p.capacity)
    here = model.cooling(machine, p.outdoor, speed)
    moved: list[Point] = []
    for outdoor_C in ((f - 32.0) / 1.8 for f in _OTHER_COOLING_F):
        there = model.cooling(machine, outdoor_C, speed)
        capacity = p.capacity * there.capacity_W / here.capacity_W
        power = (p.input_W or 0.0) * there.power_W / here.power_W
        changed = {"outdoor": outdoor_C, "capacity": capacity, "power": power, "cop": None, "whole": True}
        share = {"sensible_heat_ratio": None, "moisture_removal": None}
        moved.append(Modelled.model_construct(**{**dict(p), **changed, **share}))
    return moved
