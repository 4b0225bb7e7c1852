"""Run a workbook with other parameters.  Names and types are checked against the workbook's own before anything runs.

The tags `parameters` and `injected-parameters` are the notebook world's usual ones; values are injected as plain
literals (`repr` of a str, int, float, bool or None), so a parameter can never carry code.
"""

from __future__ import annotations

import ast
import sys
import warnings
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.files import folder, write_whole

MOST_BYTES = 50_000_000
LONGEST_CELL_S = 600
MOST = 10**15  # no parameter counts further; beyond it whole numbers as floats lose their digits
NEEDED = ("nbformat", "nbclient", "ipykernel")
Value = str | int | float | bool | None


def workbook_path(name: str | Path) -> Path:
    """A notebook file, or a shipped workbook by its bare name.  Raises InputError with the nearest name."""
    path = Path(name)
    if path.is_file():
        return path
    shipped = {p.stem: p for p in sorted(folder("workbooks").glob("*.ipynb"))}
    if path.stem in shipped and path.parent == Path("."):
        return shipped[path.stem]
    known = list(shipped)
    raise InputError(
        "workbook", str(name), "there is no such workbook", nearest(path.stem, known) or f"known: {', '.join(known)}"
    )


def declared_parameters(notebook: Any) -> dict[str, Value]:
    """Name and default of each assignment in the cell tagged `parameters`."""
    for cell in notebook.cells:
        if "parameters" in cell.metadata.get("tags", []):
            return _assignments(cell.source)
    raise InputError("workbook", None, "has no cell tagged `parameters`")


def _assignments(source: str) -> dict[str, Value]:
    found: dict[str, Value] = {}
    try:
        for node in _quietly(ast.parse, source).body:
            if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
                found[node.targets[0].id] = ast.literal_eval(node.value)
    except (ValueError, TypeError, SyntaxError, RecursionError, MemoryError):
        raise InputError("workbook", None, "its cell tagged `parameters` must hold plain values, name = 1.5 or 'text'") from None
    return found


def _quietly(read: Callable[[str], Any], source: str) -> Any:
    """What `read` makes of the text; Python's advice on how it is written goes nowhere."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return read(source)


def read_parameters(words: list[str], declared: Mapping[str, Any]) -> dict[str, Any]:
    """`name=value` words checked against the declared names and types."""
    given: dict[str, Any] = {}
    for word in words:
        name, sign, text = word.partition("=")
        if not sign:
            raise InputError("-p", word, "is written name=value")
        if name not in declared:
            raise InputError(
                "-p", name, "the workbook has no such parameter", nearest(name, list(declared)) or f"known: {', '.join(declared)}"
            )
        given[name] = _typed(name, text, declared[name])
    return given


def _typed(name: str, text: str, default: Any) -> Any:
    if default is None or isinstance(default, str):
        return text
    try:
        value = _quietly(ast.literal_eval, {"true": "True", "false": "False"}.get(text.lower(), text))
    except (ValueError, TypeError, SyntaxError, RecursionError, MemoryError):
        value = text.split(",") if isinstance(default, list) else text
    if isinstance(default, float) and type(value) is int and abs(value) < MOST:
        value = float(value)
    if isinstance(default, list) and isinstance(value, (list, tuple)):
        value = [str(item) for item in value] if all(isinstance(d, str) for d in default) else list(value)
    if type(value) is not type(default) or not _plainly_written(value):
        raise InputError(f"-p {name}", text, f"needs a {type(default).__name__}, like {default!r}")
    return value


def _plainly_written(value: Any) -> bool:
    """What `repr` writes reads back as the same literal: no infinity, no whole number too large to count with."""
    if any(type(one) is int and abs(one) >= MOST for one in (value if isinstance(value, list) else (value,))):
        return False
    try:
        return bool(ast.literal_eval(repr(value)) == value)
    except (ValueError, TypeError, SyntaxError, RecursionError, MemoryError):
        return False


def with_parameters(notebook: Any, given: Mapping[str, Any]) -> Any:
    """A copy of the notebook with one `injected-parameters` cell after the declared ones."""
    import copy

    import nbformat

    result = copy.deepcopy(notebook)
    result.cells = [c for c in result.cells if "injected-parameters" not in c.metadata.get("tags", [])]
    if given:
        at = next(i for i, c in enumerate(result.cells) if "parameters" in c.metadata.get("tags", []))
        source = "\n".join(f"{name} = {value!r}" for name, value in given.items())
        cell = nbformat.v4.new_code_cell(source, metadata={"tags": ["injected-parameters"]})
        cell["id"] = "injected-parameters"
        result.cells.insert(at + 1, cell)
    return result


def execute(notebook: Any, folder_of_work: Path, progress: bool = True) -> Any:
    """Run every cell in order; NoAnswer says in one line which cell failed and how, or that the kernel died."""
    from jupyter_client.kernelspec import NoSuchKernel
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError, CellTimeoutError
    from tqdm import tqdm

    client = NotebookClient(
        notebook,
        timeout=LONGEST_CELL_S,
        kernel_name="python3",
        extra_arguments=["--log-level=40"],
        resources={"metadata": {"path": str(folder_of_work)}},
    )
    bar, number = tqdm(total=len(notebook.cells), unit="cell", disable=None if progress else True, leave=False), 0
    try:
        with bar, client.setup_kernel():
            for number, cell in enumerate(notebook.cells, 1):
                client.execute_cell(cell, number - 1)
                bar.update()
    except CellExecutionError as problem:
        raise NoAnswer(f"the workbook stopped in cell {number}: {problem.ename}: {problem.evalue}") from None
    except CellTimeoutError:
        raise NoAnswer(f"cell {number} of the workbook took longer than {LONGEST_CELL_S // 60} minutes") from None
    except (RuntimeError, NoSuchKernel, OSError) as problem:
        why = f"died in cell {number}" if number else f"did not start ({problem})"
        raise NoAnswer(f"the workbook's kernel {why}; nothing was written") from None
    return _without_timings(notebook)


def _without_timings(notebook: Any) -> Any:
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
    notebook.metadata.pop("widgets", None)
    return notebook


def printed(notebook: Any) -> str:
    """Everything the cells of an executed notebook printed."""
    streams = [o for c in notebook.cells for o in c.get("outputs", []) if o.output_type == "stream" and o.name == "stdout"]
    return "".join(o.text for o in streams)


def needs_extra(modules: Sequence[str]) -> None:
    """NoAnswer that says what to install where one of the modules is absent."""
    from importlib.util import find_spec

    absent = [name for name in modules if find_spec(name) is None]
    if absent:
        raise NoAnswer(f'{", ".join(absent)} is not installed: pip install "heatcalc[notebooks]"')


def run_workbook(name: str | Path, words: list[str], out: Path, progress: bool = True) -> str:
    """Run a workbook with `name=value` words, write the executed copy to `out` in one piece, return what it printed."""
    needs_extra(NEEDED)
    nbformat = _nbformat()
    path = workbook_path(name)
    notebook = _read(path, nbformat)
    prepared = with_parameters(notebook, read_parameters(words, declared_parameters(notebook)))
    done = execute(prepared, Path.cwd(), progress)
    write_whole(out, nbformat.writes(done) + "\n")
    return printed(done)


def refresh(path: Path) -> None:
    """Execute a workbook with its own parameters and keep the outputs in it; what a committed workbook shows."""
    nbformat = _nbformat()
    write_whole(path, nbformat.writes(execute(nbformat.read(path, as_version=4), path.parent, progress=False)) + "\n")


def _nbformat() -> Any:
    """The library of the file format, without a grammar of international addresses that its checker builds for seconds at import
    (rfc3987_syntax, optional to it): no notebook's schema asks for one."""
    spared = sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
    import nbformat

    if spared is None:
        del sys.modules["rfc3987_syntax"]
    return nbformat


def _read(path: Path, nbformat: Any) -> Any:
    """A notebook whose every cell is as the format says.  Raises InputError in one line."""
    from heatcalc.inputs.checked import read_text

    text = read_text(path, MOST_BYTES)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # cells without an id of their own are given one
            notebook = nbformat.convert(nbformat.reader.reads(text), 4)
            nbformat.validate(notebook)
    except Exception:
        raise InputError("workbook", str(path), "is not a Jupyter notebook") from None
    return notebook
