"""Files written in one piece: the old one stays whole until the new one is."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from heatcalc.errors import InputError, NoAnswer


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


def write_together(folder: Path | str, made: Mapping[str, str | bytes]) -> list[Path]:
    """Write several files of one answer, each whole; another run that writes into the same folder waits for the last."""
    target = printable(folder)
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise NoAnswer(f"cannot write into {target.name}: {problem.strerror}") from None
    with _alone(target):
        return [write_whole(target / name, content) for name, content in made.items()]


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
