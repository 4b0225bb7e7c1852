"""Is a printed table believable?  Carnot share of each point, and each point against its neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.air.moist_air import ZERO_C_K
from heatcalc.physics.unit.frost import has_frost_point
from heatcalc.physics.unit.heat_pump import Curves, PrintedRoom
from heatcalc.physics.unit.unit_rules import rule
from heatcalc.wording import Q, Said, worded

_REFERENCE_C = (47.0 - 32.0) / 1.8


@dataclass(frozen=True)
class Doubt:
    """One point to ask the maker about: where, what is odd, and how much."""

    mode: str
    level: str
    outdoor_C: float
    reason: Said


def carnot_share(curves: Curves, level: str) -> np.ndarray:
    """f = COP (Tc - Te)/Th at each node; Tc = Ti + 18 q, Te = To - 7 q in heating, q = Q over Q at 47 F (own study).

    Cooling: f = COP (Tc - Te)/Te with Tc = To + 11 q, Te = Ti - 15 q, q = Q over the largest Q (assumption).
    """
    capacity = curves.capacity_W[level]
    cop = capacity / curves.power_W[level]
    if curves.mode == "heating":
        top = curves.capacity_W[curves.levels[-1]]
        q = capacity / np.interp(_REFERENCE_C, curves.outdoor_C, top)
        hot = curves.indoor_C + rule("carnot_condenser_above_room") * q
        cold = curves.outdoor_C - rule("carnot_evaporator_below_air") * q
        return cop * (hot - cold) / (hot + ZERO_C_K)
    q = capacity / max(row.max() for row in curves.capacity_W.values())
    hot = curves.outdoor_C + rule("carnot_cooling_condenser_above_air") * q
    cold = curves.indoor_C - rule("carnot_cooling_evaporator_below_room") * q
    return cop * (hot - cold) / (cold + ZERO_C_K)


def doubts(curves: Curves) -> tuple[Doubt, ...]:
    """Printed points whose Carnot share leaves 0.20 to 0.60, rises toward the cold, or that miss their neighbours."""
    found: list[Doubt] = []
    for level in curves.levels:
        both = curves.given[level] & curves.power_given[level]
        if level != "min":  # at minimum speed fans and controls decide, not the lift
            found += _out_of_range(curves, level, both)
            found += _rising(curves, level, both) if curves.mode == "heating" else []
        found += _off_the_line(curves, level, both)
    return (*found, *_off_the_room(curves))


def _off_the_room(curves: Curves) -> list[Doubt]:
    """Rows for another room further off the room's factors than an end point may be off its line."""
    found = []
    for room in curves.rooms:
        for name, over, flags in (("capacity", room.capacity, room.given), ("power", room.power, room.power_given)):
            for level, row in over.items():
                odd = flags[level] & (np.abs(row - 1.0) > rule("neighbour_limit_end"))
                found += [
                    Doubt(curves.mode, level, float(curves.outdoor_C[k]), _words(name, float(row[k]), room))
                    for k in np.flatnonzero(odd)
                ]
    return found


def _words(name: str, over: float, room: PrintedRoom) -> Said:
    return worded(
        "{} in a room of {} {:+.0%} off the usual change with the room", name, Q(room.indoor_C, "temperature"), over - 1.0
    )


def _out_of_range(curves: Curves, level: str, both) -> list[Doubt]:
    share = carnot_share(curves, level)
    low, high = rule("carnot_low"), rule("carnot_high")
    return [
        Doubt(curves.mode, level, float(t), f"Carnot share {f:.2f} outside {low:.2f} to {high:.2f}")
        for t, f in zip(curves.outdoor_C[both], share[both], strict=True)
        if not low <= f <= high
    ]


def _rising(curves: Curves, level: str, both) -> list[Doubt]:
    dry = both & np.array([t < _REFERENCE_C + 0.1 and not has_frost_point([t]) for t in curves.outdoor_C])
    share, outdoor = carnot_share(curves, level)[dry], curves.outdoor_C[dry]
    return [
        Doubt(curves.mode, level, float(outdoor[k]), f"Carnot share rises {share[k] / share[k + 1] - 1.0:.0%} toward the cold")
        for k in range(len(share) - 1)
        if share[k] > rule("carnot_rise") * share[k + 1]
    ]


def _off_the_line(curves: Curves, level: str, both) -> list[Doubt]:
    """Points off the straight line through two dry neighbours, on both sides or, at an end, on one."""
    found = []
    for i in map(int, np.flatnonzero(both)):
        pair = _neighbours(curves, both, i)
        if pair is None:
            continue
        inside = pair[0] < i < pair[1]
        if level == "min" and not inside:
            continue  # the head-pressure floor bends the minimum's power at the mild end
        limit = rule("neighbour_limit" if inside and level != "min" else "neighbour_limit_end")
        for name, share in (("capacity", curves.capacity_W[level]), ("power", curves.power_W[level])):
            off = _off(curves, share, i, pair, name)
            if abs(off) > limit:
                reason = f"{name} {off:+.0%} off the line through its neighbours"
                found.append(Doubt(curves.mode, level, float(curves.outdoor_C[i]), reason))
    return found


def _off(curves: Curves, row, i: int, pair: tuple[int, int], name: str) -> float:
    """How far a value stands off the line through two others, the rule's frost dip allowed for."""
    nodes = curves.outdoor_C
    a, b = pair
    line = row[a] + (row[b] - row[a]) * (nodes[i] - nodes[a]) / (nodes[b] - nodes[a])
    dip = curves.mode == "heating" and has_frost_point([nodes[i]])
    return float(row[i] / (line * (rule(f"frost_{name}_35F") if dip else 1.0)) - 1.0)


def _neighbours(curves: Curves, both, i: int) -> tuple[int, int] | None:
    """Two printed, dry points: one on each side where there are, else the two nearest within 36 F beyond an end."""
    nodes = curves.outdoor_C
    dry = [k for k in map(int, np.flatnonzero(both)) if k != i and not (curves.mode == "heating" and has_frost_point([nodes[k]]))]
    below, above = [k for k in dry if k < i], [k for k in dry if k > i]
    if below and above:
        return below[-1], above[0]
    near = below[-2:] if below else above[:2]
    if len(near) < 2 or min(abs(nodes[k] - nodes[i]) for k in near) > 20.0:
        return None
    return near[0], near[1]
