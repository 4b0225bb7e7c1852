"""What an hourly record betrays about itself: its sun against geometry, its clock, its hours that stand still.

Arrays are hours in order, hour-ending sun, readings at the stamp.  Numbers that tell a sound record from a damaged one were
measured on nine typical years (own): closure 0.006 to 0.013, sun in the dark below 0.0001, the sun's centre within 0.11 h of
noon over the year and 0.26 h in any month, the day's warmth 1.8 to 3.8 h after noon, equal readings for at most 24 h.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.year import year_hours
from heatcalc.physics.year.weather_statistics import MONTH_DAYS

HOURS_A_TURN = 12.0 / np.pi
FIRST_OF_MONTH = np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1]))
LIT = 1e-6


@dataclass(frozen=True, eq=False)
class Geometry:
    """The sun over a record: outside the air on the horizontal [W/m2], mean cosine of the zenith angle, hour angle."""

    outside_W_m2: np.ndarray
    cosine: np.ndarray
    hour_angle_rad: np.ndarray


def geometry(
    lat: float, lon: float, utc_offset_h: float, month: np.ndarray, day_of_month: np.ndarray, hour: np.ndarray
) -> Geometry:
    """The sun at every hour of a record whose stamps end the hour; geometry as in `year_sun.outside`."""
    sky = year_hours.outside(lat, lon, utc_offset_h)
    day = FIRST_OF_MONTH[month - 1] + np.minimum(day_of_month, np.array(MONTH_DAYS)[month - 1]) - 1
    normal = year_hours.SOLAR_CONSTANT * (1.0 + 0.033 * np.cos(2.0 * np.pi * year_hours.DAYS / 365.0))
    at = (day, hour - 1)
    return Geometry(sky.hourly[at], sky.hourly[at] / normal[day], np.radians(sky.hour_angle_deg[at]))


def closure(ghi, dni, dhi, cosine) -> float:
    """Sum of |GHI - DHI - DNI cos z| over the sum of GHI, a ratio: geometry makes it nought but for rounding (definition)."""
    return float(np.abs(ghi - dhi - dni * cosine).sum() / max(float(np.sum(ghi)), LIT))


def in_the_dark(ghi, cosine) -> float:
    """Share of the sun that falls in hours in which the sun is down throughout (definition)."""
    return float(np.sum(ghi[cosine <= 0.0]) / max(float(np.sum(ghi)), LIT))


def centre_h(weight: np.ndarray, hour_angle_rad: np.ndarray) -> float:
    """Hours after solar noon of the circular mean of a day's curve, -12 to 12 (definition of a circular mean)."""
    return float(np.angle(np.sum(weight * np.exp(1j * hour_angle_rad))) * HOURS_A_TURN)


def centre_by_month_h(weight: np.ndarray, hour_angle_rad: np.ndarray, month: np.ndarray) -> np.ndarray:
    """`centre_h` of each of twelve months [h] (definition of a circular mean)."""
    return np.array([centre_h(weight[month == m], hour_angle_rad[month == m]) for m in range(1, 13)])


def warmth_lag_h(dry_bulb_C: np.ndarray, day: np.ndarray, g: Geometry) -> float:
    """Hours after solar noon of the day's warmth (readings less the day's mean), circular mean (definition)."""
    means = np.bincount(day, dry_bulb_C) / np.bincount(day)
    return centre_h(dry_bulb_C - means[day], g.hour_angle_rad + 0.5 / HOURS_A_TURN)


def longest_run(values: np.ndarray) -> tuple[int, int]:
    """First index and number of hours of the longest run of equal values (definition)."""
    edges = np.concatenate(([0], np.flatnonzero(np.diff(values) != 0) + 1, [len(values)]))
    lengths = np.diff(edges)
    k = int(np.argmax(lengths))
    return int(edges[k]), int(lengths[k])


def repeated_days(values: np.ndarray, skip: np.ndarray) -> int:
    """Days whose 24 readings are those of the day before, hour for hour; none with an hour in `skip` (definition)."""
    days = len(values) // 24
    table, left_out = values[: 24 * days].reshape(days, 24), skip[: 24 * days].reshape(days, 24).any(axis=1)
    same: np.ndarray = (np.abs(np.diff(table, axis=0)).max(axis=1) == 0) & (np.ptp(table[1:], axis=1) > 0)
    used = ~np.asarray(left_out, bool)
    return int((same & used[1:] & used[:-1]).sum())


def month_end_steps_K(dry_bulb_C: np.ndarray, month: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Index of each hour that begins a month, and the change from the hour before [K] (definition)."""
    at = np.flatnonzero(np.diff(month) != 0) + 1
    return at, dry_bulb_C[at] - dry_bulb_C[at - 1]


def straight(x: np.ndarray, y: np.ndarray) -> tuple[float, float, float]:
    """Slope, value at x = 0 and coefficient of correlation of the least-squares line of y over x (closed form)."""
    slope, offset = np.polyfit(x, y, 1)
    return float(slope), float(offset), float(np.corrcoef(x, y)[0, 1])
