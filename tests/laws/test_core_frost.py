"""A heat recovery frosts: below its threshold it recovers part of the time, in the design cold as in the year."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.one_list import PREHEATER
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.metered_year import fresh_air_W, ventilation_fan_W
from heatcalc.judge.sites import sites_of, skies_of
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import recovering_share

RECOVERS = ("ventilation.kind=balanced", "ventilation.heat_recovery=0.75")


@cache
def designer(*changes):
    place = find_place("Burlington, VT")
    return designer_of(house_model(load_house(None, [*RECOVERS, *changes]), place.elevation_m), place)


def test_recovery_is_whole_above_the_threshold_and_falls_below_it():
    share = recovering_share(np.array([-20.0, -0.1, 0.0, 10.0, 22.0, 40.0]))
    assert share[:2].tolist() == [1.0, 1.0] and np.all(np.diff(share[2:]) <= 0.0)
    assert share[-1] == pytest.approx(20.0 / 30.0)


def test_the_deep_cold_does_not_get_the_label():
    """At -38 F two thirds of 75 % are left (10 min defrost, 20 min recovery in the table)."""
    air, cold = designer().model.air, (-38.0 - 32.0) / 1.8
    flow = float(air.total(21.1 - cold, 6.7)) - float(air.sensible(designer().model.house.set_points.heating - cold, 6.7))
    assert flow == pytest.approx(0.75 * 20.0 / 30.0 * air.balanced_m3_s, rel=2e-3)


def test_a_core_that_frosts_costs_load_in_the_cold_and_none_in_the_mild():
    frosts, never = designer(), designer("ventilation.frost_below=-40 F")
    assert frosts.heating(-25.0).load_W > never.heating(-25.0).load_W + 20.0
    assert frosts.heating(0.0).load_W == pytest.approx(never.heating(0.0).load_W)


def test_the_fan_runs_faster_while_it_defrosts():
    watts = ventilation_fan_W(designer().model, np.array([10.0, -10.0, -30.0]))
    assert watts[0] < watts[1] < watts[2]
    plain = house_model(load_house(None, ["ventilation.kind=balanced"]), 0.0)
    assert len(set(ventilation_fan_W(plain, np.array([10.0, -30.0])))) == 1


def heated(watts):
    return designer(f"ventilation.preheat={watts} W")


def test_a_preheater_keeps_the_label_and_its_heat_and_the_rooms_sum_to_the_same_air():
    """Warmed to the threshold by its own watts, recovered by the label: together Q c ((1 - e)(Ti - Tf) + (Tf - To))."""
    air, cold = heated(2000).model.air, -30.0
    delta, frost = 21.1 - cold, air.inputs.frost_K
    fresh_W_K = moist_air.volumetric_heat_capacity(20.0, 0.0, moist_air.pressure_at_altitude(air.inputs.elevation_m))
    fresh_W_K *= air.balanced_m3_s
    room = fresh_W_K * (1.0 - float(air.recovered(0.75, delta))) * delta
    assert room == pytest.approx(fresh_W_K * 0.25 * frost)
    assert float(air.preheat_W(delta)) == pytest.approx(fresh_W_K * (delta - frost))
    assert float(air.defrosting(delta)) == 0.0


def test_a_preheater_too_small_leaves_some_frost_and_draws_no_more_than_its_rating():
    air = heated(100).model.air
    assert 0.0 < float(air.defrosting(51.1)) < float(designer().model.air.defrosting(51.1))
    assert float(air.preheat_W(51.1)) == pytest.approx(100.0) and float(air.preheat_W(15.0)) == 0.0


def test_in_the_cold_the_room_asks_for_less_and_in_the_mild_for_the_same():
    loads = [d.heating(-25.0).load_W for d in (heated(2000), heated(100), designer())]
    assert loads == sorted(loads) and loads[0] < loads[-1] - 50.0
    assert heated(2000).heating(0.0).load_W == designer().heating(0.0).load_W


def test_its_watts_are_in_the_list_of_the_cord_and_in_the_metered_year():
    house = heated(500).model.house
    assert [a.watts for a in house.supply.appliances if a.name == PREHEATER] == [500.0]
    cold = np.array([10.0, -15.0, -30.0])
    more = fresh_air_W(heated(500).model, cold) - fresh_air_W(designer().model, cold)
    assert more[0] == 0.0 and more[1:].min() > 0.0
    many = many_loads(heated(500).model, skies_of(sites_of([heated(500).place])))
    assert many.heating_W[0] == pytest.approx(heated(500).heating().load_W, abs=1e-3)


def test_a_preheater_without_a_core_draws_nothing():
    house = load_house(None, ["ventilation.kind=balanced", "ventilation.preheat=500 W"])
    assert PREHEATER not in {a.name for a in house.supply.appliances}
    assert house_model(house).air.preheat_W(50.0) == 0.0
