"""Where the shipped files stand: beside the package in a checkout, inside it in an installed wheel."""

from __future__ import annotations

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
