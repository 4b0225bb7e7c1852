"""Curves of a made-up unit, followed by hand: marks, bands, frost nodes, ends, site corrections, seasons."""

from dataclasses import replace

import numpy as np
import pytest

from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.physics.unit import at_site, machine, outdoor_unit, plausibility, seasonal
from heatcalc.physics.unit.heat_pump import (
    REACH_K,
    Curves,
    capacity,
    constant_speed_ratio,
    error_band,
    input_power,
    level_or_nearest,
    off_at,
    power,
    sensible_heat_ratio,
)

F17, F35, F47 = ((f - 32.0) / 1.8 for f in (17.0, 35.0, 47.0))
UNIT = replace(load_units()["G12-C-230"], defrost="integrated")  # so that only what a test names changes its table


def curves(outdoor_C, capacity_W, power_W, mode="heating", given=None, **other) -> Curves:
    flags = np.ones(len(outdoor_C), bool) if given is None else np.array(given)
    return Curves(
        mode=mode,
        outdoor_C=np.array(outdoor_C, float),
        capacity_W={"max": np.array(capacity_W, float)},
        power_W={"max": np.array(power_W, float)},
        given={"max": flags},
        power_given={"max": flags},
        lowest_C=other.pop("lowest_C", -40.0),
        indoor_C=other.pop("indoor_C", 20.0),
        **other,
    )


PLAIN = curves([-20.0, -12.0, 10.0], [2000.0, 2400.0, 3500.0], [900.0, 950.0, 1000.0])


def test_frost_nodes_by_hand():
    """17, 35 and 47 F join the nodes; 35 F carries 0.90 of the line in capacity, 0.985 in power (10 CFR 430 App. M1)."""
    dipped = outdoor_unit.with_frost_point(PLAIN)
    assert dipped.outdoor_C == pytest.approx([-20.0, -12.0, F17, F35, F47, 10.0])
    line = np.interp(dipped.outdoor_C, PLAIN.outdoor_C, PLAIN.capacity_W["max"])
    assert dipped.capacity_W["max"] == pytest.approx(line * [1, 1, 1, 0.90, 1, 1])
    line = np.interp(dipped.outdoor_C, PLAIN.outdoor_C, PLAIN.power_W["max"])
    assert dipped.power_W["max"] == pytest.approx(line * [1, 1, 1, 0.985, 1, 1])
    assert dipped.given["max"].tolist() == [True, True, False, False, False, True]
    assert dipped.frost_by_rule


@pytest.mark.parametrize("nodes", [[-20.0, -12.0, 1.0], [2.0, 5.0, 10.0], [-20.0, F35, 10.0], [-20.0, -7.7, 10.0]])
def test_frost_is_not_added_where_printed_or_not_spanned(nodes):
    one = replace(PLAIN, outdoor_C=np.array(nodes))
    assert outdoor_unit.with_frost_point(one) is one


@pytest.mark.parametrize("fahrenheit, frosty", [(17.0, False), (18.0, True), (35.0, True), (44.0, True), (44.6, False)])
def test_where_frost_forms(fahrenheit, frosty):
    assert outdoor_unit.has_frost_point([(fahrenheit - 32.0) / 1.8]) is frosty


def test_humidity_changes_what_stands_by_rule_alone():
    at = np.array([F17 - 0.1, F17 + 0.5, 1.0, 7.1])
    drier = outdoor_unit.humidity_factor(at, 0.5, True, False)
    assert (drier[0], drier[3]) == (1.0, 1.0)
    assert drier[1] > 1.0 and drier[2] > 1.0
    assert np.all(outdoor_unit.humidity_factor(at, 0.5, False, False) == 1.0)
    cold = outdoor_unit.humidity_factor(np.array([-20.0, F17, 0.5 * (F17 + F35), F35, 10.0]), 0.5, False, True)
    assert cold[:2] == pytest.approx(outdoor_unit.defrost_factor([-20.0, F17], 0.5) / outdoor_unit.defrost_factor([-20.0, F17]))
    assert cold[2] > 1.0 and cold[3:].tolist() == [1.0, 1.0]
    usual = outdoor_unit.humidity_factor(at, 0.85, True, True)
    assert usual == pytest.approx(1.0)


def test_defrosting_in_the_cold_by_hand():
    """0.95 at 5 F and colder, 0.943 at 17 F between the printed 0.95 at 14 F and 0.93 at 23 F; warmer points keep theirs."""
    dipped = outdoor_unit.with_frost_point(PLAIN)
    cold = outdoor_unit.with_defrost(dipped)
    ratio = cold.capacity_W["max"] / dipped.capacity_W["max"]
    assert ratio == pytest.approx([0.95, 0.95, 0.95 - 0.02 * (17 - 14) / 9, 1, 1, 1])
    assert cold.power_W["max"].tolist() == dipped.power_W["max"].tolist()
    assert cold.exact["max"].tolist() == [False, False, False, False, False, True]


def test_marks_follow_the_print():
    one = replace(
        PLAIN, given={"max": np.array([False, True, True])}, filled_spread={"capacity": {"max": np.array([0.1, 0.0, 0.0])}}
    )
    e = capacity(one, [-33.0, -25.0, -20.0, -15.0, -12.0, 0.0, 10.0, 12.0], "max")
    assert e.mark.tolist() == ["off", "estimated", "estimated", "estimated", "given", "between", "given", "estimated"]
    assert e.value_W[[0, 2, 4, 6]] == pytest.approx([0.0, 2000.0, 2400.0, 3500.0])
    assert (e.low_W[4], e.high_W[4]) == (2400.0, 2400.0)
    assert (e.low_W[0], e.high_W[0]) == (0.0, 0.0)
    low, high = error_band("capacity between points")
    assert (e.low_W[2], e.high_W[2]) == pytest.approx((2000.0 * (1 + low) * np.exp(-0.1), 2000.0 * (1 + high) * np.exp(0.1)))
    nothing = replace(PLAIN, given={"max": np.zeros(3, bool)})
    assert capacity(nothing, [-33.0, -12.0, 0.0], "max").mark.tolist() == ["off", "estimated", "estimated"]


def test_bands_between_points_are_the_tables():
    for ask, quantity in ((capacity, "capacity"), (input_power, "power")):
        e, (low, high) = ask(PLAIN, [-16.0, 4.0], "max"), error_band(f"{quantity} between points")
        assert low <= 0 <= high
        assert e.low_W == pytest.approx(e.value_W * (1 + low))
        assert e.high_W == pytest.approx(e.value_W * (1 + high))


def test_frost_by_rule_lowers_the_low_side_within_the_frost_alone():
    dipped = outdoor_unit.with_frost_point(PLAIN)
    e, between, rule = (
        capacity(dipped, [-16.0, -2.0, 8.0], "max"),
        error_band("capacity between points"),
        error_band("capacity frost by rule"),
    )
    assert rule[0] < 0
    assert e.low_W / e.value_W == pytest.approx([1 + between[0], 1 + between[0] + rule[0], 1 + between[0]])
    assert e.high_W / e.value_W == pytest.approx(1 + between[1])


def test_beyond_the_cold_end_halfway_between_line_and_cycle():
    """3 K below -20 C: the line falls 50 W/K; the cycle by its table; the band holds both and grows with the reach."""
    line, cycle = 2000.0 - 3 * 50.0, 2000.0 * float(constant_speed_ratio(-23.0, -20.0, "capacity"))
    e = capacity(PLAIN, [-23.0], "max")
    assert e.mark[0] == "estimated"
    assert e.value_W[0] == pytest.approx((line + cycle) / 2)
    low, high = error_band("capacity cold side")
    assert e.low_W[0] == pytest.approx(min(line, cycle, e.value_W[0] * (1 + low * 3 / REACH_K)))
    assert e.high_W[0] == pytest.approx(max(line, cycle, e.value_W[0] * (1 + high * 3 / REACH_K)))


def test_beyond_the_mild_end_on_the_held_slope():
    """Heating to 14 C and 20 C: 50 W/K on, held after 12 F; cooling above its print takes the band of the hot side."""
    e, (low, high) = capacity(PLAIN, [14.0, 20.0], "max"), error_band("capacity mild side")
    assert e.value_W == pytest.approx([3500 + 4 * 50, 3500 + REACH_K * 50])
    assert (e.low_W[0], e.high_W[0]) == pytest.approx((e.value_W[0] * (1 + low), e.value_W[0] * (1 + high)))
    cooling = curves([20.0, 35.0], [3600.0, 3300.0], [700.0, 1000.0], mode="cooling", lowest_C=-10.0)
    for at, side in ((38.0, "hot side"), (16.0, "mild side")):
        e, (low, high) = input_power(cooling, [at], "max"), error_band(f"power {side}")
        assert e.value_W[0] == pytest.approx(1000.0 + 20.0 * (at - 35.0))
        assert (e.low_W[0], e.high_W[0]) == pytest.approx((e.value_W[0] * (1 + low), e.value_W[0] * (1 + high)))
    beyond = capacity(cooling, [35.0 + REACH_K, 35.0 + REACH_K + 9.0], "max")
    assert beyond.mark[1] == "estimated" and beyond.value_W[1] == pytest.approx(beyond.value_W[0]), (
        "a table's end stops no machine"
    )
    assert capacity(cooling, [35.0 + REACH_K - 0.1], "max").mark[0] == "estimated"


def test_the_line_into_the_cold_stops_at_a_fifth():
    """500 W/K into the cold would pass zero 2 K below the print: held at 0.2 of the last point, beside the cycle's shape."""
    steep = curves([-10.0, 0.0], [1000.0, 6000.0], [500.0, 900.0])
    shape = 1000.0 * float(constant_speed_ratio(-14.0, -10.0, "capacity"))
    e = capacity(steep, [-14.0], "max")
    assert e.value_W[0] == pytest.approx((200.0 + shape) / 2)
    assert e.low_W[0] == pytest.approx(200.0)


def test_one_printed_point_has_no_slope():
    one = curves([8.0], [3000.0], [900.0], mode="cooling")
    assert capacity(one, [6.0, 8.0, 10.0], "max").value_W == pytest.approx(3000.0)


def test_a_frosty_node_is_passed_over_for_the_slope_into_the_cold():
    """From -10 C outward the next node -4 C carries frost: the slope is that to 9 C."""
    one = curves([-10.0, -4.0, 9.0], [2500.0, 2400.0, 3450.0], [900.0, 900.0, 900.0])
    line = 2500.0 - 2 * 50.0
    cycle = 2500.0 * float(constant_speed_ratio(-12.0, -10.0, "capacity"))
    assert capacity(one, [-12.0], "max").value_W[0] == pytest.approx((line + cycle) / 2)


def test_a_level_stands_for_its_neighbour():
    assert [level_or_nearest(PLAIN, level) for level in ("min", "rated", "max")] == ["max"] * 3


def test_a_unit_at_its_own_rating_stays_as_it_is():
    same = at_site.at_site(UNIT, 0.0, UNIT.heating.indoor_C, UNIT.cooling.indoor_wet_bulb_C, UNIT.cooling.indoor_C)
    assert same.heating is UNIT.heating and same.cooling is UNIT.cooling
    assert same.corrections == ("none needed",)


def test_another_cooling_room_is_noted_once():
    moved = at_site.at_site(UNIT, 0.0, UNIT.heating.indoor_C, UNIT.cooling.indoor_wet_bulb_C, UNIT.cooling.indoor_C - 2.0)
    assert moved.heating is UNIT.heating
    assert len(moved.corrections) == 1 and "cooling: capacity x 1.000" in moved.corrections[0]
    assert moved.cooling.indoor_C == UNIT.cooling.indoor_C - 2.0


@pytest.mark.parametrize("share", [0.65, 0.75, 0.9])
def test_the_coil_line_returns_its_share_in_the_rated_room(share):
    rated = (80.0 / 1.8 - 160.0 / 9.0, 67.0 / 1.8 - 160.0 / 9.0)
    assert at_site.coil_share(share, rated, rated, 1.0) == pytest.approx(share, abs=1e-6)
    drier = (rated[0], rated[1] - 2.0)
    assert at_site.coil_share(share, rated, drier, 1.0) > share
    assert at_site.coil_share(1.0, rated, drier, 1.0) == 1.0


def test_room_temperature_is_held_at_the_ends_of_its_print():
    """Straight beyond 15 and 25 C, held at 10 and 28 C."""
    at = np.array([-8.0, 7.0])
    for outside, end in ((31.0, 28.0), (5.0, 10.0)):
        for one, other in zip(at_site.indoor_factors(at, outside, 20.0), at_site.indoor_factors(at, end, 20.0), strict=True):
            assert one == pytest.approx(other)
    warm, warmer = at_site.indoor_factors(at, 26.0, 20.0)[0], at_site.indoor_factors(at, 28.0, 20.0)[0]
    assert np.all(warmer < warm)


MACHINE = machine.Machine(
    refrigerant="R-32",
    unit_class="standard",
    rated_cooling_W=3000.0,
    displacement_m3_s=4.0e-4,
    cooling_efficiency=0.55,
    heating_efficiency=0.60,
)  # 3 kW rated cooling


def test_electric_input_is_work_fans_and_controls():
    """Drive 0.95; fans 11 + 7 W and controls 1 W for each kW rated, and 6 W (own study); air flow speed^0.35, fans its 2.5th."""
    assert machine._electric(MACHINE, 950.0, 1.0) == pytest.approx(950.0 / 0.95 + 3 * (11 + 7) + 6 + 3 * 1)
    slow = 3 * (11 + 7) * (0.5**0.35) ** 2.5
    assert machine._electric(MACHINE, 950.0, 0.5) == pytest.approx(950.0 / 0.95 + slow + 6 + 3)
    still = 3 * (11 + 7) * 0.55**2.5  # air flow is not under 0.55
    assert machine._electric(MACHINE, 0.0, 0.12) == pytest.approx(still + 6 + 3)


@pytest.mark.parametrize("evaporating_C, condensing_C", [(0.0, 40.0), (-20.0, 50.0)])
def test_compression_by_hand(evaporating_C, condensing_C):
    """Filling 1 - 0.05 (pr^(1/1.15) - 1), efficiency e0 (1 - 0.20 ln2(pr/2.8))(1 - 0.12 ln2(n/0.75)), 8 % lost by the shell."""
    low, high = (machine.saturation_pressure("R-32", t) for t in (evaporating_C, condensing_C))
    ratio, speed = high / low, 1.2
    level = 0.55 * (1 - 0.20 * np.log(ratio / 2.8) ** 2) * (1 - 0.12 * np.log(speed / 0.75) ** 2)
    c = machine.cycle("R-32", evaporating_C, high, 5.0, 5.0, level)
    flow = (1 - 0.05 * (ratio ** (1 / 1.15) - 1)) * 4.0e-4 * speed * c.inlet_density
    taken, given, work = machine._compression(MACHINE, 0.55, evaporating_C, condensing_C, speed)
    assert (taken, work) == pytest.approx((flow * c.cooling_J_kg, flow * c.work_J_kg))
    assert given == pytest.approx(taken + 0.92 * work)


def test_compression_between_its_ends():
    """A pressure ratio of 1.5 at the least, a condenser of 68 C at the most."""
    near, floor = (machine._compression(MACHINE, 0.55, 20.0, t, 1.0) for t in (22.0, 20.5))
    assert near == pytest.approx(floor)
    hot, hotter = (machine._compression(MACHINE, 0.55, 0.0, t, 1.0) for t in (68.0, 75.0))
    assert hot == pytest.approx(hotter)


def test_the_cooling_coil_meets_its_room():
    """In very dry air the coil takes no water; in damp air it does, and is colder than the dew point."""
    own = machine.fitted("R-32", "standard", 2638.0, 720.0)
    dry = machine.cooling(own, 35.0, 1.0, 26.7, 12.0)
    damp = machine.cooling(own, 35.0, 1.0, 26.7, 22.0)
    drier = machine.cooling(own, 35.0, 1.0, 26.7, 10.0)
    assert (drier.capacity_W, drier.evaporating_C) == pytest.approx((dry.capacity_W, dry.evaporating_C), rel=1e-6)
    assert dry.sensible_heat_ratio == pytest.approx(1.0, abs=1e-6)
    assert 0.4 < damp.sensible_heat_ratio < 0.9
    assert dry.evaporating_C < damp.evaporating_C < 20.0


def test_design_load_meets_the_capacity_at_the_bivalent_point():
    """The law's line through (bivalent, capacity), worth the design load at the design temperature."""
    s = seasonal.season("average")
    load = seasonal.design_load(UNIT.heating, s)
    at = np.interp(s.bivalent_C, UNIT.heating.outdoor_C, UNIT.heating.capacity_W["rated"])
    assert load * (s.bivalent_C - 16.0) / (s.design_C - 16.0) == pytest.approx(at)
    only = replace(UNIT.heating, capacity_W={"max": UNIT.heating.capacity_W["max"]})
    at = np.interp(s.bivalent_C, UNIT.heating.outdoor_C, UNIT.heating.capacity_W["max"])
    assert seasonal.design_load(only, s) * (s.bivalent_C - 16.0) / (s.design_C - 16.0) == pytest.approx(at)


def test_a_season_closes():
    for name, figure in (("average", seasonal.scop(UNIT, "average")), ("cooling", seasonal.seer(UNIT))):
        s = seasonal.season(name)
        assert figure.demand_kWh == pytest.approx(figure.design_load_W * s.equivalent_h / 1000)
        assert figure.electricity_kWh == pytest.approx(figure.demand_kWh / figure.overall)
        assert figure.overall <= figure.active
    assert seasonal.seer(UNIT).backup_kWh == 0.0
    bare = replace(UNIT, standby_W=0.0, crankcase_W=0.0)
    assert seasonal.scop(bare, "colder").overall == pytest.approx(seasonal.scop(bare, "colder").active)
    given = seasonal.scop(UNIT, "average", 1500.0)
    assert given.design_load_W == 1500.0


def test_active_figure_by_hand():
    """10 h at 1000 W all carried at COP 4, 5 h at 2000 W of which 500 W by resistance, 2 h off altogether."""
    hours, cop = np.array([10.0, 5.0, 2.0]), np.array([4.0, 3.0, 0.0])
    figure = seasonal.active_figure(hours, [1000.0, 2000.0, 400.0], [1000.0, 1500.0, 0.0], cop)
    assert figure == pytest.approx((10_000 + 10_000 + 800) / (2_500 + 5 * (500 + 500) + 800))


COOLER = Curves(
    mode="cooling",
    outdoor_C=np.array([20.0, 40.0]),
    capacity_W={"min": np.array([1000.0, 800.0]), "max": np.array([3000.0, 2600.0])},
    power_W={"min": np.array([200.0, 250.0]), "max": np.array([900.0, 1200.0])},
    given={k: np.ones(2, bool) for k in ("min", "max")},
    power_given={k: np.ones(2, bool) for k in ("min", "max")},
    lowest_C=-10.0,
    indoor_C=27.0,
    sensible_heat_ratio={"min": np.array([1.0, 1.0]), "max": np.array([0.7, 0.8])},
)


def test_sensible_share_straight_between_levels():
    """At 30 C: 900 W at 1.0, 2800 W at 0.75; the minimum's below it, the maximum's above."""
    shares = sensible_heat_ratio(COOLER, 30.0, np.array([500.0, 900.0, 1850.0, 2800.0, 5000.0]))
    assert shares == pytest.approx([1.0, 1.0, 0.875, 0.75, 0.75])


def test_operation_by_hand():
    """At 20 C: 500 W is half of the minimum (COP 5, Cd 0.25); 2000 W halfway to COP 10/3; 4000 W leaves 1000 W."""
    run = power(COOLER, 20.0, np.array([0.0, 500.0, 2000.0, 4000.0]), 0.25)
    assert run.delivered_W == pytest.approx([0.0, 500.0, 2000.0, 3000.0])
    assert run.unmet_W == pytest.approx([0.0, 0.0, 0.0, 1000.0])
    middle = (5.0 + 10 / 3) / 2
    assert run.power_W == pytest.approx([0.0, 200.0 * 0.5 / (1 - 0.25 * 0.5), 2000.0 / middle, 900.0])
    assert run.run_fraction == pytest.approx([0.0, 0.5, 1.0, 1.0])
    assert run.cop[1:] == pytest.approx([500 / (100 / 0.875), middle, 10 / 3])


def test_bins_of_a_place_by_hand():
    """3 h of 2000 W carried, 2 h of 4000 W of which 3000 W: cooling leaves the rest, heating makes it up at COP 1."""
    at, hours, load = [20.0, 20.0, 20.0], [3.0, 2.0, 4.0], [2000.0, 4000.0, 500.0]
    electric = 3 * 2000.0 / ((5 + 10 / 3) / 2) + 2 * 900.0 + 4 * 200.0 * 0.5 / 0.875
    cooled = seasonal.over_bins(COOLER, at, hours, load)
    assert (cooled.demand_kWh, cooled.backup_kWh, cooled.cycling_h) == (pytest.approx(14.0), 0.0, 4.0)
    assert cooled.electricity_kWh == pytest.approx(electric / 1000)
    assert cooled.figure == pytest.approx(14_000 / electric)
    heated = seasonal.over_bins(replace(COOLER, mode="heating"), at, hours, load)
    assert (heated.demand_kWh, heated.backup_kWh) == (pytest.approx(16.0), pytest.approx(2.0))
    assert heated.electricity_kWh == pytest.approx(electric / 1000 + 2.0)


@pytest.mark.parametrize("last_C, asked", [(40.0, True), (50.0, False)])
def test_a_point_far_off_the_line_is_asked_about_where_its_neighbours_are_near(last_C, asked):
    """Cooling printed at 20, 25 C and a last point of half the capacity; 25 K away says nothing."""
    flags = {"max": np.ones(3, bool)}
    one = Curves(
        mode="cooling",
        outdoor_C=np.array([20.0, 25.0, last_C]),
        capacity_W={"max": np.array([3000.0, 2950.0, 1400.0])},
        power_W={"max": np.array([800.0, 850.0, 1000.0])},
        given=flags,
        power_given=flags,
        lowest_C=-10.0,
        indoor_C=27.0,
    )
    found = [d for d in plausibility.doubts(one) if "capacity" in d.reason and d.outdoor_C == last_C]
    assert bool(found) is asked


def test_limits_of_operation_in_heating():
    """Off below the lowest temperature and, heating, over 12 F beyond the cold end; never off on the mild side or in heat."""
    assert off_at(PLAIN, np.array([-20.0 - REACH_K - 0.1, -20.0 - REACH_K + 0.1, 40.0])).tolist() == [True, False, False]
    assert off_at(replace(PLAIN, lowest_C=-22.0), np.array([-22.1, -21.9])).tolist() == [True, False]
    cooling = curves([20.0, 35.0], [3600.0, 3300.0], [700.0, 1000.0], mode="cooling", lowest_C=-10.0)
    last = 35.0 + REACH_K
    assert off_at(cooling, np.array([-10.1, -9.9, last - 0.1, last + 0.1])).tolist() == [True, False, False, False]
