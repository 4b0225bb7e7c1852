"""Examples:
  heatcalc assembly                                      # the starter shelf side by side
  heatcalc assembly "Breeze wall" --place "Bozeman, MT"  # one assembly, layer by layer
  heatcalc assembly mine.toml wall-a wall-b --units si --json
"""

from __future__ import annotations

import argparse
from pathlib import Path

from heatcalc import units
from heatcalc.errors import InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of `heatcalc assembly`."""
    parser.add_argument(
        "words",
        nargs="*",
        metavar="FILE.toml|NAME",
        help="a file of assemblies (else the starter shelf), then names",
    )
    parser.add_argument("--place", help="monthly climate and design temperature of a place")
    parser.add_argument("--outdoor", help="outdoor temperature instead of a place's 99 %% design, e.g. -10F")
    parser.add_argument("--indoor", default="70 F", help="indoor temperature (default 70 F)")
    parser.add_argument("--indoor-rh", help="indoor relative humidity all year, e.g. 40%%")
    parser.add_argument(
        "--humidity-class", type=int, default=3, choices=range(1, 6), help="ISO 13788 class (default 3)"
    )
    parser.add_argument("--moisture", help="moisture given off indoors, e.g. '100 g/h' (with --airflow)")
    parser.add_argument("--airflow", help="outdoor air through the house, e.g. '22 cfm' (with --moisture)")
    parser.add_argument("--figure", metavar="OUT.svg", help="draw one section to scale")
    parser.add_argument("--units", choices=("ip", "si"), default="ip")
    parser.add_argument("--json", action="store_true", help="machine-readable, SI")


def run(arguments: argparse.Namespace) -> int:
    """Print the comparison or the explanation."""
    from heatcalc.answers.assembly import explain_assembly
    from heatcalc.show.assembly_text import as_json, compared, explained

    chosen = _chosen(arguments.words)
    indoor = _quantity(arguments.indoor, "temperature", "--indoor", -20.0, 45.0)
    place = _place(arguments.place)
    outdoor = _outdoor(arguments.outdoor, place)
    air = _air(arguments, place, indoor)
    answers = [explain_assembly(found, indoor, outdoor) for found in chosen]
    wet = [_moisture(found, air) for found in chosen]
    if arguments.figure:
        _draw(arguments, answers, wet, indoor, outdoor)
    if arguments.json:
        print(as_json(answers, wet))
    elif len(chosen) == 1:
        print(explained(answers[0], wet[0], indoor, outdoor, arguments.units))
    else:
        print(compared(answers, wet, arguments.units))
    return 0


def _chosen(words: list[str]):
    from heatcalc.inputs.assembly import find_assembly, load_assemblies

    is_file = bool(words) and (words[0].lower().endswith(".toml") or Path(words[0]).is_file())
    shelf = load_assemblies(words[0] if is_file else None)
    names = words[1:] if is_file else words
    return [find_assembly(name, shelf) for name in names] or list(shelf.values())


def _quantity(text: str, kind: str, field: str, low: float, high: float) -> float:
    try:
        value = units.parse(text, kind)
    except ValueError as problem:
        raise InputError(field, text, str(problem)) from None
    if not low <= value <= high:
        raise InputError(
            field, text, f"allowed {units.text(low, kind, 'ip')} to {units.text(high, kind, 'ip')}"
        )
    return value


def _place(query: str | None):
    if query is None:
        return None
    from heatcalc.inputs.place import find_place

    return find_place(query)


def _outdoor(text: str | None, place) -> float | None:
    if text is not None:
        return _quantity(text, "temperature", "--outdoor", -60.0, 55.0)
    return None if place is None else place.heating_99_C


def _air(arguments: argparse.Namespace, place, indoor: float):
    """The year's air on both sides, or None without a place."""
    from heatcalc.answers.moisture import air_from_balance, air_from_class, air_from_humidity

    if (arguments.moisture is None) != (arguments.airflow is None):
        raise InputError("--moisture", arguments.moisture, "is given together with --airflow")
    if place is None:
        if arguments.moisture or arguments.indoor_rh:
            raise InputError("--place", None, "is needed for moisture: the monthly climate comes from it")
        return None
    outside = place.monthly.mean_C, place.monthly.dew_point_C
    if arguments.moisture is not None:
        generation = _quantity(arguments.moisture, "mass flow", "--moisture", 0.0, 0.01)
        flow = _quantity(arguments.airflow, "air flow", "--airflow", 1e-4, 1.0)
        return air_from_balance(*outside, indoor, generation, flow)
    if arguments.indoor_rh is not None:
        share = _quantity(arguments.indoor_rh, "fraction", "--indoor-rh", 0.01, 1.0)
        return air_from_humidity(*outside, indoor, share)
    return air_from_class(*outside, indoor, arguments.humidity_class)


def _moisture(found, air):
    from heatcalc.answers.moisture import moisture

    return None if air is None else moisture(found, air)


def _draw(arguments: argparse.Namespace, answers, wet, indoor: float, outdoor: float | None) -> None:
    from heatcalc.show.assembly_figures import save_section

    if len(answers) != 1 or not answers[0].lines:
        raise InputError("--figure", arguments.figure, "draws one assembly with layers: name it")
    if outdoor is None:
        raise InputError("--figure", arguments.figure, "needs --place or --outdoor for the temperatures")
    dew = wet[0].dew_point.dew_point_C if wet[0] and wet[0].dew_point else None
    save_section(answers[0], indoor, outdoor, dew, arguments.units, Path(arguments.figure))
