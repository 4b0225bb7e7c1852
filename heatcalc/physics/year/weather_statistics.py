"""What an hourly record says about a climate: percentiles, coincident wet bulb, ranges, degree-days, bins.

Arrays are hours in order; `month` is 1..12 for every hour, `day` any number that is one for all hours of a day.
Source of the method: climate_data/README.md, steps 1 to 3, after ASHRAE Handbook - Fundamentals ch. 14.
"""

from __future__ import annotations

import numpy as np

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
HOURS = 8760
MONTH_OF_DAY = np.repeat(np.arange(1, 13), MONTH_DAYS)
MONTH_OF_HOUR = np.repeat(MONTH_OF_DAY, 24)
DAY_OF_HOUR = np.repeat(np.arange(1, 366), 24)
COINCIDENT_K = 0.6  # half width of the band around the design dry bulb


def heating_design_C(dry_bulb_C, share: float = 0.99) -> float:
    """Dry bulb that is exceeded in `share` of all hours [C]; linear between ranks.

    Definition: annual cumulative frequency, ASHRAE Handbook - Fundamentals ch. 14.
    """
    return float(np.quantile(dry_bulb_C, 1.0 - share))


def cooling_design_C(dry_bulb_C, share: float = 0.01) -> float:
    """Dry bulb that is exceeded in `share` of all hours [C]; definition as in `heating_design_C`."""
    return float(np.quantile(dry_bulb_C, 1.0 - share))


def coincident(dry_bulb_C, design_C: float) -> np.ndarray:
    """Mask of the hours within 0.6 K of the design dry bulb, else the nearest (method step 2, for the coincident wet bulb)."""
    away = np.abs(np.asarray(dry_bulb_C) - design_C)
    near = away <= COINCIDENT_K
    return near if near.any() else away == away.min()


def by_day(values, day, reduce) -> np.ndarray:
    """`reduce` ("mean", "max" or "min") of each day [unit of the values], one a day in order of their number."""
    order = np.unique(day, return_inverse=True)[1]
    if reduce == "mean":
        return np.bincount(order, values) / np.bincount(order)
    best = np.full(order.max() + 1, -np.inf)
    sign = 1.0 if reduce == "max" else -1.0
    np.maximum.at(best, order, sign * np.asarray(values))
    return sign * best


def first_of_day(values, day) -> np.ndarray:
    """The value at the first hour of each day, one a day (the day's month, say) [unit of the values]."""
    return np.asarray(values)[np.unique(day, return_index=True)[1]]


def monthly_mean(values, month) -> np.ndarray:
    """Mean of each of the twelve months [unit of the values]; NaN where a month has no value."""
    totals = np.bincount(month, values, minlength=13)[1:]
    counts = np.bincount(month, minlength=13)[1:]
    return np.divide(totals, counts, out=np.full(12, np.nan), where=counts > 0)


def monthly_spread(daily_mean, month_of_day) -> np.ndarray:
    """Standard deviation of the daily means within each of twelve months [unit of the means] (of a sample: divided by n - 1)."""
    mean = monthly_mean(daily_mean, month_of_day)[np.asarray(month_of_day) - 1]
    days = np.bincount(month_of_day, minlength=13)[1:]
    return np.sqrt(monthly_mean((daily_mean - mean) ** 2, month_of_day) * days / np.maximum(days - 1, 1))


def hottest_month_range_K(dry_bulb_C, month, day) -> float:
    """Mean of daily maximum minus minimum in the month with the highest mean [K] (method step 2)."""
    hottest = int(np.nanargmax(monthly_mean(dry_bulb_C, month))) + 1
    of_day = first_of_day(month, day) == hottest
    spans = by_day(dry_bulb_C, day, "max") - by_day(dry_bulb_C, day, "min")
    return float(np.mean(spans[of_day]))


def degree_days_Kd(daily_mean_C, base_C: float, heating: bool, years: float = 1.0) -> float:
    """Degree-days of a year [K d] from daily means: sum of max(0, base - mean), or mean - base for cooling."""
    apart = base_C - np.asarray(daily_mean_C) if heating else np.asarray(daily_mean_C) - base_C
    return float(np.maximum(apart, 0.0).sum() / years)


def bin_hours(dry_bulb_C, first_edge_C: float, width_K: float, count: int) -> np.ndarray:
    """Hours [h] in `count` bins of equal width [K], lower edge inclusive; hours outside are not counted."""
    place = np.floor((np.asarray(dry_bulb_C) - first_edge_C) / width_K + 1e-9).astype(int)
    return np.bincount(place[(place >= 0) & (place < count)], minlength=count)


def rebinned(lower_edges_C, hours, width_K: float, edges_C) -> np.ndarray:
    """Hours [h] of bins spread onto other edges [C], even within each bin; one fewer than the edges."""
    low = np.asarray(lower_edges_C)
    points = np.append(low, low[-1] + width_K)
    cumulative = np.concatenate(([0.0], np.cumsum(hours)))
    return np.diff(np.interp(edges_C, points, cumulative))
