"""How sure a plan is in the heat: a normal chance of load against cooling, the same on every surface."""

from functools import cache

import pytest
from scipy.stats import norm

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.choice import hot_held_C
from heatcalc.judge.facts import HOT_SHARE
from heatcalc.judge.sizing import size_house
from heatcalc.render.as_text import as_text
from heatcalc.report.about_size import about_size

HOT, MILD = ("Phoenix, AZ", "Dallas, TX"), "Burlington, VT"


@cache
def sized(*places):
    return size_house(load_house(None, []), [find_place(place) for place in places], walk=False)


@pytest.mark.parametrize("place", [*HOT, MILD])
def test_the_chance_is_that_of_the_normal_distribution(place):
    """Against scipy.stats.norm, to the four digits that are kept; more cooling is never less sure."""
    candidates = sorted(sized(place).candidates, key=lambda c: c.sensible_cooling_W)
    for c in candidates:
        spare = c.sensible_cooling_W / c.task.sensible_W - 1.0
        assert c.chance_hot == pytest.approx(norm.cdf(spare / HOT_SHARE), abs=0.5e-4)
    chances = [c.chance_hot for c in candidates]
    assert chances == sorted(chances)


@pytest.mark.parametrize("place", [*HOT, MILD])
def test_a_hottest_day_is_held_exactly_where_the_chance_is_as_asked(place):
    r = sized(place)
    for c in r.candidates:
        for sure in (0.5, 0.75, r.plan.sure):
            held = hot_held_C(c, r.designer, sure)[0]
            assert (held is not None) == (c.chance_hot >= sure - 1e-4)
            assert held is None or held >= r.designer.cooling.outdoor_C.max() - 1e-9


def test_of_a_house_that_moves_the_hottest_place_counts():
    both, alone = sized(HOT[0], MILD), sized(HOT[0])
    there = next(c for c in alone.candidates if c.name == both.plan.unit)
    assert both.plan.chance_hot == pytest.approx(there.chance_hot, abs=1e-4)


@pytest.mark.parametrize("place", HOT)
def test_a_surer_unit_is_named_where_the_plan_is_less_sure_than_asked(place):
    r = sized(place)
    surer = next(c for c in r.candidates if c.judged.holds.all() and c.chance_hot >= r.plan.sure)
    assert r.plan.chance_hot < r.plan.sure
    assert f"Surer in the heat: {surer.name}, {surer.verdict}," in as_text(about_size(r), "ip")


def test_nothing_is_said_of_a_surer_unit_where_the_plan_is_sure():
    r = sized(MILD)
    text = as_text(about_size(r), "ip")
    assert r.plan.chance_hot >= r.plan.sure and "Surer in the heat" not in text and "to hold the design cold and heat." in text
