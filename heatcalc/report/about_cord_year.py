"""What the supply check says of the year on the supply: chance of an overload, every use of energy, lock-outs and what they
cost; and away from the grid: generator, battery, sun.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from heatcalc.answers.year.cord_year import CordYear, SunYear
from heatcalc.judge.lock_outs import cold_water_words
from heatcalc.report.report import Chapter, Figure, Note, chapter
from heatcalc.report.supply_values import evening_figure, share_words
from heatcalc.report.table import Column, Table, table_of
from heatcalc.supply.cord import SEASON_WORDS, Cord
from heatcalc.supply.off_grid import BatteryLine, GeneratorCheck, Stored
from heatcalc.wording import SHORT_MONTHS, Q, Said, mark, money, worded

T, WATTS = "temperature", "electric power"


def generator_words(g: GeneratorCheck) -> str:
    """Its verdict."""
    if g.passes:
        return "carries the loads"
    if not g.allowed:
        return "in a park trailer: ask the authority having jurisdiction"
    return f"does NOT carry the loads: {'; '.join(f'{SEASON_WORDS[h.season]}: {h.reason}' for h in g.hours if not h.holds)}"


def generator_chapter(g: GeneratorCheck | None) -> Chapter | None:
    """Hour by hour against what height and heat leave of it, and its fuel."""
    if g is None:
        return None
    rules = enumerate(name for name, _ in g.hours[0].left_by_rule)
    hours = table_of(
        "generator",
        g.hours,
        (Column("hour"), lambda h: SEASON_WORDS[h.season]),
        (Column("running", WATTS), "running_W"),
        (Column("it may run", WATTS), "available_W"),
        (Column("starting", WATTS), "starting_W"),
        (Column("it may start", WATTS), "available_start_W"),
        (Column("holds"), "holds"),
        *((Column(f"left by rule {name}", "fraction"), lambda h, k=k: h.left_by_rule[k][1]) for k, name in rules),
    )
    burnt = g.gallons_a_day
    return chapter(
        "Generator",
        f"{g.rated_W:,.0f} W: {generator_words(g)}",
        hours,
        None if burnt is None else f"{g.fuel} at the year's mean load: {burnt:.1f} gal a day, running all day",
        f"assumed: {g.assumption}",
        Note(f"fuel: {g.fuel_source}"),
        more=True,
    )


def battery_chapter(line: BatteryLine | None) -> Chapter | None:
    """Hours on one charge."""
    if line is None:
        return None
    spans = {"at the design cold": line.cold_h, "at the largest cooling load": line.hot_h, "at the year's mean": line.mean_h}
    words = ", ".join(f"{hours:.1f} h {when}" for when, hours in spans.items() if hours is not None)
    return chapter("Battery", f"{line.usable_kWh:.1f} kWh usable: {words or 'no load'}; {line.inverter}", more=True)


def stored_chapter(sun: SunYear | None, stored: tuple[Stored, ...]) -> Chapter | None:
    """Sun and battery through the year."""
    items: list[Any] = []
    if sun is not None:
        words = "Sun: {:,.0f} kWh a year, January {:,.0f}, July {:,.0f}; modules {}, the whole roof is {}."
        kWh = sum(sun.month_kWh), sun.month_kWh[0], sun.month_kWh[6]
        items.append(worded(words, *kWh, Q(sun.area_m2, "area"), Q(sun.roof_m2, "area")))
    if stored:
        spans = (
            (Column(words, unit="h", decimals=0), lambda s, month=month, k=k: getattr(s, month)[k])
            for month, k, words in (
                ("january_h", 0, "cut in January, least"),
                ("january_h", 1, "January, median"),
                ("july_h", 0, "cut in July, least"),
                ("july_h", 1, "July, median"),
            )
        )
        battery = table_of(
            "battery",
            stored,
            (Column("carries"), "what"),
            *spans,
            (Column("of the year", "fraction"), "share_of_year"),
            (Column("days short", decimals=0), "days_short"),
            (Column("hours over the inverter", decimals=0), "over_inverter_h"),
            title="Battery, full at the start of a cut",
        )
        items += [battery, "Least and median over the days of the month; 240 h is as far as a cut is followed."]
    return chapter("Battery and sun through the year", *items, more=True)


TRIPS = (
    "Trips follow from a usual breaker band (UL 489 calibration points, the rest from memory): a trip says remove load, never "
    "fit a larger breaker."
)
LEAST_TOLD = 0.00005
LEAST_MIN = 0.5


def chance_chapters(y: CordYear, cord: Cord) -> tuple[Chapter | None, ...]:
    """How often the loads of a year add up to too much, the worst hour of a January evening; where trips come from."""
    drawn = partial(evening_figure, y.evening, cord.name)
    figure = Figure("january-evening", "The worst hour of a January evening", _says(y, cord), drawn)
    trips = chapter("Breaker trips", TRIPS, more=True) if y.overload.minutes_above_rating >= LEAST_MIN else None
    return chapter("Chance of an overload", *_chance(y, cord), figure), trips


def remedies_chapter(y: CordYear, cord: Cord) -> Chapter | None:
    """The year as it is and with one change at a time."""
    o = y.overload
    heads = (Column("a year"), Column("above 80 %", unit="min", decimals=0), Column("above the rating", unit="min", decimals=0))
    rows = (
        (f"as it is, on {cord.name}", o.minutes_above_80, o.minutes_above_rating),
        *((r.words, r.minutes_above_80, r.minutes_above_rating) for r in y.remedies),
    )
    return chapter("What would change that", Table("overload", "", heads, rows), more=True)


def _chance(y: CordYear, cord: Cord) -> Iterator[Said]:
    o, e = y.overload, y.evening
    if o.minutes_above_rating < LEAST_MIN:
        yield f"The loads of this house exceed the rating of {cord.name} for less than a minute of the year."
        return
    hours = f"{e.hour}:00 to {e.hour + 1}:00"
    pair = f"; most of it by {o.pair[0]} and {o.pair[1]} together" if o.pair else ""
    worst = f"worst on a January evening: {hours}, {share_words(o.worst_chance)} of the time{pair}"
    if o.worst_chance < LEAST_TOLD:
        worst = f"January evenings stay below it, the fullest hour is {hours}"
    yield (
        f"The loads exceed the rating of {cord.name} {o.minutes_above_rating:,.0f} min a year, 80 % of it "
        f"{o.minutes_above_80:,.0f} min; {worst}."
    )
    yield f"Breaker trips to expect: {_count(o.trips_low)} to {_count(o.trips_high)} a year (latest and earliest curve)."


def _says(y: CordYear, cord: Cord) -> Said:
    e = y.evening
    legs = []
    for k, above in enumerate(e.above):
        here = [f"{x.name} {x.leg_A[k]:.1f} A for {share_words(x.share)} of the hour" for x in e.loads if x.leg_A[k] > 0]
        total = sum(x.leg_A[k] for x in e.loads)
        over = share_words(above[min(int(e.rating_A), len(above) - 1)])
        name = f"Leg {k + 1}" if len(e.above) > 1 else "On its one leg"
        legs.append(
            f"{name}: {', '.join(here) or 'nothing'}; {total:.0f} A if all of it ran at once; above {e.rating_A:.0f} A for {over}"
        )
    return f"January {e.day}, {e.hour}:00 to {e.hour + 1}:00, on {cord.name}. {'. '.join(legs)}."


def _count(trips: float) -> str:
    return f"{trips:.0f}" if trips >= 1 or trips == 0 else "under 1"


def uses_chapter(y: CordYear) -> Chapter | None:
    """Every row of the meter and of the propane tank."""
    uses = y.energy.uses
    months = ((Column(name, unit="kWh", decimals=0), lambda r, m=m: float(r.month_kWh[m])) for m, name in enumerate(SHORT_MONTHS))
    table = table_of(
        "uses",
        uses.rows,
        (Column("use"), "name"),
        (Column("a year", unit="kWh", decimals=0), "year_kWh"),
        *months,
        (Column("a year", unit=mark(uses.currency), decimals=0, missing="no price"), "year_cost"),
        (Column("from"), "fuel"),
        head_units=True,
    )
    lines: list[Said] = [
        f"On the meter {uses.electricity_kWh:,.0f} kWh, {money(uses.electricity_cost, uses.currency)} with monthly charges; "
        f"{uses.priced_by}.",
        "Defrosting is within the heating, as the unit's table carries it.",
    ]
    if uses.propane > 0:
        cost = "" if uses.propane_cost is None else f", {money(uses.propane_cost, uses.currency)}"
        lines.append(f"Propane {uses.propane:,.0f} {uses.propane_unit}{cost}, at {uses.propane_words}.")
    return chapter("Every use of energy in a year", table, *lines, *_water(y), more=True)


def _water(y: CordYear) -> Iterator[Any]:
    w = y.energy.water
    if w is None:
        return
    words = (
        "Hot water: {}, {} a day, mains {} to {}; it recovers {} an hour at the coldest mains; by the one-line equation of a "
        "tank {:,.0f} kWh, hour by hour {:,.0f} kWh."
    )
    drawn, recovered = (Q(m3, "liquid") for m3 in (w.drawn_m3_day, w.recovery_m3_s * 3600.0))
    mains = Q(w.coldest_mains_C, T), Q(w.warmest_mains_C, T)
    yield worded(words, w.kind, drawn, *mains, recovered, w.by_hand_kWh, w.walked_kWh)
    yield Note(f"water heater: {w.source}")
    yield Note(
        "water: draw of a person and when it is drawn common practice, no source; mains by Burch and Christensen 2007, partly "
        "from memory; the one-line equation by Lutz et al. 1998"
    )


def held_chapter(y: CordYear) -> Chapter | None:
    """What the lock-outs cost."""
    h = y.held
    if h is None:
        return None
    words = cold_water_words(h.cold_water_share, h.cold_water_h)
    hours = ", ".join(f"{name} {share:,.0f} h" for name, share in h.hours_held.items())
    costs = (  # with the lock-outs, and in brackets without them
        "Coldest indoor hour {} ({} without the lock-outs); hours too cold {:,.0f} ({:,.0f}); second heater {:,.0f} kWh "
        "({:,.0f})."
    )
    return chapter(
        "Lock-outs through the year",
        f"Held off while asking: {hours} a year.",
        worded(costs, *(Q(t, T) for t in h.coldest_C[::-1]), *h.too_cold_h[::-1], *h.heater_kWh[::-1]),
        f"{words[0].upper()}{words[1:]}." if words else "",
        more=True,
    )


def held_warnings(y: CordYear) -> Iterator[Said]:
    """Lock-outs that someone will notice."""
    h = y.held
    if h is None:
        return
    if h.cold_water_share:
        words = cold_water_words(h.cold_water_share, h.cold_water_h)
        yield (
            f"the lock-outs hold the water heater off: {words}; propane or a larger supply ends that, [supply] priority turns "
            "the pair round"
        )
    colder = h.too_cold_h[1] - h.too_cold_h[0]
    if colder >= 0.5:
        yield worded(
            "the lock-outs hold the heat pump off: {:,.0f} hours too cold, down to {} indoors", colder, Q(h.coldest_C[1], T)
        )
