"""What one indoor head cannot do: closed rooms, lofts; and what the maker says of its sound."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.judge.choice import Candidate
from heatcalc.model.house_model import HouseModel
from heatcalc.supply.charge import rooms_of
from heatcalc.wording import Said


def one_head_warnings(model: HouseModel, best: Candidate) -> Iterator[Said]:
    """Warnings for rooms that one head does not reach; common practice, no source."""
    _, *closed = rooms_of(model.house, model.floor_area_m2, model.volume_m3)
    for room in closed:
        yield (
            f"one head serves one room: with its door shut, {room.name.removesuffix(', closed')} gets neither its heat nor "
            "its cold; leave the door open, or give that room a fan through the wall or a heater of its own"
        )
    if (said := model.house.bedrooms) > max(len(closed), 1):
        known = f"{len(closed)} of them named as a closed room" if closed else "none of them named as a closed room"
        yield (
            f"{said} bedrooms, {known}: a bedroom behind a shut door gets neither heat nor cold from one head; name them in "
            "[[supply.closed_rooms]], and leave doors open or give each a heater of its own"
        )
    if model.house.loft:
        yield "warm air gathers in the loft, where the head's own sensor may sit: expect a cold floor; a slow fan mixes the room"
    if best.unit.sound_dBA is not None:
        yield f"sound: the maker states {best.unit.sound_dBA:.0f} dB(A) for {best.name}; nothing is computed here"
