"""The buyer's run-load sheet.

Examples:
heatcalc sheet my-house.toml --place "Duluth, MN" -o run-load.html
heatcalc sheet plover-26g --place 98101 --unit G12-C-230 --units both -o run-load.pdf
heatcalc sheet my-house.toml --place 80203 --tariff my-tariff.toml -o run-load.xlsx
heatcalc sheet case.json -o run-load.png
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, shown

if TYPE_CHECKING:
    from heatcalc.answers.sale.buyer import Buyer
    from heatcalc.face.answer import Answer


KINDS = (".html", ".pdf", ".xlsx", ".png", ".json", ".txt")


def run_load(
    house: str | None = None,
    place: str = DEMO_PLACE,
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
    from heatcalc.answers.sale.buyer import tell
    from heatcalc.answers.sale.sale_answer import case_from_files, own_files, sized_case
    from heatcalc.report.about_run_load import about_run_load

    case = case_from_files(house, place, (*changes, *([f"unit={unit}"] if unit else [])), package, tariff or None, units)
    with own_files(case) as folder:
        found = tell(sized_case(case, folder), folder)
    return shown(found, lambda b: about_run_load(b, inputs=case.hash), units)


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
    from heatcalc.report.about_run_load import about_run_load

    report, units = about_run_load(buyer, case.buyer, case.hash), case.units
    if kind == ".json":
        from heatcalc.render.as_json import as_json

        return as_json(report)
    if kind == ".txt":
        from heatcalc.render.as_text import as_text

        return as_text(report, units) + "\n"
    if kind == ".xlsx":
        from heatcalc.render.as_xlsx import as_xlsx

        return as_xlsx(report, units)
    if kind == ".html":
        from heatcalc.render.as_html import as_html

        return as_html(report, units)
    from heatcalc.render.as_pdf import as_pdf, first_page

    made = as_pdf(report, units, paper)
    return made if kind == ".pdf" else first_page(made)
