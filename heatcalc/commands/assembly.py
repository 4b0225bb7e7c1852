"""U-value, moisture and dynamics of walls, roofs, floors and windows.

Examples:
heatcalc assembly                                      # the starter shelf side by side
heatcalc assembly "Breeze wall" --place "Bozeman, MT"  # one assembly, layer by layer
heatcalc assembly mine.toml wall-a wall-b --house my-house.toml --place "Duluth, MN"
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc import units
from heatcalc.commands.common import DEMO_PLACE, add_changes, add_output, add_weather, asked, hours_file, places_of, shown, tell
from heatcalc.errors import InputError

if TYPE_CHECKING:
    from IPython.display import Image

    from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer
    from heatcalc.answers.study.rank_assemblies import Ranking
    from heatcalc.face.answer import Answer
    from heatcalc.inputs.place.find_place import Place
    from heatcalc.model.bridge_lines import BridgeLine
    from heatcalc.model.indoor_air import AirOverYear

DEFAULT_INDOOR = "70 F"
CLASSES = range(1, 6)
ROUTES = (
    ("house", "--house"),
    ("package", "--package"),
    ("changes", "--set"),
    ("humidity_class", "--humidity-class"),
    ("indoor_rh", "--indoor-rh"),
    ("moisture", "--moisture"),
    ("airflow", "--airflow"),
)
TOGETHER = ({"--house", "--package", "--set"}, {"--moisture", "--airflow"})


def assembly(
    name: str, file: str | Path | None = None, indoor_C: float = 20.0, outdoor_C: float = 0.0, units: str = "ip"
) -> Answer[AssemblyAnswer]:
    """`heatcalc assembly`: one assembly of the shelf or a file, layer by layer between two air temperatures [degC]."""
    from heatcalc.answers.envelope.assembly_answer import explain_assembly
    from heatcalc.inputs.assembly.assembly_file import find_assembly, load_assemblies
    from heatcalc.report.about_assembly import about_assembly

    found = explain_assembly(find_assembly(name, load_assemblies(file)), indoor_C, outdoor_C)
    return shown(found, lambda a: about_assembly(a, None, indoor_C, outdoor_C), units)


def rank_assemblies(
    house: str | Path | None = None, place: str = DEMO_PLACE, prices: str = "", units: str = "ip"
) -> Answer[Ranking]:
    """Every wall, roof, floor and window of the shelf put into a house, one at a time; `prices` empty for invented ones."""
    from heatcalc.answers.study.rank_assemblies import rank_assemblies as rank
    from heatcalc.report.about_ranking import about_ranking

    said, where, folder = asked(house, place, (), None)
    found = rank(said, where, folder, prices=prices or None)
    return shown(found, about_ranking, units)


def section(ranking: Answer[Ranking], name: str) -> Image:
    """One assembly to scale at the design cold, with the dew point of the house's air in the coldest month."""
    from heatcalc.answers.study.rank_assemblies import explained
    from heatcalc.render.as_files import as_image
    from heatcalc.report.assembly_figures import section as drawn

    r = ranking.result
    answer, dew = explained(r, name), r.air.winter_dew_point_C
    says = f"section of {name} with its temperature and the dew point of the house's air in the coldest month"
    return as_image(lambda: drawn(answer, r.indoor_C, r.outdoor_C, dew, ranking.units), says)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of `heatcalc assembly`."""
    parser.add_argument(
        "words", nargs="*", metavar="FILE.toml|NAME", help="a file of assemblies (else the starter shelf), then names"
    )
    parser.add_argument("--prices", metavar="FILE.toml", help="your prices per area (default: invented ones for the shelf)")
    parser.add_argument("--place", action="append", help="monthly climate and design temperature of a place; may be repeated")
    add_weather(parser)
    parser.add_argument("--outdoor", help="outdoor temperature instead of a place's 99 %% design, e.g. -10F")
    parser.add_argument("--indoor", help="indoor temperature (default 70 F, or the house's)")
    air = parser.add_argument_group("indoor humidity", "one way of four, with --place; without one the demo house is taken")
    air.add_argument("--house", metavar="HOUSE.toml", help="compute it month by month from this house's people, fan and leaks")
    air.add_argument("--package", help="one of the house file's option packages")
    add_changes(air, "living.people=4")
    air.add_argument("--humidity-class", help="ISO 13788 humidity class 1 to 5 instead")
    air.add_argument("--indoor-rh", help="indoor relative humidity all year instead, e.g. 40%%")
    air.add_argument("--moisture", help="moisture given off indoors instead, e.g. '100 g/h' (with --airflow)")
    air.add_argument("--airflow", help="outdoor air through the house, e.g. '22 cfm' (with --moisture)")
    add_output(parser)


@dataclass(frozen=True)
class AirOnBothSides:
    """Air on both sides: temperatures for the section, the year for moisture, the steel of the house."""

    indoor_C: float
    outdoor_C: float | None
    year: AirOverYear | None = None
    lines: tuple[BridgeLine, ...] = ()
    place: Place | None = None


def run(arguments: argparse.Namespace) -> int:
    """Print the comparison or the explanation."""
    chosen = _chosen(arguments.words, arguments.prices)
    return tell(arguments, *(_report(chosen, asked) for asked in _asked(arguments)))


def _report(chosen: list, asked: AirOnBothSides):
    """The assemblies asked about, in the air of one place."""
    from heatcalc.answers.envelope.assembly_answer import explain_assembly
    from heatcalc.model.moisture import moisture
    from heatcalc.report.about_assembly import about_assemblies, about_assembly
    from heatcalc.report.report import at_place

    answers = [explain_assembly(found, asked.indoor_C, asked.outdoor_C) for found in chosen]
    wet = [moisture(found, asked.year, asked.lines) if asked.year else None for found in chosen]
    dew = asked.year.winter_dew_point_C if asked.year else None
    one = len(chosen) == 1
    found = about_assembly(answers[0], wet[0], asked.indoor_C, asked.outdoor_C, dew) if one else about_assemblies(answers, wet)
    return at_place(found, asked.place) if asked.place else found


def _chosen(words: list[str], prices: str | None):
    from heatcalc.inputs.assembly.assembly_file import find_assembly, load_assemblies, priced

    is_file = bool(words) and (words[0].lower().endswith(".toml") or Path(words[0]).is_file())
    shelf = priced(load_assemblies(words[0] if is_file else None), prices)
    names = words[1:] if is_file else words
    return [find_assembly(name, shelf) for name in names] or list(shelf.values())


def _quantity(text: str, kind: str, field: str, low: float, high: float) -> float:
    try:
        value = units.parse(text, kind)
    except ValueError as problem:
        raise InputError(field, text, str(problem)) from None
    if not low <= value <= high:
        raise InputError(field, text, f"allowed {units.text(low, kind, 'ip')} to {units.text(high, kind, 'ip')}")
    return value


def _asked(arguments: argparse.Namespace) -> list[AirOnBothSides]:
    """What the options say of the air, in each place; contradictions refused first."""
    given = [option for name, option in ROUTES if getattr(arguments, name) not in (None, [])]
    _one_way(given, arguments)
    indoor = _quantity(arguments.indoor or DEFAULT_INDOOR, "temperature", "--indoor", -20.0, 45.0)
    outdoor = None
    if arguments.outdoor is not None:
        outdoor = _quantity(arguments.outdoor, "temperature", "--outdoor", -60.0, 55.0)
    if arguments.place is None and hours_file(arguments, []) is None:
        return [AirOnBothSides(indoor, outdoor)]
    of_house = not given or {"--house", "--package", "--set"} & set(given)
    return [
        _in_house(arguments, place, outdoor) if of_house else _in_air(arguments, place, outdoor, indoor)
        for place in places_of(arguments)
    ]


def _in_air(arguments: argparse.Namespace, place: Place, outdoor: float | None, indoor: float) -> AirOnBothSides:
    cold = place.heating_99_C if outdoor is None else outdoor
    return AirOnBothSides(indoor, cold, _said_air(arguments, place, indoor), place=place)


def _one_way(given: list[str], arguments: argparse.Namespace) -> None:
    """One way to the indoor humidity, and a place for it.  Raises InputError."""
    others = [option for option in given[1:] if not any({given[0], option} <= both for both in TOGETHER)]
    if others:
        raise InputError(others[0], None, f"cannot stand with {given[0]}: say the indoor humidity in one way")
    if (arguments.moisture is None) != (arguments.airflow is None):
        raise InputError(
            "--moisture" if arguments.moisture else "--airflow",
            arguments.moisture or arguments.airflow,
            f"is given together with {'--airflow' if arguments.moisture else '--moisture'}",
        )
    if given and arguments.place is None and not arguments.weather:
        raise InputError("--place", None, f"is needed with {given[0]}: the monthly climate comes from it", '--place "Duluth, MN"')


def _in_house(arguments: argparse.Namespace, place: Place, outdoor: float | None) -> AirOnBothSides:
    """The computed humidity of a house; --indoor is its heating set point."""
    from heatcalc.inputs.house.house_file import house_path, load_house
    from heatcalc.model.house_model import house_model
    from heatcalc.model.indoor_air import air_of_house

    warm = [f"set_points.heating={arguments.indoor}"] if arguments.indoor else []
    house = load_house(arguments.house, [*arguments.changes, *warm], arguments.package)
    model = house_model(house, place.elevation_m, house_path(arguments.house).parent)
    cold = place.heating_99_C if outdoor is None else outdoor
    return AirOnBothSides(house.set_points.heating, cold, air_of_house(model, place), model.lines, place)


def _said_air(arguments: argparse.Namespace, place: Place, indoor: float) -> AirOverYear:
    """The year's indoor air by one of the other ways."""
    from heatcalc.model.indoor_air import air_by_balance, air_by_class, air_by_humidity

    if arguments.moisture is not None:
        generation = _quantity(arguments.moisture, "mass flow", "--moisture", 0.0, 0.01)
        flow = _quantity(arguments.airflow, "air flow", "--airflow", 1e-4, 1.0)
        return air_by_balance(place, indoor, generation, flow)
    if arguments.indoor_rh is not None:
        return air_by_humidity(place, indoor, _quantity(arguments.indoor_rh, "fraction", "--indoor-rh", 0.01, 1.0))
    if arguments.humidity_class not in map(str, CLASSES):
        raise InputError("--humidity-class", arguments.humidity_class, "is a whole number from 1 (dry) to 5 (very wet)")
    return air_by_class(place, indoor, int(arguments.humidity_class))
