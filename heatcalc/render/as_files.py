"""A report as the files of a folder: its page, its record, its figures."""

from __future__ import annotations

from pathlib import Path

from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import as_json
from heatcalc.render.as_picture import as_pictures
from heatcalc.report.report import Report


def as_files(report: Report, system: str, end: str = "") -> dict[str, str | bytes]:
    """File name -> content: `QUESTION.html`, `result.json` and the figures by their names; `end` tells several reports apart."""
    page = {f"{report.question}{end}.html": as_html(report, system), f"result{end}.json": as_json(report)}
    return page | {f"{Path(name).stem}{end}{Path(name).suffix}": made for name, made in as_pictures(report, system).items()}
