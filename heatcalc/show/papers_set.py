"""The set of papers of a sale: made whole in memory, then written; a saved case writes the same bytes again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from heatcalc.answers.sale.sale_answer import Sale, case_record
from heatcalc.files import numbered, write_together
from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import json_text as as_json
from heatcalc.report.about_size import about_size
from heatcalc.report.size_values import size_values
from heatcalc.show.papers_block import Block, Paper, paper_html
from heatcalc.show.papers_owner import owner_paper, quote_paper
from heatcalc.show.papers_placing import shop_paper
from heatcalc.show.papers_shop import assemblies_paper, circuits_paper
from heatcalc.show.run_load_page import run_load_html
from heatcalc.show.run_load_record import run_load_record
from heatcalc.wording import said

CASE = "case.json"


def papers(s: Sale) -> tuple[Paper, ...]:
    """The papers that are drawn from blocks; what is to be minded about the place stands on each."""
    system = s.case.units
    makers = circuits_paper, assemblies_paper, shop_paper, owner_paper, quote_paper
    drawn = tuple(make(s, system) for make in makers)
    minded = [said(words, "ip" if system == "both" else system) for words in s.sized.place.warnings]
    return tuple(replace(p, blocks=(*p.blocks, Block("About the place", cautions=tuple(minded)))) if minded else p for p in drawn)


def pages(s: Sale) -> dict[str, str]:
    """Every page of the set as HTML by file name; with both unit systems the sizing comes once in each."""
    systems = ("ip", "si") if s.case.units == "both" else (s.case.units,)
    sizing = {f"sizing{'-si' if k else ''}.html": as_html(about_size(s.sized), system) for k, system in enumerate(systems)}
    run = {"run-load.html": run_load_html(s.buyer, s.case.units, s.case.buyer, s.case.hash)}
    return sizing | run | {f"{p.name}.html": paper_html(p, s.case.hash) for p in papers(s)}


def write_papers(
    sales: Sequence[Sale], folder: str | Path, also_pdf: bool = False, also_xlsx: bool = False, also_png: bool = False
) -> list[Path]:
    """All files of the set, numbered by place where the house moves; everything is made before the first byte is written, the
    case last."""
    made: dict[str, str | bytes] = {}
    for n, sale in enumerate(sales, 1):
        made |= {numbered(name, n, len(sales)): content for name, content in _set(sale, also_pdf, also_xlsx, also_png).items()}
    results = [{"sizing": size_values(s.sized), "run_load": run_load_record(s.buyer)} for s in sales]
    made[CASE] = as_json(case_record(sales[0].case, results[0] if len(results) == 1 else {"places": results}))
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
        from heatcalc.show.xlsx import xlsx

        made["run-load.xlsx"] = xlsx(s.buyer, s.case.units)
    return made
