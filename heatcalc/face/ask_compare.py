"""What a notebook cell asks about packages, sensitivity, reach and assemblies, each in one call."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from heatcalc.face.answer import Answer
from heatcalc.face.ask import DEMO_PLACE
from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place

if TYPE_CHECKING:
    from IPython.display import Image

    from heatcalc.answers.study.packages import Comparison
    from heatcalc.answers.study.rank_assemblies import Ranking


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


def what_matters(house: str | Path | None = None, place: str = "Burlington, VT", unit: str = "", years: int = 0) -> Any:
    """Tornado, Monte-Carlo and Sobol of a house with a unit (empty for the recommended one) in a place."""
    from heatcalc.answers.study.what_matters import what_matters as asked

    return asked(load_house(house), find_place(place), unit or None, house_path(house).parent, years=years)


def reach(house: str | Path | None = None, packages: str = "", unit: str = "", counties: bool = False) -> Any:
    """Every place of the climate tables with a house's packages; all units, or one."""
    from heatcalc.answers.reach.reach_study import reach as asked
    from heatcalc.answers.study.packages import package_list

    return asked(house, package_list(house, packages or None), [unit] if unit else [], (), "counties" if counties else "stations")


def rank_assemblies(
    house: str | Path | None = None, place: str = DEMO_PLACE, prices: str = "", units: str = "ip"
) -> Answer[Ranking]:
    """Every wall, roof, floor and window of the shelf put into a house, one at a time; `prices` empty for invented ones."""
    from heatcalc.answers.study.rank_assemblies import rank_assemblies as asked
    from heatcalc.report.about_ranking import about_ranking

    found = asked(load_house(house), find_place(place), house_path(house).parent, prices=prices or None)
    return Answer(found, about_ranking, units)


def figure(result: Any, name: str, units: str = "ip", unit: str = "") -> Any:
    """One figure of any of these results by name, as a picture a notebook keeps, with a text for screen readers."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture

    drawn = {f.name: f for f in _figures(result, units, unit)}[name]
    return Image(picture(drawn.draw, "png"), format="png", alt=drawn.says)


def _figures(result: Any, units: str, unit: str) -> tuple[Any, ...]:
    from heatcalc.answers.reach.reach_study import Reach

    if isinstance(result, Reach):
        from heatcalc.show.reach_figures import reach_figures

        return reach_figures(result, unit or None, units)
    from heatcalc.show.sensitivity_figures import sensitivity_figures

    return sensitivity_figures(result, units)


def section(ranking: Answer[Ranking], name: str) -> Image:
    """One assembly to scale at the design cold, with the dew point of the house's air in the coldest month."""
    from IPython.display import Image

    from heatcalc.answers.study.rank_assemblies import explained
    from heatcalc.report.assembly_figures import section as drawn
    from heatcalc.report.drawing import picture

    r = ranking.result
    answer, dew = explained(r, name), r.air.winter_dew_point_C
    return Image(
        picture(lambda: drawn(answer, r.indoor_C, r.outdoor_C, dew, ranking.units), "png"),
        format="png",
        alt=f"section of {name} with its temperature and the dew point of the house's air in the coldest month",
    )


def frame(rows: list[tuple[str, ...]]) -> Any:
    """Rows of text, the head first, as a frame."""
    import pandas as pd

    head, *body = rows
    return pd.DataFrame(body, columns=head).set_index(head[0])


def reach_table(result: Any, package: int = 0, units: str = "ip") -> Any:
    """Shares of places by unit for one package."""
    from heatcalc.show.reach_text import unit_rows

    return frame(unit_rows(result.packages[package], units))


def zones_table(result: Any, package: int = 0, unit: str = "", units: str = "ip") -> Any:
    """One unit by climate zone."""
    from heatcalc.answers.reach.reach_study import usual_unit
    from heatcalc.show.reach_text import zone_rows

    return frame(zone_rows(result, result.packages[package], unit or usual_unit(result), units))


def quote(result: Any, units: str = "ip") -> None:
    """Print the words for a quote."""
    from heatcalc.answers.study.what_matters import promise
    from heatcalc.wording import said

    print("\n".join(said(line, units) for line in promise(result)))


def turned_round(result: Any, units: str = "ip") -> None:
    """Print how cold, how leaky, how much glass, which skirting, for the case of a sensitivity."""
    from heatcalc.answers.study.inverse import limits_of
    from heatcalc.show.inverse_text import inverse_text

    case = result.at_once.case
    print(inverse_text(limits_of(result.one_at_a_time.sized.house, case.place, case.unit), units))
