"""Where the shipped files stand: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

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
