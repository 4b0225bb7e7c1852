"""The walked year of a plan: what it asks of the meter, how damp the room gets, how steadily the unit runs, what stays short."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case
from heatcalc.judge.dehumidify import Damp
from heatcalc.judge.metered_year import MeteredYear, Money, RunYear, money_of, tariff_of, walk
from heatcalc.model.house_model import HouseModel
from heatcalc.model.year_drivers import in_months
from heatcalc.model.year_sums import WayYear
from heatcalc.model.year_walk import RoomUnits, WeatherYear, weather_year

SHORT_K = 2.0
LEAST_HEAT_W = 1.0  # less is rounding, not a heater that runs
MILD_C, MILD_WITHIN_K = (47.0 - 32.0) / 1.8, 1.5
ROOMS = RoomUnits()


@dataclass(frozen=True)
class Mild:
    """How the unit runs in the year's own hours: shares of its hours on and off, and the mean load near 47 F [W]."""

    heating_on_off: float
    cooling_on_off: float
    load_W: float


@dataclass(frozen=True, eq=False, kw_only=True)
class PlanYear:
    """One place's year with the unit and the heater of a plan."""

    asked: RunYear
    load: MeteredYear
    money: Money
    mild: Mild
    still_h: float
    heater_h: float
    short_h: float
    every: tuple[PlanYear, ...] = ()  # of a house that moves: the years of all its places, this one among them

    @property
    def damp(self) -> Damp:
        """How damp the room gets while it is warm outdoors."""
        return self.load.damp

    @property
    def dehumidifier_W(self) -> float:
        """Watts of the dehumidifier the dampest of the summers asks for; 0 where none asks."""
        return max((float(y.damp.watts) for y in self.every or (self,) if y.damp.asks), default=0.0)

    @property
    def dehumidifier_pints_day(self) -> float:
        """Its rating; 0 where none is asked for."""
        return max((y.damp.pints_day for y in self.every or (self,) if y.damp.asks), default=0.0)

    @property
    def year_kWh(self) -> float:
        """Electricity of the year for heat, cold and air, dehumidifier included."""
        return self.load.year_kWh

    @property
    def year_cost(self) -> float:
        """What that adds to the bill, in the tariff's currency."""
        return self.money.year_cost


@lru_cache(maxsize=16)
def brings_of(place: Place) -> WeatherYear:
    """The hours a place carries or those built from its months, worked out once.  Raises NoAnswer where its records hold none."""
    return weather_year(year_at(place))


def plan_year(case: Case, unit: Unit, heater_W: float) -> PlanYear | None:
    """The year of a unit and a heater; of several places the one that asks most of the meter, with all of them beside it.

    None where no year is known.
    """
    found = []
    for designer, place in zip(case.designers, case.sites_places, strict=True):
        try:
            brings = brings_of(place)
        except NoAnswer:
            return None
        found.append(_one(designer.model, place, RunYear(unit, heater_W, brings, ROOMS, place.months)))
    worst = max(found, key=lambda y: y.year_kWh)
    return replace(
        worst, every=tuple(found), **{k: max(getattr(y, k) for y in found) for k in ("still_h", "heater_h", "short_h")}
    )


def _one(model: HouseModel, place: Place, asked: RunYear) -> PlanYear:
    load = walk(model, asked)
    money = money_of(load, *tariff_of(model.house, place.state))
    still_h = round(place.hours_below(asked.unit.lowest_heating_C), 1)
    heater_h, short_h = _heater_h(load, place.months), _short_h(model, load, place.months)
    return PlanYear(
        asked=asked, load=load, money=money, mild=_mild(load.year.middle), still_h=still_h, heater_h=heater_h, short_h=short_h
    )


def _mild(way: WayYear) -> Mild:
    h, line = way.hours, way.series
    near = np.abs(line["outdoor_C"] - MILD_C) < MILD_WITHIN_K
    return Mild(
        h["cycling, heating"] / h["heating"] if h["heating"] else 0.0,
        h["cycling, cooling"] / h["cooling"] if h["cooling"] else 0.0,
        float((line["heat_W"] + line["backup_W"])[near].mean()) if near.any() else 0.0,
    )


def _heater_h(load: MeteredYear, months: tuple[int, ...]) -> float:
    """Hours in which the second heater gives heat, of the months the house stands there, the most of the ways it may stand."""
    return float(max((in_months(months) & (way.series["backup_W"] > LEAST_HEAT_W)).sum() for way in load.year.ways))


def _short_h(model: HouseModel, load: MeteredYear, months: tuple[int, ...]) -> float:
    """Hours more than 2 K below the set point in force, of the months it stands there, the worst of the ways it may stand."""
    points = model.house.set_points
    least = min(points.heating, points.heating if points.night_heating is None else points.night_heating)
    return float(max((in_months(months) & (way.series["indoor_C"] < least - SHORT_K)).sum() for way in load.year.ways))
