"""Away from the grid: generator, battery, sun."""

from __future__ import annotations

from typing import Any

from heatcalc.answers.year.cord_year import SunYear
from heatcalc.report.report import Chapter, Column, Note, Table, chapter
from heatcalc.supply.cord import SEASON_WORDS
from heatcalc.supply.off_grid import BatteryLine, GeneratorCheck, Stored
from heatcalc.wording import Q, worded


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
    rules = [name for name, _ in g.hours[0].left_by_rule]
    heads = (
        Column("hour"),
        Column("running", "electric power"),
        Column("it may run", "electric power"),
        Column("starting", "electric power"),
        Column("it may start", "electric power"),
        Column("holds"),
        *(Column(f"left by rule {name}", "fraction") for name in rules),
    )
    rows: tuple[tuple[Any, ...], ...] = tuple(
        (
            SEASON_WORDS[h.season],
            h.running_W,
            h.available_W,
            h.starting_W,
            h.available_start_W,
            h.holds,
            *(share for _, share in h.left_by_rule),
        )
        for h in g.hours
    )
    fuel = (
        None if g.gallons_a_day is None else f"{g.fuel} at the year's mean load: {g.gallons_a_day:.1f} gal a day, running all day"
    )
    return chapter(
        "Generator",
        f"{g.rated_W:,.0f} W: {generator_words(g)}",
        Table("generator", "", heads, rows),
        fuel,
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
        january, july, whole = sun.month_kWh[0], sun.month_kWh[6], sum(sun.month_kWh)
        items.append(
            worded(
                "Sun: {:,.0f} kWh a year, January {:,.0f}, July {:,.0f}; modules {}, the whole roof is {}.",
                whole,
                january,
                july,
                Q(sun.area_m2, "area"),
                Q(sun.roof_m2, "area"),
            )
        )
    if stored:
        heads = (
            Column("carries"),
            Column("cut in January, least", unit="h", decimals=0),
            Column("January, median", unit="h", decimals=0),
            Column("cut in July, least", unit="h", decimals=0),
            Column("July, median", unit="h", decimals=0),
            Column("of the year", "fraction"),
            Column("days short", decimals=0),
            Column("hours over the inverter", decimals=0),
        )
        rows = tuple((s.what, *s.january_h, *s.july_h, s.share_of_year, s.days_short, s.over_inverter_h) for s in stored)
        items.append(Table("battery", "Battery, full at the start of a cut", heads, rows))
        items.append("Least and median over the days of the month; 240 h is as far as a cut is followed.")
    return chapter("Battery and sun through the year", *items, more=True)
