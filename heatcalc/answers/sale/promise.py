"""What may be promised: the plan's temperature at its chance, how often it is colder, what helps then, and a power cut."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from heatcalc.answers.year.outage import HeatCut, PowerCut, heat_cut, power_cut
from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.judge.choice import Candidate
from heatcalc.judge.plan import Plan
from heatcalc.model.year_walk import drivers
from heatcalc.supply.cord import HourCheck
from heatcalc.wording import Said

HOT_SHARE = 0.15


@dataclass(frozen=True, kw_only=True)
class Promise:
    """The promise box: the plan, and what a typical year makes of it; temperatures in degC, power in W."""

    plan: Plan
    why_not: Said  # the sizing's first reason, where no unit here carries the house
    indoor_C: float
    colder_h: int  # hours of a typical year colder than the temperature held
    lowest_C: float  # the unit's lowest operating temperature, heating
    standing_h: int  # hours of a typical year colder than that, from the place's bins as in the sizing
    backup_kWh: float
    coldest_outdoor_C: float
    coldest_indoor_C: float
    too_cold_h: float
    unit_heats_h: float
    full_h: float
    design_C: float
    cooling_C: float  # the set point held in summer
    hot_held_C: (
        float | None
    )  # hottest outdoors with that, at the chance asked for; None where not even the design hour is carried
    hot_held_paper_C: float | None
    hotter_h: int  # hours of the typical year hotter than held
    too_warm_h: float
    hottest_outdoor_C: float
    hottest_indoor_C: float
    mainly_cools: bool  # cooling takes more electricity than heating: the promise begins with the heat
    cord: str
    cord_loads: tuple[str, ...]  # what runs together in the fuller of the two design hours, water heater and all
    cord_reason: str  # the supply check's words for that hour
    plugs_in: bool

    @property
    def held_C(self) -> float | None:
        """Coldest outdoor temperature held at the chance asked for, with the plan's heater."""
        return self.plan.held_C

    @property
    def backup_W(self) -> float:
        """The plan's second heater."""
        return self.plan.heater_W

    @property
    def cord_passes(self) -> bool:
        """The supply the house has carries the plan."""
        return self.plan.supply_carried

    @property
    def smallest_cord(self) -> str | None:
        """The plan's supply."""
        return self.plan.supply


def promise(r: RunLoad) -> Promise:
    """The promise of a computed year."""
    c, task, year, plan = r.candidate, r.sized.task, r.load.year, r.sized.plan
    hot, heat_kWh = hot_held_C(r, plan.sure), r.load.heating_electricity_kWh
    fuller, place = fuller_hour(c), r.sized.place
    return Promise(
        plan=plan,
        why_not="" if plan.holds else c.reasons[0],
        indoor_C=task.heating_set_C,
        colder_h=0 if plan.held_C is None else round(place.hours_below(plan.held_C)),
        lowest_C=c.unit.lowest_heating_C,
        standing_h=round(place.hours_below(c.unit.lowest_heating_C)),
        backup_kWh=float(r.load.uses_W["backup"].sum()) / 1000.0,
        coldest_outdoor_C=float(r.hours["outdoor_C"].min()),
        coldest_indoor_C=year.peak("coldest_C")[0],
        too_cold_h=year.hours["too cold"],
        unit_heats_h=year.hours["heating"],
        full_h=year.hours["full output, heating"],
        design_C=task.design_C,
        cooling_C=task.cooling_set_C,
        hot_held_C=hot,
        hot_held_paper_C=hot_held_C(r, 0.5),
        hotter_h=0 if hot is None else int((r.hours["outdoor_C"] > hot).sum()),
        too_warm_h=year.hours["too warm"],
        hottest_outdoor_C=float(r.hours["outdoor_C"].max()),
        hottest_indoor_C=float(r.hours["indoor_C"].max()),
        mainly_cools=float(r.load.uses_W["cooling"].sum()) / 1000.0 > heat_kWh,
        cord=r.sized.house.supply.cord,
        cord_loads=tuple(load.name for load in fuller.loads),
        cord_reason=fuller.reason,
        plugs_in=c.plugs_in,
    )


def hot_held_C(r: RunLoad, sure: float) -> float | None:
    """Warmest hour [degC] of the hottest day that the unit carries, as sunny as the design day; None: not even that day.

    The load of the fullest hour grows with the air outdoors by the house's own loss a degree; load and output together are off by
    `HOT_SHARE` (own choice), one standard deviation.  Beyond the unit's table nothing is promised.
    """
    facts, at = r.candidate.judged.facts, r.candidate.at
    loads, hot = facts.loads, float(facts.loads.hot_C[at])
    slope = float(np.diff(loads.line_W[at])[-1] / np.diff(loads.line_C)[-1])
    tried = np.arange(hot, max(hot, float(facts.unit.cooling.outdoor_C[-1])) + 0.05, 0.1)
    needed = (loads.sensible_W[at] - slope * (tried - hot)) * (1.0 + HOT_SHARE * NormalDist().inv_cdf(sure))
    latent = loads.latent_W[at : at + 1]
    given = [facts.cooling_at(tried[k : k + 1], needed[k : k + 1], latent)["sensible_W"][0] for k in range(len(tried))]
    held = tried[np.array(given) >= needed]
    warmest = float(r.sized.designer.cooling.outdoor_C.max())
    end = max(warmest, float(facts.unit.cooling.outdoor_C[-1]))
    return min(warmest + float(held[-1]) - hot, end) if len(held) else None


def cut_cooling(r: RunLoad) -> HeatCut:
    """A power cut on the hottest day of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return heat_cut(drivers(year.house, r.asked.brings, year.middle.front_faces))


def fuller_hour(c: Candidate) -> HourCheck:
    """The design hour that takes up more of the cord, one that fails first."""
    return max((c.supply.cold, c.supply.hot), key=lambda hour: (hour.verdict == "fail", hour.leg_required_A))


def cut_power(r: RunLoad) -> PowerCut:
    """A power cut on the coldest night of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return power_cut(drivers(year.house, r.asked.brings, year.middle.front_faces))
