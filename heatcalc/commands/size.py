"""Examples:
heatcalc size  # the invented demo house in Burlington, Vermont
heatcalc size my-house.toml --place "Duluth, MN" -o out/
heatcalc size plover-26g --place 97201 --set below.kind=skirted --units si
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, place_of


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.judge.sizing import size_house

    house, folder = house_of(arguments)
    result = size_house(house, place_of(arguments), folder=folder, search=True)
    if arguments.out:
        from heatcalc.show.size_sheet import write_size

        written = write_size(result, arguments.out, arguments.units)
    if arguments.json:
        from heatcalc.show.record import as_json, size_record

        print(as_json(size_record(result)), end="")
        return 0
    from heatcalc.show.size_text import size_text

    print(size_text(result, arguments.units))
    if arguments.out:
        print("\nwrote " + ", ".join(str(path) for path in written))
    return 0
