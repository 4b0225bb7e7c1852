"""What would let the next smaller unit pass: each change is made to the house and everything is computed again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly, WindowAssembly, load_assemblies
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.tightness import read_tightness
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import FITS, Candidate, judge, task_of
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity


@dataclass(frozen=True)
class Change:
    """One change to the house: words for a person, and the new house."""

    words: str
    house: House


@dataclass(frozen=True)
class Passing:
    """A change with which a smaller unit carries the house, and what it then has to carry [W]."""

    change: str
    unit: str
    heating_W: float
    spare_W: float


def next_smaller(best: Candidate, candidates: list[Candidate]) -> Candidate | None:
    """The largest unit below the chosen one, of the same class and voltage where there is one."""
    below = [c for c in candidates if c.unit.size_kBtuh < best.unit.size_kBtuh]
    same = [c for c in below if (c.unit.unit_class, c.unit.volts) == (best.unit.unit_class, best.unit.volts)]
    return max(same or below, key=lambda c: c.unit.size_kBtuh, default=None)


def what_helps(house: House, place: Place, unit: Unit, folder: Path | None = None) -> tuple[Passing, ...]:
    """Changes that let `unit` carry this house here: each alone, or else the fewest strong ones together."""
    changes = list(_changes(house))
    found = tuple(p for change in changes if (p := _tried(change, place, unit, folder)) is not None)
    return found or _fewest_together(house, changes, place, unit, folder)


def _fewest_together(house: House, changes: list[Change], place: Place, unit: Unit, folder: Path | None) -> tuple[Passing, ...]:
    """Strongest first, one more at a time, until the unit carries the house."""

    def load(change: Change) -> float:
        return designer_of(house_model(change.house, place.elevation_m, folder), place).heating().load_W

    strongest = sorted(changes, key=load)
    for count in range(2, len(strongest) + 1):
        passing = _tried(_together(house, strongest[:count]), place, unit, folder)
        if passing:
            return (passing,)
    return ()


def _tried(change: Change, place: Place, unit: Unit, folder: Path | None) -> Passing | None:
    designer = designer_of(house_model(change.house, place.elevation_m, folder), place)
    need, got = designer.heating().load_W, _most_heat_W(unit, designer)
    if got < need or judge(unit, task_of(designer), designer).verdict != FITS:
        return None
    return Passing(change.words, unit.name, need, got - need)


def _most_heat_W(unit: Unit, designer: Designer) -> float:
    here = at_site(unit, designer.conditions.elevation_m, designer.model.house.set_points.heating)
    return float(capacity(here.heating, np.array([designer.conditions.heating_C]), "max").value_W[0])


def _changes(house: House) -> Iterator[Change]:
    """Changes a builder can make, each better than what the house has."""
    if house.below.kind == "open air":
        yield Change("skirt the floor", _with(house, "below", kind="skirted"))
    for part in ("wall", "roof", "floor"):
        better = _better(getattr(house.assemblies, part), part)
        if better:
            yield Change(f"{better} instead of {getattr(house.assemblies, part)}", _with(house, "assemblies", **{part: better}))
    window = _better(house.assemblies.window, "window")
    if window and all(w.type is None and w.u_value is None for w in house.windows):
        yield Change(f"{window} instead of {house.assemblies.window}", _with(house, "assemblies", window=window))
    if (read_tightness(house.air.tightness).ach50 or 99.0) > 2.0:
        yield Change("air-seal to 2.0 ACH50", _with(house, "air", tightness="2.0 ACH50"))
    if house.ventilation.kind not in ("balanced", "none"):
        yield Change("ventilate with 75 % heat recovery", _with(house, "ventilation", kind="balanced", heat_recovery=0.75))


def _better(name: str, kind: str) -> str | None:
    """The shelf's next better assembly of a kind: the least improvement of at least a tenth."""
    shelf = {a.name: a for a in load_assemblies().values() if a.kind == kind and isinstance(a, (OpaqueAssembly, WindowAssembly))}
    if name not in shelf:
        return None
    limit = 0.9 * shelf[name].u_value_W_m2K
    lower = [a for a in shelf.values() if a.u_value_W_m2K <= limit]
    return max(lower, key=lambda a: a.u_value_W_m2K).name if lower else None


def _with(house: House, table: str, **values) -> House:
    inner = getattr(house, table)
    return house.model_copy(update={table: inner.model_copy(update=values)})


def _together(house: House, changes: list[Change]) -> Change:
    result = house
    for change in changes:
        for table in ("below", "assemblies", "air", "ventilation"):
            new, old = getattr(change.house, table), getattr(house, table)
            differing = {k: v for k, v in new if v != getattr(old, k)}
            result = _with(result, table, **differing) if differing else result
    return Change("together: " + "; ".join(c.words for c in changes), result)
