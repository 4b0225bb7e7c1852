"""The supply check of a described house: its design hours, its year hour by hour, its refrigerant charge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from heatcalc.answers.year.cord_year import CordYear, cord_year
from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.built_year import year_at
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.judge.choice import Candidate
from heatcalc.judge.dehumidify import damp_of
from heatcalc.judge.metered_year import cord_series
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.year_walk import run_year, weather_year
from heatcalc.physics.unit.extras import resting_W
from heatcalc.supply.charge import ChargeScreen, rooms_of, screen_charge
from heatcalc.supply.cord import hungriest_allowed
from heatcalc.supply.load_method import LoadMethod, house_method
from heatcalc.supply.off_grid import GeneratorCheck, generator_hour
from heatcalc.supply.supply_check import StandingStill, SupplyAnswer, standing_still

THROUGH_THE_YEAR = "Through the year: means of an hour, hot water with them"


@dataclass(frozen=True, kw_only=True)
class HouseSupply:
    """The sizing it rests on, the unit checked, the supply with the year's hours, load method and charge screening."""

    sized: SizeResult
    chosen: Candidate
    supply: SupplyAnswer
    method: LoadMethod
    charge: ChargeScreen
    year: CordYear | None  # None where no year of hours is known


def house_supply(house: House, place: Place | Sequence[Place], folder: Path | None = None) -> HouseSupply:
    """Check the supply of `house` in `place` with the unit it names or the recommended one; of several places where most is
    asked of the heat."""
    return supply_of(size_house(house, place, folder=folder))


def supply_of(sized: SizeResult) -> HouseSupply:
    """Check the supply of a sizing's plan in its place."""
    chosen = sized.recommended
    model, said = sized.designer.model, sized.house.supply
    rooms = rooms_of(sized.house, model.floor_area_m2, model.volume_m3)
    screen = screen_charge(chosen.unit.refrigerant, chosen.unit.charge_kg, said.indoor_unit, rooms, said.indoor_unit_height)
    method = house_method(said, model.shell.footprint_m2, chosen.unit, chosen.backup_W, chosen.dehumidifier_W)
    supply, year = _through_the_year(sized, chosen)
    still = still_hour(sized, chosen)
    generator = with_still(supply.generator, said, still, sized.task.elevation_m)
    return HouseSupply(
        sized=sized,
        chosen=chosen,
        supply=replace(supply, still=still, generator=generator),
        method=method,
        charge=screen,
        year=year,
    )


def with_still(
    check: GeneratorCheck | None, supply: Supply, still: StandingStill | None, elevation_m: float
) -> GeneratorCheck | None:
    """The generator in the hour in which a heater carries the house as well, where there is one."""
    if check is None or still is None or still.on_plan is None:
        return check
    assert supply.generator is not None
    loads = hungriest_allowed(still.on_plan.loads, supply.lock_outs)
    hour = generator_hour(supply.generator, "still", loads, elevation_m, still.outdoor_C)
    return replace(check, hours=(*check.hours, hour), passes=check.passes and hour.holds)


def still_hour(sized: SizeResult, chosen: Candidate) -> StandingStill | None:
    """The coldest hour the plan reckons with, where its heat pump stands still then; None where it runs."""
    if not chosen.judged.whole[chosen.at]:
        return None
    unit, outdoor = chosen.unit, float(chosen.judged.facts.loads.coldest_C[chosen.at])
    resting_A, hours = float(resting_W(unit, outdoor)) / unit.volts, sized.place.hours_below(unit.lowest_heating_C)
    own, plan = sized.house.supply, sized.hangs_on.cord
    found = standing_still(own, outdoor, unit.lowest_heating_C, hours, chosen.backup_W, resting_A, unit.volts, plan)
    return replace(found, smallest_cord=sized.plan.supply)


def _through_the_year(sized: SizeResult, chosen: Candidate) -> tuple[SupplyAnswer, CordYear | None]:
    """The design hours' check with the year's amperes in the way of standing that loads the cord most, and the year itself."""
    try:
        brings = weather_year(year_at(sized.place))
    except NoAnswer as why:
        return replace(chosen.supply, remarks=(*chosen.supply.remarks, f"no year of hours here: {why}")), None
    model, backup_W = sized.designer.model, chosen.backup_W
    year = run_year(model, brings, chosen.unit, backup_W)
    below = [c.unit for c in sized.candidates if c.unit.size_kBtuh < chosen.unit.size_kBtuh and c.unit.volts == chosen.unit.volts]
    smaller = max(below, key=lambda u: u.size_kBtuh, default=None)
    damp = damp_of(model, brings, year.middle)
    dryer = (damp.hourly_W, damp.watts) if chosen.dehumidifier_W else None
    on_cord = cord_year(year, sized.hangs_on, brings, chosen.unit, backup_W, sized.place.state, smaller, dryer)
    found = chosen.supply_through(
        cord_series(year, sized.hangs_on, chosen.unit.volts), on_cord.energy.uses.electricity_kWh / 8.76
    )
    heater = f"the second heater of the plan, {backup_W / 1000:.1f} kW" if backup_W else "no second heater"
    words = f"{THROUGH_THE_YEAR}; with {heater}."
    return replace(found, remarks=(*found.remarks, words)), on_cord
