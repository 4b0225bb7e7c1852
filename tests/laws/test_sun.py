"""Laws of sunlight on planes and of the hand methods."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.physics.sun import sun, sun_day
from heatcalc.physics.zone import load_factor as lf
from heatcalc.physics.zone import time_series as ts

latitudes = st.floats(-65, 65)
days = st.integers(1, 365)
hours = st.floats(0, 24)
azimuths = st.floats(0, 360)
tilts = st.floats(0, 180)
light = st.floats(0, 1000)
skies = st.sampled_from(sorted(sun.SKIES))
day_of_heat = st.lists(st.floats(-500, 500), min_size=24, max_size=24)


def at(lat, day, hour):
    return sun.solar_position(lat, 0.0, 0.0, day, np.array([hour]))


@given(latitudes, days, hours, light, light, skies)
def test_horizontal_closes(lat, day, hour, dni, dhi, sky):
    """On the horizontal, beam x cosine and diffuse make the global (Perez caps its ratio below 5 deg)."""
    p = at(lat, day, hour)
    ghi = dni * np.maximum(p.cos_zenith, 0) + dhi
    parts = sun.plane_irradiance(p, dni, ghi, dhi, 0, 0, sky=sky)
    if sky != "perez" or not 0 < p.cos_zenith[0] < sun.HORIZON_COSINE:
        assert np.allclose(parts.total, ghi, atol=1e-6)
    else:
        assert np.all(parts.total <= ghi + 1e-6)


@given(latitudes, days, hours, tilts, azimuths, light, light, skies, st.floats(0, 1))
def test_nothing_is_negative(lat, day, hour, tilt, azimuth, dni, dhi, sky, albedo):
    p = at(lat, day, hour)
    parts = sun.plane_irradiance(p, dni, dni + dhi, dhi, tilt, azimuth, albedo, sky=sky)
    for part in (parts.beam, parts.circumsolar, parts.sky, parts.ground):
        assert np.all(part >= -1e-9)


@given(latitudes, days, hours, st.floats(0, 360), azimuths, light, light, skies)
def test_only_the_angle_between_sun_and_plane_matters(lat, day, hour, turn, azimuth, dni, dhi, sky):
    """Turning sun and plane together changes nothing."""
    p = at(lat, day, hour)
    turned = sun.SunPosition(p.altitude_deg, p.azimuth_deg + turn, p.cos_zenith, p.extraterrestrial)
    one = sun.plane_irradiance(p, dni, dni + dhi, dhi, 90, azimuth, sky=sky)
    two = sun.plane_irradiance(turned, dni, dni + dhi, dhi, 90, azimuth + turn, sky=sky)
    assert np.allclose(one.total, two.total, atol=1e-6)


@given(latitudes, days, st.floats(0, 12), azimuths)
def test_morning_mirrors_afternoon(lat, day, before_noon, azimuth):
    """In solar time an east-facing plane in the morning is its mirror image in the afternoon."""
    d, e0 = sun.declination_deg(day), sun.extraterrestrial_beam(day)
    am = sun.position_from_angles(lat, d, np.array([-15 * before_noon]), e0)
    pm = sun.position_from_angles(lat, d, np.array([15 * before_noon]), e0)
    assert np.allclose(sun.cos_incidence(am, 90, azimuth), sun.cos_incidence(pm, 90, -azimuth), atol=1e-9)


@given(latitudes, days)
def test_sun_is_up_only_between_sunrise_and_sunset(lat, day):
    p = sun.mid_hour_position(lat, 0.0, 0.0, day, np.arange(1.0, 25.0))
    edge = float(sun.sunset_hour_angle_deg(lat, sun.declination_fourier_deg(day)))
    up = (p.cos_zenith > 0).sum()
    assert 2 * edge / 15 - 1e-9 <= up + 0.2 and up <= 2 * edge / 15 + 2.2


@given(st.floats(0, 0.4), st.floats(0.3, 6), st.floats(55000, 101325), st.floats(0.01, 0.05))
def test_haze_takes_beam_away(aerosol, water, pressure, more):
    p = sun.solar_position(40, 0, 0, 172, np.arange(7.0, 18.0))
    clear, _ = sun_day.clear_sky_solis(p, aerosol, water, pressure)
    hazy, _ = sun_day.clear_sky_solis(p, aerosol + more, water, pressure)
    assert np.all(hazy < clear) and np.all(clear < p.extraterrestrial)


@given(st.floats(-30, 35), st.floats(0, 25), st.floats(0, 1), st.floats(0, 1))
def test_cloud_warms_the_sky_and_air_is_warmer(air, gap, one, two):
    less, more = sorted((one, two))
    sky = sun_day.sky_temperature_clark_allen_C
    assert sky(air, air - gap, less) <= sky(air, air - gap, more) + 1e-9
    assert sky(air, air - gap, more) <= air + 1e-9


@given(day_of_heat, st.floats(0, 1))
def test_a_day_of_heat_is_a_day_of_load(heat, share):
    """The series delays, it neither makes nor loses heat; a steady gain is a steady load."""
    own = ts.cooling_load(np.array(heat), share, ts.radiant_series("nonsolar"))
    assert np.isclose(own.sum(), np.sum(heat), atol=1e-6)
    assert np.allclose(ts.cooling_load(np.full(24, heat[0]), share, ts.radiant_series("nonsolar")), heat[0])


@given(day_of_heat)
def test_the_series_never_raises_a_peak(heat):
    own = ts.follow(ts.conduction_series("roof", "8"), heat)
    assert own.max() <= max(heat) + 1e-9 and own.min() >= min(heat) - 1e-9


@settings(max_examples=50)
@given(st.floats(20, 60), azimuths, st.floats(0, 2), st.floats(0, 0.5), st.floats(0.3, 2.4))
def test_overhang_never_raises_the_load_factor(lat, azimuth, depth, gap, height):
    c = lf.DesignDifferences(lat, 20, 9, 10)
    bare = lf.WindowOpening(name="w", azimuth_deg=azimuth, area_m2=1.0, height_m=height, u_value=1.7, shgc=0.3)
    shaded = lf.WindowOpening(
        name="w", azimuth_deg=azimuth, area_m2=1.0, height_m=height, u_value=1.7, shgc=0.3, overhang_m=depth, gap_above_m=gap
    )
    assert lf.opening_line(shaded, c).cooling_W <= lf.opening_line(bare, c).cooling_W + 1e-9


@given(st.floats(20, 60), st.floats(0, 180))
def test_left_and_right_of_south_get_the_same_peak(lat, off):
    assert np.allclose(lf.peak_irradiance(lat, 180 - off), lf.peak_irradiance(lat, 180 + off))


@given(st.floats(0.1, 1), st.floats(0, 1), st.floats(0, 1))
def test_darker_never_cools(u_value, one, two):
    light_, dark = sorted((one, two))
    low, high = (lf.opaque_cooling_factor("roof", u_value, 9, 10, a) for a in (light_, dark))
    assert low <= high
    assert sun_day.sol_air_C(30, 500, light_ / 17) <= sun_day.sol_air_C(30, 500, dark / 17)
