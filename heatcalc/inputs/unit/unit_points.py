"""The points of a unit file: each checked alone, then together, then laid out as curves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, Literal

import numpy as np
from pydantic import Field, field_validator

from heatcalc import units
from heatcalc.errors import InputError
from heatcalc.inputs.checked import Checked, quantity
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import SAME_ROOM_K
from heatcalc.physics.unit.heat_pump import LEVELS, Curves, error_band, rule
from heatcalc.physics.unit.outdoor_unit import with_frost_point
from heatcalc.physics.unit.plausibility import Filled, filled
from heatcalc.wording import Q, Said, worded

RATING_INDOOR_C = {"heating": (70.0 - 32.0) / 1.8, "cooling": (80.0 - 32.0) / 1.8}
RATING_WET_BULB_C = (67.0 - 32.0) / 1.8
OTHER_COOLING_F = (67.0, 82.0, 105.0, 115.0)
_LOWEST_COP = 0.7


class Point(Checked):
    """One printed point: either power or COP goes with the capacity."""

    mode: Literal["heating", "cooling"]
    outdoor: quantity("temperature", -40, 60)  # type: ignore[valid-type]
    level: Literal["min", "rated", "max"]
    capacity: quantity("power", 0.1, 1e8)  # type: ignore[valid-type]
    power: quantity("electric power", 0.1, 1e8) | None = None  # type: ignore[valid-type]
    cop: float | None = Field(None, gt=0, le=30)
    sensible_heat_ratio: float | None = Field(None, ge=0.3, le=1)
    moisture_removal: quantity("mass flow", 0, 0.01) | None = None  # type: ignore[valid-type]
    indoor: quantity("temperature", 5, 40) | None = None  # type: ignore[valid-type]
    indoor_wet_bulb: quantity("temperature", 0, 30) | None = None  # type: ignore[valid-type]

    @field_validator("sensible_heat_ratio", mode="before")
    @classmethod
    def _share(cls, said: Any) -> Any:
        if isinstance(said, (int, float)) and 30 <= said <= 100:
            raise ValueError(f"is a share, not per cent: did you mean {said / 100:g}?")
        return said

    @property
    def input_W(self) -> float | None:
        """Electric input: as printed, or capacity over COP."""
        if self.power is not None:
            return self.power
        return None if self.cop is None else self.capacity / self.cop


class Modelled(Point):
    """A point of another room, brought to this one."""


Placed = list[tuple[Point, str]]


def checked_points(mode: str, points: Placed, plate: Any, where: str) -> list[list[Point]]:
    """The points of one mode by room, the rating's room (or the nearest to it) first; each checked alone and by room."""
    mine = [(p, w) for p, w in points if p.mode == mode]
    if not mine:
        advice = "give capacity and power at two or more outdoor temperatures"
        raise InputError(mode, None, f"no {mode} points", advice, where)
    for point, place in mine:
        _check_alone(point, plate, place)
    rooms = _by_room(mode, mine)
    for room in rooms:
        _check_together(mode, room)
    if mode == "heating" and len({round(p.outdoor, 2) for p, _ in mine}) < 2:
        raise InputError(mode, None, "has one outdoor temperature only", "47 F and 17 F or 5 F at least", where)
    return [[p for p, _ in room] for room in rooms]


def _by_room(mode: str, mine: Placed) -> list[Placed]:
    """Rows of one indoor condition together; first the fullest kind of table nearest the rating, then by temperature."""
    rooms: dict[tuple[float, float], Placed] = {}
    for p, w in mine:
        dry, wet = room_of(p)
        key = next((k for k in rooms if max(abs(k[0] - dry), abs(k[1] - wet)) < SAME_ROOM_K), (dry, wet))
        rooms.setdefault(key, []).append((p, w))
    target = (RATING_INDOOR_C[mode], RATING_WET_BULB_C)

    def rank(key: tuple[float, float]) -> tuple[bool, float]:
        thin = len({round(p.outdoor, 2) for p, _ in rooms[key]}) < 2
        return thin, abs(key[0] - target[0]) + abs(key[1] - target[1])

    first = min(rooms, key=rank)
    return [rooms[first], *(rooms[key] for key in sorted(rooms) if key != first)]


def room_of(p: Point) -> tuple[float, float]:
    """Indoor dry and wet bulb a point was printed for: the rating's where it does not say.

    Cooling with a dry bulb alone is taken at the rating's relative humidity; heating has no wet bulb.
    """
    dry = RATING_INDOOR_C[p.mode] if p.indoor is None else p.indoor
    if p.mode == "heating":
        return dry, RATING_WET_BULB_C
    if p.indoor_wet_bulb is not None or p.indoor is None:
        return dry, RATING_WET_BULB_C if p.indoor_wet_bulb is None else p.indoor_wet_bulb
    return dry, _rating_wet_bulb(dry)


@cache
def _rating_wet_bulb(dry_C: float) -> float:
    """Wet bulb at the relative humidity of the cooling rating (80/67 F) [degC]."""
    rated_C = RATING_INDOOR_C["cooling"]
    relative = moist_air.relative_humidity(rated_C, moist_air.humidity_ratio_from_wet_bulb(rated_C, RATING_WET_BULB_C))
    if abs(dry_C - rated_C) < SAME_ROOM_K:
        return RATING_WET_BULB_C
    return float(moist_air.wet_bulb(dry_C, moist_air.humidity_ratio_from_relative(dry_C, float(relative))))


def _check_alone(p: Point, plate: Any, where: str) -> None:
    if p.mode == "cooling" and room_of(p)[1] > room_of(p)[0]:
        wet, dry = (units.text(x, "temperature", "ip") for x in room_of(p)[::-1])
        raise InputError("indoor_wet_bulb", wet, f"is above the room's dry bulb {dry}", "are the two columns swapped?", where)
    share = p.capacity / plate.size
    if not 0.04 <= share <= 3.0:
        raise InputError(
            "capacity",
            units.text(p.capacity, "power", "ip"),
            f"is {share:.3g} of the unit's size {units.text(plate.size, 'power', 'ip')}",
            "is the unit of the column right (Btu/h, kBtu/h, W, kW)?",
            where,
        )
    if p.power is not None and p.cop is not None and abs(p.capacity / p.power / p.cop - 1.0) > 0.05:
        raise InputError("cop", p.cop, f"capacity over power is {p.capacity / p.power:.2f}", "give power or COP, not both", where)
    if p.input_W is not None:
        _check_cop(p, p.capacity / p.input_W, where)


def _check_cop(p: Point, cop: float, where: str) -> None:
    """A COP above Carnot between the two air temperatures, or below 0.7, is a typing or unit error."""
    inside = RATING_INDOOR_C[p.mode] if p.indoor is None else p.indoor
    lift = inside - p.outdoor if p.mode == "heating" else p.outdoor - inside
    limit = (inside + moist_air.ZERO_C_K) / lift if lift > 0.5 else 600.0
    if cop > min(limit, 25.0):
        raise InputError(
            "power",
            f"{p.input_W or 0.0:.3g} W",
            f"gives a COP of {cop:.1f}, above what any machine can reach here (Carnot {limit:.0f})",
            "are capacity and power in the right units?",
            where,
        )
    if cop < _LOWEST_COP:
        raise InputError(
            "power",
            f"{p.input_W or 0.0:.3g} W",
            f"gives a COP of {cop:.2f}, below a plain electric heater",
            "are capacity and power in the right units?",
            where,
        )


def _check_together(mode: str, mine: Placed) -> None:
    for level in LEVELS:
        _check_order(mode, level, [(p, w) for p, w in mine if p.level == level])
    by_key: dict[tuple[float, str], tuple[Point, str]] = {(round(p.outdoor, 3), p.level): (p, w) for p, w in mine}
    for (outdoor, level), (p, place) in by_key.items():
        for higher in LEVELS[LEVELS.index(level) + 1 :]:
            if (outdoor, higher) in by_key:
                _check_levels(p, by_key[outdoor, higher][0], place)


def _check_levels(low: Point, high: Point, where: str) -> None:
    at = f"at {units.text(low.outdoor, 'temperature', 'ip')}"
    if low.capacity > high.capacity:
        raise InputError(
            "capacity",
            units.text(low.capacity, "power", "ip"),
            f"{low.mode} {low.level} {at} is above {high.level} ({units.text(high.capacity, 'power', 'ip')})",
            "are the levels swapped?",
            where,
        )
    if low.input_W and high.input_W and low.input_W > high.input_W:
        raise InputError(
            "power",
            units.text(low.input_W, "electric power", "si"),
            f"{low.mode} {low.level} {at} is above {high.level} ({units.text(high.input_W, 'electric power', 'si')})",
            "are the levels swapped?",
            where,
        )


def _check_order(mode: str, level: str, mine: Placed) -> None:
    steps = [(b.outdoor - a.outdoor, a, b, place) for (a, _), (b, place) in zip(mine, mine[1:], strict=False)]
    for step, before, here, place in steps:
        t = units.text(here.outdoor, "temperature", "ip")
        if abs(step) < 0.05:
            raise InputError("outdoor", t, f"{mode} {level} is given twice at this temperature", "", place)
        if (step > 0) != (steps[0][0] > 0):
            raise InputError(
                "outdoor",
                t,
                f"{mode} {level} temperatures are out of order after {units.text(before.outdoor, 'temperature', 'ip')}",
                "list them from warm to cold or cold to warm",
                place,
            )


def laid_out(
    mode: str, mine: list[Point], lowest_C: float, classes: Callable[[str], Sequence[Curves]]
) -> tuple[Curves, list[Said]]:
    """Checked points as curves with every hole filled from the spread of the classes, and what was filled."""
    printed_C = sorted({round(p.outdoor, 9) for p in mine})
    nodes = np.array(sorted([*printed_C, *(_other_cooling_C(printed_C) if mode == "cooling" else [])]))
    capacity, electric, shares = _tables(nodes, mine)
    printed = _printed(nodes, [p for p in mine if not isinstance(p, Modelled)], list(capacity))
    power_given = _printed(nodes, [p for p in mine if not isinstance(p, Modelled) and p.input_W is not None], list(capacity))
    remarks: list[Said] = []
    sensible = _shares(nodes, shares, remarks) if mode == "cooling" else {}
    room_C, wet_C = room_of(mine[0])
    curves = Curves(
        mode=mode,
        outdoor_C=nodes,
        capacity_W=capacity,
        power_W=electric,
        given=printed,
        power_given=power_given,
        lowest_C=lowest_C,
        indoor_C=room_C,
        indoor_wet_bulb_C=wet_C,
        sensible_heat_ratio=sensible,
    )
    curves = replace(curves, filled_spread=_brought_spread(nodes, [p for p in mine if isinstance(p, Modelled)], list(capacity)))
    if any(np.isnan(row).any() for table in (capacity, electric) for row in table.values()):
        curves, words = _filled(curves, classes(mode))
        remarks.insert(0, words)
    if mode == "heating":
        curves = with_frost_point(curves)
        if curves.frost_by_rule:
            remarks.append(worded("frost dip at {} by rule (no tested point)", Q(1.6667, "temperature")))
    return curves, [worded("{}: {}", mode, remark) for remark in remarks]


def _brought_spread(nodes, brought: list[Point], levels: list[str]) -> dict[str, dict]:
    """Half-widths of the bands of points brought from another room, as log ratios."""
    if not brought:
        return {}
    there = _printed(nodes, brought, levels)
    return {
        q: {k: flags * np.log1p(error_band(f"{q} other room")[1]) for k, flags in there.items()} for q in ("capacity", "power")
    }


def _other_cooling_C(printed_C: Sequence[float]) -> list[float]:
    """Where cooling is estimated beyond its print: hotter, and everywhere else where one temperature alone is printed."""
    usual = [(f - 32.0) / 1.8 for f in OTHER_COOLING_F]
    return [t for t in usual if t > printed_C[-1] + 3.0 or (len(printed_C) == 1 and t < printed_C[0] - 3.0)]


def _filled(curves: Curves, classes: Sequence[Curves]) -> tuple[Curves, Said]:
    """The curves without holes, and how wide the bands are; asks where what is printed leaves no room for the rest."""
    found = filled(classes, curves)
    _check_filled(curves, found)
    widths = {"capacity": found.capacity_spread, "power": found.power_spread}
    parts = []
    for name, table in widths.items():
        wide = np.concatenate([row[row > 0.0] for row in table.values()])
        if len(wide):
            parts.append(f"{name} of {len(wide)} points, within {np.expm1(wide.min()):.0%} to {np.expm1(wide.max()):.0%}")
    both = {
        q: {k: np.maximum(row, curves.filled_spread.get(q, {}).get(k, 0.0)) for k, row in t.items()} for q, t in widths.items()
    }
    whole = replace(curves, capacity_W=found.capacity_W, power_W=found.power_W, filled_spread=both)
    return whole, f"not printed, from the spread of the unit classes: {', '.join(parts)}"


def _check_filled(curves: Curves, found: Filled) -> None:
    """Looked at once more after filling: levels in order, and no input below the second-law limit of the printed capacity."""
    for low, high in zip(curves.levels, curves.levels[1:], strict=False):
        for name, table, band in (
            ("capacity", found.capacity_W, found.capacity_spread),
            ("power", found.power_W, found.power_spread),
        ):
            wrong = np.flatnonzero((table[low] > table[high] * (1.0 + 1e-9)) & (band[low] + band[high] > 0.0))
            if len(wrong):
                at = units.text(float(curves.outdoor_C[wrong[0]]), "temperature", "ip")
                raise InputError(name, None, f"{curves.mode} {low} at {at} comes out above {high}", "are the levels swapped?")
    for level, row in found.power_W.items():
        lift = (curves.indoor_C - curves.outdoor_C) * (1.0 if curves.mode == "heating" else -1.0)
        best = (curves.indoor_C + moist_air.ZERO_C_K) / np.maximum(lift, 0.5)
        wrong = np.flatnonzero(found.capacity_W[level] / row > best)
        if len(wrong):
            at = units.text(float(curves.outdoor_C[wrong[0]]), "temperature", "ip")
            raise InputError(
                "power", None, f"{curves.mode} {level} at {at} leaves less than the second law asks", "look at its neighbours"
            )


def _tables(nodes, mine: list[Point]) -> tuple[dict, dict, dict]:
    """Capacity, power and sensible share by level over the nodes, NaN where not said."""
    levels = [level for level in LEVELS if any(p.level == level for p in mine)]
    capacity, electric, shares = ({x: np.full(len(nodes), np.nan) for x in levels} for _ in range(3))
    for p in mine:
        k = int(np.abs(nodes - p.outdoor).argmin())
        said = (p.capacity, np.nan if p.input_W is None else p.input_W, sensible_share(p))
        for table, value in zip((capacity, electric, shares), said, strict=True):
            table[p.level][k] = value
    return capacity, electric, shares


def _printed(nodes, mine: list[Point], levels: list[str]) -> dict:
    """Which nodes of each level hold one of these points."""
    return {
        level: np.array([any(p.level == level and abs(p.outdoor - x) < 1e-5 for p in mine) for x in nodes]) for level in levels
    }


def sensible_share(p: Point) -> float:
    """Sensible heat ratio of a point as printed or by its moisture removal, NaN where it says neither [-]."""
    if p.sensible_heat_ratio is not None:
        return p.sensible_heat_ratio
    if p.moisture_removal is None:
        return float("nan")
    return float(np.clip(1.0 - p.moisture_removal * moist_air.VAPORISATION / p.capacity, 0.3, 1.0))


def _shares(nodes, shares: dict, remarks: list[Said]) -> dict:
    sensible = {}
    for level, row in shares.items():
        known = np.isfinite(row)
        default = rule("shr_min") if level == "min" else rule("shr_rated")
        if not known.any():
            remarks.append(f"sensible heat ratio {default:g} at {level}")
        sensible[level] = np.interp(nodes, nodes[known], row[known]) if known.any() else np.full(len(nodes), default)
    return sensible
