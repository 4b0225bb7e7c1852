"""What a notebook cell asks in one call."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import SizeResult, size_house


def size(
    house: str | Path | None = None, place: str = "Burlington, VT", changes: Sequence[str] = (), package: str | None = None
) -> SizeResult:
    """The sizing of a house file (None = the demo house) in a place; `changes` as in `--set`."""
    return size_house(load_house(house, changes, package), find_place(place), folder=house_path(house).parent, search=True)


def show_text(result: Any, units: str = "ip") -> None:
    """Print any result as text."""
    from heatcalc.show.size_text import size_text

    print(size_text(result, units))


def show_figure(result: SizeResult, name: str, units: str = "ip") -> Any:
    """One figure of a result by its file name, as a picture a notebook keeps, with a text for screen readers."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture
    from heatcalc.show.size_figures import size_figures

    drawn = {f.name: f for f in size_figures(result, units)}[name]
    return Image(picture(drawn.draw, "png"), format="png", alt=drawn.says)


def table(result: SizeResult, name: str, units: str = "ip") -> Any:
    """A table of a sizing as a frame: "heating", "cooling", "units", "conditions" or "assumptions"."""
    import pandas as pd

    from heatcalc.show import size_text
    from heatcalc.wording import said

    if name == "units":
        head, *rows = size_text.unit_rows(result, units)
        return pd.DataFrame(rows, columns=head).set_index("unit")
    if name == "assumptions":
        return pd.DataFrame(
            [(a.name, said(a.value, units), a.why, a.source) for a in result.assumptions],
            columns=["what", "value", "why", "source"],
        ).set_index("what")
    heads = {"heating": ["part", "heat loss", "share"], "cooling": ["cause", "load"], "conditions": ["what", "value", "remark"]}
    rows_of = {"heating": size_text.heating_rows, "cooling": size_text.cooling_rows, "conditions": size_text.condition_rows}
    return pd.DataFrame(rows_of[name](result, units), columns=heads[name]).set_index(heads[name][0])


def split_changes(text: str) -> list[str]:
    """`a.b=1; c.d=2` as the list that `--set` takes."""
    return [part.strip() for part in text.split(";") if part.strip()]


def show_recommendation(result: SizeResult, units: str = "ip") -> None:
    """Print which house stands where, its loads and the recommendation, one sentence a line, and the warnings."""
    from heatcalc.show.size_text import cooling_line, heading, heating_line, recommendation
    from heatcalc.show.words import said

    lines = [*heading(result, units), heating_line(result, units), cooling_line(result, units)]
    print("\n".join([*lines, *recommendation(result, units)]))
    for warning in result.warnings:
        print("warning:", said(warning, units))


def write_sheet(result: SizeResult, folder: str, units: str = "ip") -> None:
    """Write the sizing sheet, its figures and result.json where a folder is named; say what was written."""
    from heatcalc.show.size_sheet import write_size

    print(
        "wrote " + ", ".join(p.name for p in write_size(result, folder, units)) if folder else "no folder named: nothing written"
    )
