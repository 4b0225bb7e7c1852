"""Which uncertain input matters most.

Examples:
heatcalc sensitivity  # the invented demo house in Burlington, Vermont
heatcalc sensitivity my-house.toml --place "Duluth, MN" --unit G12-C-230 -o out/
heatcalc sensitivity plover-26g --place 85001 --limits --years 400 --json
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, asked, house_of, places_of, shown, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.study.what_matters import WhatMatters
    from heatcalc.face.answer import Answer


LEAST_YEARS = 300


def what_matters(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    unit: str = "",
    years: int = 0,
    limits: bool = False,
    units: str = "ip",
) -> Answer[WhatMatters]:
    """`heatcalc sensitivity`: every uncertain input alone, then all at once, of a house with a unit in a place.

    unit : its name, empty for the recommended one; years : walk about so many for the shares of the year
    limits : also how cold, how leaky, how much glass, which skirting
    """
    from heatcalc.answers.study.inverse import limits_of
    from heatcalc.answers.study.what_matters import what_matters as study
    from heatcalc.report.about_sensitivity import about_sensitivity

    said, where, folder = asked(house, place, (), None)
    found = study(said, where, unit or None, folder, years=years)
    case = found.at_once.case
    turned = limits_of(found.one_at_a_time.sized.house, case.place, case.unit, folder) if limits else None
    return shown(found, lambda m: about_sensitivity(m, turned), units)


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", metavar="NAME", help="the mini-split (default: the recommended one)")
    parser.add_argument("--draws", type=int, default=20_000, help="of everything at once (default: %(default)s)")
    parser.add_argument("--base", type=int, default=1024, help="base of the Sobol shares, a power of 2 (default: %(default)s)")
    parser.add_argument("--years", type=int, default=0, help="walk about so many years for the shares of the year: 300 or more")
    parser.add_argument("--workers", type=int, default=2, help="processes for the years (default: %(default)s)")
    parser.add_argument("--seed", type=int, default=20_240_601, help="of every draw (default: %(default)s)")
    parser.add_argument("--limits", action="store_true", help="also: how cold, how leaky, how much glass, which skirting")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from tqdm import tqdm

    from heatcalc.answers.study.what_matters import what_matters
    from heatcalc.report.about_sensitivity import about_sensitivity

    _check(arguments)
    (house, folder), places = house_of(arguments), places_of(arguments)
    with tqdm(desc="cases and years", unit="case", disable=None) as bar:
        studies = [
            what_matters(
                house,
                places,
                arguments.unit,
                folder,
                arguments.draws,
                arguments.seed,
                arguments.base,
                arguments.years,
                bar.update,
                arguments.workers,
                bar.reset,
                k,
            )
            for k in range(len(places))
        ]
    reports = [about_sensitivity(found, _limits(found, folder) if arguments.limits else None) for found in studies]
    return tell_each(arguments, studies[0].one_at_a_time.sized, reports)


def _limits(found, folder):
    from heatcalc.answers.study.inverse import limits_of

    case = found.at_once.case
    return limits_of(found.one_at_a_time.sized.house, case.place, case.unit, folder)


def _check(arguments: Namespace) -> None:
    from heatcalc.errors import InputError

    limits = {
        "draws": (1000, 5_000_000),
        "base": (64, 65_536),
        "years": (0, 1_000_000),
        "workers": (1, 256),
        "seed": (0, 2**32 - 1),
    }
    for name, (low, high) in limits.items():
        given = getattr(arguments, name)
        if not low <= given <= high:
            raise InputError(f"--{name}", given, f"allowed {low:,} to {high:,}")
    if 0 < arguments.years < LEAST_YEARS:
        raise InputError("--years", arguments.years, f"shares need {LEAST_YEARS} or more")
    if arguments.base & (arguments.base - 1):
        raise InputError("--base", arguments.base, "must be a power of 2, e.g. 1024")
