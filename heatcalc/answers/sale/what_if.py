"""What would change: a cooler set point, a skirt, another siding; each made to the house and its year walked again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.supply.tariff import Tariff
from heatcalc.judge.metered_year import Load, money_of, walk
from heatcalc.model.house_model import house_model
from heatcalc.wording import Q, Said, worded

SIXTY_SIX_C = (66.0 - 32.0) / 1.8
COOLER_THAN_K = 0.5
DARK, LIGHT = "dark", "light"


@dataclass(frozen=True)
class WhatIf:
    """One change: its words, and the year with it and its difference from the house as described."""

    change: Said
    year_kWh: float
    year_cost: float
    more_kWh: float
    more_cost: float
    heating_more_kWh: float
    cooling_more_kWh: float


def what_if(r: RunLoad) -> tuple[WhatIf, ...]:
    """Every change that applies to this house."""
    return tuple(_tried(r, words, house) for words, house in _changes(r.sized.house))


def _changes(house: House) -> Iterator[tuple[Said, House]]:
    points = house.set_points
    if points.heating > SIXTY_SIX_C + COOLER_THAN_K:
        night = None if points.night_heating is None else min(points.night_heating, SIXTY_SIX_C)
        yield (
            worded("heat to {} instead of {}", Q(SIXTY_SIX_C, "temperature"), Q(points.heating, "temperature")),
            _with(house, "set_points", {"heating": SIXTY_SIX_C, "night_heating": night}),
        )
    if house.below.kind == "open air":
        yield "add skirting around the house", _with(house, "below", {"kind": "skirted"})
    other = LIGHT if house.colours.siding in (DARK, "black") else DARK
    yield f"choose {other} siding instead of {house.colours.siding}", _with(house, "colours", {"siding": other})


def _with(house: House, table: str, values: dict[str, object]) -> House:
    return house.model_copy(update={table: getattr(house, table).model_copy(update=values)})


def _tried(r: RunLoad, words: Said, house: House) -> WhatIf:
    load = walk(house_model(house, r.sized.place.elevation_m, r.folder), r.asked)
    cost = _cost(load, r.money.tariff)
    heating, cooling = (_of(load, use) - _of(r.load, use) for use in (("heating", "backup"), ("cooling",)))
    return WhatIf(words, load.year_kWh, cost, load.year_kWh - r.load.year_kWh, cost - r.money.year_cost, heating, cooling)


def _cost(load: Load, tariff: Tariff) -> float:
    return money_of(load, tariff, "").year_cost


def _of(load: Load, uses: tuple[str, ...]) -> float:
    return float(np.sum([load.uses_W[use].sum() for use in uses])) / 1000.0
