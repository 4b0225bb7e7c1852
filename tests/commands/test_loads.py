"""`heatcalc loads` as an engineer types it, good and bad."""

import json

import pytest

from heatcalc.cli import main


def run(capsys, *words):
    """Exit code, stdout, stderr of one command."""
    code = main(list(words))
    out = capsys.readouterr()
    return code, out.out, out.err


def test_a_bare_call_shows_everything_side_by_side(capsys):
    code, out, err = run(capsys, "loads", "--full")
    assert code == 0 and not err
    for words in (
        "load factor  time series",
        "Where they part and why",
        "limit: all glass",
        "U x A x difference",
        "floor: skirted",
        "Outdoor air by every route",
        "manufactured-home default",
        "ASHRAE 62.2 by formula",
        "fan and half",
        "Indoor humidity in winter",
        "CO2",
        "Does the unit dry enough",
        "Peak sensible cooling by month",
        "24 CFR 3280.506",
        "not a certificate",
        "2021 IECC at most",
        "Warming up after a cold soak",
        "licensed",
    ):
        assert words in out


def test_json_closes_and_is_the_same_twice(capsys):
    code, out, _ = run(capsys, "loads", "--json")
    again = run(capsys, "loads", "--json")[1]
    record = json.loads(out)
    assert code == 0 and out == again
    for part in ("heating", "cooling"):
        rows = record["methods"][part]
        total = record["heating_load_W"] if part == "heating" else record["cooling_sensible_W"]
        assert sum(row["network_W"] for row in rows) == pytest.approx(total)
    assert len(record["peaks"]) % 8 == 0 and max(c["peak_W"] for c in record["peaks"]) == pytest.approx(
        record["cooling_sensible_W"]
    )
    assert sum(x["loss_W"] for x in record["sheet"]) < record["methods"]["time_series"]["heating_W"]


@pytest.mark.parametrize("method", ["network", "load-factor", "time-series"])
def test_one_method_alone(capsys, method):
    code, out, _ = run(capsys, "loads", "--method", method, "--units", "si")
    assert code == 0 and " W" in out and "Btu" not in out and "load factor  time series" not in out


def test_files_are_written_whole_and_the_same_twice(capsys, tmp_path):
    for name in ("one", "two"):
        assert run(capsys, "loads", "-o", str(tmp_path / name))[0] == 0
    names = sorted(p.name for p in (tmp_path / "one").iterdir())
    assert names == ["loads.html", "methods.png", "methods.svg", "months-and-ways.png", "months-and-ways.svg", "result.json"]
    assert all((tmp_path / "one" / n).read_bytes() == (tmp_path / "two" / n).read_bytes() for n in names)


def test_a_place_without_bins_dew_points_or_a_rule_zone(capsys):
    code, out, err = run(capsys, "loads", "plover-26g", "--place", "Ottawa, ON", "--full")
    assert code == 0 and not err
    assert "none in this record" in out and "in none of its zones" in out


@pytest.mark.parametrize(
    "change", ["below.kind=slab", "below.kind=skirted", "ventilation.kind=none", "living.people=0", "ventilation.kind=balanced"]
)
def test_other_houses(capsys, change):
    code, out, err = run(capsys, "loads", "plover-26g", "--place", "Denver, CO", "--set", change, "--full")
    assert code == 0 and not err and "nan" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["plover-26g", "--place", "Nowhere, ZZ"], "place"),
        (["plover-26g"], "--place"),
        (["no-such-house", "--place", "Denver, CO"], "house"),
        (["--set", "air.tightness=12 bananas"], "tightness"),
    ],
)
def test_wrong_words_are_one_line_and_exit_2(capsys, words, said):
    code, out, err = run(capsys, "loads", *words)
    assert code == 2 and out == "" and said in err and err.count("\n") == 1
