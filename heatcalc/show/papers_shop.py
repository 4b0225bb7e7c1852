"""Papers for the shop and the electrician: the circuit list and the assembly cards."""

from __future__ import annotations

from heatcalc.answers.envelope.assembly_answer import LayerLine
from heatcalc.answers.sale.sale_answer import Sale, UsedAssembly
from heatcalc.report.drawing import Drawn
from heatcalc.show.papers_block import Block, Paper
from heatcalc.show.run_load_text import WHY_THEN, heading
from heatcalc.show.words import quantity
from heatcalc.supply.cord import SEASON_WORDS, HourCheck
from heatcalc.supply.supply_check import CAUTIONS, OnDemand
from heatcalc.wording import said

VERDICTS = {"pass": "yes", "short": "yes, under three hours", "fail": "no"}
CARD_CAUTIONS = (
    "U-values are computed from the layers as listed; gaps, compressed insulation and unlisted steel raise them.",
    "Labels of windows and doors decide; local codes and licensed practice come first.",
)


def circuits_paper(s: Sale, system: str) -> Paper:
    """The circuit list with what may run together."""
    answer = s.buyer.run.candidate.supply
    words = "carries the loads below" if answer.passes and s.buyer.promise.plugs_in else "does not carry the loads below"
    first = (
        f"The {answer.cord.title} {words}. Smallest supply: {answer.smallest_cord or 'none in the table'}. "
        f"Beside it: {s.method.smallest_words}.",
        *answer.advice,
    )
    return Paper(
        "circuits",
        "Circuit list",
        tuple(heading(s.buyer, system)),
        (
            Block("Supply", first),
            _circuits(s),
            *(_hour(h) for h in (answer.cold, answer.hot, *([s.still.hour] if s.still else []))),
            Block("", (_hours_say(s, system),)),
            _beside(answer.on_demand),
            _drop(s, system),
            _method(s),
            *_off_grid(s),
            _charge(s, system),
            Block("Cautions", cautions=(*answer.remarks, *(said(c, system) for c in CAUTIONS))),
            Block("Sources", tuple(said(source, system) for source in answer.sources)),
        ),
    )


def _circuits(s: Sale) -> Block:
    lines = s.buyer.run.candidate.supply.circuits
    rows = tuple(
        (
            c.name,
            f"{c.volts} V",
            "?" if c.breaker_A is None else f"{c.breaker_A:.0f} A",
            f"{c.gauge_awg or '?'} AWG",
            f"{c.load_A:.1f} A",
            ", ".join(c.loads) or "receptacles",
            c.note,
        )
        for c in lines
    )
    return Block(
        "Circuits", (), "Branch circuits", ("circuit", "volts", "breaker", "copper", "draws", "loads", "note"), rows, (1, 2, 3, 4)
    )


def _hour(h: HourCheck) -> Block:
    rows = tuple(
        (
            x.name,
            f"{x.watts:,.0f} W",
            f"{x.amperes:.1f} A",
            "120/240 V" if x.legs == 2 else "120 V",
            "yes" if x.continuous else "no",
        )
        for x in h.loads
    )
    name = SEASON_WORDS[h.season].capitalize()
    return Block(
        "",
        (f"{name}: {h.verdict}; {h.reason}.",),
        f"{name}: what runs together",
        ("load", "watts", "amperes", "at", "three hours or more"),
        rows,
        (1, 2),
    )


def _hours_say(s: Sale, system: str) -> str:
    """At which outdoor temperatures these hours are, and why the cooling hour is not the hottest."""
    task, hot_C = s.sized.task, float(s.sized.designer.cooling.outdoor_C.max())
    peak, hottest = (quantity(x, "temperature", system) for x in (task.hot_C, hot_C))
    later = f", not the day's hottest {hottest}: {WHY_THEN}" if peak != hottest else ""
    still = f" The hour without the heat pump is at {quantity(s.still.outdoor_C, 'temperature', system)}." if s.still else ""
    cold = quantity(task.design_C, "temperature", system)
    return f"The design cold is {cold}; the hour of the largest cooling load has {peak} outdoors{later}.{still}"


def _beside(items: tuple[OnDemand, ...]) -> Block:
    rows = tuple((i.name, f"{i.amperes:.1f} A", _word(i.cold, i.pause_cold), _word(i.hot, i.pause_hot)) for i in items)
    return Block(
        "May this run as well?",
        (),
        "One more appliance on top of either design hour",
        ("switched on", "draws", "at the design cold", "at the largest cooling load"),
        rows,
        (1,),
    )


def _word(verdict: str, pause: tuple[str, ...] | None) -> str:
    if pause is None:
        return "no"
    return f"with {' and '.join(pause)} off" if pause else VERDICTS[verdict]


def _drop(s: Sale, system: str) -> Block:
    d = s.buyer.run.candidate.supply.drop
    return Block(
        "Cord",
        (
            f"Voltage lost in the cord: {d.volts:.1f} V ({d.share:.1%}) at {d.amperes:.1f} A over "
            f"{quantity(d.length_m, 'length', system)} of {d.gauge_awg} AWG; {d.remark}.",
        ),
    )


def _method(s: Sale) -> Block:
    m = s.method
    return Block(
        "By the load method",
        (
            f"{m.connected_VA:,.0f} VA connected, {m.demand_VA:,.0f} VA demand; {m.leg_A:.1f} A on the heavier "
            "leg of a 120/240 V supply with fixed loads.",
            m.method,
        ),
    )


def _off_grid(s: Sale) -> tuple[Block, ...]:
    answer, found = s.buyer.run.candidate.supply, []
    if answer.generator:
        g = answer.generator
        word = "carries the loads" if g.passes else "does not carry the loads" if g.allowed else "is not allowed for a park model"
        found.append(Block("Generator", (f"A generator of {g.rated_W:,.0f} W {word}.", *(h.reason for h in g.hours))))
    if answer.battery:
        b = answer.battery
        hours = {"design cold": b.cold_h, "largest cooling load": b.hot_h}
        found.append(
            Block("Battery", tuple(f"At the {k}: {v:.1f} hours." for k, v in hours.items() if v is not None) + (b.inverter,))
        )
    return tuple(found)


def _charge(s: Sale, system: str) -> Block:
    c = s.charge
    rows = tuple(
        (r.room, quantity(r.area_m2, "area", system), quantity(r.volume_m3, "volume", system), r.area_rule, r.concentration)
        for r in c.rooms
    )
    return Block(
        "Refrigerant in a small room",
        (
            f"{c.refrigerant} ({c.safety_class}), {quantity(c.charge_kg, 'mass', system, 2)} at most.",
            *(r.advice for r in c.rooms if r.advice),
        ),
        "Screening by two routes",
        ("room", "floor", "volume", "area rule", "concentration"),
        rows,
        (1, 2),
        cautions=c.cautions,
    )


def assemblies_paper(s: Sale, system: str) -> Paper:
    """One card for each assembly the house uses."""
    cards = [block for used in s.used for block in _card(s, used, system)]
    air = s.sized.designer.model.air
    flow = quantity(air.balanced_m3_s + air.unbalanced_m3_s, "air flow", system)
    build = (
        f"Tightness to reach and test: {air.leakage.ach50:.1f} ACH50 ({air.leakage.basis}).",
        f"Whole-house fan: {flow}, {s.sized.house.ventilation.kind}; measure it.",
        *(f"Thermal bridge: {b.name}, {quantity(b.length, 'length', system)}." for b in s.sized.house.thermal_bridges),
    )
    return Paper(
        "assemblies",
        "Assembly cards",
        tuple(heading(s.buyer, system)),
        (Block("Air and bridges", build), *cards, Block("Cautions", cautions=CARD_CAUTIONS)),
    )


def _card(s: Sale, used: UsedAssembly, system: str) -> list[Block]:
    a, one = used.answer, "si" if system == "si" else "ip"
    lines = [a.title] if a.title != a.name else []
    lines.append(f"{a.kind}, {quantity(used.area_m2, 'area', system)}: {', '.join(used.parts)}.")
    lines.append(
        f"U {quantity(a.u_value_W_m2K, 'U-value', system)}" + (f", SHGC {a.shgc:.2f}" if a.shgc is not None else "") + "."
    )
    lines += [*a.notes, f"Source: {a.source}"]
    rows = tuple(_layer(x, system) for x in a.lines)
    head = ("inside to outside", "thickness", "R", "framing", "inner side at the design cold")
    return [
        Block(a.name, tuple(lines), f"Layers of {a.name}", head, rows, (1, 2, 3, 4), _section(s, used, one) if a.lines else None)
    ]


def _layer(x: LayerLine, system: str) -> tuple[str, ...]:
    thick = " / ".join(
        f"{x.thickness_m / 0.0254:.2f} in" if one == "ip" else f"{x.thickness_m * 1000:.1f} mm"
        for one in (("ip", "si") if system == "both" else (system,))
    )
    return (
        x.name,
        thick,
        "vented" if x.cladding else quantity(x.resistance_m2K_W, "thermal resistance", system),
        f"{x.framing_share:.0%}" if x.framing_share else "",
        "" if x.inner_C is None else quantity(x.inner_C, "temperature", system),
    )


def _section(s: Sale, used: UsedAssembly, system: str) -> Drawn:
    from heatcalc.report.assembly_figures import section

    indoor, cold = s.sized.house.set_points.heating, s.sized.designer.conditions.heating_C
    key = "".join(c if c.isalnum() else "-" for c in used.answer.name)
    says = (
        f"Layers to scale from inside to outside, with temperatures from {quantity(indoor, 'temperature', system)} indoors to "
        f"{quantity(cold, 'temperature', system)} outdoors"
    )
    return Drawn(f"section-{key}", used.answer.name, says + ".", lambda: section(used.answer, indoor, cold, None, system))
