"""A unit explained: curves with bands, retention beside published rows, doubts, seasonal figures, a place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.place import Place
from heatcalc.physics.altitude import spread
from heatcalc.physics.at_site import at_site
from heatcalc.physics.heat_pump import REACH_K, Curves, Estimate, Unit, capacity, input_power, level_values
from heatcalc.physics.plausibility import Doubt, doubts
from heatcalc.physics.seasonal import BALANCE_C, HEATING_SEASONS, BinTotals, Seasonal, over_bins, scop, seer
from heatcalc.tables import rows

HEATING_TEST_F = (62.0, 47.0, 35.0, 17.0, 5.0, -5.0, -13.0)
COOLING_TEST_F = (67.0, 82.0, 95.0, 105.0, 115.0)
RATED_HEATING_C = (47.0 - 32.0) / 1.8


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


@dataclass(frozen=True)
class Retention:
    """Maximum capacity in the cold over rated capacity at 47 F, with the printed rows of real units beside it."""

    outdoor_C: float
    share: float
    low: float
    high: float
    mark: str
    published: tuple[tuple[str, float, str], ...]  # (what, share, mark)


@dataclass(frozen=True)
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
    load_line: str
    heating_year: BinTotals | None
    cooling_year: BinTotals | None
    hours_below_lowest: float | None
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class UnitAnswer:
    """Everything `heatcalc unit` says about one unit."""

    unit: Unit
    heating: CurveTable
    cooling: CurveTable
    retention: tuple[Retention, ...]
    doubts: tuple[Doubt, ...]
    seasons: tuple[Seasonal, ...]
    place: UnitAtPlace | None
    sources: tuple[str, ...]


def explain_unit(unit: Unit, place: Place | None = None) -> UnitAnswer:
    """The unit at its test temperatures, and at a place if one is given."""
    seasons = (*(scop(unit, name) for name in HEATING_SEASONS), seer(unit))
    return UnitAnswer(
        unit=unit,
        heating=curve_table(unit.heating, _celsius(HEATING_TEST_F)),
        cooling=curve_table(unit.cooling, _celsius(COOLING_TEST_F)),
        retention=tuple(_retention(unit, f) for f in (17.0, 5.0)),
        doubts=(*doubts(unit.heating), *doubts(unit.cooling)),
        seasons=seasons,
        place=unit_at_place(unit, place) if place is not None else None,
        sources=(
            unit.source,
            "between and beyond points: own study, table estimate_errors",
            "SCOP and SEER: Commission Regulation (EU) No 206/2012 bins, every bin from the unit's own curves",
        ),
    )


def _celsius(fahrenheit) -> np.ndarray:
    return (np.asarray(fahrenheit, float) - 32.0) / 1.8


def curve_table(curves: Curves, outdoor_C) -> CurveTable:
    """Capacity and power by level, with bands and marks, at any outdoor temperatures."""
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    lines = tuple(LevelLine(x, capacity(curves, at, x), input_power(curves, at, x)) for x in curves.levels)
    return CurveTable(curves.mode, at, lines)


def _retention(unit: Unit, fahrenheit: float) -> Retention:
    curves = unit.heating
    level = "rated" if "rated" in curves.levels else curves.levels[-1]
    base = float(capacity(curves, RATED_HEATING_C, level).value_W[0])
    top = capacity(curves, _celsius(fahrenheit), curves.levels[-1])
    wanted = (unit.unit_class, "floor")
    published = tuple(
        (r["id"], float(r["retention"]), r["mark"])
        for r in rows("published_units")
        if float(r["outdoor_F"]) == fahrenheit and r["kind"] in wanted
    )
    value, low, high = (float(x[0]) / base for x in (top.value_W, top.low_W, top.high_W))
    return Retention(float(_celsius(fahrenheit)), value, low, high, str(top.mark[0]), published)


def unit_at_place(
    unit: Unit, place: Place, heating_load_W: float | None = None, cooling_load_W: float | None = None
) -> UnitAtPlace:
    """The unit at a place's height and design temperatures and over its bins.

    Without a house the load line is as steep as the unit just carries alone (maximum heating at the 99 % design
    temperature or where the unit stops, rated cooling at the 1 %), zero at 16 C; a house brings its own loads.
    """
    here = at_site(unit, place.elevation_m, unit.heating.indoor_C)
    cold, hot = (curve_table(c, t).lines[-1] for c, t in ((here.heating, place.heating_99_C), (here.cooling, place.cooling_1_C)))
    own = heating_load_W is None and cooling_load_W is None
    coldest = max(place.heating_99_C, coldest_running_C(here.heating))
    steepest = float(capacity(here.heating, coldest, here.heating.levels[-1]).value_W[0])
    steepest *= _line(np.array([place.heating_99_C]), 1.0, coldest)[0]
    heat = steepest if heating_load_W is None else heating_load_W
    cool = _rated_cooling(here, place.cooling_1_C) if cooling_load_W is None else cooling_load_W
    years = _years(here, place, heat, cool)
    line = "as steep as the unit carries alone" if own else "from the loads given"
    return UnitAtPlace(
        place=place.name,
        elevation_m=place.elevation_m,
        unit=here,
        heating_design_C=place.heating_99_C,
        cooling_design_C=place.cooling_1_C,
        heating=cold,
        cooling=hot,
        altitude_spread=spread(place.elevation_m),
        heating_load_W=heat,
        cooling_load_W=cool,
        load_line=f"{line}, zero at 16 C",
        heating_year=years[0],
        cooling_year=years[1],
        hours_below_lowest=years[2],
        warnings=tuple(_warnings(here, place, cold, years[2])),
    )


def coldest_running_C(curves: Curves) -> float:
    """The coldest outdoor temperature at which heating is given or may be estimated."""
    return max(curves.lowest_C, float(curves.outdoor_C[0]) - REACH_K)


def _rated_cooling(unit: Unit, outdoor_C: float) -> float:
    capacities, _ = level_values(unit.cooling, outdoor_C)
    index = unit.cooling.levels.index("rated") if "rated" in unit.cooling.levels else -1
    return float(capacities[index, 0])


def _years(unit: Unit, place: Place, heating_W: float, cooling_W: float):
    """Heating and cooling over the place's bins and the hours below the lowest temperature; None without bins."""
    if place.bins is None:
        return None, None, None
    outdoor = np.concatenate([np.asarray(m.lower_edges_C) + 0.5 * m.width_K for m in place.bins])
    hours = np.concatenate([np.asarray(m.hours, float) for m in place.bins])
    heating = cooling = None
    if heating_W > 0.0 and place.heating_99_C < BALANCE_C:
        heating = over_bins(unit.heating, outdoor, hours, _line(outdoor, heating_W, place.heating_99_C))
    if cooling_W > 0.0 and place.cooling_1_C > BALANCE_C:
        cooling = over_bins(unit.cooling, outdoor, hours, _line(outdoor, cooling_W, place.cooling_1_C))
    return heating, cooling, float(np.sum(hours[outdoor < unit.lowest_heating_C]))


def _line(outdoor_C, design_W: float, design_C: float):
    """Straight load line: the design load at the design temperature, zero at 16 C and beyond."""
    return design_W * np.maximum(0.0, (outdoor_C - BALANCE_C) / (design_C - BALANCE_C))


def _warnings(unit: Unit, place: Place, cold: LevelLine, below: float | None) -> list[str]:
    said = []
    if cold.capacity.mark[0] == "off":
        said.append(
            "gives nothing at the 99 % design temperature: below its lowest operating temperature or more "
            "than 12 F beyond its table"
        )
    elif cold.capacity.mark[0] == "estimated":
        said.append("capacity at the design temperature is estimated beyond the table: ask the maker for that row")
    if below:
        said.append(f"{below:.0f} hours a year are below the unit's lowest operating temperature")
    factors = spread(place.elevation_m)
    if min(factors.values()) < 0.95:
        said.append(f"published altitude factors here run from {min(factors.values()):.2f} to {max(factors.values()):.2f}")
    return said
