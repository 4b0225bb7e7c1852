"""Examples:
heatcalc year  # the invented demo house in Burlington, Vermont
heatcalc year my-house.toml --place "Duluth, MN" -o out/
heatcalc year plover-26g --place 85001 --unit G12-S-230 --hourly hours.csv
heatcalc year plover-26g --place "Ely, MN" --unit unlimited --weather logger.csv --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from heatcalc.commands.common import add_house, add_output, add_place, house_of, places_of, show_each


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
    from heatcalc.show.year_text import year_record, year_text

    house, folder = house_of(arguments)
    answers = year_answers(house, places_of(arguments), arguments.unit, folder)
    files = [_files(answer, arguments) for answer in answers]
    _write_hours(answers, arguments)
    return show_each(arguments, answers[0].sized, [(year_text(a, arguments.units), year_record(a)) for a in answers], files)


def _files(answer, arguments: Namespace) -> dict[str, str | bytes]:
    if not arguments.out:
        return {}
    from heatcalc.render.as_json import json_text as as_json
    from heatcalc.show.year_figures import year_pictures
    from heatcalc.show.year_text import year_record

    return year_pictures(answer, arguments.units) | {"year.json": as_json(year_record(answer))}


def _write_hours(answers, arguments: Namespace) -> None:
    """Every hour of each place, a file a place."""
    if not arguments.hourly:
        return
    from heatcalc.files import numbered, write_together
    from heatcalc.show.year_text import hourly_csv

    path = Path(arguments.hourly)
    made = {numbered(path.name, n, len(answers)): hourly_csv(a) for n, a in enumerate(answers, 1)}
    written = write_together(path.parent, made)
    if not arguments.json:
        print("wrote " + ", ".join(map(str, written)) + "\n")
