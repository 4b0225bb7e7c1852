"""Laws of glass and shade."""

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from heatcalc.physics.shell import glazing as g
from heatcalc.physics.sun import sun

cosines = st.floats(0.01, 1)
thick = st.floats(0.5, 12)
index = st.floats(1.05, 2.0)
extinction = st.floats(0, 0.2)
names = st.sampled_from(g.glazing_names())
lengths = st.floats(0, 2)
positions = st.tuples(st.floats(0.5, 89), st.floats(0, 360))


def sky(altitude, azimuth):
    s = np.sin(np.radians(altitude))
    return sun.SunPosition(np.array([altitude]), np.array([azimuth]), np.array([s]), np.array([1367.0]))


@given(cosines, thick, index, extinction)
def test_pane_shares_sum_to_one(c, d, n, k):
    optics = g.pane_optics(c, d, n, k)
    assert np.allclose(optics.sum(axis=1), 1) and optics.min() >= -1e-12


@given(cosines, thick, thick, index, extinction, extinction)
def test_double_pane_shares_sum_to_one_and_transmittance_is_reciprocal(c, d1, d2, n, k1, k2):
    """Light passes two panes equally from either side; absorption and reflection may differ."""
    a, b = g.pane_optics(c, d1, n, k1), g.pane_optics(c, d2, n, k2)
    there, back = g.double_pane_optics(a, b), g.double_pane_optics(b, a)
    assert np.isclose(there.sum(), 1) and np.isclose(back.sum(), 1)
    assert np.isclose(there[0], back[0])


@given(thick, extinction, st.floats(0.001, 0.1))
def test_thicker_or_darker_glass_lets_less_through(d, k, more):
    c = np.array([0.3, 0.7, 1.0])
    clear, dark = g.pane_optics(c, d, 1.526, k)[:, 0], g.pane_optics(c, d, 1.526, k + more)[:, 0]
    assert np.all(dark <= clear)


@given(names, cosines, cosines)
def test_slanting_light_gains_less(name, one, two):
    steep, straight = sorted((one, two))
    row = g.glazing(name)
    assert g.shgc_at_angle(row, steep) <= g.shgc_at_angle(row, straight) + 1e-12
    assert 0 <= g.transmitted_part(row, g.shgc_at_angle(row, steep)) <= g.shgc_at_angle(row, steep)


@given(names, st.floats(0.05, 0.85), cosines)
def test_a_label_scales_the_whole_row(name, label, c):
    row = g.glazing(name)
    own = g.scaled(row, label)
    assert np.isclose(g.shgc_at_angle(own, 1.0), label)
    assert np.isclose(g.shgc_at_angle(own, c) * row.shgc[0], g.shgc_at_angle(row, c) * label)
    assert np.isclose(
        g.transmitted_part(own, g.shgc_at_angle(own, c)) * row.shgc[0], g.transmitted_part(row, g.shgc_at_angle(row, c)) * label
    )


sizes = st.floats(0.2, 3)


@given(names, positions, lengths, lengths, st.floats(0, 0.5), sizes, sizes, st.floats(0, 1))
def test_shading_never_raises_gain(name, where, overhang, fin, gap, width, height, closed):
    p = sky(*where)
    light = sun.plane_irradiance(p, 700.0, 700 * p.cos_zenith + 100, 100.0, 90, 200)
    bare = g.transmitted(g.glazing(name), light).total
    lit = g.sunlit_fraction(p, 200, width, height, overhang, gap, fin, gap)
    share = g.overhang_sky_share(overhang, gap, height)
    shaded = g.transmitted(g.glazing(name), light, lit, share, g.interior_attenuation(0.6, closed)).total
    assert np.all(shaded <= bare + 1e-9) and np.all(shaded >= 0)
    assert 0 <= lit[0] <= 1 and 0 <= share <= 1 + 1e-12


@given(positions, lengths, st.floats(0, 1), st.floats(0, 0.5), st.floats(0.2, 3))
def test_a_deeper_overhang_never_lights_more(where, depth, more, gap, height):
    p = sky(*where)
    short = g.sunlit_fraction(p, 180, 1.0, height, depth, gap)
    assert np.all(g.sunlit_fraction(p, 180, 1.0, height, depth + more, gap) <= short + 1e-12)
    assert g.overhang_sky_share(depth + more, gap, height) <= g.overhang_sky_share(depth, gap, height) + 1e-12


@given(positions, st.floats(0, 360), lengths, lengths)
def test_shadow_follows_the_bearing_only(where, turn, overhang, fin):
    p, q = sky(*where), sky(where[0], where[1] + turn)
    one = g.sunlit_fraction(p, 180, 1.0, 1.2, overhang, 0.1, fin, 0.1)
    two = g.sunlit_fraction(q, 180 + turn, 1.0, 1.2, overhang, 0.1, fin, 0.1)
    if abs(np.cos(np.radians(where[1] - 180))) > 1e-6:
        assert np.allclose(one, two, atol=1e-6)


@given(positions, st.floats(0, 60), st.floats(0, 30), st.floats(0, 90))
def test_higher_neighbours_never_let_more_in(where, horizon, more, tilt):
    p = sky(*where)
    assert np.all(g.above_horizon(p, horizon + more) <= g.above_horizon(p, horizon))
    assert g.horizon_sky_share(horizon + more, tilt) <= g.horizon_sky_share(horizon, tilt) + 1e-9
    assert g.horizon_sky_share(0.0, tilt) == 1.0


@given(names, positions, st.floats(0, 900), st.floats(0, 400))
@example(g.glazing_names()[0], (1.0, 0.0), 1.0, 2e-311)
def test_sun_entering_is_the_gain_coefficient_times_the_light(name, where, dni, dhi):
    """Light and inward heat together are SHGC(angle) x beam and mean x diffuse: nothing is lost."""
    p, row = sky(*where), g.glazing(name)
    light = sun.plane_irradiance(p, dni, dni * p.cos_zenith + dhi, dhi, 90, 180)
    whole = light.directional * g.shgc_at_angle(row, light.cos_incidence) + light.diffuse * row.shgc_diffuse
    assert np.allclose(g.transmitted(row, light).total, whole)


@given(st.floats(0, 200), st.floats(0.5, 6), st.floats(6.5, 10))
def test_inner_pane_release_gives_back_the_inward_part(inward, u_value, film):
    """A heat source at the inner surface splits between film and window as their conductances."""
    release = g.absorbed_at_inner_pane(inward, u_value, film)
    outward = 1 / (1 / u_value - 1 / film)
    assert np.isclose(release * film / (film + outward), inward)
