"""Every use of energy of the household, hour by hour through the year: the rows that the bill, the cord and the gains read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

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
from heatcalc.inputs.weather.weather_hours import HOURS
from heatcalc.physics.sun.sun import MONTH_DAYS
from heatcalc.physics.supply import hot_water

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
    cold = hot_water.cold_water_minutes(water.need_W, water.most_W * free, water.drawn_W, water.drawable_J)
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
    mains = hot_water.mains_temperature(np.arange(HOURS) / 24.0, float(outdoor_C.mean()), max(monthly) - min(monthly))
    rise = np.maximum(living.hot_water_temperature - mains, 0.0)
    drawn = drawn_m3_day(living) / DAY_S * np.tile(hot_water_shape(), HOURS // 24) * hot_water.HOT_WATER_J_m3K * rise
    around = outdoor_C if living.water_heater_place == "outside" else room_C
    lost = (
        float(row["standby_kWh_day"]) * JOULE_PER_KWH / DAY_S * np.maximum(living.hot_water_temperature - around, 0.0) / STANDBY_K
    )
    efficiency, most = float(row["efficiency"]), float(row["power_W"]) * float(row["efficiency"])
    need = drawn + lost
    volume = hot_water.DRAWABLE * float(row["litres"]) / 1000.0
    heat = hot_water.heater_hours(need, most) if most > 0 else np.zeros(HOURS)
    drawable = volume * hot_water.HOT_WATER_J_m3K * float(living.hot_water_temperature - mains.mean())
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
