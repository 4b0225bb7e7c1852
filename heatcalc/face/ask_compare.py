"""What a notebook cell asks about packages, sensitivity, reach and assemblies, each in one call."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place


def compare(house: str | Path | None = None, place: str = "Burlington, VT", packages: str = "", unit: str = "") -> Any:
    """Packages of a house file side by side; `packages` parted by commas, empty for all."""
    from heatcalc.answers.study.packages import compare_packages, package_list

    return compare_packages(house, find_place(place), package_list(house, packages or None), unit or None)


def enough_for(house: str | Path | None, place: str, unit: str, units: str = "ip") -> None:
    """Print the cheapest set of the file's options with which a unit carries the house, where the file has options."""
    from heatcalc.answers.study.enough import cheapest_for
    from heatcalc.answers.study.packages import said_of
    from heatcalc.show.compare_text import enough_lines

    if not said_of(house).get("options"):
        print("This house file has no priced options to search.")
        return
    print("\n".join(enough_lines(cheapest_for(house, find_place(place), unit), units)))


def what_matters(house: str | Path | None = None, place: str = "Burlington, VT", unit: str = "", years: int = 0) -> Any:
    """Tornado, Monte-Carlo and Sobol of a house with a unit (empty for the recommended one) in a place."""
    from heatcalc.answers.study.what_matters import what_matters as asked

    return asked(load_house(house), find_place(place), unit or None, house_path(house).parent, years=years)


def reach(house: str | Path | None = None, packages: str = "", unit: str = "", counties: bool = False) -> Any:
    """Every place of the climate tables with a house's packages; all units, or one."""
    from heatcalc.answers.reach.reach_study import reach as asked
    from heatcalc.answers.study.packages import package_list

    return asked(house, package_list(house, packages or None), [unit] if unit else [], (), "counties" if counties else "stations")


def rank_assemblies(house: str | Path | None = None, place: str = "Burlington, VT", prices: str = "") -> Any:
    """Every wall, roof, floor and window of the shelf put into a house, one at a time; `prices` empty for invented ones."""
    from heatcalc.answers.study.rank_assemblies import rank_assemblies as asked

    return asked(load_house(house), find_place(place), house_path(house).parent, prices=prices or None)


def figure(result: Any, name: str, units: str = "ip", unit: str = "") -> Any:
    """One figure of any of these results by name, as a picture a notebook keeps, with a text for screen readers."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture

    drawn = {f.name: f for f in _figures(result, units, unit)}[name]
    return Image(picture(drawn.draw, "png"), format="png", alt=drawn.says)


def _figures(result: Any, units: str, unit: str) -> tuple[Any, ...]:
    from heatcalc.answers.reach.reach_study import Reach
    from heatcalc.answers.study.packages import Comparison

    if isinstance(result, Comparison):
        from heatcalc.show.compare_figures import compare_figures

        return compare_figures(result, units)
    if isinstance(result, Reach):
        from heatcalc.show.reach_figures import reach_figures

        return reach_figures(result, unit or None, units)
    from heatcalc.show.sensitivity_figures import sensitivity_figures

    return sensitivity_figures(result, units)


def assembly_figure(result: Any, kind: str, units: str = "ip") -> Any:
    """Assemblies of one kind: watts against inches, who is beaten."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture
    from heatcalc.show.rank_figures import ranking_figure

    says = "; ".join(f"{c.name} {c.heating_W:.0f} W" for c in result.of(kind))
    return Image(picture(lambda: ranking_figure(result, kind, units), "png"), format="png", alt=says)


def section(result: Any, name: str, units: str = "ip") -> Any:
    """One assembly to scale at the design cold, with the dew point of the house's air in the coldest month."""
    from IPython.display import Image

    from heatcalc.answers.study.rank_assemblies import explained
    from heatcalc.report.assembly_figures import section as drawn
    from heatcalc.report.drawing import picture

    answer, dew = explained(result, name), result.air.winter_dew_point_C
    return Image(
        picture(lambda: drawn(answer, result.indoor_C, result.outdoor_C, dew, units), "png"),
        format="png",
        alt=f"section of {name} with its temperature and the dew point of the house's air in the coldest month",
    )


def frame(rows: list[tuple[str, ...]]) -> Any:
    """Rows of text, the head first, as a frame."""
    import pandas as pd

    head, *body = rows
    return pd.DataFrame(body, columns=head).set_index(head[0])


def packages_table(result: Any, units: str = "ip") -> Any:
    """The comparison as a frame."""
    from heatcalc.show.compare_text import compare_rows

    return frame(compare_rows(result, units))


def assemblies_table(result: Any, kind: str, units: str = "ip") -> Any:
    """Assemblies of one kind as a frame; * marks the house's own."""
    from heatcalc.show.rank_figures import ranking_rows

    return frame(ranking_rows(result, kind, units))


def who_beats_whom(result: Any, units: str = "ip") -> None:
    """Print which unit walked the year, what the shell weighs, and for each beaten assembly all that beat it."""
    from heatcalc.show.rank_figures import beaten_lines

    print("\n".join(beaten_lines(result, units)))


def moisture_table(result: Any, units: str = "ip") -> Any:
    """Every assembly's weakest point and the water inside it, as a frame."""
    from heatcalc.show.rank_figures import moisture_rows

    return frame(moisture_rows(result, units))


def moisture_limits(result: Any, units: str = "ip") -> None:
    """Print what the worst month asks for, where the indoor humidity comes from, and the limits of the method."""
    from heatcalc.render.as_text import as_text
    from heatcalc.report.about_assembly import moisture_items
    from heatcalc.report.report import Report, chapter, chapters

    items = moisture_items([c.moisture for c in result.choices])
    print(as_text(Report("assemblies", "", chapters=chapters(chapter("Moisture by ISO 13788", *items))), units))


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
