"""What one indoor head cannot do: closed rooms, lofts; and what the maker says of its sound."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.judge.choice import Candidate
from heatcalc.model.comfort import cold_places, hot_places
from heatcalc.model.designer import Designer
from heatcalc.model.house_model import HouseModel
from heatcalc.supply.charge import rooms_of
from heatcalc.wording import Q, Said, joined, worded

NOTICED_K = 3.0  # a part of the room further off than this is complained of: ASHRAE 55's head-to-ankle limit, from memory


def places_told(designer: Designer) -> Iterator[Said]:
    """Loft, floor and a closed bath in both design hours, where one of them is far from the room."""
    cold, hot = cold_places(designer), hot_places(designer)
    told = {
        "loft": (cold.loft_C, hot.loft_C),
        "floor": (cold.floor_C, None),
        "bath with its door shut": (cold.bath_C, hot.bath_C),
    }
    off = [abs(x - p.room_C) for pair in told.values() for x, p in zip(pair, (cold, hot), strict=True) if x is not None]
    if max(off) > NOTICED_K:
        yield worded(
            "design cold and hottest hour (room {}, {}): {}",
            Q(cold.room_C, "temperature"),
            Q(hot.room_C, "temperature"),
            joined("; ", [_place(name, *pair) for name, pair in told.items() if pair != (None, None)]),
        )


def _place(name: str, cold_C: float | None, hot_C: float | None) -> Said:
    said = [Q(x, "temperature") for x in (cold_C, hot_C) if x is not None]
    return worded("{} {}, {}", name, *said) if len(said) == 2 else worded("{} {}", name, *said)


def one_head_warnings(model: HouseModel, best: Candidate) -> Iterator[Said]:
    """Warnings for rooms that one head does not reach; common practice, no source."""
    _, *closed = rooms_of(model.house, model.floor_area_m2, model.volume_m3)
    for room in closed:
        yield (
            f"one head serves one room: leave {room.name.removesuffix(', closed')}'s door open, or give it a through-wall fan "
            "or a heater"
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
