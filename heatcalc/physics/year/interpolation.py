"""Carrying station statistics to a place: distance, weights, height correction.

Source: the project's own method, climate_data/README.md (method steps 5 and 6); tested against 361 published places.
"""

from __future__ import annotations

import numpy as np

EARTH_RADIUS_KM = 6371.0
GROWTH = 0.8  # the length grows to this share of the distance to the 4th station


def great_circle_km(lat, lon, lats, lons):
    """Distance [km] on a sphere between a point and points in degrees (haversine formula, textbook)."""
    a, o, b, p = (np.radians(x) for x in (lat, lon, lats, lons))
    h = np.sin((b - a) / 2) ** 2 + np.cos(a) * np.cos(b) * np.sin((p - o) / 2) ** 2
    return 2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(h))


def grown_length_km(distance_km, length_km: float) -> float:
    """The kernel's length [km], at least 0.8 times the distance of the 4th nearest station."""
    return max(length_km, GROWTH * float(np.sort(distance_km)[3]))


def kernel_weights(distance_km, rise_m, length_km: float, height_m: float):
    """Weights exp(-(km/L)^2 - (dz/H)^2), scaled to sum 1; never all zero, however high the place lies."""
    exponent = -((distance_km / length_km) ** 2) - (rise_m / height_m) ** 2
    weight = np.exp(exponent - exponent.max())
    return weight / weight.sum()


def at_height(value, rise_m, lapse_K_m: float):
    """A temperature brought `rise_m` higher: value - lapse * rise [degC]."""
    return value - lapse_K_m * rise_m


def carried(values, weights, rise_m, lapse_K_m: float):
    """Weighted mean of station values (stations first), each brought to the height of the place.

    `rise_m` = height of the place above each station [m].
    """
    rise = np.asarray(rise_m).reshape((-1,) + (1,) * (np.ndim(values) - 1))
    return np.tensordot(weights, at_height(np.asarray(values), rise, lapse_K_m), axes=1)


def station_distance_score(distance_km, rise_m):
    """How far a station is for its typical year: km + 0.15 km per metre of height difference (own choice) [km]."""
    return distance_km + 0.15 * np.abs(rise_m)
