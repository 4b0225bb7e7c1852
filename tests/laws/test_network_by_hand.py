"""One room of one node, and drawings of a few blocks, where the answer is an exponential or a straight line."""

from dataclasses import replace
from math import exp

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.conduction import cut_resistance, solve, solve_to_limit, temperature_at
from heatcalc.physics.shell.conduction_mesh import AirSide, Edge, Region, Section, first_grid, true_share
from heatcalc.physics.year import interpolation, kernel, kernel_pack
from heatcalc.physics.year.kernel_pack import Drive, Levels, Plant
from heatcalc.physics.zone.network import Control, Walk, hours_to, inputs_of, modal, repeating_day, steady
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Window, Zone, network_of
from tests.plain_kernel import walk_years

ROOM = Zone(air_capacity_J_K=720e3, elements=(), air_exchange_W_K=100.0)
"""720 kJ/K losing 100 W/K: two hours of time constant."""


@pytest.fixture(scope="module")
def room():
    return modal(network_of(ROOM))


def walked(*air_end_C) -> Walk:
    air = np.array(air_end_C, float)
    return Walk(0 * air, 0 * air, air, air, np.zeros((len(air) + 1, 1)))


@pytest.mark.parametrize(
    "air_end, level, hours",
    [
        ((18.0, 14.0, 12.0), 15.0, 1.75),
        ((22.0, 14.0, 22.0, 10.0), 15.0, 1.875),  # the first of three crossings
        ((15.0, 10.0), 15.0, 1.0),
        ((18.0, 17.0), 15.0, None),
        ((18.0, 17.0), 20.0, 0.0),  # there from the start
        ((20.0, 20.0), 20.0, 0.0),
        ((14.0, 12.0), 15.0, 5 / 6),  # within the first step
        ((21.0, 25.0), 23.0, 1.5),  # upwards
    ],
)
def test_hours_until_a_level_is_passed(air_end, level, hours):
    assert hours_to(walked(*air_end), 20.0, level) == (hours if hours is None else pytest.approx(hours))


def test_hours_count_in_steps():
    assert hours_to(walked(18.0, 14.0), 20.0, 16.0, step_s=1800.0) == pytest.approx(0.75)


def test_a_room_of_one_node_by_its_exponential(room):
    """Free from 20 C towards 0 C: 20 exp(-t/2 h); the mean of the first hour is its integral."""
    inputs = inputs_of(room, {"outdoor_C": np.zeros(3)})
    drive = Drive(inputs=inputs, bins=np.zeros(3, int))
    year = kernel.year(room, drive, start_C=20.0, warm_up=0, series=True, walk=walk_years)
    assert year.hourly("air_end_C") == pytest.approx([20 * exp(-0.5), 20 * exp(-1.0), 20 * exp(-1.5)])
    assert year.hourly("air_mean_C")[0] == pytest.approx(20 * 2 * (1 - exp(-0.5)))
    assert year.peak("warmest_C") == pytest.approx(20 * 2 * (1 - exp(-0.5)))
    assert year.peak("coldest_C") == pytest.approx(20 * exp(-1.0) * 2 * (1 - exp(-0.5)))
    assert (year.peak_step("warmest_C"), year.peak_step("coldest_C")) == (0, 2)
    with pytest.raises(AssertionError, match="ask for the series"):
        kernel.year(room, drive, warm_up=0, walk=walk_years).hourly("air_end_C")


@pytest.mark.parametrize("walk", [walk_years, None], ids=["plain", "compiled"])
def test_a_unit_in_a_room_of_one_node_by_hand(room, walk):
    """Held at 20 C against 0 C: 2 kW; three levels of 1, 2 and 3 kW at COP 4, 3 and 2, and nothing besides."""
    inputs, bins = inputs_of(room, {"outdoor_C": np.zeros(4)}), np.array([0, 0, 1, 1])
    levels = Levels(np.array([1000.0, 2000.0, 3000.0]), np.array([4.0, 3.0, 2.0]))

    def held(set_C, **also):
        return kernel.year(
            room,
            Drive(inputs=inputs, bins=bins, heat_set_C=set_C),
            Plant(heating=levels, **also),
            start_C=set_C,
            warm_up=0,
            walk=walk,
        )

    year = held(20.0)
    assert year.monthly("heat_kWh") == pytest.approx([4.0, 4.0])
    assert year.annual("power_kWh") == pytest.approx(8 / 3)
    assert year.annual("heating_h") == 4.0
    names = (
        "backup_kWh",
        "cool_kWh",
        "latent_kWh",
        "cool_power_kWh",
        "extra_power_kWh",
        "exchange_kWh",
        "humidity_h",
        "cooling_h",
        "heat_cycling_h",
        "cool_cycling_h",
        "heat_full_h",
        "cool_full_h",
        "unmet_heat_h",
        "unmet_cool_h",
    )
    assert [year.annual(name) for name in names] == [0.0] * len(names)
    assert held(25.0).annual("heat_power_kWh") == pytest.approx(4 * 2.5 / 2.5)
    half = held(5.0)  # 500 W of a 1 kW minimum: X = 1/2, P = 250 x 0.5/(1 - 0.25 x 0.5)
    assert half.annual("heat_power_kWh") == pytest.approx(4 * 0.25 * 0.5 / (1 - 0.25 * 0.5))
    assert half.annual("heat_cycling_h") == 4.0
    steady_cycles = held(5.0, cycling_degradation=0.0)
    assert steady_cycles.annual("heat_power_kWh") == pytest.approx(4 * 0.125)
    more = held(20.0, always_W=7.0, idle_W=11.0, heating_extra_W=13.0)
    assert more.annual("extra_power_kWh") == pytest.approx(4 * 0.020)
    assert more.annual("power_kWh") == pytest.approx(8 / 3 + 0.080)
    idle = held(5.0, always_W=7.0, idle_W=11.0, heating_extra_W=13.0)
    assert idle.annual("extra_power_kWh") == pytest.approx(4 * (0.007 + 0.0055 + 0.0065))
    short = held(35.0, backup_W=400.0)  # 3.5 kW wanted, 3.4 to be had: the air sinks towards 34 C
    assert short.annual("backup_kWh") == pytest.approx(1.6)
    assert short.annual("heat_full_h") == 4.0
    assert short.annual("unmet_heat_h") == 4.0
    assert short.annual("unmet_heat_K_h") == pytest.approx(sum(1 - exp(-h / 2) for h in (1, 2, 3, 4)))


@pytest.mark.parametrize("walk", [walk_years, None], ids=["plain", "compiled"])
def test_cooling_a_room_of_one_node_by_hand(room, walk):
    """Held at 20 C against 30 C: 1 kW of levels 0.5, 1.5 and 2 kW at COP 5, 4 and 3."""
    inputs = inputs_of(room, {"outdoor_C": np.full(4, 30.0)})
    levels = Levels(np.array([500.0, 1500.0, 2000.0]), np.array([5.0, 4.0, 3.0]))
    plant = Plant(cooling=levels, idle_W=11.0, heating_extra_W=13.0, backup_W=900.0)
    year = kernel.year(room, Drive(inputs=inputs, bins=np.zeros(4, int), cool_set_C=20.0), plant, warm_up=0, walk=walk)
    assert year.annual("cool_kWh") == pytest.approx(4.0)
    assert year.annual("cool_power_kWh") == pytest.approx(4 / 4.5)
    assert (year.annual("cooling_h"), year.annual("heating_h"), year.annual("extra_power_kWh")) == (4.0, 0.0, 0.0)
    assert (year.peak("cool_W"), year.peak("power_W")) == pytest.approx((1000.0, 1000.0 / 4.5))
    hotter = inputs_of(room, {"outdoor_C": np.full(4, 55.0)})  # 3.5 kW wanted, 2 to be had: towards 35 C
    hot = kernel.year(room, Drive(inputs=hotter, bins=np.zeros(4, int), cool_set_C=20.0), plant, warm_up=0, walk=walk)
    assert (hot.annual("cool_full_h"), hot.annual("unmet_cool_h")) == (4.0, 4.0)
    assert hot.annual("unmet_cool_K_h") == pytest.approx(15 * sum(1 - exp(-h / 2) for h in (1, 2, 3, 4)))


@pytest.mark.parametrize("walk", [walk_years, None], ids=["plain", "compiled"])
def test_the_rooms_humidity_by_its_exponential(room, walk):
    """100 kg of air, 0.01 kg/s from outdoors at 4 g/kg, 10 mg/s of vapour: towards 5 g/kg; starts at the first hour's air."""
    inputs = inputs_of(room, {"outdoor_C": np.full(3, 10.0)})
    outdoors = np.array([0.007, 0.004, 0.004])
    drive = Drive(
        inputs=inputs,
        bins=np.zeros(3, int),
        moisture_flow_kg_s=0.01,
        outdoor_humidity_ratio=outdoors,
        moisture_gain_kg_s=1e-5,
        humid_limit=0.0072,
    )
    year = kernel.year(room, drive, moisture_kg=100.0, warm_up=0, series=True, walk=walk)
    x = 0.01 * 3600 / 100
    share, w, means = (1 - exp(-x)) / x, 0.007, []
    for level in outdoors + 0.001:
        means.append(level + (w - level) * share)
        w = level + (w - level) * exp(-x)
    assert year.hourly("humidity_ratio") == pytest.approx(means, rel=1e-9)
    assert year.annual("humid_h") == sum(m > 0.0072 for m in means)
    assert year.peak("humidity_ratio") == pytest.approx(max(means))


@pytest.mark.parametrize("walk", [walk_years, None], ids=["plain", "compiled"])
def test_a_wet_coil_dries_the_room_and_a_unit_without_one_does_not(room, walk):
    """Cooling 1 kW with 0.02 kg/s over a coil at 8 g/kg: an airtight room of 100 kg from 12 g/kg falls towards it."""
    inputs = inputs_of(room, {"outdoor_C": np.full(2, 30.0)})
    drive = Drive(inputs=inputs, bins=np.zeros(2, int), cool_set_C=20.0, outdoor_humidity_ratio=0.012)
    cooling = Levels(np.array([500.0, 1000.0, 2000.0]), np.array([5.0, 4.0, 3.0]), 0.02)
    dried = kernel.year(
        room, drive, Plant(cooling=cooling, coil_humidity_ratio=0.008), moisture_kg=100.0, warm_up=0, series=True, walk=walk
    )
    x = 0.02 * 3600 / 100
    taken = 100.0 * 0.004 * (1 - exp(-2 * x))  # kg of water
    assert dried.annual("latent_kWh") == pytest.approx(taken * moist_air.VAPORISATION / 3.6e6)
    assert dried.hourly("humidity_ratio")[0] == pytest.approx(0.008 + 0.004 * (1 - exp(-x)) / x)
    dry = kernel.year(
        room,
        drive,
        Plant(cooling=Levels(cooling.capacity_W, cooling.cop), coil_humidity_ratio=0.008),
        moisture_kg=100.0,
        warm_up=0,
        series=True,
        walk=walk,
    )
    assert dry.annual("latent_kWh") == 0.0
    assert dry.hourly("humidity_ratio") == pytest.approx([0.012, 0.012])


def test_houses_walked_together_need_the_same_inputs(room):
    other = modal(network_of(ROOM), step_s=1800.0)
    drive = Drive(inputs=inputs_of(room, {"outdoor_C": np.zeros(2)}), bins=np.zeros(2, int))
    with pytest.raises(ValueError, match="same inputs and step"):
        kernel_pack.pack([room, other], [drive, drive], [Plant(), Plant()], [0.0, 0.0], 0.1, 20.0)


def test_no_repeating_day_is_said(room):
    inputs = inputs_of(room, {"outdoor_C": np.zeros(24)})
    with pytest.raises(InputError, match="no repeating day"):
        repeating_day(room, inputs, Control(heat_set_C=20.0), most_rounds=0)
    assert repeating_day(room, inputs, Control(heat_set_C=20.0)).plant_W == pytest.approx(2000.0)


@pytest.mark.parametrize(("limit_W", "settles_C"), [(0.0, 10 / 3), (500.0, 20 / 3), (1e9, 20.0)])
def test_a_repeating_day_with_air_from_a_neighbour_by_hand(room, limit_W, settles_C):
    """100 W/K to 0 C, 50 W/K to 10 C, and what the plant may give: (50 x 10 + P)/150, or the set point."""
    inputs = inputs_of(room, {"outdoor_C": np.zeros(24)})
    day = repeating_day(room, inputs, Control(heat_set_C=20.0, heat_max_W=limit_W, exchange_W_K=50.0, exchange_C=10.0))
    assert day.air_end_C == pytest.approx(settles_C) and day.plant_W == pytest.approx(min(limit_W, 2500.0))


def test_radiant_gains_without_a_star_go_by_area_else_to_the_air():
    """Combined films have no long-wave star; with no surface at all the air takes everything."""
    bare = network_of(ROOM)
    assert steady(bare, inputs_of(bare, {"outdoor_C": 0.0, "radiant_gain_W": 300.0}), 20.0).load_W == pytest.approx(1700.0)
    films = Films(8.0, 0.0, 25.0)
    slab = OpaqueElement(name="slab", area_m2=30.0, body=ElementBody(resistance=(1.0,), capacity=(0.0,)), films=films)
    pane = Window(name="pane", area_m2=10.0, resistance=0.5, films=films)
    both = network_of(replace(ROOM, elements=(slab,), windows=(pane,)))
    still = steady(both, inputs_of(both, {"outdoor_C": 0.0, "radiant_gain_W": 400.0}), 20.0)
    kept = [1 - (1 / 8) / (1 / 8 + r + 1 / 25) for r in (1.0, 0.5)]  # the share of a surface's gain that reaches the air
    loss = sum(a / (1 / 8 + r + 1 / 25) for a, r in ((30.0, 1.0), (10.0, 0.5)))
    assert still.load_W == pytest.approx(20 * (100 + loss) - 300 * kept[0] - 100 * kept[1])


def test_station_weights_by_hand():
    """Ordinary kriging: halves between two stations; a station's own value at the station, without variance.

    Two stations 10 apart, g1 and g2 from the place: w1 - w2 = (g2 - g1) / 10, m = g1 - 10 w2, variance w1 g1 + w2 g2 + m.
    """
    between = np.array([[0.0, 10.0], [10.0, 0.0]])
    weights, variance = interpolation.ordinary_kriging(between, np.array([[5.0, 5.0], [2.0, 8.0], [0.0, 10.0]]))
    assert weights == pytest.approx(np.array([[0.5, 0.5], [0.8, 0.2], [1.0, 0.0]]), abs=1e-12)
    assert variance == pytest.approx([5.0, 3.2, 0.0], abs=1e-12)


def test_a_station_fades_before_the_next_takes_its_place():
    """Between stations 2 and 5 to the left and 8 to the right: as the far left one nears the reach its weight goes to 0, and
    what is left are the halves of two stations; one at the place itself is not doubted at all."""
    at, place = np.array([-2.0, 2.0, -5.0]), 0.0
    between, to = np.abs(at[:, None] - at), np.abs(at - place)[None]
    for reach, least, most in ((5.0 + 1e-9, 0.0, 1e-6), (5.2, 0.0, 0.1), (50.0, 0.0, 0.1)):
        weights, _ = interpolation.ordinary_kriging(between - np.diag(interpolation.taper_km(to[0], reach)), to)
        assert least <= abs(weights[0, 2]) <= most and weights.sum() == pytest.approx(1.0)
    assert interpolation.taper_km(0.0, 5.0) == 0.0


@pytest.mark.parametrize("dry, wet, pressure", [(-2.0, -5.0, 101325.0), (-9.0, -10.0, 79495.0), (20.0, 10.0, 101325.0)])
def test_humidity_from_a_wet_bulb_against_the_perfect_gas_library(dry, wet, pressure):
    """PsychroLib 2.5, ice and water: the same ASHRAE equations, saturation apart by rounding."""
    other = pytest.importorskip("psychrolib")
    other.SetUnitSystem(other.SI)
    assert moist_air.humidity_ratio_from_wet_bulb(dry, wet, pressure) == pytest.approx(
        other.GetHumRatioFromTWetBulb(dry, wet, pressure), rel=2e-6
    )


def rectangle(left, right, bottom, top, conductivity=0.0, **other):
    return Region(((left, bottom), (right, bottom), (right, top), (left, top)), conductivity, **other)


PLATE = Section(
    (rectangle(0, 0.4, 0, 0.1, 0.5),), (AirSide(20, 0.1), AirSide(0, 0.04)), (Edge("top", 0, 0.4, 0), Edge("bottom", 0, 0.4, 1))
)
WEDGE = Section(
    (rectangle(0, 1, 0, 0.2, air=0), Region(((0, 0), (1, 0), (1, 0.1), (0, 0.05)), 1.0)),
    (AirSide(20, 0.1), AirSide(0, 0.04)),
    (Edge("top", 0, 1, 0), Edge("bottom", 0, 1, 1)),
)


def test_surfaces_of_a_plate_are_where_the_films_end():
    field, total = solve(PLATE, first_grid(PLATE)), 0.1 + 0.1 / 0.5 + 0.04
    for height, passed in ((0.0, 0.04), (0.1, 0.04 + 0.2), (0.03, 0.04 + 0.06)):
        for along in (0.0, 0.013, 0.4):
            assert temperature_at(field, along, height) == pytest.approx(20 * passed / total, abs=1e-9)


def test_a_cut_shows_one_stack_or_is_refused():
    assert cut_resistance(PLATE, "left") == ((1, 0), pytest.approx(0.1 + 0.2 + 0.04))
    assert cut_resistance(PLATE, "right")[1] == pytest.approx(0.34)
    gap = replace(PLATE, regions=(*PLATE.regions, rectangle(0, 0.1, 0.04, 0.06, air=0)))
    with pytest.raises(ValueError, match="the left side shows 2 stacks"):
        cut_resistance(gap, "left")
    assert cut_resistance(gap, "right")[1] == pytest.approx(0.34)


def test_straight_faces_are_whole_and_sloping_ones_their_projection():
    """On the roof 0.05 in 1 a level face stands for |cos| of the slope; on the level floor for itself."""
    x, floor = np.array([0.3, 0.7]), np.zeros(2)
    assert true_share(WEDGE, x, floor, "bottom").tolist() == [1.0, 1.0]
    assert true_share(WEDGE, x, 0.05 + 0.05 * x, "top") == pytest.approx(1 / np.hypot(1, 0.05))
    assert true_share(WEDGE, x, 0.05 + 0.05 * x, "right") == pytest.approx(0.05 / np.hypot(1, 0.05))
    assert true_share(PLATE, x, floor, "bottom").tolist() == [1.0, 1.0]


def test_a_point_just_off_a_slope_reads_the_slope_and_one_far_off_nothing():
    field = solve(WEDGE, first_grid(WEDGE))
    on = temperature_at(field, 0.5, 0.075 + 1e-4)
    assert 0 < on < 20
    assert on == pytest.approx(temperature_at(field, 0.5, 0.074), abs=0.5)
    with pytest.raises(ValueError, match="no material"):
        temperature_at(field, 0.5, 0.19)


def test_too_few_cells_are_said():
    step = replace(PLATE, regions=(*PLATE.regions, rectangle(0.1, 0.15, 0.02, 0.08, 50.0)))
    with pytest.raises(ValueError, match="still changes the heat flow by over 0.00%; the last one changed it"):
        solve_to_limit(step, 1e-9, first_grid(step).cells * 5)
    with pytest.raises(ValueError, match="by over 0.20%$"):
        solve_to_limit(step, most_cells=first_grid(step).cells)
