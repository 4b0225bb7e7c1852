"""`heatcalc lab`: the workbooks copied whole or not at all, JupyterLab started on the copy, one line for what is missing."""

import importlib.util
import shutil
import subprocess
import sys

import pytest

from heatcalc.cli import main
from heatcalc.files import folder


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_the_copy_is_whole_and_stays(tmp_path, capsys):
    assert main(["lab", "--no-open"]) == 0
    copy = tmp_path / "heatcalc-workbooks"
    assert capsys.readouterr().out == "workbooks are in heatcalc-workbooks\n"
    shipped = {p.relative_to(folder("workbooks")) for p in folder("workbooks").rglob("*.toml")}
    assert shipped and shipped == {p.relative_to(copy) for p in copy.rglob("*.toml")}
    (copy / "mine.txt").write_text("mine")
    assert main(["lab", "--no-open"]) == 0
    assert (copy / "mine.txt").read_text() == "mine" and [p.name for p in tmp_path.iterdir()] == ["heatcalc-workbooks"]


@pytest.mark.parametrize(("ended", "code"), [(0, 0), (1, 1), (-15, 1), (130, 1)])
def test_jupyterlab_is_started_on_the_copy(monkeypatch, ended, code):
    started = []
    monkeypatch.setattr(subprocess, "call", lambda words: started.append(words) or ended)
    assert main(["lab", "books"]) == code
    assert started == [[sys.executable, "-m", "jupyterlab", "--notebook-dir", "books"]]


def test_without_jupyterlab_the_copy_is_there_and_a_line_says_what_to_install(tmp_path, monkeypatch, capsys):
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "jupyterlab" else find(name))
    assert main(["lab", "books"]) == 1
    assert capsys.readouterr().err == 'heatcalc: jupyterlab is not installed: pip install "heatcalc[notebooks]"\n'
    assert (tmp_path / "books" / "size_heat_pump.ipynb").exists()


def test_a_file_is_no_folder(tmp_path, capsys):
    (tmp_path / "books").write_text("mine")
    assert main(["lab", "books"]) == 2
    assert "is a file; name a folder" in capsys.readouterr().err
    assert main(["lab", "books/inside"]) == 1
    assert capsys.readouterr().err.startswith("heatcalc: cannot write inside: ")
    assert (tmp_path / "books").read_text() == "mine"


NO_SPACE = OSError(28, "No space left on device")


@pytest.mark.parametrize("problem", [NO_SPACE, shutil.Error([("a", "b", "no")]), KeyboardInterrupt()])
def test_a_copy_that_fails_leaves_nothing(tmp_path, monkeypatch, capsys, problem):
    def half(source, target, **_):
        target.mkdir()
        (target / "half.toml").write_text("x = ")
        raise problem

    monkeypatch.setattr(shutil, "copytree", half)
    assert main(["lab", "books"]) == 1
    err = capsys.readouterr().err
    assert err.count("\n") == 1 and list(tmp_path.iterdir()) == []


def test_another_run_that_was_faster_wins(tmp_path, monkeypatch):
    whole = shutil.copytree

    def slowly(source, target, *words, **other):
        whole(source, target, *words, **other)
        (tmp_path / "books").mkdir(exist_ok=True)
        (tmp_path / "books" / "first.txt").write_text("first")

    monkeypatch.setattr(shutil, "copytree", slowly)
    assert main(["lab", "books", "--no-open"]) == 0
    assert [p.name for p in (tmp_path / "books").iterdir()] == ["first.txt"]


def test_a_name_that_steers_the_terminal_is_refused(tmp_path, capsys):
    assert main(["lab", "a\x1b[2J", "--no-open"]) == 2
    assert "\x1b" not in capsys.readouterr().err and list(tmp_path.iterdir()) == []
