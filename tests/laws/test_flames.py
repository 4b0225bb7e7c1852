"""Flames in the room: an unvented heater burns in winter unless said; exhausts that pull against a chimney are told."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.living import Living, living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.judge.sense import flame_warnings
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import MONTH_OF_HOUR, lived, weather_year, year_house

HEATER = "living.unvented_heater=1000 W"


@cache
def model(*changes):
    place = find_place("Burlington, VT")
    return house_model(load_house(None, ["site.front_faces=north", *changes]), place.elevation_m)


def warned(*changes):
    return [str(w) for w in flame_warnings(model(*changes))]


def test_it_burns_in_winter_and_not_in_the_cooling_day():
    place = find_place("Burlington, VT")
    plain, burning, always = (
        designer_of(model(*c), place).cooling.latent_at_peak_W
        for c in ((), (HEATER,), (HEATER, "living.unvented_heater_when=all year"))
    )
    assert burning == plain and always > plain + 50.0


def test_the_year_burns_it_in_cold_months_alone():
    home, brings = year_house(model(HEATER)), weather_year(built_year(find_place("Burlington, VT")))
    water = lived(home, brings, "moisture_kg_s")
    january, july = (water[m == MONTH_OF_HOUR].mean() for m in (0, 6))
    assert july == pytest.approx(living_day(Living()).moisture_kg_s.mean())
    assert january > july
    assert np.all(np.diff(np.flatnonzero(water[::24] > water.min() + 1e-12)) >= 1)


def test_its_water_and_gases_are_told_wherever_it_is_counted():
    assert not warned()
    assert any("carbon monoxide" in w and "water" in w for w in warned(HEATER))


@pytest.mark.parametrize("ach50, turns", [(1, True), (30, False)])
def test_a_chimney_in_a_tight_house_is_warned_of(ach50, turns):
    """100 cfm of hood and the house fan against the shell; 5 Pa is the limit of CSA F300-13 for solid fuel."""
    tight = f"air.tightness={ach50} ACH50"
    assert any("hood" in w for w in warned("air.flue=true", tight)) is turns
    assert not warned(tight)
