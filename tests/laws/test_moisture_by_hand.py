"""Water, edges and the year's air, each figure worked out beside its assertion."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.errors import NoAnswer
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import MonthBins
from heatcalc.model import detail_bridge, moisture
from heatcalc.model.climate import year_bins
from heatcalc.model.comfort import DryingCase
from heatcalc.model.detail_bridge import Transmittance, ready_values
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import DehumidifierNeed
from heatcalc.model.indoor_air import AirOverYear, air_by_class, air_of_house
from heatcalc.model.moisture import MoistureAnswer, SurfaceSpot, WaterLimit, WetLayer

SHELF = load_assemblies()
COLD, WARM = (0.0,) * 11, (20.0,) * 12


def year_air(outdoor_C=(*COLD, 20.0), indoor_Pa=(1228.0,) * 11 + (2339.0,)):
    return AirOverYear(outdoor_C=outdoor_C, outdoor_Pa=(500.0,) * 12, indoor_C=WARM, indoor_Pa=indoor_Pa, basis="", place="x")


def answer(spots=(), wet=()):
    return MoistureAnswer(
        name="wall",
        air=year_air(),
        needed_factor=0.7,
        critical_month="Jan",
        spots=spots,
        wet=wet,
        dries_out=True,
        retarder="",
        dew_point=None,
        limits=(),
    )


def test_the_surface_of_a_spot_and_whether_it_is_safe():
    """Factor 0.75 of 20 K above 0 C is 15 C: safe where 0.75 is asked for, at risk where more is."""
    for needed, safe in ((0.75, True), (0.76, False)):
        found = moisture._spot("corner", 0.75, year_air(), 0, needed, False)
        assert (found.surface_C, found.safe) == (15.0, safe)


def test_spots_at_risk_are_the_unsafe_ones_coldest_first():
    spots = tuple(SurfaceSpot(n, f, 20 * f, f >= 0.7) for n, f in (("cavity", 0.9), ("stud", 0.65), ("edge", 0.5)))
    found = answer(spots)
    assert [s.name for s in found.at_risk] == ["edge", "stud"] and found.weakest.name == "edge"
    assert "mould risk at the edge, the stud" in str(found.verdict)


def test_one_place_beyond_its_limit_is_too_wet():
    """0.3 of 0.5 kg/m2 is 60 %, 0.3 of 0.2 is one and a half times what may gather."""
    fine, over = (WetLayer(f"at {k}", (0.1, 0.3), WaterLimit(k, "rule")) for k in (0.5, 0.2))
    both = answer((SurfaceSpot("cavity", 0.9, 18.0, True),), (fine, over))
    assert both.too_wet and both.wettest is over and "1.5 TIMES" in both.verdict
    assert not answer((), (fine,)).too_wet and not answer().too_wet


def test_where_water_gathers_in_words():
    """Two layers in three slices: their faces, within the first, between the two."""
    found = SimpleNamespace(layers=(SimpleNamespace(name="wool"), SimpleNamespace(name="board")))
    words = [moisture._place(found, np.array([0, 0, 1]), k) for k in range(4)]
    assert words == ["on the surface", "within the wool", "between wool and board", "on the surface"]


def test_a_steel_stud_is_drawn_in_the_layer_it_stands_in(monkeypatch):
    """Between the studs the insulation's own resistance, R-13 (2.29 m2K/W) bare; every other layer with its own."""
    drawn = []
    monkeypatch.setattr(moisture, "stud_wall", lambda *a: drawn.append(a) or SimpleNamespace(temperature_factor=0.6))
    wall = SHELF["Steel stud wall R-13"]
    assert moisture._stud_spot(wall) == ("steel stud (2-D)", 0.6)
    ((layers, at, spacing_m, r_inside, r_outside),) = drawn
    own = [x.resistance_m2K_W for x in wall.layers]
    assert [r for _, r in layers] == pytest.approx([13 * 0.1761102 if k == at else r for k, r in enumerate(own)])
    assert (spacing_m, r_inside, r_outside) == (pytest.approx(0.4064), 0.25, wall.r_outside) and own[at] < 13 * 0.1761102


def test_winters_dew_point_is_the_coldest_months():
    """1,228 Pa saturate at 10 C, 2,339 Pa at 20 C (Fundamentals ch. 1, from memory)."""
    assert year_air().winter_dew_point_C == pytest.approx(10.0, abs=0.05)
    turned = year_air((20.0, *COLD), (2339.0,) + (1228.0,) * 11)
    assert turned.winter_dew_point_C == pytest.approx(10.0, abs=0.05)


def test_humidity_at_which_a_surface_is_wet():
    """A face of 10 C in a room of 20 C: 1,228 of 2,339 Pa, 52.5 %."""
    assert detail_bridge._surface_humidity_ratio(10.0, 20.0) == pytest.approx(1228 / 2339, rel=1e-3)


PSI = Transmittance(coupling_W_mK=1.0, psi_internal_W_mK=0.08, psi_external_W_mK=-0.05, reference="no flanks", change_W_mK=0.0)


def test_psi_by_the_lengths_that_were_measured(monkeypatch):
    assert (PSI.psi("internal"), PSI.psi("external")) == (0.08, -0.05)
    monkeypatch.setattr(detail_bridge, "_converged", lambda *_: None)
    detail = SimpleNamespace(section=None, name="corner")
    for lost in ("psi_internal_W_mK", "psi_external_W_mK"):
        monkeypatch.setattr(detail_bridge, "transmittance", lambda *_, lost=lost: replace(PSI, **{lost: None}))
        with pytest.raises(NoAnswer, match="corner has no psi: no flanks"):
            ready_values(detail)


@pytest.mark.parametrize(("settles_at", "words"), [(0.96, "as damp as outdoors"), (0.62, "near 62%")])
def test_how_damp_a_room_settles_in_words(settles_at, words):
    grams = dict(needed_kg_s=2e-4, unit_kg_s=1e-4, shortfall_kg_s=1e-4)
    need = DehumidifierNeed(**grams, relative_without=0.6, target_relative=0.5, sentence="")
    case = DryingCase(
        name="humid",
        month=7,
        outdoor_mean_C=25.0,
        outdoor_humidity_ratio=0.016,
        mean_sensible_W=500.0,
        run_share=0.3,
        need=need,
        settles_at=settles_at,
    )
    assert f"the room settles {words};" in str(case.sentence)
    assert "takes out enough to hold 50%" in str(replace(case, need=replace(need, shortfall_kg_s=0.0)).sentence)


def test_months_bins_become_the_years():
    """Bins of 5 F from 30 F: January's 10 and 20 h, July's 40 h from 35 F: 10, 60; one shifted by half a bin is split evenly."""
    edge = lambda f: (f - 32.0) / 1.8  # noqa: E731
    months = (
        MonthBins((edge(30), edge(35)), (10, 20), 5 / 1.8),
        MonthBins((edge(35),), (40,), 5 / 1.8),
        MonthBins((edge(37.5),), (8,), 5 / 1.8),
    )
    found = year_bins(SimpleNamespace(bins=months))
    assert found.lower_edges_C == pytest.approx([edge(30), edge(35), edge(40)]) and found.hours == pytest.approx([10, 64, 4])
    assert year_bins(SimpleNamespace(bins=None)) is None


def test_the_airs_words_name_the_fan_that_runs():
    place = find_place("Duluth, MN")
    said = [
        str(air_of_house(house_model(load_house(changes=c), place.elevation_m), place).basis)
        for c in (["ventilation.rate=auto"], ["ventilation.rate=15 L/s"])
    ]
    assert "at the ASHRAE 62.2 rate" in said[0] and "at 15 L/s" in said[1]


def test_a_humidity_class_adds_its_excess_to_the_months_outdoors():
    """Class 3 up to 0 C outdoors adds 810 Pa, and nothing at 20 C and above (ISO 13788 figure A.1, from memory)."""
    place = find_place("Duluth, MN")
    found = air_by_class(place, 20.0, 3)
    january = found.indoor_Pa[0] - found.outdoor_Pa[0]
    assert place.monthly.mean_C[0] < 0.0 and january == pytest.approx(810.0)
    assert all(i <= 2339.5 for i in found.indoor_Pa)
