"""A power cut: fans stop with it, and each water line freezes in the order of how it lies."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.answers.year.outage import heat_cut, power_cut
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import drivers, weather_year, year_house
from heatcalc.physics.shell.ground import line_temperature_C, sleeve_resistance, time_to_freezing_s


@cache
def cut(*changes):
    place = find_place("Burlington, VT")
    house = year_house(house_model(load_house(None, list(changes)), place.elevation_m))
    return power_cut(drivers(house, _brings(), "east"))


@cache
def _brings():
    return weather_year(built_year(find_place("Burlington, VT")))


def test_a_fan_stops_with_the_power():
    """With a 90 cfm exhaust fan the house cools as without any fan: only leaks are left."""
    fan, none = (cut(*c).empty for c in (("ventilation.rate=90 cfm",), ("ventilation.kind=none",)))
    assert [h for _, h in fan.hours_to] == pytest.approx([h for _, h in none.hours_to], rel=1e-3)


def test_leaks_go_on():
    tight, loose = (cut(f"air.tightness={x} ACH50").empty for x in (1, 12))
    assert tight.hours_to[-1][1] > loose.hours_to[-1][1]


def test_the_riser_freezes_first_and_the_room_last():
    found = cut().empty
    times = {p.where: p.hours for p in found.pipes}
    assert list(times) == ["in the room", "in the floor cavity", "in the riser outdoors"]
    assert times["in the riser outdoors"] < times["in the floor cavity"] < times["in the room"]
    assert times["in the room"] > found.hours_to[-1][1]  # water lags behind the air
    assert all(p.minutes_gained > 0 for p in found.pipes)


def test_a_skirt_gives_the_line_below_time():
    open_air, skirted = (cut(*c).empty.pipes[-1] for c in ((), ("below.kind=skirted",)))
    assert skirted.where == "in the skirted space"
    assert skirted.hours is None or skirted.hours > open_air.hours


def test_a_slab_has_no_line_below():
    assert [p.where for p in cut("below.kind=slab").empty.pipes] == ["in the room"]


def test_the_lumped_line_meets_the_handbooks_time():
    """Constant cold: the stepped line crosses 0 C where ln((ti - ta)/(tf - ta)) says."""
    stores, sleeve = 700.0, sleeve_resistance(0.0159, 0.0419, 0.036)
    expected = time_to_freezing_s(stores, sleeve, 5.0, -20.0)
    found = line_temperature_C(5.0, np.zeros(4000), np.full(4000, -20.0), 0.0, 1.0 / sleeve, stores, 1.0)
    assert np.flatnonzero(found <= 0.0)[0] + 1 == pytest.approx(expected, abs=1.0)
    assert time_to_freezing_s(stores, sleeve, 5.0, 1.0) == float("inf")


@cache
def hot_cut(*changes):
    place = find_place("Burlington, VT")
    house = year_house(house_model(load_house(None, list(changes)), place.elevation_m))
    return heat_cut(drivers(house, _brings(), "east"))


def test_on_the_hottest_day_the_room_warms_limit_by_limit_and_sun_hastens_it():
    """It starts at the cooling set point and passes the limits in their order; glass that lets less sun in gives time."""
    found, shaded = hot_cut(), hot_cut(*(f"windows.{k}.inside_shade=0.3" for k in range(len(load_house(None).windows))))
    assert found.start_C == pytest.approx(load_house(None).set_points.cooling, abs=0.5)
    hours = [h for _, h in found.hours_to if h is not None]
    assert hours and hours == sorted(hours) and found.hottest_C >= found.hours_to[len(hours) - 1][0]
    assert shaded.hours_to[0][1] is None or shaded.hours_to[0][1] > found.hours_to[0][1]
    assert shaded.hottest_C < found.hottest_C
