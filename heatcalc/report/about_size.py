"""What `heatcalc size` says: what to order, the plans, why, what else to buy, warnings, loads, units, assumptions, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.judge.choice import MILD_C, hot_held_C
from heatcalc.judge.facts import HOT_SHARE
from heatcalc.judge.plan import KEEP_SUPPLY, Plan
from heatcalc.judge.sizing import SizeResult, minded
from heatcalc.model.fleet_learning import LEAST
from heatcalc.report.about_design import (
    assumptions_chapter,
    cautions_chapter,
    conditions_chapter,
    cooling_chapter,
    heating_chapter,
    line_chapter,
)
from heatcalc.report.report import Caution, Chapter, Note, Report, Sentence, bullets, chapter, chapters, named, stamped
from heatcalc.report.size_values import size_values
from heatcalc.report.table import Column, Filling, Table, table_of
from heatcalc.units import text
from heatcalc.wording import USD, Q, Said, mark, said, worded

SUMMER = f"The summer's chance takes load and cooling together to be off by {HOT_SHARE:.0%}: own choice, not measured."
T, POWER, WATTS, UA = "temperature", "power", "electric power", "heat loss coefficient"
PLAN: tuple[Filling, ...] = (  # a plan in few words, the same wherever one stands in a row
    (Column("unit"), "unit"),
    (Column("verdict"), "verdict"),
    (Column("sure, cold", "chance"), "chance"),
    (Column("holds down to", T, missing="nothing"), "held_C"),
    (Column("second heater", WATTS, missing="none"), lambda p: p.heater_W or None),
)
COSTS: tuple[Filling, ...] = (
    (Column("first cost", unit="$", decimals=0), "first_cost_usd"),
    (Column("a year", unit="kWh", decimals=0, missing=""), "yearly_kWh"),
)


def about_size(r: SizeResult) -> Report:
    """The whole answer; the plan's own words first."""
    return Report(
        question="size",
        title=_title(r),
        under=(_where(r),),
        decision=(Sentence(decision_words(r), "holds" if r.plan.holds else "nothing holds"), *in_the_heat(r)),
        chapters=chapters(
            chapter("Plans", plan_table(r), two_monies(r)),
            line_chapter(r),
            why_chapter(r, more=True),
            sure_chapter(r, more=True),
            chapter("What else to buy, and for what", *bullets(list(plan_words(r)))),
            warnings_chapter(r),
            _fleet(r),
            _places(r),
            conditions_chapter(r),
            heating_chapter(r),
            cooling_chapter(r),
            _units(r),
            assumptions_chapter(r),
            cautions_chapter(),
        ),
        values=size_values(r),
        stamp=stamped(r.place, r.house.name),
        data=(_assumed(r),),
    )


def about_moving(r: SizeResult) -> Report:
    """Of a house that moves: the first plan, which is for all its places, and what each of them asks."""
    return Report(
        question="plan",
        title=f"{named(r.house)}, in {len(r.places)} places",
        decision=(Sentence(decision_words(r), "holds" if r.plan.holds else "nothing holds"), *in_the_heat(r)),
        chapters=chapters(
            chapter("Plan", _plans(r, r.plan), two_monies(r)),
            _places(r),
            chapter("Warnings of the places", *bullets(minded(r.places), Caution)),
        ),
        values={
            "places": [p.name for p in r.places],
            "place_warnings": [said(words, "si") for words in minded(r.places)],
            "plan": r.plan.record(),
        },
    )


def _fleet(r: SizeResult) -> Chapter | None:
    """What the shop's delivered houses taught about this one, before and after."""
    lessons = r.designer.model.lessons
    if lessons is None:
        return None
    words = {"leaks": "leakage (fan tests)", "loss": "heat loss of the parts (meters)"}
    points = ((when, k, percent) for when in ("before", "after") for k, percent in enumerate((10, 50, 90)))
    table = table_of(
        "fleet",
        lessons.learnt,
        (Column("factor over that stated"), lambda one: words[one.what]),
        (Column("houses", decimals=0), "n"),
        *(
            (Column(f"{percent}% below, {when}", decimals=2), lambda one, when=when, k=k: getattr(one, when).points[k])
            for when, k, percent in points
        ),
    )
    how = (
        f"nothing is learnt from fewer than {LEAST} houses; half of the general range is taken as the shop's own level, half as "
        "what differs from house to house (own choice)"
    )
    return chapter("Learnt from delivered houses", table, *bullets([how]))


def heading(r: SizeResult) -> tuple[str, Said]:
    """Which house and where, and what is known of the place."""
    return _title(r), _where(r)


def _title(r: SizeResult) -> str:
    return f"{named(r.house)}, in {r.place.name}"


def _where(r: SizeResult) -> Said:
    p = r.place
    return worded("{} zone {}, {}, climate grade {}", p.zone_edition, p.zone, Q(p.elevation_m, "length", 0), p.grade)


def heater_words(plan: Plan) -> str:
    """The plan's second heater; the same words wherever it is named."""
    return f"{plan.heater_W / 1000:.1f} kW, for {plan.heater_for}" if plan.heater_W else "none"


def decision_words(r: SizeResult) -> Said:
    """The answer in one sentence."""
    p = r.plan
    if not p.holds:
        words = "Nothing on the shelf carries this house here; nearest: {}, {}. {}"
        return worded(words, p.unit, p.verdict, _would_serve(r))
    heater = f", with a second heater of {p.heater_W / 1000:.1f} kW" if p.heater_W else ""
    supply = f"on {p.supply}" if p.supply else "on a larger supply than any listed"
    cold, hot = (Q(chance, "chance") for chance in (p.chance, p.chance_hot))
    both = text(p.chance, "chance", "si") == text(p.chance_hot, "chance", "si")
    heat = " and heat" if both else worded(", {} the design heat", hot)
    words = "Order {}{}, {}: {}; {} sure {}to hold the design cold{}."
    return worded(words, p.unit, heater, supply, p.verdict, cold, "with the heater " if heater else "", heat)


def in_the_heat(r: SizeResult) -> Iterator[Sentence]:
    """Where the plan is less sure in the heat than asked for: the first unit that is as sure in both."""
    p = r.plan
    if not p.holds or p.chance_hot >= p.sure - 1e-9:
        return
    surer = (c for c in r.candidates if c.judged.holds.all() and c.judged.facts.chance_hot.min() >= p.sure - 1e-9)
    c = next(surer, None)
    if c is None:
        yield Sentence(f"No unit on the shelf is {p.sure:.0%} sure to hold both.", "none as sure in the heat")
        return
    words = "Surer in the heat: {}, {}, {}."
    hot = Q(float(c.judged.facts.chance_hot.min()), "chance")
    yield Sentence(worded(words, c.name, c.verdict, hot), "surer in the heat")


def _would_serve(r: SizeResult) -> Said:
    """What a unit would have to give where none on the shelf serves."""
    loads = r.case.loads
    need = float((loads.heating_W + loads.spread.quantile(r.plan.sure)).max())
    cold = float((loads.sensible_W + loads.latent_W).max())
    words = "A unit would serve that gives {} of heat at the design cold, {} of cold in the hottest hour, and runs below {}."
    return worded(words, Q(need, POWER), Q(cold, POWER), Q(float(loads.coldest_C.min()), T))


def plan_table(r: SizeResult) -> Table:
    """The plans side by side, the first is the answer."""
    return _plans(r, *r.plans, chosen=0)


def _plans(r: SizeResult, *plans: Plan, chosen: int | None = None) -> Table:
    columns = (
        (Column("plan"), "kind"),
        *PLAN,
        (Column("supply"), lambda p: p.supply or "none listed"),
        (Column("dehumidifier", WATTS, missing="none"), lambda p: p.dehumidifier_W or None),
        *COSTS,
        (a_year(r), "yearly_cost"),
    )
    return table_of("plans", plans, *columns, chosen=chosen)


def a_year(r: SizeResult) -> Column:
    """The year's cost in the currency of the plan's tariff."""
    return Column("a year", unit=mark(r.plan.currency or USD), decimals=0, missing="")


def two_monies(r: SizeResult) -> Said:
    """Where first costs and the year's cost are not of one currency, that they are not: nothing is converted."""
    own = r.plan.currency or USD
    return (
        ""
        if own == USD
        else f"First costs are the shelf's invented US dollars, a year is in {own}: they are neither added nor converted."
    )


def why_chapter(r: SizeResult, more: bool = False) -> Chapter | None:
    """What the judge found of the unit."""
    return chapter("Why", *bullets([worded("{}.", reason) for reason in r.recommended.reasons]), more=more)


def sure_chapter(r: SizeResult, more: bool = False) -> Chapter | None:
    """In how many houses built so it holds."""
    return chapter("How sure", *bullets([*chance_words(r), heat_words(r)]), Note(SUMMER), more=more)


def warnings_chapter(r: SizeResult) -> Chapter | None:
    """What is to be minded about house, place and plan."""
    return chapter("Warnings", *bullets(r.warnings, Caution))


def chance_words(r: SizeResult) -> Iterator[Said]:
    """How sure it is: what holds in how many houses, and the heater by how sure it is to be."""
    p = r.plan
    if p.held_C is not None and p.held_paper_C is not None:
        words = (
            "It holds {} down to {} outdoors in {:.0f} of 100 houses built so ({} by the plain sum, without sun or people; "
            "{} with the household's own warmth at night)."
        )
        at, by_sum, at_night = Q(p.held_C, T), Q(p.held_paper_C, T), Q(p.chance_with_household, "chance")
        yield worded(words, Q(r.task.heating_set_C, T), at, p.sure * 100, by_sum, at_night)
    if p.chance_low <= 0.99:
        words = (
            "Of houses built so {} hold the design cold ({} to {}: 95 % interval, by how well the ranges behind it are known)."
        )
        yield worded(words, *(Q(x, "chance") for x in (p.chance, p.chance_low, p.chance_high)))
    if any(p.heater_W_at.values()):
        others = ", ".join(f"{w / 1000:.1f} kW for {s}" for s, w in p.heater_W_at.items())
        yield f"Heater the design cold asks for beside the unit, by how sure it is to be: {others}."


def heat_words(r: SizeResult) -> Said:
    """How hot a day the plan's unit holds at the chance asked for, the least of its places; the plain sum beside it."""
    at_chance, by_sum = zip(*(hot_held_C(one.recommended, one.designer, r.plan.sure, 0.5) for one in r.each), strict=True)
    held, paper = (None if None in found else min(found) for found in (at_chance, by_sum))
    return keeps_cool(r.task.cooling_set_C, held, paper, r.plan.sure, "It holds", "It does not hold")


def keeps_cool(
    room_C: float, held_C: float | None, paper_C: float | None, sure: float, holds: str = "Holds", not_held: str = "Does not hold"
) -> Said:
    """The hottest day that a unit carries at the chance asked for, the plain sum beside it."""
    room, houses = Q(room_C, T), sure * 100
    if held_C is None:
        by_sum = "" if paper_C is None else worded("; by the plain sum up to {}", Q(paper_C, T))
        return worded("{} {} on the hottest day in {:.0f} of 100 houses built so{}.", not_held, room, houses, by_sum)
    words = "{} {} up to {} outdoors on the sunniest days, in {:.0f} of 100 houses built so ({} by the plain sum)."
    return worded(words, holds, room, Q(held_C, T), houses, Q(paper_C or held_C, T))


def plan_words(r: SizeResult) -> Iterator[Said]:
    """What the table cannot hold: what the heater is for, what sets the supply, the changes."""
    p = r.plan
    if p.heater_W:
        alone = "; interlocked: never both at full" if p.heater_alone else ""
        hours = "" if p.heater_h is None else f"; it heats in {p.heater_h:,.0f} hours a typical year"
        yield f"Second heater: {heater_words(p)}{alone}{hours}{_by_itself(p)}."
    if p.changes:
        yield f"It takes: {'; '.join(p.changes)}."
    yield from _supply_words(r)
    for other in r.plans[1:]:
        if other.changes:
            price = f"; price: {other.cold_water}" if other.cold_water else ""
            yield f"The plan '{other.kind}' takes: {'; '.join(other.changes)} ({'; '.join(other.adopt)}){price}."


def _by_itself(p: Plan) -> str:
    """In how many of the heater's hours the heat pump stands still; the record's count may exceed those of one walk."""
    still_h = p.still_h or 0.0
    if not p.heater_alone or p.heater_h is None or still_h < 0.5:
        return ""
    return ", by itself" if still_h >= p.heater_h else f", in {still_h:,.0f} of them by itself"


def _supply_words(r: SizeResult) -> Iterator[Said]:
    p, own = r.plan, r.house.supply.cord
    carried = "the house's own supply carries it" if p.supply_carried else f"the house's own {own} does not carry it"
    kept = p.supply_carried or any(KEEP_SUPPLY in q.kind for q in r.plans)
    tried = "" if kept else ", and nothing tried, neither unit, lock-out, package nor option, keeps that supply here"
    yield f"Supply: {p.supply or 'none listed'}, set by the {p.supply_set_by}; {carried}{tried}."


def _places(r: SizeResult) -> Chapter | None:
    """Of a house that moves: what each place asks, and what the plan's unit does there."""
    if len(r.places) == 1:
        return None
    judged, loads = r.plan.judged, r.case.loads
    assert judged is not None
    cooling_W = loads.sensible_W + loads.latent_W
    table = table_of(
        "places",
        range(len(r.places)),
        (Column("place"), lambda k: r.places[k].name),
        (Column("design cold", T), lambda k: float(loads.design_C[k])),
        (Column("heating load", POWER), lambda k: float(loads.heating_W[k])),
        (Column("coldest", T), lambda k: float(loads.coldest_C[k])),
        (Column("cooling load", POWER), lambda k: float(cooling_W[k])),
        (Column("verdict"), lambda k: str(judged.verdict[k])),
        (Column("second heater", WATTS, missing="none"), lambda k: float(judged.heater_W[k]) or None),
    )
    return chapter("Places", "The plan is for all of them: the worst of each rule.", table)


def _units(r: SizeResult) -> Chapter | None:
    title = worded("At {} elevation, on a {} supply:", Q(r.task.elevation_m, "length", 0), r.house.supply.cord)
    names = [c.name for c in r.candidates]
    table = table_of(
        "units",
        r.candidates,
        (Column("unit"), "name"),
        (Column("verdict"), "verdict"),
        (Column("sure, cold", "chance"), "chance"),
        (Column("sure, heat", "chance"), "chance_hot"),
        (Column(worded("most heat at {}", Q(r.task.design_C, T)), POWER), "max_heat_at_design_W"),
        (Column(worded("least at {}", Q(MILD_C, T)), POWER), "min_heat_W"),
        (Column("falls short below (balance point)", T, missing="never"), "balance_point_C"),
        (Column("second heater", WATTS, missing="none"), lambda c: c.backup_W or None),
        (Column("most A heating", "current"), "cold_A"),
        (Column("most A cooling", "current"), "hot_A"),
        (Column("the house's supply"), lambda c: supply_word(c.runs_from_cord, c.smallest_supply)),
        chosen=names.index(r.recommended.name) if r.recommended.name in names else None,
    )
    note = "generic classes are invented stand-ins: replace them with your unit's own table"
    return chapter("Units", title, table, Note(note), more=True)


def supply_word(carried: bool, smallest: str | None) -> str:
    """Whether the house's own supply carries a unit or a plan, else the smallest that does; the same words on every surface."""
    return "carries it" if carried else f"needs {smallest or 'more than any listed'}"


def _assumed(r: SizeResult) -> Table:
    """The assumptions as a table, for frames and workbooks."""
    columns = ((Column(head), head) for head in ("value", "why", "source"))
    return table_of("assumptions", r.assumptions, (Column("what"), "name"), *columns)
