"""A unit explained: curves with bands, retention beside published rows, doubts, seasonal figures, a place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.answers.unit.curves import CurveTable, curve_table
from heatcalc.answers.unit.unit_places import UnitAtPlace, unit_in_places
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case
from heatcalc.judge.plan import order_key
from heatcalc.judge.sizing import SizeResult, package_usd_of, size_case
from heatcalc.physics.unit.heat_pump import capacity
from heatcalc.physics.unit.plausibility import Doubt, doubts
from heatcalc.physics.unit.seasonal import HEATING_SEASONS, Seasonal, scop, seer
from heatcalc.tables import rows

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
