"""Thousands of real years of one case: whatever a year is made of is worked out once for each of its values.

A Sobol sample moves one input at a time, so most of its rows share their network, their drivers or their unit with another.
What is built is what `heatcalc year` builds; only the sun through glass is scaled (it is linear in the label's SHGC), and a
stronger unit's table is multiplied.  Humidity is left out: the heat and the electricity do not answer to it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TypeVar

import numpy as np

from heatcalc.answers.study.tornado import Weathers
from heatcalc.answers.study.uncertain import StudyCase, moved
from heatcalc.inputs.house.living import living_day
from heatcalc.model.house_model import HouseModel
from heatcalc.model.parts import losing_inputs
from heatcalc.model.sunlight import INSIDE_FILM_W_m2K
from heatcalc.model.year_drivers import YearHouse, dry_drive, sun_of, year_house
from heatcalc.model.year_unit import backup_watts, dry_plant
from heatcalc.model.year_walk import ANY_WAY, SLACK_K
from heatcalc.physics.shell.glazing import absorbed_at_inner_pane
from heatcalc.physics.year.kernel import years
from heatcalc.physics.year.kernel_pack import Drive, Levels, Plant

Array = np.ndarray
Move = dict[str, float]
Thing = TypeVar("Thing")
COLOURS = ("siding", "roof colour")
DRIVE = (
    "leaks",
    "fan",
    "windows",
    "glass",
    "people",
    "plugs",
    "heating set point",
    "cooling set point",
    "loft",
    "year",
    "direction",
)
ROOM = ("heating set point", "cooling set point", "year")
GLASS = ("windows", "glass")


@dataclass(frozen=True, eq=False)
class YearStudy:
    """A case whose years are asked for by the thousand; draws that follow each other share most, `together` of them at a time."""

    case: StudyCase
    brings: Weathers
    together: int = 20  # their hours then stay in memory the process already holds
    suns: dict[tuple, dict[str, Array]] = field(default_factory=dict)  # channels of the case as described, by way of standing

    def kWh(self, values: Mapping[str, Array]) -> Array:
        """Electricity of each draw's year for heating and cooling, backup heat included, as `tornado.year_of_case` has it."""
        moves = [dict(zip(values, map(float, row), strict=True)) for row in zip(*values.values(), strict=True)]
        parts = (moves[a : a + self.together] for a in range(0, len(moves), self.together))
        return np.concatenate([_Together(self, part).kWh() for part in parts])


class _Together:
    """Draws whose years are packed at once, and all they share."""

    def __init__(self, study: YearStudy, moves: Sequence[Move]):
        self.case, self.brings, self.suns, self.moves = study.case, study.brings, study.suns, moves
        self.cases: dict[tuple, StudyCase] = {}
        self.weathers = {x: study.brings.at(x) for x in {m.get("year", 0.0) for m in moves}}

    def kWh(self) -> Array:
        """One walk for all houses whose channels are the same."""
        homes = self.once((*losing_inputs(), *COLOURS), self.house)
        kinds = [(h.modes.input_names, tuple(h.few.mixed.items())) for h in homes]
        plants, found = self.plants(), np.empty(len(homes))
        for kind in dict.fromkeys(kinds):
            which = [k for k, own in enumerate(kinds) if own == kind]
            drives = self.once(DRIVE, partial(self.drive, homes[which[0]]))
            many = years(
                [homes[k].modes for k in which],
                [drives[k] for k in which],
                [plants[k] for k in which],
                slack_K=SLACK_K,
                workers=1,
            )
            found[which] = many.annual("power_kWh")
        return found

    def once(self, names: Sequence[str], make: Callable[[Move], Thing], moves: Sequence[Move] | None = None) -> list[Thing]:
        """What `make` gives for the named inputs of each draw, the same object where they are the same."""
        made: dict[tuple, Thing] = {}
        found = []
        for move in self.moves if moves is None else moves:
            own = {n: move[n] for n in names if n in move}
            key = tuple(own.values())
            if key not in made:
                made[key] = make(own)
            found.append(made[key])
        return found

    def model(self, move: Move) -> HouseModel:
        """The house moved, one input after the other; where two draws begin alike the beginning is kept."""
        case, items = self.case, tuple(move.items())
        for k, item in enumerate(items):
            begun = items[: k + 1]
            if begun not in self.cases:
                self.cases[begun] = moved(case, *item)
            case = self.cases[begun]
        return case.model

    def house(self, move: Move) -> YearHouse:
        return year_house(self.model(move))

    def drive(self, like: YearHouse, move: Move) -> Drive:
        """Drivers of a house with the channels of another."""
        model = self.model({n: x for n, x in move.items() if n not in GLASS})
        times = self.glass(like, *(move.get(n, 1.0) for n in GLASS))
        sun = {name: series * times.get(name, 1.0) for name, series in self.sun(like, model).items()}
        home = replace(like, model=model, living=living_day(model.house.living))
        return dry_drive(home, self.weathers[move.get("year", 0.0)], sun)

    def sun(self, like: YearHouse, model: HouseModel) -> dict[str, Array]:
        """Channels of the case as described, the way the house stands."""
        said = model.house.site.front_faces
        way = ANY_WAY if said == "unknown" else said
        key = (way, *like.few.mixed)
        if key not in self.suns:
            self.suns[key] = sun_of(replace(like, model=self.case.model), self.brings.base, way)[0]
        return self.suns[key]

    def glass(self, like: YearHouse, loss: float, light: float) -> dict[str, float]:
        """How much more light and warmth each channel of glass brings than in the case as described."""
        each: dict[str, float] = {}
        for w in self.case.model.windows:
            was, now = (float(absorbed_at_inner_pane(1.0, u, INSIDE_FILM_W_m2K)) for u in (w.u_value, w.u_value * loss))
            each |= {w.transmitted: light, w.absorbed: light * now / was}
        return {name: each[members[0][0]] for name, members in like.few.mixed.items() if members[0][0] in each}

    def plants(self) -> list[Plant]:
        """Each draw's unit in its room."""
        rooms = self.once(ROOM, self.in_room)
        named = [m | {"room": float(k)} for m, k in zip(self.moves, _places(rooms), strict=True)]
        return self.once(("room", "capacity"), lambda m: _stronger(rooms[int(m["room"])], m.get("capacity", 1.0)), named)

    def in_room(self, move: Move) -> Plant:
        model = self.model(move)
        here = self.brings.rooms.get(self.case.unit, model.house.set_points, model.elevation_m)
        return dry_plant(here, model.elevation_m, self.weathers[move.get("year", 0.0)], backup_watts("resistance"))


def _places(things: Sequence[object]) -> list[int]:
    """Where each thing stands first."""
    first: dict[int, int] = {}
    return [first.setdefault(id(thing), k) for k, thing in enumerate(things)]


def _stronger(plant: Plant, times: float) -> Plant:
    """The plant of a unit that gives more heat and cold at the same input (`uncertain.stronger`)."""

    def of(levels: Levels) -> Levels:
        return replace(levels, capacity_W=levels.capacity_W * times, cop=levels.cop * times)

    return replace(plant, heating=of(plant.heating), cooling=of(plant.cooling))
