"""Papers for the owner and the buyer: how to live in the house, and the summary that goes with the quote."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.answers.sale.sale_answer import Sale
from heatcalc.answers.year.outage import CAUTIONS as CUT_CAUTIONS
from heatcalc.answers.year.outage import HEAT_CAUTIONS, LOW_SET_C
from heatcalc.judge.plan import Plan
from heatcalc.model.comfort import DryingCase
from heatcalc.model.outdoor_air import Leakage
from heatcalc.report.about_shop import fan_flow, paper, table
from heatcalc.report.about_year import pipe_words
from heatcalc.report.promise_words import NOT_PROMISED, amount, capital, degrees, falls, promise_lines, summer_lines
from heatcalc.report.report import Caution, Chapter, Report, Tick, bullets, chapter
from heatcalc.report.run_load_figures import cut_drawn
from heatcalc.report.table import Cell, Column, Table, table_of
from heatcalc.wording import USD, Q, Said, mark, worded

PRICES = (Column("item"), Column("price", unit=mark(USD), decimals=0, missing="", signed=True))
PLAIN_DAYS = {"design cold": "coldest nights", "hot design day": "hottest days", "mean day of the dampest month": "dampest month"}
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


def owner_paper(s: Sale) -> Report:
    """Heat, humidity, fans, defrost, freezing, moving; in a hot place the heat first."""
    heat = chapter("Heat in summer", *summer_lines(s.buyer), *bullets(HEAT_CAUTIONS, Caution))
    damp = chapter("Damp air in summer", *(_drying(d) for d in s.drying))
    hot = s.buyer.promise.mainly_cools
    return paper(
        s,
        "owner",
        "Living in the house",
        *((heat, damp, _winter(s)) if hot else (_winter(s), damp)),
        chapter("Fresh air", *_fans(s)),
        chapter("Heat pump and ice", *DEFROST),
        chapter("Power cuts and freezing", *_freeze(s), cut_drawn(s.buyer)),
        None if hot else heat,
        chapter("Before and after a move", *bullets(MOVING, Tick)),
        chapter("Cautions", *bullets(OWNER_CAUTIONS, Caution)),
    )


def _winter(s: Sale) -> Chapter | None:
    table = table_of(
        "damp",
        s.winter,
        (Column("outdoors"), lambda day: PLAIN_DAYS.get(day[0], day[0])),
        (Column("temperature", "temperature"), lambda day: day[1]),
        (Column("humidity indoors", "fraction"), lambda day: day[2].relative),
        (Column("water settles below", "temperature"), lambda day: day[2].dew_point_C),
        (Column("wet surfaces"), lambda day: ", ".join(c.name for c in day[2].surfaces if not c.dry) or "none"),
        (Column("air that keeps all dry", "air flow"), lambda day: _driest(day[2].driest_flow_m3_s)),
        title="Computed for the household described",
    )
    water = Q(s.winter[0][2].generation_kg_s * 86400.0, "mass")
    return chapter(
        "Damp air in winter",
        worded("Breathing, cooking and showers set free about {} of water a day here; it leaves with the air.", water),
        "Water on the glass: wipe it, cover pots, dry no clothes indoors, use bath fan and hood; the whole-house fan stays on.",
        table,
    )


def _driest(flow_m3_s: float) -> Cell:
    return flow_m3_s if flow_m3_s < 1 else "cannot"


def _drying(d: DryingCase) -> Said:
    """What the heat pump does alone, and the dehumidifier that holds the target."""
    name = capital(PLAIN_DAYS.get(d.name, d.name))
    target, short = d.need.target_relative, d.need.shortfall_kg_s
    if short <= 0:
        return f"{name}: the heat pump takes out enough water to hold {target:.0%} relative humidity."
    level = "about as damp as outdoors" if d.settles_at > 0.95 else f"near {d.settles_at:.0%}"
    words = "{}: the heat pump alone leaves it {}; holding {:.0%} takes a dehumidifier of about {}."
    return worded(words, name, level, target, Q(short, "water a day"))


def _fans(s: Sale) -> Iterator[Said]:
    kind = s.sized.house.ventilation.kind
    if kind == "none":
        yield "No whole-house fan is described: open windows, every day, in every season."
        return
    dryer = ": the dehumidifier takes it out" if s.sized.plan.dehumidifier_W else ""
    heats = f"The heat pump heats in about {float(s.buyer.run.load.year.hours['heating']):,.0f} hours a year"
    leave = "The fan ({}) moves {} day and night: leave it on, all year. Clean its grille every season."
    yield worded(leave, kind, fan_flow(s))
    yield _fan_off(s)
    yield f"In a damp summer it brings damp air in, too{dryer}; switching the fan off is not the cure."
    yield f"{heats}; its own fan brings no fresh air. Clean its filter every month."
    yield "Use the bath fan during a shower and half an hour after, the hood whenever you cook."


def _fan_off(s: Sale) -> str:
    """What switching it off does to the air indoors in winter, case by case the worst first."""
    pairs = zip(s.winter, s.fan_off, strict=True)
    (_, _, on), (name, _, off) = max(pairs, key=lambda pair: pair[1][2].relative - pair[0][2].relative)
    wet = [c.name for c in off.surfaces if not c.dry and c.name not in {x.name for x in on.surfaces if not x.dry}]
    more = f" and water would settle on {', '.join(wet)}" if wet else ""
    when = PLAIN_DAYS.get(name, name)
    level = "grow as damp as air can be" if off.relative > 0.95 else f"come to {off.relative:.0%} humidity"
    return f"Switched off in the {when}, the air indoors would in time {level}, instead of {on.relative:.0%}{more}."


def _freeze(s: Sale) -> Iterator[Said]:
    cut = s.buyer.cut
    yield worded("On the coldest night ({}) without power, nobody home: {}.", degrees(cut.night_mean_C), falls(cut.empty))
    yield worded("With {} at home: {}.", s.sized.house.living.people, falls(cut.people))
    yield worded("Water lines then freeze {}.", pipe_words(cut.empty))
    away = "Away in winter: drain the water, or keep at least {} and have someone look in."
    yield worded(away, degrees(LOW_SET_C))
    yield from CUT_CAUTIONS


def quote_paper(s: Sale) -> Report:
    """The summary that goes with a quote; prices are the builder's to fill in."""
    signed = "No offer until signed by the builder. For information: local codes, manuals and licensed practice decide."
    meter = table("meter", "A year of heat, cold and fresh air", ("", "about", "likely range"), _meter(s))
    return paper(
        s,
        "quote",
        "Quote summary",
        chapter("What is offered", table("offered", "House and equipment", ("item", "what"), _items(s))),
        chapter("What may be promised", *promise_lines(s.buyer), NOT_PROMISED),
        chapter("What you will see on the meter", meter),
        chapter("Price", Table("price", "To be filled in by the builder", PRICES, tuple(_priced(s)))),
        chapter("Before ordering", *bullets(tuple(_before(s)), Tick), Caution(signed)),
        buyer=s.case.buyer,
    )


def _items(s: Sale) -> Iterator[tuple[str, Said]]:
    house, model, unit = s.sized.house, s.sized.designer.model, s.buyer.run.candidate.unit
    plan, size = s.sized.plan, (Q(x, "length") for x in (house.body.length, house.body.width))
    yield "model", worded("{}, {} x {}, {} inside, {}", house.name, *size, Q(model.floor_area_m2, "area"), house.built_as)
    yield "package", house.package or "as described"
    yield "shell", ", ".join(f"{kind}: {getattr(house.assemblies, kind)}" for kind in ("wall", "roof", "floor", "window", "door"))
    yield "colours", f"siding {house.colours.siding}, roof {house.colours.roof}"
    yield "below the floor", house.below.kind
    yield "heat pump", f"{unit.name}, {unit.volts:.0f} V{', generic class: replace by a product' if unit.generic else ''}"
    yield "backup heat", f"{plan.heater_W / 1000:.1f} kW, for {plan.heater_for}" if plan.heater_W else "none needed"
    yield "fresh air", worded("{}, {}", house.ventilation.kind, fan_flow(s))
    dryer = f"{plan.dehumidifier_pints_day:.0f} pints a day, {plan.dehumidifier_W:.0f} W"
    yield "dehumidifier", dryer if plan.dehumidifier_W else "none needed"
    yield "supply", _supply(plan, house.supply.cord)
    yield "tightness", _tightness(model.air.leakage)


def _supply(p: Plan, own: str) -> str:
    """The plan's supply beside the one described."""
    if p.supply_carried:
        return f"{own}; the smallest that carries it: {p.supply}"
    return f"{p.supply or 'none listed'}, as the {own} described does not carry it"


def _tightness(shell: Leakage) -> str:
    """The fan test's figure in words, and whether it was measured."""
    known = "as stated by the builder" if shell.measured else "assumed, not measured"
    return f"{shell.ach50:.1f} changes of the indoor air an hour in a fan test at 50 Pa (ACH50), {known}"


def _meter(s: Sale) -> Iterator[tuple[str, ...]]:
    b = s.buyer
    low, high = b.band.year_kWh
    cost, cheap, dear = (amount(b, x) for x in (b.run.money.year_cost, *b.band.year_cost))
    yield "electricity", f"{b.run.load.year_kWh:,.0f} kWh", f"{low:,.0f} to {high:,.0f} kWh"
    yield "cost", cost, f"{cheap} to {dear}"


def _priced(s: Sale) -> Iterator[tuple[str, float | None]]:
    """What is priced; only the package's price is known, where the house file has it."""
    p, package, added = s.sized.plan, s.sized.house.package, s.case.package_price
    if added is None:
        yield "house with package" if package else "house", None
    else:
        yield from (("house", None), (f"package {package}", added))
    yield "heat pump, installed", None
    if p.heater_W:
        yield "backup heat, installed", None
    if p.dehumidifier_W:
        yield "dehumidifier", None
    yield from (("delivery", None), ("total", None))


def _before(s: Sale) -> Iterator[str]:
    if s.buyer.run.candidate.unit.generic:
        yield "Replace the generic heat pump by a product's own table and compute again."
    if not s.sized.designer.model.air.leakage.measured:
        yield "Test the finished house with a fan and compute again."
    if watts := s.sized.plan.heater_W:
        yield f"Choose the second heater of {watts / 1000:.1f} kW, with its circuit and its place on the supply."
    yield "Name the code and the authority that decide at the place."
    yield "Have the supply and circuits checked by an electrician."
    yield "Check the refrigerant charge against the unit's manual for the smallest closed room."
