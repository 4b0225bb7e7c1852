"""What a notebook cell asks about the run load and the papers of a sale in one call."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.answers.sale.buyer import Buyer, tell
from heatcalc.answers.sale.sale_answer import Sale, case_from_files, own_files, sale_of, sized_case
from heatcalc.face.answer import Answer
from heatcalc.files import numbered
from heatcalc.render.by_name import ByName
from heatcalc.report.about_run_load import about_run_load

if TYPE_CHECKING:
    from IPython.display import HTML


def run_load(
    house: str | None = None,
    place: str = "Burlington, VT",
    changes: tuple[str, ...] | list[str] = (),
    unit: str = "",
    tariff: str = "",
    package: str | None = None,
    units: str = "ip",
) -> Answer[Buyer]:
    """`heatcalc sheet`: the run load of a house file (None = the demo house) in a place, and what may be promised of it.

    unit, tariff : empty = as recommended, as usual;  units : "ip", "si" or "both"
    Tables: months, changes, fuels, swings.  Figures: months, cord-hours, coldest-day, hottest-day, month-hour, humidity,
    output-share, power-cut.
    """
    case = case_from_files(house, place, (*changes, *([f"unit={unit}"] if unit else [])), package, tariff or None, units)
    with own_files(case) as folder:
        found = tell(sized_case(case, folder), folder)
    return Answer(found, lambda b: about_run_load(b, inputs=case.hash), units)


class Papers(ByName[tuple[str, str], "HTML"]):
    """The papers of one sale, made from one sizing: each by its name as a page in a frame, all of them written into a folder."""

    def __init__(self, sales: tuple[Sale, ...]) -> None:
        from heatcalc.face.sale_papers import pages

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
        from heatcalc.face.sale_papers import write_papers

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
    said = (*changes, *([f"unit={unit}"] if unit else []))
    return Papers(sale_of(case_from_files(house, place, said, package, tariff or None, units, buyer)))
