"""The sum of loads that are on or off, exactly: their distribution on one leg by hour of the day and month, lock-outs kept.

Loads of one leg are independent but for lock-outs.  Free loads are convolved, one two-state distribution after the other, on a
grid of `STEP_A`; those in lock-out pairs are counted state by state (textbook probability; no dice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from heatcalc.supply.cord import Pairs

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
