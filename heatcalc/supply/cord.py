"""One hour on one cord, for many cases at once: which loads coincide, how lock-outs thin them, what each of the two legs of a
120/240 V supply carries; and how far watts that no one has read from a nameplate may move the verdict.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

import numpy as np

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.supply.supply_record import BACKUP, HEAT_PUMP, Supply
from heatcalc.physics.supply import electrics
from heatcalc.tables import rows

Array = np.ndarray


def leg_sums(amperes: Array, both: Array, leg: Array | None = None) -> Array:
    """Amperes of the fuller and the other leg, (2, ...), of loads (loads, ...); `both` marks those on both legs.

    120 V loads go from the largest down, each on the emptier leg: the usual rule of balancing a panel, at worst 7/6 of the
    best sharing (from memory).

    leg : (loads,) 1 or 2 where a load is wired to one, 0 where the emptier leg takes it
    """
    stays = np.zeros(len(amperes), int) if leg is None else leg
    wired = amperes[stays == 1].sum(axis=0), amperes[stays == 2].sum(axis=0)
    single = np.where(both | (stays > 0).reshape(-1, *(1,) * (amperes.ndim - 1)), 0.0, amperes)
    first, second = (np.zeros(single.shape[1:]) + side for side in wired)
    for row in -np.sort(-single, axis=0):
        there = second < first
        first, second = first + np.where(there, 0.0, row), second + np.where(there, row, 0.0)
    return np.where(both, amperes, 0.0).sum(axis=0) + np.stack([np.maximum(first, second), np.minimum(first, second)])


Pairs = tuple[tuple[str, str], ...]
SEASON_WORDS = {
    "cold": "design cold",
    "hot": "hour of the largest cooling load",
    "recovery": "hour in which a cold house is warmed up again",
    "still": "hour without the heat pump",
}
LARGE_LOAD_W = 500.0  # below this a lock-out is not worth its relay: common practice, no source
ROUND_A = 1e-9


@dataclass(frozen=True, kw_only=True)
class Load:
    """One load while it runs; `amperes` on each of its `legs`."""

    name: str
    amperes: float
    legs: int
    watts: float
    continuous: bool
    starting_W: float = 0.0
    leg: int = 0  # 1 or 2 where it is wired to one

    @property
    def required_A(self) -> float:
        """Rating it takes up on a leg: 125 % if continuous."""
        return electrics.required_rating(self.amperes, 0.0) if self.continuous else self.amperes


@dataclass(frozen=True, kw_only=True)
class Cord:
    """A supply: rating of each leg, number of legs, usual conductor."""

    name: str
    rating_A: float
    legs: int
    awg: int
    title: str
    source: str
    proposed: bool = True  # False: a house may hang on it, but none is sized for it


@dataclass(frozen=True, kw_only=True)
class HourCheck:
    """One hour on the cord; legs fuller first."""

    season: str  # a key of SEASON_WORDS
    loads: tuple[Load, ...]
    locked_out: tuple[str, ...]
    leg_A: tuple[float, float]
    leg_continuous_A: float
    leg_required_A: float
    share: float
    verdict: str  # "pass", "short" (over 80 % with loads that are not continuous) or "fail"
    reason: str


@cache
def cords_by_size() -> tuple[Cord, ...]:
    """All supplies of the table, smallest first."""
    return tuple(
        Cord(
            name=r["cord"],
            rating_A=float(r["rating_A"]),
            legs=int(r["legs"]),
            awg=int(r["awg"]),
            title=r["title"],
            source=f"{r['source']} ({r['mark']})",
            proposed=r["proposed"] == "yes",
        )
        for r in rows("cords")
    )


def cord_named(name: str) -> Cord:
    """The supply of that name.  InputError with the nearest match."""
    known = {cord.name: cord for cord in cords_by_size()}
    if name not in known:
        raise InputError("cord", name, "is not a supply of the table", nearest(name, list(known)))
    return known[name]


def allowed_ways(names: Sequence[str], pairs: Pairs) -> tuple[frozenset[str], ...]:
    """Every largest set of loads in which no lock-out pair runs together (tries both ways of every pair)."""
    return _ways(frozenset(names), pairs)


@cache
def _ways(names: frozenset[str], pairs: Pairs) -> tuple[frozenset[str], ...]:
    broken = next(((a, b) for a, b in pairs if a in names and b in names), None)
    if broken is None:
        return (names,)
    found = dict.fromkeys(way for out in reversed(broken) for way in _ways(names - {out}, pairs))
    return tuple(way for way in found if not any(way < other for other in found))


def heaviest_allowed(loads: tuple[Load, ...], pairs: Pairs, legs: int = 2) -> tuple[Load, ...]:
    """The loads that load the fuller leg most (then the supply) in which no lock-out pair runs together."""
    ways = [tuple(x for x in loads if x.name in way) for way in allowed_ways([x.name for x in loads], pairs)]
    return max(ways, key=lambda way: (_required(share_legs(way, legs)[0]), sum(x.required_A * x.legs for x in way)))


def hungriest_allowed(loads: tuple[Load, ...], pairs: Pairs) -> tuple[Load, ...]:
    """The loads that take most watts together in which no lock-out pair runs together: what a generator or battery must give."""
    ways = allowed_ways([x.name for x in loads], pairs)
    return max((tuple(x for x in loads if x.name in way) for way in ways), key=lambda way: sum(x.watts for x in way))


def share_legs(loads: tuple[Load, ...], legs: int) -> tuple[tuple[Load, ...], tuple[Load, ...]]:
    """Loads of each leg, fuller leg first: 240 V loads on both, wired ones where they are, the others largest first on the
    emptier leg (as `legs.leg_sums` for many cases)."""
    if legs == 1:
        return tuple(sorted(loads, key=lambda x: (-x.required_A, x.name))), ()
    sides: tuple[list[Load], list[Load]] = ([], [])
    for load in sorted(loads, key=lambda x: (-x.legs, not x.leg, -x.required_A, x.name)):
        emptier = int(_required(sides[1]) < _required(sides[0]))
        for side in (0, 1) if load.legs == 2 else (load.leg - 1 if load.leg else emptier,):
            sides[side].append(load)
    fuller, other = sorted((tuple(sides[0]), tuple(sides[1])), key=_required, reverse=True)
    return fuller, other


def _required(loads) -> float:
    return sum(load.required_A for load in loads)


def check_hour(season: str, loads: tuple[Load, ...], pairs: Pairs, cord: Cord) -> HourCheck:
    """Verdict of one hour: every leg within its rating with continuous loads at 125 %."""
    running = heaviest_allowed(loads, pairs, cord.legs)
    out = tuple(load.name for load in loads if load not in running)
    fuller, other = share_legs(running, cord.legs)
    amperes, required = sum(x.amperes for x in fuller), _required(fuller)
    continuous = sum(x.amperes for x in fuller if x.continuous)
    verdict, reason = _verdict(loads, cord, amperes, continuous, required)
    other_A = sum(x.amperes for x in other) if cord.legs == 2 else 0.0
    return HourCheck(
        season=season,
        loads=running,
        locked_out=out,
        leg_A=(amperes, other_A),
        leg_continuous_A=continuous,
        leg_required_A=required,
        share=amperes / cord.rating_A,
        verdict=verdict,
        reason=reason,
    )


def _verdict(loads: tuple[Load, ...], cord: Cord, amperes: float, continuous: float, required: float) -> tuple[str, str]:
    limit = electrics.continuous_limit(cord.rating_A)
    both = next((load.name for load in loads if load.legs > cord.legs), None)
    if both:
        return "fail", f"{both} runs on 240 V and this cord brings 120 V"
    if required > cord.rating_A + ROUND_A:
        if continuous > limit + ROUND_A:
            return ("fail", f"continuous loads {continuous:.1f} A, over 80 % ({limit:.0f} A) of {cord.rating_A:.0f} A")
        return "fail", (
            f"{required:.1f} A needed with continuous loads at 125 %, the cord is rated "
            f"{cord.rating_A:.0f} A ({amperes:.1f} A drawn)"
        )
    if amperes > limit + ROUND_A:
        return ("short", f"{amperes:.1f} A is over 80 % ({limit:.0f} A): for short times only, under three hours")
    return "pass", f"{amperes:.1f} A of {limit:.0f} A that may run for hours on end ({cord.rating_A:.0f} A rated)"


def loads_to_pause(
    season: str, loads: tuple[Load, ...], pairs: Pairs, cord: Cord, kept: tuple[str, ...] = (HEAT_PUMP,)
) -> tuple[str, ...] | None:
    """The fewest and smallest large loads (at most two) to pause so that the hour passes; None: not enough.

    Small loads (refrigerator, lights, fans) are never paused, backup heat last.
    """
    running = heaviest_allowed(loads, pairs, cord.legs)
    large = [x for x in running if x.watts >= LARGE_LOAD_W and x.name not in kept]
    large.sort(key=lambda x: (x.name == BACKUP, x.required_A * x.legs, x.name))
    for out in (out for count in range(3) for out in combinations(large, count)):
        rest = tuple(x for x in loads if x not in out)
        if check_hour(season, rest, pairs, cord).verdict != "fail":
            return tuple(x.name for x in out)
    return None


ORDER = ("pass", "short", "fail")


@dataclass(frozen=True, kw_only=True)
class WattsInDoubt:
    """One coinciding load with the appliance table's watts: its range, what the sum of a leg moves by, both verdicts."""

    name: str
    watts: float
    low_W: float
    high_W: float
    low_A: float
    high_A: float
    verdict_low: str
    verdict_high: str
    source: str
    mark: str


def watts_in_doubt(supply: Supply, loads: dict[str, tuple[Load, ...]], cord: Cord) -> tuple[WattsInDoubt, ...]:
    """Every appliance counted in the hour for which the house file gives no watts of its own."""
    table = {row["name"]: row for row in rows("appliances_electric")}
    usual = [
        (a, table[a.name])
        for a in supply.appliances
        if a.together and a.name in table and a.watts == float(table[a.name]["usual_W"])
    ]
    return tuple(_doubt(a.name, a.watts, row, loads, supply.lock_outs, cord) for a, row in usual if row["low_W"] != row["high_W"])


def _doubt(
    name: str, watts: float, row: dict[str, str], loads: dict[str, tuple[Load, ...]], pairs: Pairs, cord: Cord
) -> WattsInDoubt:
    low, high = float(row["low_W"]), float(row["high_W"])
    low_A, high_A = ((x - watts) / float(row["volts"]) for x in (low, high))
    at_low, at_high = (_worst(name, x / watts, loads, pairs, cord) for x in (low, high))
    return WattsInDoubt(
        name=name,
        watts=watts,
        low_W=low,
        high_W=high,
        low_A=low_A,
        high_A=high_A,
        verdict_low=at_low,
        verdict_high=at_high,
        source=row["source"],
        mark=row["mark"],
    )


def _worst(name: str, factor: float, loads: dict[str, tuple[Load, ...]], pairs: Pairs, cord: Cord) -> str:
    """The heavier hour's verdict with one load's watts multiplied."""
    found = []
    for season, running in loads.items():
        changed = tuple(replace(x, amperes=x.amperes * factor, watts=x.watts * factor) if x.name == name else x for x in running)
        found.append(check_hour(season, changed, pairs, cord).verdict)
    return max(found, key=ORDER.index)
