"""What an hourly record says about a climate: bad hours found and filled, percentiles, coincident wet bulb, ranges, degree-days,
bins.

Arrays are hours in order, missing is NaN; `month` is 1..12 for every hour, `day` any number that is one for all hours of a day.
Source of the method: climate_data/README.md, steps 1 to 3, after ASHRAE Handbook - Fundamentals ch. 14.
"""

from __future__ import annotations

import numpy as np

from heatcalc.physics.sun.sun import MONTH_DAYS

HOTTEST_C, COLDEST_C = 50.7, -62.0
OFF_MEDIAN_K, OVER_PERCENTILE_K = 14.0, 11.0
SHORT_GAP_H = 3
MOST_GAPS = 0.05


def rolling_median(values: np.ndarray, width: int = 9) -> np.ndarray:
    """Median of the `width` hours around each hour, the record mirrored at its ends; missing hours do not count."""
    half = width // 2
    padded = np.concatenate((values[half:0:-1], values, values[-2 : -half - 2 : -1]))
    windows = np.lib.stride_tricks.sliding_window_view(padded, width)
    known = np.isfinite(windows)
    count = known.sum(axis=1)
    ordered = np.sort(np.where(known, windows, np.inf), axis=1)
    row, low, high = np.arange(len(values)), np.maximum(count - 1, 0) // 2, count // 2
    middle = ordered[row, low] + ordered[row, np.minimum(high, width - 1)]
    return np.where(count > 0, np.where(np.isfinite(middle), middle, 0.0) / 2.0, np.nan)


def spikes(dry_bulb_C: np.ndarray) -> np.ndarray:
    """True where an hour cannot be real.

    More than 14 K from the 9-h median, above 50.7 C, below -62 C, or 11 K above the record's 99th percentile.
    """
    known = np.isfinite(dry_bulb_C)
    value = np.where(known, dry_bulb_C, 0.0)
    bad = (value > HOTTEST_C) | (value < COLDEST_C)
    top = np.quantile(value[known], 0.99) + OVER_PERCENTILE_K
    middle = rolling_median(dry_bulb_C)
    far = np.abs(value - np.where(np.isfinite(middle), middle, value)) > OFF_MEDIAN_K
    return known & (bad | far | (value > top))


def gaps(values: np.ndarray) -> list[tuple[int, int]]:
    """First and after-last index of every run of missing hours."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.isnan(values).astype(int), [0]))))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def filled(values: np.ndarray) -> tuple[np.ndarray, int, int]:
    """Gaps to 3 h by a straight line, longer ones by the same hour of neighbouring days; hours filled each way.

    Raises ValueError where nothing is known.
    """
    if not np.isfinite(values).any():
        raise ValueError("no hour is known")
    out, line, days = values.copy(), 0, 0
    for first, after in gaps(values):
        if after - first <= SHORT_GAP_H and first > 0 and after < len(values):
            out[first:after] = np.interp(np.arange(first, after), [first - 1, after], [values[first - 1], values[after]])
            line += after - first
        else:
            days += after - first
    for i in np.flatnonzero(np.isnan(out)):
        out[i] = _neighbour_days(values, int(i))
    return out, line, days


def _neighbour_days(values: np.ndarray, i: int) -> float:
    """Mean of the same hour on the nearest known days before and after; the record is closed to a ring."""
    size = len(values)
    around = []
    for step in (-24, 24):
        hour = next((j for n in range(1, size // 24 + 1) if np.isfinite(values[j := (i + n * step) % size])), None)
        around += [] if hour is None else [values[hour]]
    return float(np.mean(around)) if around else float(np.nanmean(values))


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
