"""examples:
  heatcalc supply my-house.toml --place "Bozeman, MT"
  heatcalc supply my-house.toml --place 59715 --set supply.cord="50 A 120/240 V" --unit G12-C-230 --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("house", nargs="?", help="a house file (.toml) or a shipped house; none is the demo house")
    parser.add_argument("--place", required=True, help="ZIP code, town and state, or latitude,longitude")
    parser.add_argument("--package", help="one of the file's option packages")
    parser.add_argument("--set", action="append", default=[], metavar="key=value", help="change one entry; may be repeated")
    parser.add_argument("--unit", help="the unit to check (default: the recommended one)")
    parser.add_argument("--units", choices=("ip", "si"), default="ip", help="units of the text")
    parser.add_argument("--json", action="store_true", help="machine-readable result, SI")


def run(arguments: Namespace) -> int:
    from heatcalc.answers.charge import rooms_of, screen_charge
    from heatcalc.answers.demand import load_method
    from heatcalc.answers.size import size_house
    from heatcalc.inputs.house_file import house_path, load_house
    from heatcalc.inputs.place import find_place

    changes = [*arguments.set, *([f"unit={arguments.unit}"] if arguments.unit else [])]
    house = load_house(arguments.house, changes, arguments.package)
    sized = size_house(house, find_place(arguments.place), folder=house_path(arguments.house).parent)
    chosen = sized.recommended or sized.candidates[0]
    model, supply = sized.designer.model, house.supply
    rooms = rooms_of(house, model.floor_area_m2, model.volume_m3)
    screen = screen_charge(chosen.unit.refrigerant, chosen.unit.charge_kg, supply.indoor_unit, rooms, supply.indoor_unit_height)
    method = load_method(supply, sized.designer.model.shell.footprint_m2, max(chosen.cold_A, chosen.hot_A), chosen.backup_W)
    _show(arguments, sized, chosen, method, screen)
    return 0


def _show(arguments: Namespace, sized, chosen, method, screen) -> None:
    import json

    from heatcalc.show.supply_text import SupplyCase, supply_json, supply_text

    case = SupplyCase(sized.house.name, sized.place.name, chosen.name, chosen.verdict, sized.task.design_C, sized.task.hot_C,
                      chosen.backup_W)
    if arguments.json:
        print(json.dumps(supply_json(case, chosen.supply, method, screen), indent=2))
    else:
        print(supply_text(case, chosen.supply, method, screen, arguments.units))
