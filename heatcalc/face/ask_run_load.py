"""What a notebook cell asks about the run load and the papers of a sale in one call."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.answers.sale.buyer import Buyer, tell
from heatcalc.answers.sale.sale_answer import Sale, case_from_files, own_files, sized_case
from heatcalc.files import numbered
from heatcalc.render.by_name import ByName

if TYPE_CHECKING:
    import pandas as pd
    from IPython.display import HTML, Image


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


def run_load_table(b: Buyer, name: str, units: str = "ip") -> pd.DataFrame:
    """A table as a frame: "months", "changes", "fuels" or "swings"; a wrong name lists the right ones (InputError)."""
    import pandas as pd

    from heatcalc.show import run_load_text as words

    tables = {
        "months": lambda: (words.month_head(b), words.month_rows(b)),
        "changes": lambda: (words.CHANGE_HEAD, words.change_rows(b, units)),
        "fuels": lambda: (words.FUEL_HEAD, words.fuel_rows(b, units)),
        "swings": lambda: (words.SWING_HEAD, words.swing_rows(b, units)),
    }
    head, rows = ByName("table", tables, lambda made: made())[name]
    return pd.DataFrame(rows, columns=list(head)).set_index(head[0])


def run_load_figure(b: Buyer, name: str, units: str = "ip") -> Image:
    """One figure by its file name, as a picture a notebook keeps; a wrong name lists the right ones (InputError)."""
    from heatcalc.render.as_picture import as_image
    from heatcalc.show.run_load_figures import run_load_figures

    drawn = {f.name: f for f in run_load_figures(b, units)}
    return ByName("figure", drawn, lambda f: as_image(f.draw, f.says))[name]


def write_run_load(b: Buyer, folder: str, units: str = "ip") -> None:
    """Write the sheet and its charts where a folder is named; say what was written."""
    from heatcalc.show.run_load_page import write_run_load as write

    written = ", ".join(p.name for p in write(b, folder, units)) if folder else ""
    print(f"wrote {written}" if written else "no folder named: nothing written")


class Papers(ByName[tuple[str, str], "HTML"]):
    """The papers of one sale, made from one sizing: each by its name as a page in a frame, all of them written into a folder."""

    def __init__(self, sales: tuple[Sale, ...]) -> None:
        from heatcalc.show.papers_set import pages

        self.sales = sales
        named = (
            (numbered(name, n, len(sales)).removesuffix(".html"), page)
            for n, sale in enumerate(sales, 1)
            for name, page in pages(sale).items()
        )
        super().__init__("paper", {name: (name, page) for name, page in named}, _framed)

    @property
    def names(self) -> tuple[str, ...]:
        """What may be asked for."""
        return tuple(self)

    def __repr__(self) -> str:
        return f"<heatcalc papers: {', '.join(self)}>"

    def write(self, folder: str | Path, pdf: bool = False, xlsx: bool = False, png: bool = False) -> list[Path]:
        """Every paper and the case itself in a folder, whole or not at all; returns the files."""
        from heatcalc.show.papers_set import write_papers

        return write_papers(self.sales, folder, pdf, xlsx, png)


def _framed(paper: tuple[str, str]) -> HTML:
    """A page in a frame of its own, as a notebook shows it."""
    import html

    from IPython.display import HTML

    title, page = (html.escape(part) for part in paper)
    style = "width:100%;height:32em;border:1px solid #999"
    return HTML(f'<div><iframe title="{title}" srcdoc="{page}" style="{style}"></iframe></div>')


def papers(
    house: str | None = None,
    place: str | tuple[str, ...] = "Burlington, VT",
    buyer: str = "",
    changes: tuple[str, ...] | list[str] = (),
    package: str | None = None,
    unit: str = "",
    tariff: str = "",
    units: str = "ip",
) -> Papers:
    """`heatcalc papers`: quote, buyer's sheet, circuits, shop card and owner's page of a house file (None = the demo house)."""
    from heatcalc.answers.sale.sale_answer import sale_of

    said = (*changes, *([f"unit={unit}"] if unit else []))
    return Papers(sale_of(case_from_files(house, place, said, package, tariff or None, units, buyer)))
