"""Examples:
heatcalc unit                                        # the generic classes side by side
heatcalc unit G12-C-230 --place "Duluth, MN" -o out  # one class at a place, with a figure
heatcalc unit my-submittal.csv other.toml --json
heatcalc unit G12-C-230 --place "Duluth, MN" --place "Leadville, CO" --house plover-26g  # side by side
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from heatcalc.commands.common import add_output, add_weather, hours_file, place_named, tell

MOST_PLACES = 12


def add_arguments(parser: ArgumentParser) -> None:
    """Arguments of `heatcalc unit`."""
    parser.add_argument("words", nargs="*", metavar="FILE|NAME", help="unit files (.csv, .toml) or generic classes")
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
    """Print the shelf or the explanation of each unit."""
    from heatcalc.answers.unit.unit_answer import explain_unit
    from heatcalc.inputs.unit.unit_file import load_units
    from heatcalc.report.about_unit import about_shelf, about_unit, about_units

    if not arguments.words and not arguments.json:
        return tell(arguments, about_shelf(load_units()))
    chosen = [_unit(word) for word in arguments.words] or list(load_units().values())
    places, house = _places(arguments), _house(arguments)
    answers = [explain_unit(unit, places, house) for unit in chosen]
    if arguments.json and not arguments.out:
        return tell(arguments, about_units(answers))
    return tell(arguments, *(about_unit(answer) for answer in answers))


def _unit(word: str):
    from heatcalc.errors import InputError, nearest
    from heatcalc.inputs.unit.unit_file import load_units, read_unit

    if Path(word).suffix.lower() in (".csv", ".toml") or Path(word).exists():
        return read_unit(word)
    shelf = load_units()
    if word in shelf:
        return shelf[word]
    raise InputError(
        "unit", word, "neither a unit file nor a generic class", nearest(word, list(shelf)) or "run heatcalc unit for the list"
    )


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
