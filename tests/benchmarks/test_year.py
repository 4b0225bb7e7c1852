"""Speed of the year, reported, not judged: one walk, a described year, a sweep of designs."""

import importlib.util
from dataclasses import replace
from pathlib import Path
from time import process_time

import numpy as np
import pytest

from heatcalc.model.year_walk import drivers, run_many, run_year
from heatcalc.physics.year.kernel import year, years
from heatcalc.physics.year.kernel_pack import UNLIMITED_PLANT
from heatcalc.physics.zone.network import step_inputs

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
    count = 10 if benchmark.disabled else 1000
    many = [home.modes] * count, [drive] * count, [UNLIMITED_PLANT] * count
    assert len(benchmark.pedantic(lambda: years(*many), rounds=1).sums) == count


@pytest.mark.benchmark_group
def test_four_packages_by_twelve_units(benchmark):
    units = [case.unit(f"G{s}-{c}") for s in ("06", "09", "12", "15", "18", "24") for c in ("C-230", "S-230")]
    homes = [case.house(), case.house("package=Hearth"), case.house('air.tightness="2 ACH50"'), case.house("furniture=30 kg/m2")]
    assert benchmark.pedantic(lambda: run_many(homes, case.brings(WHERE), units, rooms=case.ROOMS), rounds=3).shape == (4, 12)


@pytest.mark.benchmark_group
def test_cost_is_linear_in_variants_and_years(benchmark):
    """Slope of log time over log count (1 is linear), and a variant's cost over its bare matrix product in this very run."""
    home = case.house()
    drive = drivers(home, case.brings(WHERE), "south").drive
    forcing = np.ascontiguousarray(np.vstack([home.modes.forcing, home.modes.end_inputs, home.modes.mean_inputs]).T)
    known = step_inputs(home.modes, drive.inputs)

    def seconds(work) -> float:
        start = process_time()
        work()
        return process_time() - start

    def variants(n: int) -> float:
        many = [home.modes] * n, [drive] * n, [UNLIMITED_PLANT] * n
        return seconds(lambda: years(*many, workers=1))

    def long(n: int) -> float:
        longer = replace(drive, **{k: np.tile(v, (n, *[1] * (v.ndim - 1))) for k, v in vars(drive).items() if np.ndim(v)})
        return seconds(lambda: year(home.modes, longer))

    variants(8)
    counts, lengths = np.array([64, 128, 256, 512]) // (32 if benchmark.disabled else 1), np.array([8, 16, 32])
    costs, walks = [variants(n) for n in counts], [long(n) for n in lengths]
    room, blocks = np.empty((192, forcing.shape[1])), [known[a : a + 192] for a in range(0, len(known), 192)]
    floor = seconds(lambda: [np.matmul(b, forcing, out=room[: len(b)]) for _ in range(counts[-1]) for b in blocks])
    benchmark.extra_info["slope over variants"] = float(np.polyfit(np.log(counts), np.log(costs), 1)[0])
    benchmark.extra_info["slope over years"] = float(np.polyfit(np.log(lengths), np.log(walks), 1)[0])
    benchmark.extra_info["cost over its matrix product"] = costs[-1] / floor
    benchmark.pedantic(lambda: variants(64), rounds=1)
