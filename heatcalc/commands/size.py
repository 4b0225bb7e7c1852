"""Which mini-split carries this house in this place, at both ends of its range.

Examples:
heatcalc size  # the invented demo house in Burlington, Vermont
heatcalc size my-house.toml --place "Duluth, MN" -o out/
heatcalc size plover-26g --place 97201 --set below.kind=skirted --units si
heatcalc size my-house.toml --place "Duluth, MN; May-Oct" --place "Phoenix, AZ; Nov-Apr" --sure 95  # a house that moves
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, shown, sized_of, tell

if TYPE_CHECKING:
    from collections.abc import Iterable

    from IPython.display import Image

    from heatcalc.face.answer import Answer
    from heatcalc.judge.sizing import SizeResult


def size(
    house: str | Path | None = None,
    place: str | Sequence[str] = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    sure: float = 0.9,
    units: str = "ip",
) -> Answer[SizeResult]:
    """`heatcalc size`: the sizing of a house file (None = the demo house) in a place, or in each of several.

    changes : as in `--set`, e.g. ["air.tightness=2.0 ACH50"]
    sure : chance (0.5 to 0.99) with which the plan is to hold the set point at the design cold
    Tables: plans, conditions, heating, cooling, units, assumptions.  Figures: load-and-capacity, heating-components, hot-day.
    Raises InputError for a value that cannot be used, NoAnswer where there is no unit to judge.
    """
    from heatcalc.inputs.house.house_file import house_path, load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.judge.sizing import size_house
    from heatcalc.report.about_size import about_size

    where = [find_place(one) for one in ([place] if isinstance(place, str) else place)]
    found = size_house(load_house(house, changes, package), where, folder=house_path(house).parent, sure=sure)
    return shown(found, about_size, units)


def side_by_side(habits: Iterable[Answer[SizeResult]], plans: Iterable[Answer[SizeResult]]) -> Image:
    """One model at several places: the heat and the cold it needs, against what the usual unit and the plan's unit give.

    habits : a sizing a place with the unit that is always fitted named; plans : the same places, the unit free
    """
    from heatcalc.render.as_files import as_image
    from heatcalc.report.size_values import side_by_side_figure

    usual, free = [a.result for a in habits], list(plans)
    says = "; ".join(
        f"{a.result.place.name}: usual {u.plan.unit} {u.plan.verdict}, plan {a.result.plan.unit} {a.result.plan.verdict}"
        for u, a in zip(usual, free, strict=True)
    )
    words = f"Heat needed and given over outdoor temperature, and cooling in the hottest hour. {says}"
    return as_image(lambda: side_by_side_figure(usual, [a.result for a in free], free[0].units), words)


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", help="judge this unit, and still say which would be better")
    parser.add_argument(
        "--sure",
        type=float,
        default=90.0,
        metavar="OF_100",
        help="of 100 houses built so, how many are to hold the design cold (default: %(default)g)",
    )
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.report.about_size import about_size

    return tell(arguments, about_size(sized_of(arguments, arguments.sure / 100.0)[0]))
