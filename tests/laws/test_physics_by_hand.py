"""Equations of air, shell, unit and water with numbers that a person can follow."""

from dataclasses import replace
from math import atan, cos, degrees, pi
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model import comfort, household, humidity, indoor_air, sunlight, year_unit, year_walk
from heatcalc.model.house_model import DESIGN_WIND_M_S, SHELTERED_WIND_M_S, bare_films
from heatcalc.model.outdoor_air import AirInputs, AirModel, _measured_route
from heatcalc.model.year_drivers import YearDrivers
from heatcalc.model.year_unit import coil_of, with_coil
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.shell import shape
from heatcalc.physics.shell.conduction_mesh import Grid
from heatcalc.physics.shell.glazing import absorbed_at_inner_pane
from heatcalc.physics.sun.sun import PlaneIrradiance
from heatcalc.physics.supply.electrics import mains_temperature
from heatcalc.physics.unit import at_site, heat_pump, machine, outdoor_unit, plausibility
from heatcalc.physics.unit.at_site import shares_in_rooms
from heatcalc.physics.unit.heat_pump import level_values
from heatcalc.physics.year import year_hours
from heatcalc.physics.year.kernel_pack import Levels, Plant
from heatcalc.physics.year.weather_sense import repeated_days
from heatcalc.physics.zone import fast_loads
from heatcalc.physics.zone.load_factor import compass_point
from heatcalc.physics.zone.loss_line import days_worth, lag_one, loss_line
from heatcalc.physics.zone.network import inputs_of, steady
from heatcalc.physics.zone.time_series import SunlitGlass, diffuse_gain
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Zone, network_of

UNIT = load_units()["G12-C-230"]


# ---- air


def test_normalised_leakage_by_hand():
    """0.01 m2 over 20 m2 is 0.5; a house twice the reference of 2.5 m high counts 2^0.4 of it."""
    assert air_change.normalised_leakage(0.01, 20.0, 2.5) == pytest.approx(0.5)
    assert air_change.normalised_leakage(0.01, 20.0, 5.0) == pytest.approx(0.5 * 2**0.4)


def test_leakage_by_the_design_factor_by_hand():
    """100 cm2 of a house 3 m high, 40 K: 51 + 3 x 40 x 0.35 = 93, so 0.093 L/s a cm2 (Fundamentals ch. 17 eq. 10): 9.3 L/s."""
    assert air_change.load_factor_flow(0.01, "heating", 3.0, 40.0) == pytest.approx(9.3e-3)
    assert air_change.load_factor_flow(0.01, "cooling", 3.0, -10.0) == pytest.approx(0.1 * (25 + 3 * 10 * 0.38) / 1e3)


def test_what_houses_measured_means_for_a_volume():
    """0.2 to 0.6 air changes of 90 m3: 5 to 15 L/s, 10 in the middle."""
    inputs = AirInputs(volume_m3=90.0, floor_area_m2=36.0, shell_area_m2=150.0, height_m=2.5, perimeter_m=30.0)
    found = _measured_route(inputs, {"low_per_h": "0.2", "high_per_h": "0.6", "name": "some", "source": "x"})
    assert (found.low_m3_s, found.flow_m3_s, found.high_m3_s) == pytest.approx((0.005, 0.010, 0.015))
    assert found.air_changes_per_h == pytest.approx(0.4)


def test_water_and_breath_of_people():
    """0.8 and 3.8 kg a person and day (ISO 13788 and the handbook's range); with no outdoor air CO2 has no end."""
    low, high = humidity.household_range(2.0)
    assert (low * 86400, high * 86400) == pytest.approx((1.6, 7.6))
    home = SimpleNamespace(people_home=np.array([0.0, 2.0]))
    assert humidity._carbon_dioxide(home, SimpleNamespace(total_m3_s=0.0)) == (float("inf"), float("inf"))
    awake, asleep = humidity._carbon_dioxide(home, SimpleNamespace(total_m3_s=0.01))
    assert awake > asleep > 500.0


def test_a_fan_without_recovery_recovers_nothing():
    bare = SimpleNamespace(inputs=SimpleNamespace(frost_K=20.0), preheat_most_K=0.0)
    assert AirModel.recovered(bare, 0.0, 40.0) == 0.0 < float(AirModel.recovered(bare, 0.7, 5.0)) <= 0.7


def test_a_room_settles_where_the_unit_takes_out_enough():
    """Short of water below 60 %: there; never short: as dry as asked; always short: as damp as can be."""
    found = [comfort._settled(lambda h, at=at: at - h, 0.4) for at in (0.6, 0.3, 2.0)]
    assert found == [pytest.approx(0.6, abs=1e-3), 0.4, 0.98]


def test_months_of_outdoor_air_by_indoor_less_outdoor(monkeypatch):
    monkeypatch.setattr(indoor_air, "month_winds_m_s", lambda _: (2.0,) * 12)
    model = SimpleNamespace(air=SimpleNamespace(moisture=lambda delta, wind: 1e-3 * delta * wind))
    place = SimpleNamespace(monthly=SimpleNamespace(mean_C=tuple(range(12))))
    assert indoor_air._monthly_flow(model, place, (20.0,) * 12) == pytest.approx([0.002 * (20 - k) for k in range(12)])


def test_nobody_there_uses_nothing_but_the_refrigerator():
    there = np.where(np.arange(8760) < 4380, 1.0, 0.0)
    electric = {"refrigerator": np.full(8760, 50.0), "lights": np.full(8760, 20.0)}
    home = household.Household(water=None, electric_W=electric, propane_W={"cooking": np.full(8760, 9.0)})
    gone = household.left_alone(home, there)
    watts = [x.sum() for x in (gone.electric_W["refrigerator"], gone.electric_W["lights"], gone.propane_W["cooking"])]
    assert watts == [50.0 * 8760, 20.0 * 4380, 9.0 * 4380] and household.left_alone(home, np.ones(8760)) is home


# ---- water mains


def test_mains_are_coldest_when_the_ground_is():
    """Burch and Christensen at a mean of 54 F: ratio 0.5, lag 25 days, so coldest on day 40: 60 F less half of half the swing."""
    days = np.arange(365)
    found_F = 32.0 + 1.8 * mains_temperature(days, (54.0 - 32.0) / 1.8, 40.0 / 1.8)
    assert abs(int(np.argmin(found_F)) - 40) <= 1 and found_F.min() == pytest.approx(60.0 - 10.0, abs=0.01)
    assert found_F.max() == pytest.approx(60.0 + 10.0, abs=0.01)


# ---- shapes


def test_planes_towards_ground_and_sky():
    below, above = shape.floor("a", 6.0, 2.0), shape.flat_roof("a", 6.0, 2.0)[0]
    assert (below.tilt_deg, above.tilt_deg, below.area_m2) == (180.0, 0.0, 12.0)


def test_a_shed_dormer_by_hand():
    """1.5 m upright, main roof 12:12, its own 6:12: they meet 3 m back; 2 m wide it is half of 2 x 3 x 1.5 m3."""
    found = shape.shed_dormer("d", "left", 2.0, 1.5, 1.0, 0.5)
    assert (found.run_m, found.volume_m3, found.removed_m2) == pytest.approx((3.0, 4.5, 6.0 / cos(pi / 4)))
    areas = [s.area_m2 for s in found.surfaces]
    assert areas == pytest.approx([3.0, 2.25, 2.25, 6.0 / cos(atan(0.5))]) and found.surfaces[-1].tilt_deg == degrees(atan(0.5))


@pytest.mark.parametrize(
    ("azimuth", "point"), [(0, "N"), (22, "N"), (23, "NE"), (90, "E"), (180, "S"), (270, "W"), (338, "N"), (315, "NW")]
)
def test_the_nearest_compass_point(azimuth, point):
    assert compass_point(azimuth) == point


def test_cells_of_a_grid():
    assert Grid(np.arange(4.0), np.arange(3.0)).cells == 6


# ---- light and films


def test_what_comes_at_the_angle_of_the_sun():
    x = [np.array([v]) for v in (0.5, 100.0, 20.0, 50.0, 10.0)]
    plane = PlaneIrradiance(*x)
    assert (plane.directional[0], plane.total[0], plane.dimmed(0.5).directional[0]) == (120.0, 180.0, 60.0)


def test_diffuse_light_through_a_window_by_hand():
    """2 m2 with 0.5 for diffuse light behind a shade of 0.8; of the sky's 100 W/m2 half is seen, of the ground 20: 56 W."""
    light = PlaneIrradiance(*(np.array([v]) for v in (0.5, 300.0, 20.0, 100.0, 20.0)))
    glass = SunlitGlass(
        name="w",
        area_m2=2.0,
        u_value=2.0,
        glazing=SimpleNamespace(shgc_diffuse=0.5),
        light=light,
        outdoor_C=np.array([30.0]),
        sky_share=0.5,
        inside_shade=0.8,
    )
    assert diffuse_gain(glass) == pytest.approx(2.0 * (100 * 0.5 + 20) * 0.5 * 0.8)


def test_heat_released_at_the_inner_pane():
    """Of heat at the pane the share 1 - U/h goes in: 2 of 8 flow out, so 0.1 in asks for 0.1333."""
    assert absorbed_at_inner_pane(0.1, 2.0, 8.0) == pytest.approx(0.1 / 0.75)


def test_films_outdoors_and_under_a_floor():
    """4 + 4 v W/m2K (ISO 6946): with the season's design wind in the open, with the sheltered one under a floor."""
    for season, wind in DESIGN_WIND_M_S.items():
        assert (
            bare_films(season)[0] == 4.0 + 4.0 * wind and bare_films(season, sheltered=True)[0] == 4.0 + 4.0 * SHELTERED_WIND_M_S
        )
    assert min(DESIGN_WIND_M_S.values()) > SHELTERED_WIND_M_S


@pytest.mark.parametrize("sky_view", [0.0, 0.4])
def test_a_wall_loses_by_convection_and_radiation_outside(sky_view):
    """1/2.5 + 2 + 1/(15 + 5) m2K/W over 10 m2, 20 K: inside it has no other face to radiate to; the sky is as warm as the air."""
    body = ElementBody(resistance=(2.0,), capacity=(0.0,), sky_view=sky_view)
    films = Films(2.5, 5.0, 15.0, 5.0)
    net = network_of(Zone(air_capacity_J_K=1e5, elements=(OpaqueElement(name="wall", area_m2=10.0, body=body, films=films),)))
    load = steady(net, inputs_of(net, {"outdoor_C": 0.0, "sky_C": 0.0}), 20.0).load_W
    assert load == pytest.approx(20.0 * 10.0 / (1 / 2.5 + 2.0 + 1 / 20.0))


def test_a_held_day_that_does_not_change_is_the_steady_load():
    """A wall of 2 m2K/W and 10 W/K of outdoor air, 20 K: what the plant gives in each hour, air and wall."""
    body = ElementBody(resistance=(1.0, 1.0), capacity=(5e4, 0.0), sky_view=0.0)
    wall = OpaqueElement(name="wall", area_m2=10.0, body=body, films=Films(2.5, 5.0, 15.0, 5.0))
    net = network_of(Zone(air_capacity_J_K=1e5, elements=(wall,), air_exchange_W_K=10.0))
    inputs = inputs_of(net, {"outdoor_C": 0.0, "sky_C": 0.0})
    load = fast_loads.held_day(fast_loads.held(net), np.tile(inputs, (1, 24, 1)), 20.0)
    assert load == pytest.approx(steady(net, inputs, 20.0).load_W) and load[0, 0] == pytest.approx(200.0 + 200.0 / 2.45)


def test_walls_are_alike_in_anything_but_the_strength_of_their_radiation():
    """One that radiates to the room and one that does not are two; 5 and 4.5 W/m2K share one shape."""
    body = ElementBody(resistance=(2.0,), capacity=(0.0,), sky_view=0.0)
    keys = [
        fast_loads._element_key(OpaqueElement(name="w", area_m2=1.0, body=body, films=Films(2.5, radiation, 15.0, 5.0)))
        for radiation in (5.0, 4.5, 0.0)
    ]
    assert keys[0] == keys[1] != keys[2]


def test_a_day_that_repeats_itself_by_hand():
    """Half of it left after each step and one gained: 2 at its start and end, whatever the steps."""
    assert fast_loads._repeating_start(np.ones((1, 3)), np.array([0.5])) == pytest.approx(2.0)


# ---- the sky of a house


def test_the_sky_that_a_horizon_and_an_overhang_leave(monkeypatch):
    """A horizon leaves half of the sky; past the overhang 0.3 and between fins 0.8 of it are seen: 0.48 of that half."""
    for name, share in (("horizon_sky_share", 0.5), ("left_of_the_sky", 0.3), ("overhang_sky_share", 0.6), ("fins_share", 0.8)):
        monkeypatch.setattr(sunlight, name, lambda *_, share=share: share)
    monkeypatch.setattr(sunlight, "sunlit_fraction", lambda *_: 0.25)
    x = [np.array([v]) for v in (0.5, 100.0, 20.0, 50.0, 10.0)]
    monkeypatch.setattr(sunlight, "plane_irradiance", lambda *_, **__: PlaneIrradiance(*x))
    site = SimpleNamespace(ground_reflectance=0.2, horizon=20.0)
    sky = SimpleNamespace(site=site, planes={}, position=None, dni=0, ghi=np.zeros(1), dhi=0, brightness=None)
    sky.free, sky.azimuth = np.zeros(1), lambda face: 180.0
    plane = sunlight.Sky.on(sky, "left", 90.0)
    assert (plane.beam[0], plane.circumsolar[0], plane.sky[0], plane.ground[0]) == (0.0, 0.0, 25.0, 10.0)
    said = SimpleNamespace(overhang=0.5, overhang_above=0.1, side_fins=0.2, fins_beside=0.0, width=1.0, height=1.0)
    window = SimpleNamespace(said=said, tilt_deg=90.0, face="left")
    assert sunlight.Sky.reach(sky, window) == (0.25, pytest.approx(0.8 * 0.3 / 0.5))
    window.said = SimpleNamespace(overhang=0.0, side_fins=0.0)
    lit, kept = sunlight.Sky.reach(sky, window)
    assert (lit.tolist(), kept) == ([1.0], 1.0)


# ---- lines and weather


def test_the_years_trend_runs_straight_from_one_middle_of_a_month_to_the_next():
    """Noon of 1 January is 16 of the 31 days past the middle of December; the middle of January is all January's."""
    weights = year_hours._trend_weights()
    assert weights[0, [0, 11]] == pytest.approx([16 / 31, 15 / 31]) and weights[0, 1:11].max() == 0.0
    assert weights[15, [0, 1]] == pytest.approx([1.0, 0.0]) and weights[-1, [0, 11]] == pytest.approx([15 / 31, 16 / 31])


def test_longer_periods_weigh_more_and_move_no_exact_line():
    x, w = np.array([8.0, 12.0, 15.0, 22.0, 31.0, 35.0]), np.array([1.0, 2.0, 7.0, 1.0, 3.0, 1.0])
    found = loss_line(x, 80.0 * x - 300.0, w)
    assert (found.slope_W_K, found.intercept_W) == pytest.approx((80.0, -300.0))
    off = 80.0 * x - 300.0 + np.array([40.0, -10.0, 0.0, 20.0, -30.0, 10.0])
    by_hand = np.polyfit(x, off, 1, w=np.sqrt(w))
    assert (loss_line(x, off, w).slope_W_K, loss_line(x, off, w).intercept_W) == pytest.approx(tuple(by_hand), rel=0.02)


def test_days_that_resemble_each_other_are_worth_fewer():
    """n (1 - r)/(1 + r) with r the product of both lag-one ratios, none below nil; at least 3."""
    x, e = np.sin(np.arange(60.0)), np.cos(np.arange(60.0))
    r = lag_one(x) * lag_one(e)
    assert 0.2 < r < 0.5 and days_worth(x, e) == pytest.approx(60 * (1 - r) / (1 + r))
    assert days_worth(x, (-1.0) ** np.arange(60)) == 60.0 and days_worth(np.arange(60.0), np.arange(60.0)) == 3.0


def test_a_day_with_a_filled_hour_is_not_called_a_repeat():
    day = np.sin(np.arange(24.0))
    values, skip = np.tile(day, 3), np.zeros(72, bool)
    assert repeated_days(values, skip) == 2
    skip[71] = True
    assert repeated_days(values, skip) == 1
    skip[30] = True
    assert repeated_days(values, skip) == 0


# ---- the unit


def test_levels_stand_in_order_about_the_printed_ones():
    """Below a printed level none is larger, above it none smaller; what is printed stays."""
    values, printed = np.array([[5.0], [9.0], [3.0], [1.0]]), np.array([[np.nan], [np.nan], [4.0], [np.nan]])
    assert plausibility._in_order(values, printed).ravel().tolist() == [4.0, 4.0, 4.0, 4.0]
    assert plausibility._in_order(np.array([[1.0], [2.0], [3.0]]), np.full((3, 1), np.nan)).ravel().tolist() == [1.0, 2.0, 3.0]


def test_scaled_curves_are_no_longer_printed():
    found = at_site._scaled(UNIT.heating, 0.9, 1.1)
    for level in UNIT.heating.levels:
        assert not found.exact[level].any() and not found.power_exact[level].any()
        assert found.capacity_W[level] == pytest.approx(0.9 * UNIT.heating.capacity_W[level])
        assert found.power_W[level] == pytest.approx(1.1 * UNIT.heating.power_W[level])


def test_a_room_is_said_with_the_temperatures_that_count():
    """Cooling answers to the wet bulb, heating to the dry bulb alone; in its own room nothing is said."""
    for curves, wet in ((UNIT.cooling, True), (UNIT.heating, False)):
        (words,) = at_site._in_room(curves, curves.indoor_C + 2.0, curves.indoor_wet_bulb_C - 2.0)[1]
        assert (", wet bulb" in str(words)) is wet
        assert at_site._in_room(curves, curves.indoor_C, curves.indoor_wet_bulb_C) == (curves, [])


def test_one_sensible_share_for_the_judge_and_for_the_house():
    """Many rooms at once are what the unit moved to each room says."""
    wets = np.array([14.0, 16.0, 19.0])
    for wet, shares in zip(wets, shares_in_rooms(UNIT.cooling, 24.0, wets), strict=True):
        moved = at_site._other_cooling_room(UNIT.cooling, 24.0, wet)
        assert shares == pytest.approx(moved.sensible_heat_ratio[moved.levels[-1]])


def test_an_other_room_by_its_table_row():
    """Heating moves with the dry bulb at each outdoor temperature, cooling with the wet bulb."""
    outdoor = np.array([-15.0, 5.0])
    by_dry, by_wet = (at_site.room_factors(m, outdoor, (24.0, 16.0), (21.1, 19.4)) for m in ("heating", "cooling"))
    assert np.array(by_dry) == pytest.approx(np.array(at_site.indoor_factors(outdoor, 24.0, 21.1)))
    assert by_wet == pytest.approx(at_site.wet_bulb_factors(16.0, 19.4)) and by_wet[0] < 1.0


def test_factors_of_rooms_are_chained():
    """A room is itself, whatever the unit was rated in, and from one to a third is by way of the second."""
    one, two, three = (float(f) for f in (14.5, 17.0, 22.0))
    for k in (0, 1):
        f = lambda room, rated, k=k: float(at_site.wet_bulb_factors(room, rated)[k])  # noqa: E731
        assert f(one, one) == 1.0 and f(one, two) * f(two, three) == pytest.approx(f(one, three)) != 1.0


def test_a_unit_that_is_off_has_no_level():
    far = UNIT.heating.lowest_C - 5.0
    for values in level_values(UNIT.heating, np.array([far])):
        assert (values == 0.0).all()


def test_cop_is_what_is_given_over_what_is_taken():
    """Nothing given for nothing taken stands as one, so that no hour divides nothing by nothing."""
    assert machine.Running(3000.0, 750.0, -5.0, 40.0).cop == 4.0
    assert year_unit._cop(np.array([3000.0, 0.0]), np.array([750.0, 0.0])).tolist() == [4.0, 1.0]


def test_a_crankcase_heater_below_its_temperature_alone():
    at = heat_pump.rule("crankcase_below")
    unit = replace(UNIT, standby_W=5.0, crankcase_W=30.0)
    assert outdoor_unit.resting_W(unit, np.array([at - 0.1, at, at + 10.0])).tolist() == [35.0, 5.0, 5.0]


# ---- the coil through the year


def test_the_dew_point_of_the_test_room():
    """80 F dry and 67 F wet bulb, the rating room of AHRI 210/240: a dew point of 60.3 F (psychrometric chart)."""
    cooling = replace(UNIT.cooling, indoor_C=(80 - 32) / 1.8, indoor_wet_bulb_C=(67 - 32) / 1.8)
    assert year_unit.tested_dew_point_C(replace(UNIT, cooling=cooling)) * 1.8 + 32 == pytest.approx(60.3, abs=0.2)


def test_a_coil_that_was_printed_dry():
    """1 kW of sensible cooling over cp times the room less the dew point of the test room: 24 - 14 K, 0.0985 kg/s."""
    points = load_house(changes=["set_points.cooling=24 C"]).set_points
    ratio, flow = coil_of(np.array([1000.0]), np.array([1.0]), points, 101_325.0, 14.0)
    assert flow[0] == pytest.approx(1000.0 / (1006.0 + 1860.0 * 0.0093) / 10.0, rel=2e-3)
    assert ratio[0] == pytest.approx(float(moist_air.saturated_humidity_ratio(14.0, 101_325.0)))


def test_the_coil_lies_between_the_levels_that_cool_as_much():
    """1, 2 and 3 kW with 0.1, 0.2 and 0.4 kg/s: at 1.5 kW 0.15, at 2.5 kW 0.3, and the ends beyond them."""
    levels = Levels(np.tile([1000.0, 2000.0, 3000.0], (4, 1)), np.full((4, 3), 3.0), np.tile([0.1, 0.2, 0.4], (4, 1)))
    unit = SimpleNamespace(plant=Plant(heating=levels, cooling=levels), coil_ratio=np.tile([0.008, 0.009, 0.010], (4, 1)))
    found = with_coil(unit, np.array([500.0, 1500.0, 2500.0, 9000.0]))
    assert found.cooling.coil_flow_kg_s[:, 0] == pytest.approx([0.1, 0.15, 0.3, 0.4])
    assert found.coil_humidity_ratio == pytest.approx([0.008, 0.0085, 0.0095, 0.010])


# ---- the year's sums


def test_everything_else_of_a_house_adds_up_or_is_nothing():
    two = SimpleNamespace(electric_W={"a": np.full(8760, 100.0), "b": np.full(8760, 50.0)})
    for home, watts in ((two, 150.0), (SimpleNamespace(electric_W={}), 0.0)):
        whole = YearDrivers.rest_W.func if hasattr(YearDrivers.rest_W, "func") else YearDrivers.rest_W.fget
        assert whole(SimpleNamespace(household=home)).tolist() == [watts] * 8760


def test_ways_of_standing_are_measured_by_current_then_by_heat():
    """A kilowatt-hour of current counts as a thousand of heat or cold."""
    way = SimpleNamespace(total_kWh=100.0, energy_kWh={"heat": np.array([1000.0, 500.0]), "cool": np.array([300.0, 200.0])})
    assert year_walk._measure(way) == pytest.approx(102.0)
