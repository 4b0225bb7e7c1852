"""Which choices nothing else beats: less is better in every column."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike


def dominated_by(costs: ArrayLike) -> list[tuple[int, ...]]:
    """For each row the rows that are at least as low in every column and lower in one.

    NaN in a column leaves that column out for the pairs it concerns.
    """
    table = np.asarray(costs, float)
    return [tuple(k for k in range(len(table)) if k != i and _beats(table[k], table[i])) for i in range(len(table))]


def _beats(one: np.ndarray, other: np.ndarray) -> bool:
    known = np.isfinite(one) & np.isfinite(other)
    near = 1e-9 * (1.0 + np.abs(other))
    return bool(np.all(one[known] <= (other + near)[known]) and np.any(one[known] < (other - near)[known]))


def front(costs: ArrayLike) -> np.ndarray:
    """True for the rows no other row dominates."""
    return np.array([not others for others in dominated_by(costs)], bool)
