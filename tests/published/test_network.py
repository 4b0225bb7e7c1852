"""The network against closed forms: conduction into a deep body, the periodic wall, one capacity, two weather years.

Values from closed forms carry the digits they are given with; each stands beside its equation.
"""

from pathlib import Path

import numpy as np
import pytest
from scipy.special import erfc

from heatcalc.checks.evaluate_network import _deep_body
from heatcalc.inputs.weather.weather_hours import read_weather
from heatcalc.physics.year import kernel
from heatcalc.physics.zone.network import Control, free_float, hours_to, inputs_of, modal, repeating_day, uniform_state
from heatcalc.physics.zone.nodes import admittances, layer_matrix, place_nodes
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Zone, network_of

DAY_S = 86_400.0
K_CONCRETE, RHO_C, FILM = 1.13, 1.4e6, 8.29
LAYERS = {  # conductivity, thickness, density, specific heat; inside to outside
    "light_wall": [(0.16, 0.012, 950, 840), (0.04, 0.066, 12, 840), (0.14, 0.009, 530, 900)],
    "heavy_wall": [(0.51, 0.1, 1400, 1000), (0.04, 0.0615, 10, 1400), (0.14, 0.009, 530, 900)],
    "concrete": [(1.13, 0.2, 1400, 1000)],
}
PERIODIC = {"light_wall": (0.507648, 0.82077), "heavy_wall": (0.247624, 4.41409), "concrete": (1.907752, 4.70051)}
"""|Y12| and |Y11| at 24 h with Rsi 0.13, Rse 0.04 (ISO 13786 matrices; a fine frequency-domain network agrees to 1e-6)."""


@pytest.mark.parametrize(("hour", "printed_q", "printed_T"), [(1, 118.2707, 1.89597), (6, 48.2838, 5.92284)])
def test_deep_body_closed_form(hour, printed_q, printed_T):
    """q = k dT / sqrt(pi a t); T(x) = dT erfc(x / (2 sqrt(a t))) (Carslaw and Jaeger 1959, 2.4)."""
    a = K_CONCRETE / RHO_C
    assert K_CONCRETE * 10.0 / np.sqrt(np.pi * a * hour * 3600) == pytest.approx(printed_q, abs=5e-5)
    assert 10.0 * erfc(0.1 / (2 * np.sqrt(a * hour * 3600))) == pytest.approx(printed_T, abs=5e-6)


def test_deep_body_surface_step_converges_to_the_closed_form():
    """0.1 m below the surface; the error falls with the square of the cell, so what is left is a third of the last change."""
    errors, found = [], []
    for cells in (50, 100, 200, 400):
        temperatures, names = _deep_body(cells, 1e7)
        last = names.index(f"wall {2 * cells - cells // 10}")  # its cell's lower face lies 0.1 m deep
        deep = 0.5 * (temperatures[:, last] + temperatures[:, last + 1])
        found.append(deep[[0, 5]])
        errors.append(np.abs(found[-1] - (1.89597, 5.92284)))
    assert np.all(errors[0] / errors[1] > 3.5)
    assert np.all(errors[-1] <= np.abs(found[-1] - found[-2]) / 3 + 5e-6)


def test_deep_body_behind_a_film_converges_to_the_closed_form():
    """Surface share 1 - exp(b^2) erfc(b), b = h sqrt(a t)/k: 0.326517 and 0.563704 after 1 h and 6 h."""
    errors, found = [], []
    for cells in (50, 100, 200, 400):
        temperatures, names = _deep_body(cells, FILM)
        found.append(temperatures[[0, 5], names.index("wall outside")] / 10.0)
        errors.append(np.abs(found[-1] - (0.326517, 0.563704)))
    assert np.all(errors[0] / errors[1] > 3.0)
    assert np.all(errors[-1] <= np.abs(found[-1] - found[-2]) / 3 + 5e-7)


@pytest.mark.parametrize("name", list(LAYERS))
def test_exact_layers_give_the_periodic_values(name):
    matrix = layer_matrix(0.13, 0.0, DAY_S)
    for k, d, rho, c in LAYERS[name]:
        matrix = layer_matrix(d / k, d * rho * c, DAY_S) @ matrix
    inside, across, _ = np.abs(admittances(layer_matrix(0.04, 0.0, DAY_S) @ matrix))
    assert np.linalg.det(matrix) == pytest.approx(1.0, abs=1e-12)
    assert (across, inside) == (pytest.approx(PERIODIC[name][0], abs=5e-7), pytest.approx(PERIODIC[name][1], abs=5e-6))


def network_response(name: str, error: float) -> tuple[float, float]:
    """|Y12|, |Y11| of the zone's own network for a 24 h swing: flow through the air link, by the frequency domain."""
    r = tuple(d / k for k, d, _, _ in LAYERS[name])
    c = tuple(d * rho * cp for _, d, rho, cp in LAYERS[name])
    wall = OpaqueElement(
        name="wall", area_m2=1.0, body=ElementBody(resistance=r, capacity=c), films=Films(1.0 / 0.13, 0.0, 1.0 / 0.04)
    )
    net = network_of(Zone(air_capacity_J_K=1.0, elements=(wall,), node_error=error))
    others = np.arange(len(net.capacity)) != net.air
    matrix = net.conductance + 2j * np.pi / DAY_S * np.diag(net.capacity)
    link = -net.conductance[others, net.air]
    outdoor = net.input_matrix[others, net.input_names.index("outdoor_C")]
    inner = np.linalg.solve(matrix[np.ix_(others, others)], np.stack([link, outdoor.astype(complex)], axis=1))
    return abs(link @ inner[:, 1]), abs(link.sum() - link @ inner[:, 0])


@pytest.mark.parametrize("name", list(LAYERS))
@pytest.mark.parametrize("error", [0.05, 0.01, 0.002])
def test_placed_nodes_keep_their_stated_error(name, error):
    across, inside = network_response(name, error)
    assert abs(across - PERIODIC[name][0]) <= error * PERIODIC[name][1]
    assert abs(inside - PERIODIC[name][1]) <= error * PERIODIC[name][1]


def test_placed_nodes_add_cells_for_a_smaller_error():
    counts = [len(place_nodes((0.2 / 1.13,), (0.2 * 1.4e6,), error)[1]) for error in (0.05, 0.01, 0.002)]
    assert counts == sorted(set(counts))


ONE = network_of(Zone(air_capacity_J_K=3.84e6, elements=(), air_exchange_W_K=104.3))


def test_one_capacity_decays():
    """20 C into 0 C, tau 10.22691 h: 18.136945, 11.123331, 1.913592 C after 1, 6, 24 h."""
    modes = modal(ONE)
    walked = free_float(modes, inputs_of(ONE, {"outdoor_C": np.zeros(24)}), uniform_state(modes, 20.0))
    assert walked.air_end_C[[0, 5, 23]] == pytest.approx([18.136945, 11.123331, 1.913592], abs=5e-7)
    assert hours_to(walked, 20.0, 11.123331) == pytest.approx(6.0, abs=1e-6)


def test_one_capacity_night_off():
    """Held at 20 C for 16 h, off for 8, outdoors 0 C, instant recovery: 9.147515 C, 44.951984 kWh a day.

    Recovery takes one step here, so the energy is first order in the step: pairs extrapolate to the instant.
    """
    kwh = []
    for step_s in (120.0, 60.0, 30.0):
        steps = int(DAY_S / step_s)
        on = np.arange(steps) < steps * 2 // 3
        day = repeating_day(
            modal(ONE, step_s), inputs_of(ONE, {"outdoor_C": np.zeros(steps)}), Control(heat_set_C=np.where(on, 20.0, -100.0))
        )
        assert day.air_end_C[-1] == pytest.approx(9.147515, abs=5e-7)
        kwh.append(day.plant_W.sum() * step_s / 3.6e6)
    before, found = 2 * kwh[1] - kwh[0], 2 * kwh[2] - kwh[1]
    assert found == pytest.approx(44.951984, abs=5e-7 + abs(found - before) / 3)  # second order is left
    assert abs(kwh[2] - 44.951984) < 0.6 * abs(kwh[1] - 44.951984)


LIMITS = {  # massless heat, cool [kWh], peak heat [W], peak cool [W]; one capacity heat, cool; free min, max, mean
    "723170TYA.CSV": (5498.9339, 547.8307, 3627.81, 1201.28, 5362.6193, 376.9823, -11.4434, 33.8633, 16.3394),
    "703165TY.csv": (12482.9013, 0.0, 2991.58, 0.0, 12482.5292, 0.0, -7.2443, 18.1717, 6.3382),
}


def sample_year(name: str):
    pvlib = pytest.importorskip("pvlib")
    return read_weather(Path(pvlib.__file__).parent / "data" / name)


@pytest.mark.parametrize("name", list(LIMITS))
def test_limits_on_sample_years(name):
    """H 104.3 W/K, 200 W, no sun, 20/26 C on two files shipped with pvlib; hours held, a year walked first."""
    air = sample_year(name).dry_bulb_C
    printed = LIMITS[name]
    months = np.zeros(8760, int)
    given = inputs_of(ONE, {"outdoor_C": air, "convective_gain_W": 200.0})
    held = kernel.year(modal(ONE), kernel.Drive(inputs=given, bins=months, heat_set_C=20.0, cool_set_C=26.0), warm_up=8760)
    assert (held.annual("heat_kWh"), held.annual("cool_kWh")) == pytest.approx(printed[4:6], abs=5e-5)
    free = kernel.year(modal(ONE), kernel.Drive(inputs=given, bins=months), warm_up=8760, series=True)
    ends = free.hourly("air_end_C")
    assert (ends.min(), ends.max(), ends.mean()) == pytest.approx(printed[6:], abs=5e-5)
    assert free.hourly("air_mean_C").mean() == pytest.approx(air.mean() + 200.0 / 104.3, abs=1e-9)


@pytest.mark.parametrize("name", list(LIMITS))
def test_massless_limit_on_sample_years(name):
    """The same house without capacity: sum of max(0, 104.3 (20 - T) - 200) and its like."""
    light = network_of(Zone(air_capacity_J_K=1e-3, elements=(), air_exchange_W_K=104.3))
    given = inputs_of(light, {"outdoor_C": sample_year(name).dry_bulb_C, "convective_gain_W": 200.0})
    year = kernel.year(modal(light), kernel.Drive(inputs=given, bins=np.zeros(8760, int), heat_set_C=20.0, cool_set_C=26.0))
    heat, cool, peak_heat, peak_cool = LIMITS[name][:4]
    assert (year.annual("heat_kWh"), year.annual("cool_kWh")) == pytest.approx((heat, cool), abs=5e-5)
    assert year.peak("heat_W") == pytest.approx(peak_heat, abs=5e-3)
    assert max(year.peak("cool_W"), 0.0) == pytest.approx(peak_cool, abs=5e-3)
