"""A house under changing wishes: what each control may say, and the answer, quick enough to follow a hand.

Places and their years of weather are kept, so that only what a change touches is computed again.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, TypeVar, get_args

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.house.house_record import Below, House
from heatcalc.inputs.place.find_place import Place, find_places
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import Case
from heatcalc.judge.choice import Candidate
from heatcalc.judge.metered_year import MeteredYear, Money, tariff_of
from heatcalc.judge.sizing import SizeResult, candidates_of, package_usd_of, size_case
from heatcalc.tables import rows

PATHS = {
    "siding": "colours.siding",
    "set_point": "set_points.heating",
    "cooling_point": "set_points.cooling",
    "below": "below.kind",
    "tightness": "air.tightness",
    "supply": "supply.cord",
    "people": "living.people",
    "fan": "ventilation.rate",
    "price": "tariff",
}
NUMBERS = ("people", "price")  # bare numbers, the second of a kilowatt-hour in the money of the house file or the place
MOST_WORDS = 120  # characters of one wish
BETWEEN = "|"  # the places of a house that moves
BEST = "best"  # the wish for whatever unit the sizing would choose, where the house file names one
MOST_KEPT = 8  # answers and sizings; each holds a few years of hours
T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the controls say, as typed; an empty word leaves the house file's own value."""

    place: str = ""
    package: str = ""
    siding: str = ""
    set_point: str = ""
    cooling_point: str = ""
    unit: str = ""
    supply: str = ""
    below: str = ""
    tightness: str = ""
    people: str = ""
    fan: str = ""
    price: str = ""


@dataclass(frozen=True, kw_only=True)
class LiveCase:
    """A house file as read, the folder it lies in, and what it offers; `own` places have hours of the user's own."""

    said: Mapping[str, Any]
    folder: Path
    changes: tuple[str, ...]
    house: House
    own: Mapping[str, tuple[Place, ...]] = field(default_factory=dict)
    kept: dict[Any, Any] = field(default_factory=dict)  # the newest answers and sizings

    def once(self, key: Any, make: Callable[[], T]) -> T:
        """What was made for a key, made now where it is not kept."""
        if key not in self.kept:
            while len(self.kept) >= MOST_KEPT:
                del self.kept[next(iter(self.kept))]
            self.kept[key] = make()
        return self.kept[key]

    @property
    def packages(self) -> tuple[str, ...]:
        """Names of the file's option packages."""
        return tuple(self.said.get("packages", {}))

    @cached_property
    def units(self) -> dict[str, Unit]:
        """The candidates, read once."""
        return candidates_of(self.house, self.folder)


@dataclass(frozen=True)
class LiveAnswer:
    """The sizing with the wished unit judged, the unit the sizing would choose by itself, and the judged unit's year.

    The year is counted as the run-load sheet counts it.
    """

    size: SizeResult
    judged: Candidate | None
    best: Candidate | None
    year: MeteredYear | None
    money: Money | None


def live_case(said: Mapping[str, Any], folder: Path, changes: tuple[str, ...] = (), package: str | None = None) -> LiveCase:
    """A house file's content as the page's start, `changes` as in `--set`.  Raises InputError where it does not check."""
    return LiveCase(said=said, folder=folder, changes=changes, house=house_from(said, changes, package))


def wishes_of(given: Mapping[str, str]) -> Wishes:
    """Wishes from named words.  Raises InputError for an unknown name or an endless word."""
    known = [f.name for f in fields(Wishes)]
    for name, word in given.items():
        if name not in known:
            raise InputError(name, None, "is not a control of this page", nearest(name, known))
        if len(word) > MOST_WORDS or not word.isprintable():
            raise InputError(name, word, f"is one line of at most {MOST_WORDS} characters")
    return Wishes(**{name: word.strip() for name, word in given.items()})


def wished_house(case: LiveCase, wishes: Wishes) -> House:
    """The house as wished; InputError names the field."""
    said = {path: _value(name, word) for name, path in PATHS.items() if (word := getattr(wishes, name))}
    changes = [f"{path}={value}" for path, value in said.items()]
    kept = [c for c in case.changes if not _ruled(c.partition("=")[0].strip(), said)]  # a control wins over --set
    house = house_from(case.said, (*kept, *changes), wishes.package or case.house.package)
    return house.model_copy(update={"unit": None if wishes.unit == BEST else wishes.unit}) if wishes.unit else house


def _value(name: str, word: str) -> str:
    """A wish as the right side of `--set`.  Raises InputError for a number that is none."""
    if name not in NUMBERS:
        return json.dumps(word, ensure_ascii=False)
    try:
        number = float(word)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise InputError(name, word, "is a number", "e.g. 0.17" if name == "price" else "e.g. 2")
    return f'{{name = "as typed", price = {number}}}' if name == "price" else f"{number:g}"


def _ruled(key: str, said: Mapping[str, str]) -> bool:
    return key in said or key.partition(".")[0] in said


def live_answer(case: LiveCase, wishes: Wishes) -> LiveAnswer:
    """The sizing as wished, the next smaller unit left out.  Raises InputError and NoAnswer, one line each."""
    return case.once(wishes, lambda: _answer(case, wishes))


def _answer(case: LiveCase, wishes: Wishes) -> LiveAnswer:
    places, house = case.own.get(wishes.place) or places_named(wishes.place), wished_house(case, wishes)
    if wishes.price and house.tariff is not None:
        own = tariff_of(case.house, places[0].state)[0].currency
        house = house.model_copy(update={"tariff": house.tariff.model_copy(update={"currency": own})})
    asked = Case(house=house, places=places, folder=case.folder, units=case.units, package_usd=package_usd_of(house))
    alike = house.model_copy(update={"unit": None, "tariff": None})
    known = case.kept.get((alike, places))
    size = size_case(asked, known=known)
    case.once((alike, places), lambda: size)
    year = size.year
    load, money = (None, None) if year is None else (year.load, year.money)
    return LiveAnswer(size, size.recommended, size.candidates[0], load, money)


@lru_cache(maxsize=32)
def places_named(query: str) -> tuple[Place, ...]:
    """A place, or those of a house that moves with a bar between them, kept once found."""
    if not query:
        raise InputError("place", None, "say where the house will stand", 'e.g. "Duluth, MN"')
    return find_places(one.strip() for one in query.split(BETWEEN))


def siding_words(own: str | float) -> tuple[str, ...]:
    """Colour words of the siding from light to dark; the file's own value first where it is another."""
    known = {
        r["colour"]: float(r["solar_absorptance"])
        for r in reversed(rows("absorptance_colour"))
        if r["part"] == "siding" and "(" not in r["colour"]
    }
    words = tuple(sorted(known, key=lambda w: known[w]))
    return words if own in words else (str(own), *words)


def below_words() -> tuple[str, ...]:
    """What may be under the floor."""
    return get_args(Below.model_fields["kind"].annotation)
