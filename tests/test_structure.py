"""The house rules of the code itself: imports point down, files and bodies stay small, pint judges from outside."""

import ast
import re
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "heatcalc"
FILES = sorted(PACKAGE.rglob("*.py"))
LAYER = {
    name: height
    for height, name in enumerate(
        ("tables", "physics", "inputs", "supply", "model", "judge", "answers", "checks", "report", "render", "face", "commands")
    )
}
ANYWHERE = {"errors", "wording", "units", "files", "__version__"}


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
    """Each folder knows only those before it in LAYER."""
    own = LAYER.get(layer_of(file))
    for line, name in imports(file):
        parts = name.split(".")
        if parts[0] != "heatcalc" or len(parts) < 2 or own is None:
            continue
        other = LAYER.get(parts[1])
        assert other is None or other <= own, f"{file.name}:{line} imports {name} from a layer above"


ANSWERS = ("envelope", "methods", "unit", "year", "explain", "sale", "study", "reach")


@pytest.mark.parametrize(
    "file", [f for f in FILES if layer_of(f) == "answers" and f.parent.name in ANSWERS], ids=lambda f: f"{f.parent.name}/{f.name}"
)
def test_answers_build_on_earlier_answers(file):
    """Folders of `answers` in the order of ANSWERS: each knows only those before it, and none after."""
    for line, name in imports(file):
        parts = name.split(".")
        if parts[:2] == ["heatcalc", "answers"]:
            assert ANSWERS.index(parts[2]) <= ANSWERS.index(file.parent.name), f"{file.name}:{line} imports {name}"


def test_no_two_files_need_each_other():
    names = {".".join(("heatcalc", *f.relative_to(PACKAGE).with_suffix("").parts)): f for f in FILES if f.name != "__init__.py"}
    needs = {
        own: {n for _, i in imports(f) for n in (i, i.rpartition(".")[0]) if n in names and n != own} for own, f in names.items()
    }
    assert list(TopologicalSorter(needs).static_order())


def test_a_name_means_one_thing():
    """A module's name and a class's name stand once in the package."""
    from tests.measures import MODULES, classes, twice

    assert twice(file.stem for file in MODULES.values()) == [] and twice(classes()) == []


@pytest.mark.parametrize("file", [f for f in FILES if layer_of(f) == "physics"], ids=lambda f: f.name)
def test_physics_knows_no_pint_no_pandas_no_files(file):
    for line, name in imports(file):
        assert name.split(".")[0] not in {"pint", "pandas", "pathlib"}, f"{file.name}:{line} imports {name}"
        assert not name.startswith("heatcalc.units"), f"{file.name}:{line} imports units"


def test_pint_judges_from_outside():
    """Factors are a table; pint checks it (tests/test_units.py) and takes no part in an answer, where loading it is a second."""
    assert not [f.name for f in FILES if any(n.split(".")[0] == "pint" for _, n in imports(f))]


@pytest.mark.parametrize("file", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_files_and_bodies_stay_small(file):
    text = file.read_text(encoding="utf-8")
    assert text.count("\n") <= 400, f"{file.name} has more than 400 lines"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            lines = node.end_lineno - node.body[0].lineno + 1
            assert lines <= 50, f"{file.name}:{node.lineno} {node.name} has a body of {lines} lines"


def offered(tree: ast.Module):
    """Public functions and classes of a file, and the public methods of its classes."""
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from (m for m in node.body if isinstance(m, ast.FunctionDef) and not m.name.startswith("_"))


@pytest.mark.parametrize("file", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_public_functions_have_docstrings(file):
    """A sentence for everything a file offers; a command's two functions are said by the file."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), f"{file.name} has no docstring"
    for node in () if layer_of(file) == "commands" else offered(tree):
        words = ast.get_docstring(node) or ""
        assert words, f"{file.name}:{node.lineno} {node.name} has no docstring"
        assert words.split("\n\n")[0].rstrip()[-1] in ".:?", f"{file.name}:{node.lineno} {node.name} says no sentence"


UNIT = re.compile(
    r"\[[^\]]+\]|\b(dimensionless|shares?|ratios?|factors?|fractions?|coefficients?|multiplier|COP|SHGC|IAC|transmittance|cosine|tangents?|"
    r"emittance|absorptance|reflectance|scores?|weights?|ind(ex|ices)|hours?|degC|W/m2K|0\.\.1|0 to 1)\b",
    re.IGNORECASE,
)
SUFFIX = re.compile(r"_(C|K|W|kWh|Kd|m|km|deg|min|Pa|hPa|h|cm|ua|u|r|y|rate|flow|heat|ratio|volume|enthalpy|density|kWh_m2)$")
SOURCE = re.compile(
    r"\b(ISO|ASHRAE|ANSI|IEC|NEC|DIN|IRC|CFR|IAC|WAC|PS 20|NIST|Regulation|[Tt]able|ch\.|[Aa]nnex|[Mm]anuals?|[Hh]andbook|"
    r"textbook|CoolProp|common practice|own|fitted|[Dd]efinition|[Gg]eometry|balance|exact|closed form|README)\b|"
    r"eqs?\.|\b[A-Z][a-z]+[^.]{0,60}\b(19|20)\d\d\b"
)
NUMBERS = {"float", "int", "Array", "np.ndarray", "ArrayLike", "None", ""}


def gives_numbers(function: ast.FunctionDef) -> bool:
    """Floats and arrays need a unit; a word, a truth or a dataclass (whose fields carry theirs) does not."""
    said = ast.unparse(function.returns) if function.returns else ""
    parts = re.sub(r"tuple\[|list\[|\]|\.\.\.", "", said).replace("|", ",").split(",")
    return said != "None" and all(part.strip() in NUMBERS for part in parts)


DONE = [f for f in FILES if layer_of(f) == "physics"]


@pytest.mark.parametrize("file", DONE, ids=lambda f: f.name)
def test_physics_states_unit_and_source(file):
    """A unit in brackets or a dimensionless word (or a name that ends in its unit); a source, at the function or for the file."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    whole = ast.get_docstring(tree) or ""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            words = ast.get_docstring(node) or ""
            where = f"{file.name}:{node.lineno} {node.name}"
            assert not gives_numbers(node) or UNIT.search(words) or SUFFIX.search(node.name), f"{where} states no unit"
            assert SOURCE.search(words) or SOURCE.search(whole), f"{where} names no source"


def public_names(file: Path) -> set[str]:
    """Functions, classes and constants a file offers."""
    return {
        n.name
        for n in ast.parse(file.read_text(encoding="utf-8")).body
        if isinstance(n, (ast.FunctionDef, ast.ClassDef)) and not n.name.startswith("_")
    }


def words_used(file: Path) -> set[str]:
    """Names and attributes a file reads (a definition or an import alone is no use)."""
    nodes = list(ast.walk(ast.parse(file.read_text(encoding="utf-8"))))
    return {n.id for n in nodes if isinstance(n, ast.Name)} | {n.attr for n in nodes if isinstance(n, ast.Attribute)}


def test_all_physics_is_used():
    """No function that only tests call: the package uses it, or a check against print does."""
    used = set().union(*(words_used(f) for f in FILES))
    for file in (f for f in FILES if layer_of(f) == "physics"):
        assert public_names(file) <= used, f"{file.name}: {sorted(public_names(file) - used)} is used by nothing"
