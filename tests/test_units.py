"""Quantities as people write them; every factor of the tables against pint, a general units library."""

import pint
import pytest

from heatcalc import units


@pytest.mark.parametrize(
    ("said", "kind", "si"),
    [
        ("8 ft 6 in", "length", 102 * 0.0254),
        ("8'6\"", "length", 102 * 0.0254),
        ("3 1/2 in", "length", 3.5 * 0.0254),
        ("26'", "length", 26 * 0.3048),
        ("2.5 m", "length", 2.5),
        ("-10 F", "temperature", -42 / 1.8),
        ("−10 F", "temperature", -42 / 1.8),
        ("70 °F", "temperature", 38 / 1.8),
        ("21 C", "temperature", 21.0),
        ("9 F", "temperature difference", 5.0),
        ("R-13", "thermal resistance", 13 * 0.1761102),
        ("r 13", "thermal resistance", 13 * 0.1761102),
        ("RSI 2.3", "thermal resistance", 2.3),
        ("U-0.30", "U-value", 0.30 * 5.678263),
        ("1.7 W/m2K", "U-value", 1.7),
        ("12 kBtu/h", "power", 12 * 293.0711),
        ("1,200 W", "power", 1200.0),
        ("22 cfm", "air flow", 22 * 0.00047194745),
        ("70 %", "fraction", 0.7),
        (0.7, "fraction", 0.7),
        ("1 perm", "permeance", 5.721e-11),
        ("15 mph", "speed", 15 * 0.44704),
    ],
)
def test_reads_what_people_type(said, kind, si):
    """Conversion factors: NIST SP 811 (2008), appendix B.8, printed to seven digits."""
    assert units.parse(said, kind) == pytest.approx(si, rel=3e-7, abs=1e-9)


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("72", "temperature"),
        ("R-13", "length"),
        (72, "temperature"),
        ("70 J", "temperature"),
        ("8 ft", "area"),
        ("", "length"),
        ("F", "temperature"),
        ("nan F", "temperature"),
        ("inf ft", "length"),
        ("1e999 ft", "length"),
        (True, "fraction"),
        ("R-19", "temperature"),
        ("3 1/0 in", "length"),
        ([], "length"),
        ("70 F; import os", "temperature"),
    ],
)
def test_refuses_a_wrong_kind_with_an_example(said, kind):
    with pytest.raises(ValueError, match=r"'"):
        units.parse(said, kind)


@pytest.mark.parametrize("kind", sorted(units.KINDS))
def test_every_kind_reads_its_own_example_and_shows_both_systems(kind):
    value = units.parse(units.KINDS[kind].example, kind)
    for system in ("ip", "si"):
        shown = units.text(value, kind, system, 9)
        if kind not in ("energy", "time", "mass flow"):
            assert units.parse(shown, kind) == pytest.approx(value, rel=1e-6, abs=1e-9)


def test_negative_zero_is_shown_as_zero():
    assert units.text(-0.0001, "power", "si") == "0 W"


@pytest.mark.parametrize(("said", "W_mK"), [("0.113 Btu/h ft F", 0.113 * 1.730735), ("0.2 W/mK", 0.2), ("0.2 W/(m K)", 0.2)])
def test_psi_carries_its_unit_like_every_quantity(said, W_mK):
    assert units.parse(said, "linear thermal transmittance") == pytest.approx(W_mK, rel=1e-6)


def test_a_bare_psi_is_refused_with_an_example():
    with pytest.raises(ValueError, match="needs a unit, e.g. '0.11 Btu/h ft F'"):
        units.parse(0.113, "linear thermal transmittance")


REGISTRY = pint.UnitRegistry()
REGISTRY.define("kBtu = 1000 * Btu")
REGISTRY.define("perm = 5.721e-11 * kilogram / (second * meter**2 * pascal)")
REGISTRY.define("pint_water = 0.4732 * kilogram")
REGISTRY.define("dollar = [money]")


@pytest.mark.parametrize("kind", units.KINDS.values(), ids=lambda kind: kind.name)
def test_factors_are_those_of_pint(kind):
    """Of one dimension, and the same straight line to twelve digits, for every unit a kind reads or shows."""
    for unit in {*kind.spellings.values(), kind.show_si[0], kind.show_ip[0]}:
        for number in (0.0, 1.0, 73.5):
            printed = REGISTRY.Quantity(number, unit).to(kind.si).magnitude
            assert units.convert(number, unit, kind.si) == pytest.approx(printed, rel=1e-12, abs=1e-12), unit
            assert units.convert(printed, kind.si, unit) == pytest.approx(number, rel=1e-12, abs=1e-12), unit


@pytest.mark.parametrize(
    ("unit", "to"),
    [
        ("joule/meter**3/kelvin", "Btu/hour/delta_degF/foot**3*minute"),
        ("kilowatt_hour/meter**2", "Btu/foot**2"),
        ("kBtu/hour", "kilowatt"),
    ],
)
def test_compound_units_are_products_of_simple_ones(unit, to):
    assert units.convert(2.0, unit, to) == pytest.approx(REGISTRY.Quantity(2.0, unit).to(to).magnitude, rel=1e-12)
