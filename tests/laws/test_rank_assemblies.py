"""Ranking assemblies: the house's own gives the sizing back, less U means less load, and beaten means beaten."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heatcalc.answers.study.packages import shell_mass_kg
from heatcalc.answers.study.rank_assemblies import OBJECTIVES, explained, rank_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import size_house
from heatcalc.model.house_model import house_model
from heatcalc.report.about_ranking import about_ranking

HOUSE, PLACE = load_house(), find_place("Burlington, VT")


@cache
def ranked():
    return rank_assemblies(HOUSE, PLACE, kinds=("wall", "window"))


def test_the_own_assemblies_give_the_sizing_back():
    sized = size_house(HOUSE, PLACE, walk=False)
    own = [c for c in ranked().choices if c.own]
    assert [c.kind for c in own] == ["wall", "window"]
    for c in own:
        assert c.heating_W == pytest.approx(sized.heating.load_W)
        assert c.cooling_W == pytest.approx(sized.designer.cooling.peak_sensible_W)


def test_load_follows_u_for_windows():
    by_u = sorted(ranked().of("window"), key=lambda c: c.u_value_W_m2K)
    assert np.all(np.diff([c.heating_W for c in by_u]) >= -1e-6)


def test_beaten_means_no_better_in_any_column():
    by_name = {c.name: c for c in ranked().choices}
    assert any(c.beaten_by for c in ranked().choices) and any(not c.beaten_by for c in ranked().choices)
    for c in ranked().choices:
        for other in c.beaten_by:
            pairs = [(getattr(by_name[other], k), getattr(c, k)) for k in OBJECTIVES]
            known = [(a, b) for a, b in pairs if np.isfinite(a) and np.isfinite(b)]
            assert all(a <= b * (1 + 1e-6) for a, b in known) and any(a < b for a, b in known)


def test_section_runs_from_the_room_to_the_cold():
    answer = explained(ranked(), ranked().of("wall")[0].name)
    inner = [line.inner_C for line in answer.lines if not line.cladding]
    assert ranked().indoor_C > inner[0] and np.all(np.diff(inner) <= 0) and answer.outer_C > ranked().outdoor_C


def test_every_choice_has_an_invented_price_and_a_weak_point():
    for c in ranked().choices:
        assert c.price > 0 and c.price_basis == "invented demo prices"
        assert c.moisture.limits and c.moisture.air == ranked().air
    assert ranked().price_basis == "invented demo prices"
    assert ranked().shell_kg == pytest.approx(shell_mass_kg(house_model(HOUSE, PLACE.elevation_m)))


def test_own_prices_stand_alone(tmp_path):
    file = tmp_path / "prices.toml"
    file.write_text('basis = "quotes"\n[per_ft2]\n"Breeze wall" = 10\n"Park wall R-11" = 11\n', encoding="utf-8")
    own = rank_assemblies(HOUSE, PLACE, kinds=("wall",), prices=file)
    priced = {c.name: c.price / c.area_m2 * 0.09290304 for c in own.choices if np.isfinite(c.price)}
    assert priced == pytest.approx({"Breeze wall": 10.0, "Park wall R-11": 11.0}) and own.price_basis == "quotes"


def test_the_words_say_who_walked_the_year_and_who_is_beaten():
    report = about_ranking(ranked())
    said = [sentence.words for sentence in report.decision]
    assert ranked().unit.name in said[0] and "recommended" in said[0] and "lb" in said[1].said("ip")
    beats = next(c for c in report.chapters if c.heading == "Who beats whom")
    assert len(beats.items) == sum(bool(c.beaten_by) for c in ranked().choices)
    lost = about_ranking(replace(ranked(), recommended=False, choices=ranked().choices[:1])).decision
    assert "too small" in lost[0].words and "kg" in lost[1].words.said("si")
