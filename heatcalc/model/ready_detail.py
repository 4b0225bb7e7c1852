"""What a house reads of a ready detail: psi and the temperature factor of its coldest surface.

The ready details are solved once and for all: `tables/ready_details.csv` holds what the drawing with that content gave
(`python -m tests.regression.test_ready_details` brings it up to date, the test solves every one again).  A drawing that
has changed since is solved anew, `model/bridge`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache

from heatcalc.errors import InputError, nearest
from heatcalc.resources import folder
from heatcalc.tables import rows


@dataclass(frozen=True)
class ReadyDetail:
    """psi [W/mK] by external and internal lengths, and f_Rsi of the coldest inside surface behind the sheltered film."""

    name: str
    psi_external_W_mK: float
    psi_internal_W_mK: float
    temperature_factor: float | None


@cache
def ready_detail(name: str, field: str = "detail") -> ReadyDetail:
    """One ready detail.  InputError of `field` with the nearest name where there is no such detail."""
    row = next((r for r in rows("ready_details") if r["detail"] == name and r["content"] == content_of(name)), None)
    return solved(name, field) if row is None else ReadyDetail(name, *map(_number, list(row.values())[2:5]))  # type: ignore[arg-type]


def ready_table() -> tuple[dict[str, object], ...]:
    """All ready details by name with title, kind, psi [W/mK], spacing [m] and source, for a list or a choice."""
    from heatcalc.inputs.assembly.detail import load_detail, ready_names

    pairs = [(load_detail(name), ready_detail(name)) for name in ready_names()]
    return tuple(
        {
            "name": d.name,
            "title": d.title,
            "kind": d.kind,
            "psi_external_W_mK": found.psi_external_W_mK,
            "psi_internal_W_mK": found.psi_internal_W_mK,
            "spacing_m": d.spacing_m,
            "source": d.source,
        }
        for d, found in pairs
    )


def content_of(name: str) -> str:
    """Digest of a ready detail's drawing."""
    drawing = folder("workbooks") / "details" / f"{name}.toml"
    return hashlib.sha256(drawing.read_text(encoding="utf-8").encode()).hexdigest()[:16] if drawing.is_file() else ""


def solved(name: str, field: str = "detail") -> ReadyDetail:
    """The same from the drawing, by two-dimensional steady conduction."""
    from heatcalc.inputs.assembly.detail import load_detail, ready_names
    from heatcalc.model.detail_bridge import ready_values

    known = ready_names()
    if name not in known:
        raise InputError(field, name, "is not a ready detail", nearest(name, known) or f"known: {', '.join(known)}")
    return ReadyDetail(name, *ready_values(load_detail(name)))


def _number(cell: str) -> float | None:
    return float(cell) if cell else None
