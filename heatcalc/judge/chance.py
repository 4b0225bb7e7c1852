"""How sure it is that a unit holds the house: uncertain inputs as cumulants, summed, for many cases at once.

What is missing at the design cold, load less capacity, is a sum of independent terms: the climate's own error, leakage and
wind, each group of parts as built, the unit's table, altitude, defrost.  Each term's mean, variance and third cumulant are
exact for its distribution (quadrature that is exact for polynomials); cumulants of independent terms add; a Cornish-Fisher
expansion turns the sum into a quantile and back (Abramowitz and Stegun 26.2.49).  Habits, a fan switched off or another set
point, are no uncertainty of the house and do not count.

A chance is no surer than its ranges.  A range known as well as n cases would give it leaves the mean of its term open by
variance / n and its variance by 2 variance^2 / n, as a normal sample does; both add over independent terms.  The standard error
of the sum's normal deviate z is then sqrt(of_mean / variance + z^2 of_width / (2 variance^2)), and the chances at
z -+ 1.96 such errors are its 95 % interval (delta method).  How many cases a range is worth is an own choice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cache
from math import erfc, sqrt
from statistics import NormalDist

import numpy as np

from heatcalc.model.fleet_learning import NOTHING_LEARNT, Ranges, general_range, moments

Array = np.ndarray
HERMITE, LEGENDRE = 9, 6
RANGE_CASES = 20.0
"""Houses a range of the table is worth: own choice; the studies behind leakage and fans had 93 and 70, common practice none.
A fleet's own houses come on top of them."""
CLIMATE_CASES = {"AK": 25.0, "HI": 8.0}
"""Places behind a sigma where they are few (tables/place_uncertainty.csv); elsewhere the fewest of a region."""
CLIMATE_CASES_ELSEWHERE = 69.0
INTERVAL_95, LEAST_CHANCE = 1.959963984540054, 1e-9


@dataclass(frozen=True)
class Spread:
    """The first three cumulants of a sum of independent terms [W, W2, W3], and how well they are known; arrays over cases.

    of_mean, of_width : sums of variance / n [W2] and of variance^2 / n [W4] over the terms, each known as well as n cases tell
    """

    mean: Array
    variance: Array
    third: Array
    of_mean: Array | float = 0.0
    of_width: Array | float = 0.0

    @classmethod
    def known(cls, mean: Array, variance: Array, third: Array, cases: Array | float) -> Spread:
        """One term whose range is known as well as so many cases would tell."""
        return cls(mean, variance, third, variance / cases, variance**2 / cases)

    def __add__(self, other: Spread) -> Spread:
        return Spread(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(Spread)))

    @classmethod
    def joined(cls, found: Sequence[Spread]) -> Spread:
        """Several of them, case after case."""
        return cls(*(np.concatenate([getattr(x, name) for x in found]) for name in (f.name for f in fields(cls))))

    def take(self, which: slice | Array) -> Spread:
        """Some of the cases."""
        return Spread(*(np.broadcast_to(getattr(self, f.name), self.mean.shape)[which] for f in fields(Spread)))

    def times(self, factor: Array | float) -> Spread:
        """The same terms, each multiplied by a factor."""
        squared = factor**2
        mean, variance, third = self.mean * factor, self.variance * squared, self.third * factor**3
        return Spread(mean, variance, third, self.of_mean * squared, self.of_width * squared**2)

    def quantile(self, sure: float) -> Array:
        """What the sum stays below with the chance `sure` (0..1), third-order Cornish-Fisher [W]."""
        z, sd = NormalDist().inv_cdf(sure), np.sqrt(self.variance)
        return self.mean + sd * (z + self._skew() / 6.0 * (z * z - 1.0))

    def chance_below(self, limit_W: Array | float) -> Array:
        """Chance (0..1) that the sum stays below a limit: `quantile` solved for it."""
        sd = np.sqrt(self.variance)
        x = (limit_W - self.mean) / np.maximum(sd, 1e-12)
        s = self._skew() / 6.0
        root = np.sqrt(np.maximum(1.0 + 4.0 * s * (x + s), 0.0))
        straight = np.abs(s) < 1e-9
        z = np.where(straight, x, (root - 1.0) / np.where(straight, 1.0, 2.0 * s))
        return np.where(sd > 1e-9, normal_below(z), (limit_W >= self.mean).astype(float))

    def between(self, chance: Array) -> tuple[Array, Array]:
        """The 95 % interval of a chance (0..1) of this sum by how well its terms are known."""
        z = normal_quantile(np.clip(chance, LEAST_CHANCE, 1.0 - LEAST_CHANCE))
        variance = np.maximum(self.variance, 1e-9)
        by = INTERVAL_95 * np.sqrt(self.of_mean / variance + 0.5 * z**2 * self.of_width / variance**2)
        return normal_below(z - by), normal_below(z + by)

    def _skew(self) -> Array:
        """Skewness, held where the expansion still rises with its quantile (|skew| below 1) [-]."""
        return np.clip(self.third / np.maximum(self.variance, 1e-18) ** 1.5, -0.9, 0.9)


_ERFC = np.frompyfunc(erfc, 1, 1)
_QUANTILE = np.frompyfunc(NormalDist().inv_cdf, 1, 1)


def normal_quantile(chance: Array) -> Array:
    """What a standard normal variable stays below with a chance (0..1, exclusive)."""
    return np.asarray(_QUANTILE(chance), float)


def normal_below(z: Array) -> Array:
    """Chance (0..1) that a standard normal variable stays below `z`."""
    return 0.5 * np.asarray(_ERFC(np.asarray(z) / -sqrt(2.0)), float)


def nothing(shape: tuple[int, ...]) -> Spread:
    """No uncertainty at all."""
    return Spread(*(np.zeros(shape) for _ in fields(Spread)))


def triangular(low: Array | float, middle: Array | float, high: Array | float, cases: Array | float = RANGE_CASES) -> Spread:
    """Cumulants of a triangular distribution (closed form: Kotz and van Dorp 2004, from memory)."""
    a, c, b = (np.asarray(x, float) for x in (low, middle, high))
    mean, variance = moments(a, c, b)
    third = (a + b - 2 * c) * (2 * a - b - c) * (a - 2 * b + c) / 270.0
    return Spread.known(mean, variance, third, cases)


def of_nodes(values: Array, weights: Array, cases: Array | float = RANGE_CASES) -> Spread:
    """Cumulants of what a function makes of an input, from its values at the nodes of a quadrature (last axis)."""
    mean = values @ weights
    apart = values - mean[..., None]
    return Spread.known(mean, apart**2 @ weights, apart**3 @ weights, cases)


@cache
def normal_nodes() -> tuple[Array, Array]:
    """Nodes [sigma] and weights for a normal input (Gauss-Hermite, exact to the 17th power)."""
    x, w = np.polynomial.hermite_e.hermegauss(HERMITE)
    return x, w / w.sum()


@cache
def triangle_nodes(low: float, middle: float, high: float) -> tuple[Array, Array]:
    """Nodes and weights for a triangular input: Gauss-Legendre on either side of its peak, exact to the tenth power."""
    x, w = np.polynomial.legendre.leggauss(LEGENDRE)
    share = 0.5 * (x + 1.0)
    nodes, weights = [], []
    for end in (low, high):
        if end != middle:
            nodes.append(end + (middle - end) * share)
            weights.append(w * share * abs(middle - end) / (high - low))
    return np.concatenate(nodes), np.concatenate(weights)


def factor_spread(name: str, watts: Array, learnt: Ranges = NOTHING_LEARNT) -> Spread:
    """A term of the load times an uncertain factor, less the term itself [W]; `learnt` ranges stand for the general ones."""
    usual, (triangle, houses) = general_range(name)[1], learnt.get(name, (general_range(name), 0))
    low, middle, high = (x - usual for x in triangle)
    return triangular(low, middle, high, RANGE_CASES + houses).times(watts)


def function_spread(name: str, watts_at: Callable[[float], Array], learnt: Ranges = NOTHING_LEARNT) -> Spread:
    """What a triangular input does through any function of it, beyond its usual value [W]; one call of the function a node."""
    triangle, houses = learnt.get(name, (general_range(name), 0))
    nodes, weights = triangle_nodes(*triangle)
    usual = watts_at(general_range(name)[1])
    return of_nodes(np.stack([watts_at(float(x)) - usual for x in nodes], axis=-1), weights, RANGE_CASES + houses)
