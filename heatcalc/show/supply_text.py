"""The supply check as plain text and as a mapping for JSON.  Nothing is computed here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from textwrap import fill
from typing import Any

from heatcalc import units
from heatcalc.answers.year.cord_year import CordYear
from heatcalc.show.cord_year_text import cord_year_record, cord_year_text
from heatcalc.supply.charge import NO_HEAD, ChargeScreen, RoomCharge
from heatcalc.supply.circuits import ELECTRICIAN
from heatcalc.supply.cord import SEASON_WORDS, HourCheck
from heatcalc.supply.load_method import LoadMethod
from heatcalc.supply.supply_check import OnDemand, SupplyAnswer
from heatcalc.wording import Said, said

VERDICTS = {"pass": "yes", "short": "short times only", "fail": "no"}
VERDICTS_OF_HOURS = {"pass": "passes", "short": "short times only", "fail": "does not pass"}


@dataclass(frozen=True)
class SupplyCase:
    """What was checked, for the head of the page."""

    house: str
    place: str
    unit: str
    unit_verdict: str
    coldest_C: float
    hottest_C: float
    backup_W: float


def supply_text(
    case: SupplyCase,
    answer: SupplyAnswer,
    method: LoadMethod,
    screen: ChargeScreen | None,
    year: CordYear | None = None,
    system: str = "ip",
) -> str:
    """The whole answer, one section a question."""
    parts = [
        _head(case, system),
        _verdict(answer, method),
        _hour(answer.cold),
        _hour(answer.hot),
        _still(answer, system),
        _in_doubt(answer),
        _hourly(answer),
        *(cord_year_text(year, system) if year else ()),
        _on_demand(answer),
        _circuits(answer),
        _drop(answer, system),
        _method(method),
        _generator(answer, system),
        _battery(answer),
        _charge(screen, system),
        _bullets("Also", answer.remarks, system),
        _bullets("Cautions", answer.cautions, system),
        _bullets("Sources", answer.sources, system),
    ]
    return "\n\n".join(part for part in parts if part)


def supply_json(
    case: SupplyCase, answer: SupplyAnswer, method: LoadMethod, screen: ChargeScreen | None, year: CordYear | None = None
) -> dict[str, Any]:
    """The answer as plain mappings; SI units and amperes as the field names say."""
    charge = None if screen is None else asdict(screen)
    whole = {"case": asdict(case)} | asdict(answer) | {"load_method": asdict(method), "refrigerant_charge": charge}
    whole["year"] = None if year is None else cord_year_record(year)
    return _said_throughout(whole)


def _said_throughout(part: Any) -> Any:
    """The mapping with the quantities of its sentences written in SI."""
    if isinstance(part, dict):
        return {key: _said_throughout(inner) for key, inner in part.items()}
    if isinstance(part, list | tuple):
        return [_said_throughout(inner) for inner in part]
    return said(part, "si") if isinstance(part, str) else part


def _head(case: SupplyCase, system: str) -> str:
    title = f"Electric supply of {case.house} in {case.place}"
    cold, hot = (units.text(t, "temperature", system) for t in (case.coldest_C, case.hottest_C))
    return "\n".join(
        [
            title,
            "=" * len(title),
            f"heat pump {case.unit} ({case.unit_verdict}); design cold {cold} with {case.backup_W:,.0f} W of backup heat; "
            f"hour of the largest cooling load {hot}",
        ]
    )


def _verdict(answer: SupplyAnswer, method: LoadMethod) -> str:
    cord = answer.cord
    words = "PASSES" if answer.passes else "DOES NOT PASS"
    lines = [
        f"{cord.title}: {words}",
        f"  {answer.capacity_VA:,.0f} VA, {cord.rating_A:.0f} A a leg, of it {answer.continuous_limit_A:.0f} A continuous",
    ]
    lines += [f"  {advice}" for advice in answer.advice]
    lines.append(f"  smallest supply: {answer.smallest_cord or 'none in the table'}")
    lines.append(fill(f"beside it, {method.smallest_words}", 110, initial_indent="  ", subsequent_indent="    "))
    if answer.still is not None:
        carried = VERDICTS_OF_HOURS[answer.still.hour.verdict]
        lines.append(
            f"  in the cold in which the heat pump stops, a heater carrying the house: {carried} on this cord; "
            f"smallest supply {answer.still.smallest_cord or 'none in the table'}"
        )
    return "\n".join(lines)


def _hour(hour: HourCheck) -> str:
    rows = [
        (
            load.name,
            f"{load.watts:,.0f} W",
            f"{load.amperes:.1f} A",
            "120/240 V" if load.legs == 2 else "120 V",
            "continuous" if load.continuous else "",
        )
        for load in hour.loads
    ]
    head = f"{SEASON_WORDS[hour.season]}: {hour.verdict.upper()} - {hour.reason}"
    lines = [head[0].upper() + head[1:], *_table(rows)]
    if hour.leg_A[1] > 0:
        lines.append(f"  legs {hour.leg_A[0]:.1f} A and {hour.leg_A[1]:.1f} A, if the electrician balances them")
    if hour.locked_out:
        lines.append(f"  held off by lock-outs: {', '.join(hour.locked_out)}")
    return "\n".join(lines)


def _still(answer: SupplyAnswer, system: str) -> str:
    still = answer.still
    if still is None:
        return ""
    limit, outdoor = (units.text(t, "temperature", system) for t in (still.stops_below_C, still.outdoor_C))
    words = (
        f"about {still.hours:.0f} hours of a typical year are colder than {limit}, where the heat pump stops; in the coldest, at "
        f"{outdoor}, a heater of {still.heater_W:,.0f} W carries the house: {still.hour.leg_A[0]:.1f} A on the fuller leg, "
        f"smallest supply for it {still.smallest_cord or 'none in the table'}"
    )
    return "\n".join([_hour(still.hour), fill(words, 110, initial_indent="  ", subsequent_indent="    ")])


def _in_doubt(answer: SupplyAnswer) -> str:
    if not answer.in_doubt:
        return ""
    head = ("usual watts (none in the house file)", "used", "range", "moves a leg by", "at the low end", "at the high end")
    rows = [
        (
            d.name,
            f"{d.watts:,.0f} W",
            f"{d.low_W:,.0f} to {d.high_W:,.0f} W",
            f"{d.low_A:+.1f} to {d.high_A:+.1f} A",
            VERDICTS_OF_HOURS[d.verdict_low],
            VERDICTS_OF_HOURS[d.verdict_high],
        )
        for d in answer.in_doubt
    ]
    notes = [f"{d.name}: {d.source} [{d.mark}]" for d in answer.in_doubt]
    wrapped = [fill(note, 110, initial_indent="  ", subsequent_indent="    ") for note in notes]
    return "\n".join(["How sure these watts are, one at a time", *_table([head, *rows]), *wrapped])


def _hourly(answer: SupplyAnswer) -> str:
    share = answer.hourly
    if share is None:
        return ""
    first = f", first on {share.first_above_80}" if share.hours_above_80 else ""
    return (
        f"Through the year: {share.hours_above_80} hour(s) above 80 % of the cord"
        f"{first}; highest {share.highest_A:.1f} A ({share.highest_share:.0%}) on {share.highest_when}"
    )


def _on_demand(answer: SupplyAnswer) -> str:
    if not answer.on_demand:
        return ""
    rows = [
        ("switched on", "draws", "at the design cold", "at the largest cooling load"),
        *(
            (
                item.name,
                f"{item.amperes:.1f} A",
                _beside(item, item.cold, item.pause_cold),
                _beside(item, item.hot, item.pause_hot),
            )
            for item in answer.on_demand
        ),
    ]
    return "\n".join(["May this run as well?", *_table(rows)])


def _beside(item: OnDemand, verdict: str, pause: tuple[str, ...] | None) -> str:
    if pause is None:
        return "no"
    return f"with {' and '.join(pause)} off" if pause else VERDICTS[verdict]


def _circuits(answer: SupplyAnswer) -> str:
    rows = [
        ("circuit", "volts", "breaker", "wire", "draws", "own", "3 h", "step", "loads"),
        *(
            (
                line.name,
                f"{line.volts}",
                f"{line.breaker_A:.0f} A",
                f"{line.gauge_awg or '?'} AWG",
                f"{line.load_A:.1f} A",
                "own" if line.dedicated else "shared",
                "yes" if line.continuous else "no",
                f"({', '.join(line.step)})",
                ", ".join(line.loads) or "receptacles",
            )
            for line in answer.circuits
        ),
    ]
    notes = dict.fromkeys(f"  {line.name}: {line.note}" for line in answer.circuits if line.note != "own circuit")
    texts = dict.fromkeys(line.source for line in answer.circuits)
    source = fill(f"texts: {'; '.join(texts)}. {ELECTRICIAN}", 110, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(["Circuits (step: where the load method counts it)", *_table(rows), *notes, source])


def _drop(answer: SupplyAnswer, system: str) -> str:
    drop = answer.drop
    enough = "enough for" if drop.enough else "BELOW"
    return (
        f"Cord drop: {drop.volts:.1f} V ({drop.share:.1%}) at {drop.amperes:.1f} A over "
        f"{units.text(drop.length_m, 'length', system)} of {drop.gauge_awg} AWG at "
        f"{units.text(drop.conductor_C, 'temperature', system)}: {drop.remark}\n"
        f"  left for the heat pump {drop.left_at_unit_V:.1f} V then, {drop.left_at_full_draw_V:.1f} V at the cord's full rating: "
        f"{enough} its least of {drop.least_V:.1f} V ({drop.least_from}; its manual decides)"
    )


def _method(method: LoadMethod) -> str:
    rows = [(f"({x.step})", x.name, f"{x.amperes:.1f} A", "both legs" if x.legs == 2 else "one leg") for x in method.loads]
    words = (
        f"By the load method: {method.connected_VA:,.0f} VA of lighting and small appliances connected, "
        f"{method.demand_VA:,.0f} VA demand; legs {method.leg_A:.1f} A and {method.other_leg_A:.1f} A"
    )
    return "\n".join([words, *_table(rows), fill(method.method, 110, initial_indent="  ", subsequent_indent="  ")])


def _generator(answer: SupplyAnswer, system: str) -> str:
    check = answer.generator
    if check is None:
        return ""
    word = (
        "carries the loads"
        if check.passes
        else "does NOT carry the loads"
        if check.allowed
        else "in a park trailer: ask the authority having jurisdiction"
    )
    lines = [f"Generator {check.rated_W:,.0f} W: {word}"]
    for h in check.hours:
        rules = ", ".join(f"{name} {left:.0%}" for name, left in h.left_by_rule)
        lines.append(f"  {SEASON_WORDS[h.season]}: {h.reason}; of its rating left by rule: {rules}")
    if check.gallons_a_day is not None:
        lines.append(f"  {check.fuel} at the year's mean load: {check.gallons_a_day:.1f} gal a day, running all day")
    return "\n".join([*lines, f"  assumed: {said(check.assumption, system)}"])


def _battery(answer: SupplyAnswer) -> str:
    line = answer.battery
    if line is None:
        return ""
    spans = {"at the design cold": line.cold_h, "at the largest cooling load": line.hot_h, "at the year's mean": line.mean_h}
    words = ", ".join(f"{hours:.1f} h {when}" for when, hours in spans.items() if hours is not None)
    return f"Battery {line.usable_kWh:.1f} kWh usable: {words or 'no load'}; {line.inverter}"


def _charge(screen: ChargeScreen | None, system: str) -> str:
    if screen is None:
        return ""
    head = ("room", "floor", "volume", "head mounted at", "needs", "area rule", "older 4 x LFL", "most by RCL", "RCL")
    rows = [head, *(_room(room, system) for room in screen.rooms)]
    charge = units.text(screen.charge_kg, "mass", system, 2)
    limit = "not flammable" if screen.m1_kg is None else f"no area rule up to {units.text(screen.m1_kg, 'mass', system, 2)}"
    return "\n".join(
        [
            f"Refrigerant {screen.refrigerant} ({screen.safety_class}), {charge} at most; {limit}",
            *_table(rows),
            *(fill(room.advice, 110, initial_indent="  ", subsequent_indent="    ") for room in screen.rooms if room.advice),
            _bullets("Refrigerant cautions", (*screen.cautions, f"source: {screen.source}"), system),
        ]
    )


def _room(room: RoomCharge, system: str) -> tuple[str, ...]:
    needs = None if room.area_rule_if_older in ("no area rule", NO_HEAD) else room.area_rule_m2
    return (
        room.room,
        units.text(room.area_m2, "area", system),
        units.text(room.volume_m3, "volume", system),
        units.text(room.height_m, "length", system),
        "-" if needs is None else units.text(needs, "area", system),
        room.area_rule,
        room.area_rule_if_older,
        units.text(room.concentration_kg, "mass", system, 2),
        room.concentration,
    )


def _table(rows: Iterable[Sequence[str]]) -> list[str]:
    cells = [tuple(row) for row in rows]
    widths = [max(len(row[i]) for row in cells) for i in range(len(cells[0]))] if cells else []
    return ["  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip() for row in cells]


def _bullets(head: str, lines: Sequence[Said], system: str) -> str:
    filled = [fill(said(line, system), 110, initial_indent="  - ", subsequent_indent="    ") for line in lines]
    return "\n".join([head, *filled]) if lines else ""
