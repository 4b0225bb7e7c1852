"""The supply check of a described house: its design hours, its year hour by hour, its refrigerant charge."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from heatcalc.answers.charge import ChargeScreen, rooms_of, screen_charge
from heatcalc.answers.choice import Candidate
from heatcalc.answers.demand import LoadMethod, house_method
from heatcalc.answers.size import SizeResult, size_house
from heatcalc.answers.supply import SupplyAnswer, check_supply
from heatcalc.answers.year import run_year
from heatcalc.errors import NoAnswer
from heatcalc.inputs.built_year import built_year
from heatcalc.inputs.house import House
from heatcalc.inputs.place import Place


@dataclass(frozen=True)
class HouseSupply:
    """The sizing it rests on, the unit checked, the supply with the year's hours, load method and charge screening."""

    sized: SizeResult
    chosen: Candidate
    supply: SupplyAnswer
    method: LoadMethod
    charge: ChargeScreen


def house_supply(house: House, place: Place, folder: Path | None = None) -> HouseSupply:
    """Check the supply of `house` in `place` with the unit it names or the recommended one."""
    sized = size_house(house, place, folder=folder)
    chosen = sized.recommended or sized.candidates[0]
    model, said = sized.designer.model, house.supply
    rooms = rooms_of(house, model.floor_area_m2, model.volume_m3)
    screen = screen_charge(chosen.unit.refrigerant, chosen.unit.charge_kg, said.indoor_unit, rooms, said.indoor_unit_height)
    method = house_method(said, model.shell.footprint_m2, chosen)
    return HouseSupply(sized, chosen, _through_the_year(sized, chosen), method, screen)


def _through_the_year(sized: SizeResult, chosen: Candidate) -> SupplyAnswer:
    """The design hours' check with the year's amperes in the way of standing that loads the cord most."""
    try:
        weather = built_year(sized.place)
    except NoAnswer as why:
        return replace(chosen.supply, remarks=(*chosen.supply.remarks, f"no year of hours here: {why}"))
    year = run_year(sized.designer.model, weather, chosen.unit)
    worst = max(year.ways, key=lambda way: way.cord.highest_A)
    task, house, unit = sized.task, sized.house, chosen.unit
    return check_supply(house.supply, chosen.cold_A, chosen.hot_A, unit.volts, chosen.backup_W, worst.series["amperes"],
                        task.elevation_m, task.design_C, task.hot_C, unit.mca_A, unit.mop_A, house.built_as,
                        float(worst.series["total_power_W"].mean()))
