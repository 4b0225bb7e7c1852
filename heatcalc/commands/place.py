"""What the climate records say about a place.

Examples:
  heatcalc place "Duluth, MN" -o out         # a town, with figure
  heatcalc place 55802 46.8,-92.1 "46.8,-92.1,433 m" 727450 "Calgary, AB"
  heatcalc place "Duluth, MN" "Phoenix, AZ"  # a house that moves: the worst of each design value
  heatcalc place "Ely, MN" --heating "-25 F" --source "the county's building office"
  heatcalc place --weather logger.csv        # design values from your own hourly file
  heatcalc place 64.1,-21.9 --fetch          # a typical year of any place on earth, on your connection

The hourly file is TMY3, TMY2, or a plain CSV:
  # latitude: 46.8                 optional lines: longitude, elevation, utc offset, name,
  # longitude: -92.1               typical year: yes, sun: hour beginning
  time,dry_bulb (F),dew_point (F),wind (mph),ghi (W/m2)
  2024-01-01 01:00,12.2,5.0,7,0
Times are standard time (no daylight saving) unless they carry an offset; sun is the mean of the hour that ends at its
time, the rest are readings. Needed: dry_bulb with its unit; dew_point or relative_humidity (%), wind, ghi, dni, dhi,
pressure where known. 8,760 or 8,784 rows or several years; gaps and spikes up to 5 % are repaired and reported.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_output, add_weather, hours_file, shown, tell

if TYPE_CHECKING:
    from heatcalc.face.answer import Answer
    from heatcalc.model.climate import Places


def place(*queries: str, units: str = "ip") -> Answer[Places]:
    """`heatcalc place`: what the climate records say of a place, or of several and the worst of each design value."""
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.model.climate import places_answer
    from heatcalc.report.about_place import about_place

    return shown(places_answer([find_place(query) for query in queries or (DEMO_PLACE,)]), about_place, units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("query", nargs="*", help="city or county with state, ZIP, lat,lon[,elevation], station, Canadian place")
    add_weather(parser)
    parser.add_argument(
        "--elevation", metavar="LENGTH", help='the site\'s height, e.g. "1,450 ft": design values are moved to it'
    )
    parser.add_argument("--heating", metavar="T", help='your own heating design temperature, e.g. "-12 F"; wins over the record')
    parser.add_argument("--cooling", metavar="T", help="your own cooling design temperature")
    parser.add_argument("--wet-bulb", metavar="T", help="your own wet bulb at the cooling design temperature")
    parser.add_argument("--daily-range", metavar="T", help="your own daily range of the hottest month")
    parser.add_argument("--source", default="", help="where your own values come from (shown with them)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.model.climate import places_answer
    from heatcalc.report.about_place import about_place

    return tell(arguments, about_place(places_answer(_found(arguments), _own(arguments))))


def _found(arguments: Namespace) -> list:
    from heatcalc.errors import InputError
    from heatcalc.inputs.place.find_place import at_elevation, find_place

    if not arguments.query and not arguments.weather:
        raise InputError("place", None, "needs at least one place", 'e.g. heatcalc place "Duluth, MN"')
    from_file = arguments.fetch or arguments.weather or arguments.accept or arguments.mend
    found = _from_file(arguments) if from_file else [find_place(query) for query in arguments.query]
    if arguments.elevation is None:
        return found
    height = _quantity("--elevation", arguments.elevation, "length")
    return [at_elevation(place, height) for place in found]


def _from_file(arguments: Namespace) -> list:
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.inputs.weather.weather_place import read_weather_place

    file, lends = hours_file(arguments, arguments.query), arguments.query and not arguments.fetch
    place = find_place(arguments.query[0]) if lends else None
    return [read_weather_place(file, place, arguments.accept, arguments.mend)]


def _own(arguments: Namespace):
    from heatcalc.inputs.checked import check
    from heatcalc.inputs.house.house_record import Design

    said = {
        "heating": arguments.heating,
        "cooling": arguments.cooling,
        "cooling_wet_bulb": arguments.wet_bulb,
        "daily_range": arguments.daily_range,
    }
    said = {name: value for name, value in said.items() if value is not None}
    return check(Design, said | {"source": arguments.source}, "command line") if said else None


def _quantity(name: str, said: str, kind: str) -> float:
    from heatcalc.errors import InputError
    from heatcalc.units import parse

    try:
        value = parse(said, kind)
    except ValueError as problem:
        raise InputError(name, said, str(problem)) from None
    if not -100.0 <= value <= 5000.0:
        raise InputError(name, said, "allowed -100 m to 5,000 m")
    return value
