"""Speed of sweeps over places and over variants, reported, not judged."""

import numpy as np
import pytest

from heatcalc.answers.reach.many_years import rooms_of, unit_tables, walk_place
from heatcalc.answers.reach.reach_study import reach
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.sites import stations
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import year_house

PACKAGES = ("Breeze", "Hearth", "Breeze, tight and skirted", "Hearth, heat recovery")


@pytest.mark.benchmark_group
def test_four_packages_and_all_units_at_every_station(benchmark):
    packages = PACKAGES[:1] if benchmark.disabled else PACKAGES
    found = benchmark.pedantic(lambda: reach(None, packages), rounds=2, warmup_rounds=1)
    assert len(found.packages) == len(packages) and len(found.sites) == 1009


@pytest.mark.benchmark_group
def test_one_place_with_its_years(benchmark):
    models = [house_model(load_house(package=p), 0.0) for p in PACKAGES]
    units = [u for u in load_units().values() if u.size_kBtuh < 24.0]
    tables, homes, place = [unit_tables(units, models[0])], [year_house(m) for m in models], stations().place(500)
    sums, _ = benchmark(lambda: walk_place(homes, rooms_of(models), tables, place))
    assert sums.shape[:2] == (4, len(units)) and np.isfinite(sums).all()
