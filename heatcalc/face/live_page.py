"""The live page: its controls as HTML, and each answer as the report that every surface shows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from heatcalc import units
from heatcalc.answers.sale.live import BEST, LiveAnswer, LiveCase, Wishes, below_words, siding_words
from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.house.house_pieces import leakage_classes
from heatcalc.inputs.house.house_record import House
from heatcalc.judge.choice import FITS
from heatcalc.render.as_html import as_chapters, rendered
from heatcalc.report.about_live import about_live
from heatcalc.report.about_size import about_size
from heatcalc.report.report import Figure, chapter, chapters
from heatcalc.supply.cord import cords_by_size
from heatcalc.wording import said

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
    }
    return rendered("live_page.html", **values)


def live_record(answer: LiveAnswer, system: str) -> dict[str, Any]:
    """The first answer: its decision for the status line, the rest of it as HTML, and what each control says."""
    report, judged = about_live(answer), answer.judged
    verdict, *held = (said(one.words, system) for one in report.decision)
    return {
        "verdict": verdict,
        "held": " ".join(held),
        "good": judged is not None and judged.verdict == FITS,
        "heading": "; ".join(said(line, system) for line in (report.title, *report.under)),
        "first": as_chapters(report, system),
        "in_use": _in_use(answer.size.house, system, answer),
    }


def rest_record(answer: LiveAnswer, system: str) -> dict[str, Any]:
    """The report of `heatcalc size` without its figures and without what the first answer has said."""
    report = about_size(answer.size)
    left = (c for c in report.chapters if said(c.heading, system) not in SAID_FIRST)
    kept = (chapter(c.heading, *(x for x in c.items if not isinstance(x, Figure)), more=c.more) for c in left)
    return {"rest": as_chapters(replace(report, chapters=chapters(*kept)), system)}


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


def problem_record(problem: InputError | NoAnswer) -> dict[str, str]:
    """What is wrong in one line, and the control it belongs to."""
    line = " ".join(str(problem).split())
    field = problem.field.split(".")[0] if isinstance(problem, InputError) else ""
    own = field in Wishes.__dataclass_fields__
    return {"problem": line, "control": field if own else CONTROL_OF.get(field, "")}


def fields_read(given: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """The page's fields: wishes, and the unit system.  Raises InputError for another system."""
    words = dict(given)
    system = words.pop("units", "ip")
    if system not in ("ip", "si"):
        raise InputError("units", system, "is ip or si")
    return words, system
