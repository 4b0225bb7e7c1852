"""What a notebook cell asks about the run load in one call."""

from __future__ import annotations

from typing import Any

from heatcalc.answers.sale.buyer import Buyer, tell
from heatcalc.answers.sale.case import case_from_files, own_files, sized_case


def run_load(
    house: str | None = None,
    place: str = "Burlington, VT",
    changes: tuple[str, ...] | list[str] = (),
    unit: str = "",
    tariff: str = "",
) -> Buyer:
    """The run load of a house file (None = the demo house) in a place; `unit` and `tariff` empty = as recommended, as usual."""
    case = case_from_files(house, place, (*changes, *([f"unit={unit}"] if unit else [])), tariff=tariff or None)
    with own_files(case) as folder:
        return tell(sized_case(case, folder), folder)


def show_promise(b: Buyer, units: str = "ip") -> None:
    """Print the promise box, one sentence a line."""
    from heatcalc.show.run_load_text import not_promised, promise_lines

    print("\n".join([*promise_lines(b, units), not_promised()]))


def show_sources(b: Buyer, units: str = "ip") -> None:
    """Print where price, carbon and weather come from."""
    from heatcalc.show.run_load_text import carbon_line, price_line, rest_line, weather_line

    print("\n".join([price_line(b), rest_line(b), carbon_line(b, units), weather_line(b, units)]))


def run_load_table(b: Buyer, name: str, units: str = "ip") -> Any:
    """A table as a frame: "months", "changes", "fuels" or "swings"."""
    import pandas as pd

    from heatcalc.show import run_load_text as words

    heads = {"months": words.month_head(b), "changes": words.CHANGE_HEAD, "fuels": words.FUEL_HEAD, "swings": words.SWING_HEAD}
    rows = {
        "months": lambda: words.month_rows(b),
        "changes": lambda: words.change_rows(b, units),
        "fuels": lambda: words.fuel_rows(b, units),
        "swings": lambda: words.swing_rows(b, units),
    }
    return pd.DataFrame(rows[name](), columns=list(heads[name])).set_index(heads[name][0])


def run_load_figure(b: Buyer, name: str, units: str = "ip") -> Any:
    """One figure by its file name, as a picture a notebook keeps, with a text for screen readers."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture
    from heatcalc.show.run_load_figures import run_load_figures

    drawn = {f.name: f for f in run_load_figures(b, units)}[name]
    return Image(picture(drawn.draw, "png"), format="png", alt=drawn.says)


def write_run_load(b: Buyer, folder: str, units: str = "ip") -> None:
    """Write the sheet and its charts where a folder is named; say what was written."""
    from heatcalc.show.run_load_page import write_run_load as write

    written = ", ".join(p.name for p in write(b, folder, units)) if folder else ""
    print(f"wrote {written}" if written else "no folder named: nothing written")
