"""Lines of steel and edges that a house counts: its own, and those of its trailer's pattern, with what each loses.

A ready detail is solved once and for all for its psi and the temperature factor of its coldest surface:
`tables/ready_details.csv` holds what the drawing with that content gave (`python -m tests.regression.test_ready_details`
brings it up to date, the test solves every one again).  A drawing that has changed since is solved anew.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.files import folder
from heatcalc.inputs.checked import beside, read_text
from heatcalc.inputs.house.house_file import Shell
from heatcalc.inputs.house.house_record import House, ThermalBridge
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


@dataclass(frozen=True, kw_only=True)
class BridgeLine:
    """One line: where it is, psi by outside lengths [W/mK] times its length, and f_Rsi of its coldest surface where known."""

    name: str
    part: str
    length_m: float
    psi_W_mK: float
    temperature_factor: float | None
    detail: str
    source: str

    @property
    def loss_W_K(self) -> float:
        """psi x length [W/K]."""
        return self.psi_W_mK * self.length_m


def lines_of(house: House, shell: Shell, folder: Path | None = None) -> tuple[BridgeLine, ...]:
    """Every line the house file names, then its trailer's.  InputError where a detail is not known or has no psi."""
    named = tuple(_line(b, f"thermal_bridges.{i}", folder) for i, b in enumerate(house.thermal_bridges))
    return (*named, *(trailer_lines(house.trailer, shell) if house.trailer else ()))


def trailer_lines(trailer: str, shell: Shell) -> tuple[BridgeLine, ...]:
    """The steel of one kind of trailer by the size of the floor (tables/trailer_steel.csv)."""
    found = []
    for row in (r for r in rows("trailer_steel") if r["trailer"] == trailer):
        by_size = float(row["per_area_1_m"]) * shell.footprint_m2 + float(row["per_perimeter"]) * shell.perimeter_m
        length = by_size + float(row["each_m"])
        fields: dict[str, Any] = {k: row[k] for k in ("name", "detail", "part")}
        said = ThermalBridge.model_construct(**fields, length=length, psi=None)
        found.append(_line(said, "trailer", None))
    return tuple(found)


def credit_W_K(lines: Iterable[BridgeLine], part: str) -> float:
    """What the negative psi of one kind of part take back, sum of -psi x L [W/K]."""
    return sum((-line.loss_W_K for line in lines if line.part == part and line.psi_W_mK < 0), 0.0)


def _line(said: ThermalBridge, field: str, folder: Path | None) -> BridgeLine:
    found = None if said.detail is None else _detail(said.detail, f"{field}.detail", folder)
    psi = said.psi if found is None else found.psi_external_W_mK
    assert psi is not None
    if psi < 0 and "part" not in said.model_fields_set:
        raise InputError(
            f"{field}.part",
            None,
            "must be said with a negative psi, which takes back its area",
            'part = "wall", "roof" or "floor"',
        )
    return BridgeLine(
        name=said.name,
        part=said.part,
        length_m=said.length,
        psi_W_mK=psi,
        temperature_factor=found.temperature_factor if found else None,
        detail=said.detail or "",
        source=_source(said.detail),
    )


def _source(detail: str | None) -> str:
    if detail is None:
        return "stated in the house file"
    drawing = f"your drawing {detail}" if detail.endswith(".toml") else f"the ready detail {detail}"
    return f"two-dimensional steady conduction of {drawing} (ISO 10211 method)"


def _detail(name: str, field: str, folder: Path | None) -> ReadyDetail:
    if not name.endswith(".toml"):
        return ready_detail(name, field)
    path = beside(folder, name, field)
    return _own_detail(path, read_text(path), field)


@cache
def _own_detail(path: Path, text: str, field: str) -> ReadyDetail:
    """The user's own drawing solved, once for each state of its text."""
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.detail_bridge import ready_values

    try:
        return ReadyDetail(path.stem, *ready_values(load_detail(str(path))))
    except NoAnswer as problem:
        raise InputError(field, path.name, str(problem), "name its flanks, or mark its steel with bridge = true") from None
