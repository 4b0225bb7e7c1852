"""When the water line freezes in a power cut, by where it lies, and what the cheapest remedy gains."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from heatcalc.model.house_model import HouseModel
from heatcalc.physics.shell.films import outside_resistance
from heatcalc.physics.shell.pipe import line_temperature_C, sleeve_resistance, water_heat
from heatcalc.tables import rows

STEPS = 60  # a minute each
STILL_AIR_W_m2K = 10.0  # convection and radiation of a thin bare tube in still air: common practice, no source


@dataclass(frozen=True)
class PipeFreeze:
    """Hours from the cut until standing water reaches freezing, and minutes more with the remedy; None: not within ten days."""

    where: str
    hours: float | None
    remedy: str
    minutes_gained: float | None


@dataclass(frozen=True)
class WaterLine:
    """A metre of water line: temperature at the cut, its sides' resistances [m K/W], and its cold side."""

    where: str
    from_C: float
    to_warm: float | None
    to_cold: float
    cold_C: np.ndarray | None  # None: the room itself


@cache
def fact(name: str) -> float:
    """One number of tables/pipes.csv."""
    return next(float(r["value"]) for r in rows("pipes") if r["name"] == name)


def freeze_times(
    model: HouseModel, indoor_C: np.ndarray, outdoor_C: np.ndarray, below_C: np.ndarray, wind_m_s: float
) -> tuple[PipeFreeze, ...]:
    """Room, floor cavity, and the space below or the riser in the open, each with its remedy.

    indoor_C : readings at the cut and at the end of each hour after it; the others: means of those hours [degC]
    wind_m_s : mean at the house
    """
    made = tuple(_lines(model, indoor_C[0], outdoor_C, below_C, wind_m_s))
    return tuple(_freeze(line, better, words, indoor_C) for line, better, words in made)


def _lines(
    model: HouseModel, room_C: float, outdoor_C: np.ndarray, below_C: np.ndarray, wind_m_s: float
) -> Iterator[tuple[WaterLine, WaterLine, str]]:
    """Each line, the same with its remedy, and the remedy in words."""
    bare = 1.0 / (STILL_AIR_W_m2K * np.pi * fact("outside_diameter"))
    room = WaterLine("in the room", room_C, None, bare, None)
    yield room, replace(room, to_cold=_sleeved(fact("more_sleeve"), STILL_AIR_W_m2K)), "one inch of foam sleeve"
    floor = next((p for p in model.opaque if p.kind == "floor"), None)
    if floor is not None and model.house.below.kind != "slab":
        under = below_C if floor.body.boundary == "below" else outdoor_C
        line, warm = (_in_floor(1.0 / floor.u_value, fact(share), room_C, under) for share in ("cavity_share", "warm_side_share"))
        yield line, warm, "laid above the insulation, on the warm side"
    if model.house.below.kind != "slab":
        spaced = model.house.below.kind != "open air"
        film = STILL_AIR_W_m2K if spaced else 1.0 / outside_resistance(max(wind_m_s, 1.0))
        where, cold = (f"in the {model.house.below.kind} space", below_C) if spaced else ("in the riser outdoors", outdoor_C)
        line = WaterLine(where.replace("space space", "space"), fact("kept_C"), None, _sleeved(fact("sleeve"), film), cold)
        yield line, replace(line, to_cold=_sleeved(fact("more_sleeve"), film)), "one inch of foam sleeve instead of half an inch"


def _in_floor(resistance_m2K_W: float, share: float, room_C: float, under_C: np.ndarray) -> WaterLine:
    whole = resistance_m2K_W / fact("cavity_strip")
    return WaterLine("in the floor cavity", room_C + share * (under_C[0] - room_C), share * whole, (1.0 - share) * whole, under_C)


def _sleeved(thickness_m: float, film_W_m2K: float) -> float:
    """Resistance of a sleeve and the film on it [m K/W]."""
    tube = fact("outside_diameter")
    outer = tube + 2.0 * thickness_m
    return sleeve_resistance(tube, outer, fact("sleeve_conductivity")) + 1.0 / (film_W_m2K * np.pi * outer)


def _freeze(line: WaterLine, better: WaterLine, words: str, indoor_C: np.ndarray) -> PipeFreeze:
    first, then = (_hours(x, indoor_C) for x in (line, better))
    gained = None if first is None or then is None else 60.0 * (then - first)
    return PipeFreeze(line.where, first, words, gained)


def _hours(line: WaterLine, indoor_C: np.ndarray) -> float | None:
    """Hours until the line is at 0 C."""
    if line.from_C <= 0.0:
        return 0.0
    minutes = np.arange(STEPS * (len(indoor_C) - 1)) / STEPS
    room = np.interp(minutes + 0.5 / STEPS, np.arange(len(indoor_C)), indoor_C)
    cold = room if line.cold_C is None else np.repeat(line.cold_C, STEPS)
    stores = water_heat(fact("inside_diameter")) + fact("tube_heat")
    to_warm = 0.0 if line.to_warm is None else 1.0 / line.to_warm
    found = line_temperature_C(line.from_C, room, cold, to_warm, 1.0 / line.to_cold, stores, 3600.0 / STEPS)
    below = np.flatnonzero(found <= 0.0)
    return None if not len(below) else float((below[0] + 1) / STEPS)
