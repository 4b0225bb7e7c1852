"""Examples:
heatcalc compare  # the demo house's packages in Burlington, Vermont
heatcalc compare plover-26g --place "Duluth, MN" --packages Breeze,Hearth -o out/
heatcalc compare plover-26g --place 05401 --enough-for G09-C-230  # the cheapest priced options that let it carry
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, places_of, tell_each


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--packages", metavar="A,B", help="packages of the house file (default: all of them)")
    parser.add_argument("--unit", metavar="NAME", help="one mini-split for every package (default: the recommended of each)")
    parser.add_argument(
        "--enough-for", metavar="UNIT", help="search the file's priced options for the cheapest set that lets it carry the house"
    )
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.study.enough import cheapest_for
    from heatcalc.answers.study.packages import compare_in_places, package_list
    from heatcalc.errors import InputError
    from heatcalc.report.about_compare import about_compare

    if arguments.packages and arguments.package:
        raise InputError("--package", arguments.package, "and --packages both say which", "say it once")
    places = places_of(arguments)
    wanted = package_list(arguments.house, arguments.packages or arguments.package)
    found = compare_in_places(arguments.house, places, wanted, arguments.unit, arguments.changes)
    enough = (
        None
        if arguments.enough_for is None
        else cheapest_for(arguments.house, places, arguments.enough_for, arguments.package, arguments.changes)
    )
    return tell_each(arguments, found[0].packages[0].sized, [about_compare(c, enough) for c in found])
