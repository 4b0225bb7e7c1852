"""Examples:
heatcalc reach  # the demo house's packages at every weather station
heatcalc reach my-house.toml --package Hearth --unit G09-C-230 -o out/
heatcalc reach plover-26g --counties --json
heatcalc reach plover-26g --package Breeze --year -o out/
heatcalc reach my-house.toml --places places.csv -o out/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from dataclasses import replace

from heatcalc.commands.common import add_output, tell

MOST_PLACES = 5000  # held at once: about 0.4 MB a place with every unit and one package


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("house", nargs="?", help="a house file; without one, the invented demo house")
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="key=value",
        dest="changes",
        help='change one value of the house, e.g. --set air.tightness="3.0 ACH50"; may be repeated',
    )
    parser.add_argument("--package", action="append", default=[], help="one of its packages; repeat for more (default: all)")
    parser.add_argument("--unit", action="append", default=[], metavar="NAME", help="a mini-split; repeat for more")
    parser.add_argument("--counties", action="store_true", help="every county instead of every weather station")
    parser.add_argument("--places", metavar="FILE", help="these places instead: a file with one a line, or a CSV's column place")
    parser.add_argument("--year", action="store_true", help="walk the year at every place as well")
    parser.add_argument("--workers", type=int, default=2, help="processes for the years (default: %(default)s)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.reach.reach_study import reach
    from heatcalc.errors import InputError
    from heatcalc.judge.sites import counties, stations
    from heatcalc.report.about_reach import about_reach
    from heatcalc.report.reach_values import places_csv, reach_csv

    if not 1 <= arguments.workers <= 256:
        raise InputError("--workers", arguments.workers, "allowed 1 to 256")
    where = _listed(arguments) or (counties() if arguments.counties else stations())
    with _progress(arguments.year, len(where)) as told:
        found = reach(
            arguments.house, arguments.package, arguments.unit, arguments.changes, where, arguments.year, arguments.workers, told
        )
    unit = arguments.unit[0] if arguments.unit else None
    files = {"reach.csv": reach_csv(found), "places.csv": places_csv(found)} if arguments.out else None
    return tell(arguments, about_reach(found, unit), files=files)


def _listed(arguments: Namespace):
    """The places of a file; None where none is named."""
    from heatcalc.errors import InputError
    from heatcalc.inputs.place.find_place import find_places
    from heatcalc.inputs.place.place_list import listed_places
    from heatcalc.judge.sites import sites_of

    if arguments.places is None:
        return None
    if arguments.counties:
        raise InputError("--places", arguments.places, "and --counties both say where", "say it once")
    said = list(dict.fromkeys(listed_places(arguments.places)))
    if len(said) > MOST_PLACES:
        advice = f"heatcalc orders --model HOUSE --places {arguments.places}, which goes through any number"
        raise InputError("--places", len(said), f"at most {MOST_PLACES:,} places are mapped at once", advice)
    return replace(sites_of(find_places(said)), key=tuple(said))


class _progress:
    """A bar on standard error while years are walked."""

    def __init__(self, wanted: bool, places: int):
        self.wanted, self.places = wanted, places

    def __enter__(self):
        if not self.wanted:
            return None
        from tqdm import tqdm

        self.bar = tqdm(unit="place", desc="years", total=self.places, disable=None)
        return self.bar.update

    def __exit__(self, *_):
        if self.wanted:
            self.bar.close()
