"""The kinds of part a shell is made of, one row each: to add a kind is to add its row."""

from __future__ import annotations

from heatcalc.model.part import OpaquePart, PartKind, WindowPart
from heatcalc.model.parts import Described, after_credits, bridge_parts, door_parts, surface_part, window_parts
from heatcalc.wording import Q, worded

LEAST_AREA_M2 = 1e-6
KINDS: dict[str, PartKind] = {  # in the order in which lists of loads name them
    row.name: row
    for row in (
        PartKind(
            name="wall",
            word="walls",
            uncertain="walls",
            layered=True,
            series="wall",
            colour="siding",
            why_load_factor="one factor for a medium-coloured wall of an ordinary house; the network follows this siding's "
            "colour, each face's sun and its lag",
            why_time_series=worded(
                "an outside film of {} keeps more sun on the siding than the network's, and the tabled walls "
                "answer faster than these",
                Q(17.0, "U-value"),
            ),
        ),
        PartKind(
            name="roof",
            word="roof",
            uncertain="roof",
            layered=True,
            under_loft=True,
            flow=("up", "down"),
            load_factor="roof",
            series="roof",
            radiant="roof",
            colour="roof",
            why_load_factor="one factor by colour at the July peak; the network follows the hour and the layers",
            why_time_series=worded(
                "a lower outside film and a faster tabled roof raise it, a sky {} below the air lowers it",
                Q(4, "temperature difference"),
            ),
        ),
        PartKind(
            name="floor",
            word="floor",
            uncertain="floor",
            layered=True,
            flow=("down", "up"),
            load_factor="floor over open air",
            series="wall",
            why_load_factor="the factor takes the day's mean difference; the network the hour's",
            why_time_series="a tabled wall stands in for the floor",
        ),
        PartKind(
            name="door",
            word="doors",
            uncertain="windows",
            made=door_parts,
            colour="siding",
            why_load_factor="the factor gives a door the sun of any wall; the network gives it the sun of its own face",
            why_time_series="the lower outside film keeps more sun on the door",
        ),
        PartKind(
            name="window",
            word="windows",
            uncertain="windows",
            why_load_factor="0.46 of the daily range is taken off, as if the peak came at the day's mean; the network "
            "takes the hour",
        ),
        PartKind(
            name="thermal bridge",
            word="thermal bridges",
            uncertain="bridges",
            made=bridge_parts,
            radiates=False,
            load_factor="floor over open air",
        ),
    )
}


def opaque_parts(d: Described) -> tuple[OpaquePart, ...]:
    """Walls, roofs, floors, then the parts of every kind that makes its own; each with its assembly's films and U."""
    cut = tuple(surface_part(KINDS[s.part], d, s) for s in d.shell.surfaces if s.area_m2 > LEAST_AREA_M2)
    made = (kind.made(kind, d) for kind in KINDS.values() if kind.made)
    return (*after_credits(d.lines, cut), *(part for parts in made for part in parts))


def glass_parts(d: Described) -> tuple[WindowPart, ...]:
    """Windows and skylights."""
    return window_parts(KINDS["window"], d)


def losing_inputs() -> tuple[str, ...]:
    """The uncertain inputs that scale the heat loss of some kind of part."""
    return tuple(dict.fromkeys(kind.uncertain for kind in KINDS.values()))
