"""The commands' other questions as one call each; every function returns the same frozen result the command shows."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.face.answer import Answer
from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, find_place

if TYPE_CHECKING:
    from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer
    from heatcalc.answers.explain.chains import Explanation
    from heatcalc.answers.methods.design_loads import LoadsResult
    from heatcalc.answers.unit.unit_answer import UnitAnswer
    from heatcalc.answers.year.cord_year import HouseSupply
    from heatcalc.answers.year.log_answer import LogResult
    from heatcalc.answers.year.year_answer import YearAnswer
    from heatcalc.model.climate import Places
    from heatcalc.model.detail_bridge import BridgeAnswer

DEMO_PLACE = "Burlington, VT"


def _asked(house: str | Path | None, place: str, changes: Sequence[str], package: str | None) -> tuple[House, Place, Path]:
    return load_house(house, changes, package), find_place(place), house_path(house).parent


def loads(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[LoadsResult]:
    """`heatcalc loads`: the design loads of a house in a place by three methods, and what they hang on."""
    from heatcalc.answers.methods.design_loads import loads_of
    from heatcalc.report.about_loads import about_loads

    return Answer(loads_of(*_asked(house, place, changes, package)), about_loads, units)


def year(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    unit: str | None = None,
    weather: str | None = None,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[YearAnswer]:
    """`heatcalc year`: the walked year with its checks, power cut and recovery.

    unit : a unit's name, "unlimited" for a plant that always carries the load, None for the recommended one
    weather : an hourly file, None for a year built from the place's months
    """
    from heatcalc.answers.year.year_answer import year_answer
    from heatcalc.inputs.weather.weather_place import place_with_hours
    from heatcalc.report.about_year import about_year

    said, where, folder = _asked(house, place, changes, package)
    return Answer(year_answer(said, place_with_hours(weather, where) if weather else where, unit, folder), about_year, units)


def supply(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[HouseSupply]:
    """`heatcalc supply`: does the house run from its cord; circuits, chance of an overload, every use, generator, battery.

    Tables: hours, overload, uses, may, circuits, method, rooms, and generator, battery where there are any.  Figure:
    january-evening.
    """
    from heatcalc.answers.year.cord_year import house_supply
    from heatcalc.report.about_supply import about_supply

    return Answer(house_supply(*_asked(house, place, changes, package)), about_supply, units)


def place(*queries: str, units: str = "ip") -> Answer[Places]:
    """`heatcalc place`: what the climate records say of a place, or of several and the worst of each design value."""
    from heatcalc.model.climate import places_answer
    from heatcalc.report.about_place import about_place

    return Answer(places_answer([find_place(query) for query in queries or (DEMO_PLACE,)]), about_place, units)


def bridge(name: str = "wheel-well", units: str = "ip") -> Answer[BridgeAnswer]:
    """`heatcalc bridge`: a ready detail or a detail file, solved in two dimensions.  Raises InputError for an unknown detail."""
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.detail_bridge import solve_detail
    from heatcalc.report.about_bridge import about_bridge

    return Answer(solve_detail(load_detail(name)), about_bridge, units)


def unit(file: str | Path, *places: str, house: str | Path | None = None, units: str = "ip") -> Answer[UnitAnswer]:
    """`heatcalc unit`: a unit file or generic class explained, at each place named, with a house's loads where one is named."""
    from heatcalc.answers.unit.unit_answer import explain_unit
    from heatcalc.inputs.unit.unit_file import load_units, read_unit
    from heatcalc.report.about_unit import about_unit

    shelf = load_units()
    found = shelf[str(file)] if str(file) in shelf else read_unit(file)
    where = [find_place(place) for place in places]
    return Answer(explain_unit(found, where, None if house is None else load_house(house)), about_unit, units)


def assembly(
    name: str, file: str | Path | None = None, indoor_C: float = 20.0, outdoor_C: float = 0.0, units: str = "ip"
) -> Answer[AssemblyAnswer]:
    """`heatcalc assembly`: one assembly of the shelf or a file, layer by layer between two air temperatures [degC]."""
    from heatcalc.answers.envelope.assembly_answer import explain_assembly
    from heatcalc.inputs.assembly.assembly_file import find_assembly, load_assemblies
    from heatcalc.report.about_assembly import about_assembly

    found = explain_assembly(find_assembly(name, load_assemblies(file)), indoor_C, outdoor_C)
    return Answer(found, lambda a: about_assembly(a, None, indoor_C, outdoor_C), units)


def explain(
    name: str = "heating_load",
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[Explanation]:
    """`heatcalc explain`: one result of a sizing taken apart down to its inputs.  Raises InputError for an unknown result."""
    from heatcalc.answers.explain.chains import explain as chain
    from heatcalc.judge.sizing import size_house
    from heatcalc.report.about_explain import about_explain

    said, where, folder = _asked(house, place, changes, package)
    return Answer(chain(size_house(said, where, folder=folder), name, folder), about_explain, units)


def log(
    csv: str | Path,
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
    units: str = "ip",
) -> Answer[LogResult]:
    """`heatcalc log`: does the metered house behave as computed?  `csv` is a file or a shipped log by its name."""
    from heatcalc.answers.year.log_answer import compare_log, log_house
    from heatcalc.inputs.log.log_file import log_path, read_log
    from heatcalc.report.about_log import about_log

    said, where, folder = _asked(house, place, changes, package)
    return Answer(compare_log(read_log(log_path(str(csv))), log_house(said, where, folder)), about_log, units)
