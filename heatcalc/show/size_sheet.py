"""The sizing sheet: one self-contained page, its figures, and result.json, written whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from heatcalc import __version__, units
from heatcalc.files import write_together
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.report.drawing import picture
from heatcalc.show import size_text
from heatcalc.show.pages import figures_inside, rendered
from heatcalc.show.record import as_json, size_record
from heatcalc.show.size_figures import size_figures
from heatcalc.wording import said


def size_sheet(r: SizeResult, system: str) -> str:
    """The page as HTML text."""
    return rendered("size_sheet.html", _values(r, system) | {"figures": figures_inside(size_figures(r, system))})


def write_size(r: SizeResult, folder: str | Path, system: str) -> list[Path]:
    """Sheet, figures and result.json in `folder`; everything is made before the first file is written."""
    target = Path(folder)
    made: dict[str, str | bytes] = {"sizing.html": size_sheet(r, system), "result.json": as_json(size_record(r))}
    for figure in size_figures(r, system):
        made[f"{figure.name}.svg"] = picture(figure.draw, "svg")
        made[f"{figure.name}.png"] = picture(figure.draw, "png")
    return write_together(target, made)


def _values(r: SizeResult, system: str) -> dict[str, Any]:
    rows = size_text.unit_rows(r, system)
    return {
        "name": r.house.name,
        "place": r.place.name,
        "version": __version__,
        "heading": size_text.heading(r, system),
        "recommendation": size_text.recommendation(r, system),
        "warnings": [said(w, system) for w in r.warnings],
        "conditions": size_text.condition_rows(r, system),
        "source": said(r.designer.conditions.source, system),
        "heating_line": size_text.heating_line(r, system),
        "heating": size_text.heating_rows(r, system),
        "hand_check": size_text.hand_check(r, system),
        "units": rows,
        "chosen": r.recommended.name if r.recommended else None,
        "reasons": [(c.name, "; ".join(said(reason, system) for reason in c.reasons)) for c in r.candidates],
        "cooling_line": size_text.cooling_line(r, system),
        "cooling": size_text.cooling_rows(r, system),
        "assumptions": [(a.name, said(a.value, system), said(a.why, system), said(a.source, system)) for a in r.assumptions],
        "cautions": CAUTIONS,
        "felt": units.text(r.task.heating_set_C, "temperature", system),
    }
