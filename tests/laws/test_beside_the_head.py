"""Inside films beside a wall head: none without a flow, more with more of it, never below either kind of convection."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model, inside_convection, still_air, zone_of
from heatcalc.model.year_drivers import year_house
from heatcalc.physics.shell.layers import CONVECTION_INSIDE_W_m2K, jet_film, mixed_film
from heatcalc.physics.unit.heat_pump import rule

FLOWS = ("0 cfm", "150 cfm", "300 cfm", "500 cfm")
SURFACES = ("ceiling", "wall", "floor")


@cache
def model(flow, loft=False):
    house = load_house(None, [f"air.head_flow={flow}", "site.front_faces=north", *(['loft.area="60 ft2"'] if loft else [])])
    return house_model(house, find_place("Duluth, MN").elevation_m)


@cache
def designer(flow):
    return designer_of(model(flow), find_place("Duluth, MN"))


@pytest.mark.parametrize(
    ("surface", "speed", "slot", "by_hand"),
    [
        # Awbi and Hatton 2000 (from memory): 1.57 x 0.06^0.107 x 3^0.873 = 1.57 x 0.74006 x 2.60935
        ("wall", 3.0, 0.06, 3.0318),
        ("ceiling", 1.0, 0.06, 1.0963),  # 1.35 x 0.81205
        ("floor", 1.0, 1.0, 4.248),
    ],
)
def test_the_jet_worked_by_hand(surface, speed, slot, by_hand):
    assert jet_film(surface, speed, slot) == pytest.approx(by_hand, abs=5e-4)


def test_the_mix_by_logarithms():
    """Equal parts give 2^(1/3.2) of one; unequal parts by a sum of powers taken another way."""
    assert mixed_film(2.5, 2.5) == pytest.approx(2.5 * 2 ** (1 / 3.2), rel=1e-12)
    by_logs = math.exp(np.logaddexp(3.2 * math.log(2.5), 3.2 * math.log(3.36)) / 3.2)
    assert mixed_film(2.5, 3.36) == pytest.approx(by_logs, rel=1e-12)


@given(st.floats(0.1, 20.0), st.floats(0.0, 30.0))
def test_a_mix_is_never_below_either(still, forced):
    assert mixed_film(still, forced) >= max(still, forced * (1 - 1e-14))
    assert mixed_film(still, 0.0) == still


@given(st.sampled_from(SURFACES), st.floats(0.0, 6.0), st.floats(0.0, 6.0), st.floats(0.03, 0.12))
def test_a_faster_jet_never_takes_less(surface, one, other, slot):
    slow, fast = sorted((one, other))
    assert 0.0 <= jet_film(surface, slow, slot) <= jet_film(surface, fast, slot)


def test_without_a_flow_every_film_is_the_standard_s_to_the_last_bit():
    still = model("0 cfm")
    for season, k in (("winter", 0), ("summer", 1)):
        assert all(inside_convection(still, p, season) == CONVECTION_INSIDE_W_m2K[p.of.flow[k]] for p in still.parts)
    assert zone_of(still, "year") == still_air(zone_of(still, "year"))


@pytest.mark.parametrize("season", ["winter", "summer", "year"])
def test_films_grow_with_the_flow(season):
    for part in (p for p in model(FLOWS[0]).parts if p.of.radiates):
        films = [inside_convection(model(flow), part, season) for flow in FLOWS]
        assert films == sorted(set(films))


def test_the_layer_over_a_loft_stays_still():
    with_loft = model("300 cfm", loft=True)
    assert {inside_convection(with_loft, p, "winter") for p in with_loft.parts if p.kind == "roof"} == {5.0}
    assert min(inside_convection(with_loft, p, "winter") for p in with_loft.parts if p.kind == "wall") > 2.5


def test_more_flow_takes_more_heat_and_more_cooling_and_never_a_tenth():
    heats = [designer(flow).heating().load_W for flow in FLOWS]
    cools = [designer(flow).cooling.peak_sensible_W for flow in FLOWS]
    assert heats == sorted(set(heats)) and cools == sorted(set(cools))
    assert heats[-1] < 1.1 * heats[0] and cools[-1] < 1.1 * cools[0]


def test_published_u_and_the_hand_check_know_no_head():
    assert model("500 cfm").ua_W_K == model("0 cfm").ua_W_K
    assert designer("500 cfm").heating().hand_check_W == designer("0 cfm").heating().hand_check_W


def test_a_unit_not_yet_chosen_does_not_change_the_house():
    """The flow is the house's, so the loads are the same whatever unit is tried."""
    assert model("300 cfm").house.air.head_flow == load_house(None).air.head_flow


def test_in_a_power_cut_the_films_are_still_air_s():
    off, still = year_house(model("300 cfm")).fan_off, year_house(model("0 cfm"))
    assert off.input_names == still.modes.input_names
    assert np.array_equal(off.decay, still.modes.decay) and np.array_equal(off.forcing, still.modes.forcing)


def test_the_room_s_u_in_explain_is_the_network_s():
    """`explain` swaps one film for the other: the same resistance as the network's two ways inside, radiation kept."""
    from heatcalc.answers.explain.chains import _beside_the_head

    m = model("300 cfm")
    for part in (p for p in m.parts if p.of.radiates):
        (room,) = _beside_the_head(m, part)
        r_inside = 0.13 if part.kind == "window" else part.r_inside
        film = 1.0 / r_inside + inside_convection(m, part, "winter") - CONVECTION_INSIDE_W_m2K[part.of.flow[0]]
        assert 1.0 / room.value == pytest.approx(1.0 / part.u_value - r_inside + 1.0 / film, rel=1e-12)
        assert room.value > part.u_value


def test_a_flow_no_wall_head_has_is_refused_with_its_range():
    with pytest.raises(InputError, match="529"):
        load_house(None, ["air.head_flow=900 cfm"])
    assert rule("head_outlet") > 0 and 0.25 / rule("head_outlet") <= 6.0


def test_every_way_round_stays_one_house():
    """A house turned another way keeps its films."""
    turned = replace(model("300 cfm"), elevation_m=1500.0)
    assert zone_of(turned, "winter").elements == zone_of(model("300 cfm"), "winter").elements
