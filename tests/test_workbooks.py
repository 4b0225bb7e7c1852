"""Every workbook once more, with another house and another place; and the guard on its parameters."""

import ast
import sys
from pathlib import Path

import pytest

nbformat = pytest.importorskip("nbformat", reason="the notebooks extra is not installed")

from heatcalc.errors import InputError  # noqa: E402
from heatcalc.notebooks import declared_parameters, read_parameters, with_parameters  # noqa: E402

WORKBOOKS = sorted((Path(__file__).parents[1] / "workbooks").glob("*.ipynb"))
OTHER = {"house": "starter", "place": "Phoenix, AZ", "places": "Seattle, WA; Duluth, MN", "areas": "sun; ground", "units": "si"}


@pytest.fixture(scope="module")
def shell():
    """What a kernel runs its cells in, without a process of its own; everything that is shown is made in every format."""
    from IPython.core.interactiveshell import InteractiveShell
    from IPython.core.pylabtools import select_figure_formats

    main = sys.modules["__main__"]
    made = InteractiveShell.instance()
    sys.modules["__main__"] = main  # the shell puts a module of its own there, from which no process can be begun
    select_figure_formats(made, {"png"})
    made.display_formatter.active_types = list(made.display_formatter.formatters)
    yield made
    InteractiveShell.clear_instance()


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda p: p.stem)
def test_runs_with_another_house_and_place(path, tmp_path, monkeypatch, shell, capsys):
    monkeypatch.chdir(tmp_path)
    notebook = nbformat.read(path, as_version=4)
    declared = declared_parameters(notebook)
    other = OTHER | ({"places": OTHER["places"].replace(";", " |")} if "|" in str(declared.get("places")) else {})
    words = [f"{name}={value}" for name, value in other.items() if name in declared]
    shell.reset(new_session=False)
    for cell in with_parameters(notebook, read_parameters(words, declared)).cells:
        if cell.cell_type == "code":
            shell.run_cell(cell.source).raise_error()
    import matplotlib.pyplot as plt

    plt.close("all")


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda p: p.stem)
def test_keeps_the_house_style(path):
    """First cell prose, parameters second or third, no function definitions, short cells, outputs kept, no timings."""
    notebook = nbformat.read(path, as_version=4)
    assert notebook.cells[0].cell_type == "markdown"
    assert declared_parameters(notebook)
    for cell in notebook.cells:
        assert "execution" not in cell.metadata
        if cell.cell_type == "code":
            assert len(cell.source.splitlines()) <= 12
            assert not any(isinstance(n, (ast.FunctionDef, ast.ClassDef)) for n in ast.walk(ast.parse(cell.source)))
    assert sum(c.cell_type == "markdown" for c in notebook.cells) >= 0.4 * len(notebook.cells)


def test_parameters_are_checked_before_anything_runs():
    declared = {"house": "plover-26g", "count": 3, "share": 0.5, "flag": True}
    assert read_parameters(["count=4", "share=1", "flag=false"], declared) == {"count": 4, "share": 1.0, "flag": False}
    for word, hint in (("huose=x", "house"), ("count=four", "int"), ("house", "name=value")):
        with pytest.raises(InputError, match=hint):
            read_parameters([word], declared)


def test_a_parameter_cannot_carry_code(tmp_path):
    path = WORKBOOKS[0]
    notebook = nbformat.read(path, as_version=4)
    evil = 'x"\nimport os; os.system("touch pwned")\n"'
    source = next(
        c for c in with_parameters(notebook, {"house": evil}).cells if "injected-parameters" in c.metadata.get("tags", [])
    ).source
    assert [type(n) for n in ast.parse(source).body] == [ast.Assign]
