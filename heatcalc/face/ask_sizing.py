"""What a notebook cell asks of the main question, in one call."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.errors import InputError
from heatcalc.face.answer import Answer
from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import SURE, SizeResult, size_house
from heatcalc.render.as_files import as_image
from heatcalc.report.about_size import about_size
from heatcalc.report.size_values import side_by_side_figure

if TYPE_CHECKING:
    from IPython.display import Image


def size(
    house: str | Path | None = None,
    place: str | Sequence[str] = "Burlington, VT",
    changes: Sequence[str] = (),
    package: str | None = None,
    sure: float = SURE,
    units: str = "ip",
) -> Answer[SizeResult]:
    """`heatcalc size`: the sizing of a house file (None = the demo house) in a place, or in each of several.

    changes : as in `--set`, e.g. ["air.tightness=2.0 ACH50"]
    sure : chance (0.5 to 0.99) with which the plan is to hold the set point at the design cold
    Tables: plans, conditions, heating, cooling, units, assumptions.  Figures: load-and-capacity, heating-components, hot-day.
    Raises InputError for a value that cannot be used, NoAnswer where there is no unit to judge.
    """
    where = [find_place(one) for one in ([place] if isinstance(place, str) else place)]
    found = size_house(load_house(house, changes, package), where, folder=house_path(house).parent, sure=sure)
    return Answer(found, about_size, units)


def side_by_side(habits: Iterable[Answer[SizeResult]], plans: Iterable[Answer[SizeResult]]) -> Image:
    """One model at several places: the heat and the cold it needs, against what the usual unit and the plan's unit give.

    habits : a sizing a place with the unit that is always fitted named; plans : the same places, the unit free
    """
    usual, free = [a.result for a in habits], list(plans)
    says = "; ".join(
        f"{a.result.place.name}: usual {u.plan.unit} {u.plan.verdict}, plan {a.result.plan.unit} {a.result.plan.verdict}"
        for u, a in zip(usual, free, strict=True)
    )
    words = f"Heat needed and given over outdoor temperature, and cooling in the hottest hour. {says}"
    return as_image(lambda: side_by_side_figure(usual, [a.result for a in free], free[0].units), words)


def split_changes(text: str) -> list[str]:
    """`a.b=1; c.d=2` as the list that `--set` takes."""
    return [part.strip() for part in text.split(";") if part.strip()]


def split_places(text: str) -> list[str]:
    """`Duluth, MN | Phoenix, AZ; Nov-Apr`: places parted by bars, each with its season after a semicolon.  Raises InputError."""
    parts = [part.strip() for part in text.split("|") if part.strip()]
    for part in parts:
        if "," in part.partition(";")[2]:
            like = '"Duluth, MN | Phoenix, AZ; Nov-Apr"'
            raise InputError(
                "places", part, "names several places; they are parted by bars, a semicolon goes before a season", like
            )
    return parts
