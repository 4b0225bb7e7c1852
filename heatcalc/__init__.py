"""heatcalc: size the one mini-split heat pump of a small transportable house for a buyer's place.

The public face.  Each name is imported when it is first used, so `import heatcalc` costs nothing:

    import heatcalc
    result = heatcalc.size("plover-26g", place="Burlington, VT")
    result.heating.load_W
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_FACE = {
    "load_house": "heatcalc.inputs.house_file",
    "find_place": "heatcalc.inputs.place",
    "load_assemblies": "heatcalc.inputs.assembly",
    "load_units": "heatcalc.inputs.unit",
    "read_unit": "heatcalc.inputs.unit",
    "size_house": "heatcalc.answers.size",
    "size": "heatcalc.face",
    "show_text": "heatcalc.face",
    "show_figure": "heatcalc.face",
    "table": "heatcalc.face",
    "split_changes": "heatcalc.face",
    "show_recommendation": "heatcalc.face",
    "write_sheet": "heatcalc.face",
    "loads": "heatcalc.face_loads",
    "loads_table": "heatcalc.face_loads",
    "loads_figure": "heatcalc.face_loads",
    "show_reasons": "heatcalc.face_loads",
    "show_drying": "heatcalc.face_loads",
    "show_screening": "heatcalc.face_loads",
    "run_load": "heatcalc.face_run_load",
    "run_load_table": "heatcalc.face_run_load",
    "run_load_figure": "heatcalc.face_run_load",
    "show_promise": "heatcalc.face_run_load",
    "show_sources": "heatcalc.face_run_load",
    "checks": "heatcalc.face_checks",
    "checks_table": "heatcalc.face_checks",
    "show_explained": "heatcalc.face_checks",
}
__all__ = ["__version__", *_FACE]


def __getattr__(name: str) -> Any:
    if name not in _FACE:
        raise AttributeError(f"heatcalc has no {name!r}")
    return getattr(import_module(_FACE[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
