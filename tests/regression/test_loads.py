"""Network, load factor and time series on the invented demo house in four places: our own numbers, and how far they part.

Findings behind the table.  The load factor method lies 13 % below to 6 % above the network, though glass above its limits
puts the house outside its range.  The time series lies 2 to 11 % above the network.  Taken apart: both now have the
handbook's summer film; the method's cool sky takes 2 % off; its quick tabled walls and roofs are worth 6 to 8 % for the
better insulated package; what is left, 4 to 8 %, is heat which flows out of the room again: the method counts every gain
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
    ("Burlington, VT", "Breeze", 3101, 3102, 3118, 1714, 1558, 1749, 1834),
    ("Burlington, VT", "Hearth", 2415, 2415, 2415, 1293, 1341, 1421, 1351),
    ("Phoenix, AZ", "Breeze", 1311, 1318, 1320, 2698, 2475, 2884, 2911),
    ("Phoenix, AZ", "Hearth", 1023, 1025, 1023, 2065, 2046, 2284, 2168),
    ("Houston, TX", "Breeze", 1432, 1438, 1441, 2016, 1949, 2091, 2166),
    ("Houston, TX", "Hearth", 1118, 1120, 1118, 1545, 1634, 1684, 1617),
    ("Portland, OR", "Breeze", 1842, 1848, 1853, 1834, 1602, 1892, 1961),
    ("Portland, OR", "Hearth", 1438, 1439, 1437, 1379, 1377, 1524, 1438),
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
