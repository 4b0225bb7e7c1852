"""The simple hourly method, ISO 13790:2008 annex C (equations second hand): what is no single figure.

The figures of the worked hour are rows of heatcalc/checks/network.json.
"""

import pytest

from heatcalc.physics.zone.five_resistances import FiveResistances, HourGiven, direct_loss, hour_controlled, hour_with

BUILDING = FiveResistances(
    floor_area=48.0, mass_area=120.0, surface_area=216.0, capacity=7.92e6, windows=36.0, opaque=50.0, ventilation=18.0
)
GIVEN = HourGiven(outdoor_C=-5.0, supply_C=-5.0, internal_W=200.0, solar_W=500.0)
STILL = HourGiven(0.0, 0.0, 200.0, 0.0)


def steady():
    hour = hour_with(BUILDING, STILL, 0.0, 0.0)
    for _ in range(2000):
        hour = hour_with(BUILDING, STILL, hour.mass_end_C, 0.0)
    return hour


def test_the_balance_closes_only_with_the_heat_sent_straight_out():
    end, gains = steady(), STILL.internal_W
    losses = BUILDING.h_em * end.mass_C + BUILDING.windows * end.surface_C + BUILDING.ventilation * end.air_C
    assert losses != pytest.approx(gains, abs=1.0)
    assert losses + direct_loss(BUILDING, STILL) == pytest.approx(gains, abs=1e-9)


def test_limited_plant_leaves_the_room_cold():
    hour = hour_controlled(BUILDING, GIVEN, 18.0, 20.0, 27.0, heat_max_W=700.0)
    assert hour.plant_W == 700.0
    assert 16.4861 < hour.air_C < 20.0
