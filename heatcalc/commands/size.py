"""Examples:
heatcalc size  # the invented demo house in Burlington, Vermont
heatcalc size my-house.toml --place "Duluth, MN" -o out/
heatcalc size plover-26g --place 97201 --set below.kind=skirted --units si
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, place_of, tell


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.judge.sizing import size_house
    from heatcalc.report.about_size import about_size

    house, folder = house_of(arguments)
    result = size_house(house, place_of(arguments), folder=folder, search=True)
    return tell(arguments, about_size(result))
