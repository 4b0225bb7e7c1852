"""What must hold for any small house: air, moisture and gains move the right way and close."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.living import Living, living_day
from heatcalc.model.comfort import local_exhausts
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import InsideSurface, dehumidifier_need, winter_humidity
from heatcalc.model.outdoor_air import AirConditions, AirInputs, air_exchange, air_model, leakage_of
from heatcalc.physics.air import air_change, moist_air
from heatcalc.tables import rows

HOUSE = AirInputs(volume_m3=64.0, floor_area_m2=22.1, shell_area_m2=108.7, height_m=3.0, perimeter_m=22.25, ach50=7.0)
WINTER = AirConditions(21.0, -15.0, 5.0, 0.005, 0.001)
DRY = moist_air.humidity_ratio_from_relative(-5.0, 0.8)

dry_bulb = st.floats(-50, 55)
relative = st.floats(0.02, 1.0)
pressure = st.floats(70_000, 104_000)
ach50 = st.floats(0.2, 30)
cold = st.floats(-40, 15)
wind = st.floats(0, 20)


def changed(**fields):
    return dataclasses.replace(HOUSE, **fields)


@given(dry_bulb, relative, pressure)
def test_humidity_round_trips(t, rh, p):
    ratio = moist_air.humidity_ratio_from_relative(t, rh, p)
    assert moist_air.relative_humidity(t, ratio, p) == pytest.approx(rh, rel=1e-9)
    dew = moist_air.dew_point(ratio, p)
    assert moist_air.humidity_ratio_from_dew_point(dew, p) == pytest.approx(ratio, rel=1e-6)
    assert dew <= t + 1e-6


@given(st.floats(3, 55), relative, pressure)
def test_wet_bulb_lies_between_dew_point_and_dry_bulb(t, rh, p):
    ratio = moist_air.humidity_ratio_from_relative(t, rh, p)
    wet = moist_air.wet_bulb(t, ratio, p)
    assert moist_air.dew_point(ratio, p) - 1e-6 <= wet <= t + 1e-6
    if wet > 0.1 or wet < -0.5:  # between, both an iced and a wet wick satisfy the definition
        assert moist_air.humidity_ratio_from_wet_bulb(t, wet, p) == pytest.approx(ratio, abs=1e-7)


def test_arrays_equal_their_elements():
    t = np.linspace(-40, 45, 86)
    ratio = moist_air.humidity_ratio_from_relative(t, 0.6)
    for function in (moist_air.dew_point, moist_air.dew_point_of):
        assert function(ratio) == pytest.approx([function(w) for w in ratio], abs=1e-9)
    assert moist_air.wet_bulb(t, ratio) == pytest.approx(
        [moist_air.wet_bulb(a, w) for a, w in zip(t, ratio, strict=True)], abs=1e-9
    )


def test_air_that_boils_is_refused():
    with pytest.raises(ValueError, match="no dry air"):
        moist_air.saturated_humidity_ratio(100.0)


def test_driest_air_has_a_finite_dew_point():
    assert moist_air.dew_point(0.0) == pytest.approx(-100.0)


@given(ach50, ach50, cold, wind)
def test_more_leakage_never_lowers_the_heating_load(one, other, outdoor, metres):
    now = AirConditions(20.0, outdoor, metres)
    loads = [air_exchange(changed(ach50=a), now).sensible_W for a in sorted((one, other))]
    assert loads[0] <= loads[1] + 1e-9


@given(st.floats(0, 3000), st.floats(0, 3000))
def test_air_at_altitude_carries_less_heat(one, other):
    low, high = sorted((one, other))
    heat = [air_exchange(changed(elevation_m=z), WINTER).sensible_W for z in (low, high)]
    assert heat[1] <= heat[0]


@given(ach50, wind, st.floats(0.0005, 0.02))
def test_latent_is_zero_when_equally_dry(a, metres, ratio):
    now = AirConditions(24.0, 33.0, metres, ratio, ratio)
    assert air_exchange(changed(ach50=a), now).latent_W == 0.0


@given(st.floats(0, 1), st.floats(0, 1), cold, wind)
def test_recovery_never_raises_the_load(less, more, outdoor, metres):
    less, more = sorted((less, more))
    now = AirConditions(20.0, outdoor, metres)
    plain = changed(ventilation_kind="balanced", sensible_recovery=less)
    better = changed(ventilation_kind="balanced", sensible_recovery=more)
    assert air_exchange(better, now).sensible_W <= air_exchange(plain, now).sensible_W + 1e-9
    assert air_exchange(better, now).sensible_W >= 0


@given(wind, wind, st.floats(0, 60), st.floats(0, 60))
def test_wind_and_cold_never_lower_the_flow(u, v, dt, du):
    model = air_model(HOUSE)
    slow, fast, mild, hard = *sorted((u, v)), *sorted((dt, du))
    assert model.leak(mild, slow) <= model.leak(hard, fast) + 1e-12
    assert model.leak(hard, fast) <= model.leak(hard, 0.0) + model.leak(0.0, fast) + 1e-12


def test_shelter_only_ever_helps():
    flows = [float(air_model(changed(shelter=s)).leak(20.0, 5.0)) for s in range(1, 6)]
    assert flows == sorted(flows, reverse=True)


@pytest.mark.parametrize("height, storeys", [(2.0, 1.0), (2.5, 1.0), (3.75, 1.5), (5.0, 2.0), (9.0, 3.0)])
def test_storeys_of_a_room_by_hand(height, storeys):
    assert air_change.storeys_of(height) == pytest.approx(storeys)


def test_a_lofted_room_lies_halfway_between_the_columns():
    """ASHRAE Handbook - Fundamentals (2021) ch. 16 Tables 7-9, with a flue, raised: means of the printed columns 1 and 2."""
    k = air_change.enhanced_coefficients(1.5, 3, True, True)
    assert (k.stack, k.wind, k.shelter, k.speed_multiplier) == pytest.approx(
        ((0.069 + 0.089) / 2, (0.128 + 0.142) / 2, (0.86 + 0.81) / 2, (0.48 + 0.59) / 2)
    )
    assert air_change.basic_coefficients(2.5, 1) == pytest.approx(((0.000290 + 0.000435) / 2, (0.000420 + 0.000494) / 2))
    with pytest.raises(ValueError, match="1 to 3 storeys"):
        air_change.enhanced_coefficients(3.5, 3)


@pytest.mark.parametrize("word, shelter", [("exposed", 1), ("open", 2), ("normal", 3), ("built-up", 4), ("sheltered", 5)])
def test_a_house_file_reaches_every_row_and_column(word, shelter):
    house = load_house(None, [f"air.shelter={word}", "air.flue=true", "air.flow_exponent=0.7", "body.wall_height=13 ft"])
    model = house_model(house)
    said = model.air.inputs
    height = (
        model.shell.height_m
        - max(p.thickness_m for p in model.opaque if p.kind == "floor")
        - max(p.thickness_m for p in model.opaque if p.kind == "roof")
    )
    assert (said.shelter, said.flue, said.flow_exponent) == (shelter, True, 0.7)
    assert said.storeys == pytest.approx(height / 2.5)
    assert model.air.coefficients == air_change.enhanced_coefficients(said.storeys, shelter, True, True)


def test_a_year_of_hours_equals_single_hours():
    model, hours = air_model(HOUSE), np.linspace(0, 1, 50)
    outdoor, blowing = 40 * hours - 20, 12 * hours
    flows = model.sensible(21.0 - outdoor, blowing)
    for i in (0, 17, 49):
        single = air_exchange(HOUSE, AirConditions(21.0, outdoor[i], blowing[i]))
        assert flows[i] == pytest.approx(single.sensible_m3_s, rel=1e-12)


def test_leakage_said_three_ways_is_one_leakage():
    flow = 7.0 * 64.0 / 3600
    assert leakage_of(changed(ach50=None, flow_50_m3_s=flow)).area_m2 == pytest.approx(leakage_of(HOUSE).area_m2)
    with pytest.raises(InputError, match="say it once"):
        leakage_of(changed(leakage_class="good"))
    with pytest.raises(InputError, match='did you mean "average"'):
        leakage_of(changed(ach50=None, leakage_class="averge"))


def test_unmeasured_leakage_says_so_and_shows_a_range():
    air = air_exchange(changed(ach50=None), WINTER)
    assert not air.leakage.measured
    assert "fan test" in air.why
    assert air.used.low_m3_s < air.used.flow_m3_s < air.used.high_m3_s
    assert air.leakage.mark.startswith("derived")


def test_a_tight_house_without_a_leak_still_breathes_through_its_fan():
    air = air_exchange(changed(ach50=0.0), WINTER)
    assert air.total_m3_s == pytest.approx(air.ventilation.fan_m3_s)


@given(st.integers(1, 4), ach50, ach50)
def test_more_outdoor_air_never_makes_winter_air_wetter(people, one, other):
    tight, loose = sorted((one, other))
    now, day = AirConditions(21.0, -5.0, 4.0, 0.0, DRY), living_day(Living(people=people))
    damp, dry = (winter_humidity(changed(ach50=a), now, day) for a in (tight, loose))
    assert dry.relative <= damp.relative + 1e-12
    assert dry.co2_night_ppm <= damp.co2_night_ppm + 1e-9


def test_nobody_home_leaves_outdoor_humidity():
    empty = living_day(Living(people=0))
    answer = winter_humidity(HOUSE, AirConditions(21.0, -5.0, 4.0, 0.0, DRY), empty)
    assert empty.latent_W.max() == 0.0
    assert answer.humidity_ratio == pytest.approx(DRY)


def test_dry_flow_decides_whether_a_surface_is_dry():
    now, day = AirConditions(21.0, -5.0, 4.0, 0.0, DRY), living_day(Living())
    answer = winter_humidity(HOUSE, now, day, tuple(InsideSurface(f"{t} C", float(t)) for t in range(-8, 20, 2)))
    for surface in answer.surfaces:
        assert surface.dry == (surface.dry_flow_m3_s < answer.flow_m3_s)
        assert surface.mould_flow_m3_s >= surface.dry_flow_m3_s
    assert answer.driest_flow_m3_s == math.inf  # -8 C is below the dew point outside


def test_no_air_has_no_steady_humidity():
    sealed = changed(ach50=0.0, ventilation_kind="none")
    with pytest.raises(NoAnswer, match="without outdoor air"):
        winter_humidity(sealed, AirConditions(21.0, -5.0, 0.0, 0.0, DRY), living_day(Living()))


@given(st.floats(0, 2e-4), st.floats(0, 2e-4))
def test_a_dehumidifier_fills_what_the_unit_leaves(less, more):
    less, more = sorted((less, more))
    air = air_exchange(HOUSE, AirConditions(24.0, 30.0, 3.0, 0.010, 0.016))
    small, large = (dehumidifier_need(air, 24.0, 0.016, 4e-5, removal) for removal in (less, more))
    assert large.shortfall_kg_s <= small.shortfall_kg_s
    assert large.relative_without <= small.relative_without
    if small.shortfall_kg_s > 0:
        exact = dehumidifier_need(air, 24.0, 0.016, 4e-5, less + small.shortfall_kg_s)
        assert exact.relative_without == pytest.approx(0.55, abs=1e-6)


@given(
    st.integers(0, 6),
    st.sampled_from(["electric", "propane", "none"]),
    st.sampled_from(["elsewhere", "vented dryer", "drying indoors"]),
)
def test_terms_add_up_to_the_day(people, cooking, laundry):
    day = living_day(Living(people=people, cooking=cooking, laundry=laundry))
    assert day.moisture_kg_s == pytest.approx(sum(t.moisture_kg_s for t in day.terms))
    assert day.sensible_radiant_W == pytest.approx(sum(t.radiant_W for t in day.terms))
    assert day.latent_W == pytest.approx(2.43e6 * day.moisture_kg_s)
    assert all(t.source and t.mark for t in day.terms)


def test_same_statement_same_bytes():
    one, other = living_day(Living()), living_day(Living())
    assert one.sensible_convective_W.tobytes() == other.sensible_convective_W.tobytes()


TABLES = [
    "moist_air",
    "leakage_classes",
    "infiltration_basic",
    "infiltration_enhanced",
    "shelter_classes",
    "infiltration_design_factor",
    "air_exchange_measured",
    "ventilation_rates",
    "ventilation_table",
    "local_exhaust",
    "occupant_heat",
    "moisture_sources",
    "appliances",
    "living_profiles",
]


@pytest.mark.parametrize("name", TABLES)
def test_every_row_names_its_source(name):
    for row in rows(name):
        assert row["source"].strip() and row["mark"].strip(), row
        assert None not in row, row


def test_a_hood_pulls_harder_in_a_tighter_house():
    tight, loose = (local_exhausts(changed(ach50=a)) for a in (1.0, 10.0))
    for one, other in zip(tight, loose, strict=True):
        assert one.pressure_Pa > other.pressure_Pa
        assert one.mean_m3_s == other.mean_m3_s < one.flow_m3_s
    hood = next(e for e in tight if e.name == "range hood")
    assert hood.needs_make_up  # 100 cfm in a shell of 38 cfm50 pulls far more than 50 Pa
    assert hood.pressure_Pa > 50


def test_the_wettest_hour_is_wetter_than_the_mean():
    now = AirConditions(21.0, -5.0, 4.0, 0.0, DRY)
    lively, quiet = living_day(Living()), living_day(Living(people=0, plants=20))
    answer = winter_humidity(HOUSE, now, lively)
    assert answer.relative < answer.peak_relative <= 1.0
    even = winter_humidity(HOUSE, now, quiet)
    assert even.peak_relative == pytest.approx(even.relative, rel=1e-6)


def test_an_unvented_flame_brings_water_and_a_caution():
    now = AirConditions(21.0, -5.0, 4.0, 0.0, DRY)
    plain = winter_humidity(HOUSE, now, living_day(Living()))
    flame = winter_humidity(HOUSE, now, living_day(Living.model_validate({"unvented_heater": "10 kBtu/h"}), winter=True))
    assert flame.generation_kg_s == pytest.approx(plain.generation_kg_s + 8.22 / 86_400, rel=0.01)
    assert any("CO alarm" in note for note in flame.notes)
    assert not any("CO alarm" in note for note in plain.notes)
