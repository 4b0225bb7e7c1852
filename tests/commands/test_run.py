"""Workbooks run from the command line: what a failing cell, a dying kernel or a missing package says; nothing half-written."""

import importlib.util

import pytest

nbformat = pytest.importorskip("nbformat", reason="the notebooks extra is not installed")

from heatcalc import notebooks  # noqa: E402
from heatcalc.cli import main  # noqa: E402
from heatcalc.errors import NoAnswer  # noqa: E402


def workbook(folder, *cells, tags=("parameters",)):
    first = nbformat.v4.new_code_cell("x = 1", metadata={"tags": list(tags)})
    path = folder / "book.ipynb"
    nbformat.write(nbformat.v4.new_notebook(cells=[first, *map(nbformat.v4.new_code_cell, cells)]), path)
    return path


def run(folder, capsys, *words):
    code = main(["run", str(folder / "book.ipynb"), "-o", str(folder / "out"), *words])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_workbook_runs_and_its_copy_is_kept(tmp_path, capsys):
    workbook(tmp_path, "print(x + 1)")
    code, out, err = run(tmp_path, capsys, "-p", "x=4")
    assert (code, err) == (0, "") and out.startswith("5\nwrote ")
    assert nbformat.read(tmp_path / "out" / "book-run.ipynb", as_version=4).cells[2].outputs[0].text == "5\n"


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("import os; os._exit(3)", "the workbook's kernel died in cell 2; nothing was written"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGKILL)", "the workbook's kernel died in cell 2; nothing was written"),
        ("raise SystemExit(3)", "the workbook stopped in cell 2: SystemExit: 3"),
        ("1 / 0", "the workbook stopped in cell 2: ZeroDivisionError: division by zero"),
        ("raise ValueError('\\x1b[2J red\\nand more')", "the workbook stopped in cell 2: ValueError: ?[2J red and more"),
        ("input('name?')", "StdinNotImplementedError"),
    ],
)
def test_what_goes_wrong_in_a_cell_is_one_line(tmp_path, capsys, cell, says):
    workbook(tmp_path, cell, "print('never')")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "book-run.ipynb").write_text("old")
    code, out, err = run(tmp_path, capsys)
    assert code == 1 and out == "" and err.count("\n") == 1 and says in err and "\x1b" not in err
    assert [p.read_text() for p in (tmp_path / "out").iterdir()] == ["old"]


def test_a_cell_that_takes_too_long_is_one_line(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(notebooks, "LONGEST_CELL_S", 1)
    workbook(tmp_path, "import time; time.sleep(30)")
    code, _, err = run(tmp_path, capsys)
    assert code == 1 and err == "heatcalc: cell 2 of the workbook took longer than 0 minutes\n"


def test_a_kernel_that_does_not_start_is_one_line(tmp_path, capsys, monkeypatch):
    from jupyter_client.kernelspec import KernelSpecManager, NoSuchKernel

    def none(self, name):
        raise NoSuchKernel(name)

    monkeypatch.setattr(KernelSpecManager, "get_kernel_spec", none)
    workbook(tmp_path, "1")
    code, _, err = run(tmp_path, capsys)
    assert code == 1 and err.count("\n") == 1 and "the workbook's kernel did not start" in err


@pytest.mark.parametrize("absent", notebooks.NEEDED)
def test_a_missing_package_says_what_to_install(tmp_path, capsys, monkeypatch, absent):
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == absent else find(name))
    workbook(tmp_path, "1")
    code, _, err = run(tmp_path, capsys)
    assert code == 1 and err == f'heatcalc: {absent} is not installed: pip install "heatcalc[notebooks]"\n'


def test_what_is_no_workbook_is_refused(tmp_path, capsys):
    workbook(tmp_path, "1", tags=())
    assert "has no cell tagged" in run(tmp_path, capsys)[2]
    for content in (
        "{}",
        "[]",
        '{"nbformat": 4}',
        '{"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": [{}]}',
        '{"nbformat": 9, "nbformat_minor": 5, "metadata": {}, "cells": []}',
        "null",
        "1",
        "\ufeff",
    ):
        (tmp_path / "book.ipynb").write_text(content, encoding="utf-8")
        code, _, err = run(tmp_path, capsys)
        assert code == 2 and err.count("\n") == 1 and "is not a Jupyter notebook" in err, content
    assert not (tmp_path / "out").exists()


def test_an_unknown_workbook_is_answered_with_the_nearest(capsys):
    assert main(["run", "size_heat_pum"]) == 2
    assert 'did you mean "size_heat_pump"?' in capsys.readouterr().err


def test_timings_are_left_out_and_outputs_kept(tmp_path):
    path = workbook(tmp_path, "print('kept')")
    notebooks.refresh(path)
    cell = nbformat.read(path, as_version=4).cells[1]
    assert cell.outputs[0].text == "kept\n" and "execution" not in cell.metadata


def test_refreshing_a_broken_workbook_leaves_it(tmp_path):
    path = workbook(tmp_path, "1 / 0")
    before = path.read_bytes()
    with pytest.raises(NoAnswer):
        notebooks.refresh(path)
    assert path.read_bytes() == before
