"""Moist air beside two independent property libraries; the handbook's tables and examples are in heatcalc/checks/air.json."""

import numpy as np
import pytest

from heatcalc.physics.air import moist_air as air

# ASHRAE Handbook - Fundamentals 2021 ch. 1: errors of the perfect-gas relations stay below 0.7 % near sea level
PERFECT_GAS = 0.007
STATES = [(t, rh, p) for t in (-25.0, -5.0, 0.5, 12.0, 24.0, 38.0) for rh in (0.1, 0.5, 0.95) for p in (101325.0, 79495.0)]


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
    assert air.humidity_ratio_from_relative(t, rh, p) < real  # no enhancement factor: always a little less water
    volume = CoolProp.HAPropsSI("Vda", "T", t + 273.15, "R", rh, "P", p)
    assert air.specific_volume(t, real, p) == pytest.approx(volume, rel=0.002)


def test_saturation_pressure_of_water():
    # IAPWS-95 through CoolProp; Hyland and Wexler's form is within 0.03 % of it between 0.01 and 60 C
    CoolProp = pytest.importorskip("CoolProp.CoolProp")
    warm = np.array([0.02, 5.0, 20.0, 40.0, 60.0])
    steam = np.array([CoolProp.PropsSI("P", "T", t + 273.15, "Q", 0, "Water") for t in warm])
    assert np.max(np.abs(air.saturation_pressure(warm) / steam - 1)) < 3e-4
