"""The chance of an overload: exact sums against a seeded simulation, a binomial by hand, lock-outs, and the breaker's band."""

from dataclasses import replace
from math import comb

import numpy as np
import pytest

from heatcalc.supply.cord import cord_named
from heatcalc.supply.overload import (
    GROUP,
    STEP_A,
    HouseLoads,
    TwoState,
    TwoStateLoad,
    above,
    best_lock_out,
    evening,
    held_off,
    leg_sum,
    opens_after,
    overload,
    with_change,
    year_above,
)

AMPERES = (1.65, 0.5, 1.5, 12.0, 9.15, 15.0, 10.0, 15.6, 4.2)
DRAWS = 200_000


@pytest.fixture(scope="module")
def house():
    rng = np.random.default_rng(11)
    fixed = [TwoState(f"load {k}", a, np.tile(rng.uniform(0, 0.6, 24), 12), 10.0) for k, a in enumerate(AMPERES)]
    hours = np.ones(8760)
    machines = [
        TwoStateLoad("heat pump", rng.uniform(3, 13, 8760), rng.uniform(0, 1, 8760), 20.0),
        TwoStateLoad("backup heat", 12.5 * hours, rng.uniform(0, 0.3, 8760), 10.0),
    ]
    one = (1.0, 0.0)
    return HouseLoads(tuple((x, (x.amperes, 0.0)) for x in fixed), tuple((m, one) for m in machines), (), ("heat pump",))


PAIRS = (("load 3", "heat pump"), ("load 5", "backup heat"))


@pytest.mark.parametrize("pairs", [(), PAIRS], ids=["free", "locked"])
def test_exact_sums_agree_with_a_seeded_simulation_within_its_sampling_error(house, pairs):
    # 24 hours of the year, 200,000 draws each: the mean of the squared errors in sampling errors is near one (chi-squared / 24)
    loads = replace(house, pairs=pairs, priority=("heat pump", "backup heat"))
    exact, rng, squares = year_above(loads, 30.0, 1), np.random.default_rng(5), []
    for hour in range(0, 8760, 365):
        on = rng.random((len(AMPERES), DRAWS)) < np.array([x.duty[GROUP[hour]] for x, _ in loads.fixed])[:, None]
        pump, heater = (rng.random(DRAWS) < m.share[hour] for m, _ in loads.machines)
        if pairs:
            on[3] &= ~pump
            on[5] &= ~heater
        drawn = (on * np.array(AMPERES)[:, None]).sum(0) + pump * loads.machines[0][0].amperes[hour] + heater * 12.5
        error = np.sqrt(exact[hour] * (1 - exact[hour]) / DRAWS)
        squares.append((((drawn > 30.0).mean() - exact[hour]) / error) ** 2)
    assert max(squares) < 4.0**2 and 0.3 < np.mean(squares) < 2.2


def test_equal_loads_are_a_binomial():
    # ten loads of 3 A on for 30 % of the time: more than 12 A is five or more (textbook)
    loads = [TwoState(f"{k}", 3.0, np.full(1, 0.3), 5.0) for k in range(10)]
    exact = sum(comb(10, k) * 0.3**k * 0.7 ** (10 - k) for k in range(5, 11))
    assert above(leg_sum(loads, [], (), (), 1), [], 12.0, np.zeros(1, int))[0] == pytest.approx(exact, rel=1e-12)


def test_the_grid_is_finer_than_any_load_worth_a_breaker():
    assert STEP_A <= 0.05


def test_lock_outs_and_larger_cords_never_add_minutes(house):
    small, large = cord_named("30 A 120 V"), cord_named("50 A 120/240 V")
    plain = with_change("plain", house, small)
    rule = best_lock_out(house, small)
    assert rule.minutes_above_rating < plain.minutes_above_rating and rule.minutes_above_80 <= plain.minutes_above_80 + 1e-6
    assert with_change("larger", house, large).minutes_above_rating < plain.minutes_above_rating


def test_who_has_priority_is_never_held_off(house):
    loads = replace(house, pairs=PAIRS[:1], priority=("heat pump", "load 3"))
    off = held_off(loads)
    assert off["heat pump"].sum() == 0.0 and off["load 3"].sum() > 0
    turned = held_off(replace(loads, priority=("load 3", "heat pump")))
    assert turned["load 3"].sum() == 0.0
    both = loads.machines[0][0].share * loads.fixed[3][0].duty[GROUP]
    assert off["load 3"] == pytest.approx(both) and turned["heat pump"] == pytest.approx(both)


def test_the_worst_pair_is_the_pair_that_overloads():
    evening = np.zeros(288)
    evening[[g for g in range(288) if 17 <= g % 24 < 22]] = 0.5
    loads = [TwoState("kettle", 14.0, evening, 5.0), TwoState("tank", 17.0, evening, 30.0), TwoState("lamp", 1.0, evening, 60.0)]
    house = HouseLoads(tuple((x, (x.amperes, 0.0)) for x in loads), (), (), ())
    found = overload(house, cord_named("30 A 120 V"))
    assert set(found.pair) == {"kettle", "tank"} and found.worst_chance == pytest.approx(0.25)
    assert found.minutes_above_rating == pytest.approx(365 * 5 * 60 * 0.25)
    assert 0 <= found.trips_low <= found.trips_high


def test_the_worst_evening_is_the_hour_of_the_chance(house):
    cord = cord_named("30 A 120 V")
    found, seen = overload(house, cord), evening(house, cord)
    above = seen.above[0]
    assert seen.hour == found.worst_hour and above[30] == pytest.approx(found.worst_chance, rel=1e-12)
    assert list(above) == sorted(above, reverse=True) and above[-1] == pytest.approx(0.0, abs=1e-12)
    at = 24 * (seen.day - 1) + seen.hour
    assert {x.name: x.share for x in seen.loads} == pytest.approx(
        {x.name: x.duty[GROUP[at]] for x, _ in house.fixed} | {m.name: m.share[at] for m, _ in house.machines}
    )
    light = replace(house, fixed=house.fixed[:2], machines=())  # 2.15 A: never over the rating, the fullest hour all the same
    quiet = evening(light, cord)
    assert overload(light, cord).worst_chance == 0.0 and 17 <= quiet.hour < 22 and len(quiet.above[0]) == 31


def test_the_breaker_s_band():
    # UL 489 calibration: 135 % trips within an hour (to 50 A), 200 % within 2 min (to 30 A); 100 % is held
    assert opens_after(1.35, "latest") == pytest.approx(3600.0) and opens_after(2.0, "latest") == pytest.approx(120.0)
    assert opens_after(1.0, "latest") == float("inf") and opens_after(1.2, "latest") == float("inf")
    for multiple in np.linspace(1.4, 3.0, 9):
        assert opens_after(multiple, "earliest") < opens_after(multiple, "latest")
