"""Files: where the shipped ones stand (beside the package in a checkout, inside it in an installed wheel), writing in one piece
(the old one stays whole until the new one is), and CSVs of readings with `# key: value` lines on top.
"""

from __future__ import annotations

import csv
import hashlib
import os
import shutil
import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import TextIO

from heatcalc.errors import InputError, NoAnswer

_PACKAGE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """The folder `climate_data` or `workbooks`.

    Raises FileNotFoundError with the name where the installation is incomplete.
    """
    for place in (_PACKAGE / "_shipped" / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"{name}/ is missing from this installation of heatcalc")


@cache
def content_of_program() -> str:
    """A hash of the package's own files and of the climate tables: what is kept of an answer is named by it, so that another
    working copy's is not taken for this one's."""
    found = hashlib.sha256()
    for root in (_PACKAGE, folder("climate_data")):
        for file in sorted(f for f in root.rglob("*") if f.is_file() and "__pycache__" not in f.parts):
            found.update(repr((str(file.relative_to(root)), file.stat().st_size)).encode())
            found.update(file.read_bytes())
    return found.hexdigest()[:16]


def write_whole(path: Path | str, content: str | bytes) -> Path:
    """Write a file under a temporary name beside it, then rename.

    On any failure the old file stays and no part of the new one is left.  Raises NoAnswer where the folder
    cannot be written (full disk, no permission), InputError where its name holds what no terminal prints.
    """
    target = printable(path)
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        if target.exists() and not target.is_file():
            raise NoAnswer(f"cannot write {target.name}: it is there and is not a plain file")
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    except OSError as problem:
        raise NoAnswer(f"cannot write {target.name}: {problem.strerror}") from None
    return _filled(handle, temporary, target, raw)


def _filled(handle: int, temporary: str, target: Path, raw: bytes) -> Path:
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
        os.chmod(temporary, 0o644)
        os.replace(temporary, target)
    except BaseException as problem:
        os.unlink(temporary)
        if isinstance(problem, OSError):
            raise NoAnswer(f"cannot write {target.name}: {problem.strerror}") from None
        raise
    return target


def numbered(name: str, n: int, of: int) -> str:
    """A file's name for the nth of several answers: "year.json" becomes "year-2.json"; of one it stays."""
    path = Path(name)
    return name if of == 1 else str(path.with_name(f"{path.stem}-{n}{path.suffix}"))


@contextmanager
def growing_file(folder: Path | str, name: str) -> Iterator[TextIO]:
    """A text that grows under a temporary name in a folder, until `write_together` gives it its own; gone in the end otherwise.

    Raises NoAnswer where it cannot be written.
    """
    try:
        printable(folder).mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=f".{name}.")
        os.close(handle)
        try:
            with open(temporary, "w", encoding="utf-8", newline="") as file:
                yield file
        finally:
            Path(temporary).unlink(missing_ok=True)
    except OSError as problem:
        raise NoAnswer(f"cannot write {name}: {problem.strerror}") from None


def write_together(folder: Path | str, made: Mapping[str, str | bytes | Path]) -> list[Path]:
    """Write several files of one answer, each whole; another run that writes into the same folder waits for the last.

    A path stands for a file that is ready in the folder under another name (`growing_file`).
    """
    target = printable(folder)
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise NoAnswer(f"cannot write into {target.name}: {problem.strerror}") from None
    with _alone(target):
        return [_named(content, target / name) for name, content in made.items()]


def _named(content: str | bytes | Path, target: Path) -> Path:
    if not isinstance(content, Path):
        return write_whole(target, content)
    os.chmod(content, 0o644)
    return content.replace(target)


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """The folder to itself among runs of heatcalc, where the system has such locks; they end with the program."""
    try:
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield
        return
    try:
        with suppress(OSError):  # a file system without locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def copy_whole(source: Path, target: Path | str) -> Path:
    """Copy a folder under a temporary name beside `target`, then rename; what is already there stays.

    On any failure nothing is left.  Raises NoAnswer where the folder cannot be written.
    """
    final = printable(target)
    try:
        final.parent.mkdir(parents=True, exist_ok=True)
        room = tempfile.mkdtemp(dir=final.parent, prefix=f".{final.name}.")
    except OSError as problem:
        raise NoAnswer(f"cannot write {final.name}: {problem.strerror}") from None
    try:
        whole = Path(room) / "whole"
        shutil.copytree(source, whole, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
        if not final.exists():
            whole.rename(final)
    except OSError as problem:  # shutil.Error too
        why = problem.strerror or "not every file could be copied"
        raise NoAnswer(f"cannot write {final.name}: {why}") from None
    finally:
        shutil.rmtree(room, ignore_errors=True)
    return final


def printable(path: Path | str) -> Path:
    """A path that is going to be written and shown.  InputError where its name could steer a terminal."""
    if not str(path).isprintable():
        raise InputError("file", str(path), "holds characters that cannot be printed")
    return Path(path)


def commented_csv(
    text: str, keys: Collection[str], most_rows: int, least_rows: int, what: str, file: str, command: str
) -> tuple[dict[str, str], list[str], list[list[str]]]:
    """What the comment lines say of `keys`, the header, and the rows, every one as long as the header.

    Lines of nothing but blanks and commas, as spreadsheets leave them, are passed over.
    Errors: InputError about `what` (the kind of file), with the help of `command`, where rows are too many, too few or uneven.
    """
    lines = [line for line in text.splitlines() if line.strip(" ,\t")]
    said = _said(lines, keys)
    if len(lines) > most_rows:
        raise InputError(what, file, f"has {len(lines):,} rows; at most {most_rows:,} are read")
    try:
        rows = list(csv.reader(lines))
    except csv.Error as problem:
        raise InputError(what, file, f"is not a CSV ({problem})") from None
    if len(rows) <= least_rows:
        rows_words = f"holds {len(rows) - 1 if len(rows) > 1 else 'no'} rows of readings; at least {least_rows}"
        raise InputError(what, file, rows_words, f"see heatcalc {command} --help for the format")
    short = next((n for n, row in enumerate(rows) if len(row) != len(rows[0])), None)
    if short is not None:
        raise InputError(what, file, f"row {short} has {len(rows[short])} cells where the header has {len(rows[0])}")
    return said, rows[0], rows[1:]


def _said(lines: list[str], keys: Collection[str]) -> dict[str, str]:
    """The comment lines, taken off the top."""
    said = {}
    while lines and lines[0].startswith("#"):
        key, colon, value = lines.pop(0).lstrip("# ").partition(":")
        if colon and key.strip().lower() in keys:
            said[key.strip().lower()] = value.strip()
    return said
