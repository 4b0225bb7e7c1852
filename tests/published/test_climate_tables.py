"""The climate tables made anew: from the open packages they come from, from the statistics they were worked out from; and what
climate_data/README.md prints of them.
"""

import csv
import importlib
import os
import re
import sys
from pathlib import Path

import numpy as np
import pytest

from heatcalc.checks import leave_one_out
from heatcalc.files import folder
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.find_place import find_place

DATA = folder("climate_data")
STATISTICS = Path(__file__).parents[3] / "shared" / "climate"
PACKAGES = os.environ.get("HEATCALC_OPEN_DATA", "")
NEEDS = {"zips.csv.gz": "zipcodes", "airfields.csv.gz": "airportsdata", "elevation.gz": "h5py"}
FROM_NPM = ("borders.npz", "towns.csv.gz")


@pytest.fixture(scope="module")
def rebuild():
    sys.path.insert(0, str(DATA))
    yield importlib.import_module("rebuild")
    sys.path.remove(str(DATA))


@pytest.mark.parametrize(
    "name",
    [
        "borders.npz",
        "towns.csv.gz",
        "airfields.csv.gz",
        "known_heights.gz",
        "zips.csv.gz",
        "elevation.gz",
        "us_stations.csv.gz",
        "us_counties.csv.gz",
    ],
)
def test_a_table_made_anew_is_the_file_byte_for_byte(rebuild, name):
    """Each from open packages and the tables before it."""
    if name in FROM_NPM and not PACKAGES:
        pytest.skip("HEATCALC_OPEN_DATA names no folder of the packages climate_data/rebuild.py tells of")
    if name in NEEDS:
        pytest.importorskip(NEEDS[name], reason='an extra, "rebuild", that is not installed')
    assert rebuild.makers(Path(PACKAGES))[name]() == (DATA / name).read_bytes()


@pytest.fixture
def statistics(rebuild):
    if not STATISTICS.is_dir():
        pytest.skip("the statistics of the hourly records lie outside this repository")
    return lambda name: list(csv.DictReader((STATISTICS / name).read_text(encoding="utf-8").splitlines()))


def test_stations_hold_the_statistics_of_the_hourly_records(rebuild, statistics):
    """Every value of every column, but for what README says was put right: three positions, Alaska's heating."""
    held = {row["usaf"]: row for row in rebuild.table("us_stations.csv.gz")}
    for row in statistics("us_stations_tmy3.csv"):
        own = held.pop(row["usaf"])
        put_right = {"lat", "lon", "elev_m"} if row["usaf"] in rebuild.PUT_RIGHT else set()
        put_right |= {"note", *(f"{key}_best_F" for key in rebuild.ALASKA)} if row["state"] == "AK" else set()
        assert {k: v for k, v in row.items() if k not in put_right} == {k: own[k] for k in row if k not in put_right}
    assert not held


def test_bins_coefficients_and_published_values_are_those_of_the_statistics(rebuild, statistics):
    assert rebuild.table("us_station_bins.csv.gz") == statistics("us_stations_bins_5F_monthly.csv")
    assert rebuild.table("model_coefficients.csv") == statistics("design_temp_model_coefficients.csv")
    assert rebuild.table("published_design.csv") == statistics("check_published_design_temps.csv")


def test_canada_holds_its_statistics_but_for_the_hour_taken_out(rebuild, statistics):
    """README: one hour of April or May, and the positions of four stations."""
    moved, months = 0, {f"t{kind}_{month}_F" for kind in ("mean", "max") for month in ("04", "05")}
    for own, row in zip(rebuild.table("canada.csv"), statistics("canada_cwec_stations.csv"), strict=True):
        other = {k for k in {*own} & {*row} if own[k] != row[k]} - {"note"}
        assert len(other & months) == 2 and other - months <= {"lat", "lon"}
        moved += bool(other - months)
    assert moved == 4


def test_all_of_it_is_small():
    assert sum(f.stat().st_size for f in DATA.iterdir() if f.is_file()) <= 4_000_000


def printed_groups() -> dict[str, list[str]]:
    """The table of README: its first column, and the other cells."""
    lines = (DATA / "README.md").read_text(encoding="utf-8").split("| each station from the others |")[1].splitlines()[2:]
    rows = [line.strip("| ").split(" | ") for line in lines[: lines.index("")]]
    return {row[0]: row[1:] for row in rows}


def shown(group: leave_one_out.Group) -> str:
    """Bias and SD in F; share within one and within 1.96 sigma in %."""
    bias = re.sub(r"^[+-]0\.0$", "0.0", f"{group.bias_F:+.1f}")
    return f"{bias}, {group.sd_F:.1f}; {group.within_1:.0f}/{group.within_2:.0f}"


def test_readme_prints_what_the_checks_compute():
    """Every group, every percentile, to the printed digit; and the worst errors."""
    groups = [*leave_one_out.summary(), *(leave_one_out.unseen(key) for key in leave_one_out.NAMES)]
    computed: dict[str, list[str]] = {}
    for group in groups:
        computed.setdefault(group.where, [f"{group.n}"]).append(shown(group))
    printed = {name.removesuffix(" (whole sigma)"): cells for name, cells in printed_groups().items()}
    assert printed == computed
    worst = ", ".join(f"{g.worst_F:.1f}" for g in groups if g.where == "lower 48")
    assert f"Worst errors in the lower 48: {worst} F" in (DATA / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("grade", ["A", "B", "C"])
def test_a_station_left_out_is_graded_as_a_place_where_it_is_not_in_the_tables(grade, monkeypatch):
    """`place` at the position and height of one that lies in the lower 48, with the table less its row."""
    known, names = tables.stations(), tables.header("us_stations.csv.gz")
    left_out = next(i for i in np.flatnonzero(leave_one_out.grades() == grade) if 24.0 < known.lat[i] < 50.0)
    rest = [
        line for line in tables.lines("us_stations.csv.gz") if line.split(",", 1)[0] in {*known.usaf} - {known.usaf[left_out]}
    ]
    monkeypatch.setattr(tables, "stations", lambda: tables.Stations(names, rest))
    at = f"{known.lat[left_out]},{known.lon[left_out]},{known.elevation_m[left_out]} m"
    assert find_place(at).grade == grade
