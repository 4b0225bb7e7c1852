"""What the live page says first, while a hand still moves its controls: decision, facts, two charts, why, what to mind."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from heatcalc.answers.sale.live import LiveAnswer
from heatcalc.judge.metered_year import USES, MeteredYear
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.about_size import (
    decision_words,
    heading,
    heater_words,
    in_the_heat,
    supply_word,
    sure_chapter,
    warnings_chapter,
    why_chapter,
)
from heatcalc.report.drawing import COLOURS, FAINT, INK
from heatcalc.report.promise_words import WHY_THEN
from heatcalc.report.report import Caution, Chart, Report, Sentence, Series, bullets, chapter, chapters
from heatcalc.report.run_load_figures import HOUSE_WORDS, LEAST_SHOWN, USE_COLOURS
from heatcalc.report.size_values import drawn_span, heat_over
from heatcalc.report.table import Cell, Column, Table, by_month, facts
from heatcalc.wording import MONTHS, SHORT_MONTHS, Q, Said, money, worded

T, POWER = "temperature", "power"
COUNTED = (
    "Counted are heating, cooling, backup heat, the ventilation fan and what the heat pump draws at rest; the rest of the "
    "house and hot water are not."
)
NO_YEAR = "No run load here: no year of hours is known for this place, and no year can be built"


def about_live(a: LiveAnswer) -> Report:
    """The first answer; the chapters of `about_size` that it leaves out follow it."""
    r, (title, where) = a.size, heading(a.size)
    held = worded("It holds the house down to {} outdoors.", Q(r.plan.held_C, T)) if r.plan.held_C is not None else None
    return Report(
        question="live",
        title=title,
        under=(where,),
        decision=(Sentence(decision_words(r)), *in_the_heat(r), *([Sentence(held)] if held else [])),
        chapters=chapters(
            chapter("", _facts(a), _line(a), *([NO_YEAR] if a.year is None else [_months(a, a.year)])),
            None if a.year is None else chapter("The months as a table", _month_table(a.year), more=True),
            why_chapter(r),
            sure_chapter(r),
            warnings_chapter(r),
            chapter("Cautions", *bullets(CAUTIONS, Caution)),
        ),
    )


def _facts(a: LiveAnswer) -> Table:
    r, cooling = a.size, a.size.designer.cooling
    hottest = worded("largest cooling load, at {} outdoors as {}", Q(cooling.outdoor_at_peak_C, T), WHY_THEN)
    moist = worded("{} + {} moisture", Q(cooling.peak_sensible_W, POWER), Q(cooling.latent_at_peak_W, POWER))
    return facts(
        "facts",
        (worded("heating load at {}", Q(r.task.design_C, T)), Q(r.heating.load_W, POWER)),
        (hottest, moist),
        ("first plan's unit", r.plan.unit),
        *_of_unit(a),
        ("first cost, invented prices", money(r.plan.first_cost_usd)),
        *_of_year(a),
    )


def _of_unit(a: LiveAnswer) -> Iterator[tuple[Said, Cell]]:
    """What the unit holds, takes and draws; nothing where none is judged."""
    r, judged = a.size, a.judged
    if judged is None:
        return
    held = worded("{} outdoors, {} sure", Q(r.plan.held_C, T), Q(r.plan.chance, "chance"))
    yield worded("it holds {} down to", Q(r.task.heating_set_C, T)), held
    yield "second heater", heater_words(r.plan)
    yield "draws at most, heating / cooling", f"{judged.cold_A:.1f} A / {judged.hot_A:.1f} A at {judged.unit.volts:.0f} V"
    yield f"the {r.house.supply.cord} supply", supply_word(judged.runs_from_cord, judged.smallest_supply)


def _of_year(a: LiveAnswer) -> Iterator[tuple[Said, Cell]]:
    if a.money is not None and a.year is not None:
        cost, why = money(a.money.year_cost, a.money.currency), f"{a.money.tariff.name}, {a.money.why}"
        yield "heat, cold and fresh air in a typical year", f"{a.year.year_kWh:,.0f} kWh, {cost} ({why})"


def _line(a: LiveAnswer) -> Chart:
    """The house's load with its band over outdoor temperature, and the most and the least heat of the unit judged."""
    r, judged = a.size, a.judged
    at, line = np.linspace(*drawn_span(r), 73), r.task.line
    band = np.concatenate([np.interp(at, line.outdoor_C, watts) for watts in (line.low_W, line.high_W)])
    series = [Series("", band, FAINT, "band"), Series("load, likely range", line.at(at), INK, width=2.6)]
    says = worded("At {} outdoors the house needs {}", Q(r.task.design_C, T), Q(r.heating.load_W, POWER))
    if judged is not None:
        most, least, _ = heat_over(judged.unit, r, at)
        series += [Series(f"{judged.name} most", most, COLOURS[0]), Series("least", least, COLOURS[0], "--", 1.8)]
        says += worded("; {} gives at most {}", judged.name, Q(judged.max_heat_at_design_W, POWER))
    return Chart(
        "load-and-capacity",
        "Heat needed and heat available",
        says + ".",
        Column("outdoor temperature", T),
        at,
        Column("heat", POWER),
        tuple(series),
        (r.task.design_C, "design cold"),
    )


def _months(a: LiveAnswer, year: MeteredYear) -> Chart:
    """The year's electricity for heat, cold and fresh air by month."""
    total = np.sum([year.month_kWh[use] for use in USES], axis=0)
    most, least = int(total.argmax()), int(total.argmin())
    says = (
        f"About {total.sum():,.0f} kWh in a typical year; most in {MONTHS[most]} with {total[most]:,.0f} kWh, least in "
        f"{MONTHS[least]} with {total[least]:,.0f} kWh. {COUNTED} Second heater: {heater_words(a.size.plan)}."
    )
    used = [use for use in USES if year.month_kWh[use].sum() >= LEAST_SHOWN]
    bars = tuple(Series(HOUSE_WORDS[use], year.month_kWh[use], USE_COLOURS[use], "bar") for use in used)
    return Chart("months", "Electricity by month", says, Column(""), SHORT_MONTHS, Column("kWh a month"), bars)


def _month_table(year: MeteredYear) -> Table:
    used = {HOUSE_WORDS[use]: year.month_kWh[use] for use in USES}
    every = {"all": sum(year.month_kWh[use] for use in USES)}
    return by_month("months", "Electricity by month in a typical year", used | every)
