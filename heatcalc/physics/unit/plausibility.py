"""Is a printed table believable, and what does it leave out?

Believable: the Carnot share of each point, and each point against its neighbours.
Left out: the classes of the shelf are a small sample of how capacity and COP go together over temperature and level.  Their mean
and covariance of the logarithms, widened by what they all share (table class_spread), are a Gaussian of which the printed points
are seen without error; what is not printed is its conditional mean, with a band of 1.96 conditional standard deviations.
Textbook conditioning of a Gaussian; the widening is own choice, tried by leaving classes out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.physics.air.moist_air import ZERO_C_K
from heatcalc.physics.unit.heat_pump import Array, Curves, PrintedRoom, constant_speed_ratio, rule
from heatcalc.physics.unit.outdoor_unit import has_frost_point
from heatcalc.tables import rows
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


NODE_K = 1e-9  # variance that keeps the printed points' matrix regular
TWO_SIDED_95 = 1.959964
HIGHEST_COP = 25.0  # where hardly any lift is left, fans and controls decide
_SPAN_K = 42.0 / 1.8  # 47 to 5 F, over which the slope's spread counts once

Table = dict[str, Array]


@dataclass(frozen=True)
class Filled:
    """Capacity and input [W] at every level and node, and the half-widths of their bands as log ratios, 0 where printed."""

    capacity_W: Table
    power_W: Table
    capacity_spread: Table
    power_spread: Table


@cache
def spread(name: str, quantity: str) -> float:
    """One standard deviation of what all classes share, as a log ratio [-] (table class_spread)."""
    return next(float(row[quantity]) for row in rows("class_spread") if row["name"] == name)


def filled(classes: Sequence[Curves], curves: Curves) -> Filled:
    """The curves with every NaN of capacity and power filled [W]; printed values stay.

    Afterwards the levels are in order (min, rated, max), COP falls with the lift on dry nodes, and no filled input is below
    what the highest plausible Carnot share leaves (rule carnot_high).
    """
    levels, n = curves.levels, len(curves.outdoor_C)
    capacity, power = (np.array([t[k] for k in levels]) for t in (curves.capacity_W, curves.power_W))
    mean, covariance = _prior(classes, curves, levels)
    said = np.concatenate([np.log(capacity).ravel(), (np.log(capacity) - np.log(power)).ravel()])
    mean, covariance = given_points(mean, covariance, said)
    logs, half = mean.reshape(2, len(levels), n), covariance.reshape(2, len(levels), n, 2, len(levels), n)
    variance = np.einsum("iabjab->ijab", half)
    known_q, known_p = np.isfinite(capacity), np.isfinite(capacity) & np.isfinite(power)
    q = np.where(known_q, capacity, _in_order(np.exp(logs[0]), capacity))
    cop = _falling(curves, np.where(known_p, q / power, np.exp(logs[1])), known_p)
    cop = np.where(known_p, cop, np.minimum(cop, _carnot_limit(curves, q, levels)))
    p = np.where(known_p, power, _in_order(q / cop, np.where(known_p, power, np.nan)))
    wide = (variance[0, 0], variance[0, 0] + variance[1, 1] - variance[0, 1] - variance[1, 0])
    wide_q, wide_p = (
        np.where(k, 0.0, TWO_SIDED_95 * np.sqrt(np.maximum(v, 0.0))) for k, v in zip((known_q, known_p), wide, strict=True)
    )
    return Filled(*(dict(zip(levels, table, strict=True)) for table in (q, p, wide_q, wide_p)))


def given_points(mean: Array, covariance: Array, said: Array) -> tuple[Array, Array]:
    """Mean and covariance of a Gaussian once the finite values of `said` are seen [as given]; closed form, textbook."""
    seen = np.isfinite(said)
    cross = covariance[:, seen]
    gain = np.linalg.solve(covariance[np.ix_(seen, seen)] + NODE_K * np.eye(int(seen.sum())), cross.T).T
    return mean + gain @ (said[seen] - mean[seen]), covariance - gain @ cross.T


def _prior(classes: Sequence[Curves], curves: Curves, levels: Sequence[str]) -> tuple[Array, Array]:
    """Mean and covariance of log capacity and log COP over (quantity, level, node)."""
    shapes = np.array([_shape(c, curves.outdoor_C, levels) for c in classes])
    off = shapes - shapes.mean(axis=0)
    covariance = off.T @ off / (len(shapes) - 1)
    place = (curves.outdoor_C - curves.outdoor_C.max()) / _SPAN_K
    n, count = len(place), len(levels)
    for k, quantity in enumerate(("capacity", "cop")):
        block = np.zeros((2, count, n))
        block[k] = 1.0
        covariance += spread("size", quantity) ** 2 * np.outer(block, block)
        covariance += np.diag(spread("point", quantity) ** 2 * block.ravel())
        for level in range(count):
            for name, values in (("level", 1.0), ("slope", place)):
                one = np.zeros((2, count, n))
                one[k, level] = values
                covariance += spread(name, quantity) ** 2 * np.outer(one, one)
    return shapes.mean(axis=0), covariance


def _shape(c: Curves, outdoor_C: Array, levels: Sequence[str]) -> Array:
    """A class's log capacity and log COP at other nodes; beyond its coldest, at constant speed."""
    logs = []
    for name, table in (("capacity", c.capacity_W), ("power", c.power_W)):
        colder = np.where(outdoor_C < c.outdoor_C[0], constant_speed_ratio(outdoor_C, float(c.outdoor_C[0]), name), 1.0)
        logs.append(np.log([np.interp(outdoor_C, c.outdoor_C, table[k]) * colder for k in levels]))
    return np.concatenate([logs[0].ravel(), (logs[0] - logs[1]).ravel()])


def _in_order(values: Array, printed: Array) -> Array:
    """Values by level brought into order around the printed ones (NaN where not printed)."""
    values = np.where(np.isfinite(printed), printed, values)
    free = ~np.isfinite(printed)
    for k in range(1, len(values)):
        values[k] = np.where(free[k], np.maximum(values[k], values[k - 1]), values[k])
    for k in range(len(values) - 2, -1, -1):
        values[k] = np.where(free[k], np.minimum(values[k], values[k + 1]), values[k])
    return values


def _falling(curves: Curves, cop: Array, printed: Array) -> Array:
    """COP of filled dry nodes never better at a greater lift than at a smaller one."""
    dry = [k for k, t in enumerate(curves.outdoor_C) if curves.mode == "cooling" or not has_frost_point([t])]
    easy_first = dry[::-1] if curves.mode == "heating" else dry
    for order, worse in ((easy_first, np.minimum), (easy_first[::-1], np.maximum)):
        for before, here in zip(order, order[1:], strict=False):
            cop[:, here] = np.where(printed[:, here], cop[:, here], worse(cop[:, here], cop[:, before]))
    return cop


def _carnot_limit(curves: Curves, capacity: Array, levels: Sequence[str]) -> Array:
    """The COP at the highest plausible Carnot share, by level and node [-]."""
    alone = Curves(
        mode=curves.mode,
        outdoor_C=curves.outdoor_C,
        capacity_W=dict(zip(levels, capacity, strict=True)),
        power_W=dict(zip(levels, capacity, strict=True)),
        given={},
        power_given={},
        lowest_C=curves.lowest_C,
        indoor_C=curves.indoor_C,
    )
    share = np.array([carnot_share(alone, level) for level in levels])  # at a COP of one
    return rule("carnot_high") / np.maximum(share, rule("carnot_high") / HIGHEST_COP)
