"""What may be promised of a run load, and where its price, carbon and weather come from, sentence by sentence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from heatcalc.answers.sale.band import COMMON
from heatcalc.answers.sale.buyer import Buyer, Promise
from heatcalc.answers.year.outage import Cooldown
from heatcalc.inputs.place.place_rows import season_text
from heatcalc.inputs.supply.supply_record import in_canada
from heatcalc.report.about_size import SUMMER, keeps_cool
from heatcalc.report.report import named, stamped
from heatcalc.supply.money import fixed_charges, propane_of
from heatcalc.wording import Q, Said, joined, money, price_of_kWh, worded

NO_PRICE = "no price"
LIKELY = (
    "Likely: about two of three such houses and households lie within. Each input is moved as far as is usual, alone, "
    "through the year; the swings are joined as independent. The year is a typical one of the record: milder and harsher "
    "years, and cold or heat beyond the record, lie outside. The swings:"
)
WHY_THEN = "the sun on the walls and glass peaks at another hour than the air"
NOT_PROMISED = (
    "Not promised: comfort with doors or windows open, wind or cold beyond the climate record, a frosted or snowed-in "
    "outdoor unit, a weak park supply, and the time after a power cut."
)


def degrees(C: float | None) -> Q:
    """A temperature in a sentence."""
    return Q(C, "temperature")


def heading(b: Buyer) -> tuple[str, ...]:
    """Which house, which unit, where."""
    house, place, unit = b.sized.house, b.sized.place, b.run.candidate.unit
    kind = "a generic class, not a product" if unit.generic else "by its own table"
    return f"{named(house)}, in {place.name}", f"Heat pump {unit.name}: {kind}, {unit.volts:.0f} V"


def stamp_of(b: Buyer) -> str:
    """What stands on each of its figures."""
    return stamped(b.sized.place, b.sized.house.name)


def promise_lines(b: Buyer) -> tuple[Said, ...]:
    """The promise box, sentence by sentence; in a place of heat the summer first."""
    p = b.promise
    verdict = [worded("Verdict: {}; {}.", p.plan.verdict, p.why_not)] if p.why_not else []
    winter, (summer, hot_cut) = [_holds(p), worded("{} {}", _then(p), _stands(p))], summer_lines(b)
    first = [summer, *winter] if p.mainly_cools else [*winter, summer]
    return *verdict, *first, _cord(p), _meter(b), worded("{} {}", _outage(b), hot_cut)


def _holds(p: Promise) -> Said:
    plan = p.plan
    if plan.held_C is None:
        return "The plan does not hold the set point here."
    what = f"the heat pump and a second heater of {plan.heater_W / 1000:.1f} kW" if plan.heater_W else "the heat pump alone"
    words = "Holds {} down to {} outdoors with {}, in {:.0f} of 100 houses built so ({} by the plain sum)."
    at = degrees(p.indoor_C), degrees(plan.held_C)
    return worded(words, *at, what, plan.sure * 100, degrees(plan.held_paper_C or plan.held_C))


def _then(p: Promise) -> Said:
    often = f"about {_hours(p.colder_h)}" if p.colder_h else "no hour"
    return worded("Colder than that in {} of {} (the coldest hour is {}).", often, _year(p), degrees(p.coldest_outdoor_C))


def _warm(p: Promise) -> Said:
    """How often it is hotter, and how warm it gets indoors then."""
    warm = f"about {_hours(p.too_warm_h)} indoors are" if p.too_warm_h >= 0.5 else "no hour indoors is"
    often = f"in about {_hours(p.hotter_h)}" if p.hotter_h else "in no hour"
    if p.hot_held_C is None:
        words = "The hottest hour of {} is {}; {} too warm, the warmest at {}."
        return worded(words, _year(p), degrees(p.hottest_outdoor_C), warm, degrees(p.hottest_indoor_C))
    words = "Hotter {} of {} (the hottest is {}); {} too warm, the warmest at {}."
    return worded(words, often, _year(p), degrees(p.hottest_outdoor_C), warm, degrees(p.hottest_indoor_C))


def summer_lines(b: Buyer) -> tuple[Said, Said]:
    """The summer's half of the promise, and a power cut then."""
    p, cut = b.promise, b.hot_cut
    rises = list(_reached(cut.hours_to))
    rest = worded("not above {} in three days", degrees(cut.hottest_C))
    words = worded("indoors {}", joined(", ", rises)) if rises else rest
    at = "On the hottest day ({}), people home and windows shut: {}."
    cool = keeps_cool(p.cooling_C, p.hot_held_C, p.hot_held_paper_C, p.plan.sure)
    return worded("{} {}", cool, _warm(p)), worded(at, degrees(cut.day_mean_C), words)


def _year(p: Promise) -> str:
    """Of which time the hours of a promise are."""
    return "a typical year" if len(p.months) == 12 else f"a typical {season_text(p.months)}"


def _hours(count: float) -> str:
    return "1 hour" if round(count) == 1 else f"{count:,.0f} hours"


def _stands(p: Promise) -> Said:
    """Hours in which the unit stands still, what carries the house then, and how cold it gets indoors."""
    felt = p.too_cold_h >= 0.5
    are = "is" if round(p.too_cold_h) == 1 else "are"
    cold = f"about {_hours(p.too_cold_h)} indoors {are}" if felt else "no hour indoors is"
    play = "" if felt else " by more than a thermostat lets it drift"
    frost = ", where water freezes" if p.coldest_indoor_C <= 0.0 else ""
    used = f"The second heater takes about {p.backup_kWh:,.0f} kWh a year. " if p.backup_W else ""
    often = f"about {_hours(p.standing_h)}; " if p.standing_h else f"in no hour of {_year(p)}: "
    carried = "then the second heater carries the house: " if p.standing_h and p.plan.heater_alone else ""
    words = "{}The heat pump stops below {}, {}{} below the set point{}, the coldest at {}{}."
    indoors = cold, play, degrees(p.coldest_indoor_C), frost
    return worded(words, used, degrees(p.lowest_C), often + carried, *indoors)


def _cord(p: Promise) -> str:
    if not p.plugs_in:
        return f"Does not run from a {p.cord} cord: the heat pump needs 240 V; {_other_supply(p)}."
    *most, last = p.cord_loads
    together = f"{', '.join(most)} and {last} together" if most else last
    if p.cord_passes:
        return f"Runs from one {p.cord} cord: {together} take {p.cord_reason}. See the circuit list for what may run beside them."
    return f"A {p.cord} cord does not carry {together} ({p.cord_reason}); {_other_supply(p)}."


def _other_supply(p: Promise) -> str:
    heater = ", the second heater too" if p.backup_W else ""
    return f"a {p.smallest_cord} supply carries it{heater}" if p.smallest_cord else f"no supply listed here carries it{heater}"


def _meter(b: Buyer) -> str:
    (low, high), cost = b.band.year_kWh, [amount(b, x) for x in (b.run.money.year_cost, *b.band.year_cost)]
    words = "Heat, cold and fresh air take about {:,.0f} kWh a year (likely {:,.0f} to {:,.0f}), about {} (likely {} to {}){}."
    stays = "" if len(b.promise.months) == 12 else ", if it stood there all year"
    return words.format(b.run.load.year_kWh, low, high, *cost, stays)


def _outage(b: Buyer) -> Said:
    words = "In a power cut on the coldest night ({}) with nobody home: {}."
    return worded(words, degrees(b.cut.night_mean_C), falls(b.cut.empty))


def falls(down: Cooldown) -> Said:
    """Hours to each limit, in words, and the first limit that is not reached."""
    found = list(_reached(down.hours_to))
    if not found:
        return worded("not below {} in ten days", degrees(down.coldest_C))
    spared = [limit for limit, hours in down.hours_to if hours is None]
    rest = worded(", but not to {} in ten days", degrees(spared[0])) if spared else ""
    return worded("indoors {}{}", joined(", ", found), rest)


def _reached(hours_to: Iterable[tuple[float, float | None]]) -> Iterator[Said]:
    """Each limit that is reached, and when."""
    for limit, hours in hours_to:
        if hours is not None:
            yield worded("{} after {}", degrees(limit), f"{hours:.1f} hours" if hours < 24 else f"{hours / 24:.1f} days")


def amount(b: Buyer, of: float) -> str:
    """An amount of the run load in whole units of its tariff's currency."""
    return money(of, b.run.money.currency)


def in_kilograms(b: Buyer) -> bool:
    """Whether CO2 is said in kilograms whatever the reader's units: it is in Canada."""
    return in_canada(b.sized.place.state)


def carbon(b: Buyer, kg: float, decimals: int = 0) -> Said:
    """A mass of CO2 in the unit of the reader's country."""
    mass = Q(kg, "mass", decimals)
    return mass.said("si") if in_kilograms(b) else worded("{}", mass)


def price_line(b: Buyer) -> str:
    """Where the price comes from."""
    t = b.run.money.tariff
    own, charge = t.currency, float(fixed_charges(t).mean())
    fixed = f" A fixed charge of {money(charge, own, 2)} a month comes on top." if charge else ""
    fixed += f" A month costs {money(t.minimum_charge, own, 2)} at least." if t.minimum_charge else ""
    fixed += f" Taxes of {t.tax:.1%} are in the cost." if t.tax else ""
    return f"{average_line(b)} {price_source(b)}{fixed}"


def average_line(b: Buyer) -> str:
    """What a kWh costs on average."""
    each = price_of_kWh(b.run.mean_price, b.run.money.currency)
    return f"Price: {each} on average; cost is what heat, cold and air add to the bill."


def price_source(b: Buyer) -> str:
    """Whose price it is."""
    return f"Tariff: {_plain(b.run.money.whole.assumption)}; {b.run.money.why}."


def carbon_line(b: Buyer) -> Said:
    """CO2 of the run load."""
    c = b.carbon
    rate = carbon(b, c.rate_kg_per_kWh, 2 if c.rate_kg_per_kWh >= 0.05 else 4)
    words = "CO2: about {} a year at {} a kWh, the average of the grid region {} in {} ({})."
    return worded(words, carbon(b, c.kg), rate, c.subregion, c.year, _plain(c.source))


def rest_line(b: Buyer) -> str:
    """The rest of the house, which is on the same meter, and its propane."""
    load, bill = b.run.load, b.run.money
    water, kWh = load.hot_water_kWh, float(load.rest_W.sum()) / 1000.0
    gas = propane_of(bill.tariff, b.sized.place.state)
    burn = load.propane_kWh / gas.kWh
    rest = f"Refrigerator, lights, cooking and the like take about {kWh - water:,.0f} kWh a year as assumed for this household"
    hot = f", hot water about {water:,.0f} kWh" if water else ""
    burnt = f" Propane for water or cooking: about {burn:,.0f} {gas.unit} a year, not in this cost." if burn else ""
    return f"{rest}{hot}; the whole house then pays about {amount(b, bill.whole.year_cost)} a year.{burnt}"


def weather_line(b: Buyer) -> Said:
    """Which weather, and how far it can be trusted."""
    y = b.run.load.year
    stands = "the house standing each of four ways, averaged" if len(y.ways) > 1 else f"front to the {y.ways[0].front_faces}"
    return worded("Weather: {}; {}; {}.", y.weather_source, joined("; ", y.weather_report), stands)


def swing_line(b: Buyer) -> Said:
    """The same as one sentence; the usual reason is said once."""
    each = (
        worded(
            "{}, {}: {:,.0f} to {:,.0f} kWh{}", capital(s.name), s.how_far, *s.year_kWh, "" if s.why == COMMON else f" ({s.why})"
        )
        for s in b.band.swings
    )
    return worded("{}. Where no source stands, how far is {}.", joined("; ", each), COMMON)


def sure_lines(b: Buyer) -> tuple[Said, ...]:
    """How sure the run load is, and which weather it is for."""
    return LIKELY, swing_line(b), SUMMER, weather_line(b)


def about_lines(b: Buyer) -> tuple[Said, ...]:
    """Sources, what makes the likely range, and what is not promised."""
    return price_source(b), fuel_line(b), *(sure_lines(b)[k] for k in (3, 0, 1, 2))


def fuel_caption(b: Buyer) -> str:
    """The comparison's headline with the dates of its prices, which are not of one year."""
    of_power = b.run.money.tariff.year or "the tariff given"
    gas = propane_of(b.run.money.tariff, b.sized.place.state)
    of_gas = f", propane of {gas.dated}" if gas.price is not None else ", propane without a price"
    return f"The same heat from another source (electricity at prices of {of_power}{of_gas})"


def fuel_line(b: Buyer) -> Said:
    """What was assumed of each source."""
    return worded("{}.", capital("; ".join(f"{f.name}: {f.assumption}" for f in b.fuels)))


def _plain(source: str) -> str:
    """A source without the mark that says how it was seen."""
    return source.split(" (in print")[0]


def capital(words: Said) -> Said:
    """The first letter large."""
    if isinstance(words, str):
        return words[:1].upper() + words[1:]
    first, *rest = words.pieces
    return type(words)(capital(first) if isinstance(first, str) else first, *rest)
