"""8,760 hours: energy, peaks, unmet hours, a power cut.

Examples:
heatcalc year  # the invented demo house in Burlington, Vermont
heatcalc year my-house.toml --place "Duluth, MN" -o out/
heatcalc year plover-26g --place 85001 --unit G12-S-230 --hourly hours.csv
heatcalc year plover-26g --place "Ely, MN" --unit unlimited --weather logger.csv --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, asked, house_of, places_of, shown, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.year.year_answer import YearAnswer
    from heatcalc.face.answer import Answer


def year(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    unit: str | None = None,
    weather: str | None = None,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[YearAnswer]:
    """`heatcalc year`: the walked year with its checks, power cut and recovery.

    unit : a unit's name, "unlimited" for a plant that always carries the load, None for the recommended one
    weather : an hourly file, None for a year built from the place's months
    """
    from heatcalc.answers.year.year_answer import year_answer
    from heatcalc.inputs.weather.weather_place import place_with_hours
    from heatcalc.report.about_year import about_year

    said, where, folder = asked(house, place, changes, package)
    return shown(year_answer(said, place_with_hours(weather, where) if weather else where, unit, folder), about_year, units)


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument(
        "--unit", metavar="NAME", help='the mini-split (default: the recommended one); "unlimited" carries any load'
    )
    parser.add_argument("--hourly", metavar="OUT.csv", help="write every hour, SI units")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.year.year_answer import year_answers
    from heatcalc.report.about_year import about_year

    house, folder = house_of(arguments)
    answers = year_answers(house, places_of(arguments), arguments.unit, folder)
    return tell_each(arguments, answers[0].sized, [about_year(a) for a in answers], _hours(answers, arguments.hourly))


def _hours(answers, hourly: str | None) -> dict[str, str]:
    """Every hour of each place, a file a place."""
    from heatcalc.files import numbered
    from heatcalc.report.about_year import hourly_csv

    if hourly is None:
        return {}
    return {numbered(hourly, n, len(answers)): hourly_csv(a) for n, a in enumerate(answers, 1)}
