"""What would change: other set points, a skirt, shade, another siding; each made to the house and its year walked again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.openings import WindowIn
from heatcalc.inputs.supply.tariff import Tariff
from heatcalc.judge.metered_year import MeteredYear, money_of, walk
from heatcalc.model.house_model import house_model
from heatcalc.wording import Q, Said, worded

SIXTY_SIX_C, SEVENTY_EIGHT_C = (66.0 - 32.0) / 1.8, (78.0 - 32.0) / 1.8
AWNING_M, BLINDS, WORTH_SHADING = 0.914, 0.6, 0.1  # three feet out; shade of light blinds (common practice); of the run load
COOLER_THAN_K = 0.5
DARK, LIGHT = "dark", "light"


@dataclass(frozen=True, eq=False, kw_only=True)
class WhatIf:
    """One change: its words, and the year with it and its difference from the house as described."""

    change: Said
    year_kWh: float
    year_cost: float
    more_kWh: float
    more_cost: float
    heating_more_kWh: float
    cooling_more_kWh: float
    tables: tuple[np.ndarray, np.ndarray]  # kWh by month and hour, of the run load and of the rest


def what_if(r: RunLoad) -> tuple[WhatIf, ...]:
    """Every change that applies to this house."""
    cools = float(r.load.uses_W["cooling"].sum()) >= WORTH_SHADING * float(r.load.run_W.sum())
    changes = [*_changes(r.sized.house), *(_cooler(r.sized.house) if cools else ())]
    return tuple(_tried(r, words, house) for words, house in changes)


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


def _cooler(house: House) -> Iterator[tuple[Said, House]]:
    """What makes less heat in summer, where cooling matters."""
    points, glass = house.set_points, house.windows
    if points.cooling < SEVENTY_EIGHT_C - COOLER_THAN_K:
        words = worded("cool to {} instead of {}", Q(SEVENTY_EIGHT_C, "temperature"), Q(points.cooling, "temperature"))
        yield words, _with(house, "set_points", {"cooling": SEVENTY_EIGHT_C})
    if any(w.inside_shade > BLINDS for w in glass):
        yield "light blinds, drawn all year", _windows(house, lambda w: {"inside_shade": min(w.inside_shade, BLINDS)})
    if any(w.overhang < AWNING_M and w.face != "roof" for w in glass):
        words = worded("an awning {} deep over every window", Q(AWNING_M, "length"))
        yield words, _windows(house, lambda w: {} if w.face == "roof" else {"overhang": max(w.overhang, AWNING_M)})


def _windows(house: House, values: Callable[[WindowIn], dict[str, float]]) -> House:
    return house.model_copy(update={"windows": tuple(w.model_copy(update=values(w)) for w in house.windows)})


def _with(house: House, table: str, values: dict[str, object]) -> House:
    return house.model_copy(update={table: getattr(house, table).model_copy(update=values)})


def _tried(r: RunLoad, words: Said, house: House) -> WhatIf:
    load = walk(house_model(house, r.sized.place.elevation_m, r.folder), r.asked)
    cost = _cost(load, r.money.tariff)
    heating, cooling = (_of(load, use) - _of(r.load, use) for use in (("heating", "backup"), ("cooling",)))
    return WhatIf(
        change=words,
        year_kWh=load.year_kWh,
        year_cost=cost,
        more_kWh=load.year_kWh - r.load.year_kWh,
        more_cost=cost - r.money.year_cost,
        heating_more_kWh=heating,
        cooling_more_kWh=cooling,
        tables=load.tables,
    )


def _cost(load: MeteredYear, tariff: Tariff) -> float:
    return money_of(load, tariff, "").year_cost


def _of(load: MeteredYear, uses: tuple[str, ...]) -> float:
    return float(np.sum([load.uses_W[use].sum() for use in uses])) / 1000.0
