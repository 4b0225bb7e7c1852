"""Examples:
heatcalc loads  # the invented demo house in Burlington, Vermont
heatcalc loads my-house.toml --place "Duluth, MN" --method time-series
heatcalc loads plover-26g --place 77002 --package Hearth -o out/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, sized_of, tell_each


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
    from heatcalc.answers.methods.design_loads import LoadsResult
    from heatcalc.report.about_loads import about_loads

    sized, folder = sized_of(arguments)
    return tell_each(arguments, sized, [about_loads(LoadsResult(one, folder), arguments.method) for one in sized.each])
