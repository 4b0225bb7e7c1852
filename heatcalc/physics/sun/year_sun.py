"""Hours of sun from monthly means: days between dull and clear, hours within the day, beam and diffuse.

Sources as climate_data/README.md lists them: Bendt, Collares-Pereira and Rabl (1981), Hollands and Huget (1983),
Erbs, Klein and Duffie (1982), Collares-Pereira and Rabl (1979), numbered as in Duffie and Beckman, Solar Engineering
of Thermal Processes, 5th ed. (equations second-hand).  Hour i (0..8759) ends at its stamp i + 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.sun.sun import declination_deg, hour_angle_deg, sunset_hour_angle_deg
from heatcalc.physics.year.weather_statistics import MONTH_DAYS, MONTH_OF_DAY, monthly_mean
from heatcalc.physics.year.year_sequence import rank_in_month

SOLAR_CONSTANT = 1367.0  # W/m2
SUB_STEPS = 6
DULLEST = 0.05
NO_SUN = 0.02
LEAST_COSINE, MOST_BEAM = 0.02, 1000.0
DAYS = np.arange(1, 366)


@dataclass(frozen=True)
class Outside:
    """The sun outside the air through the year: hours x sub-steps reduced to what the recipe needs."""

    hourly: np.ndarray  # 365 x 24, W/m2 on the horizontal, mean of the hour
    mean_cosine: np.ndarray  # 365 x 24, of the zenith angle while the sun is up
    hour_angle_deg: np.ndarray  # 365 x 24, in the middle of the hour
    sunset_deg: np.ndarray  # 365
    daily_kWh: np.ndarray  # 365


def outside(lat: float, lon: float, utc_offset_h: float) -> Outside:
    """Extraterrestrial sun on the horizontal; hours in standard time."""
    lag = (np.arange(SUB_STEPS) + 0.5) / SUB_STEPS
    clock = np.arange(24.0)[:, None] + lag
    angle = np.radians(hour_angle_deg(lon, utc_offset_h, DAYS[:, None, None], clock))
    la, d = np.radians(lat), np.radians(declination_deg(DAYS))[:, None, None]
    cosine = np.maximum(np.sin(la) * np.sin(d) + np.cos(la) * np.cos(d) * np.cos(angle), 0.0)
    normal = SOLAR_CONSTANT * (1.0 + 0.033 * np.cos(2.0 * np.pi * DAYS / 365.0))[:, None]
    lit = (cosine > 0.0).sum(axis=2)
    middle = hour_angle_deg(lon, utc_offset_h, DAYS[:, None], np.arange(24.0) + 0.5)
    hourly = normal * cosine.mean(axis=2)
    return Outside(
        hourly,
        cosine.sum(axis=2) / np.maximum(lit, 1),
        middle,
        sunset_hour_angle_deg(lat, declination_deg(DAYS)),
        hourly.sum(axis=1) / 1000.0,
    )


def mean_share(x):
    """Where between its ends (0..1) an exponential distribution of steepness x has its mean: 1/(1 - e^-x) - 1/x."""
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    return np.where(small, 0.5 + x / 12.0, -1.0 / np.expm1(-safe) - 1.0 / safe)


def steepness(share: np.ndarray) -> np.ndarray:
    """x with `mean_share(x)` = share, by bisection between -300 and 300."""
    low, high = np.full(share.shape, -300.0), np.full(share.shape, 300.0)
    for _ in range(60):
        middle = (low + high) / 2.0
        below = mean_share(middle) < share
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return (low + high) / 2.0


def clearest(mean_clearness: np.ndarray) -> np.ndarray:
    """The clearest day of a month: 0.6313 + 0.267 K - 11.9 (K - 0.75)^8 (eq. 2.9.6); no last term at K <= 0.25 (own) [-]."""
    k = mean_clearness
    last = np.where(k > 0.25, 11.9 * (k - 0.75) ** 8, 0.0)
    return np.maximum(0.6313 + 0.267 * k - last, k + 0.05)


def daily_clearness(mean_clearness: np.ndarray, clearness_scores: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """365 clearness indices by the quantiles of the month's distribution (eqs. 2.9.4, 2.9.5), and each day's ceiling."""
    k = np.clip(mean_clearness, 0.12, 0.78)
    top = clearest(k)
    x = steepness((k - DULLEST) / (top - DULLEST))[MONTH_OF_DAY - 1]
    f = (rank_in_month(clearness_scores) + 0.5) / np.array(MONTH_DAYS)[MONTH_OF_DAY - 1]
    width = (top - DULLEST)[MONTH_OF_DAY - 1]
    flat = np.abs(x) < 1e-6
    safe = np.where(flat, 1.0, x)
    share = np.where(flat, f, np.logaddexp(np.log1p(-f), np.log(f) + safe) / safe)
    return DULLEST + width * share, top[MONTH_OF_DAY - 1] + 0.03


def daily_sun(ghi_kWh_m2_day, sky: Outside, clearness_scores: np.ndarray) -> np.ndarray:
    """365 sums on the horizontal [kWh/m2] whose monthly means are given; months below K = 0.02 have none."""
    wanted = np.asarray(ghi_kWh_m2_day, float)
    above = monthly_mean(sky.daily_kWh, MONTH_OF_DAY)
    mean_k = np.divide(wanted, above, out=np.zeros(12), where=above > 0.0)
    wanted = np.where(mean_k < NO_SUN, 0.0, wanted)
    k, ceiling = daily_clearness(mean_k, clearness_scores)
    for _ in range(12):
        now = monthly_mean(k * sky.daily_kWh, MONTH_OF_DAY)
        scale = np.divide(wanted, now, out=np.zeros(12), where=now > 0.0)
        k = np.minimum(k * scale[MONTH_OF_DAY - 1], ceiling)
    return k * sky.daily_kWh


def hourly_share(sky: Outside) -> np.ndarray:
    """365 x 24 shares of the day's sum: extraterrestrial x (a + b cos w), made to sum 1 (eq. 2.13.2)."""
    tilt = np.radians(sky.sunset_deg - 60.0)
    a, b = 0.409 + 0.5016 * np.sin(tilt), 0.6609 - 0.4767 * np.sin(tilt)
    lit = sky.hourly * np.maximum(a[:, None] + b[:, None] * np.cos(np.radians(sky.hour_angle_deg)), 0.0)
    total = lit.sum(axis=1, keepdims=True)
    return np.divide(lit, total, out=np.zeros_like(lit), where=total > 0.0)


def diffuse_share(kt):
    """Diffuse over global of an hour by its clearness kt (Erbs, Klein and Duffie 1982; eq. 2.10.1)."""
    kt = np.asarray(kt, float)
    middle = 0.9511 - 0.1604 * kt + 4.388 * kt**2 - 16.638 * kt**3 + 12.336 * kt**4
    return np.where(kt <= 0.22, 1.0 - 0.09 * kt, np.where(kt <= 0.80, middle, 0.165))


def beam_and_diffuse(ghi: np.ndarray, sky: Outside) -> tuple[np.ndarray, np.ndarray]:
    """Beam normal and diffuse horizontal [W/m2] of hours 365 x 24; no beam below cos z 0.02, at most 1000 W/m2."""
    kt = np.divide(ghi, sky.hourly, out=np.zeros_like(ghi), where=sky.hourly > 0.0)
    high = sky.mean_cosine >= LEAST_COSINE
    beam = np.where(high, ghi * (1.0 - diffuse_share(kt)) / np.maximum(sky.mean_cosine, LEAST_COSINE), 0.0)
    beam = np.clip(beam, 0.0, MOST_BEAM)
    return beam, np.maximum(ghi - beam * sky.mean_cosine, 0.0)
