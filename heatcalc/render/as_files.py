"""A report as the files of a folder (its page, its record, its figures), and a figure as what a notebook keeps, each with its
words for who cannot see it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import as_json
from heatcalc.report.drawing import picture
from heatcalc.report.report import Report

if TYPE_CHECKING:
    from IPython.display import Image


def as_pictures(report: Report, system: str) -> dict[str, bytes]:
    """File name -> SVG or PNG of every figure."""
    made = {}
    for figure in report.figures.values():
        for kind in ("svg", "png"):
            made[f"{figure.key}.{kind}"] = picture(figure.draw, kind, system, stamp=report.stamp)
    return made


def as_image(draw: Callable[..., Any], says: str, *asked: str, stamp: str = "") -> Image:
    """A drawing as a picture that a notebook keeps."""
    from IPython.display import Image

    return Image(picture(draw, "png", *asked, stamp=stamp), format="png", alt=says)


def as_files(report: Report, system: str, end: str = "") -> dict[str, str | bytes]:
    """File name -> content: `QUESTION.html`, `result.json` and the figures by their names; `end` tells several reports apart."""
    page = {f"{report.question}{end}.html": as_html(report, system), f"result{end}.json": as_json(report)}
    return page | {f"{Path(name).stem}{end}{Path(name).suffix}": made for name, made in as_pictures(report, system).items()}
