"""Three plans at most: the best on the supply the house has, the best whatever the supply, the least first cost.

The first plan never changes the house: it is the one that every other surface computes with, and takes no lock-out that is felt.
What keeps the supply at a price is searched where nothing keeps it as the house stands: changes to the house, told with the words
that make them, else a lock-out that is felt, told with what it costs who lives there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case, Change, builders_changes, packages_and_options, together
from heatcalc.judge.facts import Asked, Facts, Rooms
from heatcalc.judge.lock_outs import lock_outs
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.plan import (
    BEST,
    CHEAPEST,
    KEEP_SUPPLY,
    NAMED,
    Judged,
    Plan,
    best_first,
    first_of,
    judge,
    on_panel,
    order_key,
    plan_of,
)
from heatcalc.judge.plan_year import plan_year
from heatcalc.judge.rules import holds, runs
from heatcalc.judge.rules.carried import cold_situations
from heatcalc.supply.coincidence import TWO_LEGS_FROM_V, carried
from heatcalc.supply.cord import cord_named

SHARED = ("set_points", "design", "supply", "units")  # what changes judged at once have in common
MOST_TRIED = 4  # plans walked through the year before one with its dehumidifier keeps the supply


def judged_units(case: Case, asked: Asked, least_volts: bool = False) -> list[Judged]:
    """Every unit of a case against its loads, without the year; `least_volts`: only those on the volts of the supply."""
    rooms = Rooms(case.house, case.sites)
    shelf = _on_its_volts(case) if least_volts else case.shelf.values()
    return [judge(Facts(unit, case.loads, rooms, asked), case.house) for unit in shelf]


def _on_its_volts(case: Case) -> list[Unit]:
    """The units of a case that the legs of its supply can feed."""
    legs = cord_named(case.house.supply.cord).legs
    return [u for u in case.shelf.values() if legs == 2 or u.volts < TWO_LEGS_FROM_V]


def with_year(case: Case, plan: Plan) -> Plan:
    """The plan with its year walked: humidity, kilowatt-hours, money; the supply asked once more with the dehumidifier."""
    judged = plan.judged
    assert judged is not None
    year = plan_year(case, judged.unit, plan.heater_W)
    if year is None:
        return plan
    again = judge(judged.facts, judged.house, year)
    return replace(
        plan_of(again, plan.kind, year=year, changes=plan.changes, adopt=plan.adopt, package_usd=case.package_usd), year=year
    )


@dataclass(frozen=True, eq=False)
class ThreePlans:
    """The plan to show first; the others, and a search for changes that keep the supply, are worked out when asked for."""

    case: Case  # the house of the first plan, perhaps with lock-outs
    picks: tuple[Plan, ...]  # before their years are walked, those that coincide each under its own name
    before: int  # so many of them stand before what keeps the supply at a price
    done: Callable[[Plan], Plan]
    search: Callable[[], list[Plan]]

    @cached_property
    def first(self) -> Plan:
        """The plan every other surface computes with; no change to the house makes it another."""
        return self.done(_once_each(self.picks)[0])

    @cached_property
    def all(self) -> tuple[Plan, ...]:
        """One to three plans, the first first."""
        picks = _once_each((*self.picks[: self.before], *self.search(), *self.picks[self.before :]))
        return (self.first, *(self.done(p) for p in picks[1:]))


def three_plans(case: Case, judged: Sequence[Judged], named: str | None, walk: bool) -> ThreePlans:
    """The plans of a case whose units are judged.

    named : a unit the user chose; walk : whether the plans' years are walked
    """

    walked: dict[tuple, Plan] = {}

    def done(plan: Plan, of: Case = case) -> Plan:
        key = plan.unit, plan.changes
        if walk and key not in walked:
            walked[key] = with_year(of, plan)
        return replace(walked[key], kind=plan.kind) if walk else plan

    def plain(j: Judged) -> Plan:
        return plan_of(j, BEST, package_usd=case.package_usd)

    ranked = sorted(judged, key=order_key)
    holding = [plain(j) for j in ranked if j.holds.all()]
    wanted = [p for p in holding if named in (None, p.unit)]
    kept = _first_kept([(case, p) for p in wanted if p.supply_carried], done)
    if kept is None:
        kept = _first_kept(_locked_out(case, judged, named), done)
    felt = None if kept else _first_kept(_locked_out(case, judged, named, felt=True), done)
    picks = [] if kept is None else [replace(kept[1], kind=KEEP_SUPPLY)]
    apt = [*holding, *picks, *([] if felt is None else [felt[1]])]
    if named is not None:
        own = next((p for p in picks if p.unit == named), None) or plain(next(j for j in judged if j.unit.name == named))
        picks = [replace(own, kind=NAMED), *(p for p in picks if p.unit != named)]
    picks.append(holding[0] if holding else plain(ranked[0]))
    before = len(picks)
    if holding:
        picks.append(replace(min(apt, key=lambda p: (p.first_cost_usd, *order_key(p.judged))), kind=CHEAPEST))

    def search() -> list[Plan]:
        tried = kept is None and bool(holding)
        found = keeping_changes(case, judged[0].facts.asked, done) if tried else []
        return found or ([] if felt is None else [felt[1]])

    return ThreePlans(case if kept is None else kept[0], tuple(picks), before, done, search)


def first_plans(judged: Sequence[Judged], house: House, named: str | None = None) -> list[tuple[int, Change | None, bool]]:
    """At each place the first plan as `three_plans` has it before a year is walked: the number of its unit among the judged, the
    lock-out it takes, and whether it keeps the supply."""
    able = [n for n in sorted(range(len(judged)), key=lambda n: judged[n].unit.name) if named in (None, judged[n].unit.name)]
    first, kept = _first_of([judged[n] for n in able])
    best, taken = np.array(able)[first], np.full(len(first), -1)
    locks = list(lock_outs(house))
    for at, lock in enumerate(locks):
        right = [n for n in able if (judged[n].holds & judged[n].outcome("supply").quantities["volts_fit"] & ~kept).any()]
        if kept.all() or not right:
            break
        first, now = _first_of([on_panel(judged[n], lock.house) for n in right])
        now &= ~kept
        best, taken, kept = np.where(now, np.array(right)[first], best), np.where(now, at, taken), kept | now
    return [(int(n), locks[at] if at >= 0 else None, bool(k)) for n, at, k in zip(best, taken, kept, strict=True)]


def _first_of(judged: Sequence[Judged]) -> tuple[np.ndarray, np.ndarray]:
    """The number of the unit that comes first at each place, of several in the order of their names, and whether it holds on the
    supply the house has."""
    first = first_of(judged)
    keeps = np.array([j.holds & j.supply_carried for j in judged])
    return first, keeps[first, np.arange(keeps.shape[1])]


def _first_kept(tried: Sequence[tuple[Case, Plan]], done) -> tuple[Case, Plan] | None:
    """The first plan that still keeps the supply with its year walked, dehumidifier and all."""
    return next(((c, p) for c, p in tried[:MOST_TRIED] if done(p, c).supply_carried), None)


def _locked_out(case: Case, judged: Sequence[Judged], named: str | None, felt: bool = False) -> list[tuple[Case, Plan]]:
    """Plans on the supply the house has with one more lock-out, best first: those of the first lock-out that lets any."""
    right = [j for j in judged if j.holds.all() and j.outcome("supply").quantities["volts_fit"].all()]
    for lock in lock_outs(case.house, felt):
        found = _kept([on_panel(j, lock.house) for j in right], lock, case.package_usd, named)
        if found:
            new = case.on_another_panel(lock.house)
            return [(new, p) for p in found]
    return []


def _kept(judged: Sequence[Judged], change: Change, package_usd: float, named: str | None = None) -> list[Plan]:
    """Of units judged on a changed house, the plans that hold on the supply it has, best first."""
    right = [j for j in judged if bool(j.holds.all() and j.supply_carried.all()) and named in (None, j.unit.name)]
    words, adopt = (change.words,), (change.adopt,)
    return best_first([plan_of(j, KEEP_SUPPLY, changes=words, adopt=adopt, package_usd=package_usd) for j in right])


def keeping_changes(case: Case, asked: Asked, done) -> list[Plan]:
    """The cheapest change to the house with which some unit holds on the supply it has; empty where none of those tried does."""
    for group in _builds(case):
        found = [plan for change in _promising(case, group, asked) for plan in _with_change(case, change, asked)]
        kept = _first_kept(sorted(found, key=lambda f: (f[1].first_cost_usd, *order_key(f[1].judged))), done)
        if kept is not None:
            return [kept[1]]
    return []


def _promising(case: Case, group: Sequence[Change], asked: Asked) -> list[Change]:
    """Changes with which some unit holds on the supply by the cold alone: what no unit carries so, none does with its cooling.

    Changes that leave set points, design, supply and shelf as they are are judged at once, as if each were a place.
    """
    shared = [[getattr(change.house, k) for k in SHARED] for change in group]
    alike = {shared.index(s): [c for c, other in zip(group, shared, strict=True) if other == s] for s in shared}
    return [change for some in alike.values() for change in _promising_alike(case, some, asked)]


def _promising_alike(case: Case, some: Sequence[Change], asked: Asked) -> list[Change]:
    house, cases = some[0].house, [case.with_house(change.house) for change in some]
    loads = ManyLoads.joined([c.cold_loads for c in cases])
    rooms, supplies = Rooms(house, loads.sites), [house.supply, *(lock.house.supply for lock in lock_outs(house))]
    right = np.zeros(len(some), bool)
    for unit in _on_its_volts(cases[0]):
        judged = judge(Facts(unit, loads, rooms, asked), house, rules=(holds, runs))
        if judged.holds.any():
            when = cold_situations(judged.facts, judged.so_far(house))
            passes = [carried(s, cord_named(s.cord), when, unit.volts).passes for s in supplies]
            right |= (judged.holds & passes).reshape(len(supplies), len(some), -1).all(axis=2).any(axis=0)
    return [change for change, may in zip(some, right, strict=True) if may]


def _with_change(case: Case, change: Change, asked: Asked) -> list[tuple[Case, Plan]]:
    """Plans that keep the supply with one change to the house, and with a lock-out besides where that alone does not."""
    new = case.with_house(change.house, case.package_usd + change.usd)
    judged = judged_units(new, asked, least_volts=True)
    found = [(new, p) for p in _kept(judged, change, new.package_usd)]
    right = [] if found else [j for j in judged if j.holds.all()]
    for lock in lock_outs(change.house):
        both = Change(f"{change.words} and {lock.words}", lock.house, f"{change.adopt}  {lock.adopt}", change.usd)
        found += [
            (new.on_another_panel(lock.house), p) for p in _kept([on_panel(j, lock.house) for j in right], both, new.package_usd)
        ]
        if found:
            break
    return found


def _builds(case: Case) -> Iterator[tuple[Change, ...]]:
    """Changes to the house, a group at a time: the file's own packages and options; a builder's changes; all of those at once."""
    origin = case.house.origin
    if origin is not None:
        yield tuple(packages_and_options(origin.said, origin.changes, case.house, origin.source))
    single = tuple(builders_changes(case.house))
    yield single
    if len(single) > 1:
        yield (together(case.house, single),)


def _once_each(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Plans that coincide are said once, under both names."""
    kinds: dict[tuple, list[str]] = {}
    first: dict[tuple, Plan] = {}
    for p in plans:
        key = (p.unit, p.changes)
        kinds.setdefault(key, []).append(p.kind)
        first.setdefault(key, p)
    return tuple(replace(first[k], kind=" and ".join(kinds[k])) for k in list(first)[:3])
