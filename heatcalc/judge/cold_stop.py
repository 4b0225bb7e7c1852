"""The hours in which a heat pump stands still because it is colder outdoors than it may run."""

from __future__ import annotations

from collections.abc import Iterator

from heatcalc.inputs.place.find_place import Place
from heatcalc.judge.choice import Candidate
from heatcalc.wording import Q, Said, worded


def cold_stop_warnings(best: Candidate | None, place: Place) -> Iterator[Said]:
    """A warning where a typical year has such hours for the unit, even if it carries the design cold."""
    if best is None:
        return
    limit = best.unit.lowest_heating_C
    hours = place.hours_below(limit)
    if hours >= 0.5:
        yield (
            worded(
                "a typical year has about {:.0f} hours colder than {}, in which {} stops: without a second "
                "heater the house cools towards freezing; plan one that runs on its own, with its place on "
                "the cord, and protect the water lines",
                hours,
                Q(limit, "temperature"),
                best.name,
            )
        )
