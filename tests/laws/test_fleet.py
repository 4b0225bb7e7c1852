"""A fleet that learns: the closed form against an integral, its limits, and what it does to the chance."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.answers.study.uncertain import StudyCase, uncertain_inputs
from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.house_pieces import Fleet, read_fleet
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.chance import normal_quantile
from heatcalc.judge.many_loads import load_spread
from heatcalc.judge.sites import sites_of
from heatcalc.model.fleet_learning import LEAST, LEVEL, as_lognormal, general_range, learn, lessons, moved_range
from heatcalc.model.house_model import house_model
from heatcalc.physics.zone.fast_loads import heat_line

SHIPPED = folder("workbooks") / "fleet_invented.csv"
LEAKY = Fleet(leaks=(1.4,) * 12, loss=())
ratios = st.lists(st.floats(0.5, 2.0), min_size=LEAST, max_size=30).map(tuple)


@given(ratios)
@settings(max_examples=20)
def test_closed_form_is_the_integral(found):
    """Prior of the level times the likelihood of every house, on a grid: mean and variance of the next house's logarithm."""
    before = as_lognormal(general_range("leaks"))
    level, scatter = LEVEL * before.variance_ln, (1 - LEVEL) * before.variance_ln
    x = np.linspace(-2.0, 2.0, 40001)
    log = -((x - before.mean_ln) ** 2) / (2 * level) - sum((np.log(r) - x) ** 2 for r in found) / (2 * scatter)
    weight = np.exp(log - log.max())
    mean = np.trapezoid(x * weight, x) / np.trapezoid(weight, x)
    variance = np.trapezoid((x - mean) ** 2 * weight, x) / np.trapezoid(weight, x)
    after = learn("leaks", found).after
    assert after.mean_ln == pytest.approx(mean, abs=1e-6)
    assert after.variance_ln == pytest.approx(variance + scatter, rel=1e-5)


def test_a_lognormal_of_a_triangle_has_its_mean_and_variance():
    a, c, b = general_range("leaks")
    made = as_lognormal((a, c, b))
    assert made.mean == pytest.approx((a + b + c) / 3)
    assert made.sd**2 == pytest.approx((a * a + b * b + c * c - a * b - a * c - b * c) / 18)
    assert moved_range((a, c, b), learn("leaks", ())) == pytest.approx((a, c, b))


def test_too_few_houses_teach_nothing():
    four = lessons(Fleet(leaks=(1.9,) * (LEAST - 1), loss=(1.9,)))
    assert four.ranges == {} and all(one.after == one.before for one in four.learnt)


@given(ratios)
@settings(max_examples=20)
def test_more_houses_narrow_and_their_mean_wins_in_the_end(found):
    once, often = learn("leaks", found), learn("leaks", found * 200)
    assert often.after.variance_ln < once.after.variance_ln < once.before.variance_ln
    assert often.after.mean_ln == pytest.approx(np.mean(np.log(found)), abs=0.01)


@pytest.fixture(scope="module")
def case():
    place = find_place("Duluth, MN")
    return house_model(load_house("starter"), place.elevation_m), sites_of([place])


def spread(case, fleet):

    model = replace(case[0], lessons=None if fleet is None else lessons(fleet))
    return load_spread(model, heat_line(model.still), case[1], case[1].heating_99_C)


def test_leaky_houses_raise_what_the_next_may_need_and_tight_ones_lower_it(case):
    need = [float(spread(case, f).quantile(0.9)[0]) for f in (Fleet(leaks=(0.8,) * 12), None, LEAKY)]
    assert need[0] < need[1] < need[2]


def test_more_houses_alike_make_the_chance_better_known(case):
    """A range is known by the general studies and by the fleet's own houses: twice as many never widen the interval."""
    found = [spread(case, None if n == 0 else Fleet(leaks=(1.0,) * n, loss=(1.0,) * n)) for n in (0, 10, 20, 80)]
    wide = [np.diff(normal_quantile(np.array(s.between(np.array([0.9]))))[:, 0])[0] for s in found]
    assert wide == sorted(wide, reverse=True) and wide[-1] < 0.7 * wide[0]
    assert np.all(found[1].take(slice(0, 1)).of_mean == found[1].of_mean)


def test_sound_houses_narrow_the_loss(case):
    usual = sum(general_range("walls")) / 3
    learnt, general = (spread(case, f) for f in (Fleet(loss=(usual,) * 30), None))
    assert learnt.variance[0] < general.variance[0]
    assert learnt.mean[0] == pytest.approx(general.mean[0], rel=0.05)


def test_the_draws_of_sensitivity_use_the_same_range(case):
    model, place = replace(case[0], lessons=lessons(LEAKY)), find_place("Duluth, MN")
    leaks = next(u for u in uncertain_inputs(StudyCase(model, place, load_units()["G12-D-230"])) if u.name == "leaks")
    assert (leaks.low, leaks.middle, leaks.high) == model.learnt["leaks"][0] != general_range("leaks")


def test_the_shipped_file_reads_and_a_house_file_may_name_it(tmp_path):
    found = read_fleet(SHIPPED)
    assert len(found.leaks) == 10 and len(found.loss) == 5
    (tmp_path / "fleet.csv").write_text(SHIPPED.read_text(encoding="utf-8"), encoding="utf-8")
    by_name, inline = (load_house("starter", [c]) for c in ('fleet="fleet.csv"', f"fleet={{leaks={list(found.leaks)}}}"))
    assert house_model(by_name, 0.0, tmp_path).learnt["leaks"] == house_model(inline).learnt["leaks"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("house,ach50\na,4\n", "unknown column"),
        ("house,stated_ach50\na,4\n", "no pair"),
        ("house,stated_ach50,measured_ach50\na,4,\n", "measured_ach50"),
        ("house,stated_ach50,measured_ach50\na,4,400\n", "same unit"),
        ("house,stated_ach50,measured_ach50\na,4,five\n", "number"),
        ("house,stated_ach50,measured_ach50\na,4,5,6\n", "after the last column"),
        ("", "no pair"),
    ],
)
def test_bad_files_are_one_line(tmp_path, text, words):
    (tmp_path / "fleet.csv").write_text(text)
    with pytest.raises(InputError, match=words):
        read_fleet(tmp_path / "fleet.csv")
