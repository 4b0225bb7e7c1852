"""Examples:
heatcalc year  # the invented demo house in Burlington, Vermont
heatcalc year my-house.toml --place "Duluth, MN" -o out/
heatcalc year plover-26g --place 85001 --unit G12-S-230 --hourly hours.csv
heatcalc year plover-26g --place "Ely, MN" --unit unlimited --weather logger.csv --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, places_of, tell_each


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
