"""A mini-split's capacity and power at every outdoor temperature.

Examples:
heatcalc unit                                        # the generic classes side by side
heatcalc unit G12-C-230 --place "Duluth, MN" -o out  # one class at a place, with a figure
heatcalc unit my-submittal.csv other.toml --json
heatcalc unit G12-C-230 --place "Duluth, MN" --place "Leadville, CO" --house plover-26g  # places side by side
heatcalc unit my-submittal.csv G12-C-230 --house plover-26g --place "Duluth, MN"  # side by side; folders too
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_output, add_weather, hours_file, place_named, shown, tell

if TYPE_CHECKING:
    from heatcalc.answers.unit.unit_answer import UnitAnswer, UnitsAtPlace
    from heatcalc.face.answer import Answer


MOST_PLACES = 12


def unit(file: str | Path, *places: str, house: str | Path | None = None, units: str = "ip") -> Answer[UnitAnswer]:
    """`heatcalc unit`: a unit file or generic class explained, at each place named, with a house's loads where one is named."""
    from heatcalc.answers.unit.unit_answer import explain_unit
    from heatcalc.inputs.house.house_file import load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.inputs.unit.unit_file import load_units, read_unit
    from heatcalc.report.about_unit import about_unit

    shelf = load_units()
    found = shelf[str(file)] if str(file) in shelf else read_unit(file)
    where = [find_place(place) for place in places]
    return shown(explain_unit(found, where, None if house is None else load_house(house)), about_unit, units)


def units_side_by_side(
    *units_named: str | Path, house: str | Path | None = None, place: str = DEMO_PLACE, units: str = "ip"
) -> Answer[list[UnitsAtPlace]]:
    """`heatcalc unit FILE FILE ... --house --place`: units judged for a house side by side, and drawn over its load.

    units_named : unit files, folders of them, generic classes by name; none for every generic class
    Tables: side-by-side.  Figures: units-PLACE.
    """
    from heatcalc.answers.unit.unit_answer import units_at
    from heatcalc.inputs.house.house_file import house_path, load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.inputs.unit.unit_file import load_units
    from heatcalc.inputs.unit.unit_file import units_named as named
    from heatcalc.report.about_units import about_units

    chosen, folder = named(*units_named) or load_units(), house_path(house).parent
    return shown([units_at(chosen, load_house(house), find_place(place), folder)], about_units, units)


def add_arguments(parser: ArgumentParser) -> None:
    """Arguments of `heatcalc unit`."""
    parser.add_argument("words", nargs="*", metavar="FILE|NAME", help="unit files (.csv, .toml), folders, generic classes")
    parser.add_argument(
        "--place",
        action="append",
        default=[],
        dest="places",
        metavar="PLACE",
        help="its height, design temperatures and year of temperatures; repeat to see places side by side",
    )
    add_weather(parser)
    parser.add_argument("--house", metavar="HOUSE", help="a house whose loads it meets there (default: a line it just carries)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    """Print the shelf, several units judged for a house, or the explanation of each unit."""
    from heatcalc.answers.unit.unit_answer import explain_unit, units_at
    from heatcalc.inputs.house.house_file import house_path
    from heatcalc.inputs.unit.unit_file import load_units, units_named
    from heatcalc.report.about_unit import about_shelf, about_unit, units_record
    from heatcalc.report.about_units import about_units

    if not arguments.words and not arguments.json:
        return tell(arguments, about_shelf(load_units()))
    chosen = units_named(*arguments.words) or load_units()
    places, house = _places(arguments), _house(arguments)
    if house is not None and len(chosen) > 1:
        folder = house_path(arguments.house).parent
        return tell(arguments, about_units([units_at(chosen, house, place, folder) for place in places]))
    answers = [explain_unit(unit, places, house) for unit in chosen.values()]
    if arguments.json and not arguments.out:
        return tell(arguments, units_record(answers))
    return tell(arguments, *(about_unit(answer) for answer in answers))


def _places(arguments: Namespace):
    from heatcalc.errors import InputError
    from heatcalc.inputs.place.find_place import find_place

    said = arguments.places
    if len(said) > MOST_PLACES:
        raise InputError("--place", len(said), f"at most {MOST_PLACES} places side by side", "see heatcalc reach for all places")
    if len(said) == 1 or hours_file(arguments, said):
        return [place_named(arguments, said[0] if said else None)]
    return [find_place(word) for word in said]


def _house(arguments: Namespace):
    from heatcalc.errors import InputError
    from heatcalc.inputs.house.house_file import load_house

    if arguments.house is None:
        return None
    if not (arguments.places or arguments.weather):
        raise InputError("--place", None, "say where the house will stand", '--place "Duluth, MN"')
    return load_house(arguments.house)
