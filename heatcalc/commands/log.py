"""Compare an owner's logged energy with the computed house.

Examples:
  heatcalc log my-log.csv --house my-house.toml --place "Duluth, MN" --set unit=G12-C-230 -o out/
  heatcalc log owner_log_invented  # the invented example log of the demo house
  heatcalc log bills.csv --outdoor logger.csv --house plover-26g --place 05401

The log is an export as a utility or a meter gives it (begin and end of each row, a date and a clock, hours side by side,
bills by their read dates; AM and PM, thousands separators, an account above), or a plain CSV:
  # meter: unit            what is metered: unit (the heat pump's circuit) or house; else read from its words, and said
  # other loads: 250 W     with meter: house, the mean of everything else; else read from its mild days
  # stamps: end            a row covers the time up to its stamp (end) or from it on (begin); else read from the column
  time,energy (kWh),outdoor (F),indoor (F)
  2025-01-01 01:00,0.62,12.2,69.8
Energy is one of energy (kWh or Wh) of the row, power (W or kW) as its mean, or reading (kWh) of a counter that only rises.
Rows from 15 minutes to two months apart; empty cells are gaps; days with gaps are left out and said. Without indoor the set
point is taken; outdoor may stand in a second file of the same kind (--outdoor).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_changes, add_output, add_place, asked, house_of, place_of, shown, tell

if TYPE_CHECKING:
    from heatcalc.answers.year.log_answer import LogResult
    from heatcalc.face.answer import Answer


def log(
    csv: str | Path,
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[LogResult]:
    """`heatcalc log`: does the metered house behave as computed?  `csv` is a file or a shipped log by its name."""
    from heatcalc.answers.year.log_answer import compare_log, log_house
    from heatcalc.inputs.log.log_file import log_path, read_log
    from heatcalc.report.about_log import about_log

    said, where, folder = asked(house, place, changes, package)
    return shown(compare_log(read_log(log_path(str(csv))), log_house(said, where, folder)), about_log, units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("log", metavar="CSV", help="the owner's log, or the shipped example's name")
    parser.add_argument("--house", help="the house file; without one, the invented demo house")
    add_changes(parser, "unit=G12-C-230")
    parser.add_argument("--package", help="one of the house file's option packages")
    parser.add_argument("--outdoor", metavar="CSV", help="outdoor temperatures of the same days, where the log has none")
    parser.add_argument("--meter", choices=("unit", "house"), default="", help="metered: the heat pump alone or the whole house")
    parser.add_argument("--other", metavar="W", default="", help='with --meter house: the mean of everything else, e.g. "300 W"')
    add_place(parser)
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.year.log_answer import compare_log, log_house
    from heatcalc.inputs.log.log_file import log_path, read_log
    from heatcalc.report.about_log import about_log

    log = read_log(log_path(arguments.log), arguments.outdoor, arguments.meter, arguments.other)
    house, folder = house_of(arguments)
    return tell(arguments, about_log(compare_log(log, log_house(house, place_of(arguments), folder))))
