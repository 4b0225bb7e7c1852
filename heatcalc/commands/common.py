"""Arguments that several commands share, and the house and place they name."""

from __future__ import annotations

from argparse import Action, ArgumentParser, Namespace
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from argparse import _ActionsContainer

    from heatcalc.face.answer import Answer
    from heatcalc.inputs.house.house_record import House
    from heatcalc.inputs.place.find_place import Place
    from heatcalc.judge.sizing import SizeResult
    from heatcalc.report.report import Report

DEMO_PLACE = "Burlington, VT"
Result = TypeVar("Result")


def asked(house: str | Path | None, place: str, changes: Sequence[str], package: str | None) -> tuple[House, Place, Path]:
    """The house a notebook names, its place, and the folder of the house's files."""
    from heatcalc.inputs.house.house_file import house_path, load_house
    from heatcalc.inputs.place.find_place import find_place

    return load_house(house, changes, package), find_place(place), house_path(house).parent


def shown(result: Result, about: Callable[[Result], Report], units: str) -> Answer[Result]:
    """A result with the report that describes it, as a notebook shows it."""
    from heatcalc.face.answer import Answer

    return Answer(result, about, units)


def split_changes(text: str) -> list[str]:
    """`a.b=1; c.d=2` as the list that `--set` takes."""
    return [part.strip() for part in text.split(";") if part.strip()]


def split_places(text: str) -> list[str]:
    """`Duluth, MN | Phoenix, AZ; Nov-Apr`: places parted by bars, each with its season after a semicolon.  Raises InputError."""
    from heatcalc.errors import InputError

    parts = [part.strip() for part in text.split("|") if part.strip()]
    for part in parts:
        if "," in part.partition(";")[2]:
            like = '"Duluth, MN | Phoenix, AZ; Nov-Apr"'
            raise InputError(
                "places", part, "names several places; they are parted by bars, a semicolon goes before a season", like
            )
    return parts


class _Fleet(Action):
    """`--fleet FILE`: what the file says becomes a change of the house."""

    def __call__(self, parser: object, namespace: Namespace, values: Any, option_string: str | None = None) -> None:
        from heatcalc.inputs.house.house_pieces import read_fleet

        found = read_fleet(values)
        change = f"fleet={{leaks = {list(found.leaks)}, loss = {list(found.loss)}}}"
        setattr(namespace, self.dest, [*getattr(namespace, self.dest), change])


def add_house(parser: ArgumentParser, required: bool = False) -> None:
    """HOUSE.toml, --set, --package."""
    parser.add_argument("house", nargs=None if required else "?", help="a house file; without one, the invented demo house")
    add_changes(parser, 'air.tightness="3.0 ACH50"')
    parser.add_argument("--package", help="one of the house file's option packages")
    words = "fan tests and meters of delivered houses: they move what is likely of the next one"
    parser.add_argument("--fleet", action=_Fleet, metavar="FILE", dest="changes", help=words)


def add_changes(parser: _ActionsContainer, like: str) -> None:
    """--set."""
    words = f"change one value of the house, e.g. --set {like}; may be repeated"
    parser.add_argument("--set", action="append", default=[], metavar="key=value", dest="changes", help=words)


def add_place(parser: ArgumentParser, hours: bool = True) -> None:
    """--place, and whose hours the year has there."""
    parser.add_argument(
        "--place",
        action="append",
        help='"City, ST", ZIP, "County, ST", "lat,lon" or a station number; a season after a semicolon, "Duluth, MN; May-Oct"; '
        "may be repeated for a house that moves",
    )
    if hours:
        add_weather(parser)


def add_weather(parser: ArgumentParser) -> None:
    """--weather, --fetch, --accept, --mend."""
    parser.add_argument(
        "--weather", metavar="FILE", help="your own hourly file: TMY3, TMY2 or plain CSV (default: built from monthly statistics)"
    )
    parser.add_argument("--fetch", action="store_true", help="fetch a typical year on your connection (kept for next time)")
    for option, does in (("--accept", "take the file as it is in spite of"), ("--mend", "correct in the file")):
        parser.add_argument(option, action="append", default=[], metavar="NAME", help=f"{does} a named finding; may be repeated")


def add_output(parser: ArgumentParser, folder: bool = True) -> None:
    """--units, --json, --full, -o."""
    parser.add_argument("--units", choices=("ip", "si"), default="ip", help="units shown (default: %(default)s)")
    parser.add_argument("--json", action="store_true", help="print one JSON object, SI units")
    parser.add_argument("--full", action="store_true", help="everything behind the answer as well")
    if folder:
        parser.add_argument("-o", "--out", metavar="DIR", help="folder for the page, the figures and result.json")


def tell(
    arguments: Namespace,
    *reports: Report,
    files: Mapping[str, str | bytes | Path] | None = None,
    alone: Mapping[str, str | bytes] | None = None,
) -> int:
    """Print reports as text or JSON; with -o write their pages, figures and records with `files`, all or none.

    `alone` : files written where they are said to be, with or without -o
    """
    from heatcalc.render.as_json import json_text
    from heatcalc.render.as_text import as_short_text, as_text

    written = _written(arguments, reports, files or {}, alone or {})
    if arguments.json:
        print(json_text(reports[0].values if len(reports) == 1 else [r.values for r in reports]), end="")
        return 0
    system = arguments.units
    print("\n\n".join(as_text(r, system) for r in reports) if arguments.full else as_short_text(reports, system))
    if written:
        print("\nwrote " + ", ".join(written))
    return 0


def tell_each(
    arguments: Namespace, sized: SizeResult | None, reports: Sequence[Report], alone: Mapping[str, str | bytes] | None = None
) -> int:
    """Tell a report a place; of a house that moves the plan for all of them first."""
    from heatcalc.report.about_size import about_moving

    first = [about_moving(sized)] if sized is not None and len(reports) > 1 else []
    return tell(arguments, *first, *reports, alone=alone)


def _written(
    arguments: Namespace, reports: Sequence[Report], files: Mapping[str, str | bytes | Path], alone: Mapping[str, str | bytes]
) -> list[str]:
    """Everything made before the first file is written."""
    from heatcalc.files import write_together, write_whole
    from heatcalc.render.as_files import as_files

    made: dict[str, str | bytes | Path] = dict(files)
    folder = getattr(arguments, "out", None)
    numbered = [r for r in reports if r.question != "plan"]
    for report in reports if folder else ():
        n = next((n for n, r in enumerate(numbered, 1) if r is report and len(numbered) > 1), "")
        made |= as_files(report, arguments.units, f"-{n}" if n else "")
    paths = [write_whole(path, content) for path, content in alone.items()]
    return [str(path) for path in (*paths, *(write_together(folder, made) if folder else ()))]


def house_of(arguments: Namespace):
    """The house named on the command line, and the folder its own files lie in."""
    from heatcalc.errors import InputError
    from heatcalc.inputs.house.house_file import house_path, load_house

    if getattr(arguments, "unit", None) and any(c.partition("=")[0].strip() == "unit" for c in arguments.changes):
        raise InputError("--unit", arguments.unit, "and --set unit=... both name the unit", "say it once")
    path = house_path(arguments.house)
    return load_house(arguments.house, arguments.changes, arguments.package), Path(path).parent


def sized_of(arguments: Namespace, sure: float | None = None) -> tuple[SizeResult, Path]:
    """The sizing of the house, its unit and its places as the command line names them, and the folder of the house's files."""
    from heatcalc.judge.sizing import SURE, size_house

    house, folder = house_of(arguments)
    if getattr(arguments, "unit", None):
        house = house.model_copy(update={"unit": arguments.unit})
    return size_house(house, places_of(arguments), folder=folder, sure=SURE if sure is None else sure), folder


def place_of(arguments: Namespace):
    """The place named on the command line with the hours named there; the demo house has a place of its own."""
    from heatcalc.errors import InputError

    query = one_place(arguments)
    if query is None and getattr(arguments, "house", None) is not None and not arguments.weather:
        hours_file(arguments, [])
        raise InputError("--place", None, "say where the house will stand", '--place "Duluth, MN"')
    return place_named(arguments, query)


def place_named(arguments: Namespace, query: str | None):
    """The place of one query (None: what the hourly file says of itself, else the demo's) with the hours of the command line."""
    from heatcalc.inputs.place.find_place import find_place

    file = hours_file(arguments, [] if query is None else [query])
    own = file is not None and (query is None or arguments.fetch)
    place = None if own else find_place(DEMO_PLACE if query is None else query)
    if file is None:
        return place
    from heatcalc.inputs.weather.weather_place import place_with_hours

    return place_with_hours(file, place, arguments.accept, arguments.mend)


def one_place(arguments: Namespace) -> str | None:
    """The one place named; None where none is.  InputError where a command that asks of one place is given several."""
    from heatcalc.errors import InputError

    queries = arguments.place or []
    if len(queries) > 1:
        raise InputError("--place", queries[1], "is a second place, and what was metered stood in one", "a log a place")
    return queries[0] if queries else None


def places_of(arguments: Namespace):
    """Every place named: one, or those of a house that moves."""
    from heatcalc.inputs.place.find_place import find_places

    queries = arguments.place or []
    if len(queries) < 2:
        return (place_of(arguments),)
    hours_file(arguments, queries)
    return find_places(queries)


def hours_file(arguments: Namespace, queries: list[str]):
    """The hourly file named or fetched for the one place asked about; None where there is none."""
    from heatcalc.errors import InputError

    if arguments.weather and (arguments.fetch or len(queries) > 1):
        raise InputError("--weather", arguments.weather, "one file describes one place", "give one place, without --fetch")
    if arguments.fetch:
        if len(queries) != 1:
            raise InputError("--fetch", None, "fetches the year of one place", '--place "64.1,-21.9"')
        from heatcalc.inputs.place.find_place import position_of
        from heatcalc.inputs.weather.fetch import fetch_year

        return fetch_year(*position_of(queries[0]))
    if not arguments.weather and (spare := [f"--{k}" for k in ("accept", "mend") if getattr(arguments, k)]):
        raise InputError(spare[0], None, "speaks of an hourly file, and none is given", "add --weather FILE")
    return arguments.weather


def add_case(parser: ArgumentParser) -> None:
    """A house file and what else a sale says, or one saved case that says it all."""
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", help="the unit to show (default: the recommended one)")
    parser.add_argument("--tariff", metavar="FILE", help="price of electricity (default: the house file, else the state)")
    parser.add_argument("--buyer", default="", help="a name to print on the papers")
    parser.add_argument("--units", choices=("ip", "si", "both"), default=None, help="units shown (default: ip)")


def case_of(arguments: Namespace):
    """The case of the command line: made from a house file, or read from a saved case, which takes no changes."""
    from heatcalc.answers.sale.sale_answer import case_from_files, read_case
    from heatcalc.errors import InputError

    if arguments.house is None or not str(arguments.house).endswith(".json"):
        places = arguments.place or ([DEMO_PLACE] if arguments.house is None else [])
        if not places:
            raise InputError("--place", None, "say where the house will stand", '--place "Duluth, MN"')
        changes = (*arguments.changes, *([f"unit={arguments.unit}"] if arguments.unit else []))
        if arguments.tariff and (both := [c for c in arguments.changes if c.startswith("tariff")]):
            raise InputError("--tariff", arguments.tariff, f"and --set {both[0]} both say the tariff", "say it once")
        hours = hours_file(arguments, places)
        return case_from_files(
            arguments.house,
            places[0] if len(places) == 1 else tuple(places),
            changes,
            arguments.package,
            arguments.tariff,
            arguments.units or "ip",
            arguments.buyer,
            None if hours is None else {"file": str(hours), "accept": arguments.accept, "mend": arguments.mend},
        )
    words = ("place", "changes", "package", "unit", "tariff", "units", "buyer", "weather", "fetch", "accept", "mend")
    given = [name for name in words if getattr(arguments, name)]
    if given:
        raise InputError(
            "--set" if given[0] == "changes" else f"--{given[0]}",
            None,
            "a saved case says everything itself",
            "name the house file instead",
        )
    return read_case(arguments.house)
