"""The house rules of the code itself: imports point down, files and bodies stay small, pint lives in one file."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "heatcalc"
FILES = sorted(PACKAGE.rglob("*.py"))
LAYER = {"tables": 0, "physics": 1, "inputs": 2, "answers": 3, "show": 4, "commands": 5}
ANYWHERE = {"errors", "units", "resources", "files", "__version__"}


def imports(file: Path):
    """(line, dotted name) of every import in a file, wherever it stands."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def layer_of(file: Path) -> str:
    return file.relative_to(PACKAGE).parts[0]


@pytest.mark.parametrize("file", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_imports_point_down(file):
    """`commands`, `show` -> `answers` -> `inputs` -> `physics` -> `tables`."""
    own = LAYER.get(layer_of(file))
    for line, name in imports(file):
        parts = name.split(".")
        if parts[0] != "heatcalc" or len(parts) < 2 or own is None:
            continue
        other = LAYER.get(parts[1])
        assert other is None or other <= own, f"{file.name}:{line} imports {name} from a layer above"


@pytest.mark.parametrize("file", [f for f in FILES if layer_of(f) == "physics"], ids=lambda f: f.name)
def test_physics_knows_no_pint_no_pandas_no_files(file):
    for line, name in imports(file):
        assert name.split(".")[0] not in {"pint", "pandas", "pathlib"}, f"{file.name}:{line} imports {name}"
        assert not name.startswith("heatcalc.units"), f"{file.name}:{line} imports units"


def test_only_units_imports_pint():
    assert [f.name for f in FILES if any(n.split(".")[0] == "pint" for _, n in imports(f))] == ["units.py"]


@pytest.mark.parametrize("file", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_files_and_bodies_stay_small(file):
    text = file.read_text(encoding="utf-8")
    assert text.count("\n") <= 400, f"{file.name} has more than 400 lines"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            lines = node.end_lineno - node.body[0].lineno + 1
            assert lines <= 50, f"{file.name}:{node.lineno} {node.name} has a body of {lines} lines"


@pytest.mark.parametrize("file", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_public_functions_have_docstrings(file):
    tree = ast.parse(file.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), f"{file.name} has no docstring"
    if layer_of(file) == "commands":
        return
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{file.name}:{node.lineno} {node.name} has no docstring"
