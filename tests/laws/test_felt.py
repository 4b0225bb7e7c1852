"""The felt temperature asks for warm air beside cold walls, up to a ceiling that is told."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sense import sense_warnings
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.zone.fast_loads import MOST_WARMER_K, heat_line, heat_losses


@cache
def designer(bare=False):
    place = find_place("Duluth, MN")
    made = designer_of(house_model(load_house(None, ["site.front_faces=north"]), place.elevation_m), place)
    if not bare:
        return made
    from dataclasses import replace

    thin = tuple(p.lossier(8.0) if p.kind in ("wall", "roof") else p for p in made.model.opaque)
    return replace(made, model=replace(made.model, opaque=thin))


def test_bare_walls_ask_for_no_more_than_the_ceiling_and_it_is_told():
    """Without a ceiling such walls ask for air far above anything people live in."""
    cold = designer(bare=True).heating()
    assert cold.air_C == pytest.approx(cold.indoor_C + MOST_WARMER_K) and cold.stays_cold
    assert any("feels colder" in str(w) for w in sense_warnings(designer(bare=True), "a unit", None))


def test_a_usual_house_is_not_touched_by_it():
    cold = designer().heating()
    assert not cold.stays_cold and cold.indoor_C < cold.air_C < cold.indoor_C + MOST_WARMER_K


def test_more_insulation_still_never_raises_the_load_at_the_ceiling():
    assert designer().heating().load_W < designer(bare=True).heating().load_W


def test_the_line_for_many_places_has_the_same_ceiling():
    d = designer(bare=True)
    outdoor = np.array([d.conditions.heating_C])
    still = d.heating(float(outdoor[0]))
    exchange = still.components_W["infiltration"] + still.components_W["ventilation"]
    channels = {"outdoor_C": outdoor, "sky_C": outdoor, "below_C": d.below_C(outdoor, "winter"), "loft_K": 0.0}
    per_K = exchange / (still.air_C - outdoor[0])
    lost, by_air = heat_losses(heat_line(d.model.still), channels, still.indoor_C, per_K)
    assert lost.sum() + by_air[0] == pytest.approx(still.load_W, rel=1e-6)
