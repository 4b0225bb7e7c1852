"""The fixed random sequence of a built year: the same 365 days of scores for every place and every machine.

Method: climate_data/README.md, built year (own).  Generator: Park and Miller, Communications of the ACM 31 (1988),
"minimal standard" x <- 16807 x mod (2^31 - 1) (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np

from heatcalc.physics.year.weather_statistics import MONTH_DAYS, MONTH_OF_DAY

START = 12345 * 14
MODULUS = 2**31 - 1
BLOCK, DROPPED = 425, 60
PERSISTENCE = (0.72, 0.30, 0.45, 0.30)  # temperature, clearness, dew point, wind: lag-1 of the daily scores
_NORMAL = NormalDist()


@dataclass(frozen=True)
class Scores:
    """365 daily normal scores, each ranked within its month: temperature, clearness, dew point, wind."""

    temperature: np.ndarray
    clearness: np.ndarray
    dew_point: np.ndarray
    wind: np.ndarray


def generator(count: int, start: int = START) -> list[int]:
    """The first `count` numbers of the minimal standard generator [-]."""
    numbers, x = [], start
    for _ in range(count):
        x = 16807 * x % MODULUS
        numbers.append(x)
    return numbers


def persistent(draws: np.ndarray, phi: float) -> np.ndarray:
    """First-order persistence z_i = phi z_(i-1) + sqrt(1 - phi^2) e_i from z_0 = 0 [-]."""
    kept, z = [], 0.0
    for e in draws.tolist():
        z = phi * z + (1.0 - phi * phi) ** 0.5 * e
        kept.append(z)
    return np.array(kept)


@cache
def quantile_scores(days: int) -> np.ndarray:
    """Normal scores of the ranks 0..days-1: inverse normal of (rank + 1/2)/days."""
    return np.array([_NORMAL.inv_cdf((rank + 0.5) / days) for rank in range(days)])


def rank_in_month(values: np.ndarray) -> np.ndarray:
    """Rank of each of 365 days within its month, from 0; ties in order of the date [-]."""
    order = np.lexsort((values, MONTH_OF_DAY))
    first = np.repeat(np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1])), MONTH_DAYS)
    ranks = np.empty(365, int)
    ranks[order] = np.arange(365) - first
    return ranks


def month_scores(values: np.ndarray) -> np.ndarray:
    """Each month's 28 to 31 values replaced by the normal scores of their ranks."""
    ranks = rank_in_month(values)
    return np.concatenate([quantile_scores(days)[ranks[m == MONTH_OF_DAY]] for m, days in enumerate(MONTH_DAYS, 1)])


@cache
def scores() -> Scores:
    """The sequence used for every place."""
    draws = np.array([_NORMAL.inv_cdf(x / MODULUS) for x in generator(4 * BLOCK)]).reshape(4, BLOCK)
    days = [persistent(block, phi)[DROPPED:] for block, phi in zip(draws, PERSISTENCE, strict=True)]
    return Scores(*(month_scores(block) for block in days))


def clearness_scores(found: Scores) -> np.ndarray:
    """Daily clearness scores u: clear days colder in winter and warmer in summer (fitted), ranked again."""
    rho = 0.07 + 0.25 * np.cos(2.0 * np.pi * (MONTH_OF_DAY - 7) / 12.0)
    return month_scores(rho * found.temperature + np.sqrt(1.0 - rho**2) * found.clearness)
