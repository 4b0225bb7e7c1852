"""The chain from one result to its inputs, for a reviewer with a pencil.

Examples:
  heatcalc explain my-house.toml --place "Duluth, MN" heating_load
  heatcalc explain plover-26g --place 97201 walls --units si
  heatcalc explain plover-26g --place 97201 u_value:body-floor
  heatcalc explain --names  # every result of the demo house that can be explained

Each line: the value, the formula in symbols, the same with numbers and units, the source. "beside it" is a second way,
for a reviewer with a pencil. Results: heating_load, cooling_load, a part such as walls or infiltration, ua, air_exchange,
ventilation, balance_point, backup, max_heat_at_design, lowest_temperature_held, design_temperature, annual_kWh, u_value:PART.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, asked, shown, sized_of, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.explain.chains import Explanation
    from heatcalc.face.answer import Answer


def explain(
    name: str = "heating_load",
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[Explanation]:
    """`heatcalc explain`: one result of a sizing taken apart down to its inputs.  Raises InputError for an unknown result."""
    from heatcalc.answers.explain.chains import explain as chain
    from heatcalc.judge.sizing import size_house
    from heatcalc.report.about_explain import about_explain

    said, where, folder = asked(house, place, changes, package)
    return shown(chain(size_house(said, where, folder=folder), name, folder), about_explain, units)


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    parser.add_argument("result", nargs="?", help="what to explain (default: heating_load)", default="heating_load")
    add_place(parser)
    parser.add_argument("--names", action="store_true", help="list the results of this house that can be explained")
    add_output(parser, folder=False)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.explain.chains import explain, result_names
    from heatcalc.report.about_explain import about_explain

    result, folder = sized_of(arguments)
    if arguments.names:
        names = result_names(result)
        widest = max(map(len, names))
        print("\n".join(f"{name:<{widest}}  {words}".rstrip() for name, words in names.items()))
        return 0
    return tell_each(arguments, result, [about_explain(explain(r, arguments.result, folder)) for r in result.each])
