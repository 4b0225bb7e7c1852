"""The two legs of a 120/240 V supply: 240 V loads on both, 120 V loads largest first on the emptier one."""

from __future__ import annotations

import numpy as np

Array = np.ndarray


def _shared_out(falling_A: Array) -> tuple[Array, Array]:
    """120 V loads from the largest down, each on the emptier leg: amperes of both legs, and which stand on the second.

    The usual greedy rule of balancing a panel; at worst it loads the fuller leg with 7/6 of the best sharing (from memory).
    """
    first, second = np.zeros(falling_A.shape[1:]), np.zeros(falling_A.shape[1:])
    there = np.zeros(falling_A.shape, bool)
    for k, amperes in enumerate(falling_A):
        there[k] = second < first
        first, second = first + np.where(there[k], 0.0, amperes), second + np.where(there[k], amperes, 0.0)
    return np.stack([first, second]), there


def on_second_leg(single_A: Array) -> Array:
    """Which of the 120 V loads (loads, ...) stand on the second leg."""
    order = np.argsort(-single_A, axis=0, kind="stable")
    second = np.zeros(single_A.shape, bool)
    np.put_along_axis(second, order, _shared_out(np.take_along_axis(single_A, order, axis=0))[1], axis=0)
    return second


def leg_sums(amperes: Array, both: Array) -> Array:
    """Amperes of the fuller and the other leg, (2, ...), of loads (loads, ...); `both` marks those on both legs."""
    single = np.where(both, 0.0, amperes)
    sides, _ = _shared_out(-np.sort(-single, axis=0))
    return np.where(both, amperes, 0.0).sum(axis=0) + np.sort(sides, axis=0)[::-1]
