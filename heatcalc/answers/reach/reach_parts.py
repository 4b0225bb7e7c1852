"""Where a model can go over any number of places: judged a part at a time, each part kept in a file as it ends.

Of a part only what tables, maps and the CSV show is kept, and what the CSV alone shows no longer than until its lines are
written, so that memory stays small; a stopped run goes on after its last part, and the whole is to the bit what one piece
would be.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from heatcalc.answers.reach.many_units import UNIT_COLUMNS
from heatcalc.answers.reach.reach_study import LOAD_COLUMNS, Reach, reach
from heatcalc.files import content_of_program, write_whole
from heatcalc.inputs.place.find_place import find_places
from heatcalc.judge.sites import Sites, sites_of
from heatcalc.wording import said

Columns = dict[str, np.ndarray]
AT_ONCE = 1000  # places of a part; own choice: about 0.4 GB while it is judged with every unit
FOLDER = "reach-parts"  # of the answer's folder
IN_THE_CSV = {"chance", "most_heat_W", "held_C", "supply", "sensible_cooling_W", "latent_cooling_W", "hot_A"}
"""Columns of a unit that no table and no map shows; nor any of the loads but `heating_W`."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """Some of the places, and all else an answer depends on."""

    file: str | None
    packages: tuple[str, ...]
    units: tuple[str, ...]
    changes: tuple[str, ...]
    places: tuple[str, ...]
    kept: Path | None  # its own file; None = nothing is kept


def reach_by_parts(
    file: str | None,
    packages: Sequence[str],
    units: Sequence[str],
    changes: Sequence[str],
    places: Sequence[str],
    spread: Callable[[Callable[[Part], Columns], Iterable[Part]], Iterator[Columns]],
    folder: Path | None = None,
    told: Callable[[int], Any] | None = None,
    at_once: int = AT_ONCE,
    each: Callable[[Reach], Any] | None = None,
) -> Reach:
    """`reach` at places named in words, parts spread over processes (`processes.in_processes`) and kept in a folder.

    each : gets every part in its order, whole; the answer is then without the columns that only the CSV shows
    """
    import joblib

    one = reach(file, packages, units, changes, sites_of(find_places(places[:1])))
    asked = joblib.hash((content_of_program(), [p.house for p in one.packages], [u.unit for u in one.packages[0].units]))
    parts = []
    for k in range(0, len(places), at_once):
        own = tuple(places[k : k + at_once])
        kept = None if folder is None else folder / f"{joblib.hash((asked, own))}.npz"
        parts.append(Part(file=file, packages=tuple(packages), units=tuple(units), changes=tuple(changes), places=own, kept=kept))
    found: list[Columns] = []
    for columns in spread(judged_part, parts):
        if each:
            each(_whole(one, columns))
        found.append(_shown(columns) if each else columns)
        if told:
            told(len(columns["site key"]))
    return _whole(one, {name: np.concatenate([columns[name] for columns in found]) for name in found[0]})


def judged_part(part: Part) -> Columns:
    """The columns of a part: as an earlier run kept them, else judged now and kept."""
    if part.kept is not None and part.kept.is_file():
        with np.load(part.kept) as kept:
            return dict(kept)
    sites = replace(sites_of(find_places(part.places)), key=part.places)
    columns = _narrow(reach(part.file, part.packages, part.units, part.changes, sites))
    if part.kept is not None:
        raw, plain = io.BytesIO(), cast(Any, columns)
        np.savez_compressed(raw, **plain)
        write_whole(part.kept, raw.getvalue())
    return columns


def _shown(columns: Columns) -> Columns:
    """Without what only the CSV shows; a word that stands at many places is held once."""
    spare = IN_THE_CSV | {name for name in LOAD_COLUMNS if name != "heating_W"}
    shown = (name for name in columns if name.startswith("site ") or name.split()[-1] not in spare)
    return {name: _held_once(columns[name]) for name in shown}


def _held_once(values: np.ndarray) -> np.ndarray:
    if values.dtype.kind != "U":
        return values
    words, at = np.unique(values, return_inverse=True)
    return words.astype(object)[at]


def _narrow(r: Reach) -> Columns:
    """What is shown of an answer, as plain arrays by name; warnings as text."""
    columns = {
        f"site {f.name}": np.asarray(getattr(r.sites, f.name)) for f in fields(Sites) if f.name not in ("kind", "warnings")
    }
    columns["site warnings"] = np.array(["\n".join(said(words, "si") for words in of) for of in r.sites.warnings], str)
    for n, p in enumerate(r.packages):
        columns |= {f"{n} best": p.best, f"{n} lock_out": p.lock_out.astype(str)}
        columns |= {f"{n} {name}": getattr(p.loads, name) for name in LOAD_COLUMNS}
        columns |= {f"{n} {k} {name}": getattr(u, name) for k, u in enumerate(p.units) for name in UNIT_COLUMNS}
    return columns


def _whole(one: Reach, columns: Columns) -> Reach:
    """The answer of the columns; what does not hang on the place is that of `one` place."""
    packages = []
    for n, p in enumerate(one.packages):
        loads: Any = SimpleNamespace(**_of(columns, f"{n} ", LOAD_COLUMNS))
        units: Any = tuple(SimpleNamespace(unit=u.unit, **_of(columns, f"{n} {k} ", UNIT_COLUMNS)) for k, u in enumerate(p.units))
        packages.append(replace(p, loads=loads, units=units, best=columns[f"{n} best"], lock_out=columns[f"{n} lock_out"]))
    return replace(one, sites=_sites(one.sites, columns), packages=tuple(packages))


def _of(columns: Columns, prefix: str, names: Sequence[str]) -> Columns:
    return {name: columns[prefix + name] for name in names if prefix + name in columns}


def _sites(one: Sites, columns: Columns) -> Sites:
    found: dict[str, Any] = {f.name: columns[f"site {f.name}"] for f in fields(Sites) if f.name != "kind"}
    for name, values in found.items():
        if values.dtype.kind in "UO":
            found[name] = tuple(values.tolist())
    found["warnings"] = tuple(tuple(words.split("\n")) if words else () for words in found["warnings"])
    return replace(one, **found)
