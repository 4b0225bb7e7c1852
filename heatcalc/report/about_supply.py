"""What `heatcalc supply` says: does the house run from its cord, what hangs on it, and what the year asks of it."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.answers.year.cord_year import THROUGH_THE_YEAR, CordYear, HouseSupply
from heatcalc.judge.sizing import SizeResult
from heatcalc.report.about_cord_year import (
    battery_chapter,
    chance_chapters,
    generator_chapter,
    generator_words,
    held_chapter,
    held_warnings,
    remedies_chapter,
    stored_chapter,
    uses_chapter,
)
from heatcalc.report.report import Caution, Chapter, Note, Report, Sentence, at_place, bullets, chapter, chapters
from heatcalc.report.supply_values import supply_values
from heatcalc.report.table import Column, Table, table_of
from heatcalc.supply.charge import NO_HEAD, ChargeScreen
from heatcalc.supply.circuits import ELECTRICIAN, CircuitLine
from heatcalc.supply.coincidence import CordDrop
from heatcalc.supply.cord import SEASON_WORDS, Cord, HourCheck
from heatcalc.supply.load_method import LoadMethod
from heatcalc.supply.off_grid import PARK_TRAILER
from heatcalc.supply.supply_check import SupplyAnswer
from heatcalc.wording import Q, Said, worded

T, WATTS, AMPERES = "temperature", "electric power", "current"
VERDICTS = {"pass": "yes", "short": "short times only", "fail": "no"}
VERDICTS_OF_HOURS = {"pass": "passes", "short": "short times only", "fail": "does not pass"}
NONE_LISTED = "none in the table"
BRIEF = worded(
    "a licensed electrician and the authority having jurisdiction decide; nameplates and listings overrule every number; an "
    "adapter makes no smaller load; carbon monoxide: no generator indoors, under the house or within {} of openings; refrigerant "
    "is a certified technician's work.",
    Q(6.096, "length"),
)


def about_supply(r: HouseSupply) -> Report:
    """The whole answer, one chapter a question."""
    s = r.supply
    found = Report(
        question="supply",
        title=f"Electric supply of {r.sized.house.name} in {r.sized.place.name}",
        under=(_head(r),),
        decision=tuple(Sentence(words, code) for code, words in _decision(r)),
        chapters=chapters(
            chapter("", *_together(s)),
            chapter("Warnings", *bullets([*_warnings(r)], Caution)),
            *(() if r.year is None else chance_chapters(r.year, s.hangs_on)),
            chapter("Beside it", *bullets([*_beside(r)]), more=True),
            *hours_chapters(s),
            _in_doubt(s),
            _through_the_year(s),
            *(() if r.year is None else _year(r.year, s.hangs_on)),
            may_chapter(s),
            circuits_chapter(s.circuits),
            drop_chapter(s.drop),
            method_chapter(r.method),
            generator_chapter(s.generator),
            battery_chapter(s.battery),
            charge_chapter(r.charge),
            chapter("Cautions", *bullets(s.cautions, Caution), brief=BRIEF),
            chapter("Sources", *bullets(s.sources, Note), more=True),
        ),
        values=supply_values(r),
        data=(_circuit_sources(s.circuits),),
    )
    return at_place(found, r.sized.place, r.sized.house.name)


def _year(y: CordYear, cord: Cord) -> tuple[Chapter | None, ...]:
    return remedies_chapter(y, cord), uses_chapter(y), held_chapter(y), stored_chapter(y.sun, y.stored)


def _head(r: HouseSupply) -> Said:
    return worded(
        "heat pump {} ({}); design cold {} with {} of backup heat; hour of the largest cooling load {}",
        r.chosen.name,
        r.chosen.verdict,
        Q(r.sized.task.design_C, T),
        Q(r.chosen.backup_W, WATTS),
        Q(r.sized.task.hot_C, T),
    )


def _decision(r: HouseSupply) -> Iterator[tuple[str, Said]]:
    s = r.supply
    yield "passes" if s.passes else "does not pass", f"{s.cord.title}: {'PASSES' if s.passes else 'DOES NOT PASS'}"
    yield "smallest supply", f"smallest supply: {s.smallest_cord or NONE_LISTED}{_changes(r.sized)}"


def _changes(sized: SizeResult) -> str:
    return f"; the plan takes: {'; '.join(sized.plan.changes)}" if sized.plan.changes else ""


def _other(s: SupplyAnswer) -> bool:
    return s.hangs_on != s.cord


def _together(s: SupplyAnswer) -> Iterator[Table]:
    """What coincides in each hour on the supply the plan hangs on."""
    on = s.hangs_on
    whose = f"On {on.title}" + (", the supply of the plan" if _other(s) else "")
    hours = (*s.on_plan, *_still_on_plan(s))
    yield table_of(
        "hours",
        hours,
        (Column("what runs together"), lambda h: SEASON_WORDS[h.season]),
        (Column("fuller leg", AMPERES), lambda h: h.leg_A[0]),
        (Column("other leg", AMPERES, missing=""), lambda h: h.leg_A[1] if on.legs == 2 else None),
        (Column("rating it takes", AMPERES), "leg_required_A"),
        (Column("verdict"), lambda h: VERDICTS_OF_HOURS[h.verdict]),
        *(((Column("counted without"), lambda h: ", ".join(h.locked_out)),) if any(h.locked_out for h in hours) else ()),
        title=f"{whose} ({on.rating_A:.0f} A a leg, of it {0.8 * on.rating_A:.0f} A for hours on end)",
    )


def _still_on_plan(s: SupplyAnswer) -> tuple[HourCheck, ...]:
    """The coldest hour in which the heat pump stands still, where the plan's supply carries one."""
    return () if s.still is None or s.still.on_plan is None else (s.still.on_plan,)


def _warnings(r: HouseSupply) -> Iterator[Said]:
    s = r.supply
    said = [word.partition(": ") for word in s.advice]
    for what in dict.fromkeys(rest for _, _, rest in said):
        yield f"{' and '.join(season for season, _, rest in said if rest == what)}: {what}"
    if s.still is not None and s.still.hour.verdict == "fail" and not _other(s):
        yield f"in the cold in which the heat pump stops, a heater carrying the house does not pass on {s.cord.name}"
    yield from (w for w in s.remarks if not _aside(w, s))
    if not s.drop.enough:
        yield _left(s.drop)
    if s.generator is not None and not s.generator.passes:
        yield f"the generator {generator_words(s.generator)}"
    if s.generator is not None:
        for a in r.sized.house.supply.appliances:
            if a.watts > s.generator.rated_W:
                yield f"the generator of {s.generator.rated_W:,.0f} W does not carry the {a.name}, {a.watts:,.0f} W, even alone"
    if r.year is not None:
        yield from held_warnings(r.year)
    for room in r.charge.rooms:
        if "fail" in (room.area_rule, room.area_rule_if_older, room.concentration):
            yield worded(
                "{} in {}: {}", r.charge.refrigerant, room.room, room.advice or "its charge is above a limit for this room"
            )


def _beside(r: HouseSupply) -> Iterator[Said]:
    s = r.supply
    yield f"{s.cord.title}: {s.capacity_VA:,.0f} VA, {s.cord.rating_A:.0f} A a leg, of it {s.continuous_limit_A:.0f} A continuous"
    yield f"beside it, {r.method.smallest_words}"
    if s.still is not None:
        carried = VERDICTS_OF_HOURS[s.still.hour.verdict]
        yield worded(
            "colder than {}, where the heat pump stops, {} of a typical year; in the coldest, at {}, a heater of {} carries the "
            "house: {:.1f} A on the fuller leg of {}, {}; smallest supply for it {}",
            Q(s.still.stops_below_C, T),
            _often(s.still.hours),
            Q(s.still.outdoor_C, T),
            Q(s.still.heater_W, WATTS),
            s.still.hour.leg_A[0],
            s.cord.name,
            carried,
            s.still.smallest_cord or NONE_LISTED,
        )
    yield from (w for w in s.remarks if _aside(w, s))


def _often(count: float) -> str:
    if count < 1:
        return "in less than an hour" if count > 0 else "in no hour"
    return f"in about {count:.0f} hour{'s' if round(count) > 1 else ''}"


def _aside(remark: str, s: SupplyAnswer) -> bool:
    """Whether a remark is no warning here: how the year was counted, or a rule for a generator that is not there."""
    return remark.startswith(THROUGH_THE_YEAR) or remark == PARK_TRAILER and s.generator is None


def hours_chapters(s: SupplyAnswer) -> Iterator[Chapter | None]:
    """Every load of every hour; where the plan hangs on another supply, also why the house's own does not do."""
    own = (s.cold, s.hot, *((s.still.hour,) if s.still else ()))
    if _other(s):
        yield chapter(f"On the house's own {s.cord.name}", *bullets([_hour_words(h) for h in own]), more=True)
    yield from (hour_chapter(h) for h in (*s.on_plan, *_still_on_plan(s)))


def hour_chapter(h: HourCheck) -> Chapter | None:
    """What runs together in one hour, and what comes of it."""
    legs = f"legs {h.leg_A[0]:.1f} A and {h.leg_A[1]:.1f} A, if the electrician balances them" if h.leg_A[1] > 0 else None
    off = f"of loads that never run together the heaviest count: without {', '.join(h.locked_out)}" if h.locked_out else None
    season = SEASON_WORDS[h.season]
    return chapter(season[0].upper() + season[1:], f"{h.verdict.upper()} - {h.reason}", _loads(h), legs, off, more=True)


def _hour_words(h: HourCheck) -> str:
    return f"{SEASON_WORDS[h.season]}: {h.verdict.upper()} - {h.reason}"


def _loads(h: HourCheck) -> Table:
    return table_of(
        h.season,
        h.loads,
        (Column("load"), "name"),
        (Column("draws", WATTS), "watts"),
        (Column("amperes", AMPERES), "amperes"),
        (Column("on"), lambda x: "120/240 V" if x.legs == 2 else "120 V"),
        (Column("runs for hours"), "continuous"),
    )


def _in_doubt(s: SupplyAnswer) -> Chapter | None:
    if not s.in_doubt:
        return None
    doubt = table_of(
        "doubt",
        s.in_doubt,
        (Column("usual watts (none in the house file)"), "name"),
        (Column("used", WATTS), "watts"),
        (Column("least", WATTS), "low_W"),
        (Column("most", WATTS), "high_W"),
        (Column("moves a leg by", AMPERES), "low_A"),
        (Column("up to", AMPERES), "high_A"),
        (Column("at the low end"), lambda d: VERDICTS_OF_HOURS[d.verdict_low]),
        (Column("at the high end"), lambda d: VERDICTS_OF_HOURS[d.verdict_high]),
        title="one at a time",
    )
    notes = bullets([f"{d.name}: {d.source} [{d.mark}]" for d in s.in_doubt], Note)
    return chapter("How sure these watts are", doubt, *notes, more=True)


def _through_the_year(s: SupplyAnswer) -> Chapter | None:
    share = s.hourly
    if share is None:
        return None
    first = f", first on {share.first_above_80}" if share.hours_above_80 else ""
    hours = "1 hour" if share.hours_above_80 == 1 else f"{share.hours_above_80} hours"
    words = (
        f"{hours} above 80 % of {s.hangs_on.name}{first}; highest {share.highest_A:.1f} A "
        f"({share.highest_share:.0%}) on {share.highest_when}; means of an hour"
    )
    return chapter("Through the year", words, more=True)


def may_chapter(s: SupplyAnswer) -> Chapter | None:
    """What one more appliance does on top of either design hour."""
    if not s.on_demand:
        return None
    may = table_of(
        "may",
        s.on_demand,
        (Column("switched on"), "name"),
        (Column("draws", AMPERES), "amperes"),
        (Column("at the design cold"), lambda x: _may(x.cold, x.pause_cold)),
        (Column("at the largest cooling load"), lambda x: _may(x.hot, x.pause_hot)),
        (Column("with nothing paused, on"), lambda x: x.swap or NONE_LISTED),
        title=f"Beside those hours, on {s.hangs_on.name}",
    )
    return chapter("May this run as well?", may, more=True)


def _may(verdict: str, pause: tuple[str, ...] | None) -> str:
    if pause is None:
        return "no"
    return f"with {' and '.join(pause)} off" if pause else VERDICTS[verdict]


def circuits_chapter(lines: tuple[CircuitLine, ...]) -> Chapter | None:
    """The branch circuits, and what each rests on."""
    texts = list(dict.fromkeys(line.source for line in lines))
    circuits = table_of(
        "circuits",
        lines,
        (Column("circuit"), "name"),
        (Column("volts", "voltage"), "volts"),
        (Column("breaker", AMPERES, decimals=0), "breaker_A"),
        (Column("wire"), lambda line: f"{line.gauge_awg or '?'} AWG"),
        (Column("draws", AMPERES), "load_A"),
        (Column("legs", decimals=0), "legs"),
        (Column("own"), lambda line: "own" if line.dedicated else "shared"),
        (Column("3 h"), "continuous"),
        (Column("step"), lambda line: f"({', '.join(line.step)})"),
        (Column("from"), lambda line: f"[{texts.index(line.source) + 1}]"),
        (Column("loads"), lambda line: ", ".join(line.loads) or "receptacles"),
        title="own: alone on its circuit; 3 h: runs so long or longer; step: where the load method counts it; from: what it "
        "comes from",
        head_units=True,
    )
    notes = dict.fromkeys(f"{line.name}: {line.note}" for line in lines if line.note != "own circuit")
    sources = [f"[{k}] {text}" for k, text in enumerate(texts, 1)]
    decides = f"{ELECTRICIAN[0].upper()}{ELECTRICIAN[1:]}."
    return chapter("Circuits", circuits, *bullets([*notes]), *bullets(sources, Note), decides, more=True)


def _circuit_sources(lines: tuple[CircuitLine, ...]) -> Table:
    return table_of("circuit texts", lines, (Column("circuit"), "name"), (Column("note"), "note"), (Column("text"), "source"))


def drop_chapter(d: CordDrop) -> Chapter | None:
    """Volts lost in the cord, and what is left for the heat pump."""
    words = "{:.1f} V ({:.1%}) at {:.1f} A over {} of {} AWG at {} on {}: {}"
    wire = Q(d.length_m, "length"), d.gauge_awg, Q(d.conductor_C, T)
    lost = worded(words, d.volts, d.share, d.amperes, *wire, d.cord, d.remark)
    return chapter("Cord drop", lost, _left(d), more=True)


def _left(d: CordDrop) -> Said:
    return (
        f"left for the heat pump {d.left_at_unit_V:.1f} V then, {d.left_at_full_draw_V:.1f} V at the full rating of {d.cord}: "
        f"{'enough for' if d.enough else 'BELOW'} its least of {d.least_V:.1f} V ({d.least_from}; its manual decides)"
    )


def method_chapter(m: LoadMethod) -> Chapter | None:
    """The service by the standard's load method."""
    words = (
        f"{m.connected_VA:,.0f} VA of lighting and small appliances connected, {m.demand_VA:,.0f} VA demand; "
        f"legs {m.leg_A:.1f} A and {m.other_leg_A:.1f} A"
    )
    heads = (Column("step"), Column("load"), Column("amperes", AMPERES), Column("on"))
    rows = tuple((f"({x.step})", x.name, x.amperes, "both legs" if x.legs == 2 else "one leg") for x in m.loads)
    return chapter("By the load method", words, Table("method", "", heads, rows), Note(m.method), more=True)


def charge_chapter(screen: ChargeScreen) -> Chapter | None:
    """The refrigerant's charge against each room."""
    limit: Said = "not flammable"
    if screen.m1_kg is not None:
        limit = worded("no area rule up to {}", Q(screen.m1_kg, "mass", 2))
    unasked = ("no area rule", NO_HEAD)
    rooms = table_of(
        "rooms",
        screen.rooms,
        (Column("room"), "room"),
        (Column("floor", "area"), "area_m2"),
        (Column("volume", "volume"), "volume_m3"),
        (Column("head mounted at", "length"), "height_m"),
        (Column("needs", "area"), lambda x: None if x.area_rule_if_older in unasked else x.area_rule_m2),
        (Column("area rule"), "area_rule"),
        (Column("older 4 x LFL"), "area_rule_if_older"),
        (Column("most by RCL", "mass", decimals=2), "concentration_kg"),
        (Column("RCL"), "concentration"),
    )
    return chapter(
        "Refrigerant in a small room",
        worded("{} ({}), {} at most; {}", screen.refrigerant, screen.safety_class, Q(screen.charge_kg, "mass", 2), limit),
        rooms,
        *bullets([room.advice for room in screen.rooms if room.advice]),
        *bullets(screen.cautions, Caution),
        Note(f"LFL: the least of it in air that burns; RCL: the most of it that a room's air may hold; source: {screen.source}"),
        more=True,
    )
