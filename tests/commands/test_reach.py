"""heatcalc reach: text, JSON, CSV and maps, and one line for bad input."""

import csv
import json
from dataclasses import replace

import numpy as np
import pytest

from heatcalc.answers.reach.reach_parts import reach_by_parts
from heatcalc.answers.reach.reach_study import reach
from heatcalc.cli import main
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place, find_places
from heatcalc.inputs.place.place_list import listed_places
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.sites import counties, sites_of, stations
from heatcalc.judge.sizing import size_house
from heatcalc.render.as_text import as_text
from heatcalc.report.about_reach import about_reach, places_csv, reach_csv, reach_lines

UNIT = load_units()["G12-C-230"]


def test_one_package_and_two_units_with_files(tmp_path, capsys):
    argv = ["reach", "--package", "Hearth", "--unit", "G09-C-230", "--unit", "G12-C-230", "-o", str(tmp_path), "--json"]
    assert main(argv) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["places"] == 1009 and record["unit"] == "G09-C-230"
    small, large = record["packages"][0]["units"]
    assert large["verdict"]["fits"] > small["verdict"]["fits"] > large["verdict"]["too small"]
    assert sum(small["verdict"].values()) == pytest.approx(1.0)
    lines = list(csv.DictReader((tmp_path / "reach.csv").read_text().splitlines()))
    assert len(lines) == 2 * 1009
    share = sum(r["verdict"] == "fits" for r in lines if r["unit"] == "G09-C-230") / 1009
    assert share == pytest.approx(small["verdict"]["fits"])
    for name in ("reach-map", "reach-units", "reach-zones"):
        assert (tmp_path / f"{name}.png").stat().st_size > 30_000


def test_a_list_of_places_is_each_place_itself(tmp_path, capsys):
    """A column of a CSV; each row's loads and verdict are those of `size` there; a list too long for years says so."""
    (tmp_path / "p.csv").write_text('buyer,place\na,"Duluth, MN"\nb,77002\nc,"Bozeman, MT"\n', encoding="utf-8")
    asked = ["reach", "plover-26g", "--package", "Breeze", "--unit", "G12-C-230"]
    assert main([*asked, "--places", str(tmp_path / "p.csv"), "-o", str(tmp_path / "out"), "--json"]) == 0
    rows = list(csv.DictReader((tmp_path / "out" / "reach.csv").read_text().splitlines()))
    assert [r["key"] for r in rows] == ["Duluth, MN", "77002", "Bozeman, MT"]
    for row in rows:
        sized = size_house(load_house("plover-26g", (), "Breeze"), find_place(row["key"]), {"G12-C-230": UNIT}, walk=False)
        assert float(row["heating_W"]) == pytest.approx(sized.heating.load_W, abs=0.06)
        assert row["verdict"] == sized.candidates[0].verdict
    assert listed_places(tmp_path / "p.csv") == ["Duluth, MN", "77002", "Bozeman, MT"] and len(listed_places("zips")) > 40_000
    for words, hint in ((["--year"], "at most 5,000 places"), (["--counties"], "say it once")):
        assert main([*asked, "--places", "zips", *words]) == 2 and hint in capsys.readouterr().err


def test_a_list_in_parts_is_the_list_in_one_piece_and_goes_on(tmp_path):
    """To the byte, over two packages; a part that is kept is not judged again, another house's is."""
    places = ["Duluth, MN", "77002", "Bozeman, MT", "33101", "Leadville, CO"]
    asked = "plover-26g", ("Breeze", "Hearth"), ("G09-C-115", "G12-C-230"), ("supply.cord=30 A 120/240 V",)
    whole = reach(*asked, replace(sites_of(find_places(places)), key=tuple(places)))

    def parts(*said, **more):
        return reach_by_parts(*said, places, map, tmp_path, at_once=2, **more)

    found = parts(*asked)
    for told in (reach_csv, places_csv, lambda r: as_text(about_reach(r, "G12-C-230"), "ip", full=True)):
        assert told(found) == told(whole)
    lines: list[str] = []
    few = parts(*asked, each=lambda part: lines.extend(reach_lines(part, head=not lines)))
    assert "".join(lines) == reach_csv(whole)
    assert about_reach(few, "G12-C-230") == about_reach(found, "G12-C-230")
    for figure in about_reach(few, "G12-C-230").figures.values():
        figure.draw("ip")
    next(tmp_path.glob("*.npz")).unlink()
    before = {f: f.stat().st_mtime_ns for f in tmp_path.iterdir()}
    assert len(before) == 2 and reach_csv(parts(*asked)) == reach_csv(whole)
    assert len(list(tmp_path.iterdir())) == 3 and all(f.stat().st_mtime_ns == at for f, at in before.items())
    assert len(parts(*asked[:3], ("air.tightness=2 ACH50",)).sites) == 5 and len(list(tmp_path.iterdir())) == 6


@pytest.mark.parametrize("cord", ["30 A 120 V", "50 A 120/240 V"])
def test_both_maps_say_the_same_of_the_supply(cord):
    """Where the recommended unit is the one of the first map, both mark the place alike; some keep the larger supply."""
    some = stations().take(slice(0, 1009, 20))
    p = reach("plover-26g", ("Hearth",), ("G09-C-115", "G12-D-230"), (f"supply.cord={cord}",), some).packages[0]
    for k, name in enumerate(("G09-C-115", "G12-D-230")):
        here = p.best == k
        assert here.any() and (p.kept[here] == p.unit(name).kept[here]).all()
    assert p.kept.any() == (cord == "50 A 120/240 V")


def test_text_has_the_rule_of_thumb_and_zones(capsys):
    assert main(["reach", "--package", "Breeze", "--unit", "G12-C-230", "--units", "si"]) == 0
    said = capsys.readouterr().out
    for words in ("by climate zone", "common practice, no source", "W/m²", "licensed practice"):
        assert words in said


def test_a_stopped_walk_keeps_the_places_that_are_done():
    done: list[int] = []

    def told(places: int) -> None:
        done.append(places)
        raise KeyboardInterrupt

    few = counties().take(range(0, 3143, 100))
    found = reach(None, ["Breeze"], ["G12-C-230"], where=few, year=True, workers=1, told=told)
    assert found.years.walked == done[0] == 12 < len(few)
    heat = found.years.sums["heating_kWh"][0, 0]
    assert np.isfinite(heat[:12]).all() and np.isnan(heat[12:]).all()
    lines = list(csv.DictReader(reach_csv(found).splitlines()))
    assert [bool(r["heating_kWh"]) for r in lines] == [True] * 12 + [False] * (len(few) - 12)
    assert "stopped early, the first 12 of 32 places" in as_text(about_reach(found), "ip")
    assert about_reach(found).values["years_walked"] == 12


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["--unit", "G9"], "G9"),
        (["--package", "Herth"], "Hearth"),
        (["--workers", "0"], "1 to 256"),
        (["no-such-house.toml"], "no-such-house"),
    ],
)
def test_bad_input_is_one_line(argv, words, capsys):
    assert main(["reach", *argv]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and words in said
