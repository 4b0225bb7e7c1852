"""What a dehumidifier must take out of a walked year beside the heat pump, and what it draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.place.place_record import EVERY_MONTH
from heatcalc.model.house_model import HouseModel
from heatcalc.model.year_drivers import WeatherYear, in_months
from heatcalc.model.year_sums import WayYear
from heatcalc.physics.air import moist_air

LIMIT, WET = 0.6, 0.8
WARM_HALF_C = 10.0
LEAST_W = 50.0  # less heat or cold in an hour says nothing about what more of it takes: own choice
LONG_MEAN, LONG_HOURS, WET_HOURS = 0.65, 30 * 24, 48.0
"""Thirty days above 65 % on the mean: the limit of ASHRAE 62.1 (2016) 5.9, from memory; two days above 80 %: own choice."""
PINT_L = 0.473176473
CLASSES = ((25.0, 1.30), (50.0, 1.60), (np.inf, 2.80))
"""Pints a day up to which, litres a kilowatt-hour at least: 10 CFR 430.32(v) for portable dehumidifiers of 2019, from memory."""
LEAST_PINTS = 22.0  # the smallest class in the trade: common practice, no source


@dataclass(frozen=True, eq=False)
class Damp:
    """Hours too humid with the unit in the loop while it is warm outdoors, and the water to take out to stay at 60 %."""

    above_60_h: float
    above_80_h: float
    worst_month: float  # largest mean relative humidity of any thirty days of it
    remove_kg_h: np.ndarray  # hour by hour
    most_kg_day: float

    @property
    def asks(self) -> bool:
        """Whether a dehumidifier is part of the plan."""
        return self.worst_month > LONG_MEAN or self.above_80_h > WET_HOURS

    @property
    def pints_day(self) -> float:
        """Rating of the dehumidifier: the dampest day's water, at least the smallest class."""
        return max(self.most_kg_day / PINT_L, LEAST_PINTS)

    @property
    def litres_per_kWh(self) -> float:
        """Least efficiency allowed of its class."""
        return next(factor for limit, factor in CLASSES if self.pints_day <= limit)

    @property
    def watts(self) -> float:
        """Its electric input while it runs, to the next ten watts."""
        return 10.0 * np.ceil(self.pints_day * PINT_L / 24.0 / self.litres_per_kWh * 100.0)

    @property
    def hourly_W(self) -> np.ndarray:
        """Mean watts of each hour."""
        return np.minimum(self.remove_kg_h / self.litres_per_kWh * 1000.0, self.watts)

    @property
    def heat_W(self) -> np.ndarray:
        """What it gives off to the room in each hour: its watts, and the heat of the water it has condensed."""
        return self.hourly_W * (1.0 + self.litres_per_kWh * moist_air.VAPORISATION / 3.6e6)


def toll_W(damp: Damp, way: WayYear) -> np.ndarray:
    """What a dehumidifier's heat makes the heat pump draw more in each hour in which it cools, and less while it heats.

    At the sensible watts a watt of that hour; in hours in which the heat pump rests the heat drifts into the house (own choice:
    the walk itself is left as it is).
    """
    line, heat = way.series, damp.heat_W
    cools, warms = line["cool_W"] > LEAST_W, line["heat_W"] > LEAST_W
    more = np.where(cools, heat / np.maximum(line["cool_W"], LEAST_W), 0.0)
    less = np.where(warms & ~cools, np.minimum(heat / np.maximum(line["heat_W"], LEAST_W), 1.0), 0.0)
    return (more - less) * line["unit_power_W"]


def damp_of(model: HouseModel, brings: WeatherYear, way: WayYear, months: tuple[int, ...] = EVERY_MONTH) -> Damp:
    """By the balance of water in the room: to hold 60 % takes what the air exchange carries at the humidity reached.

    months : those in which the house stands there
    """
    line, pressure = way.series, moist_air.pressure_at_altitude(model.elevation_m)
    indoor, relative, warm = line["indoor_C"], line["indoor_relative"], (brings.outdoor_C > WARM_HALF_C) & in_months(months)
    held = moist_air.humidity_ratio_from_relative(indoor, LIMIT, pressure)
    reached = moist_air.humidity_ratio_from_relative(indoor, relative, pressure)
    flow = np.asarray(model.air.moisture(indoor - brings.outdoor_C, brings.wind_m_s))
    density = 1.0 / moist_air.specific_volume(indoor, reached, pressure)
    remove = np.where(warm, 3600.0 * density * flow * np.maximum(reached - held, 0.0), 0.0)
    return Damp(
        float((warm & (relative > LIMIT)).sum()),
        float((warm & (relative > WET)).sum()),
        _longest_mean(np.where(warm, relative, 0.0), warm),
        remove,
        float(remove.reshape(-1, 24).sum(axis=1).max()),
    )


def _longest_mean(relative: np.ndarray, warm: np.ndarray) -> float:
    """Largest mean over thirty days that are warm for the most part."""
    hours, sums = (
        np.convolve(np.concatenate([x, x[:LONG_HOURS]]), np.ones(LONG_HOURS), "valid") for x in (warm.astype(float), relative)
    )
    return float(np.max(np.where(hours > LONG_HOURS / 2, sums / np.maximum(hours, 1.0), 0.0)))
