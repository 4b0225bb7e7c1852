"""Hours of temperature, dew point and wind from monthly statistics.

Method: climate_data/README.md, built year; "fitted" = from 220 TMY3 stations, "own" = the project's choice, tested.
Time: hour i (0..8759) carries the reading at its stamp i + 1.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from heatcalc.physics.sun.sun import declination_deg, equation_of_time_min, sunset_hour_angle_deg
from heatcalc.physics.year.weather_statistics import MONTH_DAYS, MONTH_OF_DAY, MONTH_OF_HOUR, monthly_mean
from heatcalc.physics.year.year_sequence import Scores, month_scores
from heatcalc.tables import rows

DAYS = np.arange(1, 366)
STAMP_H = np.arange(1.0, 8761.0)
NOON_H = 24.0 * np.arange(365) + 12.0
CLOCK_H = np.tile(np.arange(1.0, 25.0), 365).reshape(365, 24)
LEAST_RANGE_K = 0.5
LEAST_HALF_DAY_H = 1.0  # keeps the day's shape defined in polar night and day


@cache
def _trend_weights() -> np.ndarray:
    """365 x 12: straight lines between mid-months, the year closed to a ring."""
    middle = np.cumsum(MONTH_DAYS) - np.array(MONTH_DAYS) / 2.0
    at = DAYS - 0.5
    return np.column_stack([np.interp(at, middle, unit, period=365.0) for unit in np.eye(12)])


def trend(monthly_means) -> np.ndarray:
    """365 daily values on straight lines between knots that are moved until every monthly mean holds [degC]."""
    weights = _trend_weights()
    by_month = np.array([weights[m == MONTH_OF_DAY].mean(axis=0) for m in range(1, 13)])
    return weights @ np.linalg.solve(by_month, np.asarray(monthly_means, float))


def noon_to_noon(daily) -> np.ndarray:
    """8,760 hours on straight lines from each day's noon to the next, the year closed to a ring."""
    return np.interp(STAMP_H, NOON_H, daily, period=8760.0)


def daily_means(mean_C, spread_K, found: Scores) -> np.ndarray:
    """Trend plus persistent departures whose variance with the trend's is the month's (at least (0.3 s)^2) [degC]."""
    line, spread = trend(mean_C), np.asarray(spread_K, float)
    within = monthly_mean((line - monthly_mean(line, MONTH_OF_DAY)[MONTH_OF_DAY - 1]) ** 2, MONTH_OF_DAY)
    own = np.sqrt(np.maximum(spread**2 - within, (0.3 * spread) ** 2))
    z = found.temperature
    z = z / np.sqrt(monthly_mean(z**2, MONTH_OF_DAY))[MONTH_OF_DAY - 1]  # the scores' mean is 0 by symmetry
    return line + z * own[MONTH_OF_DAY - 1]


def daily_ranges(range_K, spread_K, clearness: np.ndarray, has_bins: bool) -> np.ndarray:
    """Daily range: the share of the mean range that follows the clock (fitted), wider on clear days."""
    mean_range = np.maximum(np.asarray(range_K, float), LEAST_RANGE_K)
    share = np.clip(1.0 - 0.63 * np.asarray(spread_K) / mean_range, 0.35, 1.0) if has_bins else np.ones(12)
    wider = 1.0 + 0.17 * clearness / np.maximum(share, 0.5)[MONTH_OF_DAY - 1]
    return np.maximum((share * mean_range)[MONTH_OF_DAY - 1] * wider, LEAST_RANGE_K)


def day_shape(lat: float, lon: float, utc_offset_h: float) -> np.ndarray:
    """365 x 24, range 1, mean 0: half cosine from sunrise to 2 h after solar noon, slower fall to the next sunrise."""
    noon = 12.0 - equation_of_time_min(DAYS) / 60.0 - (lon / 15.0 - utc_offset_h)
    half = np.clip(sunset_hour_angle_deg(lat, declination_deg(DAYS)) / 15.0, LEAST_HALF_DAY_H, 12.0 - LEAST_HALF_DAY_H)
    rise = np.minimum(2.0, 0.75 * half) + half
    since = (CLOCK_H - (noon - half)[:, None]) % 24.0
    up, fall = since / rise[:, None], np.maximum(since - rise[:, None], 0.0) / (24.0 - rise)[:, None]
    shape = np.where(up < 1.0, -0.5 * np.cos(np.pi * up), 0.5 * np.cos(np.pi * fall**0.75))
    return shape - shape.mean(axis=1, keepdims=True)


def held_to_means(hours: np.ndarray, monthly) -> np.ndarray:
    """Each month shifted to its mean [degC]."""
    return hours + (np.asarray(monthly) - monthly_mean(hours, MONTH_OF_HOUR))[MONTH_OF_HOUR - 1]


def pchip_slopes(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Slopes of the monotone cubic of Fritsch and Butland: harmonic means inside, three-point ends [y per x].

    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory); tested against scipy.
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    if len(d) == 1:
        return np.array([d[0], d[0]])
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    monotone = d[:-1] * d[1:] > 0.0
    safe = np.where(monotone, d[:-1], 1.0), np.where(monotone, d[1:], 1.0)
    inside = np.where(monotone, (w1 + w2) / (w1 / safe[0] + w2 / safe[1]), 0.0)
    return np.concatenate(([_end_slope(h[0], h[1], d[0], d[1])], inside, [_end_slope(h[-1], h[-2], d[-1], d[-2])]))


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if slope * d0 <= 0.0:
        return 0.0
    return 3.0 * d0 if d0 * d1 < 0.0 and abs(slope) > 3.0 * abs(d0) else slope


def pchip(x: np.ndarray, y: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The monotone cubic through (x, y), x strictly rising, evaluated within its range [unit of y]."""
    slopes = pchip_slopes(x, y)
    i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    h = x[i + 1] - x[i]
    t = (at - x[i]) / h
    return (
        y[i] * (1 + 2 * t) * (1 - t) ** 2
        + slopes[i] * h * t * (1 - t) ** 2
        + y[i + 1] * t * t * (3 - 2 * t)
        + slopes[i + 1] * h * t * t * (t - 1)
    )


def quantiles_of_bins(lower_edges_C, hours, width_K: float) -> np.ndarray:
    """Temperatures of the ranks 0..n-1 of a month: the curve through cumulative hours and bin edges at rank + 1/2.

    Monotone cubic; straight lines if an inner bin is empty.
    """
    filled = np.flatnonzero(np.asarray(hours) > 0)
    counts = np.asarray(hours)[filled[0] : filled[-1] + 1]
    edges = np.asarray(lower_edges_C)[filled[0]] + width_K * np.arange(len(counts) + 1)
    cumulative = np.concatenate(([0.0], np.cumsum(counts)))
    at = np.arange(int(cumulative[-1])) + 0.5
    return np.interp(at, cumulative, edges) if (counts == 0).any() else pchip(cumulative, edges, at)


def mapped_to_bins(hours_C: np.ndarray, bins) -> np.ndarray:
    """In each month the hour of rank r gets the r-th temperature of the month's bins (lower edges, hours, width)."""
    mapped = np.empty(8760)
    for m, (edges, counts, width) in enumerate(bins, 1):
        of_month = np.flatnonzero(m == MONTH_OF_HOUR)
        mapped[of_month[np.argsort(hours_C[of_month], kind="stable")]] = quantiles_of_bins(edges, counts, width)
    return mapped


def hourly_dry_bulb(means: np.ndarray, ranges: np.ndarray, shape: np.ndarray, mean_C, bins=None) -> np.ndarray:
    """8,760 dry bulbs [C]: daily means and ranges with the day's shape, mapped to the bins, months held to their means."""
    hours = held_to_means(noon_to_noon(means) + noon_to_noon(ranges) * shape.ravel(), mean_C)
    return hours if bins is None else held_to_means(mapped_to_bins(hours, bins), mean_C)


def hourly_dew_point(dry_bulb_C: np.ndarray, dew_C, mean_C, clearness: np.ndarray, found: Scores) -> np.ndarray:
    """8,760 dew points [C]: follow the day's temperature, spread wider where dry (fitted), below the dry bulb."""
    dew, gap = np.asarray(dew_C, float), np.asarray(mean_C, float) - np.asarray(dew_C, float)
    follow = np.clip(1.0 - 0.07 * (gap - 5.0), 0.2, 1.0)[MONTH_OF_DAY - 1]
    sigma = (np.clip(0.7 + 0.29 * gap, 0.7, 3.6) * np.where(np.asarray(mean_C) > 20.0, 0.8, 1.0))[MONTH_OF_DAY - 1]
    n = month_scores(-0.45 * clearness + 0.893 * found.dew_point)
    day_C = dry_bulb_C.reshape(365, 24).mean(axis=1)
    daily = dew[MONTH_OF_DAY - 1] + follow * (day_C - np.asarray(mean_C)[MONTH_OF_DAY - 1]) + sigma * n
    hours, ceiling = noon_to_noon(daily), dry_bulb_C - 0.1
    for _ in range(6):
        hours = held_to_means(np.minimum(hours, ceiling), dew)
    return np.minimum(hours, ceiling)


def hourly_wind(mean_m_s: float, found: Scores) -> np.ndarray:
    """8,760 wind speeds [m/s]: the year's mean times month, hour (fitted) and day factors, scaled to the mean."""
    factor = {
        kind: np.array([float(r["factor"]) for r in rows("built_year_wind") if r["kind"] == kind]) for kind in ("month", "hour")
    }
    days = factor["month"][MONTH_OF_DAY - 1] * np.exp(0.45 * found.wind - 0.10)
    hours = (days[:, None] * factor["hour"]).ravel()
    return mean_m_s * hours / hours.mean()
