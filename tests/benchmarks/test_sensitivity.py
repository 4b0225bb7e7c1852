"""Speed of many variants and of many years, reported, not judged."""

from functools import cache

import numpy as np
import pytest

from heatcalc.answers.study.chances import fast_case
from heatcalc.answers.study.tornado import case_of, weathers
from heatcalc.answers.study.uncertain import drawn, uncertain_inputs
from heatcalc.answers.study.years import YearStudy
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place


@cache
def case():
    return case_of(load_house(), find_place("Burlington, VT"), "G12-C-230")[1]


@pytest.mark.benchmark_group
def test_design_loads_of_a_million_variants(benchmark):
    fast, inputs = fast_case(case()), uncertain_inputs(case())
    count = 1_000 if benchmark.disabled else 1_000_000
    shares = np.random.default_rng(1).random((count, len(inputs)))
    values = {u.name: drawn(u, shares[:, k]) for k, u in enumerate(inputs)}
    found = benchmark.pedantic(lambda: (fast.heating_W(values), fast.cooling_W(values)), rounds=2, warmup_rounds=1)
    assert all(np.isfinite(x).all() for x in found)


@pytest.mark.benchmark_group
def test_a_hundred_years_of_a_sobol_sample(benchmark):
    """In one process; groups of a sample share all that their rows have in common."""
    sample = pytest.importorskip("SALib.sample.sobol", reason="the sensitivity extra is not installed")
    used = [u for u in uncertain_inputs(case()) if "year" in u.acts_on]
    problem = {"num_vars": len(used), "names": [u.name for u in used], "bounds": [[0.0, 1.0]] * len(used)}
    shares = sample.sample(problem, 8, calc_second_order=False, seed=1)
    values = {u.name: drawn(u, shares[:, k]) for k, u in enumerate(used)}
    study = YearStudy(case(), weathers(case()), len(used) + 2)
    found = benchmark.pedantic(lambda: study.kWh(values), rounds=2, warmup_rounds=1)
    assert len(found) == 8 * (len(used) + 2) and np.isfinite(found).all()
