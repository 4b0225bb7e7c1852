"""What may be promised: the temperature held, how often it is colder, what helps then, and a power cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.answers.outage import PowerCut, power_cut
from heatcalc.answers.run_load import RunLoad
from heatcalc.answers.year import drivers

GRID_K = 0.15  # a limit found on a line of tenths is the limit itself


@dataclass(frozen=True)
class Promise:
    """The promise box; temperatures in degC, power in W."""

    indoor_C: float
    held_C: float | None  # coldest outdoor temperature at which the unit alone holds the set point
    stops_C: float | None  # the unit stops there, if that is what ends the holding
    colder_h: int
    lowest_C: float  # the unit's lowest operating temperature, heating
    standing_h: int  # hours of the year colder than that
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
    plugs_in: bool
    smallest_cord: str | None


def promise(r: RunLoad) -> Promise:
    """The promise of a computed year."""
    c, task, year = r.candidate, r.sized.task, r.load.year
    held = c.lowest_temperature_held_C
    outdoor = r.hours["outdoor_C"]
    stops = held is not None and abs(held - c.unit.lowest_heating_C) < GRID_K
    return Promise(task.heating_set_C, held, c.unit.lowest_heating_C if stops else None,
                   0 if held is None else int(np.sum(outdoor < held)), c.unit.lowest_heating_C,
                   int(np.sum(outdoor < c.unit.lowest_heating_C)), r.asked.backup_W, c.mark == "off",
                   float(r.load.uses_W["backup"].sum()) / 1000.0, float(outdoor.min()), year.peak("coldest_C")[0],
                   year.hours["too cold"], year.hours["heating"], year.hours["full output, heating"], task.design_C,
                   c.supply.cord.name, c.supply.passes, c.plugs_in, c.supply.smallest_cord)


def cut_power(r: RunLoad) -> PowerCut:
    """A power cut on the coldest night of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return power_cut(drivers(year.house, r.asked.brings, year.middle.front_faces))
