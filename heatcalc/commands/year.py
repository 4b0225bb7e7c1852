"""Examples:
heatcalc year  # the invented demo house in Burlington, Vermont
heatcalc year my-house.toml --place "Duluth, MN" -o out/
heatcalc year plover-26g --place 85001 --unit G12-S-230 --hourly hours.csv
heatcalc year plover-26g --place "Ely, MN" --unit unlimited --weather logger.csv --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_house, add_output, add_place, house_of, place_of


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument(
        "--unit", metavar="NAME", help='the mini-split (default: the recommended one); "unlimited" carries any load'
    )
    parser.add_argument("--hourly", metavar="OUT.csv", help="write every hour, SI units")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.year.year_answer import year_answer

    house, folder = house_of(arguments)
    answer = year_answer(house, place_of(arguments), arguments.unit, folder)
    written = _files(answer, arguments)
    if arguments.json:
        from heatcalc.render.as_json import json_text as as_json
        from heatcalc.show.year_text import year_record

        print(as_json(year_record(answer)), end="")
        return 0
    from heatcalc.show.year_text import year_text

    print(year_text(answer, arguments.units))
    if written:
        print("\nwrote " + ", ".join(written))
    return 0


def _files(answer, arguments: Namespace) -> list[str]:
    """Everything is made before the first file is written."""
    from heatcalc.files import write_together, write_whole

    hourly, made = None, {}
    if arguments.hourly:
        from heatcalc.show.year_text import hourly_csv

        hourly = hourly_csv(answer)
    if arguments.out:
        from heatcalc.render.as_json import json_text as as_json
        from heatcalc.show.year_figures import year_pictures
        from heatcalc.show.year_text import year_record

        made = year_pictures(answer, arguments.units) | {"year.json": as_json(year_record(answer))}
    first = [] if hourly is None else [write_whole(arguments.hourly, hourly)]
    return [str(path) for path in (*first, *(write_together(arguments.out, made) if made else ()))]
