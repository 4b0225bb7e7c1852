"""The 1 % dew-point condition beside the 1 % dry-bulb one: larger latent load, held by a hand sum; both must be carried."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.choice import task_of
from heatcalc.judge.facts import Facts, Rooms
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.rules import cools
from heatcalc.judge.sites import sites_of, skies_of
from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, DEW_POINT, DRY_BULB, damp_day, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import latent_heat


@cache
def designer(where, *changes):
    place = find_place(where)
    return designer_of(house_model(load_house(None, ["site.front_faces=north", *changes]), place.elevation_m), place)


@pytest.mark.parametrize("where", ["Houston, TX", "Miami, FL", "Burlington, VT"])
def test_the_dew_point_condition_is_the_damper_of_the_two(where):
    d = designer(where)
    assert d.damp.condition == DEW_POINT and d.cooling.condition == DRY_BULB
    assert d.damp.latent_at_peak_W > 1.1 * d.cooling.latent_at_peak_W
    assert d.damp.dehumidification_kg_s > d.cooling.dehumidification_kg_s
    totals = [x.total_at_peak_W for x in d.cooling_conditions]
    assert totals == sorted(totals, reverse=True) and len(totals) == 2


def test_its_latent_load_by_hand():
    """rho Q h_fg (w_dew - w_room) with the people gone: 1 % dew point of the place, 75 F and 50 % inside."""
    d = designer("Houston, TX", "living.people=0", "living.cooking=none")
    pressure, hour = moist_air.pressure_at_altitude(d.conditions.elevation_m), d.damp.peak_hour - 1
    inside = moist_air.humidity_ratio_from_relative((75 - 32) / 1.8, 0.5, pressure)
    outside = moist_air.humidity_ratio_from_dew_point(d.place.dew_point_1_C, pressure)
    hour_mean_C = 0.5 * (d.damp.outdoor_C[hour] + d.damp.outdoor_C[hour - 1])
    flow = float(d.model.air.moisture((75 - 32) / 1.8 - hour_mean_C, DESIGN_WIND_COOLING_M_S))
    assert d.damp.latent_at_peak_W == pytest.approx(float(latent_heat(flow, outside - inside, pressure, (75 - 32) / 1.8)))


def test_the_day_is_never_colder_than_its_dew_point_nor_hotter_than_the_dry_bulb_condition():
    for where in ("Phoenix, AZ", "Burlington, VT", "Denver, CO"):
        d = designer(where)
        _, day = damp_day(d)
        assert day.dry_bulb_C.min() >= d.place.dew_point_1_C - 1e-9
        assert day.dry_bulb_C.max() <= max(d.conditions.cooling_1_C, d.place.dew_point_1_C) + 1e-9


def test_the_causes_sum_to_the_load():
    damp = designer("Houston, TX").damp
    assert sum(damp.components_W.values()) == pytest.approx(damp.sensible_W)


def test_the_users_own_dew_point_wins():
    d = designer("Houston, TX", "design.cooling_dew_point=70 F", "design.source=own record")
    assert d.conditions.dew_point_1_C == pytest.approx(70 / 1.8 - 32 / 1.8)
    assert d.damp.latent_at_peak_W < designer("Houston, TX").damp.latent_at_peak_W


def test_without_a_dew_point_on_record_the_dry_bulb_condition_stands_alone():
    d = designer("Houston, TX")
    dry = replace(d, conditions=replace(d.conditions, dew_point_1_C=None, dew_point_1_dry_bulb_C=None))
    assert dry.damp is None and dry.cooling_conditions == (dry.cooling,)
    assert task_of(dry).damp_latent_W == 0.0


def test_a_unit_must_carry_the_damp_hour_too():
    d, unit = designer("Houston, TX"), load_units()["G09-C-230"]
    sites, house = sites_of([d.place]), d.model.house
    loads = many_loads(d.model, skies_of(sites))
    wetter = replace(loads, damp_latent_W=20.0 * loads.damp_latent_W)
    found = [cools.rule(Facts(unit, x, Rooms(house, sites)), None) for x in (loads, wetter)]
    assert [bool(f.ok[0]) for f in found] == [True, False]
    assert bool(found[1].quantities["carries_hot"][0])
