"""The commands' other questions as one call each; every function returns the same frozen result the command shows."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, find_place

DEMO_PLACE = "Burlington, VT"


def _asked(house: str | Path | None, place: str, changes: Sequence[str], package: str | None) -> tuple[House, Place, Path]:
    return load_house(house, changes, package), find_place(place), house_path(house).parent


def year(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    unit: str | None = None,
    weather: str | None = None,
    changes: Sequence[str] = (),
    package: str | None = None,
) -> Any:
    """`heatcalc year`: the walked year with its checks, power cut and recovery (`answers.year.answer.YearAnswer`)."""
    from heatcalc.answers.year.year_answer import year_answer
    from heatcalc.inputs.weather.weather_place import place_with_hours

    said, where, folder = _asked(house, place, changes, package)
    return year_answer(said, place_with_hours(weather, where) if weather else where, unit, folder)


def supply(
    house: str | Path | None = None, place: str = DEMO_PLACE, changes: Sequence[str] = (), package: str | None = None
) -> Any:
    """`heatcalc supply`: cord, circuits, generator, battery, charge (`answers.year.house_supply.HouseSupply`)."""
    from heatcalc.answers.year.house_supply import house_supply

    return house_supply(*_asked(house, place, changes, package))


def bridge(name: str) -> Any:
    """`heatcalc bridge`: a ready detail or a detail file, solved (`answers.envelope.bridge.Bridge`)."""
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.bridge import solve_detail

    return solve_detail(load_detail(name))


def unit(file: str | Path, *places: str) -> Any:
    """`heatcalc unit`: a unit file explained, at each place named (`answers.unit.answer.UnitAnswer`)."""
    from heatcalc.answers.unit.unit_answer import explain_unit
    from heatcalc.inputs.unit.unit_file import load_units, read_unit

    shelf = load_units()
    found = shelf[str(file)] if str(file) in shelf else read_unit(file)
    return explain_unit(found, [find_place(place) for place in places])


def assembly(name: str, file: str | Path | None = None, indoor_C: float = 20.0, outdoor_C: float = 0.0) -> Any:
    """`heatcalc assembly`: one assembly of the shelf or a file, layer by layer (`answers.envelope.assembly.AssemblyAnswer`)."""
    from heatcalc.answers.envelope.assembly_answer import explain_assembly
    from heatcalc.inputs.assembly.assembly_file import find_assembly, load_assemblies

    return explain_assembly(find_assembly(name, load_assemblies(file)), indoor_C, outdoor_C)


def log(
    csv: str | Path,
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    changes: Sequence[str] = (),
    package: str | None = None,
) -> Any:
    """`heatcalc log`: does the metered house behave as computed (`answers.year.log.LogResult`)?"""
    from heatcalc.answers.year.log_answer import compare_log
    from heatcalc.inputs.log.log_file import read_log

    said, where, folder = _asked(house, place, changes, package)
    return compare_log(read_log(csv), said, where, folder)
