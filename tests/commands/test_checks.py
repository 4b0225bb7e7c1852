"""`heatcalc checks` as a reviewer types it."""

import json

import pytest

from heatcalc.checks import published as checks
from heatcalc.cli import main


def run(capsys, *words):
    code = main(["checks", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_one_area_shows_print_beside_computed(capsys):
    code, out, err = run(capsys, "moisture", "ground", "--full")
    assert code == 0 and not err
    for words in (
        "ISO 13370",
        "computed",
        "printed",
        "digits",
        "from memory",
        "does not, as known",
        "the table uses another formula",
        "Summary",
        "every check that should reproduce does",
    ):
        assert words in out
    assert "infiltration" not in out


def test_json_carries_source_digits_and_reason(capsys):
    code, out, _ = run(capsys, "supply", "--json") if "supply" in checks.areas() else run(capsys, "generator", "--json")
    rows = json.loads(out)["checks"]
    assert code == 0 and rows[0]["source"] and rows[0]["digits"] == rows[0]["of"]


def test_standard_140_is_named_as_run_elsewhere(capsys):
    code, out, _ = run(capsys, "Standard 140")
    assert code == 0 and "tests/published/test_standard140.py" in out and "run elsewhere" in out


def test_a_failure_is_exit_1(capsys, monkeypatch):
    monkeypatch.setattr(checks, "_evaluate", lambda check: 123.0)
    code, out, _ = run(capsys, "generator")
    assert code == 1 and "DIFFERS" in out and "Should reproduce and do not" in out


@pytest.mark.parametrize("word", ["grund", "nothing like it"])
def test_unknown_area(capsys, word):
    code, out, err = run(capsys, word)
    assert code == 2 and not out and word in err and err.count("\n") == 1
