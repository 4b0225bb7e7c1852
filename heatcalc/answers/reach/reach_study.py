"""Where a model can go: every package and every unit at every place of the climate tables."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.answers.reach.many_units import UnitReach, best_kept, judge_everywhere
from heatcalc.answers.reach.many_years import YearsOfPlaces, walk_everywhere
from heatcalc.answers.study.packages import house_with, package_names, said_of
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_file import house_path
from heatcalc.inputs.house.house_record import Design, House
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.cases import candidates_of
from heatcalc.judge.facts import Asked, Rooms
from heatcalc.judge.many_loads import ManyLoads, many_loads
from heatcalc.judge.rules import FITS, JUST, LARGE, STOPS, TOO_SMALL, WITH_HEATER
from heatcalc.judge.sites import Sites, Skies, counties, skies_of, stations
from heatcalc.model.house_model import HouseModel, house_model

LOAD_COLUMNS = ("design_C", "heating_W", "heating_996_W", "sensible_W", "latent_W")  # of the loads, all that is shown
RULE_W_m2 = (63.1, 94.6)  # 20 to 30 Btu/h per ft2 of floor, common practice, no source
VERDICTS = (FITS, JUST, WITH_HEATER, LARGE, STOPS, TOO_SMALL)
LIMITS = (
    "Design loads, verdicts and amperes are those `heatcalc size` gives at each place, worked out in arrays.",
    "Design values of a house file's own [design] are left out: every place has its own.",
    "A station stands for its airport; hills, valleys and coasts around it differ. A county stands for its people's middle.",
    "Generic units stand for classes, not products.",
    "`humidity`: short of drying = in the hottest hour the unit takes out less water than comes in; dries little = its full "
    "cooling is more than 1.3 times a moist load, so at part load it dries little.",
)
YEAR_LIMIT = (
    "Years: hours built from monthly statistics; backup heat takes what the unit leaves, so the room is always held and one "
    "walk a package serves every unit; the mean sun of four ways of standing; unit curves straight between points 0.25 K "
    "apart; thermal modes at sea level. `heatcalc year` walks each hour with the unit in the loop."
)


@dataclass(frozen=True, eq=False, kw_only=True)
class PackageReach:
    """One package everywhere."""

    name: str
    model: HouseModel
    loads: ManyLoads
    units: tuple[UnitReach, ...]
    best: np.ndarray  # number of the first plan's unit at each place, -1 where every unit is too small
    lock_out: np.ndarray  # what it takes to keep the supply there, "" for nothing

    @property
    def house(self) -> House:
        """The house with this package."""
        return self.model.house

    @property
    def per_floor_W_m2(self) -> np.ndarray:
        """Heating load over floor area without the loft."""
        return self.loads.heating_W / self.model.floor_area_m2

    @property
    def kept(self) -> np.ndarray:
        """Whether the first plan of each place stays on the supply the house has, with the lock-out it takes."""
        carried = np.array([u.holds & u.from_cord for u in self.units])[np.maximum(self.best, 0), np.arange(len(self.best))]
        return (self.best >= 0) & (carried | (self.lock_out != ""))

    def unit(self, name: str) -> UnitReach:
        """One of the units by name."""
        return next(u for u in self.units if u.unit.name == name)


@dataclass(frozen=True, eq=False)
class Reach:
    """The whole answer; `years` holds annual sums (packages, units, places) where they were asked for."""

    sites: Sites
    packages: tuple[PackageReach, ...]
    years: YearsOfPlaces | None
    limits: tuple[str, ...]

    @property
    def unit_names(self) -> tuple[str, ...]:
        """The units judged, in order."""
        return tuple(u.unit.name for u in self.packages[0].units)


@dataclass(frozen=True, kw_only=True)
class ZoneLine:
    """One climate zone: how many places, the load per floor area (least, middle, most), where the unit carries the house."""

    zone: str
    places: int
    least_W_m2: float
    middle_W_m2: float
    most_W_m2: float
    fits: float
    just: float
    with_backup: float
    backup_W: float  # the most
    usual_unit: str


def reach(
    file: str | Path | None,
    packages: Sequence[str] = (),
    units: Sequence[str] = (),
    changes: Sequence[str] = (),
    where: str | Sites = "stations",
    year: bool = False,
    workers: int = 2,
    told: Callable[[int], None] | None = None,
) -> Reach:
    """Judge packages x units x places.

    where : "stations", "counties", or ready `Sites` of them
    year : also walk the built year at every place, in `workers` processes; `told` hears how many places are done
    """
    sites = where if isinstance(where, Sites) else {"stations": stations, "counties": counties}[where]()
    said, path = said_of(file), house_path(file)
    houses = {n: _without_design(house_with(said, n, changes, path.name)) for n in package_names(said, packages)}
    chosen = _units(next(iter(houses.values())), units, path.parent)
    skies = skies_of(sites)
    rooms = {key: Rooms(house, sites) for key, house in {_rooms_said(h): h for h in houses.values()}.items()}
    found = tuple(_package(name, h, chosen, skies, rooms[_rooms_said(h)], path.parent) for name, h in houses.items())
    years = walk_everywhere([p.model for p in found], chosen, sites, workers, told) if year else None
    return Reach(sites, found, years, (*LIMITS, *((YEAR_LIMIT,) if year else ())))


def _rooms_said(house: House) -> Hashable:
    """What rooms hang on, besides the places."""
    return house.set_points, house.design.percentile


def _without_design(house: House) -> House:
    return house.model_copy(update={"design": Design(percentile=house.design.percentile)})


def _units(house: House, names: Sequence[str], folder: Path) -> list[Unit]:
    shelf = candidates_of(house, folder)
    for name in names:
        if name not in shelf:
            raise InputError("--unit", name, f"is no unit here; known: {', '.join(shelf)}", nearest(name, list(shelf)))
    return [shelf[n] for n in dict.fromkeys(names)] or list(shelf.values())


def _package(name: str, house: House, units: Sequence[Unit], skies: Skies, rooms: Rooms, folder: Path) -> PackageReach:
    if house.site.elevation is not None:
        raise InputError("site.elevation", house.site.elevation, "is one height; where the house can go has many: leave it out")
    model = house_model(house, 0.0, folder)
    loads = many_loads(model, skies)
    judged = tuple(judge_everywhere(u, house, loads, rooms, Asked()) for u in units)
    best, lock_out = best_kept(list(judged), house)
    return PackageReach(name=name, model=model, loads=loads, units=judged, best=best, lock_out=lock_out)


def zone_table(r: Reach, package: PackageReach, unit: str) -> tuple[ZoneLine, ...]:
    """One unit with one package by climate zone, warm to cold."""
    u, zones = package.unit(unit), np.array(r.sites.zone)
    names = np.array([*r.unit_names, "none"])
    lines = []
    for zone in sorted(set(r.sites.zone)):
        here = zones == zone
        load = package.per_floor_W_m2[here]
        usual, count = np.unique(package.best[here], return_counts=True)
        lines.append(
            ZoneLine(
                zone=zone,
                places=int(here.sum()),
                least_W_m2=float(load.min()),
                middle_W_m2=float(np.median(load)),
                most_W_m2=float(load.max()),
                fits=float((u.verdict[here] == FITS).mean()),
                just=float((u.verdict[here] == JUST).mean()),
                with_backup=float((u.verdict[here] == WITH_HEATER).mean()),
                backup_W=float(u.backup_W[here].max()),
                usual_unit=str(names[usual[int(np.argmax(count))]]),
            )
        )
    return tuple(lines)


def usual_unit(r: Reach) -> str:
    """The unit recommended at most places over all packages."""
    best = np.concatenate([p.best for p in r.packages])
    kinds, count = np.unique(best[best >= 0], return_counts=True)
    return r.unit_names[int(kinds[np.argmax(count)])] if len(kinds) else r.unit_names[0]
