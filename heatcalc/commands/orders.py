"""An orders file: one plan a row, for every model, package and place in it.

Examples:
heatcalc orders orders.csv                       # one row an order: reference,model,package,place,supply,unit,options
heatcalc orders orders.csv -o table/             # page, workbook, CSV and JSON; run again, it goes on where it stopped
heatcalc orders orders.csv -o table/ --year --engine dask:tcp://10.0.0.5:8786
heatcalc orders orders.csv --papers sales/       # every paper of every order, and index.html; run again, it goes on
heatcalc orders orders.csv --papers sales/ --order A-102   # of one order
heatcalc orders --model plover-26g --model my-house.toml --packages all --place "Duluth, MN" --place 77002 -o table/
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import add_output, shown, tell

if TYPE_CHECKING:
    from heatcalc.answers.study.many_orders import Answered, Order
    from heatcalc.face.answer import Answer


def orders(
    file: str | Path | None = None,
    models: Sequence[str | Path] = (),
    places: Sequence[str] = (),
    packages: str = "",
    unit_names: Sequence[str] = (),
    sure: float = 0.9,
    year: bool = False,
    workers: int = 1,
    units: str = "ip",
) -> Answer[Answered]:
    """`heatcalc orders`: the plan of `size` for every order of a file, or of every model with every package in every place.

    file : a CSV of orders; None for `models` x `packages` x `places` x `unit_names`
    packages : names parted by commas, "all" for every one, empty for the house as described
    sure : chance (0.5 to 0.99) with which each plan is to hold; year : walk every plan's year; workers : processes
    Tables: orders, totals, costs, prices.  Figure: needs.  `result.records`: a dict a row, SI; `.good`, `.bad`.
    Raises InputError for a file that is none; a row that cannot be answered is in `.bad`.
    """
    from heatcalc.answers.study.many_orders import Answered, answered, check_sure, crossed, read_orders
    from heatcalc.answers.study.processes import in_processes
    from heatcalc.report.about_orders import about_orders

    if file is None:
        title, beside, rows = "Models by places", Path(), crossed([str(m) for m in models], packages, places, unit_names)
    else:
        title, beside, rows = f"Orders of {Path(file).name}", Path(file).parent, read_orders(file)
    spread = map if workers == 1 else in_processes(workers)
    found = sorted(answered(rows, beside, spread, check_sure(sure), year), key=lambda r: r["row"])
    return shown(Answered(title, sure, tuple(found)), about_orders, units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "orders",
        metavar="FILE",
        nargs="?",
        help="orders as a CSV, as a spreadsheet writes it; wrong rows are named, the others go on",
    )
    for name, words in (
        ("model", "without FILE: a house file, in every --place; may be repeated"),
        ("place", "a place, for every --model; may be repeated"),
        ("unit", "a unit of the candidates, for every model and place; may be repeated (default: the plan's)"),
    ):
        parser.add_argument(f"--{name}", action="append", default=[], dest=f"{name}s_named", metavar=name.upper(), help=words)
    parser.add_argument("--places", metavar="FILE|zips", help="many places: a file with one a line, or every ZIP")
    parser.add_argument("--packages", default="", help='names parted by commas, or "all" (default: as described)')
    parser.add_argument("--year", action="store_true", help="walk every plan's year: kilowatt-hours, dollars, humidity")
    parser.add_argument(
        "--sure", type=float, default=90.0, metavar="N", help="of 100 houses built so, N hold (default: %(default)g)"
    )
    parser.add_argument("--workers", type=int, default=2, help="processes (default: %(default)s)")
    parser.add_argument("--engine", metavar="dask[:ADDRESS]", help="a cluster instead of processes: one here, or one that runs")
    parser.add_argument("--papers", metavar="FOLDER", help="write every paper of every order into a folder, with one index page")
    parser.add_argument("--order", metavar="REFERENCE", help="this order alone")
    parser.add_argument("--pdf", action="store_true", help="with --papers: every paper as PDF too")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from tqdm import tqdm

    from heatcalc.answers.study.many_orders import DONE, Answered, answered, check_sure
    from heatcalc.answers.study.processes import in_processes
    from heatcalc.report.about_orders import about_orders

    sure, (title, beside, orders) = check_sure(arguments.sure / 100.0), _orders(arguments)
    if arguments.papers:
        return _papers(arguments, orders, beside)
    done = Path(arguments.out) / DONE if arguments.out else None
    spread = in_processes(arguments.workers, arguments.engine)
    found = answered(orders, beside, spread, sure, arguments.year, done)
    records = list(tqdm(found, total=len(orders), unit="order", disable=not sys.stderr.isatty()))
    report = about_orders(Answered(title, sure, tuple(sorted(records, key=lambda r: r["row"]))))
    return tell(arguments, report, files=_files(report, arguments.units) if arguments.out else None)


def _orders(arguments: Namespace) -> tuple[str, Path, list[Order]]:
    """What the orders are called, where their files lie, and the orders: of the file, or of models by places."""
    from heatcalc.answers.study.many_orders import crossed, read_orders
    from heatcalc.errors import InputError
    from heatcalc.inputs.place.place_list import listed_places

    models, places, named = arguments.models_named, arguments.places_named, arguments.units_named
    places = [*places, *(listed_places(arguments.places) if arguments.places else [])]
    crossing = {"--model": models, "--place": places, "--unit": named, "--packages": arguments.packages}
    if arguments.orders:
        if spare := [option for option, said in crossing.items() if said]:
            raise InputError(spare[0], None, "and an orders file both say what is ordered", "say it in one of them")
        file = Path(arguments.orders)
        return f"Orders of {file.name}", file.parent, _asked_for(read_orders(file), arguments.order)
    for option in ("--model", "--place"):
        if not crossing[option]:
            advice = '--model plover-26g --place "Duluth, MN"'
            raise InputError(option, None, "is missing: name an orders file, or models and places", advice)
    return "Models by places", Path(), _asked_for(crossed(models, arguments.packages, places, named), arguments.order)


def _asked_for(orders: list[Order], reference: str | None) -> list[Order]:
    """The orders of a reference; all where none is named."""
    from heatcalc.errors import InputError, nearest

    found = [o for o in orders if reference in (None, o.reference)]
    if not found:
        known = [o.reference for o in orders]
        raise InputError("--order", reference, "is no reference of the file", nearest(reference or "", known))
    return found


def _papers(arguments: Namespace, orders: list[Order], beside: Path) -> int:
    """Papers of every order; exit code 2 where a row could not be answered."""
    from tqdm import tqdm

    from heatcalc.face.sale_papers import INDEX, order_papers
    from heatcalc.wording import counted

    folder = Path(arguments.papers)
    found = order_papers(orders, beside, folder, arguments.units, arguments.pdf)
    told = list(tqdm(found, total=len(orders), unit="order", disable=not sys.stderr.isatty()))
    bad = [(order, problem) for order, _, problem in told if problem]
    for order, problem in bad:
        print(f"row {order.row}: {problem}", file=sys.stderr)
    print(f"wrote {folder / INDEX}: papers of {counted(len(told) - len(bad), 'order')}, {counted(len(bad), 'row')} to mend")
    return 2 if bad else 0


def _files(report, system: str) -> dict[str, str | bytes]:
    """The table as a workbook and as a CSV besides page and JSON."""
    from heatcalc.render.as_frame import as_frame
    from heatcalc.render.as_xlsx import as_xlsx

    table = report.tables.get("orders")
    made: dict[str, str | bytes] = {"orders.xlsx": as_xlsx(report, system)}
    return made if table is None else made | {"orders.csv": as_frame(table, system).to_csv()}
