"""What a notebook cell asks about packages, sensitivity, reach and assemblies, each in one call."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.errors import InputError, nearest
from heatcalc.face.answer import Answer
from heatcalc.face.ask import DEMO_PLACE
from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place

if TYPE_CHECKING:
    from IPython.display import Image

    from heatcalc.answers.reach.reach_study import Reach
    from heatcalc.answers.study.many_orders import Answered
    from heatcalc.answers.study.packages import Comparison
    from heatcalc.answers.study.rank_assemblies import Ranking
    from heatcalc.answers.study.what_matters import WhatMatters
    from heatcalc.answers.unit.unit_answer import UnitsAtPlace


def compare(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    packages: str = "",
    unit: str = "",
    enough_for: str = "",
    units: str = "ip",
) -> Answer[Comparison]:
    """`heatcalc compare`: packages of a house file side by side.

    packages : their names parted by commas, empty for all
    unit : one mini-split for every package, empty for the recommended of each
    enough_for : a unit, for the cheapest set of the file's options with which it carries the house
    """
    from heatcalc.answers.study.enough import cheapest_for
    from heatcalc.answers.study.packages import compare_packages, package_list, said_of
    from heatcalc.report.about_compare import about_compare

    where, enough = find_place(place), None
    if enough_for:
        options = said_of(house).get("options")
        enough = cheapest_for(house, where, enough_for) if options else "This house file has no priced options to search."
    found = compare_packages(house, where, package_list(house, packages or None), unit or None)
    return Answer(found, lambda c: about_compare(c, enough), units)


def units_side_by_side(
    *units_named: str | Path, house: str | Path | None = None, place: str = DEMO_PLACE, units: str = "ip"
) -> Answer[list[UnitsAtPlace]]:
    """`heatcalc unit FILE FILE ... --house --place`: units judged for a house side by side, and drawn over its load.

    units_named : unit files, folders of them, generic classes by name; none for every generic class
    Tables: side-by-side.  Figures: units-PLACE.
    """
    from heatcalc.answers.unit.unit_answer import units_at
    from heatcalc.inputs.unit.unit_file import load_units
    from heatcalc.inputs.unit.unit_file import units_named as named
    from heatcalc.report.about_units import about_units

    chosen, folder = named(*units_named) or load_units(), house_path(house).parent
    return Answer([units_at(chosen, load_house(house), find_place(place), folder)], about_units, units)


def orders(
    file: str | Path | None = None,
    models: Sequence[str | Path] = (),
    places: Sequence[str] = (),
    packages: str = "",
    unit_names: Sequence[str] = (),
    sure: float = 0.9,
    year: bool = False,
    workers: int = 1,
    units: str = "ip",
) -> Answer[Answered]:
    """`heatcalc orders`: the plan of `size` for every order of a file, or of every model with every package in every place.

    file : a CSV of orders; None for `models` x `packages` x `places` x `unit_names`
    packages : names parted by commas, "all" for every one, empty for the house as described
    sure : chance (0.5 to 0.99) with which each plan is to hold; year : walk every plan's year; workers : processes
    Tables: orders, totals, costs, prices.  Figure: needs.  `result.records`: a dict a row, SI; `.good`, `.bad`.
    Raises InputError for a file that is none; a row that cannot be answered is in `.bad`.
    """
    from heatcalc.answers.study.many_orders import Answered, answered, check_sure, crossed, read_orders
    from heatcalc.answers.study.processes import in_processes
    from heatcalc.report.about_orders import about_orders

    if file is None:
        title, beside, rows = "Models by places", Path(), crossed([str(m) for m in models], packages, places, unit_names)
    else:
        title, beside, rows = f"Orders of {Path(file).name}", Path(file).parent, read_orders(file)
    spread = map if workers == 1 else in_processes(workers)
    found = sorted(answered(rows, beside, spread, check_sure(sure), year), key=lambda r: r["row"])
    return Answer(Answered(title, sure, tuple(found)), about_orders, units)


def what_matters(
    house: str | Path | None = None,
    place: str = DEMO_PLACE,
    unit: str = "",
    years: int = 0,
    limits: bool = False,
    units: str = "ip",
) -> Answer[WhatMatters]:
    """`heatcalc sensitivity`: every uncertain input alone, then all at once, of a house with a unit in a place.

    unit : its name, empty for the recommended one; years : walk about so many for the shares of the year
    limits : also how cold, how leaky, how much glass, which skirting
    """
    from heatcalc.answers.study.inverse import limits_of
    from heatcalc.answers.study.what_matters import what_matters as asked
    from heatcalc.report.about_sensitivity import about_sensitivity

    folder = house_path(house).parent
    found = asked(load_house(house), find_place(place), unit or None, folder, years=years)
    case = found.at_once.case
    turned = limits_of(found.one_at_a_time.sized.house, case.place, case.unit, folder) if limits else None
    return Answer(found, lambda m: about_sensitivity(m, turned), units)


def reach(
    house: str | Path | None = None, packages: str = "", unit: str = "", counties: bool = False, units: str = "ip"
) -> Answer[Reach]:
    """`heatcalc reach`: every place of the climate tables with a house's packages and every unit; maps and zones of one."""
    from heatcalc.answers.reach.reach_study import reach as asked
    from heatcalc.answers.study.packages import package_list
    from heatcalc.report.about_reach import about_reach

    found = asked(house, package_list(house, packages or None), (), (), "counties" if counties else "stations")
    if unit and unit not in found.unit_names:
        raise InputError("unit", unit, f"known: {', '.join(found.unit_names)}", nearest(unit, list(found.unit_names)))
    return Answer(found, lambda r: about_reach(r, unit or None), units)


def rank_assemblies(
    house: str | Path | None = None, place: str = DEMO_PLACE, prices: str = "", units: str = "ip"
) -> Answer[Ranking]:
    """Every wall, roof, floor and window of the shelf put into a house, one at a time; `prices` empty for invented ones."""
    from heatcalc.answers.study.rank_assemblies import rank_assemblies as asked
    from heatcalc.report.about_ranking import about_ranking

    found = asked(load_house(house), find_place(place), house_path(house).parent, prices=prices or None)
    return Answer(found, about_ranking, units)


def section(ranking: Answer[Ranking], name: str) -> Image:
    """One assembly to scale at the design cold, with the dew point of the house's air in the coldest month."""
    from heatcalc.answers.study.rank_assemblies import explained
    from heatcalc.render.as_files import as_image
    from heatcalc.report.assembly_figures import section as drawn

    r = ranking.result
    answer, dew = explained(r, name), r.air.winter_dew_point_C
    says = f"section of {name} with its temperature and the dew point of the house's air in the coldest month"
    return as_image(lambda: drawn(answer, r.indoor_C, r.outdoor_C, dew, ranking.units), says)
