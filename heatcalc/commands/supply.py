"""Examples:
heatcalc supply my-house.toml --place "Bozeman, MT"
heatcalc supply my-house.toml --place 59715 --set supply.cord="50 A 120/240 V" --unit G12-C-230 --json
heatcalc supply my-house.toml --place 59715 --set living.cooking=propane --set living.water_heater="instantaneous propane"
heatcalc supply my-house.toml --place 59715 --set supply.battery.capacity="10 kWh" --set supply.solar.watts="2000 W"
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, places_of


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", help="the unit to check (default: the recommended one)")
    add_output(parser, folder=False)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.year.house_supply import house_supply
    from heatcalc.render.as_json import json_text as as_json
    from heatcalc.show.supply_text import SupplyCase, supply_json, supply_text

    house, folder = house_of(arguments)
    if arguments.unit:
        house = house.model_copy(update={"unit": arguments.unit})
    answer = house_supply(house, places_of(arguments), folder)
    sized, chosen = answer.sized, answer.chosen
    case = SupplyCase(
        house.name, sized.place.name, chosen.name, chosen.verdict, sized.task.design_C, sized.task.hot_C, chosen.backup_W
    )
    shown = (case, answer.supply, answer.method, answer.charge, answer.year)
    print(
        as_json(supply_json(*shown) | {"plan": answer.sized.plan.record()})
        if arguments.json
        else supply_text(*shown, arguments.units),
        end="" if arguments.json else "\n",
    )
    return 0
