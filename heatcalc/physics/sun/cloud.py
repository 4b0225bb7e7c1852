"""Cloud where none was recorded, from how much sun came through.

Source: Kasten and Czeplak 1980, Solar Energy 24 (from memory).
"""

from __future__ import annotations

import numpy as np

UNKNOWN_CLOUD = 0.5
LEAST_CLEAR_W_m2 = 200.0  # sum of a day's clear hours below which the sun says nothing


def clear_sun(cos_zenith: np.ndarray) -> np.ndarray:
    """Global sun under a cloudless sky [W/m2]: 910 sin(h) - 30 (Kasten and Czeplak 1980, Solar Energy 24, from memory)."""
    return np.maximum(910.0 * cos_zenith - 30.0, 0.0)


def cloud_from_sun(ghi: np.ndarray, cos_zenith: np.ndarray) -> np.ndarray:
    """Cloud cover 0..1 of whole days, one value a day: G/G_clear = 1 - 0.75 N^3.4 (same source as `clear_sun`).

    Days with hardly any sun (polar night) take half cover.  Hours come in whole days.
    """
    clear, came = (x.reshape(-1, 24).sum(axis=1) for x in (clear_sun(cos_zenith), np.asarray(ghi, float)))
    known = clear > LEAST_CLEAR_W_m2
    lost = np.clip(1.0 - came / np.where(known, clear, 1.0), 0.0, 0.75)
    return np.repeat(np.where(known, (lost / 0.75) ** (1 / 3.4), UNKNOWN_CLOUD), 24)
