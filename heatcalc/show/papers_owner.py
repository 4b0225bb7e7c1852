"""Papers for the owner and the buyer: how to live in the house, and the summary that goes with the quote."""

from __future__ import annotations

from heatcalc.answers.sale.buyer import Promise
from heatcalc.answers.sale.sale_answer import Sale
from heatcalc.answers.year.outage import CAUTIONS as CUT_CAUTIONS
from heatcalc.answers.year.outage import HEAT_CAUTIONS
from heatcalc.judge.plan import Plan
from heatcalc.model.comfort import DryingCase
from heatcalc.model.outdoor_air import Leakage
from heatcalc.report.about_year import pipe_words
from heatcalc.show.papers_block import Block, Paper
from heatcalc.show.run_load_figures import cut_drawn
from heatcalc.show.run_load_text import amount, falls, heading, not_promised, promise_lines, summer_lines
from heatcalc.show.words import quantity
from heatcalc.wording import more_money

PLAIN_DAYS = {"design cold": "coldest nights", "hot design day": "hottest days", "mean day of the dampest month": "dampest month"}
PINT_KG = 0.4732  # a US pint of water
MOVING = (
    "A certified technician pumps the refrigerant down, or isolates it, before the road, as the unit's manual says.",
    "Support line set, outdoor unit and bracket; lash the fan.",
    "Turn off water, drain lines, traps and heater; open the taps.",
    "Close propane at the cylinders; disconnect the cord; stow it dry.",
    "Empty shelves, latch doors, drawers, refrigerator and windows.",
    "After the move: level the house, check ceiling and wall seams for new cracks, seal them.",
    "Leak test of the refrigerant joints, check of the condensate drain, before the heat pump runs.",
    "Test smoke, carbon monoxide and gas alarms; test the ground-fault devices.",
    "Put skirting back with its vents; clear the outdoor unit on every side.",
)
DEFROST = (
    "Ice and steam on the outdoor unit in wet cold are normal: every half hour to hour and a half it thaws itself for 3 to "
    "10 minutes and gives no heat meanwhile (common practice, no source).",
    "Ice that grows from day to day is not normal: a drain hole or the pan heater has failed. Switch off, call, never chip it.",
    "Keep the unit above the snow and away from roof drip.",
)
OWNER_CAUTIONS = (
    "Sealed or vented flames only; a carbon monoxide alarm that works, low gas detector and smoke alarms.",
    "The range hood can pull a flue's smoke back into a tight house: open a window while it runs beside a stove.",
    "For information: the makers' manuals, local codes and licensed practice decide.",
)


def owner_paper(s: Sale, system: str) -> Paper:
    """Heat, humidity, fans, defrost, freezing, moving; in a hot place the heat first."""
    hot = s.buyer.promise.mainly_cools
    return Paper(
        "owner",
        "Living in the house",
        tuple(heading(s.buyer, system)),
        (
            *((_heat(s, system), _summer(s, system), _winter(s, system)) if hot else (_winter(s, system), _summer(s, system))),
            _fans(s, system),
            Block("Heat pump and ice", DEFROST),
            _freeze(s, system),
            *(() if hot else (_heat(s, system),)),
            Block("Before and after a move", ticks=MOVING),
            Block("Cautions", cautions=OWNER_CAUTIONS),
        ),
    )


def _winter(s: Sale, system: str) -> Block:
    rows = []
    for name, outdoor, w in s.winter:
        wet = [c.name for c in w.surfaces if not c.dry]
        rows.append(
            (
                PLAIN_DAYS.get(name, name),
                quantity(outdoor, "temperature", system),
                f"{w.relative:.0%}",
                quantity(w.dew_point_C, "temperature", system),
                ", ".join(wet) or "none",
                quantity(w.driest_flow_m3_s, "air flow", system) if w.driest_flow_m3_s < 1 else "cannot",
            )
        )
    water = s.winter[0][2].generation_kg_s * 86400.0
    lines = (
        f"Breathing, cooking and showers set free about {quantity(water, 'mass', system)} of water a day here; it "
        "leaves with the air.",
        "Water on the glass: wipe it, cover pots, dry no clothes indoors, use bath fan and hood; the whole-house fan stays on.",
    )
    return Block(
        "Damp air in winter",
        lines,
        "Computed for the household described",
        ("outdoors", "temperature", "humidity indoors", "water settles below", "wet surfaces", "air that keeps all dry"),
        tuple(rows),
        (1, 2, 3, 5),
    )


def _summer(s: Sale, system: str) -> Block:
    return Block("Damp air in summer", tuple(_drying(d, system) for d in s.drying))


def _heat(s: Sale, system: str) -> Block:
    """The summer's promise, a cut on the hottest day, and heat illness."""
    return Block("Heat in summer", summer_lines(s.buyer, system), cautions=HEAT_CAUTIONS)


def _drying(d: DryingCase, system: str) -> str:
    """What the heat pump does alone, and the dehumidifier that holds the target."""
    name = PLAIN_DAYS.get(d.name, d.name)
    name = f"{name[:1].upper()}{name[1:]}"
    target, short = d.need.target_relative, d.need.shortfall_kg_s * 86400.0
    if short <= 0:
        return f"{name}: the heat pump takes out enough water to hold {target:.0%} relative humidity."
    pints, litres = f"{short / PINT_KG:.0f} pints", f"{short:.1f} litres"
    amount = {"ip": pints, "si": litres}.get(system, f"{pints} ({litres})")
    level = "about as damp as outdoors" if d.settles_at > 0.95 else f"near {d.settles_at:.0%}"
    return f"{name}: the heat pump alone leaves it {level}; holding {target:.0%} takes a dehumidifier of about {amount} a day."


def _fans(s: Sale, system: str) -> Block:
    air, kind = s.sized.designer.model.air, s.sized.house.ventilation.kind
    if kind == "none":
        return Block("Fresh air", ("No whole-house fan is described: open windows, every day, in every season.",))
    flow = quantity(air.balanced_m3_s + air.unbalanced_m3_s, "air flow", system)
    kWh = float(s.buyer.run.load.year.hours["heating"])
    dryer = ": the dehumidifier takes it out" if s.sized.plan.dehumidifier_W else ""
    return Block(
        "Fresh air",
        (
            f"The fan ({kind}) moves {flow} day and night: leave it on, all year. Clean its grille every season.",
            _fan_off(s),
            f"In a damp summer it brings damp air in, too{dryer}; switching the fan off is not the cure.",
            f"The heat pump heats in about {kWh:,.0f} hours a year; its own fan brings no fresh air. Clean its filter "
            "every month.",
            "Use the bath fan during a shower and half an hour after, the hood whenever you cook.",
        ),
    )


def _fan_off(s: Sale) -> str:
    """What switching it off does to the air indoors in winter, case by case the worst first."""
    (_, _, on), (name, _, off) = max(
        zip(s.winter, s.fan_off, strict=True), key=lambda pair: pair[1][2].relative - pair[0][2].relative
    )
    wet = [c.name for c in off.surfaces if not c.dry and c.name not in {x.name for x in on.surfaces if not x.dry}]
    more = f" and water would settle on {', '.join(wet)}" if wet else ""
    when = PLAIN_DAYS.get(name, name)
    level = "grow as damp as air can be" if off.relative > 0.95 else f"come to {off.relative:.0%} humidity"
    return f"Switched off in the {when}, the air indoors would in time {level}, instead of {on.relative:.0%}{more}."


def _freeze(s: Sale, system: str) -> Block:
    night = quantity(s.buyer.cut.night_mean_C, "temperature", system)
    low = quantity((45.0 - 32.0) / 1.8, "temperature", system)
    people = s.sized.house.living.people
    lines = (
        f"On the coldest night ({night}) without power, nobody home: {falls(s.buyer.cut.empty, system)}.",
        f"With {people} home: {falls(s.buyer.cut.people, system)}.",
        f"Water lines then freeze {pipe_words(s.buyer.cut.empty)}.",
        f"Away in winter: drain the water, or keep at least {low} and have someone look in.",
        *CUT_CAUTIONS,
    )
    return Block("Power cuts and freezing", lines, figure=cut_drawn(s.buyer, system))


def quote_paper(s: Sale, system: str) -> Paper:
    """The summary that goes with a quote; prices are the builder's to fill in."""
    return Paper(
        "quote",
        "Quote summary",
        (*([f"For {s.case.buyer}"] if s.case.buyer else []), *heading(s.buyer, system)),
        (
            Block("What is offered", (), "House and equipment", ("item", "what"), tuple(_items(s, system))),
            Block("What may be promised", (*promise_lines(s.buyer, system), not_promised())),
            Block(
                "What you will see on the meter",
                (),
                "A year of heat, cold and fresh air",
                ("", "about", "likely range"),
                _meter(s),
                (1, 2),
            ),
            Block("Price", (), "To be filled in by the builder", ("item", "price"), tuple(_priced(s)), (1,)),
            Block(
                "Before ordering",
                ticks=_before(s),
                cautions=(
                    "No offer until signed by the builder. For information: local codes, manuals and licensed practice decide.",
                ),
            ),
        ),
    )


def _items(s: Sale, system: str) -> list[tuple[str, str]]:
    house, model, unit = s.sized.house, s.sized.designer.model, s.buyer.run.candidate.unit
    body = " x ".join(quantity(x, "length", system) for x in (house.body.length, house.body.width))
    colours = f"siding {house.colours.siding}, roof {house.colours.roof}"
    shell = ", ".join(f"{kind}: {getattr(house.assemblies, kind)}" for kind in ("wall", "roof", "floor", "window", "door"))
    return [
        ("model", f"{house.name}, {body}, {quantity(model.floor_area_m2, 'area', system)} inside, {house.built_as}"),
        ("package", house.package or "as described"),
        ("shell", shell),
        ("colours", colours),
        ("below the floor", house.below.kind),
        ("heat pump", f"{unit.name}, {unit.volts:.0f} V{', generic class: replace by a product' if unit.generic else ''}"),
        ("backup heat", _backup(s.buyer.promise, system)),
        (
            "fresh air",
            f"{house.ventilation.kind}, {quantity(model.air.balanced_m3_s + model.air.unbalanced_m3_s, 'air flow', system)}",
        ),
        ("dehumidifier", _dehumidifier(s.sized.plan)),
        ("supply", _supply(s.sized.plan, house.supply.cord)),
        ("tightness", _tightness(model.air.leakage)),
    ]


def _backup(p: Promise, system: str) -> str:
    return f"{p.backup_W / 1000:.1f} kW, for {p.plan.heater_for}" if p.backup_W else "none needed"


def _dehumidifier(p: Plan) -> str:
    return f"{p.dehumidifier_pints_day:.0f} pints a day, {p.dehumidifier_W:.0f} W" if p.dehumidifier_W else "none needed"


def _supply(p: Plan, own: str) -> str:
    """The plan's supply beside the one described."""
    if p.supply_carried:
        return f"{own}; the smallest that carries it: {p.supply}"
    return f"{p.supply or 'none listed'}, as the {own} described does not carry it"


def _tightness(shell: Leakage) -> str:
    """The fan test's figure in words, and whether it was measured."""
    known = "as stated by the builder" if shell.measured else "assumed, not measured"
    return f"{shell.ach50:.1f} changes of the indoor air an hour in a fan test at 50 Pa (ACH50), {known}"


def _meter(s: Sale) -> tuple[tuple[str, ...], ...]:
    b = s.buyer
    return (
        ("electricity", f"{b.run.load.year_kWh:,.0f} kWh", f"{b.band.year_kWh[0]:,.0f} to {b.band.year_kWh[1]:,.0f} kWh"),
        ("cost", amount(b, b.run.money.year_cost), f"{amount(b, b.band.year_cost[0])} to {amount(b, b.band.year_cost[1])}"),
    )


def _priced(s: Sale) -> list[tuple[str, str]]:
    """What is priced; only the package's price is known, where the house file has it."""
    p, package = s.buyer.promise, s.sized.house.package
    added = s.case.package_price
    known = [("house", ""), (f"package {package}", more_money(added or 0.0))]
    house = [("house with package" if package else "house", "")] if added is None else known
    backup = [("backup heat, installed", "")] if p.backup_W else []
    dryer = [("dehumidifier", "")] if p.plan.dehumidifier_W else []
    return [*house, ("heat pump, installed", ""), *backup, *dryer, ("delivery", ""), ("total", "")]


def _before(s: Sale) -> tuple[str, ...]:
    unit = s.buyer.run.candidate.unit
    generic = ("Replace the generic heat pump by a product's own table and compute again.",) if unit.generic else ()
    tight = () if s.sized.designer.model.air.leakage.measured else ("Test the finished house with a fan and compute again.",)
    p = s.buyer.promise
    heater = (
        (f"Choose the second heater of {p.backup_W / 1000:.1f} kW, with its circuit and its place on the supply.",)
        if p.backup_W
        else ()
    )
    return (
        *generic,
        *tight,
        *heater,
        "Name the code and the authority that decide at the place.",
        "Have the supply and circuits checked by an electrician.",
        "Check the refrigerant charge against the unit's manual for the smallest closed room.",
    )
