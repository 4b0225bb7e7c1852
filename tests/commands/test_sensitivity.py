"""heatcalc sensitivity: text, JSON, figures, the questions turned round, and one line for bad input."""

import json

import pytest

from heatcalc.cli import main

pytest.importorskip("SALib", reason="the sensitivity extra is not installed")


def test_everything_with_files(tmp_path, capsys):
    argv = ["sensitivity", "--unit", "G12-C-230", "--draws", "2000", "--base", "64", "--limits", "-o", str(tmp_path), "--json"]
    assert main(argv) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["complete"] and len(record["one_at_a_time"]) == len(record["inputs"])
    assert 0 < record["chance"]["heating"]["share"] < 1 and record["quote"][1].startswith("G12-C-230 alone holds")
    assert record["spread"]["heating_W"]["p5"] < record["as_described"]["heating_W"] < record["spread"]["heating_W"]["p95"]
    cold = [c["outdoor_C"] for c in record["turned_round"]["how_cold"]]
    assert cold == sorted(cold, reverse=True)
    for name in ("tornado", "spread", "shares"):
        assert (tmp_path / f"{name}.png").stat().st_size > 15_000


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["--unit", "G9"], "G9"),
        (["--draws", "10"], "--draws"),
        (["--base", "1000"], "power of 2"),
        (["--years", "20"], "300"),
        (["--workers", "0"], "--workers"),
    ],
)
def test_bad_input_is_one_line(argv, words, capsys):
    assert main(["sensitivity", *argv]) == 2
    lines = [x for x in capsys.readouterr().err.splitlines() if x.startswith("heatcalc:")]
    assert len(lines) == 1 and words in lines[0]
