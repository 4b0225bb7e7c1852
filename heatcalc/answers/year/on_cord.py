"""A walked house as loads on the legs of its supply: every use a row with what its hot water rests on, what is on, how often, and
where it is wired.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.house.living import DAY_S, JOULE_PER_KWH, Living, drawn_m3_day, profile_shape, water_heater_row
from heatcalc.inputs.house.one_list import PREHEATER
from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Appliance, Supply, appliance_row
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.dehumidify import Damp
from heatcalc.judge.metered_year import preheater_W, tariff_of, ventilation_fan_W
from heatcalc.model.household import STANDBY_K, WaterYear
from heatcalc.model.year_drivers import MONTH_OF_HOUR
from heatcalc.model.year_sums import HOUSEHOLD_USES, WayYear
from heatcalc.model.year_walk import YearResult
from heatcalc.physics.supply import electrics
from heatcalc.supply.circuits import backup_legs
from heatcalc.supply.coincidence import POWER_FACTOR, TWO_LEGS_FROM_V
from heatcalc.supply.cord import Cord, Load, share_legs
from heatcalc.supply.money import EveryUse, every_use, month_hour
from heatcalc.supply.overload import GUESS_RUN_MIN, HouseLoads, TwoState, TwoStateLoad
from heatcalc.supply.supply_check import load_of

FAN = "ventilation fan"
DRYER_HEAT = "the dehumidifier's heat, at the heat pump"
Dryer = tuple[Damp, np.ndarray] | None  # a dehumidifier, and the watts its heat makes the heat pump draw more or less


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
    """The rows of a walked year, the mean of the ways the house may stand, under the house's tariff."""
    house = year.house.model.house
    of_unit = (use for use in year.middle.uses_W if use not in HOUSEHOLD_USES)
    heat_pump = {use: np.mean([way.uses_W[use] for way in year.ways], axis=0) for use in of_unit}
    heat_pump = {use: watts for use, watts in heat_pump.items() if watts.any()}
    air = year.house.model, year.middle.series["outdoor_C"]
    fan = {FAN: ventilation_fan_W(*air), PREHEATER: preheater_W(*air)}
    electric = heat_pump | {name: watts for name, watts in fan.items() if watts.any()} | year.household.electric_W
    tariff, _ = tariff_of(house, state)
    if dryer is not None:
        electric |= {DEHUMIDIFIER: electric.get(DEHUMIDIFIER, 0.0) + dryer[0].hourly_W, DRYER_HEAT: dryer[1]}
    uses = every_use(electric, year.household.propane_W, tariff, state)
    return HouseEnergy(
        uses,
        hot_water_of(house.living, year.household.water, house.set_points.heating),
        electric,
        dryer[0].watts if dryer else 0.0,
    )


def hot_water_of(living: Living, water: WaterYear, room_C: float) -> HotWater | None:
    """What the year's hot water rests on; None where nothing heats any."""
    if water.most_W == 0:
        return None
    row = water_heater_row(living.water_heater)
    tank, mains = living.hot_water_temperature, float(water.mains_C.mean())
    ua = float(row["standby_kWh_day"]) * JOULE_PER_KWH / DAY_S / STANDBY_K
    drawn, around = drawn_m3_day(living), room_C
    day = electrics.tank_day(drawn, mains, tank, water.efficiency, ua / water.efficiency, around, water.most_W / water.efficiency)
    recovery = electrics.recovery_flow(water.most_W, 1.0, tank - float(water.mains_C.min()))
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


DAYS = np.bincount(MONTH_OF_HOUR[::24], minlength=12)
UNIT_RUN_MIN, HEATER_RUN_MIN = 20.0, 10.0  # a cycle at the least output, a thermostat's cycle: common practice, no source


def house_loads_of(
    supply: Supply, living: Living, energy: HouseEnergy, way: WayYear, unit: Unit | None, backup_W: float, cord: Cord
):
    """The loads of a house through its year on a supply (`HouseLoads`)."""
    duties = duties_of(supply, living, energy)
    machines = _machines(way, unit, backup_W, cord)
    loads = [load_of(a) for a in supply.appliances]
    if energy.dehumidifier_W and DEHUMIDIFIER not in duties:
        amperes = energy.dehumidifier_W / 120.0
        loads.append(Load(name=DEHUMIDIFIER, amperes=amperes, legs=1, watts=energy.dehumidifier_W, continuous=True))
        duties[DEHUMIDIFIER] = np.minimum(_mean_W(energy, DEHUMIDIFIER) / energy.dehumidifier_W, 1.0)
    moved = [
        Load(name=m.name, amperes=float(m.amperes.max()), legs=legs, watts=0.0, continuous=True)
        for m, legs in machines
        if m.amperes.any()
    ]
    sides = share_legs((*moved, *loads), cord.legs)
    first, second = ({x.name for x in side} for side in sides)
    on = {x.name: (float(x.name in first), float(x.name in second)) for x in (*moved, *loads)}
    fixed = tuple((TwoState(x.name, x.amperes, duties[x.name], _run_min(x.name)), _amperes(x.amperes, on[x.name])) for x in loads)
    return HouseLoads(fixed, tuple((m, on[m.name]) for m, _ in machines if m.name in on), supply.lock_outs, priority_of(supply))


def _amperes(amperes: float, on: tuple[float, float]) -> tuple[float, float]:
    return amperes * on[0], amperes * on[1]


def priority_of(supply: Supply) -> tuple[str, ...]:
    """Who runs first of a pair: as said, then heat pump, backup heat, and the list's order."""
    return tuple(dict.fromkeys((*supply.priority, HEAT_PUMP, BACKUP, *(a.name for a in supply.appliances))))


def _run_min(name: str) -> float:
    return float(appliance_row(name).get("run_min") or GUESS_RUN_MIN)


def _machines(way: WayYear, unit: Unit | None, backup_W: float, cord: Cord) -> list[tuple[TwoStateLoad, int]]:
    """Heat pump and second heater with the legs each takes."""
    found = []
    if unit is not None:
        watts = way.series["unit_power_W"] + way.uses_W["pan heater"]
        running = np.divide(watts, way.run_share, out=np.zeros(len(watts)), where=way.run_share > 0)
        legs = 2 if unit.volts >= TWO_LEGS_FROM_V else 1
        found.append((TwoStateLoad(HEAT_PUMP, running / (unit.volts * POWER_FACTOR), way.run_share, UNIT_RUN_MIN), legs))
    if backup_W > 0:
        legs = backup_legs(backup_W, cord.legs)
        share = np.minimum(way.uses_W["backup heat"] / backup_W, 1.0)
        found.append((TwoStateLoad(BACKUP, np.full(len(share), backup_W / (120.0 * legs)), share, HEATER_RUN_MIN), legs))
    return found


def duties_of(supply: Supply, living: Living, energy: HouseEnergy) -> dict[str, np.ndarray]:
    """Share of every hour of the day, month by month (288), in which each appliance is on: its row's energy over its watts."""
    row_of = {a.name: appliance_row(a.name).get("row", "") or a.name for a in supply.appliances}
    found: dict[str, np.ndarray] = {}
    for row in dict.fromkeys(row_of.values()):
        members = [a for a in supply.appliances if row_of[a.name] == row]
        found |= _shared(members, living, sum((_mean_W(energy, part) for part in row.split("+")), np.zeros(288)))
    return found


def _mean_W(energy: HouseEnergy, row: str) -> np.ndarray:
    watts = energy.electric_W.get(FAN if row == "ventilation fan" else row)
    return np.zeros(288) if watts is None else (month_hour(watts) / DAYS[:, None]).ravel()


def _shared(members: list[Appliance], living: Living, row_W: np.ndarray) -> dict[str, np.ndarray]:
    """A row's watts among its appliances: first those that run so many minutes, the others by their watts."""
    timed = {a.name: _timed(a, living) for a in members if _minutes(a) and appliance_row(a.name).get("row")}
    taken = sum((a.watts * timed[a.name] for a in members if a.name in timed), np.zeros(288))
    scale = np.divide(np.minimum(taken, row_W), taken, out=np.zeros(288), where=taken > 0)
    rest, others = np.maximum(row_W - taken, 0.0), [a for a in members if a.name not in timed]
    watts = sum(a.watts for a in others)
    return {name: duty * scale for name, duty in timed.items()} | {a.name: np.minimum(rest / watts, 1.0) for a in others}


def _minutes(appliance: Appliance) -> float:
    return appliance.minutes if appliance.minutes is not None else float(appliance_row(appliance.name).get("minutes") or 0.0)


def _timed(appliance: Appliance, living: Living) -> np.ndarray:
    row = appliance_row(appliance.name)
    times = living.people if row["per"] == "person" else 1
    hours = times * _minutes(appliance) * 60.0 / DAY_S * profile_shape(row["profile"])
    return np.tile(np.minimum(hours, 1.0), 12)
