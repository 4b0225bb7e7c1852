"""The program around the commands: help, version, exit codes, one line for each trouble."""

from argparse import ArgumentParser

import pytest

from heatcalc import __version__, cli, files
from heatcalc.commands.common import case_of
from heatcalc.errors import InputError, NoAnswer


def failing(problem):
    def dispatch(words):
        raise problem

    return dispatch


def test_help_and_version(capsys):
    assert cli.main([]) == cli.main(["-h"]) == cli.main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(shown.count(f"\n  {name}") >= 3 for name in cli.COMMANDS)
    assert cli.main(["--version"]) == 0
    assert capsys.readouterr().out == f"heatcalc {__version__}\n"


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_every_command_says_how_it_is_used(name, capsys):
    with pytest.raises(SystemExit) as ended:
        cli.main([name, "--help"])
    assert ended.value.code == 0
    shown = capsys.readouterr().out
    examples = [line for line in shown.splitlines() if line.startswith("  heatcalc ")]
    assert "\nExamples:\n" in shown and any(line.startswith(f"  heatcalc {name}") for line in examples)


def test_a_misspelt_command_is_answered_with_the_likely_one(capsys):
    assert cli.main(["sise"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "not a heatcalc command" in said and "size" in said
    assert cli.main(["qqqqqqqq"]) == 2
    assert "see heatcalc --help" in capsys.readouterr().err


@pytest.mark.parametrize(
    "problem, code, says",
    [
        (InputError("field", 7, "below 5"), 2, "heatcalc: field = 7: below 5"),
        (NoAnswer("no unit\n  carries it"), 1, "heatcalc: no unit carries it"),
        (OSError(28, "No space left on device", "out/sheet\x1b.html"), 1, "heatcalc: out/sheet?.html: No space left on device"),
        (OSError("the disk is gone"), 1, "heatcalc: output: the disk is gone"),
        (KeyboardInterrupt(), 1, "heatcalc: stopped; files already written are whole"),
        (BrokenPipeError(), 0, ""),
    ],
)
def test_every_trouble_is_one_line_and_a_code(problem, code, says, monkeypatch, capsys):
    monkeypatch.setattr(cli, "_dispatch", failing(problem))
    monkeypatch.setattr(cli, "_say_no_more", lambda: None)
    assert cli.main(["size"]) == code
    assert capsys.readouterr().err.strip() == says


def arguments(*words):
    from heatcalc.commands.common import add_case

    parser = ArgumentParser()
    add_case(parser)
    return parser.parse_args(words)


@pytest.mark.parametrize(
    "words, says",
    [
        (("house.toml",), "--place"),
        (("case.json", "--place", "Duluth, MN"), "--place"),
        (("case.json", "--set", "wall=R-21"), "--set"),
        (("case.json", "--units", "si"), "--units"),
    ],
)
def test_what_a_sale_still_needs_or_already_says(words, says):
    with pytest.raises(InputError, match=says):
        case_of(arguments(*words))


def test_a_missing_shipped_folder_is_named():
    assert files.folder("climate_data").is_dir()
    with pytest.raises(FileNotFoundError, match="^attic/ is missing"):
        files.folder("attic")
