"""What every network must obey: closure, linearity, reciprocity, order, refinement, and a generic ODE solver's word."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from heatcalc.errors import InputError
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.inputs.weather.weather_hours import read_weather
from heatcalc.physics.sun.sun import plane_irradiance, solar_position_year
from heatcalc.physics.year import kernel
from heatcalc.physics.zone.network import (
    Control,
    free_float,
    hours_to,
    inputs_of,
    modal,
    recover,
    reduce,
    repeating_day,
    steady,
    step_inputs,
    uniform_state,
    walk,
)
from heatcalc.physics.zone.zone import (
    ElementBody,
    Films,
    HeatStore,
    OpaqueElement,
    Window,
    Zone,
    network_of,
    star_coefficients,
    window_resistance,
)

READINGS = ("outdoor_C", "sky_C")
WALL = ((0.075, 1.65, 0.064), (9576.0, 665.0, 4293.0))
HEAVY = ((0.196, 1.54, 0.064), (140_000.0, 861.0, 4293.0))


def box(layers=WALL, window_m2=3.0, air=300e3, error=0.01, exchange=10.0, absorptance=0.6) -> Zone:
    """A small house on wheels: four walls, a roof, a floor over open air, glass to the south, a water tank."""
    faces = [
        ("north", 14.0, 0.354, 0.05),
        ("south", 11.0, 0.354, 0.05),
        ("east", 6.0, 0.354, 0.05),
        ("west", 6.0, 0.354, 0.05),
        ("roof", 16.0, 1.0, 0.15),
        ("floor", 16.0, 0.0, 0.50),
    ]
    elements = tuple(
        OpaqueElement(
            name=n,
            area_m2=a,
            body=ElementBody(
                resistance=layers[0],
                capacity=layers[1],
                sky_view=view,
                solar_absorptance=absorptance,
                sun=f"{n} sun" if n != "floor" else "",
            ),
            films=Films(2.5, 5.0, 12.0, 4.8),
            inside_solar_share=share,
        )
        for n, a, view, share in faces
    )
    glass = Window(
        name="glass",
        area_m2=window_m2,
        resistance=window_resistance(1.8, 0.13, 0.04),
        films=Films(2.4, 5.0, 8.0, 4.5),
        sky_view=0.354,
        transmitted="glass through",
        absorbed_outside="glass outer",
        absorbed_inside="glass inner",
    )
    tank = HeatStore("tank", 4.186e3 * 150.0, 20.0)
    return Zone(
        air_capacity_J_K=air,
        elements=elements,
        windows=(glass,),
        masses=(tank,),
        solar_to_air=0.1,
        solar_lost=0.05,
        air_exchange_W_K=exchange,
        node_error=error,
    )


@cache
def weather() -> Weather:
    pvlib = pytest.importorskip("pvlib")
    return read_weather(Path(pvlib.__file__).parent / "data" / "723170TYA.CSV")


@cache
def channels() -> dict:
    w = weather()
    position = solar_position_year(w.lat, w.lon, w.utc_offset_h)
    facing = {"north": (90, 0), "south": (90, 180), "east": (90, 90), "west": (90, 270), "roof": (0, 180)}
    sun = {f"{n} sun": plane_irradiance(position, w.dni, w.ghi, w.dhi, *face).total for n, face in facing.items()}
    through = sun["south sun"]
    return {
        "outdoor_C": w.dry_bulb_C,
        "sky_C": w.dry_bulb_C - 11.0,
        **sun,
        "glass through": 0.55 * through,
        "glass outer": 0.1 * through,
        "glass inner": 0.07 * through,
        "convective_gain_W": 100.0,
        "radiant_gain_W": 100.0,
    }


def exchange() -> np.ndarray:
    return 1.5 * weather().wind_m_s


MONTHS = np.minimum(np.arange(8760) // 730, 11)


def year(zone: Zone, plant=kernel.UNLIMITED_PLANT, heat=20.0, cool=25.0, flow=None, series=False, **changed):
    network = network_of(zone)
    inputs = inputs_of(network, channels() | changed)
    drive = kernel.Drive(
        inputs=inputs,
        bins=MONTHS,
        heat_set_C=heat,
        cool_set_C=cool,
        exchange_W_K=exchange() if flow is None else flow,
        exchange_C=weather().dry_bulb_C,
    )
    modes = modal(network, linear=READINGS)
    return modes, drive, kernel.year(modes, drive, plant, series=series)


def two_weeks(first_hour: int):
    """The network with the mean exchange in it, two weeks of channels, the exchange's deviation from that mean."""
    hours = np.arange(first_hour, first_hour + 336)
    usual = float(exchange()[hours].mean())
    network = network_of(box(exchange=10.0 + usual))
    inputs = inputs_of(network, {k: v[hours] if np.ndim(v) else v for k, v in channels().items()})
    return network, inputs, exchange()[hours] - usual, weather().dry_bulb_C[hours], modal(network, linear=READINGS)


@pytest.mark.parametrize("first_hour", [300, 4700])
def test_generic_ode_solver_agrees(first_hour):
    """Two weeks of real weather, exchange by the wind, plant as walked: 0.01 K and 0.1 % of the exchanged heat.

    The solver sees readings as straight lines, sun, wind and plant as held in their hour, and the exchange meeting
    the air of the moment; the walk meets the step's mean air, so this measures what that costs.
    """
    network, inputs, flow, outdoor, modes = two_weeks(first_hour)
    middle = 0.5 * (outdoor + np.roll(outdoor, 1))
    start = uniform_state(modes, 21.0)
    walked = walk(modes, inputs, Control(heat_set_C=20.0, cool_set_C=25.0, exchange_W_K=flow, exchange_C=middle), start)
    net, columns = modes.network, list(modes.linear)
    air, state = net.air, np.append(modes.from_modal @ start, 0.0)
    before = np.roll(inputs, 1, axis=0)
    mixing = np.diag(net.capacity**-1) @ net.conductance
    for h in range(336):

        def rate(t, y, h=h):
            u, met = inputs[h].copy(), middle[h]
            u[columns] = before[h, columns] + (inputs[h, columns] - before[h, columns]) * t / 3600.0
            q = flow[h] * (met - y[air])
            heat = net.input_matrix @ u
            heat[air] += walked.plant_W[h] + q
            return np.append(heat / net.capacity - mixing @ y[:-1], q)

        state = solve_ivp(rate, (0.0, 3600.0), state, method="LSODA", rtol=1e-7, atol=1e-7).y[:, -1]
        assert abs(state[air] - walked.air_end_C[h]) < 0.01
    usual = float(exchange()[first_hour : first_hour + 336].mean())
    fixed = usual * (middle - walked.air_mean_C).sum() * 3600.0
    assert state[-1] + fixed == pytest.approx(walked.exchange_W.sum() * 3600.0 + fixed, rel=1e-3)


@pytest.mark.parametrize("layers", [WALL, HEAVY], ids=["light", "heavy"])
def test_annual_balance_closes(layers):
    """What the plant gave is what was lost by cause, plus what is stored, to 1e-9 of the losses."""
    modes, drive, done = year(box(layers))
    terms = kernel.annual_terms(modes, drive, done)
    given_kWh = done.annual("heat_kWh") - done.annual("cool_kWh")
    assert sum(terms.values()) == pytest.approx(given_kWh, abs=1e-9 * sum(abs(x) for x in terms.values()))


def test_balance_of_every_step_closes_from_the_states():
    """Heat in each step against the change of every node's heat: an independent way to the same closure, 1e-9."""
    network, inputs, flow, outdoor, modes = two_weeks(1000)
    walked = walk(
        modes,
        inputs,
        Control(heat_set_C=20.0, cool_set_C=25.0, exchange_W_K=flow, exchange_C=outdoor),
        uniform_state(modes, 21.0),
    )
    net, known = modes.network, step_inputs(modes, inputs)[:, : len(modes.input_names)]
    nodes = walked.states @ modes.from_modal.T
    stored = (nodes[1:] - nodes[:-1]) * net.capacity / 3600.0
    sourced = known @ net.input_matrix.T - stored
    sourced[:, net.air] += walked.plant_W + walked.exchange_W
    means = np.linalg.solve(net.conductance, sourced.T).T
    lost = means @ net.term_nodes.T + known @ net.term_inputs.T
    assert means[:, net.air] == pytest.approx(walked.air_mean_C, abs=1e-9)
    total = walked.plant_W + walked.exchange_W - lost.sum(axis=1) - stored.sum(axis=1)
    assert np.abs(total).max() < 1e-9 * np.abs(lost).sum(axis=1).max()


def test_order_of_surfaces_does_not_matter():
    zone = box()
    turned = replace(zone, elements=zone.elements[::-1])
    one, other = year(zone)[2], year(turned)[2]
    assert one.sums == pytest.approx(other.sums, rel=1e-9, abs=1e-9)


def test_finer_nodes_converge():
    """Annual heat and cooling of finer and finer node placements; the stated error is about what is left."""
    found = [year(box(HEAVY, error=e))[2] for e in (0.05, 0.01, 0.001, 0.0002)]
    for name in ("heat_kWh", "cool_kWh"):
        amounts = [float(y.annual(name)) for y in found]
        rest = [abs(a - amounts[-1]) / amounts[-1] for a in amounts[:-1]]
        assert rest[2] <= rest[0]
        assert rest[1] < 0.01
        assert rest[2] < 0.001


def test_a_huge_capacity_stays_at_the_mean():
    """Free float of a house that holds nearly endless heat: the temperature its mean inputs give for ever."""
    zone = replace(box(), masses=(HeatStore("rock", 1e14, 1e4),))
    network = network_of(zone)
    inputs = inputs_of(network, channels())
    modes = modal(network)
    still = [steady(network, inputs.mean(axis=0), air).load_W for air in (0.0, 1.0)]
    balance_C = -still[0] / (still[1] - still[0])
    floats = kernel.year(modes, kernel.Drive(inputs=inputs, bins=MONTHS), warm_up=0, start_C=balance_C)
    rock = modes.from_modal @ floats.end_state[: len(modes.decay)]
    assert rock[modes.network.node_names.index("rock")] == pytest.approx(balance_C, abs=1e-3)
    assert float(floats.annual("air_K_h")) / 8760 == pytest.approx(balance_C, abs=0.02)


@settings(max_examples=25)
@given(st.floats(-40, 45), st.floats(-40, 45), st.floats(0, 60), st.floats(10, 30))
def test_steady_terms_sum_and_are_linear(outdoor, sky, flow, air):
    network = network_of(box())
    known = inputs_of(network, {"outdoor_C": outdoor, "sky_C": sky, "roof sun": 500.0, "convective_gain_W": 70.0})
    one = steady(network, known, air, flow)
    assert sum(one.terms_W.values()) == pytest.approx(one.load_W, abs=1e-9)
    doubled = steady(network, 2 * known, 2 * air, flow)
    assert doubled.load_W == pytest.approx(2 * one.load_W, abs=1e-7)
    assert steady(network, known, air, flow + 10.0).load_W - one.load_W == pytest.approx(10.0 * (air - outdoor), abs=1e-7)


def test_reciprocity():
    """The matrices are symmetric, reduced or not, and one temperature everywhere moves no heat."""
    network = network_of(box())
    for net in (network, reduce(network)):
        assert net.conductance == pytest.approx(net.conductance.T, abs=1e-9)
        temperatures = [i for i, n in enumerate(net.input_names) if n.endswith("_C")]
        assert net.conductance.sum(axis=1) == pytest.approx(net.input_matrix[:, temperatures].sum(axis=1), abs=1e-8)


def test_steady_is_where_the_walk_ends():
    network = network_of(box())
    known = inputs_of(network, {"outdoor_C": np.full(2000, -10.0), "sky_C": -20.0, "south sun": 100.0})
    modes = modal(network)
    walked = walk(modes, known, Control(heat_set_C=20.0), uniform_state(modes, 5.0))
    still = steady(network, known[0], 20.0)
    assert walked.plant_W[-1] == pytest.approx(still.load_W, abs=1e-6)
    from_state, from_inputs = recover(network)
    ended = dict(zip(network.node_names, from_state @ modes.from_modal @ walked.states[-1] + from_inputs @ known[0], strict=True))
    assert ended == pytest.approx(still.temperatures_C, abs=1e-6)


DAY = np.arange(24)


def hot_day(network) -> np.ndarray:
    sun = np.maximum(0.0, np.sin(np.pi * (DAY - 6) / 12)) * 700.0
    return inputs_of(
        network,
        {
            "outdoor_C": 29 + 8 * np.sin(2 * np.pi * (DAY - 9) / 24),
            "sky_C": 18.0,
            "roof sun": sun,
            "south sun": 0.5 * sun,
            "glass through": 0.3 * sun,
            "radiant_gain_W": 80.0,
        },
    )


@pytest.mark.parametrize(
    "control",
    [
        Control(heat_set_C=23.0, cool_set_C=23.0, exchange_W_K=12.0, exchange_C=30.0),
        Control(heat_set_C=20.0, cool_set_C=24.0),
        Control(cool_set_C=24.0, cool_max_W=900.0),
        Control(heat_set_C=np.where(DAY < 7, 16.0, 20.0), cool_set_C=24.0),
        Control(),
    ],
    ids=["held", "band", "limited", "setback", "free"],
)
def test_the_repeating_day_repeats(control):
    """The solved day is what two hundred walked days end in."""
    network = network_of(box())
    modes = modal(network, linear=("outdoor_C",))
    day = repeating_day(modes, hot_day(network), control)
    state = uniform_state(modes, 24.0)
    for _ in range(200):
        walked = walk(modes, hot_day(network), control, state)
        state = walked.states[-1]
    assert day.plant_W == pytest.approx(walked.plant_W, abs=1e-6)
    assert day.air_end_C == pytest.approx(walked.air_end_C, abs=1e-6)


def test_power_cut_and_recovery():
    """Tighter houses stay warm longer; a bigger heater is back sooner."""
    network = network_of(box())
    cold = inputs_of(network, {"outdoor_C": np.full(72, -15.0), "sky_C": -25.0})
    modes = modal(network)
    start = uniform_state(modes, 20.0)
    cut = [hours_to(free_float(modes, cold, start, flow, -15.0), 20.0, 0.0) for flow in (0.0, 20.0)]
    assert cut[0] > cut[1] > 1.0
    soaked = uniform_state(modes, -7.0)
    back = [
        hours_to(walk(modes, cold, Control(heat_set_C=20.0, heat_max_W=q), soaked), -7.0, 19.99) for q in (4000.0, 3000.0, 1000.0)
    ]
    assert back[0] < back[1]
    assert back[2] is None


@settings(max_examples=8)
@given(st.floats(0.0, 2.0), st.floats(0.05, 1.0))
def test_more_leakage_never_lowers_heating(share, more):
    less, leaky = (year(box(), flow=f * exchange())[2] for f in (share, share + more))
    assert leaky.annual("heat_kWh") > less.annual("heat_kWh")


def test_darker_cladding_never_lowers_cooling_and_shade_never_raises_it():
    dark, light = year(box(absorptance=0.9))[2], year(box(absorptance=0.3))[2]
    assert dark.annual("cool_kWh") > light.annual("cool_kWh")
    shaded = year(box(), **{"glass through": 0.5 * channels()["glass through"]})[2]
    assert shaded.annual("cool_kWh") < year(box())[2].annual("cool_kWh")


def test_night_setback_saves_heat_and_raises_the_morning_peak():
    hours = np.arange(8760) % 24
    flat, back = year(box())[2], year(box(), heat=np.where((hours < 6) | (hours >= 22), 16.0, 20.0))[2]
    assert back.annual("heat_kWh") < flat.annual("heat_kWh")
    assert back.peak("heat_W") > flat.peak("heat_W")
    assert back.peak_step("heat_W") % 24 == 6


def test_carroll_star_gives_a_cube_the_view_factors_it_has():
    """Six equal faces: F_i = 1/(1 - 1/6 x ...) solves to F (1 - 1/6) = 1, each face seeing the five others."""
    black = star_coefficients(np.ones(6), np.ones(6), 20.0)
    assert black == pytest.approx(4 * 5.670374419e-8 * 293.15**3 * 6 / 5, rel=1e-12)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: window_resistance(6.5, 0.13, 0.04),
        lambda: network_of(replace(box(), solar_lost=0.5)),
        lambda: network_of(replace(box(), air_capacity_J_K=0.0)),
        lambda: network_of(replace(box(), windows=box().windows * 2)),
        lambda: star_coefficients(np.array([1.0, 1.0, 9.0]), np.ones(3), 20.0),
        lambda: inputs_of(network_of(box()), {"outdoor_C": 0.0}),
        lambda: inputs_of(network_of(box()), {"outdoor_C": 0.0, "sky_C": 0.0, "rooof sun": 1.0}),
    ],
)
def test_impossible_zones_are_refused_in_one_line(wrong):
    with pytest.raises(InputError) as refused:
        wrong()
    assert "\n" not in str(refused.value)


def test_the_held_days_mean_is_the_steady_state_and_its_causes_sum_to_it():
    """Air held all day: the closed form's mean load is the steady load of the mean inputs; its causes sum to it."""
    from heatcalc.inputs.house.house_file import load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.model.designer import designer_of
    from heatcalc.model.house_model import house_model
    from heatcalc.physics.zone.fast_loads import held, held_day, held_day_by_term

    place = find_place("05401")
    network = designer_of(house_model(load_house(), place.elevation_m), place).model.summer
    hours = np.arange(24)
    outdoor = 5.0 + 8.0 * np.sin(hours / 24 * 2 * np.pi)
    sun = {
        name: 200.0 * np.maximum(np.sin((hours - 6) / 12 * np.pi), 0) for name in network.input_names if name.startswith("sun ")
    }
    day = inputs_of(network, {"outdoor_C": outdoor, "sky_C": outdoor - 4.0, "below_C": outdoor, **sun})
    load = held_day(held(network), day[None], 21.0)[0]
    still = steady(network, day.mean(axis=0), 21.0)
    assert load.mean() == pytest.approx(still.load_W, rel=1e-9)
    terms = held_day_by_term(held(network), day[None], 21.0)[0]
    assert np.allclose(terms.sum(axis=1), load, atol=1e-8)
