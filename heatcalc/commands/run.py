"""Execute a workbook with parameters.

Examples:
heatcalc run size_heat_pump -p place="Duluth, MN" -p units=si -o out/
heatcalc run workbooks/size_heat_pump.ipynb -p house=my-house.toml
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("workbook", help="a shipped workbook's name or a notebook file")
    parser.add_argument("-p", action="append", default=[], metavar="name=value", help="a parameter; may be repeated")
    parser.add_argument("-o", "--out", default=".", help="folder for the executed copy (default: here)")


def run(arguments: Namespace) -> int:
    from heatcalc.notebooks import run_workbook, workbook_path

    name = workbook_path(arguments.workbook).stem
    out = Path(arguments.out) / f"{name}-run.ipynb"
    print(run_workbook(arguments.workbook, arguments.p, out), end="")
    print(f"wrote {out}")
    return 0
