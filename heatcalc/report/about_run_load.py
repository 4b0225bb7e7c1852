"""What `heatcalc sheet` says: the promise, what it costs and draws, what would change it, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from heatcalc.answers.sale.buyer import CAUTIONS, Buyer
from heatcalc.answers.year.outage import CAUTIONS as CUT_CAUTIONS
from heatcalc.answers.year.outage import HEAT_CAUTIONS
from heatcalc.judge.metered_year import by_month
from heatcalc.report.promise_words import (
    NO_PRICE,
    NOT_PROMISED,
    capital,
    carbon_line,
    fuel_caption,
    fuel_line,
    heading,
    in_kilograms,
    price_line,
    promise_lines,
    rest_line,
    stamp_of,
    sure_lines,
)
from heatcalc.report.report import Caution, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.run_load_book import run_load_book
from heatcalc.report.run_load_figures import BESIDE, HOUSE_WORDS, month_uses, run_load_figures
from heatcalc.report.table import Cell, Column, Table, fields_of
from heatcalc.wording import MONTHS, joined, mark


def about_run_load(b: Buyer, buyer: str = "", inputs: str = "") -> Report:
    """The buyer's sheet of two pages; `inputs` is the hash of what was asked."""
    figure = {f.key: f for f in run_load_figures(b)}
    price = Note(f"{price_line(b)} {rest_line(b)} Rows are rounded one by one.")
    return Report(
        question="run-load",
        title="What it takes to run",
        under=(*([f"For {buyer}"] if buyer else []), *heading(b)),
        decision=(*(Sentence(line) for line in promise_lines(b)), Note(NOT_PROMISED)),
        chapters=chapters(
            chapter("Warnings", *bullets(b.house_warnings, Caution)),
            chapter("Cost and cord", figure["months"], figure["cord-hours"], month_table(b), price),
            chapter("What would change it?", change_table(b), fuel_table(b), Note(joined(" ", (fuel_line(b), carbon_line(b))))),
            chapter("The coldest and the hottest day", figure["coldest-day"], figure["hottest-day"]),
            chapter("Through the year", figure["month-hour"], figure["humidity"]),
            chapter("How sure is this?", Note(joined(" ", sure_lines(b)))),
            chapter("Cautions", *bullets((*CAUTIONS, *CUT_CAUTIONS, *HEAT_CAUTIONS), Caution)),
        ),
        values=run_load_values(b),
        data=(swing_table(b), *(figure[key] for key in BESIDE)),
        sheet=True,
        book=lambda book, system: run_load_book(book, b, system),
        inputs=inputs,
        stamp=stamp_of(b),
    )


def _kWh(*heads: str, signed: bool = False) -> Iterable[Column]:
    return (Column(head, unit="kWh", decimals=0, signed=signed) for head in heads)


def _money(b: Buyer, head: str, missing: str = "-", signed: bool = False) -> Column:
    return Column(head, unit=mark(b.run.money.currency), decimals=0, missing=missing, signed=signed)


def month_table(b: Buyer) -> Table:
    """kWh by use and month with the likely range and what it adds to the bill; the whole house and its bill; and the year."""
    kWh, money, uses = b.run.load.month_kWh, b.run.money, month_uses(b)
    used = [kWh[u] for u in uses]
    columns = (*used, sum(used), *b.band.month_kWh, money.month_cost, money.whole.energy_kWh, money.whole.month_cost)
    sums = [float(u.sum()) for u in used]
    year = (*sums, sum(sums), *b.band.year_kWh, money.year_cost, money.whole.year_kWh, money.whole.year_cost)
    months: list[tuple[Cell, ...]] = [(name, *(float(c[m]) for c in columns)) for m, name in enumerate(MONTHS)]
    energies = _kWh(*(HOUSE_WORDS[use] for use in uses), "all", "likely from", "to")
    return Table(
        "months",
        "Electricity for heat, cold and fresh air and what it adds to the bill; the whole house and its bill",
        (Column("month"), *energies, _money(b, "cost"), *_kWh("whole house"), _money(b, "whole bill")),
        (*months, ("Year", *year)),
        chosen=12,
        head_units=True,
    )


def change_table(b: Buyer) -> Table:
    """What a change does: words, more or less kWh of heating, of cooling and of all, and money."""
    heads = (Column("change"), *_kWh("heating", "cooling", "all", signed=True), _money(b, "money", signed=True))
    rows = ((capital(c.change), c.heating_more_kWh, c.cooling_more_kWh, c.more_kWh, c.more_cost) for c in b.changes)
    return Table("changes", "A change made to this house, a year", heads, tuple(rows), head_units=True)


def fuel_table(b: Buyer) -> Table:
    """The year's heat from other sources; CO2 in the unit of the reader's country."""
    co2 = Column("CO2", unit="kg", decimals=0) if in_kilograms(b) else Column("CO2", "mass", decimals=0)
    heads = (Column("source"), Column("bought a year"), _money(b, "cost", NO_PRICE), co2)
    return Table("fuels", fuel_caption(b), heads, tuple((capital(f.name), f.bought, f.cost, f.co2_kg) for f in b.fuels))


def swing_table(b: Buyer) -> Table:
    """Which inputs make the likely range, how far each was moved, what it does, and why that far."""
    heads = (Column("what"), Column("how far"), *_kWh("year from", "to"), Column("why that far"))
    rows = ((capital(s.name), s.how_far, *s.year_kWh, s.why) for s in b.band.swings)
    return Table("swings", "Moved to find the likely range", heads, tuple(rows), head_units=True)


def run_load_values(b: Buyer) -> dict[str, Any]:
    """Everything the sheet shows, unrounded, in SI (energies in kWh, money in the tariff's `currency`)."""
    r, year = b.run, b.run.load.year
    likely = "likely_year_kWh=year_kWh likely_year_cost=year_cost likely_month_kWh=month_kWh likely_month_cost=month_cost"
    return {
        **fields_of(r, "place=sized.place.name unit=candidate.name backup_W=asked.backup_W"),
        "plan": r.sized.plan.record(),
        "front_faces": [w.front_faces for w in year.ways],
        "month_kWh": r.load.month_kWh,
        "month_total_kWh": by_month(r.load.run_W),
        "month_cost": r.money.month_cost,
        "month_rest_kWh": by_month(r.load.rest_W),
        "year_kWh": r.load.year_kWh,
        **fields_of(r.money, "year_cost currency"),
        **fields_of(b.band, likely),
        "month_hour_W": r.month_hour_W,
        "swings": [fields_of(s, "name how_far why year_kWh") for s in b.band.swings],
        "promise": {k: v for k, v in vars(b.promise).items() if k != "plan"} | {"held_C": b.promise.held_C},
        "power_cut": {
            **fields_of(b.cut, "starts_hour=starts night_mean_C"),
            "nobody_home": _limits(b.cut.empty.hours_to),
            "people_home": _limits(b.cut.people.hours_to),
        },
        "summer_power_cut": {**fields_of(b.hot_cut, "starts_hour=starts day_mean_C"), "people_home": _limits(b.hot_cut.hours_to)},
        **fields_of(year, "output_hours=hours heating_tenths_h cooling_tenths_h"),
        "cord": r.cord,
        "indoor_relative_month": year.relative_mean,
        "changes": [{k: v for k, v in vars(c).items() if k != "tables"} for c in b.changes],
        **fields_of(b, "fuels carbon"),
        "tariff": r.money.tariff.model_dump(mode="json"),
        "tariff_why": r.money.why,
        **fields_of(year, "weather_source weather_report"),
        "warnings": b.house_warnings,
        "cautions": CAUTIONS,
    }


def _limits(hours_to: Iterable[tuple[float, float | None]]) -> list[dict[str, float | None]]:
    return [{"indoor_C": limit, "hours": hours} for limit, hours in hours_to]
