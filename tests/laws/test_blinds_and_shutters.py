"""Night shutters and blinds by the hour: what they change, what they leave, and that the year's heat still closes."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.answers.methods.time_series_house import hand_time_series
from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.judge.assumed import assumptions_of
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.sites import sites_of, skies_of
from heatcalc.model.designer import cooling_days, designer_of
from heatcalc.model.house_model import house_model, zone_of
from heatcalc.model.year_walk import run_year, weather_year, year_house
from heatcalc.physics.shell.glazing import slats_let_in
from heatcalc.physics.zone.network import steady
from heatcalc.physics.zone.zone import network_of

WHERE = "Burlington, VT"
R_SHUTTER, U_WINDOW = 3.0, 0.35  # h ft2 F/Btu and its inverse
CLOSED = f"U-{1.0 / (1.0 / U_WINDOW + R_SHUTTER):.12f}"


@cache
def model(**window):
    glass = {"face": "back", "width": "6 ft", "height": "5 ft", "u_value": f"U-{U_WINDOW}", "shgc": 0.4} | window
    body = {"length": "24 ft", "width": "8.5 ft", "wall_height": "9 ft"}
    said = {"name": "a house", "body": body, "site": {"front_faces": "north"}, "windows": [glass]}
    return house_model(house_from(said), find_place(WHERE).elevation_m)


@cache
def brings():
    return weather_year(built_year(find_place(WHERE)))


@cache
def year(**window):
    return run_year(year_house(model(**window)), brings())


def designer(**window):
    return designer_of(model(**window), find_place(WHERE))


def test_a_shutter_that_adds_nothing_changes_nothing_to_the_bit():
    plain, nothing = year(), year(shutter="R-0", shutter_from=0, shutter_to=24)
    assert plain.annual("heat") == nothing.annual("heat") and plain.annual("cool") == nothing.annual("cool")


def test_closed_all_hours_it_is_that_window_with_the_shutters_r():
    """The steady heat from the room for a kelvin, and U by hand."""
    shut, thick = model(shutter=f"R-{R_SHUTTER}", shutter_from=0, shutter_to=24), model(u_value=CLOSED)

    def to_outdoors(m):
        net = network_of(zone_of(m, "year"))
        return steady(net, np.zeros(len(net.input_names)), 1.0).load_W

    assert to_outdoors(shut) + shut.shutters_W_K == pytest.approx(np.full(24, to_outdoors(thick)), rel=1e-9)
    assert shut.windows[0].shuttered.u_value == pytest.approx(thick.windows[0].u_value, rel=1e-9)


def test_its_year_lies_between_the_bare_window_and_the_one_with_its_r_and_closes():
    """Closed day and night it keeps the sun out as well; the lumped conductance never saves more than the window itself would."""
    bare, thick = year(inside_shade=0.0), year(u_value=CLOSED, inside_shade=0.0)
    always = year(shutter=f"R-{R_SHUTTER}", shutter_from=0, shutter_to=24)
    assert thick.annual("heat") <= always.annual("heat") < bare.annual("heat")
    assert always.closure < 1e-9 and year(shutter="R-3").closure < 1e-9


def test_on_winter_nights_it_saves_heat_under_its_windows_name():
    plain, night = year(), year(shutter="R-3")
    saved = plain.annual("heat") - night.annual("heat")
    lost = plain.middle.balance_kWh["windows"] - night.middle.balance_kWh["windows"]
    assert saved > 0.0 and lost > 0.0
    assert night.middle.balance_kWh["outdoor air"] == pytest.approx(plain.middle.balance_kWh["outdoor air"], rel=1e-2)


def test_a_better_shutter_and_a_longer_night_save_more():
    heats = [
        year(**w).annual("heat") for w in ({}, {"shutter": "R-1"}, {"shutter": "R-4"}, {"shutter": "R-4", "shutter_from": 18})
    ]
    assert heats == sorted(heats, reverse=True)


def test_the_design_cold_counts_it_only_where_it_is_always_closed():
    plain, thick = designer().heating().load_W, designer(u_value=CLOSED).heating().load_W
    assert designer(shutter="R-3").heating().load_W == plain
    assert designer(shutter="R-3", shutter_closed="always").heating().load_W == pytest.approx(thick, rel=1e-9)
    assert designer(shutter="R-3", shutter_closed="always", shutter_to=5).heating().load_W == plain
    assert np.array_equal(designer(shutter="R-3", shutter_closed="always").cooling.sensible_W, designer().cooling.sensible_W)


def test_the_answer_says_where_a_shutter_counts():
    told = {a.name: str(a.value) for a in assumptions_of(designer(shutter="R-3", shutter_closed="always"))}
    assert "design cold" in told["closed shutters"]
    assert "closed shutters" not in {a.name for a in assumptions_of(designer())}


def glass(**window):
    return cooling_days(designer(**window), [7], ["north"])[0].glass_W


def test_a_blind_acts_in_its_hours_alone():
    bare, all_day = glass(), glass(inside_shade=0.6)
    noon = glass(inside_shade=0.6, shade_from=10, shade_to=14)
    drawn = np.isin(np.arange(24), range(10, 14))
    assert np.array_equal(noon[~drawn], bare[~drawn]) and np.array_equal(noon[drawn], all_day[drawn])
    assert bare.max() > all_day.max() > 0


def test_blinds_by_the_hour_save_cooling_in_the_year_less_than_all_day():
    cools = [
        year(**w).annual("cool") for w in ({}, {"inside_shade": 0.5, "shade_from": 10, "shade_to": 14}, {"inside_shade": 0.5})
    ]
    assert cools == sorted(cools, reverse=True) and len(set(cools)) == 3


@pytest.mark.parametrize("window", [{"shade_from": 10, "shade_to": 14}, {"slats_level": 0.9, "slats_steep": 0.4}])
def test_many_places_and_the_time_series_see_the_same_hours(window):
    one = designer(inside_shade=0.6, **window)
    many = many_loads(one.model, skies_of(sites_of([one.place])))
    assert many.sensible_W[0] == pytest.approx(one.cooling.peak_sensible_W, abs=2e-3)
    series = [hand_time_series(d).hourly_W.max() for d in (designer(), one, designer(inside_shade=0.4))]
    assert series == sorted(series, reverse=True) and len(set(series)) == 3


def test_slats_are_linear_in_profile_angle():
    """Between the values at 0 and 60 degrees (ASHRAE Handbook - Fundamentals 2021 ch. 18)."""
    tangents = np.tan(np.radians([0.0, 15.0, 30.0, 60.0, 75.0]))
    assert slats_let_in(tangents, 0.9, 0.5) == pytest.approx([0.9, 0.8, 0.7, 0.5, 0.5])
    assert np.array_equal(glass(inside_shade=0.6, slats_level=0.6, slats_steep=0.6), glass(inside_shade=0.6))


@pytest.mark.parametrize(
    "window, words",
    [
        ({"slats_level": 0.9}, "both"),
        ({"face": "roof", "slats_level": 0.9, "slats_steep": 0.5}, "in a wall"),
        ({"shutter": "R-40"}, "allowed"),
        ({"shutter_closed": "sometimes"}, "usually"),
    ],
)
def test_what_makes_no_sense_is_refused(window, words):
    with pytest.raises(InputError, match=words):
        model(**window)
