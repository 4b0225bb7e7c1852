"""One judged unit as every page reads it, and the loads it is judged against."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np

from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import as_designed
from heatcalc.judge.facts import HOT_SHARE, Asked, Facts, Rooms
from heatcalc.judge.many_loads import GRID_C, loads_of
from heatcalc.judge.plan import Judged, judge
from heatcalc.judge.rules import FITS, JUST, LARGE, STOPS, TOO_SMALL, WITH_HEATER
from heatcalc.judge.rules.holds import ONE_HEATER_W
from heatcalc.judge.sites import sites_of
from heatcalc.judge.unit_there import MILD_C
from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity
from heatcalc.supply.cord import cord_named
from heatcalc.supply.supply_check import SupplyAnswer, check_supply
from heatcalc.wording import Q, Said, worded

__all__ = [
    "FITS", "GRID_C", "JUST", "LARGE", "MILD_C", "ONE_HEATER_W", "STOPS", "TOO_SMALL", "WITH_HEATER", "Candidate", "LoadLine",
    "Task", "balance_point", "candidate_of", "heat_range", "load_line", "task_of",
]  # fmt: skip


@dataclass(frozen=True)
class LoadLine:
    """Steady heating load over outdoor temperature [W], and how far it may be off either way."""

    outdoor_C: np.ndarray
    load_W: np.ndarray
    low_W: np.ndarray
    high_W: np.ndarray

    def at(self, outdoor_C: float | np.ndarray) -> np.ndarray:
        """Load at a temperature, straight between the points."""
        return np.interp(outdoor_C, self.outdoor_C, self.load_W)


@dataclass(frozen=True, kw_only=True)
class Task:
    """What any unit has to carry here."""

    line: LoadLine
    design_C: float
    heating_W: float
    sensible_W: float
    latent_W: float
    hot_C: float
    elevation_m: float
    heating_set_C: float
    cooling_set_C: float
    cooling_wet_bulb_C: float
    room_air_C: float  # of the design cold, beside cold surfaces
    sigma_K: float  # of the design cold, 0 where the user gives it
    damp_sensible_W: float  # the hour of the 1 % dew-point condition; nil where the record has no dew point
    damp_latent_W: float
    damp_C: float
    dehumidification_kg_s: float  # water to take out over the damper of both days to hold the indoor humidity


@dataclass(frozen=True, eq=False)
class Candidate:
    """One unit judged at one place of a case; capacities in W at the site, temperatures in degC, amperes at the unit's volts."""

    judged: Judged
    task: Task
    at: int = 0
    dehumidifier_W: float = 0.0  # of the plan with this unit, where its year was walked

    @property
    def unit(self) -> Unit:
        """The unit."""
        return self.judged.unit

    @property
    def name(self) -> str:
        """The unit's name."""
        return self.unit.name

    @property
    def verdict(self) -> str:
        """The worst that any rule says here."""
        return str(self.judged.verdict[self.at])

    @property
    def carries(self) -> bool:
        """Holds with the chance asked for, alone, and cools: whether or not it is larger than needed."""
        return self.verdict in (FITS, LARGE) and self.backup_W == 0

    @property
    def chance(self) -> float:
        """Chance that unit and heater hold the set point at the design cold."""
        return float(self.judged.chance[self.at])

    @property
    def chance_hot(self) -> float:
        """Chance that the unit carries the sensible load of the hottest hour."""
        return float(self.judged.facts.chance_hot[self.at])

    @property
    def backup_W(self) -> float:
        """Watts of the second heater of the plan; 0 where the unit holds by itself."""
        return float(self.judged.heater_W[self.at])

    @property
    def beside_W(self) -> float:
        """What of it runs beside a running unit."""
        return float(self.judged.beside_W[self.at])

    @property
    def max_heat_at_design_W(self) -> float:
        """Most heat at the design cold."""
        return float(self.judged.facts.heat_W[self.at])

    @property
    def max_heat_band_W(self) -> tuple[float, float]:
        """Its band."""
        most, times = self.judged.facts.there.most_at_design, self.judged.facts.rooms.total[self.at]
        return float(most.low_W[self.at] * times), float(most.high_W[self.at] * times)

    @property
    def mark(self) -> str:
        """How it is known: given, between, estimated, off."""
        return str(self.judged.facts.there.most_at_design.mark[self.at])

    @cached_property
    def max_heat_warm_room_W(self) -> float:
        """Most heat where the head draws in the air that the felt temperature asks for."""
        there = at_site(self.unit, self.task.elevation_m, self.task.room_air_C)
        return float(np.atleast_1d(capacity(there.heating, self.task.design_C, "max").value_W)[0])

    @property
    def min_heat_W(self) -> float:
        """Least steady heat at 47 F."""
        return float(self.judged.facts.there.least_mild_W[self.at])

    @property
    def mild_load_W(self) -> float:
        """Load at 47 F without sun and people."""
        return float(self.judged.facts.mild_load_W[self.at])

    @cached_property
    def balance_point_C(self) -> float | None:
        """Outdoor temperature at which the unit's greatest heat equals the load, to 0.1 K; None if it never falls short."""
        here = at_site(self.unit, self.task.elevation_m, self.task.heating_set_C)
        return balance_point(here, self.task.line)

    @cached_property
    def lowest_temperature_held_C(self) -> float | None:
        """Coldest outdoor temperature at which the unit alone holds the set point, on paper."""
        held = float(self.judged.facts.held_C(np.zeros(len(self.judged.heater_W)), None)[self.at])
        return None if np.isnan(held) else max(held, self.unit.lowest_heating_C)

    @property
    def sensible_cooling_W(self) -> float:
        """Sensible capacity in the hot hour."""
        return float(self.judged.facts.cooling["sensible_W"][self.at])

    @property
    def latent_cooling_W(self) -> float:
        """Latent capacity then."""
        return float(self.judged.facts.cooling["latent_W"][self.at])

    @property
    def cooling_ratio(self) -> float:
        """Full cooling over the load."""
        return float(self.judged.facts.cooling["ratio"][self.at])

    @cached_property
    def cold_A(self) -> float:
        """Amperes at the largest tabled input while it heats, from the coldest hours up."""
        return float(np.atleast_1d(self.judged.facts.there.most_heating_A)[self.at])

    @cached_property
    def hot_A(self) -> float:
        """Amperes at the largest tabled input while it cools, up to the hot hour."""
        return float(np.atleast_1d(self.judged.facts.most_cooling_A)[self.at])

    @property
    def plugs_in(self) -> bool:
        """The supply has the unit's voltage."""
        return self.unit.volts < 200 or cord_named(self.judged.house.supply.cord).legs == 2

    @property
    def runs_from_cord(self) -> bool:
        """The supply the house has carries unit, heater and what runs beside them, in every hour asked."""
        return bool(self.judged.supply_carried[self.at])

    @property
    def smallest_supply(self) -> str | None:
        """The one smallest supply."""
        return str(self.judged.outcome("supply").quantities["smallest"][self.at]) or None

    @cached_property
    def supply(self) -> SupplyAnswer:
        """Circuits, cord, generator and battery at the design hours; its verdict and its smallest supply are the plan's."""
        return self.supply_through()

    def supply_through(self, house_A: np.ndarray | None = None, mean_W: float | None = None) -> SupplyAnswer:
        """The same with a year's hourly amperes of the fuller leg and the house's mean power, where known."""
        house, u = self.judged.house, self.unit
        found = check_supply(
            house.supply,
            self.cold_A,
            self.hot_A,
            u.volts,
            self.beside_W,
            house_A,
            elevation_m=self.task.elevation_m,
            coldest_C=self.task.design_C,
            hottest_C=self.task.hot_C,
            unit_mca_A=u.mca_A,
            unit_mop_A=u.mop_A,
            built_as=house.built_as,
            mean_W=mean_W,
            dehumidifier_W=self.dehumidifier_W,
            heater_W=self.backup_W,
            hangs_on=None if self.runs_from_cord else self.smallest_supply,
            lowest_V=u.lowest_volts,
        )
        return replace(found, passes=self.runs_from_cord, smallest_cord=self.smallest_supply)

    @cached_property
    def reasons(self) -> tuple[Said, ...]:
        """Why, in words, most important first."""
        return tuple(_reasons(self))


def hot_held_C(c: Candidate, designer: Designer, *sure: float) -> list[float | None]:
    """Warmest hour [degC] of the hottest day that the unit carries at each chance, as sunny as the design day; None: not even
    that day.

    The load of the fullest hour grows with the air outdoors by the house's own loss a degree; load and output together are off by
    `HOT_SHARE`.  Beyond the unit's table nothing is promised.
    """
    facts, at, loads = c.judged.facts, c.at, c.judged.facts.loads
    hot, table_end = float(loads.hot_C[at]), float(facts.unit.cooling.outdoor_C[-1])
    slope = float(np.diff(loads.line_W[at])[-1] / np.diff(loads.line_C)[-1])
    tried = np.arange(hot, max(hot, table_end) + 0.05, 0.1)
    needed = loads.sensible_W[at] - slope * (tried - hot)
    alone = len(loads.hot_C) == 1
    here = facts if alone else replace(facts, rooms=Rooms(c.judged.house, sites_of([as_designed(designer)])))
    given = here.cooling_at(tried, needed, loads.latent_W[at : at + 1])["sensible_W"]
    warmest = float(designer.cooling.outdoor_C.max())
    held = (tried[given >= needed * (1.0 + HOT_SHARE * NormalDist().inv_cdf(one))] for one in sure)
    return [min(warmest + float(one[-1]) - hot, max(warmest, table_end)) if len(one) else None for one in held]


def _reasons(c: Candidate) -> Iterator[Said]:
    yield from _why_heat(c)
    yield from _why_cold(c)
    yield from _why_supply(c)


def _why_heat(c: Candidate) -> Iterator[Said]:
    f, k, t = c.judged.facts, c.at, c.task
    if c.max_heat_at_design_W > 0:
        given = Q(t.design_C, "temperature"), Q(c.max_heat_at_design_W, "power")
        spare = c.max_heat_at_design_W / t.heating_W - 1 if t.heating_W > 0 else 0.0
        if spare < 0:
            yield worded("at {} it gives {} of the {} needed on paper", *given, Q(t.heating_W, "power"))
        else:
            yield worded("at {} it gives {}, {:.0%} more than needed on paper", *given, spare)
        alone = float(f.chance(0.0)[k])
        if alone < f.asked.sure:
            words = "alone it holds the set point then in {} of houses built so, {:.0%} are asked for"
            yield worded(words, Q(alone, "chance"), f.asked.sure)
        if c.max_heat_warm_room_W < t.heating_W <= c.max_heat_at_design_W:
            yield worded(
                "its table is for a room at {}; beside cold walls the air must be near {} to feel so, and "
                "drawing that in it gives {}",
                Q(t.heating_set_C, "temperature"),
                Q(t.room_air_C, "temperature"),
                Q(c.max_heat_warm_room_W, "power"),
            )
    if not c.judged.outcome("runs").ok[k]:
        stops, coldest = (Q(float(x), "temperature") for x in (f.there.coldest_running_C, f.loads.coldest_C[k]))
        yield worded(
            "it stops below {} outdoors and the place may reach {}: a heater must then carry the whole house", stops, coldest
        )
    if c.backup_W > 0:
        yield worded("with a second heater of {} it holds in {}", Q(c.backup_W, "electric power"), Q(c.chance, "chance"))
    if c.mark == "estimated":
        low, high = (Q(x, "power") for x in c.max_heat_band_W)
        yield worded("that capacity is estimated ({} to {}): ask for the table", low, high)


def _why_cold(c: Candidate) -> Iterator[Said]:
    cools, k, t = c.judged.outcome("cools"), c.at, c.task
    if not cools.quantities["carries_hot"][k]:
        removed, needed = Q(c.sensible_cooling_W, "power"), Q(t.sensible_W, "power")
        yield worded("in the hottest hour it removes {} of {} sensible heat", removed, needed)
    if not cools.quantities["carries_damp"][k]:
        damp = Q(t.damp_sensible_W + t.damp_latent_W, "power")
        yield worded("in the 1 % dew-point hour, {} outdoors, it cannot carry {}", Q(t.damp_C, "temperature"), damp)
    beyond = float(cools.quantities["beyond_table_K"][k])
    if beyond > 0.05:
        short = Q(beyond, "temperature difference")
        yield worded("its cooling table ends {} below the hot hour: that capacity is an estimate", short)
    if not c.judged.outcome("not too large").ok[k]:
        ratio = f"{c.cooling_ratio:.1f} times the load, above the published limit"
        yield f"its full cooling is {ratio}: it dries little and goes on and off"


def _why_supply(c: Candidate) -> Iterator[Said]:
    supply, cord = c.judged.outcome("supply"), c.judged.house.supply.cord
    if not c.plugs_in:
        yield f"it needs {c.unit.volts:.0f} V and the cord is {cord}"
    elif not supply.ok[c.at]:
        needed = float(supply.quantities["needed_A"][c.at])
        yield f"{needed:.1f} A are needed in the {supply.quantities['set_by'][c.at]}, more than {cord} brings"


def load_line(designer: Designer) -> LoadLine:
    """Steady loads from the coldest to the set point; the band joins the air's and the shell's uncertainty.

    Air +-40 % (models against measurement, ASHRAE Handbook - Fundamentals 2021 ch. 16), shell +-10 % (common
    practice, no source).
    """
    warm = designer.model.house.set_points.heating
    at = np.append(GRID_C[warm - 0.5 > GRID_C], warm)
    loads = [designer.heating(float(t)) for t in at]
    air = np.array([x.components_W["infiltration"] for x in loads])
    total = np.array([x.load_W for x in loads])
    spread = np.hypot(0.4 * air, 0.1 * (total - air))
    return LoadLine(at, total, total - spread, total + spread)


def task_of(designer: Designer) -> Task:
    """The loads a unit is judged against."""
    c, points, cooling = designer.conditions, designer.model.house.set_points, designer.cooling
    pressure = moist_air.pressure_at_altitude(c.elevation_m)
    inside = moist_air.humidity_ratio_from_relative(points.cooling, points.cooling_humidity, pressure)
    heating, damp = designer.heating(), designer.damp
    return Task(
        line=load_line(designer),
        design_C=c.heating_C,
        heating_W=heating.load_W,
        sensible_W=cooling.peak_sensible_W,
        latent_W=cooling.latent_at_peak_W,
        hot_C=cooling.outdoor_at_peak_C,
        elevation_m=c.elevation_m,
        heating_set_C=points.heating,
        cooling_set_C=points.cooling,
        cooling_wet_bulb_C=float(moist_air.wet_bulb(points.cooling, inside, pressure)),
        room_air_C=heating.air_C,
        sigma_K=designer.place.sigma_heating_K if designer.model.house.design.heating is None else 0.0,
        damp_sensible_W=damp.peak_sensible_W if damp else 0.0,
        damp_latent_W=damp.latent_at_peak_W if damp else 0.0,
        damp_C=damp.outdoor_at_peak_C if damp else cooling.outdoor_at_peak_C,
        dehumidification_kg_s=max(x.dehumidification_kg_s for x in designer.cooling_conditions),
    )


def candidate_of(
    unit: Unit, designer: Designer, task: Task | None = None, sure: float = 0.9, wind_m_s: float = DESIGN_WIND_HEATING_M_S
) -> Candidate:
    """One unit at one place, judged without the year; `task` where it is ready."""
    sites = sites_of([as_designed(designer)])
    house = designer.model.house
    loads = loads_of((designer,), sites, wind_m_s)
    return Candidate(judge(Facts(unit, loads, Rooms(house, sites), Asked(sure)), house), task or task_of(designer))


def heat_range(unit: Unit, task: Task, outdoor_C: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Most and least heat of a unit at this site over outdoor temperature [W], and how the most is known."""
    here = at_site(unit, task.elevation_m, task.heating_set_C)
    most = capacity(here.heating, outdoor_C, "max")
    return most.value_W, capacity(here.heating, outdoor_C, "min").value_W, most.mark


def balance_point(unit: Unit, line: LoadLine) -> float | None:
    """Outdoor temperature at which the unit's greatest heat equals the load, to 0.1 K [degC]; None if it never falls short."""
    at = np.arange(line.outdoor_C[0], line.outdoor_C[-1], 0.1)
    short = line.at(at) > capacity(unit.heating, at, "max").value_W
    return float(at[np.flatnonzero(short)[-1] + 1]) if short.any() and not short.all() else None
