"""heatcalc reach: text, JSON, CSV and maps, and one line for bad input."""

import csv
import json

import pytest

from heatcalc.cli import main


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


def test_text_has_the_rule_of_thumb_and_zones(capsys):
    assert main(["reach", "--package", "Breeze", "--unit", "G12-C-230", "--units", "si"]) == 0
    said = capsys.readouterr().out
    for words in ("by climate zone", "common practice, no source", "W/m²", "licensed practice"):
        assert words in said


@pytest.mark.parametrize(("argv", "words"), [
    (["--unit", "G9"], "G9"), (["--package", "Herth"], "Hearth"), (["--workers", "0"], "1 to 256"),
    (["no-such-house.toml"], "no-such-house")])
def test_bad_input_is_one_line(argv, words, capsys):
    assert main(["reach", *argv]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and words in said
