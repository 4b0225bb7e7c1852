"""Capacity at altitude: thinner air over both coils.  Published statements disagree; the spread is kept.

Sources: tables/altitude_capacity.csv, each row with its own; air density from a printed manual table.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from heatcalc.tables import rows

DEFAULT_ROUTE = "air-cooled condensing unit"
SENSIBLE_ROUTE = "packaged unit, wet coil"
_FOOT_M = 0.3048


def air_density_factor(elevation_m, celsius=(70.0 - 32.0) / 1.8):
    """Air density over that at sea level and 70 F: (1 - 6.8754e-6 ft)^5.2559 x 529.67/(F + 459.67) [-].

    An R-410A split-system technical manual (maker not named), p. 60, prints it for 0 to 7000 ft, 40 to 100 F.
    """
    feet, fahrenheit = np.asarray(elevation_m, float) / _FOOT_M, np.asarray(celsius, float) * 1.8 + 32.0
    return (1.0 - 6.8754e-6 * feet) ** 5.2559 * 529.67 / (fahrenheit + 459.67)


@cache
def routes() -> tuple[str, ...]:
    """The published statements on capacity at altitude, the default first."""
    return tuple(dict.fromkeys(row["route"] for row in rows("altitude_capacity")))


@cache
def _route(name: str, quantity: str) -> tuple[np.ndarray, np.ndarray]:
    mine = [
        (float(r["elevation_ft"]) * _FOOT_M, float(r["factor"]))
        for r in rows("altitude_capacity")
        if r["route"] == name and r["quantity"] == quantity
    ]
    if not mine:
        raise ValueError(f"no altitude route {name!r}; known: {', '.join(routes())}")
    elevation, factor = np.array(mine).T
    return elevation, factor


def capacity_factor(elevation_m, route: str = DEFAULT_ROUTE):
    """Capacity over that at sea level [-], straight between printed rows; held beyond them.  A number or an array [m]."""
    return np.interp(elevation_m, *_route(route, "total"))


def sensible_factor(elevation_m):
    """Sensible share over that at sea level: printed sensible over printed total of one unit.  A number or an array [m]."""
    sensible, total = (np.interp(elevation_m, *_route(SENSIBLE_ROUTE, what)) for what in ("sensible", "total"))
    return sensible / total


def spread(elevation_m) -> dict[str, Any]:
    """Every published statement at this elevation, by route."""
    return {route: capacity_factor(elevation_m, route) for route in routes()}
