"""Rates of small houses, fans with leaks, recovery and loads; the standards' own numbers are in heatcalc/checks/air.json."""

import pytest

from heatcalc.checks.published import all_checks
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.air.air_change import CFM, SQUARE_FOOT

LITRE_S = 1e-3


@pytest.mark.parametrize("square_feet, cfm", [(160, 19.8), (200, 21.0), (300, 24.0), (400, 27.0)])
def test_rate_of_small_houses(square_feet, cfm):
    # ASHRAE 62.2: 0.03 A + 7.5 (1 + 1); the table stays at 30 cfm under 500 ft2 (62.2-2016 Table 4.1, reprint)
    area = square_feet * SQUARE_FOOT
    assert air_change.required_rate("62.2", area, 1) / CFM == pytest.approx(cfm, abs=0.05)
    assert air_change.tabulated_rate(area, 1) / CFM == pytest.approx(30)


@pytest.mark.parametrize("check", [c for c in all_checks() if c.id.startswith("table as formula")], ids=lambda c: c.id)
def test_table_at_the_top_of_each_band(check):
    # ANSI/ASHRAE 62.2-2016 Table 4.1 (reprinted in an installation manual, maker not named), rounded up to 1 cfm
    said = check.inputs
    rate = air_change.tabulated_rate(said["floor_ft2"] * SQUARE_FOOT, said["bedrooms"])
    assert rate / CFM == pytest.approx(float(check.printed))


def test_table_ends():
    with pytest.raises(ValueError, match="2000 ft2"):
        air_change.tabulated_rate(3000 * SQUARE_FOOT, 1)


@pytest.mark.parametrize(
    "leak, unbalanced, quadrature, residential", [(10, 10, 14.1, 15.0), (20, 5, 20.6, 22.5), (5, 20, 20.6, 20.0)]
)
def test_two_rules_for_fan_and_leak(leak, unbalanced, quadrature, residential):
    # ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 51 and ch. 17 eq. 14; arithmetic OWN, no printed example
    assert air_change.fan_and_leak(leak, 0, unbalanced) == pytest.approx(quadrature, abs=0.05)
    assert air_change.fan_and_leak_residential(leak, 0, unbalanced) == pytest.approx(residential, abs=0.05)


def test_two_unit_systems_of_the_dwelling_rate():
    # ASHRAE 62.2: 0.15 L/s m2 and 3.5 L/s are printed to 0.01 and 0.1; the inch-pound form used here lies within those digits
    ours = air_change.required_rate("62.2", 195.3, 3) / LITRE_S
    assert ours == pytest.approx(0.15 * 195.3 + 3.5 * 4, abs=0.005 * 195.3 + 0.05 * 4)


def test_worked_house_air_loads():
    # ASHRAE Handbook - Fundamentals (SI) 2021, ch. 17 Table 23: 79 L/s x 23.0 K = 2235 W, 60 L/s x 9.1 K = 672 W,
    # latent 60 L/s x 0.0050 = 903 W with Cs 1.23 (to 0.01) and Cl 3010 (to 10), so 0.4 % and
    # 0.2 %; at 20 C and W 0.01 the air of this module carries 1214 J/m3K, 1.3 % less, because Cs counts 1.204 kg/m3 of dry air
    heat = air_change.sensible_heat(79 * LITRE_S, 23.0, indoor_C=20.0, humidity_ratio=0.01)
    dry = 1 / moist_air.specific_volume(20.0, 0.0)
    standard = moist_air.specific_heat(0.01) * dry
    assert 79 * LITRE_S * 23.0 * standard == pytest.approx(2235, rel=0.005 / 1.23)
    assert 60 * LITRE_S * 9.1 * standard == pytest.approx(672, rel=0.005 / 1.23 + 0.5 / 672)
    assert heat / (79 * LITRE_S * 23.0 * standard) == pytest.approx(1 / 1.0161, abs=0.0005)
    # 3010 W/(L/s) is 2500 kJ/kg at 1.204 kg/m3; the enthalpy of vapour at 20 C is 2538 kJ/kg
    assert air_change.latent_heat(60 * LITRE_S, 0.0050) == pytest.approx(903 * 2538.2 / 2500, rel=5 / 3010 + 0.5 / 903)


def test_recovery():
    # ASHRAE Handbook - Fundamentals 2021 ch. 17 eq. 15: Qvi + (1 - e) Qbal,hr; arithmetic OWN
    assert air_change.after_recovery(20 + 10, 10, 0.7) == pytest.approx(20 + 0.3 * 10)
    with pytest.raises(ValueError, match="between 0 and 1"):
        air_change.after_recovery(30, 10, 1.2)


def test_exhaust_without_make_up():
    # Inverse of ASHRAE Fundamentals 2021 ch. 16 eq. 40: a 100 cfm hood in a shell of 100 cfm50 pulls 50 Pa; OWN
    c = air_change.flow_coefficient(100 * CFM, 0.65)
    assert air_change.depressurisation(100 * CFM, c, 0.65) == pytest.approx(50.0)
    assert air_change.mean_extra_flow(100 * CFM, 30) == pytest.approx(100 * CFM * 30 / 1440)
