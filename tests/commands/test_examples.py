"""Every example of every help page, as a reader would try it, with shipped files in the place of the reader's own."""

import shlex
import shutil
from importlib import import_module
from pathlib import Path

import pytest

from heatcalc.cli import COMMANDS, main

ROOT = Path(__file__).resolve().parents[2]
OWN_FILES = {
    "my-house.toml": "workbooks/houses/starter.toml",
    "mine.toml": "workbooks/assemblies/walls.toml",
    "my-detail.toml": "workbooks/details/eave.toml",
    "my-submittal.csv": "workbooks/units/example_submittal.csv",
    "other.toml": "workbooks/units/example_submittal.toml",
    "my-log.csv": "workbooks/logs/owner_log_invented.csv",
}
ELSEWHERE = {  # tried by tests of their own: they wait, need a network, a kernel, a cluster of years or a file of a year
    "page",
    "lab",
    "run",
    "reach",
    "orders",
    "sensitivity",
    "--fetch",
    "--pdf",
    "run-load.pdf",
    "logger.csv",
    "bills.csv",
    "my-tariff.toml",
    "case.json",
    "papers/case.json",
    "wall-a",
}


def examples() -> list[list[str]]:
    """The words of every line of a help page that begins with the program's name."""
    pages = [import_module(f"heatcalc.commands.{name}").__doc__ or "" for name in COMMANDS]
    lines = [line.strip() for page in pages for line in page.splitlines()]
    return [shlex.split(line, comments=True)[1:] for line in lines if line.startswith("heatcalc ")]


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder that holds what the examples call the reader's own files."""
    for name, source in OWN_FILES.items():
        shutil.copy(ROOT / source, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("words", [words for words in examples() if not ELSEWHERE & set(words)], ids=shlex.join)
def test_an_example_does_what_it_says(words, folder, capsys):
    typed = [word for word in words if word != ">" and not word.endswith("schema.json") and word != "checks.json"]
    code = main([*typed, "--force"] if typed[0] == "new" else typed)
    shown = capsys.readouterr()
    assert code == 0, shown.err
    assert shown.out.strip()
