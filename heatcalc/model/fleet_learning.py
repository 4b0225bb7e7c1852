"""What a shop's delivered houses teach about the next one: ranges of leakage and of heat loss, updated in closed form.

The ratio of measured to stated is lognormal.  A shop has a level of its own, unknown, and its houses scatter about it; the
general range (tables/uncertain_inputs.csv) is both together.  With a normal prior for the level and a known scatter the
posterior of the level is normal, and the next house's ratio is lognormal again (conjugate update: Gelman et al., Bayesian
Data Analysis, 2.5, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import numpy as np

from heatcalc.inputs.house.house_pieces import Fleet
from heatcalc.model.parts import losing_inputs
from heatcalc.tables import rows

Range = tuple[float, float, float]
Ranges = Mapping[str, tuple[Range, int]]  # by name of the input: the range, and how many of the shop's houses moved it
NOTHING_LEARNT: Ranges = {}
LEAST = 5  # houses from which something is learnt: own choice
LEVEL = 0.5  # share of the general range's variance that is the shop's level, the rest from house to house: own choice
LIKE = {"leaks": "leaks", "loss": "walls"}  # the row of the table whose range stands before anything is learnt
TEN_PERCENT_POINT = 1.2815515655446004


@dataclass(frozen=True, kw_only=True)
class Lognormal:
    """A factor whose logarithm is normal."""

    mean_ln: float
    variance_ln: float

    @property
    def mean(self) -> float:
        """Mean of the factor [-]."""
        return float(np.exp(self.mean_ln + self.variance_ln / 2.0))

    @property
    def sd(self) -> float:
        """Its standard deviation [-]."""
        return float(self.mean * np.sqrt(np.expm1(self.variance_ln)))

    @property
    def points(self) -> Range:
        """What 10, 50 and 90 of 100 houses stay below [-]."""
        by = TEN_PERCENT_POINT * np.sqrt(self.variance_ln)
        return float(np.exp(self.mean_ln - by)), float(np.exp(self.mean_ln)), float(np.exp(self.mean_ln + by))


@dataclass(frozen=True, kw_only=True)
class Learnt:
    """One quantity of a fleet: how many houses, the next house's factor before and after; the same where they are too few."""

    what: str  # "leaks" or "loss"
    n: int
    before: Lognormal
    after: Lognormal


@dataclass(frozen=True)
class Lessons:
    """What a fleet teaches; `ranges` replace rows of tables/uncertain_inputs.csv of the same name."""

    learnt: tuple[Learnt, ...]

    @cached_property
    def ranges(self) -> Ranges:
        """Low, middle and high of every input whose range moved, its mean and its width as much as the fleet's; the houses."""
        found: dict[str, tuple[Range, int]] = {}
        for one in self.learnt:
            if one.n >= LEAST:
                for name in ("leaks",) if one.what == "leaks" else losing_inputs():
                    found[name] = moved_range(general_range(name), one), one.n
        return found


def lessons(fleet: Fleet) -> Lessons:
    """What a fleet teaches about the next house."""
    return Lessons(tuple(learn(what, getattr(fleet, what)) for what in LIKE))


def learn(what: str, ratios: tuple[float, ...]) -> Learnt:
    """The next house's factor before and after `ratios` of measured to stated [-]."""
    before, n = as_lognormal(general_range(LIKE[what])), len(ratios)
    level, scatter = LEVEL * before.variance_ln, (1.0 - LEVEL) * before.variance_ln
    if n < LEAST:
        return Learnt(what=what, n=n, before=before, after=before)
    left = 1.0 / (1.0 / level + n / scatter)
    mean = left * (before.mean_ln / level + float(np.sum(np.log(ratios))) / scatter)
    return Learnt(what=what, n=n, before=before, after=Lognormal(mean_ln=mean, variance_ln=left + scatter))


@cache
def general_range(name: str) -> Range:
    """Low, middle and high of a row of tables/uncertain_inputs.csv."""
    row = next(r for r in rows("uncertain_inputs") if r["name"] == name)
    return float(row["low"]), float(row["middle"]), float(row["high"])


def as_lognormal(triangle: Range) -> Lognormal:
    """The lognormal with the mean and the variance of a triangular range."""
    mean, variance = moments(*triangle)
    inside = np.log1p(variance / mean**2)
    return Lognormal(mean_ln=float(np.log(mean) - inside / 2.0), variance_ln=float(inside))


def moments(low: Any, middle: Any, high: Any) -> tuple[Any, Any]:
    """Mean and variance of a triangular range, numbers or arrays (closed form: Kotz and van Dorp 2004, from memory)."""
    a, c, b = low, middle, high
    return (a + b + c) / 3.0, (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0


def moved_range(triangle: Range, learnt: Learnt) -> Range:
    """A triangular range with its mean and its width moved as those of the fleet's factor."""
    mean, wider = sum(triangle) / 3.0, learnt.after.sd / learnt.before.sd
    centre = mean * learnt.after.mean / learnt.before.mean
    low, middle, high = (max(centre + wider * (x - mean), 0.01) for x in triangle)
    return low, middle, high
