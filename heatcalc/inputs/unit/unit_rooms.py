"""Rows of a unit file for other indoor temperatures: what they add to the first room's curves, and each one kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heatcalc.inputs.unit.unit_points import Modelled, Point, room_of, sensible_share
from heatcalc.physics.unit.at_site import by_factors, room_factors
from heatcalc.physics.unit.heat_pump import LEVELS, Array, Curves, PrintedRoom

Rows = dict[tuple[str, float], Point]


def first_room(rooms: list[list[Point]]) -> tuple[list[Point], list[str]]:
    """The first room's points and, where it prints no such level or outdoor temperature, the nearest room's brought to it.

    They are brought by the room's factors times the print over them at the temperatures that both rooms print.
    """
    own, home = _rows(rooms[0]), room_of(rooms[0][0])
    found = dict(own)
    for room in sorted(rooms[1:], key=lambda room: float(np.abs(np.subtract(room_of(room[0]), home)).sum())):
        for key, point in _rows(room).items():
            if key not in found:
                found[key] = _brought(point, home, own, _rows(room))
    brought = len(found) - len(own)
    remark = f"{brought} {rooms[0][0].mode} rows printed for other rooms alone, brought to the first room by its factors"
    return list(found.values()), [remark] if brought else []


def _rows(points: list[Point]) -> Rows:
    return {(p.level, round(p.outdoor, 3)): p for p in points}


def _brought(p: Point, home: tuple[float, float], own: Rows, room: Rows) -> Point:
    """A point of another room as it would be at home; its sensible share is not brought."""
    capacity, power = room_factors(p.mode, p.outdoor, room_of(p), home)
    capacity, power = (float(f) * _seen(name, p, own, room) for name, f in (("capacity", capacity), ("input_W", power)))
    brought = {
        "capacity": p.capacity / capacity,
        "power": None if p.input_W is None else p.input_W / power,
        "cop": None,
        "indoor": home[0],
        "indoor_wet_bulb": home[1],
        "sensible_heat_ratio": None,
        "moisture_removal": None,
    }
    return Modelled.model_construct(**dict(p) | brought)


def _seen(name: str, p: Point, own: Rows, room: Rows) -> float:
    """Print over factors at the point's level, straight over the outdoor temperatures that both rooms print, else 1."""
    both = sorted(
        key[1] for key in room.keys() & own.keys() if key[0] == p.level and getattr(room[key], name) and getattr(own[key], name)
    )
    if not both:
        return 1.0
    pairs = [(room[p.level, t], own[p.level, t]) for t in both]
    index = 0 if name == "capacity" else 1
    over = [
        getattr(there, name) / getattr(here, name) / room_factors(p.mode, there.outdoor, room_of(there), room_of(here))[index]
        for there, here in pairs
    ]
    return float(np.interp(p.outdoor, both, over))


def with_rooms(curves: Curves, others: list[list[Point]]) -> Curves:
    """The first room's curves with each other room's print over the factors, level by level."""
    return replace(curves, rooms=tuple(_printed_room(curves, room) for room in others))


def _printed_room(curves: Curves, points: list[Point]) -> PrintedRoom:
    indoor_C, wet_bulb_C = room_of(points[0])
    moved = by_factors(curves, indoor_C, wet_bulb_C)
    says = {
        "capacity": {p: p.capacity for p in points},
        "power": {p: p.input_W for p in points if p.input_W},
        "sensible": {p: s for p in points if curves.mode == "cooling" and np.isfinite(s := sensible_share(p))},
    }
    return PrintedRoom(
        indoor_C=indoor_C,
        indoor_wet_bulb_C=wet_bulb_C,
        capacity=_over(moved, moved.capacity_W, says["capacity"]),
        power=_over(moved, moved.power_W, says["power"]),
        sensible=_over(moved, moved.sensible_heat_ratio, says["sensible"]),
        given=_flags(curves, says["capacity"]),
        power_given=_flags(curves, says["power"]),
    )


def _node(curves: Curves, p: Point) -> int:
    return int(np.abs(curves.outdoor_C - p.outdoor).argmin())


def _over(moved: Curves, table: dict[str, Array], said: dict[Point, float]) -> dict[str, Array]:
    """Print over table at the nodes: straight between rows, held beyond; a level without rows takes the nearest one's."""
    over: dict[str, Array] = {}
    for level in {p.level for p in said}:
        rows = sorted((_node(moved, p), value) for p, value in said.items() if p.level == level)
        ratio = [value / table[level][k] for k, value in rows]
        over[level] = np.interp(moved.outdoor_C, moved.outdoor_C[[k for k, _ in rows]], ratio)
    return {level: over[_nearest(level, list(over))] if over else np.ones(len(moved.outdoor_C)) for level in table}


def _nearest(level: str, levels: list[str]) -> str:
    place = LEVELS.index(level)
    return min(levels, key=lambda other: (abs(LEVELS.index(other) - place), LEVELS.index(other)))


def _flags(curves: Curves, said: dict[Point, float]) -> dict[str, Array]:
    flags = {level: np.zeros(len(curves.outdoor_C), bool) for level in curves.levels}
    for p in said:
        flags[p.level][_node(curves, p)] = True
    return flags
