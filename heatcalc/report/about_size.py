"""What `heatcalc size` says: what to order, the plans, why, what else to buy, warnings, loads, units, assumptions, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from heatcalc.judge.choice import MILD_C, Candidate
from heatcalc.judge.plan import KEEP_SUPPLY, Plan
from heatcalc.judge.sizing import CAUTIONS, SizeResult, minded
from heatcalc.model.fleet import LEAST
from heatcalc.report.report import (
    Bullet,
    Caution,
    Chapter,
    Column,
    Figure,
    Note,
    Report,
    Sentence,
    Table,
    bullets,
    chapter,
    chapters,
)
from heatcalc.report.size_figures import by_size, components_figure, day_figure, drawn_candidates, line_figure
from heatcalc.report.size_values import size_values
from heatcalc.wording import MONTHS, Q, Said, Words, joined, said, worded

T, POWER, WATTS, UA = "temperature", "power", "electric power", "heat loss coefficient"
DEFAULT = "not in the house file: default"
PLANS = (
    Column("plan"),
    Column("unit"),
    Column("verdict"),
    Column("sure", "chance"),
    Column("holds down to", T, missing="nothing"),
    Column("second heater", WATTS, missing="none"),
    Column("supply"),
    Column("dehumidifier", WATTS, missing="none"),
    Column("first cost", unit="$", decimals=0),
    Column("a year", unit="kWh", decimals=0, missing=""),
    Column("a year", unit="$", decimals=0, missing=""),
)


def about_size(r: SizeResult) -> Report:
    """The whole answer; the plan's own words first."""
    return Report(
        question="size",
        title=_title(r),
        under=(_where(r),),
        decision=(Sentence(decision_words(r), "holds" if r.plan.holds else "nothing holds"),),
        chapters=chapters(
            chapter("Plans", plan_table(r)),
            chapter("Why", *bullets([worded("{}.", reason) for reason in r.recommended.reasons]), more=True),
            chapter("How sure", *bullets(list(chance_words(r))), more=True),
            chapter("What else to buy, and for what", *bullets(list(plan_words(r)))),
            chapter("Warnings", *bullets(r.warnings, Caution)),
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
        data=(_assumed(r),),
    )


def about_moving(r: SizeResult) -> Report:
    """Of a house that moves: the first plan, which is for all its places, and what each of them asks."""
    return Report(
        question="plan",
        title=f"{_named(r)}, in {len(r.places)} places",
        decision=(Sentence(decision_words(r), "holds" if r.plan.holds else "nothing holds"),),
        chapters=chapters(
            chapter("Plan", Table("plans", "", PLANS, (_plan(r.plan),))),
            _places(r),
            chapter("Warnings of the places", *bullets(minded(r.places), Caution)),
        ),
        values={
            "places": [p.name for p in r.places],
            "place_warnings": [said(words, "si") for words in minded(r.places)],
            "plan": r.plan.record(),
        },
    )


def cautions_chapter() -> Chapter | None:
    """What stands under every answer that sizes; in the short text each in a few words."""
    brief = (
        "local codes, the unit's manual and licensed practice decide; an electrician for the supply; the manual's smallest room "
        "for the refrigerant; backup heat sealed or vented, with a carbon monoxide alarm; drain water lines in a power cut; "
        "generic units are no products."
    )
    return chapter("Cautions", *bullets(CAUTIONS, Caution), brief=brief)


def _fleet(r: SizeResult) -> Chapter | None:
    """What the shop's delivered houses taught about this one, before and after."""
    lessons = r.designer.model.lessons
    if lessons is None:
        return None
    points = (Column(f"{k}% below, {when}", decimals=2) for when in ("before", "after") for k in (10, 50, 90))
    heads = (Column("factor over that stated"), Column("houses", decimals=0), *points)
    words = {"leaks": "leakage (fan tests)", "loss": "heat loss of the parts (meters)"}
    table = Table(
        "fleet", "", heads, tuple((words[one.what], one.n, *one.before.points, *one.after.points) for one in lessons.learnt)
    )
    how = (
        f"nothing is learnt from fewer than {LEAST} houses; half of the general range is taken as the shop's own level, half as "
        "what differs from house to house (own choice)"
    )
    return chapter("Learnt from delivered houses", table, *bullets([how]))


def _title(r: SizeResult) -> str:
    return f"{_named(r)}, in {r.place.name}"


def _named(r: SizeResult) -> str:
    package = f", package {r.house.package}" if r.house.package else ""
    note = f" ({r.house.note})" if r.house.note else ""
    return f"{r.house.name}{note}{package}"


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
    return worded("Order {}{}, {}: {}, {} sure.", p.unit, heater, supply, p.verdict, Q(p.chance, "chance"))


def _would_serve(r: SizeResult) -> Said:
    """What a unit would have to give where none on the shelf serves."""
    loads = r.case.loads
    need = float((loads.heating_W + loads.spread.quantile(r.plan.sure)).max())
    cold = float((loads.sensible_W + loads.latent_W).max())
    words = "A unit would serve that gives {} of heat at the design cold, {} of cold in the hottest hour, and runs below {}."
    return worded(words, Q(need, POWER), Q(cold, POWER), Q(float(loads.coldest_C.min()), T))


def plan_table(r: SizeResult) -> Table:
    """The plans side by side, the first is the answer."""
    return Table("plans", "", PLANS, tuple(_plan(p) for p in r.plans), chosen=0)


def _plan(p: Plan) -> tuple[Any, ...]:
    return (
        p.kind,
        p.unit,
        p.verdict,
        p.chance,
        p.held_C,
        p.heater_W or None,
        p.supply or "none listed",
        p.dehumidifier_W or None,
        p.first_cost_usd,
        p.yearly_kWh,
        p.yearly_cost_usd,
    )


def chance_words(r: SizeResult) -> Iterator[Said]:
    """How sure it is: what holds in how many houses, and the heater by how sure it is to be."""
    p = r.plan
    if p.held_C is not None and p.held_paper_C is not None:
        yield worded(
            "It holds {} down to {} outdoors in {:.0f} of 100 houses built so ({} by the plain sum, without sun or people; "
            "{} with the household's own warmth at night).",
            Q(r.task.heating_set_C, T),
            Q(p.held_C, T),
            p.sure * 100,
            Q(p.held_paper_C, T),
            Q(p.chance_with_household, "chance"),
        )
    if p.chance_low <= 0.99:
        words = (
            "Of houses built so {} hold the design cold ({} to {}: 95 % interval, by how well the ranges behind it are known)."
        )
        yield worded(words, *(Q(x, "chance") for x in (p.chance, p.chance_low, p.chance_high)))
    if any(p.heater_W_at.values()):
        others = ", ".join(f"{w / 1000:.1f} kW for {s}" for s, w in p.heater_W_at.items())
        yield f"Heater the design cold asks for beside the unit, by how sure it is to be: {others}."


def plan_words(r: SizeResult) -> Iterator[Said]:
    """What the table cannot hold: what the heater is for, what sets the supply, the changes."""
    p = r.plan
    if p.heater_W:
        alone = "; interlocked with the heat pump, so that both never run at full" if p.heater_alone else ""
        hours = "" if p.heater_h is None else f"; it gives heat in {p.heater_h:,.0f} hours of a typical year"
        still = f", in {p.still_h:,.0f} of them by itself" if p.heater_alone and (p.still_h or 0.0) >= 0.5 else ""
        yield f"Second heater: {heater_words(p)}{alone}{hours}{still}."
    if p.changes:
        yield f"It takes: {'; '.join(p.changes)}."
    yield from _supply_words(r)
    for other in r.plans[1:]:
        if other.changes:
            yield f"The plan '{other.kind}' takes: {'; '.join(other.changes)} ({'; '.join(other.adopt)})."


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
    heads = (
        Column("place"),
        Column("design cold", T),
        Column("heating load", POWER),
        Column("coldest", T),
        Column("cooling load", POWER),
        Column("verdict"),
        Column("second heater", WATTS, missing="none"),
    )
    cooling, heater = loads.sensible_W + loads.latent_W, judged.heater_W
    columns = (loads.design_C, loads.heating_W, loads.coldest_C, cooling)
    rows = tuple(
        (p.name, *(float(x[k]) for x in columns), str(judged.verdict[k]), float(heater[k]) or None)
        for k, p in enumerate(r.places)
    )
    return chapter("Places", "The plan is for all of them: the worst of each rule.", Table("places", "", heads, rows))


def conditions_chapter(r: SizeResult) -> Chapter | None:
    """Outdoor design conditions with their one-sigma."""
    c, p = r.designer.conditions, r.place
    heads = (Column("condition"), Column("dry bulb", T), Column("one sigma", "temperature difference"), Column("beside it"))
    wet = worded("wet bulb {}, daily range {}", Q(c.cooling_1_mcwb_C, T), Q(c.daily_range_K, "temperature difference"))
    rows = (
        ("heating 99 %", c.heating_99_C, p.sigma_heating_K, worded("99.6 %: {}", Q(c.heating_996_C, T))),
        ("cooling 1 %", c.cooling_1_C, p.sigma_cooling_K, wet),
    )
    return chapter("Design conditions", Table("conditions", "", heads, rows), Note(worded("source: {}", c.source)), more=True)


def heating_words(r: SizeResult) -> Said:
    """The heating load in one line."""
    h, other = r.heating, r.heating_996
    return worded(
        "Heating load at {}: {} ({} of floor); at {} (99.6 %): {}",
        Q(h.outdoor_C, T),
        Q(h.load_W, POWER),
        Q(r.load_per_floor_W_m2, "heat flow density", 0),
        Q(other.outdoor_C, T),
        Q(other.load_W, POWER),
    )


def heating_chapter(r: SizeResult) -> Chapter | None:
    """The heating load by part, with its hand check."""
    h = r.heating
    heads = (Column("part"), Column("heat loss", POWER), Column("share", "fraction"))
    rows = tuple((name, w, w / h.load_W if h.load_W else None) for name, w in by_size(h.components_W))
    check = worded("hand check, U x A x difference with the same air: {}; U x A = {}", Q(h.hand_check_W, POWER), Q(h.ua_W_K, UA))
    line = Figure("load-and-capacity", "Heat needed and heat available", _line_says(r), lambda system: line_figure(r, system))
    parts = joined("; ", (Words(name, " ", Q(w, POWER)) for name, w in by_size(h.components_W)))
    bars = Figure(
        "heating-components", "Where the heat goes at the design cold", parts, lambda system: components_figure(r, system)
    )
    return chapter("Heating", heating_words(r), Table("heating", "", heads, rows), Note(check), line, bars, more=True)


def _line_says(r: SizeResult) -> Said:
    needs = worded("The house needs {} at {}.", Q(r.heating.load_W, POWER), Q(r.task.design_C, T))
    gives = (worded("{} gives at most {} there.", c.name, Q(c.max_heat_at_design_W, POWER)) for c in drawn_candidates(r))
    return joined(" ", [needs, *gives])


def cooling_words(r: SizeResult) -> Said:
    """The cooling load in one line."""
    c = r.designer.cooling
    way = f", front to the {c.front_faces}" + (" (the worst of eight)" if r.house.site.front_faces == "unknown" else "")
    return worded(
        "Cooling load in {}, hour ending {}:00 standard time{}: {} sensible and {} latent at {} outdoors",
        MONTHS[c.month - 1],
        c.peak_hour,
        way,
        Q(c.peak_sensible_W, POWER),
        Q(c.latent_at_peak_W, POWER),
        Q(c.outdoor_at_peak_C, T),
    )


def damp_words(r: SizeResult) -> Said:
    """The 1 % dew-point condition beside it, which of the two totals is larger, and the water to take out."""
    damp, water = r.designer.damp, Q(r.task.dehumidification_kg_s, "water a day")
    if damp is None:
        return worded("No 1 % dew point is on record here; water to take out: {}", water)
    return worded(
        "In the 1 % dew-point condition ({}): {} sensible and {} latent at {} outdoors; the larger total is that of the {}; "
        "water to take out: {}",
        MONTHS[damp.month - 1],
        Q(damp.peak_sensible_W, POWER),
        Q(damp.latent_at_peak_W, POWER),
        Q(damp.outdoor_at_peak_C, T),
        r.designer.cooling_conditions[0].condition,
        water,
    )


def cooling_chapter(r: SizeResult) -> Chapter | None:
    """The cooling load by cause, and the dew-point condition beside it."""
    c = r.designer.cooling
    peak = {name: float(series[c.peak_hour - 1]) for name, series in c.components_W.items()}
    rows = tuple((name, w) for name, w in by_size(peak) if abs(w) >= 0.5)
    table = Table("cooling", "", (Column("cause"), Column("sensible load", POWER)), rows)
    day = Figure("hot-day", "The hottest design day", _day_says(r), lambda system: day_figure(r, system))
    return chapter("Cooling", cooling_words(r), damp_words(r), table, day, more=True)


def _day_says(r: SizeResult) -> Said:
    losing = [name for name, watts in r.designer.cooling.components_W.items() if float(watts.min()) < -5.0]
    lost = (
        " Colours show gains only; where they stand above the sensible load, other parts lose heat to the cooler outdoors: "
        f"{', '.join(losing)}."
    )
    return worded("{}.{}", cooling_words(r), lost if losing else "")


def _units(r: SizeResult) -> Chapter | None:
    title = worded("At {} elevation, on a {} supply:", Q(r.task.elevation_m, "length", 0), r.house.supply.cord)
    names = [c.name for c in r.candidates]
    heads = (
        Column("unit"),
        Column("verdict"),
        Column("sure", "chance"),
        Column(worded("most heat at {}", Q(r.task.design_C, T)), POWER),
        Column(worded("least at {}", Q(MILD_C, T)), POWER),
        Column("falls short below (balance point)", T, missing="never"),
        Column("second heater", WATTS, missing="none"),
        Column("most A heating", "current"),
        Column("most A cooling", "current"),
        Column("cord"),
    )
    chosen = names.index(r.recommended.name) if r.recommended.name in names else None
    note = "generic classes are invented stand-ins: replace them with your unit's own table"
    table = Table("units", "", heads, tuple(_unit(c) for c in r.candidates), chosen=chosen)
    return chapter("Units", title, table, Note(note), more=True)


def _unit(c: Candidate) -> tuple[Any, ...]:
    return (
        c.name,
        c.verdict,
        c.chance,
        c.max_heat_at_design_W,
        c.min_heat_W,
        c.balance_point_C,
        c.backup_W or None,
        c.cold_A,
        c.hot_A,
        cord_word(c),
    )


def cord_word(c: Candidate) -> str:
    """Whether the unit runs from the house's cord."""
    if not c.plugs_in:
        return f"needs {c.unit.volts:.0f} V"
    return "runs" if c.runs_from_cord else f"needs {c.smallest_supply or 'more than listed'}"


def assumptions_chapter(r: SizeResult) -> Chapter | None:
    """What was taken, with the defaults counted first."""
    defaults = [a.name for a in r.assumptions if str(a.why).startswith(DEFAULT)]
    counted = f"{len(r.assumptions)} assumptions, {len(defaults)} of them defaults: {', '.join(defaults)}."
    lines = [Bullet(worded("{}: {} ({}; {})", a.name, a.value, a.why, a.source)) for a in r.assumptions]
    return chapter("Assumptions", counted, *lines, more=True)


def _assumed(r: SizeResult) -> Table:
    """The assumptions as a table, for frames and workbooks."""
    heads = (Column("what"), Column("value"), Column("why"), Column("source"))
    return Table("assumptions", "", heads, tuple((a.name, a.value, a.why, a.source) for a in r.assumptions))
