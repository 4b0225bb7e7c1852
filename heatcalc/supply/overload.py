"""Chance that a house overloads its supply: minutes a year, the worst evening hour, what does it, and trips of the breaker.

The sum of loads that are on or off is exact, on one leg by hour of the day and month.  Loads are independent but for lock-outs:
free ones are convolved, one two-state distribution after the other, on a grid of `STEP_A`; those in lock-out pairs are counted
state by state (textbook probability; no dice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from heatcalc.physics.supply import electrics
from heatcalc.supply.cord import LARGE_LOAD_W, Cord, Pairs
from heatcalc.tables import rows

Array = np.ndarray
STEP_A = 0.05  # each load is off by at most half of it


@dataclass(frozen=True, eq=False)
class TwoState:
    """A load that draws `amperes` on this leg for a share `duty` of each hour of the day (groups), `run_min` at a time."""

    name: str
    amperes: float
    duty: Array
    run_min: float


@dataclass(frozen=True, eq=False)
class TwoStateLoad:
    """A load whose draw moves with the weather: amperes on this leg while it runs, and share of the hour, for each hour."""

    name: str
    amperes: Array
    share: Array
    run_min: float


State = tuple[bool, ...]


@dataclass(frozen=True, eq=False)
class LegSum:
    """Chance that the other loads of a leg draw more than so many steps, by what the machines ask and get.

    tails : (asked, served) -> (groups, steps + 1): chance of at least k steps together with that service
    held : name -> asked -> (groups,): chance that it asks and is held off
    """

    tails: dict[tuple[State, State], Array]
    held: dict[str, dict[State, Array]]


def leg_sum(
    loads: Sequence[TwoState], machines: Sequence[TwoStateLoad], pairs: Pairs, priority: Sequence[str], groups: int
) -> LegSum:
    """The sum of a leg's two-state loads; of a pair that never runs together the one earlier in `priority` runs.

    groups : kinds of hours the duties are given for, such as 12 months of 24 hours
    """
    named = {n for pair in pairs for n in pair}
    locked = [x for x in loads if x.name in named and x.duty.any()]
    free = _convolved([x for x in loads if x not in locked], groups)
    names = [*(m.name for m in machines), *(x.name for x in locked)]
    order = sorted(names, key=lambda n: _rank(n, priority))
    steps = {x.name: round(x.amperes / STEP_A) for x in locked}
    length = free.shape[1] + sum(steps.values())
    found: dict[tuple[State, State], Array] = {}
    held: dict[str, dict[State, Array]] = {name: {} for name in names}
    for asked in product((False, True), repeat=len(machines)):
        for wants in product((False, True), repeat=len(locked)):
            chance = np.ones(groups)
            for load, on in zip(locked, wants, strict=True):
                chance = chance * (load.duty if on else 1.0 - load.duty)
            asking = {m.name for m, on in zip(machines, asked, strict=True) if on}
            asking |= {x.name for x, on in zip(locked, wants, strict=True) if on}
            served = _served(order, asking, pairs)
            for name in asking - served:
                held[name][asked] = held[name].get(asked, 0.0) + chance
            key = (asked, tuple(m.name in served for m in machines))
            at = sum(steps[n] for n in served if n in steps)
            table = found.setdefault(key, np.zeros((groups, length)))
            table[:, at : at + free.shape[1]] += chance[:, None] * free
    tails = {key: np.cumsum(table[:, ::-1], axis=1)[:, ::-1] for key, table in found.items()}
    return LegSum({key: np.hstack([t, np.zeros((groups, 1))]) for key, t in tails.items()}, held)


def _rank(name: str, priority: Sequence[str]) -> int:
    return priority.index(name) if name in priority else len(priority)


def _served(order: Sequence[str], asking: set[str], pairs: Pairs) -> set[str]:
    """Who runs of those that ask, first come in the order of priority."""
    served: set[str] = set()
    for name in order:
        if name in asking and not any({name, other} in ({*pair} for pair in pairs) for other in served):
            served.add(name)
    return served


def _convolved(loads: Sequence[TwoState], groups: int) -> Array:
    """Chance of every number of steps (groups, steps) of independent loads."""
    table = np.ones((groups, 1))
    for load in loads:
        if not load.duty.any():
            continue
        by = round(load.amperes / STEP_A)
        wider = np.zeros((groups, table.shape[1] + by))
        wider[:, : table.shape[1]] += (1.0 - load.duty)[:, None] * table
        wider[:, by:] += load.duty[:, None] * table
        table = wider
    return table


def above(total: LegSum, machines: Sequence[TwoStateLoad], limit_A: float | Array, group: Array) -> Array:
    """Chance that the leg draws more than `limit_A` (one for all or one an hour) in each hour; `group` is its kind."""
    found = np.zeros(len(group))
    for (asked, served), tail in total.tails.items():
        chance, left = np.ones(len(group)), np.zeros(len(group)) + limit_A
        for machine, asks, runs in zip(machines, asked, served, strict=True):
            chance = chance * (machine.share if asks else 1.0 - machine.share)
            left = left - machine.amperes * runs
        at = np.clip(np.floor(left / STEP_A + 1e-6).astype(int) + 1, 0, tail.shape[1] - 1)
        found += chance * tail[group, at]
    return found


def held_share(total: LegSum, machines: Sequence[TwoStateLoad], name: str, group: Array) -> Array:
    """Share of each hour in which a load asks and is held off."""
    found = np.zeros(len(group))
    for asked, table in total.held.get(name, {}).items():
        chance = np.ones(len(group))
        for machine, asks in zip(machines, asked, strict=True):
            chance = chance * (machine.share if asks else 1.0 - machine.share)
        found += chance * table[group]
    return found


HOURS = 8760
GROUP = np.repeat(np.arange(12), [24 * d for d in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)]) * 24 + np.tile(
    np.arange(24), 365
)
JANUARY_EVENING = np.flatnonzero((GROUP < 24) & (GROUP % 24 >= 17) & (GROUP % 24 < 22))
BANDS = (1.05, 1.2, 1.35, 1.6, 2.0, 3.0)  # parts of the current over the rating in which trips are counted
GUESS_RUN_MIN = 15.0  # minutes at a time of a load no table knows: own choice
EVEN = 1e-12


@dataclass(frozen=True, eq=False)
class HouseLoads:
    """Loads of both legs, wired: each with the amperes on leg 1 and leg 2 while it runs.

    fixed : duty by month and hour (288); machines : amperes and share of every hour of the year
    """

    fixed: tuple[tuple[TwoState, tuple[float, float]], ...]
    machines: tuple[tuple[TwoStateLoad, tuple[float, float]], ...]
    pairs: Pairs
    priority: tuple[str, ...]

    def leg(self, side: int, hours: Array | None = None) -> tuple[list[TwoState], list[TwoStateLoad]]:
        """What stands on one leg; locked loads of the other leg too, with no current here.  `hours` picks some of the year's."""
        named = {n for pair in self.pairs for n in pair}
        fixed = [replace(x, amperes=on[side]) for x, on in self.fixed if on[side] or x.name in named]
        pick = slice(None) if hours is None else hours
        moved = [replace(m, amperes=m.amperes[pick] * on[side], share=m.share[pick]) for m, on in self.machines]
        return fixed, moved


@dataclass(frozen=True, kw_only=True)
class Overload:
    """A year on the supply; minutes of the leg that has more of them, each in expectation."""

    minutes_above_80: float
    minutes_above_rating: float
    worst_hour: int  # of a January evening: 17 to 21, the hour that begins then
    worst_chance: float  # that the rating is exceeded at a moment of it
    pair: tuple[str, str] | None  # the two loads which, kept apart, would save most of a January evening's overload
    trips_low: float
    trips_high: float


@dataclass(frozen=True)
class AtWork:
    """One load in an hour: amperes on leg 1 and leg 2 while it runs, and the share of the hour in which it asks to."""

    name: str
    leg_A: tuple[float, float]
    share: float


@dataclass(frozen=True)
class Evening:
    """The worst hour of January's evenings on a supply; `above[leg][k]` is the chance that the leg draws more than k amperes."""

    day: int  # of January
    hour: int  # it begins then
    rating_A: float
    loads: tuple[AtWork, ...]
    above: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Remedy:
    """One change and the year it leaves."""

    words: str
    minutes_above_80: float
    minutes_above_rating: float


@dataclass(frozen=True, eq=False)
class _Leg:
    """One leg over some hours of the year: its loads, their sum, and of which kind each hour is."""

    fixed: Sequence[TwoState]
    machines: Sequence[TwoStateLoad]
    total: LegSum
    place: Array
    group: Array

    def above(self, limit_A: float | Array) -> Array:
        return above(self.total, self.machines, limit_A, self.place)


def _legs(loads: HouseLoads, legs: int, hours: Array | None = None) -> list[_Leg]:
    group = GROUP if hours is None else GROUP[hours]
    return [_leg(loads, *loads.leg(side, hours), group) for side in range(legs)]


def _leg(loads: HouseLoads, fixed: Sequence[TwoState], machines: Sequence[TwoStateLoad], group: Array) -> _Leg:
    kinds, place = np.unique(group, return_inverse=True)
    some = [replace(x, duty=x.duty[kinds]) for x in fixed]
    return _Leg(fixed, machines, leg_sum(some, machines, loads.pairs, loads.priority, len(kinds)), place, group)


def year_above(loads: HouseLoads, limit_A: float, legs: int, hours: Array | None = None) -> Array:
    """Chance that a leg exceeds `limit_A`, hour by hour (the whole year or some of its hours), of the leg with more of it."""
    return _fuller(_legs(loads, legs, hours), limit_A)


def _fuller(legs: list[_Leg], limit_A: float) -> Array:
    return max((leg.above(limit_A) for leg in legs), key=lambda chance: float(chance.sum()))


def overload(loads: HouseLoads, cord: Cord) -> Overload:
    """The year of a house on a supply."""
    legs = _legs(loads, cord.legs)
    worst, chance = _worst_evening(loads, cord)
    low, high = _breaker_trips(loads, legs, cord.rating_A)
    above_80, above_rating = _minutes(legs, cord)
    return Overload(
        minutes_above_80=above_80,
        minutes_above_rating=above_rating,
        worst_hour=worst % 24,
        worst_chance=chance,
        pair=worst_pair(loads, cord),
        trips_low=low,
        trips_high=high,
    )


def _worst_evening(loads: HouseLoads, cord: Cord) -> tuple[int, float]:
    """The hour of the year, and the chance that the rating is exceeded at a moment of it; where that is nil, by lower marks."""
    legs = _legs(loads, cord.legs, JANUARY_EVENING)
    marks = [_fuller(legs, share * cord.rating_A) for share in (1.0, 0.8, 0.5, 0.2)]
    telling = next((over for over in marks if over.max() > EVEN), marks[-1])
    at = int(np.argmax(telling))
    return int(JANUARY_EVENING[at]), float(marks[0][at])


def evening(loads: HouseLoads, cord: Cord) -> Evening:
    """What may run in the worst hour of January's evenings, and how often each leg draws how much."""
    hour, _ = _worst_evening(loads, cord)
    fixed = [AtWork(x.name, on, float(x.duty[GROUP[hour]])) for x, on in loads.fixed]
    moved = [
        AtWork(m.name, (float(m.amperes[hour] * on[0]), float(m.amperes[hour] * on[1])), float(m.share[hour]))
        for m, on in loads.machines
    ]
    running = sorted((x for x in (*moved, *fixed) if x.share > 0 and max(x.leg_A) > 0), key=lambda x: -x.share)
    most = int(np.ceil(max(cord.rating_A, *(sum(x.leg_A[k] for x in running) for k in (0, 1)))))
    legs = _legs(loads, cord.legs, np.array([hour]))
    above = tuple(tuple(float(leg.above(float(a))[0]) for a in range(most + 1)) for leg in legs)
    return Evening(hour // 24 + 1, hour % 24, cord.rating_A, tuple(running), above)


def _minutes(legs: list[_Leg], cord: Cord) -> tuple[float, float]:
    """Minutes a year above 80 % and above the rating."""
    limits = (electrics.continuous_limit(cord.rating_A), cord.rating_A)
    above_80, above_rating = (60.0 * float(_fuller(legs, limit).sum()) for limit in limits)
    return above_80, above_rating


def with_change(words: str, loads: HouseLoads, cord: Cord) -> Remedy:
    """A year after one change."""
    return Remedy(words, *_minutes(_legs(loads, cord.legs), cord))


def best_lock_out(loads: HouseLoads, cord: Cord) -> Remedy | None:
    """The one rule that takes most off: the worst pair of January's evenings kept apart, the first of the two running."""
    pair = worst_pair(loads, cord)
    if pair is None:
        return None
    return with_change(f"lock out {pair[1]} while {pair[0]} runs", replace(loads, pairs=(*loads.pairs, pair)), cord)


def worst_pair(loads: HouseLoads, cord: Cord) -> tuple[str, str] | None:
    """The pair of large loads which, never together, would take most off the overload of January's evenings; None without any."""
    before = float(year_above(loads, cord.rating_A, cord.legs, JANUARY_EVENING).sum())
    if before < EVEN:
        return None
    saved = {
        pair: before
        - float(year_above(replace(loads, pairs=(*loads.pairs, pair)), cord.rating_A, cord.legs, JANUARY_EVENING).sum())
        for pair in combinations(large_loads(loads), 2)
        if pair not in loads.pairs and pair[::-1] not in loads.pairs
    }
    best = max(saved, key=lambda pair: saved[pair], default=None)
    return best if best and saved[best] > EVEN else None


def large_loads(loads: HouseLoads) -> list[str]:
    """Names of loads worth a relay: those that run at all and draw as much as `LARGE_LOAD_W` on 120 V."""
    least = LARGE_LOAD_W / 120.0
    machines = [m.name for m, on in loads.machines if m.share.any() and float(m.amperes.max()) * max(on) >= least]
    return [*machines, *(x.name for x, on in loads.fixed if x.duty.any() and sum(on) >= least)]


def held_off(loads: HouseLoads) -> dict[str, Array]:
    """Share of every hour of the year in which a lock-out holds a load off while it asks, by name."""
    leg = _legs(loads, 1)[0]
    names = sorted({n for pair in loads.pairs for n in pair})
    return {name: held_share(leg.total, leg.machines, name, leg.place) for name in names}


def _breaker_trips(loads: HouseLoads, legs: list[_Leg], rating_A: float) -> tuple[float, float]:
    """Trips a year by the latest and by the earliest curve of the breaker's band (table breaker_band), of the leg with more.

    An overload begins when a load switches on and lifts the leg over the mark: for each load, the chance that the others leave
    less room than it draws, over its run (the crossing rate of independent loads that are on or off).  Overloads last the mean
    that follows, taken as exponential (own choice).  A trip is an overload that outlasts the curve.
    """
    return max((_leg_trips(loads, leg, rating_A) for leg in legs), key=lambda found: found[1])


def _leg_trips(loads: HouseLoads, leg: _Leg, rating_A: float) -> tuple[float, float]:
    limits = [multiple * rating_A for multiple in BANDS]
    minutes = [60.0 * float(leg.above(limit).sum()) for limit in limits]
    if minutes[0] < EVEN:
        return 0.0, 0.0
    switched: list[TwoState | TwoStateLoad] = [*leg.fixed, *leg.machines]
    starts = np.sum([_switching(loads, leg, x, limits) for x in switched], axis=0)
    low = high = 0.0
    for k, multiple in enumerate(BANDS):
        if min(starts[k], minutes[k]) < EVEN:
            break
        lasting, here = minutes[k] / starts[k], max(starts[k] - (starts[k + 1] if k + 1 < len(BANDS) else 0.0), 0.0)
        low += here * np.exp(-opens_after(multiple, "latest") / 60.0 / lasting)
        high += here * np.exp(-opens_after(multiple, "earliest") / 60.0 / lasting)
    return float(low), float(high)


def opens_after(multiple: float, curve: str) -> float:
    """Seconds after which a breaker opens by the "earliest" or "latest" curve, at a multiple of its rating."""
    table = [(float(r["multiple"]), float(r[f"{curve}_s"])) for r in rows("breaker_band")]
    multiples, seconds = np.log([row for row in table if np.isfinite(row[1])]).T
    if multiple < np.exp(multiples[0]) - 1e-9:
        return float("inf")
    return float(np.exp(np.interp(np.log(multiple), multiples, seconds)))


def _switching(loads: HouseLoads, leg: _Leg, which: TwoState | TwoStateLoad, limits: list[float]) -> Array:
    """How often a year one load lifts its leg over each limit; one that never stops never starts."""
    share = which.duty[leg.group] if isinstance(which, TwoState) else which.share
    often = share * (1.0 - share) * 60.0 / which.run_min
    if not np.any(which.amperes) or not often.any():
        return np.zeros(len(limits))
    rest = _leg(loads, [x for x in leg.fixed if x is not which], [m for m in leg.machines if m is not which], leg.group)
    return np.array([float(((rest.above(limit - which.amperes) - rest.above(limit)) * often).sum()) for limit in limits])
