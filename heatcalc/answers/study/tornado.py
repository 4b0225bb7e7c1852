"""One uncertain input at a time: how far it moves the loads, the year, the amperes and the temperature held."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from heatcalc.answers.study.uncertain import StudyCase, UncertainInput, moved, uncertain_inputs
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.judge.choice import Task, candidate_of
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.year_drivers import WeatherYear, warmer_year
from heatcalc.model.year_walk import ANY_WAY, RoomUnits, run_many, weather_year
from heatcalc.supply.supply_check import check_supply

OUTPUTS = ("heating_W", "cooling_W", "year_kWh", "peak_A", "lowest_held_C")
WORDS = {
    "heating_W": "heating load",
    "cooling_W": "cooling load, latent included",
    "year_kWh": "heating and cooling a year",
    "peak_A": "current in the design hours",
    "lowest_held_C": "lowest temperature held",
}


@dataclass(frozen=True)
class Outputs:
    """What one case comes to; a cord's peak is that of the fuller leg in the worse design hour, backup heat included."""

    heating_W: float
    cooling_W: float
    year_kWh: float
    peak_A: float
    lowest_held_C: float


@dataclass(frozen=True)
class Bar:
    """One input at its low and high end."""

    input: UncertainInput
    low: Outputs
    high: Outputs

    def swing(self, name: str) -> float:
        """Distance between the two ends in one output."""
        return abs(getattr(self.high, name) - getattr(self.low, name))


@dataclass(frozen=True)
class Tornado:
    """All bars; `complete` is False where the work was stopped."""

    sized: SizeResult
    case: StudyCase
    middle: Outputs
    bars: tuple[Bar, ...]
    complete: bool

    def ranked(self, name: str) -> list[Bar]:
        """Bars that move one output, largest first."""
        return sorted((b for b in self.bars if b.swing(name) > 1e-6), key=lambda b: -b.swing(name))


@dataclass(frozen=True, eq=False)
class Weathers:
    """The year's weather with its mean shifted, and units kept in their rooms."""

    base: WeatherYear
    rooms: RoomUnits

    def at(self, by_K: float) -> WeatherYear:
        """The year with every hour colder or warmer."""
        return self.base if by_K == 0 else warmer_year(self.base, by_K)


def case_of(
    house: House, place: Place | Sequence[Place], unit: str | None = None, folder: Path | None = None, at: int = 0
) -> tuple[SizeResult, StudyCase]:
    """The case as described, with the unit asked for or the recommended one; `at` which of the places of a house that moves."""
    sized = size_house(house, place, folder=folder).each[at]
    named = {c.name: c for c in sized.candidates}
    if unit is not None and unit not in named:
        raise InputError("--unit", unit, f"is no unit here; known: {', '.join(named)}", nearest(unit, list(named)))
    chosen = named[unit] if unit else sized.recommended
    return sized, StudyCase(sized.designer.model, sized.place, chosen.unit)


def weathers(case: StudyCase) -> Weathers:
    """The built year of the case's place."""
    return Weathers(weather_year(year_at(case.place)), RoomUnits())


def evaluate(
    case: StudyCase, brings: Weathers, cooled: Designer | None = None, year_kWh: float | None = None, task: Task | None = None
) -> Outputs:
    """Full answers of one case; cooling loads as of `cooled`, a year already known, and a task (no output hangs on it) are
    taken as they are.  The damp day, on which no output hangs either, is not asked for."""
    designer = designer_of(case.model, case.place)
    designer = replace(designer, solved=cooled, conditions=replace(designer.conditions, dew_point_1_C=None))
    found = candidate_of(case.unit, designer, task, wind_m_s=case.wind_m_s)
    facts, held = found.judged.facts, found.lowest_temperature_held_C
    hours = check_supply(case.model.house.supply, float(facts.cold_A[0]), float(facts.hot_A[0]), case.unit.volts, found.beside_W)
    return Outputs(
        float(facts.loads.heating_W[0]),
        designer.cooling.total_at_peak_W,
        year_of_case(case, brings) if year_kWh is None else year_kWh,
        max(*hours.cold.leg_A, *hours.hot.leg_A),
        float("nan") if held is None else held,
    )


def year_of_case(case: StudyCase, brings: Weathers) -> float:
    """Electricity of the year for heating and cooling, backup heat included [kWh]: one walk in the mean sun of four ways,
    or the way the house faces."""
    way = case.model.house.site.front_faces
    many = run_many(
        [case.model], brings.at(case.year_K), [case.unit], "resistance", ANY_WAY if way == "unknown" else way, brings.rooms
    )
    return float(many.annual("power_kWh")[0, 0])


def tornado(sized: SizeResult, case: StudyCase, told: Callable[[int], None] | None = None) -> Tornado:
    """Each input at both ends of its range, everything else as described.

    Stopping it (Ctrl-C) keeps the bars that are done.
    """
    brings = weathers(case)
    middle = evaluate(case, brings, sized.designer, task=sized.task)
    bars: list[Bar] = []
    complete = True
    try:
        for bar in _bars(sized, case, brings, middle):
            bars.append(bar)
            if told:
                told(1)
    except KeyboardInterrupt:
        complete = False
    return Tornado(sized, case, middle, tuple(bars), complete)


def _bars(sized: SizeResult, case: StudyCase, brings: Weathers, middle: Outputs) -> Iterator[Bar]:
    for u in uncertain_inputs(case):
        values = range(8) if u.kind == "direction" else (u.low, u.high)
        found = [
            evaluate(
                moved(case, u.name, v),
                brings,
                None if "cooling" in u.acts_on else sized.designer,
                None if "year" in u.acts_on else middle.year_kWh,
                sized.task,
            )
            for v in values
        ]
        if u.kind == "direction":
            yield Bar(u, *(Outputs(*(how(getattr(o, n) for o in found) for n in OUTPUTS)) for how in (min, max)))
        else:
            yield Bar(u, *found)
