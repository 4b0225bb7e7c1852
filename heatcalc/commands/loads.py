"""Examples:
heatcalc loads  # the invented demo house in Burlington, Vermont
heatcalc loads my-house.toml --place "Duluth, MN" --method time-series
heatcalc loads plover-26g --place 77002 --package Hearth -o out/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, place_of


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument(
        "--method",
        choices=("network", "load-factor", "time-series", "all"),
        default="all",
        help="one method's loads by component, or everything side by side (default: %(default)s)",
    )
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.methods.design_loads import loads_of
    from heatcalc.show.loads_text import loads_text

    house, folder = house_of(arguments)
    result = loads_of(house, place_of(arguments), folder)
    written = []
    if arguments.out:
        from heatcalc.show.loads_figures import write_loads

        written = write_loads(result, arguments.out, arguments.units)
    if arguments.json:
        from heatcalc.render.as_json import json_text as as_json
        from heatcalc.show.loads_record import loads_record

        print(as_json(loads_record(result)), end="")
        return 0
    print(loads_text(result, arguments.units, arguments.method))
    if written:
        print("\nwrote " + ", ".join(str(path) for path in written))
    return 0
