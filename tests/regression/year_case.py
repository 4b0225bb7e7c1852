"""The demo house with changes, ready to be walked; shared by the tests of the year."""

from functools import cache

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import RoomUnits, weather_year, year_house

ROOMS = RoomUnits()


@cache
def place(name):
    return find_place(name)


@cache
def brings(name):
    return weather_year(built_year(place(name)))


@cache
def house(*changes, where="Burlington, VT"):
    return year_house(house_model(load_house(None, list(changes)), place(where).elevation_m))


@cache
def unit(name):
    return load_units()[name]
