"""Network, load factor and time series on the invented demo house in four places: our own numbers, and how far they part.

Findings behind the table.  The load factor method lies 11 % below to 8 % above the network, though glass above its limits
puts the house outside its range.  The time series lies 4 to 13 % above the network.  Taken apart: both now have the
handbook's summer film; the method's cool sky takes 2 % off; its quick tabled walls and roofs are worth 6 to 8 % for the
better insulated package; what is left, 7 to 10 %, is heat which flows out of the room again: the method counts every gain
as load, in this house 86 to 89 % of the light let in becomes load for good.
"""

from functools import cache

import pytest

from heatcalc.answers.methods.side_by_side import compare, kept_share
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model

# place, package; heating W by network, load factor, steady sheet; sensible cooling W by network, load factor, time series,
# and by the time series with the network's film, sky and layers
TABLE = [
    ("Burlington, VT", "Breeze", 3054, 3082, 3097, 1660, 1540, 1730, 1816),
    ("Burlington, VT", "Hearth", 2384, 2399, 2398, 1253, 1327, 1406, 1337),
    ("Phoenix, AZ", "Breeze", 1329, 1347, 1349, 2632, 2474, 2855, 2908),
    ("Phoenix, AZ", "Hearth", 1038, 1047, 1045, 2029, 2046, 2269, 2176),
    ("Houston, TX", "Breeze", 1424, 1443, 1445, 1969, 1940, 2088, 2162),
    ("Houston, TX", "Hearth", 1115, 1124, 1121, 1511, 1627, 1682, 1615),
    ("Portland, OR", "Breeze", 1847, 1869, 1873, 1778, 1577, 1876, 1944),
    ("Portland, OR", "Hearth", 1444, 1455, 1453, 1333, 1358, 1511, 1421),
]
IDS = [f"{row[0][:4]}-{row[1]}" for row in TABLE]


@cache
def compared(where, package):
    place = find_place(where)
    return compare(designer_of(house_model(load_house(None, [], package), place.elevation_m), place))


@pytest.mark.parametrize("row", TABLE, ids=IDS)
def test_the_table(row):
    c = compared(*row[:2])
    found = (
        c.designer.heating().load_W,
        c.load_factor.heating_total_W,
        c.time_series.heating_total_W,
        c.designer.cooling.peak_sensible_W,
        c.load_factor.cooling_total_W,
        c.time_series.cooling_total_W,
        c.steps[-1].peak_W,
    )
    assert found == pytest.approx(row[2:], rel=0.005)


@pytest.mark.parametrize("row", TABLE, ids=IDS)
def test_peaks_within_fifteen_per_cent_and_the_reason_found(row):
    c = compared(*row[:2])
    assert abs(c.off("time series")) <= 0.15
    assert abs(c.off("load factor")) <= 0.15
    assert abs(c.load_factor.heating_total_W / c.designer.heating().load_W - 1) <= 0.05
    left = c.steps[-1].peak_W / c.designer.cooling.peak_sensible_W - 1
    assert abs(left) <= 0.15
    assert 0.0 < left < 1.0 / kept_share(c.designer) - 1.0  # no more than what flows out again


def test_months_and_ways_stay_where_they_were():
    """In Burlington the worst peak is July with the front to the north: the long sides look east and west."""
    day = compared("Burlington, VT", "Breeze").designer.cooling
    assert (day.month, day.front_faces, day.peak_hour) == (7, "north", 18)
