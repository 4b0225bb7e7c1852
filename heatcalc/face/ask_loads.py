"""What a notebook cell asks of the design loads, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from heatcalc.answers.methods.design_loads import LoadsResult, loads_of
from heatcalc.inputs.house.house_file import house_path, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.wording import said, worded


def loads(
    house: str | Path | None = None, place: str = "Burlington, VT", changes: Sequence[str] = (), package: str | None = None
) -> LoadsResult:
    """The design loads of a house file (None = the demo house) in a place; `changes` as in `--set`."""
    return loads_of(load_house(house, changes, package), find_place(place), house_path(house).parent)


def loads_table(result: LoadsResult, name: str, units: str = "ip") -> Any:
    """One table of the design loads as a frame; its names are the keys of the tables below."""
    import pandas as pd

    from heatcalc.show import loads_air_text as air
    from heatcalc.show import loads_rules_text as rules
    from heatcalc.show import loads_text as text

    made = {
        "heating methods": text.heating_method_rows,
        "cooling methods": text.cooling_method_rows,
        "sheet": text.sheet_rows,
        "heating cases": text.heating_case_rows,
        "air": air.air_rows,
        "winter humidity": air.winter_rows,
        "peaks": rules.peak_rows,
        "code": rules.code_table,
        "pick-up": rules.pick_up_rows,
    }
    plain = {
        "steps": (text.step_rows, ["peak", "sensible cooling"]),
        "year": (text.year_rows, ["what", "value"]),
        "fans": (air.fan_rows, ["what", "flow", "remark"]),
    }
    if name in plain:
        rows_of, head = plain[name]
        return pd.DataFrame(rows_of(result, units), columns=head).set_index(head[0])
    first, *rows = made[name](result, units)
    return pd.DataFrame(rows, columns=list(first)).set_index(first[0])


def loads_figure(result: LoadsResult, name: str, units: str = "ip") -> Any:
    """ "methods" or "months-and-ways" as a picture a notebook keeps, with a text for screen readers."""
    from IPython.display import Image

    from heatcalc.report.drawing import picture
    from heatcalc.show.loads_figures import loads_figures

    drawn = {f.name: f for f in loads_figures(result, units)}[name]
    return Image(picture(drawn.draw, "png"), format="png", alt=drawn.says)


def show_reasons(result: LoadsResult, units: str = "ip") -> None:
    """Print why the methods part, and the limits of each."""

    compared = result.comparison
    hands = (compared.load_factor, compared.time_series)
    limits = [worded("{}, limit: {}", hand.method, reason) for hand in hands for reason in hand.reasons]
    print("\n".join(said(line, units) for line in (*compared.sentences, *limits)))


def show_drying(result: LoadsResult, units: str = "ip") -> None:
    """Print whether the recommended unit dries enough."""
    from heatcalc.show.loads_air_text import drying_lines

    print("\n".join(drying_lines(result, units)))


def show_screening(result: LoadsResult, units: str = "ip") -> None:
    """Print the screening against published envelope rules."""
    from heatcalc.show.loads_rules_text import screening_lines

    print("\n".join(screening_lines(result, units)))
