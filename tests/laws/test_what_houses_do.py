"""Schedules by hour and weekday, set-back, days away, windows opened on summer nights, and what is refused."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.house.house_pieces import SetPoints
from heatcalc.inputs.house.house_record import Ventilation
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.judge.metered_year import ventilation_fan_W
from heatcalc.judge.one_head import places_told
from heatcalc.model.comfort import cold_places
from heatcalc.model.designer import cooling_days, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.household import at_home, night_open, set_points
from heatcalc.model.year_walk import run_year, weather_year, year_house
from heatcalc.physics.air.air_change import window_airing
from heatcalc.physics.shell.glazing import fins_share


def house(**changes):
    said = {
        "name": "a house",
        "body": {"length": "24 ft", "width": "8.5 ft", "wall_height": "9 ft"},
        "site": {"front_faces": "south"},
    }
    said["windows"] = [{"face": "back", "width": "4 ft", "height": "4 ft", "type": "Breeze window"}]
    return house_from(said | changes)


@cache
def _brings(where):
    return weather_year(built_year(find_place(where)))


def year(where="Burlington, VT", **changes):
    place = find_place(where)
    return run_year(year_house(house_model(house(**changes), place.elevation_m)), _brings(where))


def test_hours_and_weekdays():
    said = SetPoints(
        schedule=[{"days": "weekdays", "from_hour": 8, "to_hour": 17, "heating": "60 F"}, {"days": "weekend", "cooling": "80 F"}]
    )
    heating, cooling = (x.reshape(365, 24) for x in set_points(said))
    cold, usual = (60 - 32) / 1.8, (70 - 32) / 1.8
    assert np.allclose(heating[0, 8:17], cold) and np.allclose(heating[0, :8], usual) and np.allclose(heating[5], usual)
    assert np.allclose(cooling[5:7], (80 - 32) / 1.8) and np.allclose(cooling[:5], (75 - 32) / 1.8)


def test_away_over_the_new_year_without_people_or_cooling():
    said = SetPoints(away=[{"from_date": "12-20", "to_date": "01-10", "heating": "45 F"}])
    heating, cooling = (x.reshape(365, 24) for x in set_points(said))
    there = at_home(said).reshape(365, 24)[:, 0]
    assert there[:10].sum() == 0 and there[353:].sum() == 0 and there[10:353].all()
    assert np.allclose(heating[0], (45 - 32) / 1.8) and cooling[0].min() > 50.0


def test_a_set_back_and_days_away_save_heat():
    plain = year()
    night = year(set_points={"schedule": [{"from_hour": 22, "to_hour": 6, "heating": "60 F"}]})
    away = year(set_points={"away": [{"from_date": "01-05", "to_date": "02-20"}]})
    assert night.annual("heat") < plain.annual("heat")
    assert away.annual("heat") < plain.annual("heat")


def test_a_window_on_summer_nights_saves_cooling_and_costs_little_heat():
    plain, aired = year("Denver, CO"), year("Denver, CO", ventilation={"night_window": "5 ft2"})
    saved, cost = plain.annual("cool") - aired.annual("cool"), aired.annual("heat") - plain.annual("heat")
    assert saved > 0 and cost < saved


def test_it_stays_shut_by_day_in_cold_air_and_in_air_warmer_than_the_room():
    outdoor = np.full(8760, 20.0)
    opened = night_open(outdoor, np.full(8760, 24.0), Ventilation()).reshape(365, 24)
    assert opened[:, 20:].all() and opened[:, :8].all() and not opened[:, 8:20].any()
    for warmer in (-5.0, 5.0):
        assert not night_open(outdoor + warmer, np.full(8760, 24.0), Ventilation()).any()
    always = night_open(outdoor - 30.0, np.full(8760, 24.0), Ventilation(night_when="always", night_from=18, night_to=7))
    assert always.reshape(365, 24).sum(axis=1).tolist() == [13] * 365


def test_one_sided_airing_by_hand():
    """0.5 x 1 m2 x sqrt(0.01 + 0.001 x 4 + 0.0035 x 1 x 4) (de Gids and Phaff 1982)."""
    assert window_airing(1.0, 2.0, 4.0) == pytest.approx(0.5 * (0.01 + 0.004 + 0.014) ** 0.5)


def test_the_plain_house_is_untouched():
    heating, cooling = set_points(load_house().set_points)
    assert len(set(cooling)) == 1 and at_home(load_house().set_points).all()


def west_sun(**window):
    glass = [{"face": "back", "width": "4 ft", "height": "4 ft", "type": "Breeze window"} | window]
    place = find_place("Denver, CO")
    made = designer_of(house_model(house(windows=glass, site={"front_faces": "east"}), place.elevation_m), place)
    return cooling_days(made, [7], ["east"])[0].glass_W


def test_fins_and_overhangs_shade_and_more_of_them_more():
    bare, fins, deep, both = (
        west_sun(**w).sum() for w in ({}, {"side_fins": "1 ft"}, {"side_fins": "3 ft"}, {"side_fins": "3 ft", "overhang": "3 ft"})
    )
    assert bare > fins > deep > both > 0


def test_an_insect_screen_lets_the_printed_share_through():
    """0.64 of the sun on the part it covers (ASHRAE Handbook - Fundamentals 2021 ch. 17 Table 11)."""
    bare, whole, half = (west_sun(insect_screen=x) for x in (0.0, 1.0, 0.5))
    assert whole == pytest.approx(0.64 * bare) and half == pytest.approx(0.82 * bare)


def test_fins_take_their_view_of_the_sky():
    """Two fins as deep as the window is wide, at its edges: 1 - 2 (2 - sqrt 2)/2 of an even sky is left."""
    assert fins_share(1.0, 0.0, 1.0) == pytest.approx(2**0.5 - 1.0)
    assert fins_share(0.0, 0.1, 1.0) == 1.0


def test_a_fan_at_night_saves_cooling_and_its_watts_are_counted():
    plain, aired = year("Denver, CO"), year("Denver, CO", ventilation={"night_fan": "300 cfm"})
    assert aired.annual("cool") < plain.annual("cool")
    outdoor = _brings("Denver, CO").outdoor_C
    more = ventilation_fan_W(aired.house.model, outdoor) - ventilation_fan_W(plain.house.model, outdoor)
    assert set(np.round(more, 3)) == {0.0, round(300 / 2.8, 3)}


def test_off_is_off_by_the_hour():
    said = SetPoints(schedule=[{"from_hour": 18, "to_hour": 7, "cooling": "off"}, {"days": "weekend", "heating": "off"}])
    heating, cooling = (x.reshape(365, 24) for x in set_points(said))
    assert cooling[:, 18:].min() > 50.0 and cooling[:, 7:18].max() < 25.0
    assert heating[5:7].max() < -50.0 and heating[:5].min() > 20.0
    floats = year(set_points={"schedule": [{"heating": "off", "cooling": "off"}]})
    assert floats.annual("heat") == floats.annual("cool") == 0.0


@pytest.mark.parametrize(
    "key, value, words",
    [
        ("indoor_unit", "two heads", "house file of its own"),
        ("indoor_unit", "ducted", "house file of its own"),
        ("set_points", {"away": [{"from_date": "02-30", "to_date": "03-01"}]}, "month and a day"),
        ("set_points", {"schedule": [{"heating": "76 F"}]}, "1 F above schedule 1"),
    ],
)
def test_what_is_refused_says_what_to_do(key, value, words):
    with pytest.raises(InputError, match=words):
        house(**{key: value})


@cache
def in_the_cold(*changes):
    place = find_place("Duluth, MN")
    return designer_of(house_model(load_house(None, ["site.front_faces=north", *changes]), place.elevation_m), place)


def test_floor_and_closed_bath_are_colder_than_the_room_and_a_better_shell_warms_them():
    plain, snug = (cold_places(in_the_cold(*c)) for c in ((), ("package=Hearth",)))
    for place in (plain, snug):
        assert in_the_cold().conditions.heating_C < place.floor_C < place.room_C and place.bath_C < place.room_C
    assert snug.floor_C > plain.floor_C and snug.bath_C > plain.bath_C


def test_a_floors_surface_by_hand():
    """Room less U x Rsi x difference."""
    d = in_the_cold()
    floor = next(p for p in d.model.opaque if p.kind == "floor")
    drop = floor.u_value * floor.r_inside * (d.model.house.set_points.heating - d.conditions.heating_C)
    assert cold_places(d).floor_C == pytest.approx(d.model.house.set_points.heating - drop)


def test_what_is_far_from_the_room_is_told():
    said = [str(w) for w in places_told(in_the_cold())]
    assert len(said) == 1 and "bath" in said[0] and "floor" in said[0]
