"""Records with only some of their fields, and the usual house in one place, for tests of what reads no others."""

from functools import cache

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model


def made(kind, **fields):
    """A record of a kind with only these fields."""
    one = object.__new__(kind)
    for name, value in fields.items():
        object.__setattr__(one, name, value)
    return one


@cache
def designer_in(where: str, *changes: str) -> Designer:
    """The demo house with changes, in a place."""
    place = find_place(where)
    return designer_of(house_model(load_house(changes=changes), place.elevation_m), place)
