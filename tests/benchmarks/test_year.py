"""Speed of the year, reported, not judged: one walk, a described year, a sweep of designs."""

import importlib.util
from pathlib import Path

import pytest

from heatcalc.model.year_walk import drivers, run_many, run_year
from heatcalc.physics.year.kernel import year, years
from heatcalc.physics.year.kernel_inputs import UNLIMITED_PLANT

spec = importlib.util.spec_from_file_location("year_case", Path(__file__).parents[1] / "regression" / "year_case.py")
case = importlib.util.module_from_spec(spec)
spec.loader.exec_module(case)
WHERE = "Burlington, VT"


@pytest.mark.benchmark_group
def test_one_walk(benchmark):
    home = case.house()
    drive = drivers(home, case.brings(WHERE), "south").drive
    assert benchmark(lambda: year(home.modes, drive)).annual("heat_kWh") > 0


@pytest.mark.benchmark_group
def test_a_described_year_four_ways(benchmark):
    home, brings, unit = case.house(), case.brings(WHERE), case.unit("G12-C-230")
    assert len(benchmark(lambda: run_year(home, brings, unit, rooms=case.ROOMS)).ways) == 4


@pytest.mark.benchmark_group
def test_a_thousand_variants_of_one_weather(benchmark):
    home = case.house()
    drive = drivers(home, case.brings(WHERE), "south").drive
    many = [home.modes] * 1000, [drive] * 1000, [UNLIMITED_PLANT] * 1000
    assert len(benchmark.pedantic(lambda: years(*many), rounds=1).sums) == 1000


@pytest.mark.benchmark_group
def test_four_packages_by_twelve_units(benchmark):
    units = [case.unit(f"G{s}-{c}") for s in ("06", "09", "12", "15", "18", "24") for c in ("C-230", "S-230")]
    homes = [case.house(), case.house("package=Hearth"), case.house('air.tightness="2 ACH50"'), case.house("furniture=30 kg/m2")]
    assert benchmark.pedantic(lambda: run_many(homes, case.brings(WHERE), units, rooms=case.ROOMS), rounds=3).shape == (4, 12)
