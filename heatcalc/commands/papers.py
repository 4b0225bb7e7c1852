"""The set of papers for a sale, from one saved case.

Examples:
heatcalc papers my-house.toml --place "Duluth, MN" --buyer "A. Buyer" -o papers/
heatcalc papers papers/case.json -o again/  # the same papers, byte for byte
heatcalc papers plover-26g --place 98101 --units both --pdf --xlsx -o papers/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE

if TYPE_CHECKING:
    from heatcalc.face.sale_papers import Papers


def papers(
    house: str | None = None,
    place: str | tuple[str, ...] = DEMO_PLACE,
    buyer: str = "",
    changes: tuple[str, ...] | list[str] = (),
    package: str | None = None,
    unit: str = "",
    tariff: str = "",
    units: str = "ip",
) -> Papers:
    """`heatcalc papers`: quote, buyer's sheet, circuits, shop card and owner's page of a house file (None = the demo house)."""
    from heatcalc.answers.sale.sale_answer import case_from_files, sale_of
    from heatcalc.face.sale_papers import Papers

    said = (*changes, *([f"unit={unit}"] if unit else []))
    return Papers(sale_of(case_from_files(house, place, said, package, tariff or None, units, buyer)))


def add_arguments(parser: ArgumentParser) -> None:
    from heatcalc.commands.common import add_case

    add_case(parser)
    parser.add_argument("-o", "--out", required=True, metavar="DIR", help="folder for the papers and case.json")
    parser.add_argument("--pdf", action="store_true", help="every paper as PDF too")
    parser.add_argument("--xlsx", action="store_true", help="the run load as a spreadsheet too")
    parser.add_argument("--png", action="store_true", help="the first page of the run load as a picture too (with --pdf always)")


def run(arguments: Namespace) -> int:

    from heatcalc.commands.common import case_of
    from heatcalc.errors import InputError

    if Path(arguments.out).is_file():
        raise InputError("-o", arguments.out, "is a file; name a folder")
    case = case_of(arguments)
    from heatcalc.answers.sale.sale_answer import sale_of
    from heatcalc.face.sale_papers import write_papers

    written = write_papers(sale_of(case), arguments.out, arguments.pdf, arguments.xlsx, arguments.png)
    print("wrote " + ", ".join(str(path) for path in written))
    return 0
