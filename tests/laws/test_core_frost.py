"""A heat recovery frosts: below its threshold it recovers part of the time, in the design cold as in the year."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.metered_year import ventilation_fan_W
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.air.ventilation import recovering_share

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
