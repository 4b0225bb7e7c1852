"""What physics refuses to answer: outside its range it says so instead of returning a number."""

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.shell import framing, glazing, layers
from heatcalc.physics.sun import sun_day
from heatcalc.physics.supply import electrics
from heatcalc.physics.unit import at_site, machine, seasonal
from heatcalc.physics.year import weather_statistics
from heatcalc.physics.zone import zone

REFUSED = [
    (lambda: layers.convective_coefficient(0.02, "sideways"), "unknown heat flow direction"),
    (lambda: layers.air_layer_resistance(0.0, "up"), "between 0 and 300 mm"),
    (lambda: layers.air_layer_resistance(0.301, "up"), "between 0 and 300 mm"),
    (lambda: at_site.capacity_factor(1000.0, "word of mouth"), "known: air-cooled condensing unit"),
    (lambda: electrics.conductor_resistance(0.0, 20.0), "positive area"),
    (lambda: electrics.conductor_resistance(5e-6, -51.0), "-50 to 150"),
    (lambda: electrics.conductor_resistance(5e-6, 151.0), "-50 to 150"),
    (lambda: electrics.standard_size_below(14.9, (15.0, 20.0)), "at or below 14.9 A"),
    (lambda: electrics.standard_size_above(20.1, (15.0, 20.0)), "at or above 20.1 A"),
    (lambda: electrics.battery_hours(3.6e6, 0.9, 0.9, 0.0), "load above zero"),
    (lambda: moist_air.steady_humidity_ratio(0.004, 1e-4, np.array([0.01, 0.0]), 1.2), "without outdoor air"),
    (lambda: air_change.enhanced_coefficients(4, 3), "1 to 3 storeys"),
    (lambda: air_change.basic_coefficients(1, 6), "1 .* to 5"),
    (lambda: air_change.design_factor("heating", 3.0, 20.0, 0.5), "flue below half"),
    (lambda: air_change.design_factor("heating", 3.0, 20.0, -0.01), "flue below half"),
    (lambda: layers.tapered_u(1.0, 2.0, "wedge"), "unknown taper shape"),
    (lambda: air_change.flow_coefficient(0.1, 0.49), "between 0.5 and 1"),
    (lambda: air_change.leakage_area_of(0.1, 1.01), "between 0.5 and 1"),
    (lambda: moist_air.humidity_ratio(101325.0), "no dry air is left"),
    (lambda: machine.saturation_pressure("R-0", 0.0), "is not one of R-"),
    (lambda: seasonal.season("monsoon"), "known: average"),
    (lambda: air_change.tabulated_rate(190.0), "ends at 2000 ft2"),
    (lambda: air_change.tabulated_rate(20.0, 6), "ends at 2000 ft2"),
    (lambda: air_change.after_recovery(0.02, 0.02, 1.01), "between 0 and 1"),
    (lambda: air_change.after_recovery(0.02, 0.02, -0.01), "between 0 and 1"),
    (lambda: weather_statistics.filled(np.full(48, np.nan)), "no hour is known"),
    (lambda: glazing.edge_share(0.2, 1.0, 0.1), "wider than half the window"),
]


@pytest.mark.parametrize("ask, says", REFUSED, ids=lambda x: x if isinstance(x, str) else "")
def test_a_value_outside_the_range_is_refused(ask, says):
    with pytest.raises(ValueError, match=says):
        ask()


SPOKEN = [
    (lambda: glazing.glazing("duble clear 3mm"), "double clear 3mm"),
    (lambda: sun_day.ground_reflectance("fresh snw"), "snow"),
    (lambda: zone.star_coefficients(np.array([1.0, 1.0, 2.0]), np.full(3, 0.9), 20.0), "no enclosure"),
]


@pytest.mark.parametrize("ask, says", SPOKEN)
def test_a_users_word_is_answered_with_what_is_known(ask, says):
    with pytest.raises(InputError, match=says):
        ask()


@pytest.mark.parametrize(
    "ask",
    [
        lambda: layers.surface_resistance("inside", "sideways"),
        lambda: layers.surface_resistance("sheltered", "any"),  # the ISO set has no sheltered face
        lambda: framing.lumber_size("3x5"),
    ],
)
def test_an_unknown_name_is_a_key_error(ask):
    with pytest.raises(KeyError):
        ask()


def test_just_inside_the_range_is_answered():
    assert layers.air_layer_resistance(0.3, "up") > 0
    assert electrics.conductor_resistance(5e-6, -50.0) < electrics.conductor_resistance(5e-6, 150.0)
    assert electrics.standard_size_below(15.0, (15.0, 20.0)) == 15.0
    assert electrics.standard_size_above(20.0, (15.0, 20.0)) == 20.0
    assert air_change.flow_coefficient(0.1, 0.5) == pytest.approx(0.1 / 50**0.5)
    assert air_change.flow_coefficient(0.1, 1.0) == pytest.approx(0.1 / 50)
    assert air_change.after_recovery(0.02, 0.02, 1.0) == 0.0
    assert air_change.after_recovery(0.02, 0.02, 0.0) == 0.02
    assert np.all(zone.star_coefficients(np.array([1.0, 1.0, 1.99]), np.full(3, 0.9), 20.0) > 0)


def test_a_second_heater_that_burns_something_is_refused_in_one_line():
    with pytest.raises(InputError, match="the second heater of a plan is electric .* sealed or vented, with a CO alarm"):
        load_house(changes=("supply.backup=propane",))


@pytest.mark.parametrize("word", ["polyethylene 6 mil", "R-0"])
def test_a_cavity_is_not_filled_with_what_insulates_nothing(tmp_path, word):
    """No resistance between the studs would be a division by it, or a wall of nothing."""
    file = tmp_path / "walls.toml"
    layer = f'{{ framing = "2x4 studs 16 in o.c.", insulation = "{word}" }}'
    file.write_text(f'[Thin]\nkind = "wall"\nlayers = [{layer}]\n', encoding="utf-8")
    with pytest.raises(InputError, match="no thermal resistance|R-0"):
        load_assemblies(file)
