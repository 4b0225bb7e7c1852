"""What must hold for any layered element, whatever its numbers."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.inputs.house.house_file import house_from
from heatcalc.model.house_model import house_model
from heatcalc.physics.shell.dynamics import dynamics, transfer_matrix
from heatcalc.physics.shell.framing import compressed_share
from heatcalc.physics.shell.ground import slab_on_ground_u
from heatcalc.physics.shell.layers import Bridge, Layer, thermal_chain, u_value
from heatcalc.physics.shell.vapour import (
    condensation_rates,
    dew_point_depth,
    divided,
    interface_temperatures,
    month_of_moisture,
    saturation_pressure,
    vapour_pressures,
    year_of_moisture,
)

SMALL = {"name": "small", "body": {"length": "24 ft", "width": "8 ft", "wall_height": "9 ft"}}
resistances = st.floats(0.001, 8.0)
shares = st.floats(0.01, 0.4)


@st.composite
def any_layer(draw, bridged=None):
    thickness = draw(st.floats(0.001, 0.3))
    has_bridge = draw(st.booleans()) if bridged is None else bridged
    bridges = (
        (
            Bridge(
                name="b",
                share=draw(shares),
                resistance_m2K_W=draw(resistances),
                density_kg_m3=450.0,
                specific_heat_J_kgK=1600.0,
                vapour_resistance_factor=50.0,
            ),
        )
        if has_bridge
        else ()
    )
    return Layer(
        name="layer",
        thickness_m=thickness,
        resistance_m2K_W=draw(resistances),
        density_kg_m3=draw(st.floats(1.0, 2500.0)),
        specific_heat_J_kgK=draw(st.floats(400.0, 2500.0)),
        vapour_resistance_factor=draw(st.floats(1.0, 500.0)),
        bridges=bridges,
    )


elements = st.lists(any_layer(), min_size=1, max_size=6)
plain_elements = st.lists(any_layer(bridged=False), min_size=2, max_size=6)
films = st.tuples(st.floats(0.03, 0.2), st.floats(0.02, 0.2))


@given(elements, films)
def test_u_lies_between_its_limits(layers, film):
    u = u_value(layers, *film)
    assert u.upper_limit <= u.combined * (1 + 1e-12) and u.combined <= u.lower_limit * (1 + 1e-12)
    assert u.r_total == pytest.approx(1 / u.combined)


@given(elements, any_layer(), films, st.integers(0, 6))
def test_another_layer_never_raises_u(layers, more, film, at):
    thicker = [*layers[:at], more, *layers[at:]]
    before, after = u_value(layers, *film), u_value(thicker, *film)
    assert after.upper_limit <= before.upper_limit * (1 + 1e-12)
    assert after.lower_limit <= before.lower_limit * (1 + 1e-12)
    assert after.combined <= before.combined * (1 + 1e-12)


@given(elements, films, st.randoms(use_true_random=False))
def test_order_does_not_change_steady_u(layers, film, random):
    mixed = list(layers)
    random.shuffle(mixed)
    assert u_value(mixed, *film).combined == pytest.approx(u_value(layers, *film).combined, rel=1e-12)


@given(plain_elements, films)
def test_plain_layers_have_no_spread(layers, film):
    u = u_value(layers, *film)
    assert u.upper_limit == pytest.approx(u.lower_limit, rel=1e-12)
    assert u.r_total == pytest.approx(sum(film) + sum(x.resistance_m2K_W for x in layers), rel=1e-12)


def test_order_does_change_the_dew_point():
    foam, board = (
        Layer(name="foam", thickness_m=0.05, resistance_m2K_W=2.0),
        Layer(name="board", thickness_m=0.05, resistance_m2K_W=0.3),
    )
    places = []
    for layers in ([foam, board], [board, foam]):
        at = interface_temperatures([x.resistance_m2K_W for x in layers], 0.13, 0.04, 20.0, -10.0)
        places.append(dew_point_depth([x.resistance_m2K_W for x in layers], [0.05, 0.05], at, 9.3))
    assert places[0] < 0.05 < places[1]


@given(elements, st.floats(0.05, 0.5), films)
def test_aligned_layers_insulate_no_better_than_crossing_ones(layers, share, film):
    """The same studs through two layers leave a straighter way out than studs that cross."""
    pair = [
        Layer(name="a", thickness_m=0.05, resistance_m2K_W=1.5, bridges=(Bridge(name="s", share=share, resistance_m2K_W=0.4),)),
        Layer(name="b", thickness_m=0.05, resistance_m2K_W=1.0, bridges=(Bridge(name="s", share=share, resistance_m2K_W=0.4),)),
    ]
    aligned = [replace(x, pattern="studs") for x in pair]
    assert u_value([*layers, *aligned], *film).combined >= u_value([*layers, *pair], *film).combined * (1 - 1e-12)


@given(elements, films, st.floats(0.0, 0.05), st.floats(0.0, 0.2))
def test_corrections_only_add(layers, film, gaps, bridges):
    worse = [replace(layers[0], gaps_W_m2K=gaps, added_W_m2K=bridges), *layers[1:]]
    assert u_value(worse, *film).combined >= u_value(layers, *film).combined + bridges - 1e-12


@given(elements, films)
def test_chain_carries_the_same_steady_u_and_all_the_mass(layers, film):
    resistance, capacity = thermal_chain(layers, *film)
    assert resistance.sum() + sum(film) == pytest.approx(u_value(layers, *film).r_total, rel=1e-9)
    assert capacity.sum() == pytest.approx(sum(x.heat_capacity_J_m2K for x in layers), rel=1e-9)
    assert (resistance > 0).all()


@given(st.lists(any_layer(), min_size=1, max_size=4), films)
def test_periodic_matrix_has_determinant_one_and_never_beats_steady(layers, film):
    moving = dynamics(layers, *film)
    assert 0.0 <= moving.decrement_factor <= 1.0 + 1e-9
    resistance, capacity = thermal_chain(layers, *film)
    matrix = transfer_matrix(resistance, capacity, *film)
    scale = abs(matrix[0, 0] * matrix[1, 1]) + 1.0  # cancellation grows with the product
    assert abs(np.linalg.det(matrix) - 1.0) <= 1e-10 * scale


@given(elements, films)
def test_slow_swing_is_steady_and_fast_swing_dies(layers, film):
    slow, fast = dynamics(layers, *film, period_s=3.2e11), dynamics(layers, *film, period_s=3600.0)
    assert slow.decrement_factor == pytest.approx(1.0, abs=1e-3)
    assert fast.decrement_factor <= slow.decrement_factor + 1e-9


@st.composite
def moist(draw):
    n = draw(st.integers(2, 6))
    resistance = draw(st.lists(st.floats(0.01, 3.0), min_size=n, max_size=n))
    sd = draw(st.lists(st.floats(0.01, 100.0), min_size=n, max_size=n))
    r, s, _ = divided(resistance, sd)
    indoor, outdoor = draw(st.floats(15.0, 25.0)), draw(st.floats(-30.0, 15.0))
    at = interface_temperatures(r, 0.13, 0.04, indoor, outdoor)
    inside = draw(st.floats(0.2, 0.9)) * float(saturation_pressure(indoor))
    outside = draw(st.floats(0.3, 1.0)) * float(saturation_pressure(outdoor))
    return s, saturation_pressure(at), inside, outside


@given(moist())
def test_vapour_never_exceeds_saturation_and_water_balances(case):
    sd, saturation, inside, outside = case
    p = vapour_pressures(sd, saturation, inside, outside)
    assert (p <= saturation * (1 + 1e-9)).all()
    rates = condensation_rates(sd, p)
    assert (rates >= -1e-15).all()
    flow = 2e-10 * (p[:-1] - p[1:]) / sd
    assert flow[0] - flow[-1] == pytest.approx(rates.sum(), abs=1e-9 * max(abs(flow[0]), abs(flow[-1])) + 1e-18)


@given(moist(), st.floats(1.0, 3.0))
def test_a_tighter_inside_sheet_never_condenses_more(case, times):
    sd, saturation, inside, outside = case
    tighter = sd.copy()
    tighter[0] *= times
    first, second = (condensation_rates(s, vapour_pressures(s, saturation, inside, outside)).sum() for s in (sd, tighter))
    if inside >= outside:
        assert second <= first * (1 + 1e-9) + 1e-18


@given(moist(), st.floats(0.0, 0.5))
def test_water_is_never_negative_and_dry_months_dry(case, start):
    sd, saturation, _, _ = case
    water = np.zeros(len(saturation))
    water[len(water) // 2] = start
    dry_air = 0.01 * float(saturation.min())
    after = month_of_moisture(sd, saturation, dry_air, dry_air, water, 2.6e6)
    assert (after >= 0.0).all() and after.sum() <= water.sum() + 1e-12


def test_a_steady_wet_year_only_gathers_and_a_dry_one_stays_dry():
    sd, r = np.array([0.1, 5.0]), [2.0, 0.1]
    cold = np.tile(saturation_pressure(interface_temperatures(r, 0.13, 0.04, 21.0, -15.0)), (12, 1))
    gathered, _ = year_of_moisture(sd, cold, [1200.0] * 12, [120.0] * 12)
    assert (np.diff(gathered.sum(axis=1)) > 0).all()
    dry, _ = year_of_moisture(sd, cold, [60.0] * 12, [60.0] * 12)
    assert dry.sum() == 0.0


@given(st.floats(0.1, 6.0), st.floats(8.0, 60.0), st.floats(1.01, 2.0))
def test_more_exposed_perimeter_loses_more(r_floor, area, times):
    perimeter = 4.0 * area**0.5
    assert slab_on_ground_u(r_floor, area, perimeter * times) >= slab_on_ground_u(r_floor, area, perimeter)


@settings(max_examples=25, derandomize=True)
@given(st.floats(0.2, 1.2), st.floats(0.2, 8.0), st.floats(0.0, 0.01))
def test_skirting_never_loses_more_than_open_air(height, skirt_u, vents):
    """The floor as a house stands: ISO 13370's space below is one more resistance, and less exchange loses less."""

    def floor_u(below):
        return next(p.u_value for p in house_model(house_from(SMALL | {"below": below})).opaque if p.kind == "floor")

    said = {"kind": "skirted", "height": f"{height} m", "skirt_u_value": f"{skirt_u} W/m2K", "vent_area_per_length": f"{vents} m"}
    skirted = floor_u(said)
    assert skirted <= floor_u({"kind": "open air"})
    assert skirted >= floor_u(said | {"vent_area_per_length": "0 m"}) - 1e-12


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_pressing_a_batt_never_helps(one, other):
    low, high = sorted((one, other))
    assert compressed_share(low) <= compressed_share(high) + 1e-12
    assert compressed_share(low) >= low - 1e-12  # and never costs more than the thickness taken away
