"""The main job: one house in one place, its loads, every unit judged, one recommended, and what would change that."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.inputs.checked import beside
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, at_elevation
from heatcalc.inputs.unit.unit_file import Unit, load_units, read_unit
from heatcalc.judge.assumed import assumptions_of
from heatcalc.judge.assumptions import Assumption
from heatcalc.judge.choice import FITS, TOO_SMALL, Candidate, Task, judge, rank, task_of
from heatcalc.judge.cold_stop import cold_stop_warnings
from heatcalc.judge.one_head import one_head_warnings
from heatcalc.judge.sense import damp_summer, sense_warnings
from heatcalc.judge.smaller import Passing, next_smaller, what_helps
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.steady_load import HeatingLoad
from heatcalc.wording import Said

CAUTIONS = (
    "For information. Local codes, the unit's manual and licensed practice decide; nothing here certifies a house "
    "or an installation.",
    "Generic units stand for classes, not products: replace them with your unit's own table before ordering.",
    "Electric supply: a licensed electrician and the authority having jurisdiction decide.",
    "Refrigerant in a small room: the unit's manual gives the smallest room for its charge.",
    "Backup heat by combustion must be sealed or vented; fit a carbon monoxide alarm.",
    "In a power cut or below the temperature held, water lines can freeze: protect or drain them.",
)


@dataclass(frozen=True)
class SizeResult:
    """Everything the main job answers, with its terms, assumptions and warnings; SI throughout."""

    designer: Designer
    task: Task
    heating: HeatingLoad
    heating_996: HeatingLoad
    candidates: tuple[Candidate, ...]
    recommended: Candidate | None
    smaller: Candidate | None
    helps: tuple[Passing, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Said, ...]

    @property
    def house(self) -> House:
        """The house as described."""
        return self.designer.model.house

    @property
    def place(self) -> Place:
        """The place, at the site's elevation."""
        return self.designer.place

    @cached_property
    def load_per_floor_W_m2(self) -> float:
        """Heating load over floor area without the loft, the trade's ratio."""
        return self.heating.load_W / self.designer.model.floor_area_m2


def size_house(
    house: House, place: Place, units: dict[str, Unit] | None = None, folder: Path | None = None, smaller_too: bool = True
) -> SizeResult:
    """Size the unit of `house` in `place`.

    `units` None = the generic shelf and the house file's own unit file; `folder` is where the house file lies;
    `smaller_too` False leaves out the next smaller unit and what would let it pass, which takes half of the time.
    Raises InputError for an unknown unit or assembly, NoAnswer where no candidate exists.
    """
    site = place if house.site.elevation is None else at_elevation(place, house.site.elevation)
    designer = designer_of(house_model(house, site.elevation_m, folder), site)
    shelf = candidates_of(house, folder) if units is None else units
    if not shelf:
        raise NoAnswer("there is no unit to judge")
    task = task_of(designer)
    ranked = rank([judge(unit, task, designer) for unit in shelf.values()])
    best = _chosen(house, ranked)
    smaller = next_smaller(best, ranked) if best and smaller_too else None
    helps = what_helps(house, site, smaller.unit, folder) if smaller and smaller.verdict != FITS else ()
    heating, heating_996 = designer.heating(), designer.heating(designer.conditions.heating_996_C)
    shown = best or ranked[0]
    sense = sense_warnings(designer, shown.name, shown.balance_point_C)
    damp = damp_summer(designer, best.unit) if best else ()
    warnings = (*site.warnings, *sense, *damp, *cold_stop_warnings(best, site), *one_head_warnings(designer.model, best))
    return SizeResult(
        designer, task, heating, heating_996, tuple(ranked), best, smaller, helps, assumptions_of(designer), warnings
    )


def candidates_of(house: House, folder: Path | None = None) -> dict[str, Unit]:
    """The generic shelf plus the house file's own unit file."""
    shelf = load_units()
    if house.units:
        unit = read_unit(beside(folder, house.units, "units"))
        shelf |= {unit.name: unit}
    return shelf


def _chosen(house: House, ranked: list[Candidate]) -> Candidate | None:
    """The unit the house file names, else the best that carries the house, else the one that holds out longest.

    None where every unit is too small.
    """
    if house.unit is not None:
        named = {c.name: c for c in ranked}
        if house.unit not in named:
            raise InputError("unit", house.unit, "is not among the candidates", nearest(house.unit, list(named)))
        return named[house.unit]
    return next((c for c in ranked if c.verdict != TOO_SMALL), None)
