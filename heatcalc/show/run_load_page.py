"""The run-load sheet: one self-contained page, the same as PDF, and its main chart as a picture."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from heatcalc import __version__
from heatcalc.answers.sale.buyer import CAUTIONS, Buyer
from heatcalc.answers.year.outage import CAUTIONS as CUT_CAUTIONS
from heatcalc.answers.year.outage import HEAT_CAUTIONS
from heatcalc.files import write_together
from heatcalc.report.drawing import picture
from heatcalc.show import run_load_text as words
from heatcalc.show.pages import figures_inside, rendered
from heatcalc.show.run_load_figures import run_load_figures
from heatcalc.wording import said

SHEET = (
    "months",
    "cord-hours",
    "coldest-day",
    "hottest-day",
    "month-hour",
    "humidity",
)  # figures of the two pages, in their order


def run_load_html(b: Buyer, system: str, buyer: str = "", case_hash: str = "") -> str:
    """The page as HTML text."""
    return rendered(
        "run_load.html",
        _values(b, system)
        | {
            "figures": figures_inside(f for f in run_load_figures(b, system) if f.name in SHEET),
            "print_css": print_css(),
            "buyer": buyer,
            "hash": case_hash[:16],
        },
    )


def write_run_load(b: Buyer, folder: str | Path, system: str) -> list[Path]:
    """The page and its charts as PNG in a folder; everything is made before the first file is written."""
    made: dict[str, str | bytes] = {f"{f.name}.png": picture(f.draw, "png") for f in run_load_figures(b, system)}
    made["run-load.html"] = run_load_html(b, system)
    return write_together(folder, made)


def print_css() -> Any:
    """The style of a printed paper, ready for a page."""
    from markupsafe import Markup

    return Markup(files("heatcalc.show").joinpath("templates/print.css").read_text(encoding="utf-8"))


def _values(b: Buyer, system: str) -> dict[str, Any]:
    return {
        "name": b.sized.house.name,
        "place": b.sized.place.name,
        "version": __version__,
        "heading": words.heading(b, system),
        "promise": words.promise_lines(b, system),
        "not_promised": words.not_promised(),
        "warnings": [said(warning, system) for warning in b.house_warnings],
        "month_head": words.month_head(b),
        "months": words.month_rows(b),
        "price": words.price_line(b),
        "rest": words.rest_line(b),
        "cut_cautions": (*CUT_CAUTIONS, *HEAT_CAUTIONS),
        "changes": words.change_rows(b, system),
        "change_head": words.CHANGE_HEAD,
        "fuel_head": words.FUEL_HEAD,
        "fuels": words.fuel_rows(b, system),
        "fuel_caption": words.fuel_caption(b),
        "fuel": words.fuel_line(b),
        "carbon": words.carbon_line(b, system),
        "likely": words.LIKELY,
        "summer": words.SUMMER,
        "swing_line": words.swing_line(b, system),
        "weather": words.weather_line(b, system),
        "cautions": CAUTIONS,
    }
