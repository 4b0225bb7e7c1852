"""Does the house run from its cord?  Design cold and largest cooling load, what may run beside, circuits, cord drop."""

from __future__ import annotations

from calendar import month_name
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Appliance, Supply, heats_water
from heatcalc.physics.supply import electrics
from heatcalc.supply.circuits import CircuitLine, backup_legs, circuit_list
from heatcalc.supply.coincidence import CordDrop, Situation, cord_drop, smallest_cord
from heatcalc.supply.cord import (
    SEASON_WORDS,
    Cord,
    HourCheck,
    Load,
    WattsInDoubt,
    check_hour,
    cord_named,
    cords_by_size,
    hungriest_allowed,
    loads_to_pause,
    watts_in_doubt,
)
from heatcalc.supply.off_grid import PARK_TRAILER, BatteryLine, GeneratorCheck, battery_line, check_generator
from heatcalc.wording import Q, Said, worded

CAUTIONS = (
    "For information, not an electrical design: a licensed electrician and the authority having jurisdiction "
    "decide; nameplates, listings and the code adopted there overrule every number here.",
    "Adapters do not protect the cord: a 30 A or 50 A plug on a smaller receptacle is no smaller load.",
    worded(
        "Carbon monoxide: never run a generator indoors, under the house, in skirting or near "
        "openings; keep it at least {} from doors, windows and vents (CPSC, NFPA).",
        Q(6.096, "length"),
    ),
    "Work on the refrigerant circuit needs a certified technician.",
)
SOURCES = (
    "continuous loads at 125 %, so at most 80 % of the rating: NEC 210.20(A) and 215.3, from memory",
    "supply capacities: NEC 551.73 unit loads, 3,600 VA a 30 A site, 12,000 VA a 50 A site (2017 edition)",
    worded(
        "conductor resistance: NEC Chapter 9 Table 8 at {}; 3 % drop: advisory note of NEC 210.19, 215.2", Q(75, "temperature")
    ),
    "unit circuit: nameplate first, else NEC 440.33 and 440.22(A) formulas",
    "appliances: US DOE appliance wattage list, or common practice without source as marked in the table",
)


@dataclass(frozen=True, kw_only=True)
class OnDemand:
    """What happens when one more appliance is switched on in an hour of full heat or full cooling."""

    name: str
    amperes: float
    cold: str  # "pass", "short" or "fail" beside everything that coincides
    hot: str
    pause_cold: tuple[str, ...] | None  # what to pause meanwhile; None: not possible in that hour
    pause_hot: tuple[str, ...] | None
    swap: str | None  # the smallest supply on which it may run in both hours with nothing paused


@dataclass(frozen=True, kw_only=True)
class HourlyShare:
    """The year's amperes against the cord, from hourly means of the fuller leg."""

    hours_above_80: int
    hours_above_rating: int
    first_above_80: str
    highest_A: float
    highest_share: float
    highest_when: str


@dataclass(frozen=True, kw_only=True)
class StandingStill:
    """The coldest hour of a typical year, in which the unit stands still and a heater carries the house."""

    outdoor_C: float
    stops_below_C: float
    hours: float
    heater_W: float
    hour: HourCheck
    smallest_cord: str | None
    on_plan: HourCheck | None = None


@dataclass(frozen=True, kw_only=True)
class SupplyAnswer:
    """The whole supply check; amperes are those of the fuller leg.

    `cord`, `cold`, `hot`, `passes` and `advice` speak of the supply the house has; everything else of the one the plan
    `hangs_on`, another one where the house's own does not carry it; `still` is set where a typical year has hours too cold
    for the unit.
    """

    cord: Cord
    hangs_on: Cord
    continuous_limit_A: float
    capacity_VA: float
    passes: bool
    cold: HourCheck
    hot: HourCheck
    on_plan: tuple[HourCheck, ...]
    advice: tuple[str, ...]
    in_doubt: tuple[WattsInDoubt, ...]
    smallest_cord: str | None
    on_demand: tuple[OnDemand, ...]
    lock_outs: tuple[tuple[str, str], ...]
    circuits: tuple[CircuitLine, ...]
    drop: CordDrop
    generator: GeneratorCheck | None
    battery: BatteryLine | None
    hourly: HourlyShare | None
    remarks: tuple[str, ...]
    still: StandingStill | None = None
    cautions: tuple[Said, ...] = CAUTIONS
    sources: tuple[Said, ...] = SOURCES


def check_supply(
    supply: Supply,
    unit_running_A_cold: float,
    unit_running_A_hot: float,
    unit_volts: float,
    backup_W: float = 0.0,
    house_A: ArrayLike | None = None,
    elevation_m: float = 0.0,
    coldest_C: float = 0.0,
    hottest_C: float = 35.0,
    unit_mca_A: float | None = None,
    unit_mop_A: float | None = None,
    built_as: str = "tiny house on wheels",
    mean_W: float | None = None,
    dehumidifier_W: float = 0.0,
    heater_W: float | None = None,
    hangs_on: str | None = None,
    lowest_V: float | None = None,
) -> SupplyAnswer:
    """Check cord, circuits, generator and battery.

    `unit_running_A_*` are the unit's amperes at the design cold and the largest cooling load at `unit_volts`; `backup_W` the
    resistance heat at the design cold; `house_A` the year's 8,760 hourly amperes of the fuller leg, hour
    ending, if known; `mean_W` the house's mean power for battery and generator; `dehumidifier_W` runs beside the cooling;
    `heater_W` is the heater that needs a circuit, None = that of the design cold; `hangs_on` the supply of the plan, None = the
    house's own; `lowest_V` the least volts the unit's file names.
    """
    cord = cord_named(supply.cord)
    plan = cord if hangs_on is None else cord_named(hangs_on)
    unit = {"cold": unit_running_A_cold, "hot": unit_running_A_hot}
    loads, hours = _hours(supply, unit, unit_volts, backup_W, cord, dehumidifier_W)
    when = (
        Situation(name="cold", unit_A=unit["cold"], heater_W=backup_W),
        Situation(name="hot", unit_A=unit["hot"], dehumidifier_W=dehumidifier_W),
    )
    on_plan, planned = _hours(supply, unit, unit_volts, backup_W, plan, dehumidifier_W)
    running = {season: hungriest_allowed(some, supply.lock_outs) for season, some in on_plan.items()}
    return SupplyAnswer(
        cord=cord,
        hangs_on=plan,
        continuous_limit_A=electrics.continuous_limit(cord.rating_A),
        capacity_VA=electrics.apparent_power(cord.rating_A, cord.legs),
        passes=_carries(supply, cord, tuple(hours.values())),
        cold=hours["cold"],
        hot=hours["hot"],
        on_plan=tuple(planned.values()),
        advice=tuple(word for season in loads if (word := _advice(season, loads[season], supply, cord))),
        in_doubt=watts_in_doubt(supply, on_plan, plan),
        smallest_cord=smallest_cord(supply, when, unit_volts).named(),
        on_demand=tuple(_on_demand(a, supply, on_plan, plan) for a in supply.appliances if not a.together),
        lock_outs=supply.lock_outs,
        circuits=circuit_list(
            supply,
            max(unit.values()),
            unit_volts,
            backup_W if heater_W is None else heater_W,
            plan.legs,
            unit_mca_A,
            unit_mop_A,
            dehumidifier_W,
        ),
        drop=cord_drop(supply, max(planned.values(), key=lambda h: h.leg_A[0]), plan, unit_volts, lowest_V),
        generator=check_generator(supply.generator, running, elevation_m, coldest_C, hottest_C, built_as, mean_W),
        battery=battery_line(supply.battery, running, mean_W),
        hourly=None if house_A is None else hourly_share(house_A, plan.rating_A),
        remarks=_remarks(supply, built_as),
    )


def _hours(
    supply: Supply, unit_A: dict[str, float], unit_volts: float, backup_W: float, cord: Cord, dehumidifier_W: float = 0.0
) -> tuple[dict[str, tuple[Load, ...]], dict[str, HourCheck]]:
    backup = {"cold": backup_W, "hot": 0.0}
    dries = {"cold": 0.0, "hot": dehumidifier_W}
    loads = {
        season: house_loads(supply, amperes, unit_volts, backup[season], season, cord, dries[season])
        for season, amperes in unit_A.items()
    }
    return loads, {season: check_hour(season, loads[season], supply.lock_outs, cord) for season in loads}


def house_loads(
    supply: Supply, unit_A: float, unit_volts: float, backup_W: float, season: str, cord: Cord, dehumidifier_W: float = 0.0
) -> tuple[Load, ...]:
    """The loads that coincide in one season: heat pump, backup heat, dehumidifier, and the appliances marked `together`."""
    loads = (
        [Load(name=HEAT_PUMP, amperes=unit_A, legs=2 if unit_volts >= 200 else 1, watts=unit_A * unit_volts, continuous=True)]
        if unit_A > 0
        else []
    )
    if backup_W > 0:
        legs = backup_legs(backup_W, cord.legs)
        loads.append(Load(name=BACKUP, amperes=backup_W / (120.0 * legs), legs=legs, watts=backup_W, continuous=True))
    running = [a for a in supply.appliances if a.together and a.season in ("any", season)]
    if dehumidifier_W > 0 and all(a.name != DEHUMIDIFIER for a in running):
        loads.append(Load(name=DEHUMIDIFIER, amperes=dehumidifier_W / 120.0, legs=1, watts=dehumidifier_W, continuous=True))
    return (*loads, *map(load_of, running))


def load_of(appliance: Appliance) -> Load:
    """An appliance as a load on the cord."""
    return Load(
        name=appliance.name,
        amperes=appliance.watts / appliance.volts,
        legs=appliance.volts // 120,
        watts=appliance.watts,
        continuous=appliance.continuous,
        starting_W=max(appliance.starting or 0.0, appliance.watts),
        leg=appliance.leg or 0,
    )


def _advice(season: str, loads: tuple[Load, ...], supply: Supply, cord: Cord) -> str:
    high = [load.name for load in loads if load.legs > cord.legs]
    if high:
        return f"{SEASON_WORDS[season]}: {' and '.join(high)} for 240 V: a 120/240 V supply, or 120 V equipment"
    paused = loads_to_pause(season, loads, supply.lock_outs, cord, (HEAT_PUMP, BACKUP))
    if paused == ():
        return ""
    if paused is None:
        return f"{SEASON_WORDS[season]}: no one or two lock-outs are enough: a larger supply, less backup heat or fewer loads"
    names = " and ".join(paused)
    cold = " (some of the hot water then comes cold)" if any(map(heats_water, paused)) else ""
    return f"{SEASON_WORDS[season]}: lock out {names} while the heat pump is at full output{cold}, or take a larger supply"


def standing_still(
    supply: Supply,
    outdoor_C: float,
    stops_below_C: float,
    hours: float,
    heater_W: float,
    resting_A: float,
    unit_volts: float,
    hangs_on: str | None = None,
) -> StandingStill:
    """The hour in which a heater of `heater_W` carries the house, the unit drawing `resting_A`, on this cord and the plan's."""
    found = []
    for cord in (cord_named(supply.cord), cord_named(hangs_on or supply.cord)):
        loads = house_loads(supply, resting_A, unit_volts, heater_W, "cold", cord)
        found.append(check_hour("still", loads, supply.lock_outs, cord))
    smallest = smallest_cord(supply, (Situation(name="still", unit_A=resting_A, heater_W=heater_W),), unit_volts).named()
    return StandingStill(
        outdoor_C=outdoor_C,
        stops_below_C=stops_below_C,
        hours=hours,
        heater_W=heater_W,
        hour=found[0],
        smallest_cord=smallest,
        on_plan=found[1],
    )


def _carries(supply: Supply, cord: Cord, hours: tuple[HourCheck, ...]) -> bool:
    volts_fit = cord.legs == 2 or all(a.volts == 120 for a in supply.appliances)
    return volts_fit and all(hour.verdict != "fail" for hour in hours)


def _on_demand(appliance: Appliance, supply: Supply, loads: dict[str, tuple[Load, ...]], cord: Cord) -> OnDemand:
    rivals = {b if a == appliance.name else a for a, b in supply.lock_outs if appliance.name in (a, b)}
    found = {}
    for season in ("cold", "hot"):
        beside = (*(load for load in loads[season] if load.name not in rivals), load_of(appliance))
        paused = loads_to_pause(season, beside, supply.lock_outs, cord, (HEAT_PUMP, appliance.name))
        stopped = tuple(load.name for load in loads[season] if load.name in rivals)
        found[season] = (check_hour(season, beside, supply.lock_outs, cord).verdict, None if paused is None else stopped + paused)
    (cold, pause_cold), (hot, pause_hot) = found["cold"], found["hot"]
    return OnDemand(
        name=appliance.name,
        amperes=appliance.watts / appliance.volts,
        cold=cold,
        hot=hot,
        pause_cold=pause_cold,
        pause_hot=pause_hot,
        swap=_swap(appliance, supply, loads),
    )


def _swap(appliance: Appliance, supply: Supply, loads: dict[str, tuple[Load, ...]]) -> str | None:
    """The smallest supply that carries it beside everything of both hours."""
    beside = {season: (*running, load_of(appliance)) for season, running in loads.items()}
    fits = (
        c.name
        for c in cords_by_size()
        if c.proposed and all(check_hour(s, some, supply.lock_outs, c).verdict != "fail" for s, some in beside.items())
    )
    return next(fits, None)


def cord_amperes(supply: Supply, unit_W: ArrayLike, unit_volts: float, backup_W: ArrayLike, other_W: ArrayLike) -> np.ndarray:
    """Hourly amperes of the fuller leg from hourly watts of unit, backup and everything else.

    Loads for 240 V use both legs; on a two-leg cord the 120 V loads are taken as evenly shared.
    """
    legs = cord_named(supply.cord).legs
    unit, backup, other = (np.asarray(w, dtype=float) for w in (unit_W, backup_W, other_W))
    if unit_volts >= 200:
        return unit / unit_volts + (backup + other) / (120.0 * legs)
    return (
        (unit + backup + other) / (120.0 * legs) if legs == 1 else np.maximum(unit / unit_volts, (unit + backup + other) / 240.0)
    )


def hourly_share(house_A: ArrayLike, rating_A: float) -> HourlyShare:
    """Hours of the year above 80 % and above the rating, and when the highest hour comes."""
    amperes = np.asarray(house_A, dtype=float)
    above = np.flatnonzero(amperes > electrics.continuous_limit(rating_A))
    top = int(np.argmax(amperes))
    return HourlyShare(
        hours_above_80=len(above),
        hours_above_rating=int(np.sum(amperes > rating_A)),
        first_above_80=hour_words(int(above[0])) if len(above) else "",
        highest_A=float(amperes[top]),
        highest_share=float(amperes[top] / rating_A),
        highest_when=hour_words(top),
    )


def hour_words(index: int) -> str:
    """Hour `index` (0 = the hour ending 01:00 on January 1) as "January 14, hour ending 07:00"."""
    moment = np.datetime64("2023-01-01T00") + np.timedelta64(index, "h")
    return f"{month_name[int(str(moment)[5:7])]} {int(str(moment)[8:10])}, hour ending {index % 24 + 1:02d}:00"


def _remarks(supply: Supply, built_as: str) -> tuple[str, ...]:
    words = []
    circuits = {a.circuit or a.name for a in supply.appliances} | {HEAT_PUMP}
    if built_as == "park model":
        words.append(PARK_TRAILER)
        if supply.cord == "30 A 120 V" and len(circuits) > 5:
            words.append(
                f"Park trailer with {len(circuits)} circuits: a 30 A, 120 V cord is for two to five 15 or "
                "20 A circuits, otherwise 50 A, 120/240 V (NEC 2008 552.44(C))."
            )
    if built_as == "manufactured home" and supply.cord.startswith("30"):
        words.append(
            "Manufactured home: one listed 50 A cord (40 A with gas heat and cooking) or a permanent "
            "circuit, no adapters or extension cords (24 CFR 3280.803)."
        )
    if built_as == "house on a foundation" and supply.cord != "hard-wired 100 A":
        words.append(
            "As a dwelling on a foundation the service disconnect is at least 100 A (NEC 230.79(C), as quoted in the trade)."
        )
    if supply.cord == "30 A 120 V":
        words += [f"{a.name} runs on 240 V: it needs a 120/240 V supply." for a in supply.appliances if a.volts == 240]
    return tuple(words)
