"""The live page: its controls as HTML, and each answer as plain words, facts and two charts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from heatcalc import units
from heatcalc.answers.sale.live import BEST, LiveAnswer, LiveCase, Wishes, below_words, siding_words
from heatcalc.errors import InputError, NoAnswer
from heatcalc.face.live_charts import Share, load_chart, load_says, month_chart, month_table, months_say
from heatcalc.inputs.house.house_pieces import leakage_classes
from heatcalc.inputs.house.house_record import House
from heatcalc.judge.choice import FITS
from heatcalc.judge.metered_year import MeteredYear
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.render.as_html import as_chapters, rendered
from heatcalc.render.as_json import plain_data
from heatcalc.report.about_size import about_size, chance_words, decision_words, heading, heater_words, supply_word
from heatcalc.report.drawing import COLOURS, INK
from heatcalc.report.promise_words import WHY_THEN
from heatcalc.report.report import Figure
from heatcalc.report.run_load_figures import HOUSE_WORDS
from heatcalc.supply.cord import cords_by_size
from heatcalc.wording import Said, money, said

# the control that a field of the house file belongs to
CONTROL_OF = {
    "colours": "siding",
    "set_points": "set_point",
    "supply": "supply",
    "living": "people",
    "ventilation": "fan",
    "tariff": "price",
    "below": "below",
    "air": "tightness",
    "unit": "unit",
    "package": "package",
    "assemblies": "package",
}

SAID_FIRST = ("Why", "How sure", "Warnings", "Cautions")  # chapters of the report that the first answer holds already

COUNTED = (
    "Counted are heating, cooling, backup heat, the ventilation fan and what the heat pump draws at rest; the rest of the "
    "house and hot water are not."
)


def live_page(case: LiveCase, start: Wishes, system: str, nonce: str) -> str:
    """The page as HTML: no file and no address outside itself."""
    house = case.house
    values = {
        "name": house.name,
        "note": house.note,
        "start": asdict(start),
        "system": system,
        "nonce": nonce,
        "packages": case.packages,
        "package": house.package,
        "unit": house.unit,
        "best": BEST,
        "units": tuple(case.units),
        "sidings": siding_words(house.colours.siding),
        "siding": str(house.colours.siding),
        "belows": below_words(),
        "below": house.below.kind,
        "tightness": house.air.tightness,
        "classes": leakage_classes(),
        "cords": tuple(cord.name for cord in cords_by_size()),
        "own": _in_use(house, system),
        "cautions": CAUTIONS,
    }
    return rendered("live_page.html", **values)


def live_record(answer: LiveAnswer, system: str) -> dict[str, Any]:
    """One answer: verdict, facts, warnings and charts, ready for the page; what is slower to work out is in `rest_record`."""
    r, judged = answer.size, answer.judged
    return plain_data(
        {
            "verdict": said(decision_words(r), system),
            "good": judged is not None and judged.verdict == FITS,
            "sentences": [_sentence(line, system) for line in (*r.recommended.reasons, *chance_words(r))],
            "facts": _facts(answer, system),
            "heading": [said(line, system) for line in heading(r)],
            "warnings": [said(w, system) for w in r.warnings],
            "held": _held(answer, system),
            "in_use": _in_use(r.house, system, answer),
            "load_chart": load_chart(r, judged, system),
            "load_says": load_says(r, judged, system),
            **_months(answer),
        }
    )


def rest_record(answer: LiveAnswer, system: str) -> dict[str, Any]:
    """The rest of the report of `heatcalc size`, but its figures: other plans, what else to buy, loads by part, every unit."""
    report = about_size(answer.size)
    chapters = tuple(
        replace(c, items=tuple(x for x in c.items if not isinstance(x, Figure)))
        for c in report.chapters
        if said(c.heading, system) not in SAID_FIRST
    )
    return {"rest": as_chapters(replace(report, chapters=chapters), system)}


def _sentence(words: Said, system: str) -> str:
    line = said(words, system)
    return f"{line[0].upper()}{line[1:].removesuffix('.')}."


def _held(answer: LiveAnswer, system: str) -> str:
    """The promise in a few words."""
    held = answer.size.plan.held_C
    return "" if held is None else f"It holds the house down to {units.text(held, 'temperature', system)} outdoors."


def _in_use(house: House, system: str, answer: LiveAnswer | None = None) -> dict[str, str]:
    """What the house as computed says under each control."""
    points = (units.shown(x, "temperature", system) for x in (house.set_points.heating, house.set_points.cooling))
    warm, cool = (f"{x:.1f}".removesuffix(".0") for x in points)
    tariff = house.tariff if answer is None or answer.money is None else answer.money.tariff
    return {
        "siding": str(house.colours.siding),
        "below": house.below.kind,
        "tightness": house.air.tightness,
        "set_point": warm,
        "cooling_point": cool,
        "supply": house.supply.cord,
        "people": f"{house.living.people:g}",
        "fan": house.ventilation.rate,
        "price": "" if tariff is None or tariff.price is None else f"{tariff.price:g}",
    }


def shares_of(year: MeteredYear) -> tuple[Share, ...]:
    """The year's electricity for heat, cold and fresh air by month, in the order it is stacked."""
    colours = {
        "heating": COLOURS[1],
        "backup": INK,
        "cooling": COLOURS[0],
        "fan and standby": "#767676",
        "dehumidifier": COLOURS[2],
    }
    kWh = year.month_kWh
    return tuple(Share(HOUSE_WORDS[use], tuple(map(float, kWh[use])), colour) for use, colour in colours.items())


def _months(answer: LiveAnswer) -> dict[str, str]:
    """Chart, sentence and table of the months; the reason where there is no year."""
    if answer.year is None:
        return {
            "month_chart": "",
            "months_say": "No run load here: no year of hours is known for this place, and no year can be built",
            "months": "",
        }
    shares = shares_of(answer.year)
    backup = f" Second heater: {heater_words(answer.size.plan)}."
    return {
        "month_chart": month_chart(shares),
        "months_say": f"{months_say(shares)} {COUNTED}{backup}",
        "months": month_table(shares),
    }


def problem_record(problem: InputError | NoAnswer) -> dict[str, str]:
    """What is wrong in one line, and the control it belongs to."""
    line = " ".join(str(problem).split())
    field = problem.field.split(".")[0] if isinstance(problem, InputError) else ""
    own = field in Wishes.__dataclass_fields__
    return {"problem": line, "control": field if own else CONTROL_OF.get(field, "")}


def _facts(answer: LiveAnswer, system: str) -> list[tuple[str, str]]:
    r, judged = answer.size, answer.judged

    def t(x: float | None) -> str:
        return "none" if x is None else units.text(x, "temperature", system)

    def p(w: float) -> str:
        return units.text(w, "power", system)

    cooling = r.designer.cooling
    facts = [
        (f"heating load at {t(r.task.design_C)}", p(r.heating.load_W)),
        (
            f"largest cooling load, at {t(cooling.outdoor_at_peak_C)} outdoors as {WHY_THEN}",
            f"{p(cooling.peak_sensible_W)} + {p(cooling.latent_at_peak_W)} moisture",
        ),
        ("first plan's unit", r.plan.unit),
    ]
    if judged is not None:
        facts += [
            (
                f"it holds {t(r.task.heating_set_C)} down to",
                f"{t(r.plan.held_C)} outdoors, {units.text(r.plan.chance, 'chance', system)} sure",
            ),
            ("second heater", heater_words(r.plan)),
            ("draws at most, heating / cooling", f"{judged.cold_A:.1f} A / {judged.hot_A:.1f} A at {judged.unit.volts:.0f} V"),
            (f"the {r.house.supply.cord} supply", supply_word(judged.runs_from_cord, judged.smallest_supply)),
        ]
    facts.append(("first cost, invented prices", money(r.plan.first_cost_usd)))
    if answer.money is not None and answer.year is not None:
        each = f"{answer.money.tariff.name}, {answer.money.why}"
        facts.append(
            (
                "heat, cold and fresh air in a typical year",
                f"{answer.year.year_kWh:,.0f} kWh, {money(answer.money.year_cost, answer.money.currency)} ({each})",
            )
        )
    return facts


def fields_read(given: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """The page's fields: wishes, and the unit system.  Raises InputError for another system."""
    words = dict(given)
    system = words.pop("units", "ip")
    if system not in ("ip", "si"):
        raise InputError("units", system, "is ip or si")
    return words, system
