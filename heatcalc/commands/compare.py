"""Option packages of one model side by side.

Examples:
heatcalc compare  # the demo house's packages in Burlington, Vermont
heatcalc compare plover-26g --place "Duluth, MN" --packages Breeze,Hearth -o out/
heatcalc compare plover-26g --place 05401 --enough-for G09-C-230  # the cheapest priced options that let it carry
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, places_of, shown, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.study.packages import Comparison
    from heatcalc.face.answer import Answer


def compare(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    packages: str = "",
    unit: str = "",
    enough_for: str = "",
    units: str = "ip",
) -> Answer[Comparison]:
    """`heatcalc compare`: packages of a house file side by side.

    packages : their names parted by commas, empty for all
    unit : one mini-split for every package, empty for the recommended of each
    enough_for : a unit, for the cheapest set of the file's options with which it carries the house
    """
    from heatcalc.answers.study.enough import cheapest_for
    from heatcalc.answers.study.packages import compare_packages, package_list, said_of
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.report.about_compare import about_compare

    where, enough = find_place(place), None
    if enough_for:
        options = said_of(house).get("options")
        enough = cheapest_for(house, where, enough_for) if options else "This house file has no priced options to search."
    found = compare_packages(house, where, package_list(house, packages or None), unit or None)
    return shown(found, lambda c: about_compare(c, enough), units)


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
