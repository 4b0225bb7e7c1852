"""Examples:
heatcalc compare  # the demo house's packages in Burlington, Vermont
heatcalc compare plover-26g --place "Duluth, MN" --packages Breeze,Hearth -o out/
heatcalc compare plover-26g --place 05401 --enough-for G09-C-230  # the cheapest priced options that let it carry
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, place_of


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
    from heatcalc.answers.study.packages import compare_packages, package_list
    from heatcalc.errors import InputError
    from heatcalc.render.as_json import json_text as as_json
    from heatcalc.show.compare_text import compare_record, compare_text

    if arguments.packages and arguments.package:
        raise InputError("--package", arguments.package, "and --packages both say which", "say it once")
    place = place_of(arguments)
    wanted = package_list(arguments.house, arguments.packages or arguments.package)
    found = compare_packages(arguments.house, place, wanted, arguments.unit, arguments.changes)
    enough = (
        None
        if arguments.enough_for is None
        else cheapest_for(arguments.house, place, arguments.enough_for, arguments.package, arguments.changes)
    )
    record = as_json(compare_record(found, enough))
    written: list[str] = []
    if arguments.out:
        from heatcalc.commands.common import write_figures
        from heatcalc.show.compare_figures import compare_figures

        written = write_figures(arguments.out, compare_figures(found, arguments.units), {"compare.json": record})
    if arguments.json:
        print(record, end="")
        return 0
    print(compare_text(found, enough, arguments.units))
    if written:
        print("\nwrote " + ", ".join(written))
    return 0
