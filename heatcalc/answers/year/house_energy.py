"""Everything a house uses in a year, a row a use, with what its hot water rests on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.house.living import DAY_S, JOULE_PER_KWH, Living, drawn_m3_day, water_heater_row
from heatcalc.inputs.house.one_list import PREHEATER
from heatcalc.inputs.supply.supply_record import DEHUMIDIFIER
from heatcalc.judge.metered_year import preheater_W, tariff_of, ventilation_fan_W
from heatcalc.model.household import STANDBY_K, WaterYear
from heatcalc.model.year_sums import HOUSEHOLD_USES
from heatcalc.model.year_walk import YearResult
from heatcalc.physics.supply import hot_water
from heatcalc.supply.every_use import EveryUse, every_use

FAN = "ventilation fan"
Dryer = tuple[np.ndarray, float] | None  # a dehumidifier's mean watts hour by hour, and its watts while it runs


@dataclass(frozen=True, kw_only=True)
class HotWater:
    """The water heater's year: litres and mains, how fast it recovers at the coldest mains, its kWh walked and by hand.

    `by_hand_kWh` is the one-line equation of a tank's day (Lutz et al. 1998) at the year's mean mains.
    """

    kind: str
    drawn_m3_day: float
    coldest_mains_C: float
    warmest_mains_C: float
    recovery_m3_s: float
    walked_kWh: float
    by_hand_kWh: float
    source: str


@dataclass(frozen=True, eq=False)
class HouseEnergy:
    """Rows of the year, and the hot water behind one of them (None without)."""

    uses: EveryUse
    water: HotWater | None
    electric_W: dict[str, np.ndarray]  # hourly, by row
    dehumidifier_W: float = 0.0  # of the plan, while it runs


def house_energy(year: YearResult, state: str, dryer: Dryer = None) -> HouseEnergy:
    """The rows of a walked year, of the way of standing nearest the mean, under the house's tariff."""
    house = year.house.model.house
    heat_pump = {use: watts for use, watts in year.middle.uses_W.items() if use not in HOUSEHOLD_USES and watts.any()}
    air = year.house.model, year.middle.series["outdoor_C"]
    fan = {FAN: ventilation_fan_W(*air), PREHEATER: preheater_W(*air)}
    electric = heat_pump | {name: watts for name, watts in fan.items() if watts.any()} | year.household.electric_W
    tariff, _ = tariff_of(house, state)
    if dryer is not None:
        electric[DEHUMIDIFIER] = electric.get(DEHUMIDIFIER, 0.0) + dryer[0]
    uses = every_use(electric, year.household.propane_W, tariff, state)
    return HouseEnergy(
        uses, hot_water_of(house.living, year.household.water, house.set_points.heating), electric, dryer[1] if dryer else 0.0
    )


def hot_water_of(living: Living, water: WaterYear, room_C: float) -> HotWater | None:
    """What the year's hot water rests on; None where nothing heats any."""
    if water.most_W == 0:
        return None
    row = water_heater_row(living.water_heater)
    tank, mains = living.hot_water_temperature, float(water.mains_C.mean())
    ua = float(row["standby_kWh_day"]) * JOULE_PER_KWH / DAY_S / STANDBY_K
    drawn, around = drawn_m3_day(living), room_C
    day = hot_water.tank_day(drawn, mains, tank, water.efficiency, ua / water.efficiency, around, water.most_W / water.efficiency)
    recovery = hot_water.recovery_flow(water.most_W, 1.0, tank - float(water.mains_C.min()))
    return HotWater(
        kind=living.water_heater,
        drawn_m3_day=drawn,
        coldest_mains_C=float(water.mains_C.min()),
        warmest_mains_C=float(water.mains_C.max()),
        recovery_m3_s=recovery,
        walked_kWh=float(water.input_W.sum()) / 1000.0,
        by_hand_kWh=365 * day / JOULE_PER_KWH,
        source=f"{row['source']} ({row['mark']})",
    )
