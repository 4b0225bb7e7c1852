"""The papers of a sale and of a file of orders: made whole in memory, then written; a saved case writes the same bytes again."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.answers.sale.sale_answer import Sale, SaleInputs, case_from_files, case_record, sale_of
from heatcalc.answers.study.many_orders import Order, model_file, place_of
from heatcalc.errors import InputError, NoAnswer
from heatcalc.files import content_of_program, numbered, write_together, write_whole
from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import json_text
from heatcalc.render.by_name import ByName
from heatcalc.report.about_orders import CAUTION
from heatcalc.report.about_owner import owner_paper, quote_paper
from heatcalc.report.about_run_load import about_run_load, run_load_values
from heatcalc.report.about_shop import assemblies_paper, circuits_paper, shop_paper, table
from heatcalc.report.about_size import about_size
from heatcalc.report.report import Caution, Report, chapter, chapters
from heatcalc.report.size_values import size_values
from heatcalc.report.table import Links
from heatcalc.wording import counted

if TYPE_CHECKING:
    from IPython.display import HTML

CASE, INDEX = "case.json", "index.html"
READ_FIRST = ("quote", "run-load", "owner", "circuits", "assemblies", "shop-card", "sizing")

Told = tuple[Order, str, str]  # an order, its folder, what is wrong with it


class Papers(ByName[tuple[str, str], "HTML"]):
    """The papers of one sale, made from one sizing: each by its name as a page in a frame, all of them written into a folder."""

    def __init__(self, sales: tuple[Sale, ...]) -> None:
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
        return write_papers(self.sales, folder, pdf, xlsx, png)


def _framed(paper: tuple[str, str]) -> HTML:
    """A page in a frame of its own, as a notebook shows it."""
    import html

    from IPython.display import HTML

    title, page = (html.escape(part) for part in paper)
    style = "width:100%;height:32em;border:1px solid #999"
    return HTML(f'<div><iframe title="{title}" srcdoc="{page}" style="{style}"></iframe></div>')


def pages(s: Sale) -> dict[str, str]:
    """Every page of the set as HTML by file name; with both unit systems the sizing comes once in each."""
    systems = ("ip", "si") if s.case.units == "both" else (s.case.units,)
    sizing = {f"sizing{'-si' if k else ''}.html": as_html(about_size(s.sized), system) for k, system in enumerate(systems)}
    makers = circuits_paper, assemblies_paper, shop_paper, owner_paper, quote_paper
    reports = (about_run_load(s.buyer, s.case.buyer, s.case.hash), *(make(s) for make in makers))
    return sizing | {f"{r.question}.html": as_html(r, s.case.units) for r in reports}


def write_papers(
    sales: Sequence[Sale], folder: str | Path, also_pdf: bool = False, also_xlsx: bool = False, also_png: bool = False
) -> list[Path]:
    """All files of the set, numbered by place where the house moves; everything is made before the first byte is written, the
    case last."""
    made: dict[str, str | bytes] = {}
    for n, sale in enumerate(sales, 1):
        made |= {numbered(name, n, len(sales)): content for name, content in _set(sale, also_pdf, also_xlsx, also_png).items()}
    results = [{"sizing": size_values(s.sized), "run_load": run_load_values(s.buyer)} for s in sales]
    made[CASE] = json_text(case_record(sales[0].case, results[0] if len(results) == 1 else {"places": results}))
    return write_together(folder, made)


def _set(s: Sale, also_pdf: bool, also_xlsx: bool, also_png: bool) -> dict[str, str | bytes]:
    """The papers of one place."""
    html = pages(s)
    made: dict[str, str | bytes] = dict(html)
    if also_pdf or also_png:
        from heatcalc.render.as_pdf import first_page, paper_of, pdf

        printed = {f"{Path(n).stem}.pdf": pdf(html[n], paper_of(s.case.units)) for n in (html if also_pdf else ["run-load.html"])}
        made |= (printed if also_pdf else {}) | {"run-load.png": first_page(printed["run-load.pdf"])}
    if also_xlsx:
        from heatcalc.render.as_xlsx import as_xlsx

        made["run-load.xlsx"] = as_xlsx(about_run_load(s.buyer), s.case.units)
    return made


def order_papers(orders: Sequence[Order], beside: Path, folder: Path, units: str, also_pdf: bool) -> Iterator[Told]:
    """Each order with its folder's name and its problem (empty where its papers stand); the index page after the last.

    A row that cannot be answered is told and the others go on; a row whose case stands there with the same inputs is kept.
    """
    told = []
    for order in orders:
        name, problem = folder_name(order), ""
        try:
            case = order_case(order, beside, units)
            if not _stands(folder / name / CASE, case):
                write_papers(sale_of(case), folder / name, also_pdf)
        except (InputError, NoAnswer) as wrong:
            problem = str(wrong)
        told.append((order, name, problem))
        yield told[-1]
    write_whole(folder / INDEX, as_html(about_papers(told), "ip"))


def order_case(order: Order, beside: Path, units: str = "ip") -> SaleInputs:
    """The sale of one row, as `papers` takes it.  Raises InputError for what the row says wrong."""
    place_of(order)
    model = str(model_file(order.model, beside))
    return case_from_files(model, order.place, order.changes, order.package or None, units=units, buyer=order.reference)


def folder_name(order: Order) -> str:
    """A plain name for the row's folder: its number, and its reference where that is one."""
    plain = re.sub(r"[^A-Za-z0-9-]+", "-", order.reference).strip("-")[:40]
    return f"{order.row:04d}-{plain}" if plain else f"{order.row:04d}"


def _stands(file: Path, case: SaleInputs) -> bool:
    """Whether the papers of these very inputs, made by this very program, are there: the case is written last."""
    try:
        record = json.loads(file.read_text(encoding="utf-8"))
        return bool(record["inputs_sha256"] == case.hash and record["versions"]["content"] == content_of_program())
    except (OSError, ValueError, KeyError, TypeError):
        return False


def about_papers(told: Sequence[Told]) -> Report:
    """What leads to every order's papers, rows to mend first."""
    heads = ("row", "order", "model", "package", "place", "papers")
    good = [
        (str(o.row), o.reference, o.model, o.package, o.place, Links(tuple((f"{name}/{p}.html", p) for p in READ_FIRST)))
        for o, name, wrong in told
        if not wrong
    ]
    bad = [f"row {o.row}{f' ({o.reference})' if o.reference else ''}: {wrong}" for o, _, wrong in told if wrong]
    found = table("papers", f"{len(good)} orders", heads, tuple(good)) if good else None
    return Report(
        question="index",
        title="Papers of all orders",
        under=(f"{counted(len(good), 'order')}, {counted(len(bad), 'row')} to mend",),
        chapters=chapters(chapter("Rows to mend", *bad), chapter("Papers", found), chapter("Cautions", Caution(CAUTION))),
    )
