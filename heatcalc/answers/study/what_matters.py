"""Everything `heatcalc sensitivity` answers: one at a time, all at once, and what may be promised."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.answers.study.chances import DRAWS, SEED, Chances, fast_case, monte_carlo
from heatcalc.answers.study.indices import LEAST_BASE, Indices, Screening, load_model, screen, sobol, year_model
from heatcalc.answers.study.processes import in_processes
from heatcalc.answers.study.tornado import Tornado, case_of, tornado, weathers
from heatcalc.answers.study.uncertain import StudyCase, UncertainInput, uncertain_inputs
from heatcalc.answers.study.years import YearStudy
from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.wording import Q, Said, worded

GROUPS_A_TASK = 16
LIMITS = (
    "Inputs are drawn independently from the ranges of tables/uncertain_inputs.csv, most of them from memory or common practice: "
    "read the order of the bars, not their last digit.",
    "At once, loads are scaled from one solved case: heating within half a percent of the full network, cooling within 5 %.",
    "The design cold is the 99 % temperature with its own uncertainty; one hour in a hundred of a year is colder still.",
    "Peaks are of the design hours on the cord, with what the house file says runs beside the unit.",
)


@dataclass(frozen=True, eq=False)
class WhatMatters:
    """The whole answer; the year's shares are missing where they were not asked for, or stopped too early."""

    one_at_a_time: Tornado
    at_once: Chances
    screening: dict[str, Screening]
    shares: dict[str, Indices]
    limits: tuple[str, ...]

    @property
    def inputs(self) -> tuple[UncertainInput, ...]:
        """What was moved."""
        return self.at_once.inputs


def what_matters(
    house: House,
    place: Place | Sequence[Place],
    unit: str | None = None,
    folder: Path | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    base: int = 1024,
    years: int = 0,
    told: Callable[[int], None] | None = None,
    workers: int = 2,
    started: Callable[[int], None] | None = None,
    at: int = 0,
) -> WhatMatters:
    """Tornado, Monte-Carlo, Morris and Sobol of one house with one unit in one place.

    draws, base, seed : of the Monte-Carlo, of Sobol (a power of 2), of both
    years : walk about so many years for the year's Sobol indices, in `workers` processes; 0 leaves them out
    at : which of the places of a house that moves, sized for all of them
    started, told : hear how many cases and years there will be, and of each that is done
    """
    sized, case = case_of(house, place, unit, folder, at)
    inputs = uncertain_inputs(case)
    of_years = [u for u in inputs if "year" in u.acts_on]
    year_base = max(2 ** round(float(np.log2(years / (len(of_years) + 2)))), LEAST_BASE) if years else 0
    if started:
        started(len(inputs) + year_base * (len(of_years) + 2))
    bars = tornado(sized, case, told)
    fast = fast_case(case)
    chances = monte_carlo(case, draws, seed, fast)
    screening, shares = {}, {}
    for season in ("heating", "cooling"):
        used = [u for u in inputs if season in u.acts_on]
        names, model = [u.name for u in used], load_model(fast, used, season)
        screening[season], shares[season] = screen(names, model, seed=seed), sobol(names, model, base, seed)
    of_year = _year_shares(case, of_years, year_base, seed, told, workers) if years and bars.complete else None
    return WhatMatters(bars, chances, screening, shares | ({"year": of_year} if of_year else {}), LIMITS)


def _year_shares(
    case: StudyCase, used: Sequence[UncertainInput], base: int, seed: int, told: Callable[[int], None] | None, workers: int
) -> Indices | None:
    """The year's Sobol indices; None where they were stopped too early to say anything, so that the rest is kept."""
    group = len(used) + 2
    model, spread = year_model(YearStudy(case, weathers(case), group), used), in_processes(workers)
    try:
        return sobol([u.name for u in used], model, base, seed, GROUPS_A_TASK * group, told, spread)
    except NoAnswer:
        return None


def promise(m: WhatMatters) -> tuple[Said, ...]:
    """What a builder may put in a quote."""
    c = m.at_once
    warm, error = c.chance("heating")
    low, middle, high = (float(x) for x in np.percentile(c.heating_W, (5, 50, 95)))
    rest = float(np.percentile(c.backup_W, 95))
    points, place, unit = c.case.model.house.set_points, c.case.place, c.case.unit
    cold = m.one_at_a_time.sized.task.design_C
    judged = next(x for x in m.one_at_a_time.sized.candidates if x.name == unit.name)
    words: list[Said] = [
        worded(
            "Around the design cold of {} in {}, with everything uncertain drawn, the heating load lies "
            "between {} and {} in nine of ten draws, half of them below {}.",
            Q(cold, "temperature"),
            place.name,
            Q(low, "power"),
            Q(high, "power"),
            Q(middle, "power"),
        ),
        worded(
            "{} alone holds {} indoors then in {} of 100 houses built so, as the sizing judges it; with habits drawn too, a "
            "fan off or another set point, in {} of 100 draws (+/- {:.1f}).",
            unit.name,
            Q(points.heating, "temperature"),
            _of_100(float(judged.judged.facts.chance(0.0)[judged.at])),
            _of_100(warm),
            max(200 * error, 0.1),
        ),
    ]
    if judged.backup_W:
        words.append(f"With the second heater of the plan, {judged.backup_W / 1000:.1f} kW, in {_of_100(judged.chance)} of 100.")
    if rest > 0:
        words.append(f"With {rest / 1000:.1f} kW beside it, in at least 95 of 100 draws, habits and all.")
    cool, _ = c.chance("cooling")
    words.append(f"It carries the cooling of the hottest design hour in {_of_100(cool)} of 100 draws.")
    return tuple(words)


def _of_100(share: float) -> str:
    if share > 0.995:
        return "more than 99"
    return "fewer than 1" if share < 0.005 else f"{100 * share:.0f}"
