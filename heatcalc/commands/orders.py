"""Examples:
heatcalc orders orders.csv                       # one row an order: reference,model,package,place,supply,unit,options
heatcalc orders orders.csv -o table/             # page, workbook, CSV and JSON; run again, it goes on where it stopped
heatcalc orders orders.csv -o table/ --year --engine dask:tcp://10.0.0.5:8786
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path

from heatcalc.commands.common import add_output, tell


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "orders", metavar="FILE", help="orders as a CSV, as a spreadsheet writes it; wrong rows are named, the others go on"
    )
    parser.add_argument("--year", action="store_true", help="walk every plan's year: kilowatt-hours, dollars, humidity")
    parser.add_argument(
        "--sure", type=float, default=90.0, metavar="N", help="of 100 houses built so, N hold (default: %(default)g)"
    )
    parser.add_argument("--workers", type=int, default=2, help="processes (default: %(default)s)")
    parser.add_argument("--engine", metavar="dask[:ADDRESS]", help="a cluster instead of processes: one here, or one that runs")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from tqdm import tqdm

    from heatcalc.answers.study.orders import DONE, answered, check_sure, read_orders
    from heatcalc.answers.study.processes import in_processes
    from heatcalc.report.about_orders import about_orders

    file, sure = Path(arguments.orders), check_sure(arguments.sure / 100.0)
    orders = read_orders(file)
    done = Path(arguments.out) / DONE if arguments.out else None
    spread = in_processes(arguments.workers, arguments.engine)
    found = answered(orders, file.parent, spread, sure, arguments.year, done)
    records = list(tqdm(found, total=len(orders), unit="order", disable=not sys.stderr.isatty()))
    report = about_orders(file.name, records, sure)
    return tell(arguments, report, files=_files(report, arguments.units) if arguments.out else None)


def _files(report, system: str) -> dict[str, str | bytes]:
    """The table as a workbook and as a CSV besides page and JSON."""
    from heatcalc.render.as_frame import as_frame
    from heatcalc.render.as_xlsx import as_xlsx

    table = report.tables.get("orders")
    made: dict[str, str | bytes] = {"orders.xlsx": as_xlsx(report, system)}
    return made if table is None else made | {"orders.csv": as_frame(table, system).to_csv()}
