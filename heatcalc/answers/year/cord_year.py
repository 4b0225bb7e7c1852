"""The supply of a described house: its design hours, its year hour by hour (every use, chance of an overload, lock-outs and what
they cost, battery and sun), its refrigerant charge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.answers.year.on_cord import Dryer, HouseEnergy, house_energy, house_loads_of
from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.one_list import one_list
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Supply
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import Candidate
from heatcalc.judge.dehumidify import damp_of, toll_W
from heatcalc.judge.lock_outs import cold_water_of, tank_of
from heatcalc.judge.metered_year import cord_series
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.household import HOT_WATER, cold_water, household_year
from heatcalc.model.year_drivers import MONTH_OF_HOUR, WeatherYear
from heatcalc.model.year_walk import YearResult, run_year, weather_year
from heatcalc.physics.unit.outdoor_unit import resting_W
from heatcalc.supply.charge import ChargeScreen, rooms_of, screen_charge
from heatcalc.supply.cord import Cord, cord_named, cords_by_size, hungriest_allowed
from heatcalc.supply.load_method import LoadMethod, house_method
from heatcalc.supply.off_grid import GeneratorCheck, Stored, array_area_m2, array_power, generator_hour, stored
from heatcalc.supply.overload import (
    Evening,
    HouseLoads,
    Overload,
    Remedy,
    best_lock_out,
    evening,
    held_off,
    overload,
    with_change,
)
from heatcalc.supply.supply_check import StandingStill, SupplyAnswer, standing_still

WITHOUT_WATER = "without hot water and electric cooking"
SWAPS = (
    ("water_heater", "instantaneous propane", "an instantaneous propane water heater"),
    ("water_heater", "heat-pump tank", "a heat-pump water heater"),
    ("cooking", "propane", "a propane stove"),
)


@dataclass(frozen=True, kw_only=True)
class HeldYear:
    """What the lock-outs of the house file cost: hours each load is held off, and what comes of it."""

    hours_held: dict[str, float]
    coldest_C: tuple[float, float]  # indoor hour without and with the lock-outs
    too_cold_h: tuple[float, float]
    heater_kWh: tuple[float, float]  # of the second heater
    cold_water_share: float  # share of the year's hot water that comes cold
    cold_water_h: float  # hours a year in which the tank gives no hot water


@dataclass(frozen=True)
class SunYear:
    """The array's year: kWh by month, area of the modules and of the roof."""

    month_kWh: tuple[float, ...]
    area_m2: float
    roof_m2: float


@dataclass(frozen=True, eq=False, kw_only=True)
class CordYear:
    """Everything a year says about the supply."""

    energy: HouseEnergy
    overload: Overload
    evening: Evening
    remedies: tuple[Remedy, ...]
    held: HeldYear | None
    sun: SunYear | None
    stored: tuple[Stored, ...]


def cord_year(
    year: YearResult,
    supply: Supply,
    brings: WeatherYear,
    unit: Unit,
    backup_W: float,
    state: str,
    smaller: Unit | None = None,
    dryer: Dryer = None,
) -> CordYear:
    """The answer for a walked year.

    supply : as the plan has it; smaller : the next smaller unit, tried as one of the remedies; dryer : the plan's dehumidifier
    """
    energy = house_energy(year, state, dryer)
    house, cord = year.house.model.house.model_copy(update={"supply": supply}), cord_named(supply.cord)
    loads = house_loads_of(supply, house.living, energy, year.middle, unit, backup_W, cord)
    held = _held(year, supply, brings, unit, backup_W, loads) if house.supply.lock_outs else None
    sun_W = np.zeros(8760)
    if house.supply.solar is not None:
        sun_W = array_power(house.supply.solar, brings.weather, brings.position, house.site.ground_reflectance)
    remedies = tuple(_remedies(year, house, brings, energy, unit, backup_W, smaller, loads, cord))
    return CordYear(
        energy=energy,
        overload=overload(loads, cord),
        evening=evening(loads, cord),
        remedies=remedies,
        held=held,
        sun=_sun(year, sun_W),
        stored=tuple(_stored(house, energy, sun_W)),
    )


def _remedies(
    year: YearResult,
    house: House,
    brings: WeatherYear,
    energy: HouseEnergy,
    unit: Unit,
    backup_W: float,
    smaller: Unit | None,
    loads: HouseLoads,
    cord: Cord,
) -> Iterator[Remedy]:
    """One lock-out rule, one swap, the next larger cord, the next smaller unit: each by itself."""
    rule = best_lock_out(loads, cord)
    if rule is not None:
        yield rule
    for field, value, words in SWAPS:
        if _electric(house, field) and getattr(house.living, field) != value:
            swapped = _swapped(house, field, value)
            rows = household_year(swapped.living, brings.outdoor_C, house.set_points.heating).electric_W
            kept = {k: w for k, w in energy.electric_W.items() if k not in year.household.electric_W}
            other = HouseEnergy(energy.uses, None, kept | rows, energy.dehumidifier_W)
            yield with_change(
                words, house_loads_of(swapped.supply, swapped.living, other, year.middle, unit, backup_W, cord), cord
            )
    larger = next((c for c in cords_by_size() if c.proposed and c.legs * c.rating_A > cord.legs * cord.rating_A), None)
    if larger is not None:
        bigger = house_loads_of(house.supply, house.living, energy, year.middle, unit, backup_W, larger)
        yield with_change(larger.title, bigger, larger)
    if smaller is not None:
        way = run_year(year.house, brings, smaller, backup_W, year.middle.front_faces).middle
        less = house_loads_of(house.supply, house.living, energy, way, smaller, backup_W, cord)
        yield with_change(f"the next smaller unit, {smaller.name}", less, cord)


def _electric(house: House, field: str) -> bool:
    """Whether a swap has anything to replace."""
    return house.living.cooking == "electric" if field == "cooking" else house.living.water_heater.startswith("tank")


def _swapped(house: House, field: str, value: str) -> House:
    """The house with one way of living changed, its list of loads with it."""
    living = house.living.model_copy(update={field: value})
    supply = house.supply.model_copy(update={"lock_outs": (), "priority": ()})
    supply.model_fields_set.discard("appliances")
    living, supply = one_list(living, supply)
    there = {a.name for a in supply.appliances} | {HEAT_PUMP, BACKUP, DEHUMIDIFIER}
    kept = {
        "lock_outs": tuple(pair for pair in house.supply.lock_outs if set(pair) <= there),
        "priority": tuple(name for name in house.supply.priority if name in there),
    }
    return house.model_copy(update={"living": living, "supply": supply.model_copy(update=kept)})


def _held(year: YearResult, supply: Supply, brings: WeatherYear, unit: Unit, backup_W: float, loads: HouseLoads) -> HeldYear:
    """The year again, the heat pump held off where a lock-out says so; the tank with the hours it is given."""
    off, middle, water = held_off(loads), year.middle, year.household.water
    again = middle
    if off.get(HEAT_PUMP, np.zeros(1)).any():
        share = np.minimum(off[HEAT_PUMP] / np.maximum(middle.run_share, 1e-9), 1.0)
        again = run_year(year.house, brings, unit, backup_W, middle.front_faces, held=share).middle
    cold_share, cold_h = cold_water_of(supply, (year,))
    tank = tank_of(supply)
    if tank is not None and {n for pair in supply.lock_outs if tank in pair for n in pair} - {tank, HEAT_PUMP}:
        wanted = np.maximum(water.heat_W / water.most_W, 1e-9)
        minutes, share = cold_water(water, 1.0 - np.minimum(off[tank] / wanted, 1.0))
        cold_share, cold_h = share, minutes / 60.0
    return HeldYear(
        hours_held={name: float(share.sum()) for name, share in off.items()},
        coldest_C=(middle.coldest_C[0], again.coldest_C[0]),
        too_cold_h=(middle.hours["too cold"], again.hours["too cold"]),
        heater_kWh=(float(middle.electricity_kWh["backup heat"].sum()), float(again.electricity_kWh["backup heat"].sum())),
        cold_water_share=cold_share,
        cold_water_h=cold_h,
    )


def _sun(year: YearResult, sun_W: np.ndarray) -> SunYear | None:
    solar, model = year.house.model.house.supply.solar, year.house.model
    if solar is None:
        return None
    roof = sum(p.area_m2 for p in model.opaque if p.kind == "roof")
    months = np.bincount(MONTH_OF_HOUR, sun_W, 12) / 1000.0
    return SunYear(tuple(float(m) for m in months), array_area_m2(solar), float(roof))


def _stored(house: House, energy: HouseEnergy, sun_W: np.ndarray) -> Iterator[Stored]:
    battery = house.supply.battery
    if battery is None:
        return
    rows = energy.electric_W
    spared = [watts for name, watts in rows.items() if name not in (HOT_WATER, "electric cooking")]
    yield stored(battery, np.sum(list(rows.values()), axis=0), sun_W, "everything, heat pump with it")
    if len(spared) < len(rows):
        yield stored(battery, np.sum(spared, axis=0), sun_W, WITHOUT_WATER)


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
    dryer = (damp, toll_W(damp, year.middle)) if chosen.dehumidifier_W else None
    on_cord = cord_year(year, sized.hangs_on, brings, chosen.unit, backup_W, sized.place.state, smaller, dryer)
    found = chosen.supply_through(
        cord_series(year, sized.hangs_on, chosen.unit.volts), on_cord.energy.uses.electricity_kWh / 8.76
    )
    heater = f"the second heater of the plan, {backup_W / 1000:.1f} kW" if backup_W else "no second heater"
    words = f"{THROUGH_THE_YEAR}; with {heater}."
    return replace(found, remarks=(*found.remarks, words)), on_cord
