"""The run load: what the owner will see on the meter, by hour and month, in money, and on the cord."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.place_record import EVERY_MONTH
from heatcalc.inputs.supply.supply_record import Supply, Tariff, in_canada, state_average
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.dehumidify import Damp, damp_of, toll_W
from heatcalc.model.house_model import HouseModel
from heatcalc.model.household import night_open, set_points
from heatcalc.model.year_drivers import MONTH_OF_HOUR, WeatherYear
from heatcalc.model.year_sums import WayYear
from heatcalc.model.year_walk import RoomUnits, YearResult, run_year
from heatcalc.supply.money import Bill, bill, month_hour
from heatcalc.supply.supply_check import cord_amperes
from heatcalc.tables import rows

USES = ("heating", "cooling", "backup", "fan and standby", "dehumidifier")

CFM_M3_S = 4.719474e-4
FULL_SPEED = 2.0  # power of a recovery's fans at full speed over that at the rate asked for: common practice, no source
DAYS_OF_MONTH = np.bincount(MONTH_OF_HOUR[::24], minlength=12)


@dataclass(frozen=True, eq=False)
class RunYear:
    """Everything a year needs besides the house: unit, backup heat, weather, corrected units kept; the months it stands there."""

    unit: Unit
    backup_W: float
    brings: WeatherYear
    rooms: RoomUnits
    months: tuple[int, ...] = EVERY_MONTH


@dataclass(frozen=True, eq=False)
class MeteredYear:
    """One walked year as the meter sees it: hourly watts by use (mean of the ways the house may stand)."""

    year: YearResult
    uses_W: dict[str, np.ndarray]
    rest_W: np.ndarray
    damp: Damp

    @property
    def run_W(self) -> np.ndarray:
        """All electricity for heat, cold and air [W]."""
        return np.sum(list(self.uses_W.values()), axis=0)

    @property
    def month_kWh(self) -> dict[str, np.ndarray]:
        """kWh by use and month."""
        return {use: by_month(watts) for use, watts in self.uses_W.items()}

    @property
    def year_kWh(self) -> float:
        """kWh of the year for heat, cold and air."""
        return float(self.run_W.sum()) / 1000.0

    @property
    def tables(self) -> tuple[np.ndarray, np.ndarray]:
        """kWh by month and hour of the day (12 x 24) of the run load, and of the rest of the house."""
        return month_hour(self.run_W / 1000.0), month_hour(self.rest_W / 1000.0)

    @property
    def heat_kWh(self) -> float:
        """Heat given to the house in the year, backup included."""
        return self.year.annual("heat") + self.year.annual("backup heat")

    @property
    def hot_water_kWh(self) -> float:
        """Electricity of the year for hot water, part of the rest of the house."""
        return float(self.year.electricity_kWh["hot water"].sum())

    @property
    def propane_kWh(self) -> float:
        """Heat of the year's propane for water and cooking."""
        return float(sum(watts.sum() for watts in self.year.household.propane_W.values())) / 1000.0

    @property
    def heating_electricity_kWh(self) -> float:
        """Electricity of heating: unit with its pan and crankcase heaters, and backup."""
        return float(self.uses_W["heating"].sum() + self.uses_W["backup"].sum()) / 1000.0


@dataclass(frozen=True, eq=False)
class Money:
    """What heat, cold and air add to the bill: the whole house's bill less the bill of the rest, in the tariff's currency."""

    tariff: Tariff
    why: str
    whole: Bill
    rest: Bill

    @property
    def month_cost(self) -> np.ndarray:
        """Twelve additions to the bill, taxes with them; what is paid whatever is used falls out."""
        return np.subtract(self.whole.month_cost, self.rest.month_cost)

    @property
    def currency(self) -> str:
        """Of all its amounts."""
        return self.tariff.currency

    @property
    def year_cost(self) -> float:
        """Their sum."""
        return float(self.month_cost.sum())


def by_month(watts: np.ndarray) -> np.ndarray:
    """Twelve sums [kWh] of hourly watts."""
    return np.bincount(MONTH_OF_HOUR, watts, 12) / 1000.0


def tariff_of(house: House, state: str) -> tuple[Tariff, str]:
    """The house's own tariff, else the state's average; and why."""
    if house.tariff is not None:
        return house.tariff, "as stated"
    own = "the province's" if in_canada(state) else "the state's"
    return state_average(state), f"{own} average, since no tariff was given"


def money_of(load: MeteredYear, tariff: Tariff, why: str) -> Money:
    """Both bills of a year."""
    return Money(tariff, why, bill((load.run_W + load.rest_W) / 1000.0, tariff), bill(load.rest_W / 1000.0, tariff))


def walk(model: HouseModel, asked: RunYear) -> MeteredYear:
    """One year of a house as the meter sees it; a dehumidifier with what its heat makes the heat pump draw."""
    year = run_year(model, asked.brings, asked.unit, asked.backup_W, rooms=asked.rooms)
    split = [_uses(way, fresh_air_W(model, way.series["outdoor_C"])) for way in year.ways]
    uses = {use: np.mean([s[use] for s in split], axis=0) for use in split[0]}
    damp = damp_of(model, asked.brings, year.middle, asked.months)
    dry = damp.hourly_W + toll_W(damp, year.middle) if damp.asks else np.zeros(len(asked.brings.outdoor_C))
    return MeteredYear(year, uses | {"dehumidifier": dry}, year.middle.series["rest_W"], damp)


def _uses(way: WayYear, fan_W: np.ndarray) -> dict[str, np.ndarray]:
    """Watts by use; pan and crankcase heaters are the heat pump's, in its heating."""
    used = way.uses_W
    return {
        "heating": used["heating"] + used["pan heater"] + used["crankcase heater"],
        "cooling": used["cooling"],
        "backup": used["backup heat"],
        "fan and standby": used["standby"] + fan_W,
    }


def fresh_air_W(model: HouseModel, outdoor_C: np.ndarray) -> np.ndarray:
    """Electric watts of the ventilation fans and of a heater before a core in each hour."""
    return ventilation_fan_W(model, outdoor_C) + preheater_W(model, outdoor_C)


def preheater_W(model: HouseModel, outdoor_C: np.ndarray) -> np.ndarray:
    """Electric watts of the heater before the core of a heat recovery in each hour; nil without one."""
    return np.asarray(model.air.preheat_W(model.house.set_points.heating - outdoor_C))


def ventilation_fan_W(model: HouseModel, outdoor_C: np.ndarray) -> np.ndarray:
    """Electric watts of the whole-house ventilation fan in each hour, from its flow and the least air a watt the code allows;
    at full speed while the core of a heat recovery defrosts."""
    kind, night = model.house.ventilation.kind, _night_fan_W(model, outdoor_C)
    if kind == "none":
        return night
    per_watt = _cfm_per_W(kind)
    watts = (model.air.balanced_m3_s + model.air.unbalanced_m3_s) / CFM_M3_S / per_watt
    defrosts = model.air.defrosting(model.house.set_points.heating - outdoor_C)
    return night + watts * (1.0 + (FULL_SPEED - 1.0) * (defrosts if model.house.ventilation.heat_recovery else 0.0 * defrosts))


def _night_fan_W(model: HouseModel, outdoor_C: np.ndarray) -> np.ndarray:
    """Of the fan that cools the house at night, taken as an exhaust fan of the same table."""
    said = model.house.ventilation
    if not said.night_fan:
        return np.zeros(len(outdoor_C))
    return night_open(outdoor_C, set_points(model.house.set_points)[1], said) * said.night_fan / CFM_M3_S / _cfm_per_W("exhaust")


def _cfm_per_W(kind: str) -> float:
    return float(next(r for r in rows("ventilation_fan") if r["kind"] == kind)["cfm_per_W"])


def cord_series(year: YearResult, supply: Supply, volts: float) -> np.ndarray:
    """Hourly amperes of the fuller leg, fan included, of the way of standing with the highest hour."""
    found = [_amperes(w, supply, volts, fresh_air_W(year.house.model, w.series["outdoor_C"])) for w in year.ways]
    return max(found, key=lambda amperes: float(amperes.max()))


def _amperes(way: WayYear, supply: Supply, volts: float, fan_W: np.ndarray) -> np.ndarray:
    line = way.series
    return cord_amperes(supply, line["unit_power_W"] + line["extra_power_W"], volts, line["backup_W"], line["rest_W"] + fan_W)
