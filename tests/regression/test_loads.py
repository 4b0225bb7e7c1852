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
    ("Burlington, VT", "Breeze", 3072, 3098, 3115, 1675, 1558, 1747, 1833),
    ("Burlington, VT", "Hearth", 2397, 2412, 2412, 1265, 1340, 1420, 1350),
    ("Phoenix, AZ", "Breeze", 1311, 1329, 1331, 2636, 2474, 2887, 2913),
    ("Phoenix, AZ", "Hearth", 1024, 1033, 1031, 2022, 2046, 2261, 2168),
    ("Houston, TX", "Breeze", 1422, 1440, 1442, 1974, 1951, 2094, 2169),
    ("Houston, TX", "Hearth", 1112, 1121, 1119, 1515, 1635, 1686, 1619),
    ("Portland, OR", "Breeze", 1828, 1850, 1854, 1793, 1604, 1894, 1963),
    ("Portland, OR", "Hearth", 1430, 1440, 1438, 1350, 1378, 1526, 1440),
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
