"""Carrying station statistics to a place: distance, ordinary kriging, height correction.

Sources: Matheron, G. (1963), Principles of geostatistics, Economic Geology 58, 1246-1266 (from memory); the metric and
its numbers are the project's own, tuned by leave-one-out over the stations (climate_data/README.md).
"""

from __future__ import annotations

import numpy as np

EARTH_RADIUS_KM = 6371.0


def great_circle_km(lat, lon, lats, lons):
    """Distance [km] on a sphere between points in degrees (haversine formula, textbook)."""
    a, o, b, p = (np.radians(x) for x in (lat, lon, lats, lons))
    h = np.sin((b - a) / 2) ** 2 + np.cos(a) * np.cos(b) * np.sin((p - o) / 2) ** 2
    return 2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(h))


def all_great_circles_km(lat, lon, lats, lons):
    """Distance [km] from each of m points to each of n, (m, n), by the product of unit vectors (textbook): quick, true to 1 m."""
    here, there = (_unit_vectors(*at) for at in ((lat, lon), (lats, lons)))
    return 2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.clip(0.5 - 0.5 * (here @ there.T), 0.0, 1.0)))


def _unit_vectors(lat, lon):
    a, o = np.radians(lat), np.radians(lon)
    return np.stack([np.cos(a) * np.cos(o), np.cos(a) * np.sin(o), np.sin(a)], axis=-1)


def effective_km(distance_km, rise_m, shore, height_km_m: float, shore_km: float):
    """Distance [km] that counts a height difference as `height_km_m` a metre, and a difference in nearness to the sea (0..1,
    `shore`) as `shore_km`: the length of a straight line in a space of these directions, so a valid metric."""
    return np.sqrt(distance_km**2 + (height_km_m * rise_m) ** 2 + (shore_km * shore) ** 2)


def variogram_km(effective_km, nugget_km: float, range_km: float):
    """Linear variogram with a local part: r + nugget (1 - exp(-r / range)), all in km; zero at a station itself."""
    return effective_km + nugget_km * (1.0 - np.exp(-effective_km / range_km))


def taper_km(distance_km, reach_km):
    """Variance [km of variogram] by which a station's value is doubted the more the farther it is, without end at `reach_km`: its
    weight fades to nothing before the next station takes its place, and the estimate is continuous in the position.

    Rivoirard, J., Romary, T. (2011), Continuity for kriging with moving neighborhood, Mathematical Geosciences 43, 469-481 (from
    memory); the form, reach s / (1 - s) with s = (distance / reach)^8, is own choice.
    """
    share = (distance_km / reach_km) ** 8
    return reach_km * share / np.maximum(1.0 - share, 1e-9)


def ordinary_kriging(between, to):
    """Weights (..., k, n), summing to 1, and variance (..., k) of the best linear unbiased estimate at k places from n stations.

    `between` (..., n, n) and `to` (..., k, n): the variogram among the stations (on the diagonal less the variance of a station's
    own value), and from each to each place.
    """
    n = to.shape[-1]
    system = np.ones((*between.shape[:-2], n + 1, n + 1))
    system[..., :n, :n], system[..., n, n] = between, 0.0
    right = np.concatenate([to, np.ones((*to.shape[:-1], 1))], axis=-1)
    found = np.swapaxes(np.linalg.solve(system, np.swapaxes(right, -1, -2)), -1, -2)
    weights = found[..., :n]
    return weights, (weights * to).sum(axis=-1) + found[..., n]


def at_height(value, rise_m, lapse_K_m: float):
    """A temperature brought `rise_m` higher: value - lapse * rise [degC]."""
    return value - lapse_K_m * rise_m
