"""What may be promised: the temperature held, how often it is colder, what helps then, and a power cut."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.answers.year.house_supply import still_hour
from heatcalc.answers.year.metered_year import RunLoad
from heatcalc.answers.year.outage import FALLS_TO_C, PowerCut, power_cut
from heatcalc.judge.backup import heater_W
from heatcalc.judge.choice import FITS, WITH_BACKUP, Candidate
from heatcalc.model.year_walk import drivers
from heatcalc.supply.cord import HourCheck, cords_by_size
from heatcalc.supply.supply_check import StandingStill
from heatcalc.wording import Said

KEPT_C = FALLS_TO_C[0]
"""Indoors never colder than that, though below the set point: a second heater is not asked for."""
GRID_K = 0.15  # a limit found on a line of tenths is the limit itself


@dataclass(frozen=True)
class Promise:
    """The promise box; temperatures in degC, power in W."""

    verdict: str  # the sizing's
    why_not: Said  # the sizing's first reason, where it does not let the unit pass
    indoor_C: float
    held_C: float | None  # coldest outdoor temperature at which the unit alone holds the set point
    stops_C: float | None  # the unit stops there, if that is what ends the holding
    colder_h: int  # hours of a typical year colder than that
    lowest_C: float  # the unit's lowest operating temperature, heating
    standing_h: int  # hours of a typical year colder than that, from the place's bins as in the sizing
    heater_W: float  # a heater that carries the house in them; 0 where there are none or the backup heat keeps it
    heater_cord: str | None  # the smallest supply that carries it with what runs beside it
    backup_W: float
    backup_whole: bool  # the backup then carries the whole load
    backup_kWh: float
    coldest_outdoor_C: float
    coldest_indoor_C: float
    too_cold_h: float
    unit_heats_h: float
    full_h: float
    design_C: float
    cord: str
    cord_passes: bool
    cord_loads: tuple[str, ...]  # what runs together in the fuller of the two design hours, water heater and all
    cord_reason: str  # the supply check's words for that hour
    plugs_in: bool
    smallest_cord: str | None  # for the design hours and for that heater


def promise(r: RunLoad) -> Promise:
    """The promise of a computed year."""
    c, task, year = r.candidate, r.sized.task, r.load.year
    held, still, fuller = c.lowest_temperature_held_C, still_hour(r.sized, c), fuller_hour(c)
    stops = held is not None and abs(held - c.unit.lowest_heating_C) < GRID_K
    coldest_indoor_C = year.peak("coldest_C")[0]
    second_W = 0.0 if still is None else second_heater_W(still, r.asked.backup_W, coldest_indoor_C)
    return Promise(
        verdict=c.verdict,
        why_not="" if c.verdict in (FITS, WITH_BACKUP) else c.reasons[0],
        indoor_C=task.heating_set_C,
        held_C=held,
        stops_C=c.unit.lowest_heating_C if stops else None,
        colder_h=0 if held is None else round(r.sized.place.hours_below(c.unit.lowest_heating_C if stops else held)),
        lowest_C=c.unit.lowest_heating_C,
        standing_h=0 if still is None else round(still.hours),
        heater_W=second_W,
        heater_cord=still.smallest_cord if still is not None and second_W else None,
        backup_W=r.asked.backup_W,
        backup_whole=c.mark == "off",
        backup_kWh=float(r.load.uses_W["backup"].sum()) / 1000.0,
        coldest_outdoor_C=float(r.hours["outdoor_C"].min()),
        coldest_indoor_C=coldest_indoor_C,
        too_cold_h=year.hours["too cold"],
        unit_heats_h=year.hours["heating"],
        full_h=year.hours["full output, heating"],
        design_C=task.design_C,
        cord=c.supply.cord.name,
        cord_passes=c.supply.passes,
        cord_loads=tuple(load.name for load in fuller.loads),
        cord_reason=fuller.reason,
        plugs_in=c.plugs_in,
        smallest_cord=larger_cord(c.supply.smallest_cord, still.smallest_cord) if still and second_W else c.supply.smallest_cord,
    )


def fuller_hour(c: Candidate) -> HourCheck:
    """The design hour that takes up more of the cord, one that fails first."""
    return max((c.supply.cold, c.supply.hot), key=lambda hour: (hour.verdict == "fail", hour.leg_required_A))


def larger_cord(one: str | None, other: str | None) -> str | None:
    """The larger of two supplies; None, no supply of the table, is the largest."""
    names = [cord.name for cord in cords_by_size()]
    return None if one is None or other is None else max(one, other, key=names.index)


def second_heater_W(still: StandingStill, backup_W: float, coldest_indoor_C: float) -> float:
    """Watts of the heater to plan for the hours in which the unit stands still; 0 where the backup heat keeps the house."""
    needed = heater_W(still.heater_W)
    kept = backup_W > 0.0 and coldest_indoor_C >= KEPT_C
    return 0.0 if kept or needed <= backup_W else needed


def cut_power(r: RunLoad) -> PowerCut:
    """A power cut on the coldest night of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return power_cut(drivers(year.house, r.asked.brings, year.middle.front_faces))
