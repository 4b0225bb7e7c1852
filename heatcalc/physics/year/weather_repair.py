"""Finding and filling bad hours of a record (climate_data/README.md, method step 1).

Missing is NaN.  A record is hours in order, one value each.
"""

from __future__ import annotations

import numpy as np

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
