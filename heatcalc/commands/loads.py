"""Design heating and cooling loads, the network beside the hand methods.

Examples:
heatcalc loads  # the invented demo house in Burlington, Vermont
heatcalc loads my-house.toml --place "Duluth, MN" --method time-series
heatcalc loads plover-26g --place 77002 --package Hearth -o out/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, asked, shown, sized_of, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.methods.design_loads import LoadsResult
    from heatcalc.face.answer import Answer


def loads(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[LoadsResult]:
    """`heatcalc loads`: the design loads of a house in a place by three methods, and what they hang on."""
    from heatcalc.answers.methods.design_loads import loads_of
    from heatcalc.report.about_loads import about_loads

    return shown(loads_of(*asked(house, place, changes, package)), about_loads, units)


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
