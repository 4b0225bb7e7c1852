"""Every workbook once more, with another house and another place; no sentence that states one run's result; its parameters.

HEATCALC_WORKBOOKS=all runs every workbook in every place below; the suite runs each in one of them.
"""

import ast
import os
import re
import sys
from pathlib import Path

import pytest

nbformat = pytest.importorskip("nbformat", reason="the notebooks extra is not installed")

from heatcalc.errors import InputError  # noqa: E402
from heatcalc.notebooks import declared_parameters, read_parameters, with_parameters  # noqa: E402

WORKBOOKS = sorted((Path(__file__).parents[1] / "workbooks").glob("*.ipynb"))
PLACES = ("Phoenix, AZ", "Duluth, MN", "Houston, TX", "Seattle, WA")
OTHER = {"house": "starter", "areas": "sun; ground", "units": "si"}
EVERY = os.environ.get("HEATCALC_WORKBOOKS") == "all"
RUNS = [(path, k) for n, path in enumerate(WORKBOOKS) for k in range(len(PLACES)) if EVERY or k == n % len(PLACES)]

STATES = {
    "a number": r"\d|\b(two|three|four|five|six|seven|eight|nine|ten|twelve|twenty|dozen|hundred|thousand|half|twice)\b",
    "a month": r"\b(January|February|March|April|(?<=[a-z,] )May|June|July|August|September|October|November|December)\b",
    "a winner": r"\b(wins?|winner|leads?|beats?|best|worst|cheapest|dearest|largest|smallest|always|never|sets)\b",
    "a direction": r"\b(north|south|east|west|desert|coast|mountain|rises?|grows?|shrinks?|falls?|saves?|higher|lower|more|less"
    r"|fewer|larger|smaller|colder|warmer|cheaper|dearer|better|worse|longer|shorter)\b",
}
ONLY_IF = re.compile(r"(Where|If|When) [^,:]*,")  # says how to read what is shown, whatever that is
HOLDS_ANYWHERE = {  # how a sentence begins (a quote from code as `): why it is true of every house in every place
    "Who beats whom": "the question",
    "` are parted by bars, ` is the unit": "what the parameters mean",
    "` are names of the house file": "what the parameters mean",
    "` counts houses of a hundred": "what the column means",
    "Electric supply, refrigerant and combustion": "a caution",
    "The section by material": "how to read the figure",
    "Each design value, and how far off": "how the plan is made",
    "Beaten means": "a definition",
    "Everything that draws current, leg by leg": "the evening that the supply is tested in, in every place",
    "The worst hour of a January evening": "the same evening",
    "The design hours on the supply": "the rule for continuous loads",
    "The bars are what each draws": "how to read the figure",
    "One change at a time": "what is tried, in every house",
    "Where do the thermal network and the two hand methods part": "the methods there are",
    "Do three methods agree": "the methods there are",
    "Where they differ: in the network": "a felt temperature lies between air and walls",
    "The same clear day": "what is computed",
    "The darker a cell": "how to read the figure",
    "The buyers here as shipped": "the places of the parameters as shipped",
    "Days near freezing": "how to read the figure",
    "The moisture margin": "a definition, and the standard's number",
    "Filled marks are": "a definition",
    "A long payback": "how to read the table",
    "A temperature, a current and a range": "what a promise is made of",
    "The cold that 99 % of the hours stay above": "what the design values mean",
    "The longest bar": "how to read the figure",
    "One drawn detail, solved in two dimensions": "the method",
}


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


@pytest.mark.parametrize("path, k", RUNS, ids=lambda x: x.stem if isinstance(x, Path) else PLACES[x].partition(",")[0])
def test_runs_with_another_house_and_place(path, k, tmp_path, monkeypatch, shell, capsys):
    monkeypatch.chdir(tmp_path)
    notebook = nbformat.read(path, as_version=4)
    declared = declared_parameters(notebook)
    other = OTHER | {"place": PLACES[k], "places": " | ".join((PLACES[k], PLACES[k - 1])[: 2 - k % 2])}
    words = [f"{name}={value}" for name, value in other.items() if name in declared]
    shell.reset(new_session=False)
    for cell in with_parameters(notebook, read_parameters(words, declared)).cells:
        if cell.cell_type == "code":
            shell.run_cell(cell.source).raise_error()
    import matplotlib.pyplot as plt

    plt.close("all")


def sentences(notebook):
    """What a workbook says whatever its parameters are: its prose without code, and the words its cells print."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            lines = (re.sub(r"`[^`]*`", "`", line).lstrip("# ") for line in cell.source.splitlines())
            yield from (s for line in lines for s in re.split(r"(?<=[.?!]) +", line) if s)
        elif "parameters" not in cell.metadata.get("tags", []):
            prints = [n for n in ast.walk(ast.parse(cell.source)) if isinstance(n, ast.Call) and ast.unparse(n.func) == "print"]
            words = [n for call in prints for n in ast.walk(call) if isinstance(n, ast.Constant)]
            asked = {id(n) for call in prints for inner in call.args for n in names_asked_for(inner)}
            yield from (n.value for n in words if isinstance(n.value, str) and id(n) not in asked)


def names_asked_for(node):
    """Constants that name a table, a figure or a chapter."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Subscript) or (isinstance(inner, ast.Call) and ast.unparse(inner.func).endswith(".chapter")):
            yield from (n for n in ast.walk(inner) if isinstance(n, ast.Constant))


def states(sentence):
    """Which results a sentence states by itself."""
    tells = [kind for kind, pattern in STATES.items() if re.search(pattern, sentence)]
    return [k for k in tells if k in ("a number", "a month") or not (sentence.endswith("?") or ONLY_IF.match(sentence))]


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda p: p.stem)
def test_no_sentence_states_the_result_of_one_run(path):
    """A number, a month, a winner or a direction is computed by a cell, or holds of every house in every place."""
    said = sentences(nbformat.read(path, as_version=4))
    found = [(s, states(s)) for s in said if states(s) and not s.startswith(tuple(HOLDS_ANYWHERE))]
    assert not found


def test_every_exception_is_still_said_and_a_planted_result_is_seen():
    said = [s for path in WORKBOOKS for s in sentences(nbformat.read(path, as_version=4)) if states(s)]
    assert not [begin for begin in HOLDS_ANYWHERE if not any(s.startswith(begin) for s in said)]
    planted = (
        "the cold value sets the heat pump",
        "sun leads in every method",
        "The house peaks in July.",
        "It needs 3,945 Btu/h.",
        "The tight package is better here.",
        "Glass to the west costs most.",
    )
    assert all(map(states, planted))
    assert not any(map(states, ("The bars are sorted.", "Where the line lies lower, heat is missing.", "May this run as well?")))


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
