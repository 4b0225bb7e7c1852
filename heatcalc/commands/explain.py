"""Examples:
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

from heatcalc.commands.common import add_house, add_output, add_place, sized_of, tell_each


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
