"""What a household does through the year, hour by hour: set points, days away, windows opened on summer nights, every use of
energy.

The year starts on a Monday (own choice: a typical year has no weekdays).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from heatcalc.inputs.house.house_pieces import LEAST_APART_K, Away, Period, SetPoints, within
from heatcalc.inputs.house.house_record import Ventilation
from heatcalc.inputs.house.living import (
    DAY_S,
    JOULE_PER_KWH,
    Living,
    drawn_m3_day,
    hot_water_shape,
    living_day,
    use_power,
    water_heater_row,
)
from heatcalc.inputs.weather.hours_of_year import HOURS
from heatcalc.physics.sun.sun import MONTH_DAYS
from heatcalc.physics.supply import electrics

HOUR, DAY = np.arange(HOURS) % 24, np.arange(HOURS) // 24
WEEKEND = DAY % 7 >= 5
COOLING_OFF_C, HEATING_OFF_C = 99.0, -60.0
LEAST_OUTDOOR_C, SUMMER_DAY_C = 16.0, 18.0  # it is closed in air colder than this and on days with a cooler mean: own choice


def _hours(row: Period) -> np.ndarray:
    days = {"every day": np.ones(HOURS, bool), "weekend": WEEKEND, "weekdays": ~WEEKEND}[row.days]
    return days & within(HOUR, row.from_hour, row.to_hour)


def _day(date: str) -> int:
    month, day = (int(x) for x in date.split("-"))
    return sum(MONTH_DAYS[: month - 1]) + day - 1


def _gone(row: Away) -> np.ndarray:
    first, last = _day(row.from_date), _day(row.to_date)
    return (first <= DAY) & (last >= DAY) if first <= last else (first <= DAY) | (last >= DAY)


def set_points(said: SetPoints) -> tuple[np.ndarray, np.ndarray]:
    """Heating and cooling set point of each hour of the year [degC]: the plain ones, the night's, the schedule's, then away."""
    heating, cooling = np.full(HOURS, said.heating), np.full(HOURS, said.cooling)
    if said.night_heating is not None:
        heating[within(HOUR, said.night_from, said.night_to)] = said.night_heating
    for row in said.schedule:
        for line, said_C, off_C in ((heating, row.heating, HEATING_OFF_C), (cooling, row.cooling, COOLING_OFF_C)):
            if said_C is not None:
                line[_hours(row)] = off_C if said_C == "off" else said_C
    for gone in said.away:
        heating[_gone(gone)] = gone.heating
        cooling[_gone(gone)] = COOLING_OFF_C if gone.cooling is None else gone.cooling
    return heating, np.maximum(cooling, heating + LEAST_APART_K)


def at_home(said: SetPoints) -> np.ndarray:
    """1 in each hour of the year, 0 on days away."""
    gone = [_gone(row) for row in said.away]
    return np.where(np.any(gone, axis=0), 0.0, 1.0) if gone else np.ones(HOURS)


def night_open(outdoor_C: np.ndarray, cool_set_C: np.ndarray, said: Ventilation) -> np.ndarray:
    """Whether window and fan air the house: in their hours, always or on a warm day, outdoors cooler than the room is let become
    yet not cold."""
    hours = within(HOUR, said.night_from, said.night_to)
    if said.night_when == "always":
        return hours
    warm_day = np.repeat(outdoor_C.reshape(-1, 24).mean(axis=1), 24) > SUMMER_DAY_C
    return warm_day & hours & (outdoor_C > LEAST_OUTDOOR_C) & (outdoor_C < cool_set_C - 1.0)


HOT_WATER = "hot water"
TAPE_BELOW_C = 4.0  # thermostat of heat tape and its like: common practice, no source
WARM_FROM_C = 18.0  # from here on a load of the hot season runs: own choice
STANDBY_K = (125.0 - 67.5) / 1.8  # tank over room in the federal test, from memory


@dataclass(frozen=True, eq=False, kw_only=True)
class WaterYear:
    """Hot water of a year: of each hour the mains, heat drawn, needed and given [degC, W]."""

    mains_C: np.ndarray
    drawn_W: np.ndarray
    need_W: np.ndarray
    heat_W: np.ndarray
    most_W: float
    efficiency: float
    fuel: str
    drawable_J: float

    @property
    def input_W(self) -> np.ndarray:
        """Energy it takes, electric or in the fuel."""
        return self.heat_W / self.efficiency


@dataclass(frozen=True, eq=False)
class Household:
    """Hourly watts by row: electricity, and heat in propane."""

    electric_W: dict[str, np.ndarray]
    propane_W: dict[str, np.ndarray]
    water: WaterYear


def household_year(living: Living, outdoor_C: np.ndarray, room_C: float) -> Household:
    """The household in a year of outdoor air (8,760 hourly means) [degC]; the same statement gives the same arrays."""
    return _household(living, outdoor_C.tobytes(), room_C)


@lru_cache(maxsize=8)
def _household(living: Living, outdoor: bytes, room_C: float) -> Household:
    outdoor_C = np.frombuffer(outdoor)
    terms = living_day(living).terms
    electric = {t.name: np.tile(t.electric_W, HOURS // 24) for t in terms if t.electric_W.any()}
    propane = {t.name: np.tile(t.propane_W, HOURS // 24) for t in terms if t.propane_W.any()}
    runs = {"cold": outdoor_C < TAPE_BELOW_C, "hot": outdoor_C >= WARM_FROM_C}
    for use in living.uses:
        if use.season != "any":
            electric[use.name] = np.tile(use_power(use), HOURS // 24) * runs[use.season]
    water = water_year(living, outdoor_C, room_C)
    rows = {"electric": electric, "propane": propane}.get(water.fuel)
    if rows is not None:
        rows[HOT_WATER] = water.input_W
    return Household(electric, propane, water)


def cold_water(water: WaterYear, free: np.ndarray) -> tuple[float, float]:
    """Minutes of the year in which the tank gives no hot water, and the share of what is drawn that comes cold.

    free : the share of each hour in which the heater may run
    """
    cold = electrics.cold_water_minutes(water.need_W, water.most_W * free, water.drawn_W, water.drawable_J)
    return float(cold.sum()), float((cold / 60.0 * water.drawn_W).sum() / max(float(water.drawn_W.sum()), 1e-9))


def left_alone(home: Household, there: np.ndarray) -> Household:
    """The household with nobody there in the hours that are 0: nothing but the refrigerator runs (own choice)."""
    if there.all():
        return home
    electric = {name: w if name == "refrigerator" else w * there for name, w in home.electric_W.items()}
    return replace(home, electric_W=electric, propane_W={name: w * there for name, w in home.propane_W.items()})


def water_year(living: Living, outdoor_C: np.ndarray, room_C: float) -> WaterYear:
    """Hot water through a year of outdoor air; a tank outside loses its heat to that air."""
    row = water_heater_row(living.water_heater)
    monthly = [float(m.mean()) for m in np.split(outdoor_C, np.cumsum([24 * d for d in MONTH_DAYS])[:-1])]
    mains = electrics.mains_temperature(np.arange(HOURS) / 24.0, float(outdoor_C.mean()), max(monthly) - min(monthly))
    rise = np.maximum(living.hot_water_temperature - mains, 0.0)
    drawn = drawn_m3_day(living) / DAY_S * np.tile(hot_water_shape(), HOURS // 24) * electrics.HOT_WATER_J_m3K * rise
    around = outdoor_C if living.water_heater_place == "outside" else room_C
    lost = (
        float(row["standby_kWh_day"]) * JOULE_PER_KWH / DAY_S * np.maximum(living.hot_water_temperature - around, 0.0) / STANDBY_K
    )
    efficiency, most = float(row["efficiency"]), float(row["power_W"]) * float(row["efficiency"])
    need = drawn + lost
    volume = electrics.DRAWABLE * float(row["litres"]) / 1000.0
    heat = electrics.heater_hours(need, most) if most > 0 else np.zeros(HOURS)
    drawable = volume * electrics.HOT_WATER_J_m3K * float(living.hot_water_temperature - mains.mean())
    return WaterYear(
        mains_C=mains,
        drawn_W=drawn,
        need_W=need,
        heat_W=heat,
        most_W=most,
        efficiency=efficiency,
        fuel=row["fuel"],
        drawable_J=drawable,
    )
