"""heatcalc: size the one mini-split heat pump of a small transportable house for a buyer's place.

The public face.  Each name is imported when it is first used, so `import heatcalc` costs nothing:

    import heatcalc
    answer = heatcalc.size("plover-26g", place="Burlington, VT")
    answer.tables["units"], answer.figures["load-and-capacity"], answer.heating.load_W
"""

from __future__ import annotations

import os
import sys
from functools import cache
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

__version__ = "0.1.0"

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices of a hundred nodes: threads only wait for each other

_MODULES = {  # what is not named after its file; a question of `commands/` is, and needs no line here
    "heatcalc.inputs.house.house_file": "load_house",
    "heatcalc.inputs.place.find_place": "find_place",
    "heatcalc.inputs.assembly.assembly_file": "load_assemblies",
    "heatcalc.inputs.unit.unit_file": "load_units read_unit",
    "heatcalc.judge.sizing": "size_house",
    "heatcalc.commands.common": "split_changes split_places",
    "heatcalc.commands.size": "side_by_side",
    "heatcalc.commands.sheet": "run_load",
    "heatcalc.commands.unit": "units_side_by_side",
    "heatcalc.commands.sensitivity": "what_matters",
    "heatcalc.commands.assembly": "rank_assemblies section",
}
_QUESTIONS = Path(__file__).parent / "commands"
_FACE = {name: module for module, names in _MODULES.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    if name == "__all__":
        asked = (file.stem for file in sorted(_QUESTIONS.glob("*.py")) if _asks(file.stem))
        return ["__version__", *_FACE, *asked]
    if name not in _FACE and not _asks(name):
        raise AttributeError(f"heatcalc has no {name!r}")
    return getattr(import_module(_FACE.get(name, f"heatcalc.commands.{name}")), name)


@cache
def _asks(name: str) -> bool:
    """Whether a file of `commands/` has a function of its own name, which a notebook may ask as well; `run` is every file's."""
    file = _QUESTIONS / f"{name}.py"
    return name != "run" and file.is_file() and f"\ndef {name}(" in file.read_text(encoding="utf-8")


def __dir__() -> list[str]:
    return sorted(__getattr__("__all__"))


class _Face(ModuleType):
    """The package, whose functions keep their names beside the inner packages named alike (`supply`, `checks`)."""

    def __setattr__(self, name: str, value: object) -> None:
        if not (isinstance(value, ModuleType) and _asks(name)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Face
