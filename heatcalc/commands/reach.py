"""Where a model with a given unit holds, across the country.

Examples:
heatcalc reach  # the demo house's packages at every weather station
heatcalc reach my-house.toml --package Hearth --unit G09-C-230 -o out/
heatcalc reach plover-26g --counties --json
heatcalc reach plover-26g --package Breeze --year -o out/
heatcalc reach my-house.toml --places places.csv -o out/
heatcalc reach plover-26g --package Breeze --places zips -o out/  # a part at a time; stopped and run again, it goes on
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from heatcalc.commands.common import add_changes, add_output, shown, tell

if TYPE_CHECKING:
    from heatcalc.answers.reach.reach_study import Reach
    from heatcalc.face.answer import Answer

MOST_PLACES, MOST_YEARS = 100_000, 5_000


def reach(
    house: str | Path | None = None, packages: str = "", unit: str = "", counties: bool = False, units: str = "ip"
) -> Answer[Reach]:
    """`heatcalc reach`: every place of the climate tables with a house's packages and every unit; maps and zones of one."""
    from heatcalc.answers.reach.reach_study import reach as everywhere
    from heatcalc.answers.study.packages import package_list
    from heatcalc.report.about_reach import about_reach

    found = everywhere(house, package_list(house, packages or None), (), (), "counties" if counties else "stations")
    from heatcalc.errors import InputError, nearest

    if unit and unit not in found.unit_names:
        raise InputError("unit", unit, f"known: {', '.join(found.unit_names)}", nearest(unit, list(found.unit_names)))
    return shown(found, lambda r: about_reach(r, unit or None), units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("house", nargs="?", help="a house file; without one, the invented demo house")
    add_changes(parser, 'air.tightness="3.0 ACH50"')
    parser.add_argument("--package", action="append", default=[], help="one of its packages; repeat for more (default: all)")
    parser.add_argument("--unit", action="append", default=[], metavar="NAME", help="a mini-split; repeat for more")
    parser.add_argument("--counties", action="store_true", help="every county instead of every weather station")
    parser.add_argument("--places", metavar="FILE|zips", help="these instead: one a line, a CSV's column place, or every ZIP")
    parser.add_argument("--year", action="store_true", help="walk the year at every place as well")
    parser.add_argument("--workers", type=int, default=2, help="processes for years and long lists (default: %(default)s)")
    parser.add_argument("--engine", metavar="dask[:ADDRESS]", help="a cluster for long lists: one here, or one that runs")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.errors import InputError
    from heatcalc.files import growing_file
    from heatcalc.report.about_reach import about_reach, places_csv

    if not 1 <= arguments.workers <= 256:
        raise InputError("--workers", arguments.workers, "allowed 1 to 256")
    listed, unit = _listed(arguments), arguments.unit[0] if arguments.unit else None
    with growing_file(arguments.out, "reach.csv") if arguments.out else nullcontext() as rows:
        found = _found(arguments, listed, rows)
        if rows is None:
            return tell(arguments, about_reach(found, unit))
        rows.close()
        return tell(arguments, about_reach(found, unit), files={"reach.csv": Path(rows.name), "places.csv": places_csv(found)})


def _found(arguments: Namespace, listed: list[str] | None, rows: TextIO | None):
    """The answer, its lines written as they come: of many listed places a part at a time, kept in the folder of the answer."""
    from heatcalc.answers.reach.reach_parts import AT_ONCE, FOLDER, reach_by_parts
    from heatcalc.answers.reach.reach_study import reach
    from heatcalc.answers.study.processes import in_processes
    from heatcalc.inputs.place.find_place import find_places
    from heatcalc.judge.sites import counties, sites_of, stations
    from heatcalc.report.about_reach import reach_lines

    def write(part: Reach) -> None:
        if rows is not None:
            rows.writelines(reach_lines(part, head=not rows.tell()))

    asked = arguments.house, arguments.package, arguments.unit, arguments.changes
    if listed is not None and len(listed) > AT_ONCE and not arguments.year:
        kept, spread = Path(arguments.out) / FOLDER if arguments.out else None, in_processes(arguments.workers, arguments.engine)
        with _progress("places", len(listed)) as told:
            return reach_by_parts(*asked, listed, spread, kept, told, each=write)
    where = counties() if arguments.counties else stations() if listed is None else sites_of(find_places(listed))
    where = where if listed is None else replace(where, key=tuple(listed))
    with _progress("years" if arguments.year else "", len(where)) as told:
        found = reach(*asked, where, arguments.year, arguments.workers, told)
    write(found)
    return found


def _listed(arguments: Namespace) -> list[str] | None:
    """The places of a file as they are named there; None where no file is named."""
    from heatcalc.errors import InputError
    from heatcalc.inputs.place.place_list import listed_places

    if arguments.places is None:
        return None
    if arguments.counties:
        raise InputError("--places", arguments.places, "and --counties both say where", "say it once")
    listed, most = list(dict.fromkeys(listed_places(arguments.places))), MOST_YEARS if arguments.year else MOST_PLACES
    if len(listed) > most:
        raise InputError("--places", len(listed), f"at most {most:,} places{' with --year' if arguments.year else ''}")
    return listed


class _progress:
    """A bar on standard error while something long is done; none without a word for it."""

    def __init__(self, what: str, places: int):
        self.what, self.places = what, places

    def __enter__(self):
        if not self.what:
            return None
        from tqdm import tqdm

        self.bar = tqdm(unit="place", desc=self.what, total=self.places, disable=None)
        return self.bar.update

    def __exit__(self, *_):
        if self.what:
            self.bar.close()
