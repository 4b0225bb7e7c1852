"""Papers for every row of an orders file: a folder a row and one index page; what is there already is not made again."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from heatcalc.answers.sale.sale_answer import SaleInputs, case_from_files, sale_of
from heatcalc.answers.study.many_orders import Order, model_file, place_of
from heatcalc.errors import InputError, NoAnswer
from heatcalc.files import content_of_program, write_whole
from heatcalc.show.papers_block import Block, Paper, paper_html
from heatcalc.show.papers_set import CASE, write_papers

INDEX = "index.html"
READ_FIRST = ("quote", "run-load", "owner", "circuits", "assemblies", "shop-card", "sizing")
CAUTION = "For information: local codes, each unit's manual and nameplate, and licensed trades decide."


Told = tuple[Order, str, str]  # an order, its folder, what is wrong with it


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
    write_whole(folder / INDEX, index_page(told))


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


def index_page(told: Sequence[Told]) -> str:
    """One page that leads to every order's papers, rows to mend first."""
    from markupsafe import Markup

    def links(name: str) -> Markup:
        return Markup(", ").join(Markup('<a href="{0}/{1}.html">{1}</a>').format(name, paper) for paper in READ_FIRST)

    good = tuple((str(o.row), o.reference, o.model, o.package, o.place, links(name)) for o, name, wrong in told if not wrong)
    bad = tuple(f"row {o.row}{f' ({o.reference})' if o.reference else ''}: {wrong}" for o, _, wrong in told if wrong)
    head = ("row", "order", "model", "package", "place", "papers")
    blocks = (
        Block("Rows to mend", bad) if bad else Block(),
        Block("Papers", (), f"{len(good)} orders", head, good) if good else Block(),  # type: ignore[arg-type]
        Block("", cautions=(CAUTION,)),
    )
    return paper_html(Paper("index", "Papers of all orders", (f"{len(good)} orders, {len(bad)} rows to mend",), blocks), "")
