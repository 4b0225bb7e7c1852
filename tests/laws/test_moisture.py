"""Water in a shell: its limit stands beside it, one balance for drying, year and papers, and dry air is told."""

import numpy as np
import pytest

from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sense import sense_warnings
from heatcalc.model.comfort import winter_cases
from heatcalc.model.designer import designer_of, month_winds_m_s
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import dehumidifier_need, settled_humidity_ratio
from heatcalc.model.indoor_air import air_by_humidity, air_of_house
from heatcalc.model.moisture import limit_between, limit_of, moisture
from heatcalc.physics.air import moist_air

SHELF = load_assemblies()


@pytest.mark.parametrize("where", ["Duluth, MN", "Houston, TX", "Leadville, CO"])
def test_the_coldest_month_is_one_humidity_on_every_way_to_it(where):
    """Moisture check, winter sheet and drying settle at one vapour pressure: the same water, air, wind and balance."""
    place = find_place(where)
    model = house_model(load_house(), place.elevation_m)
    designer, pressure = designer_of(model, place), moist_air.pressure_at_altitude(place.elevation_m)
    cold = int(np.argmin(place.monthly.mean_C))
    winter = winter_cases(designer)[0][2]
    inside = air_of_house(model, place).indoor_Pa[cold]
    assert inside == pytest.approx(
        float(moist_air.vapour_pressure(winter.humidity_ratio, pressure)), rel=2e-3
    )  # two formulas of saturation
    outside = float(moist_air.humidity_ratio_from_dew_point(place.monthly.mean_C[cold] - 5.0, pressure))
    water = float(living_day(model.house.living).moisture_kg_s.mean())
    ratio = settled_humidity_ratio(outside, water, winter.air.moisture_m3_s, 21.0, pressure)
    need = dehumidifier_need(winter.air, 21.0, outside, water, 0.0)
    assert need.relative_without == pytest.approx(float(moist_air.relative_humidity(21.0, ratio, pressure)), rel=1e-9)


def test_month_winds_have_the_year_s_mean():
    place = find_place("Duluth, MN")
    assert np.mean(month_winds_m_s(place)) == pytest.approx(place.wind_mean_m_s)


def test_limits_by_layer_by_hand():
    """OSB 600 kg/m3, 7/16 in: 3 % of 6.67 kg/m2; wood 5 %; between batt and sheet the half kilogram."""
    wall = SHELF["Breeze wall"]
    limits = {layer.name: limit_of(layer, group) for layer, group in zip(wall.layers, wall.groups, strict=False)}
    osb = next(k for k in limits if k.startswith("OSB"))
    assert limits[osb].kg_m2 == pytest.approx(0.03 * 600 * 7 / 16 * 0.0254) and "DIN 4108-3" in limits[osb].words
    names = [layer.name for layer in wall.layers]
    k = names.index(osb)
    assert limit_between(wall, k - 1, k).kg_m2 == min(limits[names[k - 1]].kg_m2, limits[osb].kg_m2)


def test_every_amount_of_water_has_its_limit_and_the_verdict_says_it():
    """A wall wetter by the year's indoor air passes its limit in words once the water does, and not before."""
    place, seen = find_place("Duluth, MN"), set()
    for humidity in (0.3, 0.45, 0.6, 0.8):
        found = moisture(SHELF["Breeze wall"], air_by_humidity(place, 21.0, humidity))
        for layer in found.wet:
            assert layer.limit.kg_m2 > 0 and layer.used == pytest.approx(layer.peak_kg_m2 / layer.limit.kg_m2)
        seen.add(found.too_wet)
        assert ("TIMES what may" in found.verdict) == found.too_wet
        assert not found.wet or found.wettest.limit.words in found.verdict
    assert seen == {True, False}


def test_dry_winter_air_is_told_below_a_quarter():
    def warned(rate):
        house = load_house(None, [f'ventilation.rate="{rate}"'])
        place = find_place("Duluth, MN")
        designer = designer_of(house_model(house, place.elevation_m), place)
        relative = winter_cases(designer)[0][2].relative
        return relative < 0.25, any(": dry; " in str(w) for w in sense_warnings(designer, "a unit", None))

    assert warned("10 cfm") == (False, False) and warned("60 cfm") == (True, True)
