"""Papers for the shop and the electrician: the circuit list, the assembly cards, and the card to build, place and start up by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from heatcalc.answers.sale.sale_answer import Sale, UsedAssembly
from heatcalc.report.about_assembly import layers_table, section_figure
from heatcalc.report.about_cord_year import battery_chapter, generator_chapter
from heatcalc.report.about_supply import (
    NONE_LISTED,
    charge_chapter,
    circuits_chapter,
    drop_chapter,
    hours_chapters,
    may_chapter,
    method_chapter,
)
from heatcalc.report.promise_words import WHY_THEN, degrees, heading, stamp_of
from heatcalc.report.report import Caution, Chapter, Note, Report, Tick, bullets, chapter, chapters
from heatcalc.report.table import Column, Table
from heatcalc.supply.supply_check import CAUTIONS as SUPPLY_CAUTIONS
from heatcalc.wording import Q, Said, worded

MANUAL = "the unit's manual"
ROAD_WIDTH_M = 8.5 * 0.3048  # 102 inches, 23 CFR 658.15, from memory
CARD_CAUTIONS = (
    "U-values are computed from the layers as listed; gaps, compressed insulation and unlisted steel raise them.",
    "Labels of windows and doors decide; local codes and licensed practice come first.",
)
SHOP_CAUTIONS = (
    "Clearances, least and greatest line length, lift, torque and charge are the unit manual's; it decides wherever it differs.",
    "Refrigerant and electric work belong to certified and licensed people; local codes and the authority at the place decide.",
)
AT_START_UP = (
    ("refrigerant lines hold pressure, then vacuum", "as in the manual"),
    ("line length and lift; charge added", "within the manual's limits"),
    ("condensate runs off with the house level", "a litre poured in comes out"),
    ("air into and out of the head after 15 minutes, heating", "as in the manual"),
    ("earth, ground-fault and smoke and carbon monoxide alarms tested", "all trip"),
    ("thermostat's sensor against a thermometer in the middle of the room", "within 2 F (1 K)"),
)


def paper(s: Sale, name: str, title: str, *some: Chapter | None, buyer: str = "") -> Report:
    """One paper of a sale; what is to be minded about the place stands on each."""
    place = chapter("About the place", *bullets(s.sized.place.warnings, Caution))
    under = (*([f"For {buyer}"] if buyer else []), *heading(s.buyer))
    told = {"chapters": chapters(*some, place), "inputs": s.case.hash, "stamp": stamp_of(s.buyer)}
    return Report(question=name, title=title, under=under, sheet=True, **told)  # type: ignore[arg-type]


def table(key: str, title: Said, heads: tuple[str, ...], rows: Iterator[tuple] | tuple[tuple, ...]) -> Table:
    """A table of words alone."""
    return Table(key, title, tuple(Column(head) for head in heads), tuple(rows))


def circuits_paper(s: Sale) -> Report:
    """The circuit list with what may run together."""
    answer = s.buyer.run.candidate.supply
    words = "carries the loads below" if answer.passes and s.buyer.promise.plugs_in else "does not carry the loads below"
    first = (
        f"The {answer.cord.title} {words}. Smallest supply: {answer.smallest_cord or NONE_LISTED}. "
        f"Beside it: {s.method.smallest_words}."
    )
    return paper(
        s,
        "circuits",
        "Circuit list",
        chapter("Supply", first, *answer.advice),
        circuits_chapter(answer.circuits),
        *hours_chapters(replace(answer, still=s.still)),
        chapter("When these hours are", _hours_say(s)),
        may_chapter(answer),
        drop_chapter(answer.drop),
        method_chapter(s.method),
        generator_chapter(answer.generator),
        battery_chapter(answer.battery),
        charge_chapter(s.charge),
        chapter("Cautions", *bullets((*answer.remarks, *SUPPLY_CAUTIONS), Caution)),
        chapter("Sources", *bullets(answer.sources, Note)),
    )


def _hours_say(s: Sale) -> Said:
    """At which outdoor temperatures these hours are, and why the cooling hour is not the hottest."""
    peak, hottest = degrees(s.sized.task.hot_C), degrees(float(s.sized.designer.cooling.outdoor_C.max()))
    later = worded(", not the day's hottest {}: {}", hottest, WHY_THEN) if peak.said("both") != hottest.said("both") else ""
    still = worded(" The hour without the heat pump is at {}.", degrees(s.still.outdoor_C)) if s.still else ""
    words = "The design cold is {}; the hour of the largest cooling load has {} outdoors{}.{}"
    return worded(words, degrees(s.sized.task.design_C), peak, later, still)


def fan_flow(s: Sale) -> Q:
    """What the whole-house fan moves."""
    air = s.sized.designer.model.air
    return Q(air.balanced_m3_s + air.unbalanced_m3_s, "air flow")


def assemblies_paper(s: Sale) -> Report:
    """One card for each assembly the house uses."""
    leakage, house = s.sized.designer.model.air.leakage, s.sized.house
    build: tuple[Said, ...] = (
        f"Tightness to reach and test: {leakage.ach50:.1f} ACH50 ({leakage.basis}).",
        worded("Whole-house fan: {}, {}; measure it.", fan_flow(s), house.ventilation.kind),
        *(worded("Thermal bridge: {}, {}.", b.name, Q(b.length, "length")) for b in house.thermal_bridges),
    )
    cards = (_card(s, used) for used in s.used)
    cautions = chapter("Cautions", *bullets(CARD_CAUTIONS, Caution))
    return paper(s, "assemblies", "Assembly cards", chapter("Air and bridges", *build), *cards, cautions)


def _card(s: Sale, used: UsedAssembly) -> Chapter | None:
    a, indoor, cold = used.answer, s.sized.house.set_points.heating, s.sized.designer.conditions.heating_C
    shgc = f", SHGC {a.shgc:.2f}" if a.shgc is not None else ""
    return chapter(
        a.name,
        a.title if a.title != a.name else None,
        worded("{}, {}: {}.", a.kind, Q(used.area_m2, "area"), ", ".join(used.parts)),
        worded("U {}{}.", Q(a.u_value_W_m2K, "U-value"), shgc),
        *a.notes,
        f"Source: {a.source}",
        layers_table(a, indoor, cold, f"Layers of {a.name}"),
        section_figure(a, indoor, cold),
    )


def shop_paper(s: Sale) -> Report:
    """One card to build, place and start up by."""
    start = table("start-up", "To be measured and signed", ("what", "target", "measured", "by"), _start_up(s))
    return paper(
        s,
        "shop-card",
        "Shop card",
        chapter("Built in", table("built-in", "As ordered", ("what", "which"), _built_in(s))),
        chapter("Where the head stands", *bullets(tuple(_head(s)), Tick)),
        chapter("Where the outdoor unit stands", *bullets(tuple(_outdoor(s)), Tick)),
        chapter("Start-up", start),
        chapter("Cautions", *bullets(SHOP_CAUTIONS, Caution)),
    )


def _built_in(s: Sale) -> Iterator[tuple[str, Said]]:
    plan, unit = s.sized.plan, s.buyer.run.candidate.unit
    circuit = f"least circuit {unit.mca_A:.0f} A, largest breaker {unit.mop_A:.0f} A"
    yield "heat pump", f"{unit.name}, {unit.volts:.0f} V, {circuit}"
    yield "refrigerant", worded("{}, {} at most", unit.refrigerant, Q(unit.charge_kg, "mass", 2))
    stated = "see its data sheet" if unit.sound_dBA is None else f"{unit.sound_dBA:.0f} dB(A) indoors, as its maker states"
    yield "sound", stated
    yield "second heater", f"{plan.heater_W:,.0f} W, for {plan.heater_for}" if plan.heater_W else "none"
    yield "dehumidifier", f"{plan.dehumidifier_W:,.0f} W" if plan.dehumidifier_W else "none"
    yield "supply", plan.supply or "none listed carries it"
    yield from (("changes", change) for change in plan.changes)


def _head(s: Sale) -> Iterator[str]:
    yield "In the largest room, high on a wall, blowing along the room and not at the bed or a seat; nothing before it."
    yield f"Clear above, beside and below: as {MANUAL} says; room to take the filter out."
    yield "Its drain falls all the way outdoors, also with the house a little out of level."
    yield "Not above the cooker, not where curtains or a door meet its air."
    yield "Its sensor not in the warm layer that gathers under a loft or a high roof; else a wall sensor in the living space."
    rooms = [room.name for room in s.sized.house.supply.closed_rooms]
    behind = f" {', '.join(rooms)}:" if rooms else ""
    yield f"Bath and rooms behind doors get none of its air:{behind} a heater or a transfer fan of their own."


def _outdoor(s: Sale) -> Iterator[Said]:
    yield f"Line length and lift within {MANUAL}'s least and greatest: ________ and ________."
    yield f"Clear on every side as {MANUAL} says; not in a closed skirt, not facing another unit or a corner."
    yield "Above the deepest snow, its pan drain free; not under roof drip."
    towed = s.sized.house.built_as == "tiny house on wheels"
    yield _road(s.sized.house.body.width) if towed else "Lashed, and its fan held still, while the house is moved."
    yield "On rubber and off the bedroom wall; its sound outdoors is the maker's own stated value: ________ dB(A)."
    yield "Within sight of its switch; working space before it as local codes ask."


def _road(width_m: float) -> Said:
    left = ROAD_WIDTH_M - width_m
    some = worded("what stands out on a side may take {} in all", Q(left, "length"))
    words = (
        "Towing: the body is {} wide and {} is the usual limit without a permit: {}, bracket, cover and pipes with it; else on "
        "the tongue or the rear wall, or taken off for the road."
    )
    spare = some if left > 0.02 else "nothing may stand out"
    return worded(words, Q(width_m, "length"), Q(ROAD_WIDTH_M, "length"), spare)


def _start_up(s: Sale) -> Iterator[tuple[Said, ...]]:
    c, fan, watts = s.buyer.run.candidate, s.sized.house.ventilation.kind, s.sized.plan.heater_W
    rows: tuple[tuple[str, Said] | None, ...] = (
        ("fan test of the finished house", f"{s.sized.designer.model.air.leakage.ach50:.1f} ACH50 or less"),
        None if fan == "none" else ("whole-house fan, flow at its grille", worded("{}", fan_flow(s))),
        ("voltage at the unit, everything on", f"{0.9 * c.unit.volts:.0f} to {1.1 * c.unit.volts:.0f} V, or as its plate says"),
        ("current of the heat pump at full heat", f"{c.cold_A:.1f} A or less"),
        ("second heater: watts; locked out as wired", f"{watts:,.0f} W") if watts else None,
        *AT_START_UP,
    )
    return ((*row, "________", "______") for row in rows if row)
