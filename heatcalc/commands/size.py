"""Examples:
heatcalc size  # the invented demo house in Burlington, Vermont
heatcalc size my-house.toml --place "Duluth, MN" -o out/
heatcalc size plover-26g --place 97201 --set below.kind=skirted --units si
heatcalc size my-house.toml --place "Duluth, MN; May-Oct" --place "Phoenix, AZ; Nov-Apr" --sure 95  # a house that moves
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, sized_of, tell


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", help="judge this unit, and still say which would be better")
    parser.add_argument(
        "--sure",
        type=float,
        default=90.0,
        metavar="OF_100",
        help="of 100 houses built so, how many are to hold the design cold (default: %(default)g)",
    )
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.report.about_size import about_size

    return tell(arguments, about_size(sized_of(arguments, arguments.sure / 100.0)[0]))
