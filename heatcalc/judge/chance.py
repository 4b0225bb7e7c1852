"""How sure it is that a unit holds the house: uncertain inputs as cumulants, summed, for many cases at once.

What is missing at the design cold, load less capacity, is a sum of independent terms: the climate's own error, leakage and
wind, each group of parts as built, the unit's table, altitude, defrost.  Each term's mean, variance and third cumulant are
exact for its distribution (quadrature that is exact for polynomials); cumulants of independent terms add; a Cornish-Fisher
expansion turns the sum into a quantile and back (Abramowitz and Stegun 26.2.49).  Habits, a fan switched off or another set
point, are no uncertainty of the house and do not count.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import erfc, sqrt
from statistics import NormalDist

import numpy as np

from heatcalc.model.fleet import NOTHING_LEARNT, Range, general_range

Array = np.ndarray
TEN_PERCENT_POINT = 1.2815515655446004
HERMITE, LEGENDRE = 9, 6


@dataclass(frozen=True)
class Spread:
    """The first three cumulants of a sum of independent terms [W, W2, W3]; arrays over cases."""

    mean: Array
    variance: Array
    third: Array

    def __add__(self, other: Spread) -> Spread:
        return Spread(self.mean + other.mean, self.variance + other.variance, self.third + other.third)

    @classmethod
    def joined(cls, found: Sequence[Spread]) -> Spread:
        """Several of them, case after case."""
        return cls(*(np.concatenate([getattr(x, name) for x in found]) for name in ("mean", "variance", "third")))

    def times(self, factor: Array | float) -> Spread:
        """The same terms, each multiplied by a factor."""
        return Spread(self.mean * factor, self.variance * factor**2, self.third * factor**3)

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

    def _skew(self) -> Array:
        """Skewness, held where the expansion still rises with its quantile (|skew| below 1) [-]."""
        return np.clip(self.third / np.maximum(self.variance, 1e-18) ** 1.5, -0.9, 0.9)


_ERFC = np.frompyfunc(erfc, 1, 1)


def normal_below(z: Array) -> Array:
    """Chance (0..1) that a standard normal variable stays below `z`."""
    return 0.5 * np.asarray(_ERFC(np.asarray(z) / -sqrt(2.0)), float)


def nothing(shape: tuple[int, ...]) -> Spread:
    """No uncertainty at all."""
    return Spread(np.zeros(shape), np.zeros(shape), np.zeros(shape))


def triangular(low: Array | float, middle: Array | float, high: Array | float) -> Spread:
    """Cumulants of a triangular distribution (closed form: Kotz and van Dorp 2004, from memory)."""
    a, c, b = (np.asarray(x, float) for x in (low, middle, high))
    variance = (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0
    third = (a + b - 2 * c) * (2 * a - b - c) * (a - 2 * b + c) / 270.0
    return Spread((a + b + c) / 3.0, variance, third)


def of_nodes(values: Array, weights: Array) -> Spread:
    """Cumulants of what a function makes of an input, from its values at the nodes of a quadrature (last axis)."""
    mean = values @ weights
    apart = values - mean[..., None]
    return Spread(mean, apart**2 @ weights, apart**3 @ weights)


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


def factor_spread(name: str, watts: Array, learnt: Mapping[str, Range] = NOTHING_LEARNT) -> Spread:
    """A term of the load times an uncertain factor, less the term itself [W]; `learnt` ranges stand for the general ones."""
    usual = general_range(name)[1]
    low, middle, high = (x - usual for x in learnt.get(name, general_range(name)))
    return triangular(low, middle, high).times(watts)


def function_spread(name: str, watts_at: Callable[[float], Array], learnt: Mapping[str, Range] = NOTHING_LEARNT) -> Spread:
    """What a triangular input does through any function of it, beyond its usual value [W]; one call of the function a node."""
    nodes, weights = triangle_nodes(*learnt.get(name, general_range(name)))
    usual = watts_at(general_range(name)[1])
    return of_nodes(np.stack([watts_at(float(x)) - usual for x in nodes], axis=-1), weights)
