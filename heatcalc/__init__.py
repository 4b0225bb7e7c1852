"""heatcalc: size the one mini-split heat pump of a small transportable house for a buyer's place.

The public face.  Each name is imported when it is first used, so `import heatcalc` costs nothing:

    import heatcalc
    answer = heatcalc.size("plover-26g", place="Burlington, VT")
    answer.tables["units"], answer.figures["load-and-capacity"], answer.heating.load_W
"""

from __future__ import annotations

import os
import sys
from importlib import import_module
from types import ModuleType
from typing import Any

__version__ = "0.1.0"

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices of a hundred nodes: threads only wait for each other

_MODULES = {
    "heatcalc.inputs.house.house_file": "load_house",
    "heatcalc.inputs.place.find_place": "find_place",
    "heatcalc.inputs.assembly.assembly_file": "load_assemblies",
    "heatcalc.inputs.unit.unit_file": "load_units read_unit",
    "heatcalc.judge.sizing": "size_house",
    "heatcalc.face.ask_sizing": "size side_by_side split_changes split_places",
    "heatcalc.face.ask": "loads year supply place bridge unit assembly log explain",
    "heatcalc.face.ask_run_load": "papers run_load",
    "heatcalc.face.ask_compare": "compare orders units_side_by_side what_matters reach rank_assemblies section",
    "heatcalc.face.ask_checks": "checks",
}
_FACE = {name: module for module, names in _MODULES.items() for name in names.split()}
__all__ = ["__version__", *_FACE]


def __getattr__(name: str) -> Any:
    if name not in _FACE:
        raise AttributeError(f"heatcalc has no {name!r}")
    return getattr(import_module(_FACE[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)


class _Face(ModuleType):
    """The package, whose functions keep their names beside the inner packages named alike (`supply`, `checks`)."""

    def __setattr__(self, name: str, value: object) -> None:
        if not (name in _FACE and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Face
