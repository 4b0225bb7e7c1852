"""A built year: its fixed random sequence, its hours of temperature, dew point and wind, its hours of sun.

Method: climate_data/README.md, built year; "fitted" = from 220 TMY3 stations, "own" = the project's choice, tested.
The sequence is the same 365 days of scores for every place and every machine: Park and Miller, Communications of the ACM 31
(1988), "minimal standard" x <- 16807 x mod (2^31 - 1) (from memory).
Sun comes from monthly means, days between dull and clear, hours within the day, beam and diffuse: Bendt, Collares-Pereira and
Rabl (1981), Hollands and Huget (1983), Erbs, Klein and Duffie (1982), Collares-Pereira and Rabl (1979), numbered as in Duffie and
Beckman, Solar Engineering of Thermal Processes, 5th ed. (equations second-hand).
Time: hour i (0..8759) carries the reading at its stamp i + 1, and its sun is that of the hour which ends there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np

from heatcalc.physics.sun.sun import declination_deg, equation_of_time_min, hour_angle_deg, sunset_hour_angle_deg
from heatcalc.physics.year.weather_statistics import MONTH_DAYS, MONTH_OF_DAY, MONTH_OF_HOUR, monthly_mean
from heatcalc.tables import rows

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


DAYS = np.arange(1, 366)
STAMP_H = np.arange(1.0, 8761.0)
NOON_H = 24.0 * np.arange(365) + 12.0
CLOCK_H = np.tile(np.arange(1.0, 25.0), 365).reshape(365, 24)
LEAST_RANGE_K = 0.5
LEAST_HALF_DAY_H = 1.0  # keeps the day's shape defined in polar night and day


@cache
def _trend_weights() -> np.ndarray:
    """365 x 12: straight lines between mid-months, the year closed to a ring."""
    middle = np.cumsum(MONTH_DAYS) - np.array(MONTH_DAYS) / 2.0
    at = DAYS - 0.5
    return np.column_stack([np.interp(at, middle, unit, period=365.0) for unit in np.eye(12)])


def trend(monthly_means) -> np.ndarray:
    """365 daily values on straight lines between knots that are moved until every monthly mean holds [degC]."""
    weights = _trend_weights()
    by_month = np.array([weights[m == MONTH_OF_DAY].mean(axis=0) for m in range(1, 13)])
    return weights @ np.linalg.solve(by_month, np.asarray(monthly_means, float))


def noon_to_noon(daily) -> np.ndarray:
    """8,760 hours on straight lines from each day's noon to the next, the year closed to a ring."""
    return np.interp(STAMP_H, NOON_H, daily, period=8760.0)


def daily_means(mean_C, spread_K, found: Scores) -> np.ndarray:
    """Trend plus persistent departures whose variance with the trend's is the month's (at least (0.3 s)^2) [degC]."""
    line, spread = trend(mean_C), np.asarray(spread_K, float)
    within = monthly_mean((line - monthly_mean(line, MONTH_OF_DAY)[MONTH_OF_DAY - 1]) ** 2, MONTH_OF_DAY)
    own = np.sqrt(np.maximum(spread**2 - within, (0.3 * spread) ** 2))
    z = found.temperature
    z = z / np.sqrt(monthly_mean(z**2, MONTH_OF_DAY))[MONTH_OF_DAY - 1]  # the scores' mean is 0 by symmetry
    return line + z * own[MONTH_OF_DAY - 1]


def daily_ranges(range_K, spread_K, clearness: np.ndarray, has_bins: bool) -> np.ndarray:
    """Daily range: the share of the mean range that follows the clock (fitted), wider on clear days."""
    mean_range = np.maximum(np.asarray(range_K, float), LEAST_RANGE_K)
    share = np.clip(1.0 - 0.63 * np.asarray(spread_K) / mean_range, 0.35, 1.0) if has_bins else np.ones(12)
    wider = 1.0 + 0.17 * clearness / np.maximum(share, 0.5)[MONTH_OF_DAY - 1]
    return np.maximum((share * mean_range)[MONTH_OF_DAY - 1] * wider, LEAST_RANGE_K)


def day_shape(lat: float, lon: float, utc_offset_h: float) -> np.ndarray:
    """365 x 24, range 1, mean 0: half cosine from sunrise to 2 h after solar noon, slower fall to the next sunrise."""
    noon = 12.0 - equation_of_time_min(DAYS) / 60.0 - (lon / 15.0 - utc_offset_h)
    half = np.clip(sunset_hour_angle_deg(lat, declination_deg(DAYS)) / 15.0, LEAST_HALF_DAY_H, 12.0 - LEAST_HALF_DAY_H)
    rise = np.minimum(2.0, 0.75 * half) + half
    since = (CLOCK_H - (noon - half)[:, None]) % 24.0
    up, fall = since / rise[:, None], np.maximum(since - rise[:, None], 0.0) / (24.0 - rise)[:, None]
    shape = np.where(up < 1.0, -0.5 * np.cos(np.pi * up), 0.5 * np.cos(np.pi * fall**0.75))
    return shape - shape.mean(axis=1, keepdims=True)


def held_to_means(hours: np.ndarray, monthly) -> np.ndarray:
    """Each month shifted to its mean [degC]."""
    return hours + (np.asarray(monthly) - monthly_mean(hours, MONTH_OF_HOUR))[MONTH_OF_HOUR - 1]


def pchip_slopes(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Slopes of the monotone cubic of Fritsch and Butland: harmonic means inside, three-point ends [y per x].

    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory); tested against scipy.
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    if len(d) == 1:
        return np.array([d[0], d[0]])
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    monotone = d[:-1] * d[1:] > 0.0
    safe = np.where(monotone, d[:-1], 1.0), np.where(monotone, d[1:], 1.0)
    inside = np.where(monotone, (w1 + w2) / (w1 / safe[0] + w2 / safe[1]), 0.0)
    return np.concatenate(([_end_slope(h[0], h[1], d[0], d[1])], inside, [_end_slope(h[-1], h[-2], d[-1], d[-2])]))


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if slope * d0 <= 0.0:
        return 0.0
    return 3.0 * d0 if d0 * d1 < 0.0 and abs(slope) > 3.0 * abs(d0) else slope


def pchip(x: np.ndarray, y: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The monotone cubic through (x, y), x strictly rising, evaluated within its range [unit of y]."""
    slopes = pchip_slopes(x, y)
    i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    h = x[i + 1] - x[i]
    t = (at - x[i]) / h
    return (
        y[i] * (1 + 2 * t) * (1 - t) ** 2
        + slopes[i] * h * t * (1 - t) ** 2
        + y[i + 1] * t * t * (3 - 2 * t)
        + slopes[i + 1] * h * t * t * (t - 1)
    )


def quantiles_of_bins(lower_edges_C, hours, width_K: float) -> np.ndarray:
    """Temperatures of the ranks 0..n-1 of a month: the curve through cumulative hours and bin edges at rank + 1/2.

    Monotone cubic; straight lines if an inner bin is empty.
    """
    filled = np.flatnonzero(np.asarray(hours) > 0)
    counts = np.asarray(hours)[filled[0] : filled[-1] + 1]
    edges = np.asarray(lower_edges_C)[filled[0]] + width_K * np.arange(len(counts) + 1)
    cumulative = np.concatenate(([0.0], np.cumsum(counts)))
    at = np.arange(int(cumulative[-1])) + 0.5
    return np.interp(at, cumulative, edges) if (counts == 0).any() else pchip(cumulative, edges, at)


def mapped_to_bins(hours_C: np.ndarray, bins) -> np.ndarray:
    """In each month the hour of rank r gets the r-th temperature of the month's bins (lower edges, hours, width)."""
    mapped = np.empty(8760)
    for m, (edges, counts, width) in enumerate(bins, 1):
        of_month = np.flatnonzero(m == MONTH_OF_HOUR)
        mapped[of_month[np.argsort(hours_C[of_month], kind="stable")]] = quantiles_of_bins(edges, counts, width)
    return mapped


def hourly_dry_bulb(means: np.ndarray, ranges: np.ndarray, shape: np.ndarray, mean_C, bins=None) -> np.ndarray:
    """8,760 dry bulbs [C]: daily means and ranges with the day's shape, mapped to the bins, months held to their means."""
    hours = held_to_means(noon_to_noon(means) + noon_to_noon(ranges) * shape.ravel(), mean_C)
    return hours if bins is None else held_to_means(mapped_to_bins(hours, bins), mean_C)


def hourly_dew_point(dry_bulb_C: np.ndarray, dew_C, mean_C, clearness: np.ndarray, found: Scores) -> np.ndarray:
    """8,760 dew points [C]: follow the day's temperature, spread wider where dry (fitted), below the dry bulb."""
    dew, gap = np.asarray(dew_C, float), np.asarray(mean_C, float) - np.asarray(dew_C, float)
    follow = np.clip(1.0 - 0.07 * (gap - 5.0), 0.2, 1.0)[MONTH_OF_DAY - 1]
    sigma = (np.clip(0.7 + 0.29 * gap, 0.7, 3.6) * np.where(np.asarray(mean_C) > 20.0, 0.8, 1.0))[MONTH_OF_DAY - 1]
    n = month_scores(-0.45 * clearness + 0.893 * found.dew_point)
    day_C = dry_bulb_C.reshape(365, 24).mean(axis=1)
    daily = dew[MONTH_OF_DAY - 1] + follow * (day_C - np.asarray(mean_C)[MONTH_OF_DAY - 1]) + sigma * n
    hours, ceiling = noon_to_noon(daily), dry_bulb_C - 0.1
    for _ in range(6):
        hours = held_to_means(np.minimum(hours, ceiling), dew)
    return np.minimum(hours, ceiling)


def hourly_wind(mean_m_s: float, found: Scores) -> np.ndarray:
    """8,760 wind speeds [m/s]: the year's mean times month, hour (fitted) and day factors, scaled to the mean."""
    factor = {
        kind: np.array([float(r["factor"]) for r in rows("built_year_wind") if r["kind"] == kind]) for kind in ("month", "hour")
    }
    days = factor["month"][MONTH_OF_DAY - 1] * np.exp(0.45 * found.wind - 0.10)
    hours = (days[:, None] * factor["hour"]).ravel()
    return mean_m_s * hours / hours.mean()


SOLAR_CONSTANT = 1367.0  # W/m2
SUB_STEPS = 6
DULLEST = 0.05
NO_SUN = 0.02
LEAST_COSINE, MOST_BEAM = 0.02, 1000.0


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
