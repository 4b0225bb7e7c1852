"""What must hold for any house: leaks, colours, shades, height, dryness; and that the hand methods close."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.answers.methods.design_loads import pick_up
from heatcalc.answers.methods.envelope_rules import code_rows, screening
from heatcalc.answers.methods.hand_method import hand_load_factor, loss_sheet, sheet_air_W
from heatcalc.answers.methods.side_by_side import compare, kept_share, year_check
from heatcalc.answers.methods.time_series_house import MethodOutside, hand_time_series, own_series
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model.designer import cooling_days, design_day, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.shell.dynamics import characteristics

few = settings(max_examples=8)


@cache
def place(name="Burlington, VT"):
    return find_place(name)


def made(*changes, package=None, elevation_m=None, where="Burlington, VT"):
    house = load_house(None, ["site.front_faces=north", *changes], package)
    height = place(where).elevation_m if elevation_m is None else elevation_m
    return designer_of(house_model(house, height), place(where))


def july(d):
    return cooling_days(d, [7], ["north"])[0]


@few
@given(st.floats(0.5, 15.0), st.floats(1.0, 2.0))
def test_more_leakage_never_lowers_a_heating_load(ach50, more):
    tight, leaky = (made(f"air.tightness={x:.3f} ACH50") for x in (ach50, ach50 * more))
    assert leaky.heating().load_W >= tight.heating().load_W - 1e-9
    assert hand_load_factor(leaky).heating_total_W >= hand_load_factor(tight).heating_total_W - 1e-9
    assert sheet_air_W(leaky) >= sheet_air_W(tight) - 1e-9


@few
@given(st.floats(0.1, 0.9), st.floats(0.0, 0.08))
def test_darker_siding_never_lowers_cooling(colour, more):
    light, dark = (made(f"colours.siding={x:.3f}") for x in (colour, colour + more))
    assert july(dark).peak_sensible_W >= july(light).peak_sensible_W - 1e-6
    days = [hand_time_series(d, july(d)).cooling_total_W for d in (light, dark)]
    assert days[1] >= days[0] - 1e-6


def shaded_by(overhang, shade):
    d = made()
    said = {"overhang": overhang, "inside_shade": shade}
    windows = tuple(replace(w, placed=replace(w.placed, opening=w.said.model_copy(update=said))) for w in d.model.windows)
    return replace(d, model=replace(d.model, windows=windows), conditions=d.conditions)


@settings(max_examples=4)
@given(st.floats(0.0, 1.5), st.floats(0.3, 0.99), st.floats(0.5, 1.0))
def test_shading_never_raises_cooling(overhang, shade, more):
    """Shade against shade: the time series takes beam behind any inside shade for half convective, higher at once."""
    less, most = shaded_by(0.0, shade), shaded_by(overhang, shade * more)
    before, after = july(less), july(most)
    assert after.peak_sensible_W <= before.peak_sensible_W + 1e-6
    assert hand_time_series(most, after).cooling_total_W <= hand_time_series(less, before).cooling_total_W + 1e-6
    assert hand_load_factor(most).cooling_total_W <= hand_load_factor(less).cooling_total_W + 1e-6
    assert after.peak_sensible_W <= july(made()).peak_sensible_W + 1e-6


@few
@given(st.floats(0.0, 2500.0), st.floats(10.0, 1000.0))
def test_air_at_altitude_carries_less_heat(low, rise):
    below, above = (made(elevation_m=x) for x in (low, low + rise))
    assert sheet_air_W(above) < sheet_air_W(below)
    for of in (lambda d: hand_load_factor(d).heating_W, lambda d: {"outdoor air": d.heating().components_W["infiltration"]}):
        assert of(above)["outdoor air"] < of(below)["outdoor air"]


def test_latent_is_nil_when_equally_dry_and_nobody_is_home():
    nobody = ["living.people=0", "living.cooking=none"]
    from heatcalc.physics.air import moist_air

    d = made(*nobody)
    points, pressure = d.model.house.set_points, moist_air.pressure_at_altitude(d.conditions.elevation_m)
    inside = moist_air.humidity_ratio_from_relative(points.cooling, points.cooling_humidity, pressure)
    wet = float(moist_air.wet_bulb(d.conditions.cooling_1_C, inside, pressure))
    equal = replace(d, conditions=replace(d.conditions, cooling_1_mcwb_C=wet))
    hottest = int(np.argmax(d.place.monthly.dew_point_C)) + 1
    assert cooling_days(equal, [hottest], ["north"])[0].latent_W.max() == pytest.approx(0.0, abs=0.05)
    assert cooling_days(made(), [hottest], ["north"])[0].latent_W.max() > 50.0  # people and moist air otherwise


def test_hand_methods_close_and_name_the_same_components():
    d = made()
    hand, series = hand_load_factor(d), hand_time_series(d)
    assert series.cooling_total_W == pytest.approx(series.hourly_W.max())
    assert sum(r.loss_W for r in loss_sheet(d)) + sheet_air_W(d) == pytest.approx(series.heating_total_W)
    assert series.heating_total_W == pytest.approx(d.heating().hand_check_W, rel=1e-9)
    net = set(d.cooling.components_W)
    assert set(hand.cooling_W) == set(series.cooling_W) == net


@few
@given(st.sampled_from(["Breeze", "Hearth"]))
def test_own_conduction_series_keeps_heat_damping_and_lag(package):
    for part in made(package=package).model.opaque:
        series = own_series(part)
        assert series.sum() == pytest.approx(1.0, abs=1e-9)
        if sum(part.body.capacity) > 0:
            day, known = (
                np.fft.fft(series)[1],
                characteristics(part.body.resistance, part.body.capacity, part.r_inside, part.r_outside),
            )
            assert abs(day) == pytest.approx(known.decrement_factor, abs=1e-9)
            assert -np.angle(day) * 24 / (2 * np.pi) == pytest.approx(known.time_lag_h, abs=1e-9)


def test_a_higher_outside_film_lowers_the_time_series():
    d = made()
    peaks = [hand_time_series(d, july(d), MethodOutside(film)).cooling_total_W for film in (12.0, 17.0, 25.0)]
    assert peaks == sorted(peaks, reverse=True)


def test_the_kept_share_of_light_lies_between_nil_and_one_and_grows_with_insulation():
    breeze, hearth = (kept_share(made(package=p)) for p in ("Breeze", "Hearth"))
    assert 0.5 < breeze < hearth < 1.0


def test_every_noticed_difference_gets_a_sentence():
    compared = compare(made())
    peak = compared.designer.cooling.peak_sensible_W
    for row in compared.cooling:
        if abs(row.load_factor_W - row.network_W) > 0.03 * peak:
            assert any(f"load factor, {row.component}:" in s for s in compared.sentences)


@few
@given(st.floats(-30.0, -5.0))
def test_the_house_over_open_air_loses_most_in_the_cold(cold_C):
    """In mild weather the frozen ground of the coldest month may be the colder of the two."""
    loads = {kind: made(f"below.kind={kind}").heating(cold_C).load_W for kind in ("open air", "skirted", "slab")}
    assert loads["open air"] >= loads["skirted"] - 1e-6


def test_a_warm_layer_under_the_roof_costs_heat():
    without, with_ = (made("loft.area=4 m2", f"loft.warmer_by={k} K") for k in (0, 4))
    assert with_.heating().load_W > without.heating().load_W
    assert sum(r.loss_W for r in loss_sheet(with_)) > sum(r.loss_W for r in loss_sheet(without))


def test_more_heat_warms_sooner_and_too_little_never():
    unit = load_units()["G12-C-230"]
    ways = {w.source: w for w in pick_up(made(), unit).ways}
    alone, both, heater = ways["G12-C-230 alone"], ways["G12-C-230 and one 1,500 W heater"], ways["one 1,500 W heater alone"]
    assert both.air_h < alone.air_h and heater.air_h is None
    assert heater.heat_W < made().heating().load_W
    assert all(w.felt_after_air_C is None or w.felt_after_air_C < (68 - 32) / 1.8 for w in ways.values())


def test_pick_up_from_the_goal_takes_no_time():
    goal = 18.0
    ways = pick_up(made(), load_units()["G24-C-230"], start_C=goal, goal_C=goal).ways
    assert ways[0].air_h <= 0.05


def test_screening_follows_insulation_and_heat():
    unit = load_units()["G12-C-230"]
    breeze, hearth = (screening(made(package=p), unit) for p in ("Breeze", "Hearth"))
    assert hearth.u_overall < breeze.u_overall
    for s in (breeze, hearth):
        alone, both, heater = s.held
        assert both.network_C <= alone.network_C and alone.network_C < heater.network_C
        assert s.meets is (s.u_overall <= dict(s.limits)[s.zone])
    assert hearth.held[2].network_C < breeze.held[2].network_C


def test_the_energy_code_rows_are_area_weighted():
    d = made()
    rows = {r.part: r for r in code_rows(d)}
    assert set(rows) == {"window", "roof", "wall", "floor"}
    lowest, highest = (f(w.u_value for w in d.model.windows) for f in (min, max))
    assert lowest - 1e-12 <= rows["window"].u_value <= highest + 1e-12


def test_the_year_by_hand_grows_with_cold_and_bins_agree_with_degree_days():
    north, south = (year_check(made(where=w)) for w in ("Burlington, VT", "Houston, TX"))
    assert north.degree_day_kWh > south.degree_day_kWh > 0
    assert north.bin_kWh == pytest.approx(north.degree_day_kWh, rel=0.1)


def test_the_mean_day_is_no_hotter_than_the_design_day():
    d = made()
    assert design_day(d, 7).dry_bulb_C.max() >= d.place.monthly.max_C[6] - 1e-9
