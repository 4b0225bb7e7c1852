"""The plan: what to order.  A unit, a second heater and what it is for, the supply, a dehumidifier, changes to the house, money.

Every surface shows the plan of the sizing; nothing else forms a verdict, a heater, a smallest supply or a promise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.facts import Facts
from heatcalc.judge.lock_outs import cold_water_of, cold_water_words
from heatcalc.judge.rules import LARGE, SUPPLY, TOO_SMALL, WORDS, YEAR, Outcome, SoFar, all_rules, worst
from heatcalc.supply.cord import cords_by_size
from heatcalc.tables import rows
from heatcalc.wording import USD

HEATER_STEP_W = 100.0  # a heater is named to the next hundred watts
LEAST_HEATER_W = 500.0  # the smallest there is to buy: common practice, no source
LARGEST_120_V_HEATER_W = 1500.0
YEARS, SURE = 10, (0.5, 0.8, 0.9, 0.95)
KEEP_SUPPLY, BEST, CHEAPEST, NAMED = "keep the supply", "best", "least first cost", "the unit named"


@dataclass(frozen=True, eq=False, kw_only=True)
class Judged:
    """One unit with one package at every place, judged; arrays over places."""

    facts: Facts
    house: House
    outcomes: tuple[Outcome, ...]
    verdict: np.ndarray
    heater_W: np.ndarray
    whole: np.ndarray
    beside_W: np.ndarray
    where: np.ndarray | slice = field(default_factory=lambda: slice(None))  # the places whose temperature held a plan asks for

    @property
    def unit(self) -> Unit:
        """The unit judged."""
        return self.facts.unit

    def outcome(self, code: str) -> Outcome:
        """What one rule said."""
        return next(o for o in self.outcomes if o.code == code)

    def has(self, code: str) -> bool:
        """Whether a rule has said something."""
        return any(o.code == code for o in self.outcomes)

    @cached_property
    def chance(self) -> np.ndarray:
        """Chance that unit and heater hold the set point at the design cold."""
        return np.round(self.facts.chance(self.heater_W, self.whole), 4)

    @property
    def holds(self) -> np.ndarray:
        """Unit and heater hold the set point with the chance asked for, and no rule calls the unit too small."""
        return (self.verdict != TOO_SMALL) & (self.chance >= self.facts.asked.sure - 1e-9)

    @cached_property
    def columns(self) -> dict[str, np.ndarray]:
        """What a plan says of every place, with the heater asked for there: chances, temperatures held [degC], heaters [W]."""
        f, heater, whole = self.facts, self.heater_W, self.whole
        low, high = f.chance_between(heater, whole)
        held = np.full((2, len(heater)), np.nan)
        held[:, self.where] = [f.held_C(heater[self.where], sure, self.where) for sure in (f.asked.sure, None)]
        found = {
            "chance": self.chance,
            "low": low,
            "high": high,
            "household": np.round(f.chance(heater, whole, f.loads.night_gains_W), 4),
            "held": held[0],
            "held on paper": held[1],
        } | {f"at {s:.0%}": f.heater_for_W(s) for s in SURE}
        return {name: np.broadcast_to(column, heater.shape) for name, column in found.items()}

    @cached_property
    def order(self) -> tuple:
        """The columns of `order_columns` at its worst place, then its name."""
        return (*(float(c.max()) for c in order_columns(self)), self.unit.name)

    def so_far(self, house: House) -> SoFar:
        """What was asked for, on the panel of a house."""
        return SoFar(house=house, heater_W=self.heater_W, whole=self.whole, beside_W=self.beside_W)

    @property
    def supply_carried(self) -> np.ndarray:
        """Whether the supply the house has carries it."""
        return self.outcome("supply").ok


def heater_step(watts: np.ndarray | float) -> np.ndarray:
    """A heater that gives at least so much, to the next hundred watts; none where nothing is asked."""
    asked = HEATER_STEP_W * np.ceil(np.round(np.maximum(watts, 0.0) / HEATER_STEP_W, 6))
    return np.where(asked > 0, np.maximum(asked, LEAST_HEATER_W), 0.0)


def judge(facts: Facts, house: House, year: Any = None, rules: Sequence[Any] | None = None) -> Judged:
    """Ask every rule, or some; with a walked `year` of the one place also those that need it."""
    nil = np.zeros(len(facts.loads.design_C))
    so_far = SoFar(
        house=house,
        heater_W=nil,
        whole=nil.astype(bool),
        beside_W=nil,
        year=year,
        dehumidifier_W=0.0 if year is None else year.dehumidifier_W,
    )
    for one in all_rules() if rules is None else rules:
        if one.STAGE == YEAR and year is None:
            continue
        found = one.rule(facts, so_far)
        if found is None:
            continue
        so_far.outcomes.append(found)
        if one.STAGE < SUPPLY:
            asks = heater_step(np.broadcast_to(found.heater_W, nil.shape))
            whole = np.broadcast_to(found.whole, nil.shape)
            so_far.heater_W = np.maximum(so_far.heater_W, asks)
            so_far.whole = so_far.whole | whole
            so_far.beside_W = np.maximum(so_far.beside_W, np.where(whole, 0.0, asks))
    return Judged(
        facts=facts,
        house=house,
        outcomes=tuple(so_far.outcomes),
        verdict=worst(so_far.outcomes),
        heater_W=so_far.heater_W,
        whole=so_far.whole,
        beside_W=so_far.beside_W,
    )


def on_panel(judged: Judged, house: House) -> Judged:
    """The same unit on the same house with other lock-outs: what its loads ask is not asked again."""
    so_far = judged.so_far(house)
    again = {o.code: o for one in all_rules() if one.STAGE == SUPPLY and (o := one.rule(judged.facts, so_far))}
    return replace(judged, house=house, outcomes=tuple(again.get(o.code, o) for o in judged.outcomes))


def of_one_house(judged: Judged) -> Judged:
    """The unit in a house that moves among the places: one heater and one supply, the largest that any of them asks for, and the
    worst verdict."""
    if len(judged.heater_W) == 1:
        return judged
    asked = judged.outcome("supply")
    at, every = int(np.argmax(asked.quantities["needed_A"])), np.ones_like(judged.heater_W)
    worst_case = {k: np.full(len(every), asked.quantities[k][at]) for k in ("needed_A", "set_by")}
    smallest = np.full(len(every), largest_supply(asked.quantities["smallest"]) or "")
    supply = replace(
        asked, ok=np.full(len(every), asked.ok.all()), quantities=asked.quantities | worst_case | {"smallest": smallest}
    )
    return replace(
        judged,
        outcomes=tuple(supply if o.code == supply.code else o for o in judged.outcomes),
        verdict=np.full(len(every), max(judged.verdict, key=WORDS.index)),
        heater_W=every * judged.heater_W.max(),
        beside_W=every * judged.beside_W.max(),
    )


@dataclass(frozen=True, kw_only=True)
class RuleSaid:
    """What a rule said of the plan, at its worst place."""

    code: str
    title: str
    ok: bool
    quantities: dict[str, float | str | None]
    source: str


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What to order; SI, first cost in invented US dollars, the year's in `currency`.

    `held_C` at the chance asked for, `held_paper_C` by the plain sum.
    """

    kind: str
    unit: str
    verdict: str
    sure: float
    chance: float
    chance_low: float  # its 95 % interval, by how well the ranges behind it are known
    chance_high: float
    chance_with_household: float
    chance_hot: float  # that it carries the sensible load of the hottest hour
    held_C: float | None
    held_paper_C: float | None
    heater_W: float
    heater_for: str
    heater_alone: bool  # it carries the whole house while the heat pump stands still, interlocked with it
    heater_W_at: dict[str, float]  # what the design cold asks of a heater at other chances
    supply: str | None
    supply_set_by: str
    supply_carried: bool
    dehumidifier_W: float | None  # None where no year was walked
    dehumidifier_pints_day: float | None
    changes: tuple[str, ...]
    first_cost_usd: float
    yearly_kWh: float | None
    yearly_cost: float | None
    currency: str | None  # of the year's cost
    still_h: float | None  # hours of the typical record colder than the unit runs in
    heater_h: float | None  # hours of the walked year in which the second heater gives heat
    short_h: float | None  # hours of the typical year more than 2 K below the set point
    cold_water_share: float | None  # of the year's hot water, where a lock-out holds its heater off
    cold_water_h: float | None  # hours of the year with an empty tank then
    rules: tuple[RuleSaid, ...]
    adopt: tuple[str, ...] = field(default=())  # the words that make the changes: for `--package` and `--set`
    judged: Judged | None = field(default=None, repr=False, compare=False)
    year: Any = field(default=None, repr=False, compare=False)  # the walked year behind it, a `plan_year.PlanYear`

    @property
    def holds(self) -> bool:
        """Unit and heater hold the set point with the chance asked for, and no rule calls the unit too small."""
        return self.verdict != TOO_SMALL and self.chance >= self.sure - 1e-9

    @property
    def cold_water(self) -> str:
        """What its lock-outs make of the hot water, in words; empty where it is always hot or no year was walked."""
        return cold_water_words(self.cold_water_share or 0.0, self.cold_water_h or 0.0)

    def record(self) -> dict[str, Any]:
        """Plain types, ready for JSON; `yearly_cost_usd` is None where the tariff is in other money."""
        own = {k: v for k, v in self.__dict__.items() if k not in ("rules", "judged", "year")}
        kWh, cost = (x and round(x, digits) for x, digits in ((self.yearly_kWh, 1), (self.yearly_cost, 2)))
        return own | {
            "yearly_kWh": kWh,
            "yearly_cost": cost,
            "yearly_cost_usd": cost if self.currency == USD else None,
            "changes": list(self.changes),
            "adopt": list(self.adopt),
            "rules": [r.__dict__ for r in self.rules],
        }


def price(
    unit: Unit, heater_W: np.ndarray, supply: np.ndarray, own_supply: str, dehumidifier: bool, package_usd: float
) -> np.ndarray:
    """First cost: unit, heater, a larger supply, a dehumidifier, the package's price; arrays over places [US dollars]."""
    table = {r["item"]: (float(r["usd"]), float(r["usd_per_kW"])) for r in rows("plan_prices")}
    flat, per = table["unit"]
    total = flat + per * unit.size_kBtuh * 0.29307107 + package_usd + (table["dehumidifier"][0] if dehumidifier else 0.0)
    (small, small_kW), (large, large_kW) = table["heater 120 V"], table["heater 240 V"]
    kW = np.asarray(heater_W) / 1000.0
    heater = np.where(kW <= LARGEST_120_V_HEATER_W / 1000.0, small + small_kW * kW, large + large_kW * kW)
    usd = {c.name: table.get(c.name, (0.0, 0.0))[0] for c in cords_by_size()}
    beyond = list(usd.values())[-1]
    larger = np.maximum(np.array([usd.get(name, beyond) for name in np.atleast_1d(supply).tolist()]) - usd[own_supply], 0.0)
    return np.round(total + np.where(kW > 0, heater, 0.0) + larger)


def plan_of(
    judged: Judged,
    kind: str,
    *,
    at: int | None = None,
    year: Any = None,
    changes: tuple[str, ...] = (),
    adopt: tuple[str, ...] = (),
    package_usd: float = 0.0,
) -> Plan:
    """The plan of a judged unit: in the one place `at`, or over all of them the worst of each rule."""
    f, j = judged.facts, of_one_house(judged) if at is None else judged
    own = slice(None) if at is None else slice(at, at + 1)
    c, supply = {name: column[own] for name, column in j.columns.items()}, j.outcome("supply").quantities
    heater_W = j.heater_W[own]
    heater, whole = float(heater_W.max()), bool(judged.whole[own][np.argmax(judged.heater_W[own])]) and heater_W.any()
    unsure = int(c["chance"].argmin())
    smallest = largest_supply(supply["smallest"][own])
    dryer = None if year is None else float(year.dehumidifier_W)
    bought = np.array([heater]), np.array([smallest or ""])
    cold_water = (None, None) if year is None else cold_water_of(j.house.supply, [y.load.year for y in year.every or (year,)])
    return Plan(
        kind=kind,
        unit=j.unit.name,
        verdict=str(max(j.verdict[own], key=WORDS.index)),
        sure=f.asked.sure,
        chance=float(c["chance"][unsure]),
        chance_low=round(float(c["low"][unsure]), 4),
        chance_high=round(float(c["high"][unsure]), 4),
        chance_with_household=float(c["household"].min()),
        chance_hot=float(f.chance_hot[own].min()),
        held_C=_warmest(c["held"]),
        held_paper_C=_warmest(c["held on paper"]),
        heater_W=heater,
        heater_for=_heater_for(judged, own),
        heater_alone=bool(whole),
        heater_W_at={f"{s:.0%}": float(heater_step(c[f"at {s:.0%}"]).max()) for s in SURE},
        supply=smallest,
        supply_set_by=str(supply["set_by"][own][int(np.argmax(supply["needed_A"][own]))]),
        supply_carried=bool(j.supply_carried[own].all()),
        dehumidifier_W=dryer,
        dehumidifier_pints_day=None if year is None else round(float(year.dehumidifier_pints_day), 1),
        changes=changes,
        first_cost_usd=float(price(judged.unit, *bought, judged.house.supply.cord, bool(dryer), package_usd)[0]),
        yearly_kWh=year and float(year.year_kWh),
        yearly_cost=year and float(year.year_cost),
        currency=None if year is None else year.money.currency,
        still_h=None if year is None else float(year.still_h),
        heater_h=None if year is None else float(year.heater_h),
        short_h=None if year is None else float(year.short_h),
        cold_water_share=cold_water[0],
        cold_water_h=cold_water[1],
        rules=tuple(_said(o, own) for o in judged.outcomes),
        adopt=adopt,
        judged=judged,
    )


def largest_supply(names: np.ndarray) -> str | None:
    """The largest of several smallest supplies; None where one is beyond the table."""
    order = [c.name for c in cords_by_size()]
    return None if any(not n for n in names) else max((str(n) for n in names), key=order.index)


def _warmest(held_C: np.ndarray) -> float | None:
    """Of several places the one that holds least; to a hundredth of a kelvin."""
    return None if np.isnan(held_C).any() else round(float(held_C.max()), 2)


def _heater_for(judged: Judged, own: slice) -> str:
    asked = [(float(np.max(np.broadcast_to(o.heater_W, judged.heater_W.shape)[own])), o.heater_for) for o in judged.outcomes]
    return " and ".join(words for watts, words in sorted(asked, key=lambda one: -one[0]) if watts > 0)


def _said(o: Outcome, own: slice) -> RuleSaid:
    """The rule at the place where it is worst: first one that is not ok, else the first place."""
    ok = np.broadcast_to(o.ok, np.shape(o.ok) or (1,))[own]
    at = int(np.argmin(ok))
    found = {k: v() if callable(v) else v for k, v in o.quantities.items()}
    plain = {k: np.asarray(v)[own][at] if np.ndim(v) else v for k, v in found.items()}
    numbers = {
        k: str(v) if isinstance(v, str) else round(float(v), 4) if np.isfinite(float(v)) else None for k, v in plain.items()
    }
    return RuleSaid(code=o.code, title=o.title, ok=bool(np.all(ok)), quantities=numbers, source=o.source)


def order_columns(judged: Judged) -> list[np.ndarray]:
    """What puts plans in order, first column first, a value for each place.

    Holds, keeps the supply, is not larger than needed, least equipment besides, the smallest of those larger than needed
    (what going on and off costs is in no estimate of money), least money over ten years, smallest.
    """
    return [*_before_money(judged), ten_years_usd(judged), *_after_money(judged)]


def _before_money(j: Judged) -> list[np.ndarray]:
    beside = np.select([j.heater_W <= 0, j.heater_W <= LARGEST_120_V_HEATER_W], [0, 1], 2)
    large = j.verdict == LARGE
    return [~j.holds, ~j.supply_carried, large, beside, np.where(large, j.unit.size_kBtuh, 0.0)]


def ten_years_usd(j: Judged, which: np.ndarray | slice = slice(None)) -> np.ndarray:
    """First cost and ten years of heat and cold, without a dehumidifier, at the places asked for [US dollars]."""
    smallest = j.outcome("supply").quantities["smallest"][which]
    first = price(j.unit, j.heater_W[which], smallest, j.house.supply.cord, False, 0.0)
    return np.round(first + YEARS * j.facts.yearly_usd(which))


def _after_money(j: Judged) -> list[np.ndarray]:
    same = np.ones(len(j.heater_W))
    return [same * j.unit.size_kBtuh, same * j.unit.volts]


def first_of(judged: Sequence[Judged]) -> np.ndarray:
    """The number of the unit that comes first at each place by `order_columns`, of several in the order of their names.

    Money is worked out only where what comes before it leaves a unit ahead.
    """
    if len(judged) == 1:
        return np.zeros(len(judged[0].heater_W), int)
    before = np.array([_before_money(j) for j in judged], float)  # (units, columns, places)
    rank = (before * 128.0 ** np.arange(before.shape[1])[::-1, None]).sum(axis=1)  # no column reaches 128
    ahead, money = rank == rank.min(axis=0), np.zeros(rank.shape)
    for k, j in enumerate(judged):
        which = np.flatnonzero(ahead[k])
        if which.size:
            money[k, which] = ten_years_usd(j, which)
    after = np.array([_after_money(j) for j in judged])
    return np.lexsort([*after.transpose(1, 0, 2)[::-1], money, rank], axis=0)[0]


def order_key(judged: Judged | None) -> tuple:
    """The columns of a judged unit at its worst place, then its name."""
    assert judged is not None
    return judged.order


def best_first(plans: Sequence[Plan]) -> list[Plan]:
    """In the order of `order_key`."""
    return sorted(plans, key=lambda p: order_key(p.judged))
