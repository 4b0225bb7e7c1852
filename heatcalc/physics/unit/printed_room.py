"""A unit in another room by its own print: rows for other indoor temperatures and wet bulbs, each reproduced.

The room's factors (`at_site`) carry the curves to a room; print over factors, kept for each printed room at each outdoor
temperature and level, corrects them.  That ratio is 1 in the curves' own room, straight over outdoor temperature, wet bulb
and dry bulb between printed rooms, and held beyond them: bilinear where the print is, the factors' shape where it is not.
Own rule, exact at every row.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heatcalc.physics.unit.heat_pump import Array, Curves, PrintedRoom

SAME_ROOM_K = 0.1  # rooms nearer than this are one room


def room_weights(rooms: list[tuple[float, float]], room_C: float, wet_bulb_C) -> Array:
    """Share of each printed room (dry and wet bulb, all different) at a room; shaped (wet bulbs, rooms), sum 1.

    Straight in dry bulb between rooms of one wet bulb, then straight in wet bulb between those; held beyond the ends.
    """
    wets = sorted({wet for _, wet in rooms})
    across = _hats(wets, np.atleast_1d(np.asarray(wet_bulb_C, float)))
    weights = np.empty((len(across), len(rooms)))
    for column, wet in enumerate(wets):
        mine = sorted((dry, k) for k, (dry, w) in enumerate(rooms) if w == wet)
        along = _hats([dry for dry, _ in mine], np.array([room_C]))[0]
        weights[:, [k for _, k in mine]] = across[:, [column]] * along
    return weights


def _hats(nodes: list[float], at: Array) -> Array:
    """Shares of increasing nodes in straight interpolation, held beyond the ends; shaped (at, nodes)."""
    return np.stack([np.interp(at, nodes, row) for row in np.eye(len(nodes))], axis=-1)


def same_room(room: tuple[float, float], curves: Curves) -> bool:
    """Whether the curves stand for this room, to 0.05 K in both temperatures."""
    return abs(room[0] - curves.indoor_C) < SAME_ROOM_K / 2 and abs(room[1] - curves.indoor_wet_bulb_C) < SAME_ROOM_K / 2


def own_and_printed(curves: Curves) -> list[tuple[float, float]]:
    """Dry and wet bulb of the curves' own room, then of each other room printed [degC]."""
    return [(curves.indoor_C, curves.indoor_wet_bulb_C), *((r.indoor_C, r.indoor_wet_bulb_C) for r in curves.rooms)]


def as_printed_there(curves: Curves, moved: Curves) -> Curves:
    """`moved`, the curves with a room's factors, corrected by the rows printed for rooms like it."""
    if not curves.rooms:
        return moved
    weights = room_weights(own_and_printed(curves), moved.indoor_C, moved.indoor_wet_bulb_C)[0]
    shares = {k: np.clip(row * _over(curves, "sensible", k, weights), 0.0, 1.0) for k, row in moved.sensible_heat_ratio.items()}
    there = next((r for r in curves.rooms if same_room((r.indoor_C, r.indoor_wet_bulb_C), moved)), None)
    return replace(
        moved,
        capacity_W={k: row * _over(curves, "capacity", k, weights) for k, row in moved.capacity_W.items()},
        power_W={k: row * _over(curves, "power", k, weights) for k, row in moved.power_W.items()},
        sensible_heat_ratio=shares,
        exact=moved.exact if there is None else there.given,
        power_exact=moved.power_exact if there is None else there.power_given,
    )


def _over(curves: Curves, quantity: str, level: str, weights: Array) -> Array:
    """Print over factors at each node, 1 in the curves' own room."""
    ratios = [getattr(room, quantity)[level] for room in curves.rooms]
    return weights[0] + np.tensordot(weights[1:], ratios, axes=1)


def in_printed_rooms(curves: Curves) -> list[Curves]:
    """The curves with each room's ratios alone, its own room first: a sum of these by weight is `as_printed_there`."""
    return [curves, *(_times(curves, room) for room in curves.rooms)]


def _times(curves: Curves, room: PrintedRoom) -> Curves:
    return replace(
        curves,
        capacity_W={k: row * room.capacity[k] for k, row in curves.capacity_W.items()},
        power_W={k: row * room.power[k] for k, row in curves.power_W.items()},
    )
