"""Examples:
heatcalc sheet my-house.toml --place "Duluth, MN" -o run-load.html
heatcalc sheet plover-26g --place 98101 --unit G12-C-230 --units both -o run-load.pdf
heatcalc sheet my-house.toml --place 80203 --tariff my-tariff.toml -o run-load.xlsx
heatcalc sheet case.json -o run-load.png
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

KINDS = (".html", ".pdf", ".xlsx", ".png", ".json")


def add_arguments(parser: ArgumentParser) -> None:
    from heatcalc.commands.common import add_case

    add_case(parser)
    parser.add_argument("--paper", choices=("letter", "a4"), help="of a PDF or PNG (default: letter, with --units si A4)")
    parser.add_argument("-o", "--out", required=True, metavar="FILE", help="the sheet; its ending says what: " + ", ".join(KINDS))


def run(arguments: Namespace) -> int:
    from heatcalc.answers.sale.sale_answer import own_files
    from heatcalc.commands.common import case_of
    from heatcalc.errors import InputError
    from heatcalc.files import numbered, write_together

    path = Path(arguments.out)
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise InputError("-o", arguments.out, f"the sheet ends in {', '.join(KINDS)}")
    case = case_of(arguments)
    with own_files(case) as folder:
        from heatcalc.answers.sale.buyer import tell
        from heatcalc.answers.sale.sale_answer import sized_case

        every, paper = sized_case(case, folder).each, arguments.paper
        made = {numbered(path.name, n, len(every)): _made(tell(one, folder), case, kind, paper) for n, one in enumerate(every, 1)}
    print("wrote " + ", ".join(str(file) for file in write_together(path.parent, made)))
    return 0


def _made(buyer, case, kind: str, paper: str | None) -> str | bytes:
    """The sheet in the form that the ending names."""
    from heatcalc.show import run_load_page as page

    if kind == ".json":
        from heatcalc.render.as_json import json_text as as_json
        from heatcalc.show.run_load_record import run_load_record

        return as_json(run_load_record(buyer))
    if kind == ".xlsx":
        from heatcalc.show.xlsx import xlsx

        return xlsx(buyer, case.units)
    html = page.run_load_html(buyer, case.units, case.buyer, case.hash)
    if kind == ".html":
        return html
    from heatcalc.render.as_pdf import first_page, paper_of, pdf

    made = pdf(html, paper or paper_of(case.units))
    return made if kind == ".pdf" else first_page(made)
