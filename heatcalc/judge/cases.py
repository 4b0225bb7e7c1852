"""A case, what is asked of it, and the changes that make the next one: everything a question needs, resolved once."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly, WindowAssembly, load_assemblies, priced
from heatcalc.inputs.checked import beside
from heatcalc.inputs.house.house_file import changed, changes_of, house_from, merged, shell_of, split_change, table_of_tables
from heatcalc.inputs.house.house_pieces import read_tightness
from heatcalc.inputs.house.house_record import Design, House
from heatcalc.inputs.house.living import water_heater_row
from heatcalc.inputs.house.one_list import one_list
from heatcalc.inputs.place.find_place import Place, at_elevation
from heatcalc.inputs.unit.unit_file import Unit, load_units
from heatcalc.judge.many_loads import ManyLoads, loads_at, loads_of, many_loads
from heatcalc.judge.sites import Sites, Skies, sites_of, skies_of
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import HouseModel, house_model
from heatcalc.tables import rows

PROPANE_WATER = "instantaneous propane"


@dataclass(frozen=True, eq=False, kw_only=True)
class Case:
    """One house (with its supply and its household) in one place, or in each of several where it moves.

    folder : where the house file lies; paths in it are relative to it
    units : candidates by name; None = the shelf and the house file's own unit files
    ready : the designers where they are known already
    known : the design loads where they are known already, of many places worked out at once
    """

    house: House
    places: tuple[Place, ...]
    folder: Path | None = None
    units: dict[str, Unit] | None = None
    package_usd: float = 0.0
    ready: tuple[Designer, ...] = ()
    known: ManyLoads | None = None

    @cached_property
    def sites_places(self) -> tuple[Place, ...]:
        """The places at the height the house stands at."""
        height = self.house.site.elevation
        return self.places if height is None else tuple(at_elevation(p, height) for p in self.places)

    @cached_property
    def model(self) -> HouseModel:
        """The house as the network sees it, at the height of the first place."""
        return self.ready[0].model if self.ready else house_model(self.house, self.sites_places[0].elevation_m, self.folder)

    @cached_property
    def designers(self) -> tuple[Designer, ...]:
        """Design loads in detail, one a place."""
        return self.ready or tuple(
            designer_of(house_model(self.house, p.elevation_m, self.folder) if k else self.model, p)
            for k, p in enumerate(self.sites_places)
        )

    @cached_property
    def sites(self) -> Sites:
        """The places as columns, with the house's own design values where it states them."""
        return sites_of([as_designed(d) for d in self.designers]) if self.known is None else self.known.sites

    @cached_property
    def loads(self) -> ManyLoads:
        """Design loads of every place."""
        return loads_of(self.designers, self.sites) if self.known is None else self.known

    def at_once(self, skies: dict[Hashable, Skies]) -> Case:
        """The same question with the loads of all its places worked out together, as a map of the country has them; a house with
        design values of its own is left as it is.

        skies : of the very same places, kept for the next house
        """
        if self.house.design != Design(percentile=self.house.design.percentile):
            return self
        at = self.house.site.elevation, *map(id, self.places)
        found = skies.get(at) or skies.setdefault(at, skies_of(sites_of(self.sites_places)))
        level = replace(self.model, elevation_m=0.0)  # a held room's air stores nothing: one network for all heights
        return replace(self, known=many_loads(level, found))

    @cached_property
    def cold_loads(self) -> ManyLoads:
        """The heating loads with no cooling at all: what no unit carries here, none carries with its cooling either."""
        nil = np.zeros(len(self.sites))
        return loads_at(self.model, self.sites, (nil, nil, self.sites.cooling_1_C, nil, nil, nil, nil))

    @cached_property
    def shelf(self) -> dict[str, Unit]:
        """Every unit to judge.  Raises NoAnswer where there is none."""
        found = candidates_of(self.house, self.folder) if self.units is None else self.units
        if not found:
            raise NoAnswer("there is no unit to judge")
        return found

    def on_another_panel(self, house: House) -> Case:
        """The same question for the same house with other lock-outs: nothing about its loads is worked out again."""
        ready = tuple(d.on_panel(house) for d in self.designers) if self.known is None or self.ready else ()
        return replace(self, house=house, ready=ready)

    def at(self, k: int, units: dict[str, Unit] | None = None) -> Case:
        """The same question in one of its places, perhaps of some units alone."""
        known = None if self.known is None else self.known.take(k)
        ready = (self.designers[k],) if known is None or self.ready else ()
        return replace(self, places=(self.places[k],), ready=ready, units=units or self.units, known=known)

    def with_house(self, house: House, package_usd: float | None = None) -> Case:
        """The same question for another house."""
        return Case(
            house=house,
            places=self.places,
            folder=self.folder,
            units=self.units,
            package_usd=self.package_usd if package_usd is None else package_usd,
        )


def as_designed(d: Designer) -> Place:
    """The place with the design values in use: the house file's own before the record's, then without an error of the place."""
    c, own = d.conditions, d.model.house.design
    values: dict[str, Any] = {
        k: getattr(c, k) for k in ("heating_99_C", "heating_996_C", "cooling_1_C", "cooling_1_mcwb_C", "daily_range_K")
    }
    if own.heating is not None:
        values |= {"sigma_heating_K": 0.0, "sigma_heating_996_K": 0.0}
    return replace(d.place, **values)


def candidates_of(house: House, folder: Path | None = None) -> dict[str, Unit]:
    """The generic shelf plus the house file's own unit files and folders of them; two of one name are refused."""
    shelf, own = load_units(), dict[str, str]()
    for name in (house.units,) if isinstance(house.units, str) else house.units or ():
        for unit in load_units(beside(folder, name, "units")).values():
            if unit.name in own:
                raise InputError("units", name, f"holds a unit named {unit.name}, and so does {own[unit.name]}", "rename one")
            own[unit.name] = name
            shelf[unit.name] = unit
    return shelf


@dataclass(frozen=True, eq=False)
class Change:
    """One change to a house: words for a person, the words that ask for it, its price, and the house it makes."""

    words: str
    house: House
    adopt: str = ""  # as typed: `--package "Hearth"`, `--set below.kind=skirted`
    usd: float = 0.0


def packages_and_options(said: Mapping[str, Any], changes: Sequence[str], house: House, source: str) -> Iterator[Change]:
    """Every other package of the house file, and every option over the package in use, with their prices; one that cannot stand
    with the changes asked for is no offer."""
    own = float(said.get("packages", {}).get(house.package or "", {}).get("price", 0.0) or 0.0)
    for name, table in said.get("packages", {}).items():
        if name != house.package and (built := _stands(said, tuple(changes), name, source, asked=changes)):
            yield Change(f"package {name}", built, f'--package "{name}"', float(table.get("price", 0.0) or 0.0) - own)
    options = table_of_tables(said.get("options", {}), "options", source)
    base = resolved(said, house.package, changes)
    for name, table in options.items():
        if built := _stands(merged(base, changes_of(table)), (), None, source, asked=changes):
            yield Change(f"option {name}", built, f"option {name}", float(table.get("price", 0.0) or 0.0))


def _stands(
    said: Mapping[str, Any], changes: tuple[str, ...], package: str | None, source: str, asked: Sequence[str]
) -> House | None:
    """The house so built; None where it contradicts what was asked for.  Raises InputError where nothing was."""
    try:
        return house_from(said, changes, package, source)
    except InputError:
        if not asked:
            raise
        return None


def resolved(said: Mapping[str, Any], package: str | None, changes: Sequence[str]) -> dict[str, Any]:
    """A house file's mapping with its package and changes laid in, so that options come on top."""
    mapping = {k: v for k, v in said.items() if k not in ("packages", "options", "package")}
    name = package or said.get("package")
    if name:
        mapping = merged(mapping, changes_of(said["packages"][name]))
    for key, value in map(split_change, changes):
        mapping = changed(mapping, key.split("."), value, key)
    return mapping


def builders_changes(house: House) -> Iterator[Change]:
    """Changes any builder can make: hot water from propane, skirting, the shelf's next better parts, sealing, heat recovery."""
    water = propane_water(house)
    if water is not None:
        yield water
    if house.below.kind == "open air":
        skirted = with_table(house, "below", kind="skirted")
        yield Change("skirt the floor", skirted, "--set below.kind=skirted", _usd("skirting"))
    shell = shell_of(house)
    for part in ("wall", "roof", "floor", "window"):
        now = getattr(house.assemblies, part)
        labelled = part == "window" and any(w.type is not None or w.u_value is not None for w in house.windows)
        better = None if labelled else next_better(now, part)
        if better:
            new = with_table(house, "assemblies", **{part: better})
            glass_m2 = sum(p.opening.area_m2 for p in shell.windows)
            area_m2 = glass_m2 if part == "window" else shell.area(part)
            usd = area_m2 * (_usd_per_m2(better) - _usd_per_m2(now))
            yield Change(f"{better} instead of {now}", new, f'--set assemblies.{part}="{better}"', usd)
    if (read_tightness(house.air.tightness).ach50 or 99.0) > 2.0:
        tight = with_table(house, "air", tightness="2.0 ACH50")
        yield Change("air-seal to 2.0 ACH50", tight, '--set air.tightness="2.0 ACH50"', _usd("air sealing"))
    if house.ventilation.kind not in ("balanced", "none"):
        new = with_table(house, "ventilation", kind="balanced", heat_recovery=0.75)
        adopt = '--set ventilation.kind=balanced --set ventilation.heat_recovery="75 %"'
        yield Change("ventilate with 75 % heat recovery", new, adopt, _usd("heat recovery"))


def _usd(item: str) -> float:
    """What a change costs, from the table of invented prices."""
    return next(float(r["usd"]) for r in rows("plan_prices") if r["item"] == item)


@cache
def _usd_per_m2(name: str) -> float:
    """What a square metre of the shelf's assembly costs, from its file of invented prices."""
    return float(priced(load_assemblies())[name].price_per_m2 or 0.0)


def next_better(name: str, kind: str) -> str | None:
    """The shelf's next better assembly of a kind: the least improvement of at least a tenth."""
    shelf = {a.name: a for a in load_assemblies().values() if a.kind == kind and isinstance(a, (OpaqueAssembly, WindowAssembly))}
    if name not in shelf:
        return None
    limit = 0.9 * shelf[name].u_value_W_m2K
    lower = [a for a in shelf.values() if a.u_value_W_m2K <= limit]
    return max(lower, key=lambda a: a.u_value_W_m2K).name if lower else None


def propane_water(house: House) -> Change | None:
    """Hot water from propane at the draw, so that no tank hangs on the supply; None where the file lists its loads itself."""
    if "appliances" in house.supply.model_fields_set or water_heater_row(house.living.water_heater)["fuel"] != "electric":
        return None
    living, supply = one_list(house.living.model_copy(update={"water_heater": PROPANE_WATER}), house.supply)
    new = house.model_copy(update={"living": living, "supply": supply})
    words = f"an {PROPANE_WATER} water heater, vented, instead of the {house.living.water_heater}"
    return Change(words, new, f'--set living.water_heater="{PROPANE_WATER}"', _usd(PROPANE_WATER))


def with_table(house: House, table: str, **values: Any) -> House:
    """The house with values of one table replaced."""
    return house.model_copy(update={table: getattr(house, table).model_copy(update=values)})


def together(house: House, changes: Sequence[Change]) -> Change:
    """Several changes of one house at once; InputError where two set the same value differently."""
    result = house
    for change in changes:
        for table in type(house).model_fields:
            new, old = getattr(change.house, table), getattr(house, table)
            if new == old:
                continue
            if isinstance(new, BaseModel) and old is not None:
                differing = {k: v for k, v in new if v != getattr(old, k)}
                result = with_table(result, table, **differing)
            else:
                result = result.model_copy(update={table: new})
    return Change("; ".join(c.words for c in changes), result, "  ".join(c.adopt for c in changes), sum(c.usd for c in changes))
