"""The worked hour of the simple hourly method, ISO 13790:2008 annex C (equations second hand, figures own).

Tolerance: half a unit of the last digit given, which is finer than the 1e-4 the equations' source claims.
"""

import csv
from pathlib import Path

import pytest

from heatcalc.physics.five_resistances import (
    FiveResistances,
    HourGiven,
    direct_loss,
    heat_split,
    hour_controlled,
    hour_with,
)

LINES = (Path(__file__).parent / "data" / "five_resistances_step.csv").read_text(encoding="utf-8").splitlines()
PRINTED = {r["name"]: r["value"] for r in csv.DictReader(x for x in LINES if not x.startswith("#"))}
BUILDING = FiveResistances(floor_area=48.0, mass_area=120.0, surface_area=216.0, capacity=7.92e6, windows=36.0,
                           opaque=50.0, ventilation=18.0)
GIVEN = HourGiven(outdoor_C=-5.0, supply_C=-5.0, internal_W=200.0, solar_W=500.0)
STILL = HourGiven(0.0, 0.0, 200.0, 0.0)


def steady():
    hour, mass = hour_with(BUILDING, STILL, 0.0, 0.0), 0.0
    for _ in range(2000):
        mass = hour.mass_end_C
        hour = hour_with(BUILDING, STILL, mass, 0.0)
    return hour


def computed() -> dict[str, float]:
    b = BUILDING
    got = {name: getattr(b, name) for name in ("h_ms", "h_em", "h_is", "h_1", "h_2", "h_3")}
    got |= dict(zip(("to_air", "to_surface", "to_mass"), heat_split(b, GIVEN), strict=True))
    held = hour_controlled(b, GIVEN, 18.0, 20.0, 27.0)
    for word, hour in (("free", hour_with(b, GIVEN, 18.0, 0.0)), ("trial", hour_with(b, GIVEN, 18.0, 480.0)),
                       ("held", held), ("steady", steady())):
        got |= {f"{word} {k}": getattr(hour, k) for k in vars(hour)}
    end = steady()
    got["steady losses_W"] = b.h_em * end.mass_C + b.windows * end.surface_C + b.ventilation * end.air_C
    got["steady direct_loss_W"] = direct_loss(b, STILL)
    rate, half = b.capacity / 3600.0, 0.5 * (b.h_3 + b.h_em)
    return got | {"factor": (rate - half) / (rate + half)}


@pytest.mark.parametrize("name", list(PRINTED))
def test_worked_hour(name):
    digits = len(PRINTED[name].partition(".")[2])
    assert computed()[name] == pytest.approx(float(PRINTED[name]), abs=0.5000001 * 10.0**-digits)


def test_the_balance_closes_only_with_the_heat_sent_straight_out():
    losses, gains = computed()["steady losses_W"], STILL.internal_W
    assert losses != pytest.approx(gains, abs=1.0)
    assert losses + direct_loss(BUILDING, STILL) == pytest.approx(gains, abs=1e-9)


def test_limited_plant_leaves_the_room_cold():
    hour = hour_controlled(BUILDING, GIVEN, 18.0, 20.0, 27.0, heat_max_W=700.0)
    assert hour.plant_W == 700.0
    assert 16.4861 < hour.air_C < 20.0
