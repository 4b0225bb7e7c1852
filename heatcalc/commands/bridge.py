"""Heat flow through a drawn detail: steel, corners, edges.

Examples:
heatcalc bridge                        # the ready details
heatcalc bridge wheel-well -o out/     # one of them, with its figure
heatcalc bridge my-detail.toml --json  # your own drawing
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from heatcalc.commands.common import add_output, shown, tell

if TYPE_CHECKING:
    from heatcalc.face.answer import Answer
    from heatcalc.model.detail_bridge import BridgeAnswer


def bridge(name: str = "wheel-well", units: str = "ip") -> Answer[BridgeAnswer]:
    """`heatcalc bridge`: a ready detail or a detail file, solved in two dimensions.  Raises InputError for an unknown detail."""
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.detail_bridge import solve_detail
    from heatcalc.report.about_bridge import about_bridge

    return shown(solve_detail(load_detail(name)), about_bridge, units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("detail", nargs="?", help="a detail file (.toml) or a ready detail; none lists the ready ones")
    parser.add_argument("--limit", default="0.2 %", help="refine until the heat flow changes by less (default 0.2 %%)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.bridge_lines import ready_table
    from heatcalc.model.detail_bridge import solve_detail
    from heatcalc.report.about_bridge import about_bridge, about_details

    share = _share(arguments.limit)
    if arguments.detail is None:
        return tell(arguments, about_details(ready_table()))
    return tell(arguments, about_bridge(solve_detail(load_detail(arguments.detail), share)))


def _share(said: str) -> float:
    from heatcalc.errors import InputError
    from heatcalc.units import parse

    try:
        share = parse(said, "fraction")
    except ValueError as problem:
        raise InputError("--limit", said, str(problem)) from None
    if not 1e-4 <= share <= 0.05:
        raise InputError("--limit", said, "allowed 0.01 % to 5 %")
    return share
