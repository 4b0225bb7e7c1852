"""A unit explained: curves with bands and marks, retention beside published rows, doubts, seasonal figures, and one place after
another with its design temperatures, balance point, backup and year of bins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case
from heatcalc.judge.choice import MILD_C, LoadLine, balance_point, task_of
from heatcalc.judge.plan import order_key
from heatcalc.judge.sizing import SizeResult, package_usd_of, size_case
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.unit.at_site import at_site, spread
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, Estimate, capacity, input_power, level_values
from heatcalc.physics.unit.plausibility import Doubt, doubts
from heatcalc.physics.unit.seasonal import BALANCE_C, HEATING_SEASONS, BinTotals, Seasonal, over_bins, scop, seer
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded


@dataclass(frozen=True)
class LevelLine:
    """One level of one mode over a row of outdoor temperatures."""

    level: str
    capacity: Estimate
    power: Estimate

    @property
    def cop(self) -> np.ndarray:
        """Capacity over power, zero where off."""
        power = self.power.value_W
        return np.where(power > 0.0, self.capacity.value_W / np.where(power > 0.0, power, 1.0), 0.0)


@dataclass(frozen=True)
class CurveTable:
    """All levels of one mode at the same outdoor temperatures."""

    mode: str
    outdoor_C: np.ndarray
    lines: tuple[LevelLine, ...]


def curve_table(curves: Curves, outdoor_C) -> CurveTable:
    """Capacity and power by level, with bands and marks, at any outdoor temperatures."""
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    lines = tuple(LevelLine(x, capacity(curves, at, x), input_power(curves, at, x)) for x in curves.levels)
    return CurveTable(curves.mode, at, lines)


COLDEST_C = -45.0


@dataclass(frozen=True, kw_only=True)
class SiteTask:
    """What a unit, corrected for its site, is asked for there."""

    here: Unit
    heating_C: float
    heating_W: float
    cooling_C: float
    cooling_W: float
    line: LoadLine
    words: Said


@dataclass(frozen=True, kw_only=True)
class UnitAtPlace:
    """What the unit gives at a place's design temperatures and over its own year of bins."""

    place: str
    elevation_m: float
    unit: Unit  # with its corrections
    heating_design_C: float
    cooling_design_C: float
    heating: LevelLine
    cooling: LevelLine
    altitude_spread: dict[str, float]
    heating_load_W: float
    cooling_load_W: float
    load_line: Said
    balance_point_C: float | None  # None: it never, or always, falls short
    backup_W: float
    least_heat_W: float  # at 47 F
    mild_run: float  # share of the hour at 47 F
    heating_year: BinTotals | None
    cooling_year: BinTotals | None
    hours_below_lowest: float | None
    warnings: tuple[Said, ...]


def unit_in_places(unit: Unit, places: Sequence[Place], house: House | None = None) -> tuple[UnitAtPlace, ...]:
    """The unit in each place, with a house's loads there, or all with the line it just carries alone in the first place.

    That line is as steep as the maximum heating at the 99 % design temperature (or where the unit stops) and the rated
    cooling at the 1 % allow, and zero at 16 C; elsewhere it is followed to that place's temperatures.
    """
    if house is not None:
        return tuple(_at_place(place, _of_house(unit, place, house)) for place in places)
    return tuple(_at_place(place, _own_line(unit, place, places[0])) for place in places)


def _own_line(unit: Unit, place: Place, first: Place) -> SiteTask:
    here, there = (at_site(unit, p.elevation_m, unit.heating.indoor_C) for p in (place, first))
    coldest = max(first.heating_99_C, coldest_running_C(there.heating))
    heat = float(capacity(there.heating, coldest, "max").value_W[0])
    heat *= float(_straight(place.heating_99_C, 1.0, coldest)) if coldest < BALANCE_C else 0.0
    cool = _rated_cooling(there, first.cooling_1_C)
    if place is not first:
        cool *= float(_straight(place.cooling_1_C, 1.0, first.cooling_1_C))
    at = np.arange(COLDEST_C, BALANCE_C + 0.5)
    load = _straight(at, heat, place.heating_99_C)
    where = "" if place is first else f" in {first.name}"
    return SiteTask(
        here=here,
        heating_C=place.heating_99_C,
        heating_W=heat,
        cooling_C=place.cooling_1_C,
        cooling_W=cool,
        line=LoadLine(at, load, load, load),
        words=worded("as steep as the unit carries alone{}, zero at {}", where, Q(BALANCE_C, "temperature")),
    )


def _of_house(unit: Unit, place: Place, house: House) -> SiteTask:
    task = task_of(designer_of(house_model(house, place.elevation_m), place))
    here = at_site(unit, task.elevation_m, task.heating_set_C, task.cooling_wet_bulb_C, task.cooling_set_C)
    return SiteTask(
        here=here,
        heating_C=task.design_C,
        heating_W=task.heating_W,
        cooling_C=task.hot_C,
        cooling_W=task.sensible_W + task.latent_W,
        line=task.line,
        words=worded("design loads of {}; over the year straight to zero at {}", house.name, Q(BALANCE_C, "temperature")),
    )


def _at_place(place: Place, asked: SiteTask) -> UnitAtPlace:
    here, mild = asked.here, np.array([MILD_C])
    cold, hot = (curve_table(c, t).lines[-1] for c, t in ((here.heating, asked.heating_C), (here.cooling, asked.cooling_C)))
    heating, cooling, below = _years(here, place, asked)
    least = float(capacity(here.heating, mild, "min").value_W[0])
    return UnitAtPlace(
        place=place.name,
        elevation_m=place.elevation_m,
        unit=here,
        heating_design_C=asked.heating_C,
        cooling_design_C=asked.cooling_C,
        heating=cold,
        cooling=hot,
        altitude_spread=spread(place.elevation_m),
        heating_load_W=asked.heating_W,
        cooling_load_W=asked.cooling_W,
        load_line=asked.words,
        balance_point_C=balance_point(here, asked.line),
        backup_W=max(asked.heating_W - float(cold.capacity.value_W[0]), 0.0),
        least_heat_W=least,
        mild_run=min(float(asked.line.at(MILD_C)) / least, 1.0) if least > 0 else 1.0,
        heating_year=heating,
        cooling_year=cooling,
        hours_below_lowest=below,
        warnings=tuple(_warnings(here, place, cold, below)),
    )


def coldest_running_C(curves: Curves) -> float:
    """The coldest outdoor temperature at which heating is given or may be estimated."""
    return max(curves.lowest_C, float(curves.outdoor_C[0]) - REACH_K)


def _rated_cooling(unit: Unit, outdoor_C: float) -> float:
    capacities, _ = level_values(unit.cooling, outdoor_C)
    index = unit.cooling.levels.index("rated") if "rated" in unit.cooling.levels else -1
    return float(capacities[index, 0])


def _years(unit: Unit, place: Place, asked: SiteTask):
    """Heating and cooling over the place's bins and the hours below the lowest temperature; None without bins."""
    if place.bins is None:
        return None, None, None
    outdoor = np.concatenate([np.asarray(m.lower_edges_C) + 0.5 * m.width_K for m in place.bins])
    hours = np.concatenate([np.asarray(m.hours, float) for m in place.bins])
    heating = cooling = None
    if asked.heating_W > 0.0 and asked.heating_C < BALANCE_C:
        heating = over_bins(unit.heating, outdoor, hours, _straight(outdoor, asked.heating_W, asked.heating_C))
    if asked.cooling_W > 0.0 and asked.cooling_C > BALANCE_C:
        cooling = over_bins(unit.cooling, outdoor, hours, _straight(outdoor, asked.cooling_W, asked.cooling_C))
    return heating, cooling, place.hours_below(unit.lowest_heating_C)


def _straight(outdoor_C, design_W: float, design_C: float):
    """Straight load line: the design load at the design temperature, zero at 16 C and beyond; none with a design at 16 C."""
    span = design_C - BALANCE_C
    return design_W * np.maximum(0.0, (outdoor_C - BALANCE_C) / span) if span else np.zeros_like(outdoor_C)


def _warnings(unit: Unit, place: Place, cold: LevelLine, below: float | None) -> list[Said]:
    said: list[Said] = [*place.warnings]
    if cold.capacity.mark[0] == "off":
        said.append(
            worded(
                "gives nothing at the design temperature: below its lowest operating temperature or more "
                "than {} beyond its table",
                Q(REACH_K, "temperature difference"),
            )
        )
    elif cold.capacity.mark[0] == "estimated":
        said.append("capacity at the design temperature is estimated beyond the table: ask the maker for that row")
    if below:
        said.append(f"hours a year below the unit's lowest operating temperature: {below:.0f}")
    factors = spread(place.elevation_m)
    if min(factors.values()) < 0.95:
        said.append(f"published altitude factors here run from {min(factors.values()):.2f} to {max(factors.values()):.2f}")
    return said


HEATING_TEST_F = (62.0, 47.0, 35.0, 17.0, 5.0, -5.0, -13.0)
COOLING_TEST_F = (67.0, 82.0, 95.0, 105.0, 115.0)
RATED_HEATING_C = (47.0 - 32.0) / 1.8


@dataclass(frozen=True, kw_only=True)
class Retention:
    """Maximum capacity in the cold over rated capacity at 47 F, with the printed rows of real units beside it."""

    outdoor_C: float
    share: float
    low: float
    high: float
    mark: str
    published: tuple[tuple[str, float, str], ...]  # (what, share, source)


@dataclass(frozen=True, kw_only=True)
class UnitAnswer:
    """Everything `heatcalc unit` says about one unit."""

    unit: Unit
    heating: CurveTable
    cooling: CurveTable
    retention: tuple[Retention, ...]
    doubts: tuple[Doubt, ...]
    seasons: tuple[Seasonal, ...]
    places: tuple[UnitAtPlace, ...]
    sources: tuple[str, ...]


def explain_unit(unit: Unit, places: Sequence[Place] = (), house: House | None = None) -> UnitAnswer:
    """The unit at its test temperatures, and in each place: with a house's loads, or its own line of the first place."""
    seasons = (*(scop(unit, name) for name in HEATING_SEASONS), seer(unit))
    return UnitAnswer(
        unit=unit,
        heating=curve_table(unit.heating, _celsius(HEATING_TEST_F)),
        cooling=curve_table(unit.cooling, _celsius(COOLING_TEST_F)),
        retention=tuple(_retention(unit, f) for f in (17.0, 5.0)),
        doubts=(*doubts(unit.heating), *doubts(unit.cooling)),
        seasons=seasons,
        places=unit_in_places(unit, places, house),
        sources=(
            unit.source,
            "between and beyond points: own study, table estimate_errors",
            "SCOP and SEER: Commission Regulation (EU) No 206/2012 bins, every bin from the unit's own curves",
        ),
    )


def _celsius(fahrenheit) -> np.ndarray:
    return (np.asarray(fahrenheit, float) - 32.0) / 1.8


def _retention(unit: Unit, fahrenheit: float) -> Retention:
    curves = unit.heating
    level = "rated" if "rated" in curves.levels else curves.levels[-1]
    base = float(capacity(curves, RATED_HEATING_C, level).value_W[0])
    top = capacity(curves, _celsius(fahrenheit), curves.levels[-1])
    wanted = (unit.unit_class, "floor")
    published = tuple(
        (r["id"], float(r["retention"]), r["source"])
        for r in rows("published_units")
        if float(r["outdoor_F"]) == fahrenheit and r["kind"] in wanted
    )
    value, low, high = (float(x[0]) / base for x in (top.value_W, top.low_W, top.high_W))
    return Retention(
        outdoor_C=float(_celsius(fahrenheit)), share=value, low=low, high=high, mark=str(top.mark[0]), published=published
    )


@dataclass(frozen=True)
class UnitsAtPlace:
    """Several units judged for one house in one place: the sizing that `size --unit` gives with each, in the order of plans."""

    place: Place
    sized: tuple[SizeResult, ...]


def units_at(units: dict[str, Unit], house: House, place: Place, folder: Path | None = None, walk: bool = True) -> UnitsAtPlace:
    """Every unit judged for a house that stands in a place; its loads are worked out once."""
    case = Case(house=house, places=(place,), folder=folder, units=units, package_usd=package_usd_of(house))
    sized = [_with_one(case, unit, walk) for unit in units.values()]
    return UnitsAtPlace(place, tuple(sorted(sized, key=lambda r: order_key(r.plan.judged))))


def _with_one(case: Case, unit: Unit, walk: bool) -> SizeResult:
    alone = case.at(0, {unit.name: unit})
    return size_case(replace(alone, house=case.house.model_copy(update={"unit": unit.name})), walk)
