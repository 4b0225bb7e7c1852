"""Cord, circuits, generator and battery against the house's loads.

Examples:
heatcalc supply my-house.toml --place "Bozeman, MT"
heatcalc supply my-house.toml --place 59715 --set supply.cord="50 A 120/240 V" --unit G12-C-230 --json
heatcalc supply my-house.toml --place 59715 --set living.cooking=propane --set living.water_heater="instantaneous propane"
heatcalc supply my-house.toml --place 59715 --set supply.battery.capacity="10 kWh" --set supply.solar.watts="2000 W" -o out/
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from heatcalc.commands.common import DEMO_PLACE, add_house, add_output, add_place, asked, shown, sized_of, tell_each

if TYPE_CHECKING:
    from heatcalc.answers.year.cord_year import HouseSupply
    from heatcalc.face.answer import Answer


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

    return shown(house_supply(*asked(house, place, changes, package)), about_supply, units)


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--unit", help="the unit to check (default: the recommended one)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.answers.year.cord_year import supply_of
    from heatcalc.report.about_supply import about_supply

    sized, _ = sized_of(arguments)
    return tell_each(arguments, sized, [about_supply(supply_of(one)) for one in sized.each])
