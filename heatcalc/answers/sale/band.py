"""How sure the run load is: each uncertain input moved both ways, one year each, the swings joined."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.judge.metered_year import MeteredYear, RunYear, by_month, money_of, walk
from heatcalc.model.house_model import HouseModel
from heatcalc.model.year_walk import weather_year
from heatcalc.wording import Q, Said, worded

TWO_F_K = 2.0 / 1.8
COMMON = "common practice, no source"
PLUGGED = ("refrigerator", "lights", "electronics")
AIR, FAN, SHELL, POWER, LIVING, WEATHER_K = 0.4, 0.2, 0.1, 0.1, 0.3, 1.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Swing:
    """One input moved down and up: what, how far (in words), why that far, and the year's electricity [kWh] and cost."""

    name: str
    how_far: Said
    why: str
    month_kWh: np.ndarray  # (2, 12)
    month_cost: np.ndarray  # (2, 12)
    tables: tuple[tuple[np.ndarray, np.ndarray], ...]  # of both sides: kWh by month and hour, of the run load and of the rest

    @property
    def year_kWh(self) -> tuple[float, float]:
        """Least and most kWh of the year."""
        sums = self.month_kWh.sum(axis=1)
        return float(sums.min()), float(sums.max())


@dataclass(frozen=True, eq=False)
class Band:
    """Likely range by month and for the year, from independent swings joined as the root of the sum of squares."""

    swings: tuple[Swing, ...]
    month_kWh: np.ndarray  # (2, 12) low, high
    month_cost: np.ndarray
    year_kWh: tuple[float, float]
    year_cost: tuple[float, float]


def band(r: RunLoad) -> Band:
    """Walk each uncertain input low and high."""
    return joined(r, tuple(_swings(r)))


def joined(r: RunLoad, swings: tuple[Swing, ...]) -> Band:
    """The band of swings already walked."""
    kWh, cost = by_month(r.load.run_W), r.money.month_cost
    return Band(
        swings,
        _joined(kWh, [s.month_kWh for s in swings]),
        _joined(cost, [s.month_cost for s in swings]),
        _year(kWh, [s.month_kWh for s in swings]),
        _year(cost, [s.month_cost for s in swings]),
    )


def _joined(middle: np.ndarray, swings: list[np.ndarray]) -> np.ndarray:
    """Low and high around the middle: each side the root of the sum of squared swings to that side, never below nil."""
    off = np.array(swings) - middle
    down, up = np.minimum(off.min(axis=1), 0.0), np.maximum(off.max(axis=1), 0.0)
    low = middle - np.sqrt((down**2).sum(axis=0))
    return np.array([np.maximum(low, np.minimum(middle, 0.0)), middle + np.sqrt((up**2).sum(axis=0))])


def _year(middle: np.ndarray, swings: list[np.ndarray]) -> tuple[float, float]:
    low, high = _joined(middle.sum(keepdims=True), [s.sum(axis=1, keepdims=True) for s in swings])
    return float(low[0]), float(high[0])


def _swings(r: RunLoad) -> Iterator[Swing]:
    model = r.sized.designer.model
    yield _swing(
        r,
        "outside air",
        f"{AIR:.0%} less or more air through leaks, {FAN:.0%} through the fan",
        "leaks: ASHRAE Fundamentals 2021 ch. 16; fan: common practice, no source",
        lambda side: walk(airier(model, 1 + side * AIR, 1 + side * FAN), r.asked),
    )
    yield _swing(
        r,
        "insulation as built",
        f"{SHELL:.0%} less or more heat through the shell",
        COMMON,
        lambda side: walk(lossier(model, 1 + side * SHELL), r.asked),
    )
    yield _swing(
        r,
        "thermostat",
        worded("{} lower or higher, winter and summer", Q(TWO_F_K, "temperature difference")),
        COMMON,
        lambda side: walk(warmer(model, side * TWO_F_K), r.asked),
    )
    yield _swing(
        r,
        "lights and appliances",
        f"{LIVING:.0%} less or more of them, and of their warmth indoors",
        COMMON,
        lambda side: walk(brighter(model, 1 + side * LIVING), r.asked),
    )
    yield _swing(
        r,
        "weather of the year",
        worded("every hour {} colder or warmer", Q(WEATHER_K, "temperature difference")),
        COMMON,
        lambda side: walk(model, in_weather(r.asked, shifted(r.asked.brings.weather, side * WEATHER_K))),
    )
    yield _swing(
        r,
        "the heat pump itself",
        f"{POWER:.0%} less or more electricity for the same heat or cold",
        COMMON,
        lambda side: hungrier(r.load, 1 + side * POWER),
    )


def _swing(r: RunLoad, name: str, how_far: Said, why: str, at: Callable[[int], MeteredYear]) -> Swing:
    loads = [at(-1), at(1)]
    costs = [money_of(load, r.money.tariff, r.money.why).month_cost for load in loads]
    return Swing(
        name=name,
        how_far=how_far,
        why=why,
        month_kWh=np.array([by_month(x.run_W) for x in loads]),
        month_cost=np.array(costs),
        tables=tuple(x.tables for x in loads),
    )


def airier(model: HouseModel, leaks: float, fan: float) -> HouseModel:
    """The house with its leakage and its fan's flow scaled."""
    air = model.air
    leakage = replace(air.leakage, coefficient=air.leakage.coefficient * leaks)
    return replace(
        model, air=replace(air, leakage=leakage, balanced_m3_s=air.balanced_m3_s * fan, unbalanced_m3_s=air.unbalanced_m3_s * fan)
    )


def lossier(model: HouseModel, times: float) -> HouseModel:
    """The house with every U-value scaled; layers keep their proportions."""
    return replace(
        model,
        opaque=tuple(p.lossier(times) for p in model.opaque),
        windows=tuple(replace(w, u_value=w.u_value * times) for w in model.windows),
    )


def warmer(model: HouseModel, by_K: float) -> HouseModel:
    """The house with its set points moved."""
    points = model.house.set_points
    night = None if points.night_heating is None else points.night_heating + by_K
    moved = {"heating": points.heating + by_K, "cooling": points.cooling + by_K, "night_heating": night}
    return replace(model, house=_with(model.house, "set_points", moved))


def brighter(model: HouseModel, times: float) -> HouseModel:
    """The house with its plug-in electricity scaled."""
    said = model.house.living
    return replace(model, house=_with(model.house, "living", {k: getattr(said, k) * times for k in PLUGGED}))


def _with(house: House, table: str, values: dict[str, Any]) -> House:
    return house.model_copy(update={table: getattr(house, table).model_copy(update=values)})


def shifted(weather: Weather, by_K: float) -> Weather:
    """The year with every hour colder or warmer, its relative humidity about kept."""
    return replace(weather, dry_bulb_C=weather.dry_bulb_C + by_K, dew_point_C=weather.dew_point_C + by_K)


def in_weather(asked: RunYear, weather: Weather) -> RunYear:
    """The same question in another year of weather."""
    return replace(asked, brings=weather_year(weather))


def hungrier(load: MeteredYear, times: float) -> MeteredYear:
    """The same year with the unit's own electricity scaled."""
    own = {use: watts * (times if use in ("heating", "cooling") else 1.0) for use, watts in load.uses_W.items()}
    return replace(load, uses_W=own)
