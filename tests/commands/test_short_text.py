"""What a command says by default: at most 25 lines, the decision first, no warning left out, and the rest by its name."""

import re

import pytest

from heatcalc.cli import main
from heatcalc.render.as_text import A_PLACE, MOST_SHORT, as_short_text, as_text
from heatcalc.report.report import Caution, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Column, Table

PHOENIX = ["plover-26g", "--package", "Hearth", "--place", "85001"]
MOVES = ["--place", "Duluth, MN; May-Oct", "--place", "Phoenix, AZ; Nov-Apr"]
ASKED = [
    *([command, *house] for command in ("size", "supply", "loads", "year", "explain") for house in ((), PHOENIX)),
    ["explain", *PHOENIX, "cooling_load"],
    ["compare", "--packages", "Breeze,Hearth"],
    ["place", "Duluth, MN"],
    ["place", "Duluth, MN", "85001"],
    ["unit"],
    ["unit", "G12-C-230", "--place", "Duluth, MN"],
    ["unit", "G12-C-230", "--place", "Duluth, MN", "--place", "Leadville, CO", "--house", "plover-26g"],
    ["unit", "G12-C-230", "G09-C-115", "--house", "plover-26g", "--place", "85001"],
    ["assembly"],
    ["assembly", "Breeze wall", "--place", "Bozeman, MT"],
    ["bridge"],
    ["bridge", "wheel-well"],
    ["log", "owner_log_invented"],
    ["orders", "--model", "plover-26g", "--packages", "all", "--place", "Duluth, MN", "--place", "77002", "--workers", "1"],
    ["reach", "plover-26g", "--package", "Breeze", "--unit", "G12-C-230"],
]


@pytest.mark.parametrize("words", ASKED, ids=" ".join)
def test_every_question_is_answered_in_25_lines(words, capsys):
    assert main(words) == 0
    text = capsys.readouterr().out
    assert text.count("\n") <= MOST_SHORT == 25, text
    assert max(map(len, text.splitlines())) < 200


@pytest.mark.parametrize("command", ["size", "supply"])
def test_a_house_that_moves_has_some_lines_more_for_each_place(command, capsys):
    assert main([command, *MOVES]) == 0
    text = capsys.readouterr().out
    assert text.count("\n") <= MOST_SHORT + 2 * A_PLACE, text
    assert re.search(r"^Order ", text, re.MULTILINE) and "\nCautions: " in text


def _report(rows: int, warnings: int) -> Report:
    points = [f"warning {n} " + "of many words " * 12 for n in range(warnings)]
    many = Table("many", "", (Column("name"), Column("watts", unit="W", decimals=0)), tuple((f"row {n}", n) for n in range(rows)))
    body = chapters(
        chapter("Rows", many, Note("small print " * 20)),
        chapter("Behind", "said in full", more=True),
        chapter("Warnings", *bullets(points, Caution)),
    )
    return Report("demo", "A title", decision=(Sentence("Decided."),), chapters=body)


@pytest.mark.parametrize(("rows", "warnings"), [(3, 2), (60, 3), (60, 9), (60, 40)])
def test_rows_give_way_and_no_warning_does(rows, warnings):
    """Each warning's first words stand there; rows that are left out are counted, and what is kept back is named."""
    short, full = (as_text(_report(rows, warnings), "ip", whole) for whole in (False, True))
    assert all(f"- warning {n} " in short and f"row {k}" in full for n in range(warnings) for k in range(rows))
    shown, said = len(re.findall(r"^  row \d+", short, re.MULTILINE)), re.search(r"… (\d+) more rows with --full", short)
    assert shown + (int(said[1]) if said else 0) in ((rows,) if warnings < 40 else (0,))
    assert short.count("\n") + 1 <= max(25, warnings + 6) and "said in full" not in short
    named = re.search(r"--full shows the rest: (.*)", short, re.DOTALL)[1]
    assert "behind" in named and ("whole warnings" in named) == ("…\n  - warning" in short)


def test_several_reports_say_a_caution_once():
    one = _report(3, 2)
    both = as_short_text([one, one], "ip")
    assert both.count("- warning 1") == 1 and both.count("Decided.") == 2
