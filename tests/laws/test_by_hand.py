"""Small relations worked by hand or by quadrature: plain arithmetic, no source but the equation named in each function."""

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from heatcalc.physics.air import moist_air
from heatcalc.physics.shell import glazing, layers, vapour
from heatcalc.physics.shell.layers import Layer
from heatcalc.physics.sun import sun, sun_day
from heatcalc.physics.supply import electrics
from heatcalc.physics.unit import at_site, machine
from heatcalc.physics.year import interpolation, weather_statistics, year_hours
from heatcalc.physics.zone import load_factor, loss_line, nodes, time_series
from heatcalc.tables import rows


@pytest.mark.parametrize(
    "shape, share_at", [("rectangle", lambda s: 1.0), ("thick at apex", lambda s: 2 * (1 - s)), ("thin at apex", lambda s: 2 * s)]
)
@pytest.mark.parametrize("rest, most", [(0.5, 2.0), (3.0, 0.4)])
def test_a_tapers_u_is_the_mean_over_its_area(shape, share_at, rest, most):
    """ISO 6946 closed forms against the integral of 1/(R0 + s R1) over the area with that resistance."""
    mean, _ = quad(lambda s: share_at(s) / (rest + s * most), 0.0, 1.0)
    assert layers.tapered_u(rest, most, shape) == pytest.approx(mean, rel=1e-9)


def test_a_fitted_taper_gives_the_tapers_u():
    plain = (
        Layer(name="board", thickness_m=0.02, resistance_m2K_W=0.2),
        Layer(name="foam", thickness_m=0.05, resistance_m2K_W=1.5),
        Layer(name="sheet", thickness_m=0.01, resistance_m2K_W=0.1),
    )
    films = 0.14
    fitted = layers.with_fitted_taper(plain, 1, 2.0, "rectangle", films)
    assert [one.name for one in fitted] == ["board", "foam", "sheet"]
    assert (fitted[0], fitted[2]) == (plain[0], plain[2])
    rest = 0.2 + 1.5 + 0.1 + films
    assert 1.0 / (sum(one.resistance_m2K_W for one in fitted) + films) == pytest.approx(log(1 + 2.0 / rest) / 2.0)


def test_fasteners_by_hand():
    """0.8 x 50 W/mK x 12 mm2 x 4 a square metre / 0.1 m; halfway in counts half."""
    through = layers.fastener_penetration(50.0, 12e-6, 4.0, 0.12, 0.1)
    assert through == pytest.approx(0.8 * 50 * 12e-6 * 4 / 0.1)
    assert layers.fastener_penetration(50.0, 12e-6, 4.0, 0.05, 0.1) == pytest.approx(through / 2)


def test_layers_of_one_pattern_need_the_same_shares():
    pair = (
        (layers.Bridge(name="wood", share=0.1, resistance_m2K_W=0.3),),
        (layers.Bridge(name="wood", share=0.2, resistance_m2K_W=0.3),),
    )
    wall = tuple(Layer(name="cavity", thickness_m=0.1, resistance_m2K_W=2.0, bridges=b, pattern="studs") for b in pair)
    with pytest.raises(ValueError, match="same bridge shares"):
        layers.u_value(wall, 0.13, 0.04)


def test_mass_and_vapour_of_a_bridged_layer():
    layer = Layer(
        name="cavity",
        thickness_m=0.1,
        resistance_m2K_W=2.0,
        density_kg_m3=20.0,
        specific_heat_J_kgK=800.0,
        vapour_resistance_factor=3.0,
        bridges=(layers.Bridge(name="wood", share=0.25, resistance_m2K_W=0.8, density_kg_m3=500.0, specific_heat_J_kgK=1600.0),),
    )
    assert layer.mass_kg_m2 == pytest.approx((0.75 * 20 + 0.25 * 500) * 0.1)
    assert layer.heat_capacity_J_m2K == pytest.approx((0.75 * 20 * 800 + 0.25 * 500 * 1600) * 0.1)
    assert layer.sd_m == pytest.approx(0.3)


def test_a_windows_parts_by_hand():
    """1.0 x 1.5 m with a frame of 100 mm: glass 0.8 x 1.3, its edge 4.2 m."""
    u = glazing.simple_window_u(1.0, 1.5, 0.1, 1.1, 2.0, 0.06)
    assert u == pytest.approx((1.04 * 1.1 + 0.46 * 2.0 + 4.2 * 0.06) / 1.5)
    assert glazing.edge_share(1.0, 1.5, 0.1) == pytest.approx(0.46 / 1.5)


def test_bins_by_hand():
    """100 W/K, balance 15 C: 15 K x 1 h + 5 K x 2 h below, 5 K x 3 h + 15 K x 4 h above."""
    assert loss_line.bin_energy_kWh(100.0, 15.0, [0, 10, 20, 30], [1, 2, 3, 4]) == pytest.approx((2.5, 7.5))


def test_degree_days_of_a_month_without_spread():
    assert loss_line.month_degree_days(10.0, 0.0, 30, 18.0) == (240.0, 0.0)
    assert loss_line.month_degree_days(20.0, 0.0, 30, 18.0) == (0.0, 60.0)


def test_starting_one_load_at_a_time():
    assert electrics.starting_power([(500.0, 1500.0), (200.0, 900.0)]) == 1700.0
    assert electrics.starting_power([(500.0, 400.0)]) == 500.0
    assert electrics.starting_power([]) == 0.0
    assert electrics.battery_hours(3.6e6, 0.8, 0.9, 360.0) == pytest.approx(2.0)


def test_stations_by_hand():
    assert interpolation.effective_km(30.0, 200.0, 0.5, 0.2, 0.0) == pytest.approx(50.0)  # 3-4-5: 30 km and 200 m x 0.2 km/m
    assert interpolation.effective_km(0.0, 0.0, 0.5, 0.2, 100.0) == pytest.approx(50.0)
    assert interpolation.variogram_km(10.0, 40.0, 10.0) == pytest.approx(10.0 + 40.0 * (1.0 - np.exp(-1.0)))
    assert interpolation.at_height(10.0, 1000.0, 0.0065) == pytest.approx(3.5)


def test_altitude_statements_side_by_side():
    spread = at_site.spread(5000 * 0.3048)
    assert spread["air-cooled condensing unit"] == pytest.approx(0.97)
    assert spread["packaged unit, wet coil"] == pytest.approx(0.96)
    assert spread["condenser"] == pytest.approx(0.90)
    assert set(spread) == set(at_site.routes())


@pytest.mark.parametrize("metres, kPa", [(0, 101.325), (500, 95.461), (1000, 89.875), (1500, 84.556), (3000, 70.108)])
def test_standard_atmosphere(metres, kPa):
    """ASHRAE Handbook - Fundamentals ch. 1 Table 1, from memory; printed to 1 Pa."""
    assert moist_air.pressure_at_altitude(metres) / 1e3 == pytest.approx(kPa, abs=0.0005)


def test_the_sky_by_hand():
    """Clark and Allen at a dew point of 0 C and a clear sky; cloud warms it."""
    e = 0.787 + 0.764 * log(273.15 / 273)
    assert sun_day.sky_temperature_clark_allen_C(20.0, 0.0) == pytest.approx(e**0.25 * 293.15 - 273.15)
    assert sun_day.sky_temperature_clark_allen_C(20.0, 0.0, 1.0) > sun_day.sky_temperature_clark_allen_C(20.0, 0.0)


def test_window_sun_adds_up_and_defaults_to_an_open_window():
    row = glazing.glazing(glazing.glazing_names()[0])
    position = sun.SunPosition(np.array([40.0]), np.array([200.0]), np.array([np.sin(np.radians(40.0))]), np.array([1367.0]))
    light = sun.plane_irradiance(position, 700.0, 700.0 * position.cos_zenith + 90.0, 90.0, 90.0, 180.0)
    own = glazing.transmitted(row, light)
    assert own.total == pytest.approx(own.transmitted_beam + own.transmitted_diffuse + own.inward)
    assert own.inward[0] > 0
    open_ = glazing.transmitted(row, light, 1.0, 1.0, 1.0)
    assert (own.transmitted_beam, own.transmitted_diffuse, own.inward) == (
        open_.transmitted_beam,
        open_.transmitted_diffuse,
        open_.inward,
    )
    assert own.transmitted_diffuse == pytest.approx(light.diffuse * (row.shgc_diffuse - row.inward))


@pytest.mark.parametrize("name", glazing.glazing_names())
def test_inward_part_is_what_the_table_does_not_transmit(name):
    row, glass = next(r for r in rows("shgc_angle") if r["name"] == name), glazing.glazing(name)
    assert glazing.transmitted_part(glass, glazing.shgc_at_angle(glass, 1.0)) == pytest.approx(float(row["transmitted_0"]))


@given(st.floats(20, 60), st.floats(0, 359))
def test_bearings_go_round(latitude, azimuth):
    assert load_factor.peak_irradiance(latitude, azimuth + 360) == pytest.approx(load_factor.peak_irradiance(latitude, azimuth))
    assert load_factor.peak_irradiance(-latitude, azimuth) == load_factor.peak_irradiance(latitude, azimuth)


def test_outdoor_air_heats_in_one_line_and_cools_in_the_other():
    air = load_factor.AirFlow(0.01, 0.02, 0.02, 0.003)
    heating, cooling = load_factor.air_lines(air, load_factor.DesignDifferences(40.0, 30.0, 10.0, 12.0))
    assert heating.cooling_factor == cooling.heating_factor == 0.0
    assert (heating.amount, cooling.amount) == (0.01, 0.02)


def test_a_vapour_line_hangs_on_every_corner_of_saturation():
    """Two interfaces at saturation between the airs, the last one free: the lower hull, by hand."""
    sd = np.ones(4)
    line = vapour.vapour_pressures(sd, np.array([1000.0, 400.0, 300.0, 290.0, 300.0]), 900.0, 200.0)
    assert line == pytest.approx([900.0, 400.0, 300.0, 250.0, 200.0])


@pytest.mark.parametrize("perms, name", [(0.05, "I"), (0.11, "II"), (0.99, "II"), (1.01, "III"), (9.9, "III"), (10.1, "none")])
def test_retarder_classes(perms, name):
    """2021 IRC R702.7: I to 0.1, II to 1, III to 10 perm."""
    assert vapour.retarder_class(vapour.AIR_PERMEABILITY / (perms * vapour.PERM)) == name


def test_slabs_are_cut_no_finer_than_asked():
    resistance, sd, owner = vapour.divided([0.25, 0.26, 0.0], [1.0, 2.0, 3.0])
    assert owner.tolist() == [0, 1, 1, 2]
    assert resistance == pytest.approx([0.25, 0.13, 0.13, 0.0])
    assert sd == pytest.approx([1.0, 1.0, 1.0, 3.0])


def test_depth_of_the_dew_point_by_hand():
    """20 to 15 C through 10 mm, 15 to -5 C through 100 mm."""
    at = np.array([20.0, 15.0, -5.0])
    depth = [vapour.dew_point_depth([0.1, 2.0], [0.01, 0.1], at, dew) for dew in (21.0, 17.5, 15.0, 10.0, -6.0)]
    assert depth == [0.0, pytest.approx(0.005), pytest.approx(0.01), pytest.approx(0.01 + 0.1 * 0.25), None]


def test_factors_of_a_surface():
    assert vapour.temperature_factor(15.0, -5.0, 20.0) == pytest.approx(0.8)
    assert vapour.path_temperature_factor(2.0, 0.13, 0.25) == pytest.approx(1 - 0.25 / 2.12)
    assert vapour.needed_temperature_factor(1200.0, 19.6, 20.0) == 0.0
    assert vapour.needed_temperature_factor(100.0, 0.0, 20.0) == 0.0
    wet = vapour.needed_temperature_factor(1200.0, 0.0, 20.0)
    assert wet == pytest.approx(vapour.saturation_temperature(1500.0) / 20.0)


def test_records_beyond_the_countrys_are_not_believed():
    """Beyond 50.7 C or -62 C, even where neither median nor percentile speaks."""
    hot = np.full(480, 45.0)
    hot[100], hot[200] = 50.7, 50.8
    assert np.flatnonzero(weather_statistics.spikes(hot)).tolist() == [200]
    cold = np.full(480, -55.0)
    cold[100], cold[200] = -62.0, -62.1
    assert np.flatnonzero(weather_statistics.spikes(cold)).tolist() == [200]


def test_hours_that_go_with_a_design_value():
    dry = np.array([30.0, 30.5, 30.7, 29.5, 29.3])
    assert weather_statistics.coincident(dry, 30.0).tolist() == [True, True, False, True, False]
    assert weather_statistics.coincident(dry, 40.0).tolist() == [False, False, True, False, False]


def test_bins_leave_out_what_is_outside():
    assert weather_statistics.bin_hours([-1.0, 0.0, 1.99, 2.0, 5.99, 6.0], 0.0, 2.0, 3).tolist() == [2, 1, 1]


def test_placed_nodes_are_kept_unchangeable():
    between, stores = nodes.place_nodes((0.1, 2.0), (20e3, 4e3))
    for array in (between, stores):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0


@given(st.floats(0.01, 0.05), st.floats(20e3, 200e3))
def test_placed_nodes_keep_the_error_they_promise(error, capacity):
    resistance, store = (0.1, 1.5, 0.05), (capacity, 5e3, 0.5 * capacity)
    between, stores = nodes.place_nodes(resistance, store, error)
    assert between.sum() == pytest.approx(sum(resistance), abs=1e-5)
    assert stores.sum() == pytest.approx(sum(store))
    for period_s in (24 * 3600.0, 4 * 3600.0):
        exact = nodes._exact_matrix(resistance, store, period_s, 0.13, 0.04)
        cells = nodes._cell_matrix(between, stores, period_s, 0.13, 0.04)
        inside, ours = (-m[0, 0] / m[0, 1] for m in (exact, cells))
        assert abs(ours - inside) <= error * abs(inside) * (1 + 1e-9)


def test_calendar_of_the_year():
    """31 January ends with hour 744; every day has 24 hours."""
    assert weather_statistics.MONTH_OF_HOUR.size == weather_statistics.DAY_OF_HOUR.size == 8760
    assert weather_statistics.MONTH_OF_HOUR[[0, 743, 744, 8759]].tolist() == [1, 1, 2, 12]
    assert weather_statistics.DAY_OF_HOUR[[23, 24, 8759]].tolist() == [1, 2, 365]


@pytest.mark.parametrize(
    "latitude, elevation_m, cooling_K, month, said",
    [
        (20.0, 1999.0, 8.0, 7, ""),
        (-60.0, 0.0, 8.0, 7, ""),
        (19.9, 0.0, 8.0, 7, "latitude"),
        (60.1, 0.0, 8.0, 7, "latitude"),
        (40.0, 2000.0, 8.0, 7, "elevation"),
        (40.0, 0.0, 6.0, 7, "mean outdoor temperature"),
        (40.0, 0.0, 8.0, 8, "another month"),
    ],
)
def test_where_the_load_factors_hold(latitude, elevation_m, cooling_K, month, said):
    """ASHRAE Handbook - Fundamentals (2021) ch. 17 Table 1."""
    reasons = load_factor.out_of_range(
        load_factor.DesignDifferences(latitude, 30.0, cooling_K, 12.0), (), 20.0, elevation_m, month
    )
    assert len(reasons) == bool(said)
    assert said in "".join(reasons)


def test_neighbours_hide_the_sun_below_their_top():
    position = sun.SunPosition(np.array([10.0]), np.array([180.0]), np.array([np.sin(np.radians(10.0))]), np.array([1367.0]))
    assert [float(glazing.above_horizon(position, top)[0]) for top in (-5.0, 5.0, 15.0)] == [1.0, 1.0, 0.0]


def test_air_that_dries_a_surface_by_hand():
    """10 mg/s at 1.2 kg/m3 over the room between the surface's saturation and outdoors."""
    room = float(moist_air.saturated_humidity_ratio(12.0)) - 0.004
    assert moist_air.dry_surface_flow(1e-5, 0.004, 12.0, 1.2) == pytest.approx(1e-5 / (1.2 * room))
    assert moist_air.dry_surface_flow(0.0, 0.004, 12.0, 1.2) == 0.0
    assert moist_air.dry_surface_flow(0.0, 0.02, 12.0, 1.2) == float("inf")
    assert moist_air.dry_surface_flow(1e-5, 0.02, 12.0, 1.2) == float("inf")


def test_indoor_vapour_by_hand():
    """ISO 13788: a class's excess is full to 0 C and gone at 20 C; G R_v T / V."""
    assert [vapour.class_excess(t, 810.0) for t in (-5.0, 0.0, 10.0, 20.0, 25.0)] == [810.0, 810.0, 405.0, 0.0, 0.0]
    assert vapour.vapour_excess(1e-5, 0.01, 20.0) == pytest.approx(1e-5 * 461.5 * 293.15 / 0.01)


@pytest.mark.parametrize("openings, share", [(400, 0.0), (500, 0.0), (750, 0.25), (1000, 0.5), (1500, 1.0), (2000, 1.0)])
def test_a_cavity_between_still_and_vented(openings, share):
    assert layers.ventilated_share(openings) == pytest.approx(share)


def test_a_cubic_through_two_points_is_a_line():
    assert year_hours.pchip(np.array([0.0, 2.0]), np.array([1.0, 5.0]), np.array([0.5, 1.0])) == pytest.approx([2.0, 3.0])


def test_a_clear_sky_gives_nothing_below_the_horizon_and_hardly_anything_at_it():
    cosines = np.array([-0.3, 0.0, 5e-6, 1.0])
    at = np.degrees(np.arcsin(cosines))
    beam, diffuse = sun_day.clear_sky_solis(sun.SunPosition(at, 0 * at, cosines, np.full(4, 1367.0)), 0.1, 1.4)
    assert (beam[:2].tolist(), diffuse[:2].tolist()) == ([0.0, 0.0], [0.0, 0.0])
    assert 0.0 <= diffuse[2] < 0.01 and 0.0 <= beam[2] < 1.0
    assert beam[3] > 800.0 and 30.0 < diffuse[3] < 200.0


def test_the_months_of_moisture_make_a_year():
    assert sum(vapour.MONTH_S) == 365 * 86400.0
    assert [s / 86400.0 for s in vapour.MONTH_S] == list(weather_statistics.MONTH_DAYS)


@pytest.mark.parametrize("shgc, share", [(0.49, 0.46), (0.5, 0.46), (0.51, 0.33)])
def test_radiant_share_of_a_windows_gain(shgc, share):
    """ASHRAE Handbook - Fundamentals ch. 18 Table 14."""
    assert time_series.window_radiant_share(shgc) == share


def test_layers_without_mass_have_no_node():
    between, stores = nodes.place_nodes((0.4, 0.6), (0.0, 0.0))
    assert (between.tolist(), stores.size) == ([1.0], 0)
    between, stores = nodes.place_nodes((0.4, 0.2), (0.0, 1000.0), 0.5)
    assert stores.sum() == pytest.approx(1000.0) and np.all(stores > 0)
    assert between[0] > 0.4


def test_a_cycle_gives_off_what_it_takes_up_and_its_work():
    at = machine.cycle("R-32", 0.0, machine.saturation_pressure("R-32", 45.0), 5.0, 5.0, 0.65)
    assert at.cop_heating == pytest.approx(at.cop_cooling + 1.0)
    assert at.cop_cooling < 273.15 / 45.0


def test_a_skylight_has_no_shade_line():
    assert load_factor.shade_line_factor(40.0, None) == 0.0
    assert load_factor.shade_line_factor(40.0, 180.0) > 0.0


def test_clear_sun_by_hand():
    """910 x 0.5 - 30 = 425 W/m2; a sun of one degree gives nothing."""
    assert sun_day.clear_sun(np.array([0.5, 1.0, 0.02])) == pytest.approx([425.0, 880.0, 0.0])


@pytest.mark.parametrize(("cover", "let_through"), [(0.5, 1 - 0.75 * 0.5**3.4), (1.0, 0.1), (0.0, 1.3)])
def test_cloud_by_hand(cover, let_through):
    """G/G_clear = 1 - 0.75 N^3.4; less than a quarter is overcast all the same, more than clear is clear."""
    height = np.full(24, 0.5)
    assert sun_day.cloud_from_sun(let_through * 425.0 * np.ones(24), height) == pytest.approx(np.full(24, cover))


def test_days_of_hardly_any_sun_take_half_cover():
    """One hour of 199 or of 201 W/m2 of clear sun: the limit is 200."""
    for clear, cover in ((199.0, 0.5), (201.0, 1.0)):
        height = np.append((clear + 30.0) / 910.0, np.zeros(23))
        assert sun_day.cloud_from_sun(np.zeros(24), height) == pytest.approx(np.full(24, cover))


def test_cells_of_a_chain_by_hand():
    """A massless layer of 0.5 m2K/W before one of 1.0 m2K/W and 100 J/m2K in two, and one behind; a sheet of none."""
    between, stores = nodes.split((0.5, 1.0, 0.2), (0.0, 100.0, 0.0), [0, 2, 0])
    assert between == pytest.approx([0.75, 0.5, 0.45]) and stores == pytest.approx([50.0, 50.0])
    sheet, _ = nodes.split((0.0,), (100.0,), [1])
    assert sheet == pytest.approx([1e-6, 1e-6])


def test_placed_cells_by_hand():
    """No capacity, no node; cells go to the layer of the most R C / n2; sixty at the most; kept arrays stay as they are."""
    between, stores = nodes.place_nodes((0.5, 0.7), (0.0, 0.0))
    assert between == pytest.approx([1.2]) and len(stores) == 0
    _, stores = nodes.place_nodes((0.01, 1.0), (1e3, 1e5))
    assert stores[0] == pytest.approx(1e3) and len(stores) > 2 and stores[1:] == pytest.approx(1e5 / (len(stores) - 1))
    assert len(nodes.place_nodes((2.0,), (1e8,), 1e-12)[1]) == 60
    with pytest.raises(ValueError, match="read-only"):
        between[0] = 1.0


def test_admittances_of_a_plain_resistance():
    """Without capacity every admittance is 1/R; what leaves at one side comes in at the other."""
    assert nodes.admittances(nodes.layer_matrix(2.0, 0.0, 86_400.0)) == pytest.approx([0.5, -0.5, 0.5], abs=1e-12)
