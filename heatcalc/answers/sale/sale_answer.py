"""Everything the papers of one sale need, computed once: the run load, the supply, the assemblies, damp and drying."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer, explain_assembly
from heatcalc.answers.sale.buyer import Buyer, tell
from heatcalc.answers.sale.case import SaleInputs, own_files, sized_case
from heatcalc.answers.year.house_supply import still_hour
from heatcalc.inputs.assembly.assembly_file import Assembly
from heatcalc.judge.sizing import SizeResult
from heatcalc.model.damp import DryingCase, drying_cases, winter_cases
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import WinterHumidity
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.supply.charge import ChargeScreen, rooms_of, screen_charge
from heatcalc.supply.load_method import LoadMethod, house_method
from heatcalc.supply.supply_check import StandingStill


@dataclass(frozen=True)
class UsedAssembly:
    """An assembly in this house: where it is used, how much of it, and its explanation at the design cold."""

    answer: AssemblyAnswer
    area_m2: float
    parts: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Sale:
    """The answers behind the papers."""

    case: SaleInputs
    buyer: Buyer
    used: tuple[UsedAssembly, ...]
    method: LoadMethod
    charge: ChargeScreen
    still: StandingStill | None  # the hour in which a heater carries the house, the heat pump stopped by the cold
    winter: tuple[tuple[str, float, WinterHumidity], ...]
    drying: tuple[DryingCase, ...]
    fan_off: tuple[tuple[str, float, WinterHumidity], ...]  # as `winter`, the whole-house fan switched off

    @property
    def sized(self) -> SizeResult:
        """The sizing behind it."""
        return self.buyer.sized


def sale_of(case: SaleInputs) -> tuple[Sale, ...]:
    """Compute the sale of a case, one answer a place."""
    with own_files(case) as folder:
        sized = sized_case(case, folder)
        _ = sized.plans  # the search for changes reads the house's own files
        return tuple(sale_at(case, one, folder) for one in sized.each)


def sale_at(case: SaleInputs, sized: SizeResult, folder: Path) -> Sale:
    """The sale of what is sized, in its place; `folder` holds the house's own files."""
    buyer = tell(sized, folder)
    chosen, model, supply = buyer.run.candidate, sized.designer.model, sized.house.supply
    rooms = rooms_of(sized.house, model.floor_area_m2, model.volume_m3)
    charge = screen_charge(chosen.unit.refrigerant, chosen.unit.charge_kg, supply.indoor_unit, rooms, supply.indoor_unit_height)
    method = house_method(supply, model.shell.footprint_m2, chosen.unit, chosen.backup_W, chosen.dehumidifier_W)
    return Sale(
        case=case,
        buyer=buyer,
        used=used_assemblies(sized.designer),
        method=method,
        charge=charge,
        still=still_hour(sized, chosen),
        winter=winter_cases(sized.designer),
        drying=drying_cases(sized.designer, chosen.unit),
        fan_off=winter_cases(_without_fan(sized.designer, folder)),
    )


def _without_fan(designer: Designer, folder: Path) -> Designer:
    house = designer.model.house
    still = house.model_copy(update={"ventilation": house.ventilation.model_copy(update={"kind": "none", "heat_recovery": 0.0})})
    return designer_of(house_model(still, designer.model.elevation_m, folder), designer.place)


def used_assemblies(designer: Designer) -> tuple[UsedAssembly, ...]:
    """Every assembly the house uses, in the order of its parts; thermal bridges are not assemblies."""
    model = designer.model
    places: dict[Assembly, list[OpaquePart | WindowPart]] = {}
    for part in model.parts:
        if part.fabric:
            places.setdefault(part.fabric, []).append(part)
    indoor, cold = model.house.set_points.heating, designer.conditions.heating_C
    return tuple(
        UsedAssembly(explain_assembly(fabric, indoor, cold), sum(p.area_m2 for p in parts), tuple(p.name for p in parts))
        for fabric, parts in places.items()
    )
