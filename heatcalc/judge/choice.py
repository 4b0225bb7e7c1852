"""Which unit: every candidate judged at both ends of its range, against the same loads, with reasons in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.model.designer import Designer
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.extras import cooling_input_W, heating_input_W
from heatcalc.physics.unit.heat_pump import capacity, power, sensible_heat_ratio
from heatcalc.supply.supply_check import SupplyAnswer, check_supply
from heatcalc.wording import Q, Said, worded

MILD_C = (47.0 - 32.0) / 1.8  # the mild end of the range, 47 F
POWER_FACTOR = 0.97  # small inverter drives, assumption of the generic classes
COOLING_OVERSIZE = 1.30  # total cooling capacity over load, variable speed: ANSI/ACCA 3 (2014), from memory
EXCESS_LATENT_TO_SENSIBLE = 0.5
COOLING_SHORT = 0.90  # the same rule's lower limit
GRID_C = np.arange(-45.0, 22.0, 2.5)
FITS, WITH_BACKUP, STOPS, TOO_SMALL = "fits", "fits with backup heat", "stops in the cold", "too small"
ORDER = {(FITS, True): 0, (WITH_BACKUP, True): 1, (FITS, False): 2, (WITH_BACKUP, False): 3}  # (verdict, runs from the cord)
LAST = {FITS: 4, WITH_BACKUP: 4, STOPS: 5, TOO_SMALL: 6}
ONE_HEATER_W = 1500.0  # US DOE appliance list: a portable heater is 1,500 W; more backup is another kind of installation


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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class Candidate:
    """One unit against the task; capacities in W at the site, temperatures in degC, amperes at the unit's voltage."""

    unit: Unit
    verdict: str
    reasons: tuple[Said, ...]
    max_heat_at_design_W: float
    max_heat_band_W: tuple[float, float]
    max_heat_warm_room_W: float  # with the room's air as warm as cold surfaces ask for
    mark: str
    min_heat_W: float
    mild_load_W: float
    mild_run_fraction: float
    balance_point_C: float | None
    backup_W: float
    lowest_temperature_held_C: float | None
    sensible_cooling_W: float
    latent_cooling_W: float
    cooling_ratio: float
    cold_A: float
    hot_A: float
    supply: SupplyAnswer

    @property
    def plugs_in(self) -> bool:
        """The cord has the unit's voltage."""
        return self.unit.volts < 200 or self.supply.cord.legs == 2

    @property
    def runs_from_cord(self) -> bool:
        """Voltage is there and both design hours pass, backup heat included."""
        return self.plugs_in and self.supply.passes

    @property
    def name(self) -> str:
        """The unit's name."""
        return self.unit.name


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


def judge(unit: Unit, task: Task, designer: Designer) -> Candidate:
    """One unit at the design cold, at the design hot hour and at mild load, on this house's cord."""
    here = at_site(unit, task.elevation_m, task.heating_set_C, task.cooling_wet_bulb_C, task.cooling_set_C)
    most = capacity(here.heating, np.array([task.design_C]), "max")
    heat = float(most.value_W[0])
    backup = max(task.heating_W - heat, 0.0)
    least, mild_load = float(capacity(here.heating, np.array([MILD_C]), "min").value_W[0]), float(task.line.at(MILD_C))
    sensible, latent, ratio, cools = _cooling(here, task.hot_C, task.sensible_W, task.latent_W)
    *_, dries = _cooling(here, task.damp_C, task.damp_sensible_W, task.damp_latent_W)
    cold_A, hot_A = _amperes(here, task)
    house = designer.model.house
    supply = check_supply(
        house.supply,
        cold_A,
        hot_A,
        unit.volts,
        backup,
        elevation_m=task.elevation_m,
        coldest_C=task.design_C,
        hottest_C=task.hot_C,
        unit_mca_A=unit.mca_A,
        unit_mop_A=unit.mop_A,
        built_as=house.built_as,
    )
    found = Candidate(
        unit=unit,
        verdict="",
        reasons=(),
        max_heat_at_design_W=heat,
        max_heat_band_W=(float(most.low_W[0]), float(most.high_W[0])),
        max_heat_warm_room_W=_in_warm_room(unit, task),
        mark=str(most.mark[0]),
        min_heat_W=least,
        mild_load_W=mild_load,
        mild_run_fraction=min(mild_load / least, 1.0) if least > 0 else 1.0,
        balance_point_C=balance_point(here, task.line),
        backup_W=backup,
        lowest_temperature_held_C=lowest_held(here, task),
        sensible_cooling_W=sensible,
        latent_cooling_W=latent,
        cooling_ratio=ratio,
        cold_A=cold_A,
        hot_A=hot_A,
        supply=supply,
    )
    return _with_verdict(found, task, cools, dries)


def _in_warm_room(unit: Unit, task: Task) -> float:
    """Most heat at the design cold where the head draws in the air that the felt temperature asks for [W]."""
    there = at_site(unit, task.elevation_m, task.room_air_C)
    return float(capacity(there.heating, np.array([task.design_C]), "max").value_W[0])


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


def lowest_held(unit: Unit, task: Task) -> float | None:
    """Coldest outdoor temperature at which the unit alone holds the set point [degC]."""
    point = balance_point(unit, task.line)
    return max(unit.lowest_heating_C, task.line.outdoor_C[0]) if point is None else point


def _cooling(unit: Unit, outdoor_C: float, sensible_W: float, latent_W: float) -> tuple[float, float, float, bool]:
    """Sensible and latent capacity at full output in an hour, total capacity over total load, and whether it carries the hour.

    Latent capacity beyond the load dries the room, and a drier coil cools more: half of the excess counts as sensible
    (the usual selection rule, from memory).
    """
    at, load = np.array([outdoor_C]), sensible_W + latent_W
    total = float(capacity(unit.cooling, at, "max").value_W[0])
    latent = total * (1 - float(sensible_heat_ratio(unit.cooling, at, np.array([total]))[0]))
    turned = EXCESS_LATENT_TO_SENSIBLE * max(latent - latent_W, 0.0)
    carries = total - latent + turned >= sensible_W and total >= COOLING_SHORT * load
    return total - latent + turned, latent - turned, total / load if load > 0 else float("inf"), carries


def _amperes(unit: Unit, task: Task) -> tuple[float, float]:
    """Mean amperes in the coldest and the hottest hour at the load carried, pan heater and standby included."""
    cold_C, hot_C = np.array([task.design_C]), np.array([task.hot_C])
    cold = heating_input_W(unit, cold_C, power(unit.heating, cold_C, np.array([task.heating_W])))
    hot = cooling_input_W(unit, hot_C, power(unit.cooling, hot_C, np.array([task.sensible_W + task.latent_W])))
    return float(cold[0]) / (unit.volts * POWER_FACTOR), float(hot[0]) / (unit.volts * POWER_FACTOR)


def _with_verdict(c: Candidate, task: Task, cools: bool, dries: bool) -> Candidate:
    if c.mark == "off":
        verdict = STOPS
    elif not (cools and dries) or c.backup_W > max(task.heating_W / 2, ONE_HEATER_W):
        verdict = TOO_SMALL
    else:
        verdict = FITS if c.backup_W == 0 else WITH_BACKUP
    return replace(c, verdict=verdict, reasons=tuple(reasons(c, task, cools, dries)))


def reasons(c: Candidate, task: Task, cools: bool, dries: bool = True) -> Iterator[Said]:
    """Why, in words, most important first; numbers in SI, shown in either system by `show`."""
    if c.mark == "off":
        yield worded("it stops at {} outdoors, above the design cold", Q(c.unit.lowest_heating_C, "temperature"))
    elif c.backup_W > 0:
        yield (
            worded(
                "at {} it gives {} of the {} needed",
                Q(task.design_C, "temperature"),
                Q(c.max_heat_at_design_W, "power"),
                Q(task.heating_W, "power"),
            )
        )
    else:
        spare = c.max_heat_at_design_W / task.heating_W - 1 if task.heating_W > 0 else 0.0
        yield worded(
            "at {} it gives {}, {:.0%} more than needed",
            Q(task.design_C, "temperature"),
            Q(c.max_heat_at_design_W, "power"),
            spare,
        )
        yield from _thin(c, task)
    if c.mark == "estimated":
        low, high = c.max_heat_band_W
        yield worded("that capacity is estimated ({} to {}): ask for the table", Q(low, "power"), Q(high, "power"))
    if not cools:
        yield worded(
            "in the hottest hour it removes {} of {} sensible heat", Q(c.sensible_cooling_W, "power"), Q(task.sensible_W, "power")
        )
    if not dries:
        damp = Q(task.damp_sensible_W + task.damp_latent_W, "power")
        yield worded("in the 1 % dew-point hour, {} outdoors, it cannot carry {}", Q(task.damp_C, "temperature"), damp)
    if c.mild_run_fraction < 1:
        yield (
            worded(
                "at {} its least output {} is above the load {}: it runs {:.0%} of the time",
                Q(MILD_C, "temperature"),
                Q(c.min_heat_W, "power"),
                Q(c.mild_load_W, "power"),
                c.mild_run_fraction,
            )
        )
    if c.cooling_ratio > COOLING_OVERSIZE:
        yield f"its full cooling is {c.cooling_ratio:.1f} times the load: a low least output matters, and it dries little"
    if not c.plugs_in:
        yield f"it needs {c.unit.volts:.0f} V and the cord is {c.supply.cord.name}"
    elif not c.supply.passes:
        worst = c.supply.cold if c.supply.cold.verdict == "fail" else c.supply.hot
        yield f"cord: {worst.reason}"


def _thin(c: Candidate, task: Task) -> Iterator[Said]:
    """What a unit that carries the load would not stand: colder by the record's sigma, or its head in warmer air."""
    if c.max_heat_at_design_W < float(task.line.at(task.design_C - task.sigma_K)):
        yield (
            worded(
                "that is too little if the design cold is off by its one sigma, {}: have a small heater at "
                "hand or take the next larger unit",
                Q(task.sigma_K, "temperature difference"),
            )
        )
    if c.max_heat_warm_room_W < task.heating_W:
        yield (
            worded(
                "its table is for a room at {}; beside cold walls the air must be near {} to feel so, and "
                "drawing that in it gives {}",
                Q(task.heating_set_C, "temperature"),
                Q(task.room_air_C, "temperature"),
                Q(c.max_heat_warm_room_W, "power"),
            )
        )


def place_in_line(verdict: str, from_cord: bool, generic: bool) -> int:
    """Where a candidate stands, least first: a unit known by its own table that fits comes before the invented classes."""
    line = ORDER.get((verdict, from_cord), LAST[verdict])
    return line - len(ORDER) if verdict == FITS and not generic else line


def rank(candidates: list[Candidate]) -> list[Candidate]:
    """Best first: by `place_in_line`, then least backup, then the smallest, then the steadiest at mild load.

    Units that stop in the design cold come after all that do not: the one that holds out longest first.
    """

    def key(c: Candidate) -> tuple:
        coldest = c.lowest_temperature_held_C if c.verdict == STOPS and c.lowest_temperature_held_C is not None else 0.0
        return (
            place_in_line(c.verdict, c.runs_from_cord, c.unit.generic),
            round(coldest, 1),
            round(c.backup_W / 50.0),
            c.unit.size_kBtuh,
            -c.mild_run_fraction,
            c.unit.volts,
            c.name,
        )

    return sorted(candidates, key=key)
