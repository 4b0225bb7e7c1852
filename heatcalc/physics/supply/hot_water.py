"""Hot water: temperature of the mains through the year, what a tank takes to give it, and how fast it recovers.

Sources: mains by Burch and Christensen 2007 (Towards Development of an Algorithm for Mains Water Temperature; offset and
amplitude in its abstract, the rest from memory); a tank's day by Lutz et al. 1998 (WHAM: A Simplified Energy Consumption
Equation for Water Heaters); the rest by an energy balance.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

WATER_J_m3K = 998.2 * 4186.8  # cold: 8.33 lb/gal, 1 Btu/lb F, as the trade's recovery tables take it
HOT_WATER_J_m3K = 987.4 * 4186.8  # drawn at 125 F: 8.24 lb/gal, as the federal test weighs it
DRAWABLE = 0.7  # share of a tank that comes out hot: the trade's first-hour rule
FREEZING_C = 0.5


def mains_temperature(day: ArrayLike, mean_C: float, swing_K: float) -> np.ndarray:
    """Temperature of the water mains on days of the year, 0 to 365 [degC].

    T = (mean + 6 F) + r (swing/2) sin(0.986 (day - 15 - lag) - 90 deg), r = 0.4 + 0.01 (mean - 44 F) and
    lag = 35 - (mean - 44 F) days, in Fahrenheit; `mean_C` is the year's mean outdoor air, `swing_K` warmest less coldest
    month (Burch and Christensen 2007).  Not below freezing.
    """
    mean_F = 32.0 + 1.8 * mean_C
    ratio, lag = 0.4 + 0.01 * (mean_F - 44.0), 35.0 - (mean_F - 44.0)
    turn = np.radians(0.986 * (np.asarray(day, float) - 15.0 - lag) - 90.0)
    found_F = mean_F + 6.0 + ratio * 0.5 * 1.8 * swing_K * np.sin(turn)
    return np.maximum((found_F - 32.0) / 1.8, FREEZING_C)


def recovery_flow(power_W: float, efficiency: float, rise_K: float) -> float:
    """Water a heater brings up by `rise_K` [m3/s]: P eta / (rho c rise), an energy balance.  ValueError for no rise."""
    if rise_K <= 0:
        raise ValueError("recovery needs a rise above zero")
    return power_W * efficiency / (WATER_J_m3K * rise_K)


def tank_day(
    drawn_m3: float, inlet_C: float, tank_C: float, efficiency: float, standby_W_K: float, around_C: float, power_W: float
) -> float:
    """Energy a storage water heater takes a day [J]: V rho c (T - Tin)/RE (1 - UA (T - Ta)/Pon) + 24 h UA (T - Ta).

    Lutz et al. 1998; while it heats, standby is part of its recovery, hence the bracket.
    """
    loss_W = standby_W_K * (tank_C - around_C)
    heat = drawn_m3 * HOT_WATER_J_m3K * (tank_C - inlet_C) / efficiency
    return heat * (1.0 - loss_W / power_W) + 86_400.0 * loss_W


def heater_hours(need_W: np.ndarray, most_W: ArrayLike) -> np.ndarray:
    """Heat a tank's heater gives each hour [W], shape of `need_W`: what is drawn and lost, later where it cannot keep up.

    The heat that is missing from a full tank is a queue: m' = max(m + need - most, 0) (energy balance).
    """
    net = np.cumsum(need_W - np.broadcast_to(most_W, need_W.shape))
    missing = net - np.minimum(np.minimum.accumulate(net), 0.0)
    return need_W - np.diff(missing, prepend=0.0)


def cold_water_minutes(need_W: np.ndarray, most_W: np.ndarray, drawn_W: np.ndarray, drawable_J: float) -> np.ndarray:
    """Minutes of draws in each hour that find no hot water, by the same balance with a tank that can be empty (hours).

    What is drawn beyond the tank's heat comes out cold and is not made up later.
    """
    missing, cold = 0.0, np.zeros(len(need_W))
    for hour, (need, most, drawn) in enumerate(zip(need_W.tolist(), most_W.tolist(), drawn_W.tolist(), strict=True)):
        missing = max(missing + 3600.0 * (need - most), 0.0)
        if missing > drawable_J:
            short = min(missing - drawable_J, 3600.0 * drawn)
            cold[hour] = 60.0 * short / (3600.0 * drawn) if drawn > 0 else 0.0
            missing = drawable_J
    return cold
