"""The two legs of a 120/240 V supply, for many cases at once."""

from __future__ import annotations

import numpy as np

Array = np.ndarray


def leg_sums(amperes: Array, both: Array, leg: Array | None = None) -> Array:
    """Amperes of the fuller and the other leg, (2, ...), of loads (loads, ...); `both` marks those on both legs.

    120 V loads go from the largest down, each on the emptier leg: the usual rule of balancing a panel, at worst 7/6 of the
    best sharing (from memory).

    leg : (loads,) 1 or 2 where a load is wired to one, 0 where the emptier leg takes it
    """
    stays = np.zeros(len(amperes), int) if leg is None else leg
    wired = amperes[stays == 1].sum(axis=0), amperes[stays == 2].sum(axis=0)
    single = np.where(both | (stays > 0).reshape(-1, *(1,) * (amperes.ndim - 1)), 0.0, amperes)
    first, second = (np.zeros(single.shape[1:]) + side for side in wired)
    for row in -np.sort(-single, axis=0):
        there = second < first
        first, second = first + np.where(there, 0.0, row), second + np.where(there, row, 0.0)
    return np.where(both, amperes, 0.0).sum(axis=0) + np.stack([np.maximum(first, second), np.minimum(first, second)])
