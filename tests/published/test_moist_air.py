"""Moist air against the handbook's tables and two independent property libraries."""

import csv
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics import moist_air as air

DATA = Path(__file__).parent / "data"


def _table(name):
    lines = [line for line in (DATA / name).read_text().splitlines() if not line.startswith("#")]
    return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(lines)]


SATURATED = _table("moist_air_saturated.csv")
# ASHRAE Handbook - Fundamentals 2021 ch. 1: errors of the perfect-gas relations stay below 0.7 % near sea level
PERFECT_GAS = 0.007


@pytest.mark.parametrize("row", SATURATED, ids=lambda r: f"{r['t_C']:g}C")
def test_saturated_air_table_2(row):
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Table 2; perfect-gas agreement stated by the chapter
    t = row["t_C"]
    ratio = air.saturated_humidity_ratio(t)
    assert ratio == pytest.approx(row["W_kg_kg"], rel=PERFECT_GAS)
    assert ratio < row["W_kg_kg"]  # without the enhancement factor the air always holds a little less
    assert air.specific_volume(t, ratio) == pytest.approx(row["v_m3_kg"], rel=PERFECT_GAS)
    # what 0.7 % of the water carries, and half of the last digit of 1.006 kJ/kgK
    allowed = PERFECT_GAS * row["W_kg_kg"] * (2501 + 1.86 * t) + 0.0005 * abs(t) + 0.0005
    assert air.enthalpy(t, ratio) / 1e3 == pytest.approx(row["h_kJ_kg"], abs=allowed)


@pytest.mark.parametrize("row", SATURATED, ids=lambda r: f"{r['t_C']:g}C")
def test_dry_air_table_2(row):
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Table 2, dry-air columns; air at 1 bar is up to 0.1 % denser
    # than a perfect gas, and half of the last digit of 1.006 kJ/kgK is allowed on the enthalpy
    assert air.specific_volume(row["t_C"], 0.0) == pytest.approx(row["v_dry_m3_kg"], rel=0.001)
    assert air.enthalpy(row["t_C"], 0.0) / 1e3 == pytest.approx(row["h_dry_kJ_kg"], abs=0.0005 * abs(row["t_C"]) + 0.0005)


ALTITUDE = [(-500, 107.478), (0, 101.325), (500, 95.461), (1000, 89.875), (1500, 84.556), (2000, 79.495),
            (2500, 74.682), (3000, 70.108), (4000, 61.640), (5000, 54.020), (6000, 47.181), (7000, 41.061),
            (8000, 35.600), (9000, 30.742), (10000, 26.436)]


@pytest.mark.parametrize("metres, kPa", ALTITUDE)
def test_pressure_at_altitude(metres, kPa):
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Table 1 and eq. 3, printed to 0.001 kPa
    assert air.pressure_at_altitude(metres) / 1e3 == pytest.approx(kPa, abs=0.0005 + 1e-9)


def test_chart_example_1():
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Example 1: 40 C dry bulb, 20 C wet bulb; chart readings, half of
    # the last digit printed except enthalpy and dew point, where the chart is read to half a division
    ratio = air.humidity_ratio_from_wet_bulb(40.0, 20.0)
    assert ratio * 1e3 == pytest.approx(6.5, abs=0.1)
    assert air.enthalpy(40.0, ratio) / 1e3 == pytest.approx(56.7, abs=0.25)
    assert air.dew_point(ratio) == pytest.approx(7, abs=0.5)
    assert air.relative_humidity(40.0, ratio) == pytest.approx(0.14, abs=0.005)
    assert air.specific_volume(40.0, ratio) == pytest.approx(0.896, abs=0.0005)


def test_heating_example_2():
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Example 2: 10 m3/s saturated at 2 C heated to 40 C, 490 kW;
    # a reading of 0.25 kJ/kg at each state is 6 kW
    ratio = air.saturated_humidity_ratio(2.0)
    flow = 10 / air.specific_volume(2.0, ratio)
    heat = flow * (air.enthalpy(40.0, ratio) - air.enthalpy(2.0, ratio)) / 1e3
    assert heat == pytest.approx(490, abs=6)


def test_cooling_example_3():
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 1 Example 3: 5 m3/s, 30 C 50 % to saturated 10 C, 197 kW; a reading
    # of 0.25 kJ/kg at each state is 3 kW
    before, after = air.humidity_ratio_from_relative(30.0, 0.5), air.saturated_humidity_ratio(10.0)
    drained = (before - after) * 4186 * 10.0
    drop = air.enthalpy(30.0, before) - air.enthalpy(10.0, after) - drained
    assert 5 / air.specific_volume(30.0, before) * drop / 1e3 == pytest.approx(197, abs=3)


STATES = [(t, rh, p) for t in (-25.0, -5.0, 0.5, 12.0, 24.0, 38.0) for rh in (0.1, 0.5, 0.95)
          for p in (101325.0, 79495.0)]


@pytest.fixture(scope="module")
def perfect_gas_library():
    """Set to SI once: with numba at hand every setting compiles the library anew."""
    library = pytest.importorskip("psychrolib")
    library.SetUnitSystem(library.SI)
    return library


@pytest.mark.parametrize("t, rh, p", STATES)
def test_against_the_perfect_gas_library(t, rh, p, perfect_gas_library):
    # PsychroLib 2.5 (ASHRAE Fundamentals 2017 ch. 1, same equations): rounding only; its wet bulb stops at 0.001 K
    other = perfect_gas_library
    ratio = air.humidity_ratio_from_relative(t, rh, p)
    assert ratio == pytest.approx(other.GetHumRatioFromRelHum(t, rh, p), rel=1e-6)
    assert air.dew_point(ratio, p) == pytest.approx(other.GetTDewPointFromRelHum(t, rh), abs=0.002)
    assert air.enthalpy(t, ratio) == pytest.approx(other.GetMoistAirEnthalpy(t, ratio), rel=1e-9, abs=1e-6)
    assert air.density(t, ratio, p) == pytest.approx(other.GetMoistAirDensity(t, ratio, p), rel=1e-5)
    assert air.wet_bulb(t, ratio, p) == pytest.approx(other.GetTWetBulbFromRelHum(t, rh, p), abs=0.002)


@pytest.mark.parametrize("t, rh, p", STATES)
def test_against_real_gas(t, rh, p):
    # CoolProp real-gas moist air; the perfect-gas form may differ by 0.7 % (ASHRAE Fundamentals 2021 ch. 1)
    CoolProp = pytest.importorskip("CoolProp.CoolProp")
    real = CoolProp.HAPropsSI("W", "T", t + 273.15, "R", rh, "P", p)
    assert air.humidity_ratio_from_relative(t, rh, p) == pytest.approx(real, rel=PERFECT_GAS)
    volume = CoolProp.HAPropsSI("Vda", "T", t + 273.15, "R", rh, "P", p)
    assert air.specific_volume(t, real, p) == pytest.approx(volume, rel=0.002)


def test_saturation_pressure_of_water():
    # IAPWS-95 through CoolProp; Hyland and Wexler's form is within 0.03 % of it between 0.01 and 60 C
    CoolProp = pytest.importorskip("CoolProp.CoolProp")
    warm = np.array([0.02, 5.0, 20.0, 40.0, 60.0])
    steam = np.array([CoolProp.PropsSI("P", "T", t + 273.15, "Q", 0, "Water") for t in warm])
    assert np.max(np.abs(air.saturation_pressure(warm) / steam - 1)) < 3e-4
