"""Everything `heatcalc year` answers: the year with its unit, without backup heat, a power cut, warming up, standing empty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.answers.methods.design_loads import PickUps, pick_up
from heatcalc.answers.year.outage import PowerCut, Unoccupied, power_cut, unoccupied
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, at_elevation
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import balance_point, load_line
from heatcalc.judge.metered_year import cord_series, fresh_air_W
from heatcalc.judge.plan import Plan
from heatcalc.judge.sense import damp_months, sense_warnings
from heatcalc.judge.sizing import SizeResult, candidates_of, size_house
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import YearDrivers
from heatcalc.model.year_walk import FOUR_WAYS, RoomUnits, YearResult, drivers, weather_year, year_house, year_of
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.zone.loss_line import balance_point_C
from heatcalc.supply.cord import cord_named
from heatcalc.supply.supply_check import HourlyShare, hourly_share
from heatcalc.wording import Said

UNLIMITED_UNIT = "unlimited"
NEITHER = (
    "The thermostat holds the air; the design load holds what is felt beside cold walls, about a tenth more heat.",
    "Hours are means: a start or a minute's peak is higher.",
    "Hot water and the rest of the house are what `living` says, row by row; the mains follow the place's air.",
    "The power cut falls on the coldest night of this year of weather, a typical one: record cold is colder.",
    "The indoor fan is part of the unit's input. The clock is local standard time all year.",
)


@dataclass(frozen=True)
class HandCheck:
    """The year's heating by hand: conductance times degree-hours below the balance point."""

    conductance_W_K: float
    balance_C: float
    degree_hours_K_h: float
    heating_kWh: float


@dataclass(frozen=True, kw_only=True)
class YearAnswer:
    """The year of a house in a place, with what goes wrong."""

    house: House
    place: Place
    unit: Unit | None
    chosen: str  # why this unit
    backup_W: float  # the plan's heater beside it
    sized: SizeResult | None  # None where no unit is asked about
    year: YearResult
    without_backup: YearResult
    needs: YearResult
    conditioning_kWh: float  # heat, cold and fresh air with ventilation fan and dehumidifier, as the run-load sheet counts them
    fan_kWh: float
    dehumidifier_kWh: float
    cord: HourlyShare
    hangs_on: str  # the supply of the plan
    hand: HandCheck
    cut: PowerCut
    pick_up: PickUps | None
    empty: Unoccupied | None
    warnings: tuple[Said, ...]
    notes: tuple[Said, ...]

    @property
    def plan(self) -> Plan | None:
        """The plan walked; None where no unit is asked about."""
        return None if self.sized is None else self.sized.plan


def year_answer(house: House, place: Place, unit: str | None = None, folder: Path | None = None) -> YearAnswer:
    """Answer for one house and place, in the hours the place carries or those built from its months.

    unit : a name, "unlimited" for a plant that always carries the load, None for the recommended one
    """
    return year_answers(house, (place,), unit, folder)[0]


def year_answers(
    house: House, places: Sequence[Place], unit: str | None = None, folder: Path | None = None
) -> tuple[YearAnswer, ...]:
    """The year in each place of a house, with one plan for all of them; see `year_answer`."""
    height = house.site.elevation
    sites = tuple(places) if height is None else tuple(at_elevation(p, height) for p in places)
    if unit == UNLIMITED_UNIT:
        return tuple(_answer(house, site, None, "a plant that always carries the load", folder) for site in sites)
    return tuple(year_of_plan(one, folder) for one in _judged(house, sites, unit, folder).each)


def year_of_plan(sized: SizeResult, folder: Path | None = None) -> YearAnswer:
    """The year of a sizing's plan in its place."""
    why = "as asked" if sized.house.unit else "as planned"
    return _answer(sized.house, sized.place, sized, f"{why}; {sized.plan.verdict}", folder)


def _answer(house: House, site: Place, sized: SizeResult | None, why: str, folder: Path | None) -> YearAnswer:
    """The year of what is sized, or of an unlimited plant, in one place."""
    walked = sized and sized.year
    chosen, backup_W = (None, 0.0) if sized is None else (sized.recommended.unit, sized.plan.heater_W)
    designer = designer_of(house_model(house, site.elevation_m, folder), site) if sized is None else sized.designer
    supply = house.supply if sized is None else sized.hangs_on
    home, brings = year_house(designer.model), weather_year(year_at(site))
    ways = FOUR_WAYS if house.site.front_faces == "unknown" else (house.site.front_faces,)
    driven, rooms = [drivers(home, brings, way) for way in ways], RoomUnits()
    full = year_of(driven, chosen, backup_W, True, rooms)
    bare = year_of(driven, chosen, None, rooms=rooms) if backup_W else full
    middle = next(d for d in driven if d.front_faces == full.middle.front_faces)
    fan_kWh = float(fresh_air_W(designer.model, brings.outdoor_C).sum()) / 1000.0
    dry_kWh = float(walked.load.uses_W["dehumidifier"].sum()) / 1000.0 if walked else 0.0
    return YearAnswer(
        house=house,
        place=site,
        unit=chosen,
        chosen=why,
        backup_W=backup_W,
        sized=sized,
        year=full,
        without_backup=bare,
        needs=year_of(driven, None),
        conditioning_kWh=full.conditioning_kWh + fan_kWh + dry_kWh,
        fan_kWh=fan_kWh,
        dehumidifier_kWh=dry_kWh,
        cord=hourly_share(cord_series(full, supply, 120.0 if chosen is None else chosen.volts), cord_named(supply.cord).rating_A),
        hangs_on=supply.cord,
        hand=hand_check(middle),
        cut=power_cut(middle),
        pick_up=None if chosen is None else pick_up(designer, chosen),
        empty=None if chosen is None else unoccupied(driven, chosen, backup_W, rooms=rooms),
        warnings=(*site.warnings, *_sense(designer, chosen), *damp_months(full.relative_mean.tolist())),
        notes=(*brings.weather.report, brings.sky_source, *NEITHER),
    )


def _sense(designer: Designer, unit: Unit | None) -> tuple[Said, ...]:
    """The sizing's warnings, with the balance point of the unit that is walked."""
    if unit is None:
        return sense_warnings(designer, "", None)
    here = at_site(unit, designer.conditions.elevation_m, designer.model.house.set_points.heating)
    return sense_warnings(designer, unit.name, balance_point(here, load_line(designer)))


def _judged(house: House, places: Sequence[Place], name: str | None, folder: Path | None) -> SizeResult:
    """The sizing with the unit to walk."""
    shelf = candidates_of(house, folder)
    if name is not None and name not in shelf:
        known = [*shelf, UNLIMITED_UNIT]
        raise InputError("--unit", name, f"is no unit here; known: {', '.join(known)}", nearest(name, known))
    return size_house(house.model_copy(update={"unit": name or house.unit}), places, shelf, folder)


def hand_check(d: YearDrivers) -> HandCheck:
    """K x degree-hours: K the UA and the winter's mean outdoor air, the balance point from the winter's mean gains and sun.

    It takes walls as warm as the air and the sun as even, so it lies above the hourly need: 15 to 36 % for the demo house in
    five climates.
    """
    model, outdoor = d.house.model, d.brings.outdoor_C
    set_C = model.house.set_points.heating
    cold = outdoor < set_C - 5.0
    air = float(np.mean(np.broadcast_to(d.drive.exchange_W_K, outdoor.shape)[cold])) if cold.any() else 0.0
    k = sum(model.ua_W_K.values()) + air
    living = float((d.house.living.sensible_convective_W + d.house.living.sensible_radiant_W).mean())
    sun = float(d.glass_W[cold].mean()) if cold.any() else 0.0
    balance = balance_point_C(set_C, living + sun, k)
    below = float(np.maximum(balance - outdoor, 0.0).sum())
    return HandCheck(k, balance, below, k * below / 1000.0)
