"""The run load in plain words and tables, for page, spreadsheet and notebook alike."""

from __future__ import annotations

from heatcalc.answers.sale.band import COMMON
from heatcalc.answers.sale.buyer import HOT_SHARE, Buyer, Promise
from heatcalc.answers.year.outage import Cooldown
from heatcalc.inputs.supply.supply_record import in_canada
from heatcalc.judge.metered_year import USES
from heatcalc.show.words import quantity
from heatcalc.supply.money import fixed_charges, propane_of
from heatcalc.wording import MONTHS, joined, money, more_money, price_of_kWh, said, worded

CHANGE_HEAD = ("change", "heating", "cooling", "all", "money")
FUEL_HEAD = ("source", "bought a year", "cost", "CO2")
SWING_HEAD = ("what", "how far", "year, kWh", "why that far")
NO_PRICE = "no price"
LEAST_KWH = 0.5  # of a year: less is not shown
SUMMER = f"The summer's chance takes load and cooling together to be off by {HOT_SHARE:.0%}: own choice, not measured."
LIKELY = (
    "Likely: about two of three such houses and households lie within. Each input is moved as far as is usual, alone, "
    "through the year; the swings are joined as independent. The year is a typical one of the record: milder and harsher "
    "years, and cold or heat beyond the record, lie outside. The swings:"
)
WHY_THEN = "the sun on the walls and glass peaks at another hour than the air"
HOUSE_WORDS = {
    "heating": "heating",
    "cooling": "cooling",
    "backup": "backup heat",
    "fan and standby": "fan, standby",
    "dehumidifier": "dehumidifier",
}


def heading(b: Buyer, system: str) -> list[str]:
    """Which house, which unit, where."""
    house, place, unit = b.sized.house, b.sized.place, b.run.candidate.unit
    package = f", package {house.package}" if house.package else ""
    note = f" ({house.note})" if house.note else ""
    kind = "a generic class, not a product" if unit.generic else "by its own table"
    return [f"{house.name}{note}{package}, in {place.name}", f"Heat pump {unit.name}: {kind}, {unit.volts:.0f} V"]


def promise_lines(b: Buyer, system: str) -> list[str]:
    """The promise box, sentence by sentence."""
    p = b.promise
    verdict = [f"Verdict: {p.plan.verdict}; {said(p.why_not, system)}."] if p.why_not else []
    winter, summer = (
        [_holds(b, system), f"{_then(b, system)} {_stands(p, system)}"],
        [f"{_keeps_cool(p, system)} {_warm(p, system)}"],
    )
    first = [*summer, *winter] if p.mainly_cools else [*winter, *summer]
    return [*verdict, *first, _cord(b), _meter(b), f"{_outage(b, system)} {_hot_outage(b, system)}"]


def _holds(b: Buyer, system: str) -> str:
    p, plan = b.promise, b.promise.plan
    if plan.held_C is None:
        return "The plan does not hold the set point here."
    what = f"the heat pump and a second heater of {plan.heater_W / 1000:.1f} kW" if plan.heater_W else "the heat pump alone"
    held, paper = (quantity(x, "temperature", system) for x in (plan.held_C, plan.held_paper_C or plan.held_C))
    return (
        f"Holds {quantity(p.indoor_C, 'temperature', system)} down to {held} outdoors with {what}, in {plan.sure * 100:.0f} of "
        f"100 houses built so ({paper} by the plain sum)."
    )


def _then(b: Buyer, system: str) -> str:
    p = b.promise
    coldest = f"the coldest hour is {quantity(p.coldest_outdoor_C, 'temperature', system)}"
    if p.colder_h == 0:
        return f"Colder than that in no hour of a typical year ({coldest})."
    return f"Colder than that in about {_hours(p.colder_h)} of a typical year ({coldest})."


def _keeps_cool(p: Promise, system: str) -> str:
    """The summer's promise: the hottest day that the unit carries at the chance asked for, the plain sum beside it."""
    cool = quantity(p.cooling_C, "temperature", system)
    if p.hot_held_C is None:
        paper = (
            ""
            if p.hot_held_paper_C is None
            else f"; by the plain sum up to {quantity(p.hot_held_paper_C, 'temperature', system)}"
        )
        return f"Does not hold {cool} on the hottest day in {p.plan.sure * 100:.0f} of 100 houses built so{paper}."
    held, paper = (quantity(x, "temperature", system) for x in (p.hot_held_C, p.hot_held_paper_C or p.hot_held_C))
    return (
        f"Holds {cool} up to {held} outdoors on the sunniest days, in {p.plan.sure * 100:.0f} of 100 houses built so "
        f"({paper} by the plain sum)."
    )


def _warm(p: Promise, system: str) -> str:
    """How often it is hotter, and how warm it gets indoors then."""
    outdoors, indoors = (quantity(x, "temperature", system) for x in (p.hottest_outdoor_C, p.hottest_indoor_C))
    warm = f"about {_hours(p.too_warm_h)} indoors are" if p.too_warm_h >= 0.5 else "no hour indoors is"
    often = f"in about {_hours(p.hotter_h)}" if p.hotter_h else "in no hour"
    return f"Hotter {often} of a typical year (the hottest is {outdoors}); {warm} too warm, the warmest at {indoors}."


def summer_lines(b: Buyer, system: str) -> tuple[str, ...]:
    """The summer's half of the promise, and a power cut then."""
    return f"{_keeps_cool(b.promise, system)} {_warm(b.promise, system)}", _hot_outage(b, system)


def _hours(count: float) -> str:
    return "1 hour" if round(count) == 1 else f"{count:,.0f} hours"


def _stands(p: Promise, system: str) -> str:
    """Hours in which the unit stands still, what carries the house then, and how cold it gets indoors."""
    lowest = quantity(p.lowest_C, "temperature", system)
    cold = (
        f"about {_hours(p.too_cold_h)} indoors {'is' if round(p.too_cold_h) == 1 else 'are'}"
        if p.too_cold_h >= 0.5
        else "no hour indoors is"
    )
    frost = ", where water freezes" if p.coldest_indoor_C <= 0.0 else ""
    play = "" if p.too_cold_h >= 0.5 else " by more than a thermostat lets it drift"
    indoors = f"{cold} below the set point{play}, the coldest at {quantity(p.coldest_indoor_C, 'temperature', system)}{frost}"
    used = f"The second heater takes about {p.backup_kWh:,.0f} kWh a year. " if p.backup_W else ""
    if p.standing_h == 0:
        return f"{used}The heat pump stops below {lowest}, in no hour of a typical year: {indoors}."
    carried = "then the second heater carries the house: " if p.plan.heater_alone else ""
    return f"{used}The heat pump stops below {lowest}, about {_hours(p.standing_h)}; {carried}{indoors}."


def _cord(b: Buyer) -> str:
    p = b.promise
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
    low, high = b.band.year_kWh
    cheap, dear = b.band.year_cost
    return (
        f"Heat, cold and fresh air take about {b.run.load.year_kWh:,.0f} kWh a year (likely {low:,.0f} to {high:,.0f}), "
        f"about {amount(b, b.run.money.year_cost)} (likely {amount(b, cheap)} to {amount(b, dear)})."
    )


def _outage(b: Buyer, system: str) -> str:
    night = quantity(b.cut.night_mean_C, "temperature", system)
    return f"In a power cut on the coldest night ({night}) with nobody home: {falls(b.cut.empty, system)}."


def _hot_outage(b: Buyer, system: str) -> str:
    cut = b.hot_cut
    day = quantity(cut.day_mean_C, "temperature", system)
    rises = [f"{quantity(limit, 'temperature', system)} after {hours_text(h)}" for limit, h in cut.hours_to if h is not None]
    words = (
        f"indoors {', '.join(rises)}" if rises else f"not above {quantity(cut.hottest_C, 'temperature', system)} in three days"
    )
    return f"On the hottest day ({day}), people home and windows shut: {words}."


def falls(down: Cooldown, system: str) -> str:
    """Hours to each limit, in words, and the first limit that is not reached."""
    found = [
        f"{quantity(limit, 'temperature', system)} after {hours_text(hours)}"
        for limit, hours in down.hours_to
        if hours is not None
    ]
    if not found:
        return f"not below {quantity(down.coldest_C, 'temperature', system)} in ten days"
    spared = [quantity(limit, "temperature", system) for limit, hours in down.hours_to if hours is None]
    rest = f", but not to {spared[0]} in ten days" if spared else ""
    return f"indoors {', '.join(found)}{rest}"


def hours_text(hours: float) -> str:
    """Hours as a person says them."""
    if hours < 24:
        return f"{hours:.1f} hours"
    return f"{hours / 24:.1f} days"


def amount(b: Buyer, of: float) -> str:
    """An amount of the run load in whole units of its tariff's currency."""
    return money(of, b.run.money.currency)


def month_uses(b: Buyer) -> tuple[str, ...]:
    """The uses that take anything in the year."""
    return tuple(use for use in USES if b.run.load.month_kWh[use].sum() >= LEAST_KWH)


def month_head(b: Buyer) -> tuple[str, ...]:
    """Head of the table by month."""
    return ("month", *(HOUSE_WORDS[use] for use in month_uses(b)), "all", "likely", "cost", "whole house", "whole bill")


def month_rows(b: Buyer) -> list[tuple[str, ...]]:
    """kWh by use and month with the likely range and what it adds to the bill; the whole house and its bill; and the year."""
    kWh, money, uses = b.run.load.month_kWh, b.run.money, month_uses(b)
    each = [
        (
            [float(kWh[u][m]) for u in uses],
            b.band.month_kWh[:, m],
            money.month_cost[m],
            money.whole.energy_kWh[m],
            money.whole.month_cost[m],
        )
        for m in range(12)
    ]
    sums = [float(kWh[use].sum()) for use in uses]
    year = (sums, b.band.year_kWh, money.year_cost, money.whole.year_kWh, money.whole.year_cost)
    return [_kwh_row(b, name, *row) for name, row in zip((*MONTHS, "Year"), (*each, year), strict=True)]


def _kwh_row(b: Buyer, name: str, uses: list[float], likely, cost: float, whole_kWh: float, whole_cost: float) -> tuple[str, ...]:
    kWh = (*(f"{x:,.0f}" for x in uses), f"{sum(uses):,.0f}", f"{likely[0]:,.0f} to {likely[1]:,.0f}")
    return (name, *kWh, amount(b, cost), f"{whole_kWh:,.0f}", amount(b, whole_cost))


def change_rows(b: Buyer, system: str) -> list[tuple[str, ...]]:
    """What a change does: words, more or less kWh of heating, of cooling and of all, and money."""
    return [
        (
            _capital(said(c.change, system)),
            signed(c.heating_more_kWh),
            signed(c.cooling_more_kWh),
            signed(c.more_kWh),
            more_money(c.more_cost, b.run.money.currency),
        )
        for c in b.changes
    ]


def signed(kWh: float) -> str:
    """A difference with its sign, nil without."""
    return f"{kWh:+,.0f}" if round(kWh) else "0"


def fuel_rows(b: Buyer, system: str) -> list[tuple[str, ...]]:
    """The year's heat from other sources."""
    return [
        (_capital(f.name), f.bought, NO_PRICE if f.cost is None else amount(b, f.cost), carbon(b, f.co2_kg, system))
        for f in b.fuels
    ]


def carbon(b: Buyer, kg: float, system: str, decimals: int = 0) -> str:
    """A mass of CO2 in the unit of the reader's country: kilograms in Canada, else by the unit system."""
    return quantity(kg, "mass", carbon_system(b, system), decimals)


def carbon_system(b: Buyer, system: str) -> str:
    """The unit system in which CO2 is said."""
    return "si" if in_canada(b.sized.place.state) else system


def fuel_caption(b: Buyer) -> str:
    """The comparison's headline with the dates of its prices, which are not of one year."""
    of_power = b.run.money.tariff.year or "the tariff given"
    gas = propane_of(b.run.money.tariff, b.sized.place.state)
    of_gas = f", propane of {gas.dated}" if gas.price is not None else ", propane without a price"
    return f"The same heat from another source (electricity at prices of {of_power}{of_gas})"


def fuel_line(b: Buyer) -> str:
    """What was assumed of each source."""
    return _capital("; ".join(f"{f.name}: {f.assumption}" for f in b.fuels)) + "."


def swing_rows(b: Buyer, system: str) -> list[tuple[str, ...]]:
    """Which inputs make the band, how far each was moved, what it does, and why that far."""
    return [
        (_capital(s.name), said(s.how_far, system), f"{s.year_kWh[0]:,.0f} to {s.year_kWh[1]:,.0f}", s.why) for s in b.band.swings
    ]


def swing_line(b: Buyer, system: str) -> str:
    """The same as one sentence; the usual reason is said once."""
    each = [f"{name}, {far}: {kWh} kWh{'' if why == COMMON else f' ({why})'}" for name, far, kWh, why in swing_rows(b, system)]
    return f"{'; '.join(each)}. Where no source stands, how far is {COMMON}."


def price_line(b: Buyer) -> str:
    """Where the price comes from."""
    t = b.run.money.tariff
    own = t.currency
    charge = float(fixed_charges(t).mean())
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


def carbon_line(b: Buyer, system: str) -> str:
    """CO2 of the run load."""
    c = b.carbon
    rate = carbon(b, c.rate_kg_per_kWh, system, 2 if c.rate_kg_per_kWh >= 0.05 else 4)
    return (
        f"CO2: about {carbon(b, c.kg, system)} a year at {rate} a kWh, the average of the grid region {c.subregion} "
        f"in {c.year} ({_plain(c.source)})."
    )


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


def weather_line(b: Buyer, system: str) -> str:
    """Which weather, and how far it can be trusted."""
    year = b.run.load.year
    stands = (
        "the house standing each of four ways, averaged" if len(year.ways) > 1 else f"front to the {year.ways[0].front_faces}"
    )
    return said(worded("Weather: {}; {}; {}.", year.weather_source, joined("; ", year.weather_report), stands), system)


def not_promised() -> str:
    """What the promise leaves out."""
    return (
        "Not promised: comfort with doors or windows open, wind or cold beyond the climate record, a frosted or snowed-in "
        "outdoor unit, a weak park supply, and the time after a power cut."
    )


def _plain(source: str) -> str:
    """A source without the mark that says how it was seen."""
    return source.split(" (SOURCE")[0].replace("(MEMORY)", "(from memory)")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
