"""The cheapest set of priced options with which a given unit carries the house."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np

from heatcalc.answers.study.packages import said_of
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_file import changes_of, house_from, house_path, merged, table_of_tables
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case, resolved
from heatcalc.judge.choice import candidate_of
from heatcalc.judge.sizing import candidates_of
from heatcalc.model.designer import Designer
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity
from heatcalc.wording import Said

EXHAUSTIVE_UP_TO = 10
EXHAUSTIVE = "every set of the {n} options in rising price; the heating load first, the full judgement where it passes"
STILL = "one look at the place's cold: the unit stands still in it"
STEPWISE = (
    "one option more at a time, the most watts for the money first, then any that is no longer needed taken out: "
    "good, not proven cheapest ({n} options are too many to try every set)"
)


@dataclass(frozen=True, kw_only=True)
class Enough:
    """The answer: which options, what they cost, what is then left to carry."""

    unit: str
    options: tuple[str, ...] | None
    price: float
    heating_W: float
    most_heat_W: float
    tried: int
    method: str
    why_none: tuple[Said, ...] = ()  # what the judge says of the house with every option, where no set is enough


@dataclass(frozen=True)
class _Asked:
    """What every trial needs."""

    said: Mapping[str, Any]
    options: Mapping[str, Mapping[str, Any]]
    places: tuple[Place, ...]
    unit: Unit
    where: Path

    def designers(self, names: Sequence[str]) -> tuple[Designer, ...]:
        """The house with a set of options, in each place."""
        mapping = dict(self.said)
        for name in names:
            mapping = merged(mapping, changes_of(self.options[name]))
        house: House = house_from(mapping, (), None, self.where.name)
        return Case(house=house, places=self.places, folder=self.where.parent).designers

    def price(self, names: Sequence[str]) -> float:
        """US dollars of a set."""
        return float(sum(self.options[n].get("price", 0.0) for n in names))

    def short_W(self, designer: Designer) -> float:
        """Heat missing at the design cold."""
        return designer.heating().load_W - self.most_W(designer)

    def worst(self, designers: Sequence[Designer]) -> Designer:
        """Where most heat is missing."""
        return max(designers, key=self.short_W)

    def most_W(self, designer: Designer) -> float:
        """The unit's most heat at the design cold."""
        here = at_site(self.unit, designer.conditions.elevation_m, designer.model.house.set_points.heating)
        return float(capacity(here.heating, np.array([designer.conditions.heating_C]), "max").value_W[0])

    def carries(self, designers: Sequence[Designer]) -> bool:
        """The full verdict in every place, cooling included."""
        return self.short_W(self.worst(designers)) <= 0 and all(candidate_of(self.unit, d).carries for d in designers)

    def stops(self) -> bool:
        """Whether the unit stands still in a place's coldest hour: no option of the house changes that."""
        return not all(candidate_of(self.unit, d).judged.outcome("runs").ok.all() for d in self.designers(()))


def cheapest_for(
    file: str | Path | None, place: Place | Sequence[Place], unit: str, package: str | None = None, changes: Sequence[str] = ()
) -> Enough:
    """Search the file's [options.NAME] over one of its packages for the cheapest set with which `unit` fits here, or
    in each of several places.

    `options` is None in the answer where not even all together are enough.
    """
    said, path = said_of(file), house_path(file)
    options = table_of_tables(said.get("options", {}), "options", path.name)
    if not options:
        raise InputError("options", None, "the house file has no [options.NAME] tables to search", "see heatcalc new", path.name)
    house_from(said, changes, package, path.name)  # what is wrong is said before the search
    base = resolved(said, package, changes)
    shelf = candidates_of(house_from(base, (), None, path.name), path.parent)
    if unit not in shelf:
        raise InputError("--enough-for", unit, f"is no unit here; known: {', '.join(shelf)}", nearest(unit, list(shelf)))
    places = (place,) if isinstance(place, Place) else tuple(place)
    asked = _Asked(base, options, places, shelf[unit], path)
    if asked.stops():
        return _answer(asked, None, asked.designers(list(options)), 1, STILL)
    if len(options) <= EXHAUSTIVE_UP_TO:
        return _every_set(asked)
    return _stepwise(asked)


def _every_set(asked: _Asked) -> Enough:
    names = list(asked.options)
    sets = [s for n in range(len(names) + 1) for s in combinations(names, n)]
    for tried, chosen in enumerate(sorted(sets, key=asked.price), start=1):
        designers = asked.designers(chosen)
        if asked.carries(designers):
            return _answer(asked, chosen, designers, tried, EXHAUSTIVE)
    return _answer(asked, None, asked.designers(names), len(sets), EXHAUSTIVE)


def _stepwise(asked: _Asked) -> Enough:
    chosen: list[str] = []
    tried, designers = 1, asked.designers(())
    while not asked.carries(designers):
        left = [n for n in asked.options if n not in chosen]
        if not left:
            return _answer(asked, None, designers, tried, STEPWISE)
        now = asked.worst(designers).heating().load_W
        gains = {n: now - asked.worst(asked.designers((*chosen, n))).heating().load_W for n in left}
        tried += len(left)
        chosen.append(max(left, key=lambda n: gains[n] / max(asked.price([n]), 1.0)))
        designers = asked.designers(chosen)
    for name in sorted(chosen, key=lambda n: -asked.price([n])):
        fewer = [n for n in chosen if n != name]
        tried += 1
        if asked.carries(asked.designers(fewer)):
            chosen = fewer
    return _answer(asked, tuple(chosen), asked.designers(chosen), tried, STEPWISE)


def _answer(asked: _Asked, chosen: tuple[str, ...] | None, designers: Sequence[Designer], tried: int, method: str) -> Enough:
    price = asked.price(tuple(asked.options) if chosen is None else chosen)
    designer = asked.worst(designers)
    return Enough(
        unit=asked.unit.name,
        options=chosen,
        price=price,
        heating_W=designer.heating().load_W,
        most_heat_W=asked.most_W(designer),
        tried=tried,
        method=method.format(n=len(asked.options)),
        why_none=candidate_of(asked.unit, designer).reasons if chosen is None else (),
    )
