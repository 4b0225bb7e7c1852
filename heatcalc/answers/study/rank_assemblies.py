"""Walls, roofs, floors and windows of the shelf put into one house, each alone: watts, kilowatt-hours, inches, weight, money."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer, explain_assembly
from heatcalc.answers.study.packages import shell_mass_kg
from heatcalc.answers.study.pareto import dominated_by
from heatcalc.errors import NoAnswer
from heatcalc.inputs.assembly.assembly_file import Assembly, OpaqueAssembly, WindowAssembly, priced
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.sizing import size_house
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import HouseModel, house_model
from heatcalc.model.indoor_air import AirOverYear, air_of_house
from heatcalc.model.moisture import MoistureAnswer, moisture
from heatcalc.model.parts import shelf_of
from heatcalc.model.year_walk import run_many, weather_year

KINDS = ("wall", "roof", "floor", "window")
OBJECTIVES = ("heating_W", "cooling_W", "year_kWh", "thickness_m", "mass_kg", "price")


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One assembly in the place of the house's own of its kind; NaN where the shelf does not know."""

    kind: str
    name: str
    title: str
    own: bool
    u_value_W_m2K: float
    area_m2: float
    heating_W: float
    cooling_W: float
    year_kWh: float
    thickness_m: float
    mass_kg: float
    price: float
    price_basis: str
    moisture: MoistureAnswer
    beaten_by: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Ranking:
    """Choices of every kind, the least watts first."""

    house: House
    place: Place
    unit: Unit
    recommended: bool
    """Whether `unit` carries the house; else the year leans on backup heat."""
    choices: tuple[Choice, ...]
    outdoor_C: float
    indoor_C: float
    air: AirOverYear
    shell_kg: float
    """Walls, roof and floor of the house as described: what the axles carry of it."""

    def of(self, kind: str) -> tuple[Choice, ...]:
        """One kind."""
        return tuple(c for c in self.choices if c.kind == kind)

    @property
    def price_basis(self) -> str:
        """Whose prices these are."""
        return ", ".join(dict.fromkeys(c.price_basis for c in self.choices if c.price_basis)) or "none given"


def rank_assemblies(
    house: House, place: Place, folder: Path | None = None, kinds: Sequence[str] = KINDS, prices: Path | str | None = None
) -> Ranking:
    """Put every assembly of the shelf into the house, one at a time.

    Heating is the steady design load, cooling the sensible design load, the year one walk in the mean sun of four ways with
    the unit recommended for the house as described (or the best of those too small), backup heat included.  Moisture is
    judged in the computed humidity of the house as described.  `prices` is a price file; None = the shelf's invented prices.
    """
    sized = size_house(house, place, folder=folder, walk=False)
    if not sized.candidates:
        raise NoAnswer("there is no unit to walk the year with")
    unit = (sized.recommended or sized.candidates[0]).unit
    shelf = priced(shelf_of(house, folder), prices)
    air = air_of_house(sized.designer.model, sized.place)
    tried = [(k, a) for k in kinds for a in shelf.values() if a.kind == k]
    models = [house_model(house.with_assembly(k, a.name), sized.place.elevation_m, folder) for k, a in tried]
    years = run_many(models, weather_year(year_at(sized.place)), [unit], "resistance").annual("power_kWh")[:, 0]
    found = [
        _choice(house, a, m, sized.place, float(y), moisture(a, air, m.lines))
        for (_, a), m, y in zip(tried, models, years, strict=True)
    ]
    judged = [c for k in kinds for c in _judged([c for c in found if c.kind == k])]
    return Ranking(
        house=house,
        place=sized.place,
        unit=unit,
        recommended=sized.recommended is not None,
        choices=tuple(judged),
        outdoor_C=sized.task.design_C,
        indoor_C=house.set_points.heating,
        air=air,
        shell_kg=shell_mass_kg(sized.designer.model),
    )


def _choice(house: House, found: Assembly, model: HouseModel, place: Place, year_kWh: float, wet: MoistureAnswer) -> Choice:
    assert isinstance(found, OpaqueAssembly | WindowAssembly)
    designer, kind = designer_of(model, place), found.kind
    parts = [p for p in model.parts if p.kind == kind]
    area = sum(p.area_m2 for p in parts)
    thick = found.thickness_m if isinstance(found, OpaqueAssembly) else float("nan")
    mass = found.mass_kg_m2 * area if found.mass_kg_m2 else float("nan")
    price = float("nan") if found.price_per_m2 is None else found.price_per_m2 * area
    return Choice(
        kind=kind,
        name=found.name,
        title=found.title,
        own=found.name == getattr(house.assemblies, kind),
        u_value_W_m2K=found.u_value_W_m2K,
        area_m2=area,
        heating_W=designer.heating().load_W,
        cooling_W=designer.cooling.peak_sensible_W,
        year_kWh=year_kWh,
        thickness_m=thick,
        mass_kg=mass,
        price=price,
        price_basis=found.price_basis,
        moisture=wet,
    )


def _judged(choices: list[Choice]) -> list[Choice]:
    """Least watts first, each with what beats it in every column it knows."""
    beaten = dominated_by(np.array([[getattr(c, k) for k in OBJECTIVES] for c in choices]))
    named = [replace(c, beaten_by=tuple(choices[i].name for i in others)) for c, others in zip(choices, beaten, strict=True)]
    return sorted(named, key=lambda c: c.heating_W)


def explained(r: Ranking, name: str, folder: Path | None = None) -> AssemblyAnswer:
    """One assembly layer by layer at the design cold."""
    return explain_assembly(shelf_of(r.house, folder)[name], r.indoor_C, r.outdoor_C)
