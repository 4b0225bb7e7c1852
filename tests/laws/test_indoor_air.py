"""Indoor humidity month by month: it follows people and air, and the water balance of the room finds the same."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.designer import dew_points
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import winter_humidity
from heatcalc.model.indoor_air import air_by_class, air_of_house
from heatcalc.model.outdoor_air import AirConditions
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.vapour import floating_indoor_temperature, saturation_pressure

DULUTH, HOUSTON = find_place("Duluth, MN"), find_place("Houston, TX")
LAWS = settings(max_examples=20, derandomize=True)


def air(*changes, place=DULUTH):
    return air_of_house(house_model(load_house(None, changes), place.elevation_m), place)


@LAWS
@given(st.floats(-40, 40), st.floats(15, 22), st.floats(23, 28))
def test_the_room_floats_between_its_set_points(outdoor, heated, cooled):
    indoor = floating_indoor_temperature(outdoor, heated, cooled)
    assert heated <= indoor <= cooled
    assert indoor <= floating_indoor_temperature(outdoor + 1, heated, cooled)
    assert floating_indoor_temperature(15.0, heated, cooled) == pytest.approx((heated + cooled) / 2)


@pytest.mark.parametrize("place", [DULUTH, HOUSTON], ids=["Duluth", "Houston"])
def test_more_people_or_less_air_is_damper_in_every_heated_month(place):
    plain = air(place=place)
    for changes in (["living.people=4"], ['ventilation.rate="12 cfm"'], ["living.plants=20"]):
        other = air(*changes, place=place)
        for a, b, outdoor in zip(plain.indoor_rh, other.indoor_rh, plain.outdoor_C, strict=True):
            assert b > a if outdoor < 20.0 else b >= a


def test_nobody_home_leaves_the_outdoor_water():
    empty = air("living.people=0", 'living.home="never"')
    assert np.allclose(empty.indoor_Pa, empty.outdoor_Pa)


def test_cooled_months_are_held():
    cooled = air(place=HOUSTON)
    assert all(rh <= 0.5 + 1e-9 for rh, t in zip(cooled.indoor_rh, cooled.outdoor_C, strict=True) if t >= 20.0)
    assert "held at 50%" in cooled.basis and "held at" not in air().basis


def test_the_rooms_water_balance_finds_the_same():
    """`winter_humidity` balances kilograms on the site's dry air; vapour pressures differ by how humid air is counted.

    p = W P/(0.622 + W) is read as linear in W by ISO 13788: at most W/0.622 = 2 % of the vapour pressure at W = 0.012.
    """
    home = house_model(load_house(), DULUTH.elevation_m)
    found = air_of_house(home, DULUTH)
    assert DULUTH.wind_mean_m_s
    january_and_february = DULUTH.wind_mean_m_s * np.array([1.02, 1.08])  # the months of tables/built_year_wind.csv
    pressure = float(moist_air.pressure_at_altitude(DULUTH.elevation_m))
    for month, wind in enumerate(january_and_february):
        outdoor, dew = DULUTH.monthly.mean_C[month], dew_points(DULUTH)[month]
        outside = float(moist_air.humidity_ratio_from_dew_point(min(dew, outdoor), pressure))
        conditions = AirConditions(found.indoor_C[month], outdoor, wind, 0.0, outside)
        balance = winter_humidity(home.air.inputs, conditions, living_day(home.house.living))
        assert found.indoor_rh[month] == pytest.approx(balance.relative, rel=0.02)


def test_no_dew_point_in_the_record_is_a_humid_night():
    blind = replace(DULUTH, monthly=replace(DULUTH.monthly, dew_point_C=None))
    assert np.allclose(air_by_class(blind, 21.0, 2).outdoor_Pa, saturation_pressure(np.array(DULUTH.monthly.min_C)))


def test_a_house_without_any_air_has_no_steady_humidity():
    home = house_model(load_house(), DULUTH.elevation_m)

    class Sealed:
        def moisture(self, delta, wind):
            return np.zeros(12)

    with pytest.raises(NoAnswer, match="no steady value"):
        air_of_house(replace(home, air=Sealed()), DULUTH)
