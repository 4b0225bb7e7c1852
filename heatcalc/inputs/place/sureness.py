"""How sure design temperatures are: one sigma for each percentile, a grade, and what to know (place_uncertainty.csv)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import sqrt

import numpy as np

from heatcalc.inputs.place.climate_tables import F_PER_K
from heatcalc.inputs.place.heights import DOUBTFUL_M
from heatcalc.tables import rows

HEATING, HEATING_996, COOLING = PERCENTILES = ("heating", "heating_996", "cooling")
_NOTHING = dict.fromkeys(PERCENTILES, 0.0)
GRADES = (("A", 3.0, 2.5), ("B", 4.5, 4.0))  # at most these sigmas of heating and cooling [F] (own choice)


@dataclass(frozen=True)
class Sureness:
    """One-sigma [K], grade and note of a place."""

    heating_K: float
    heating_996_K: float
    cooling_K: float
    grade: str
    note: str


def sureness(
    case: str,
    variance_km: dict[str, float] | None = None,
    by_height_F: dict[str, float] | None = None,
    height_sigma_m: float = 0.0,
) -> Sureness:
    """The row `case` at a station; away from one with the kriging variance of each percentile [km], and with what the height, one
    sigma of it, leaves open of each [F]."""
    apart, by_height = variance_km or _NOTHING, by_height_F or _NOTHING
    sigma = {
        k: sqrt(own_F**2 + per_root_km**2 * max(apart[k], 0.0) + by_height[k] ** 2)
        for k, (own_F, per_root_km) in _numbers(case).items()
    }
    grade = _grade(sigma[HEATING], sigma[COOLING], height_sigma_m)
    heating, heating_996, cooling = (sigma[k] / F_PER_K for k in PERCENTILES)
    return Sureness(heating, heating_996, cooling, grade, _row(case)["note"])


def carried_sigma_F(case: str, percentile: str, variance_km) -> np.ndarray:
    """One sigma of the interpolation alone [F]."""
    return _numbers(case)[percentile][1] * np.sqrt(variance_km)


def _grade(heating_F: float, cooling_F: float, height_sigma_m: float) -> str:
    if height_sigma_m > DOUBTFUL_M:
        return "C"
    return next((grade for grade, h, c in GRADES if heating_F <= h + 0.05 and cooling_F <= c + 0.05), "C")


@cache
def _numbers(case: str) -> dict[str, tuple[float, float]]:
    """Of each percentile its sigma at a station [F] and what the root of a km of variogram adds."""
    return {k: (float(_row(case)[f"{k}_F"]), float(_row(case)[f"{k}_per_root_km"])) for k in PERCENTILES}


@cache
def _row(case: str) -> dict[str, str]:
    return next(r for r in rows("place_uncertainty") if r["case"] == case)


def region(state: str, lon: float, elevation_m: float) -> str:
    """Which row holds at a place: Alaska, Hawaii, east and west of 103 W, mountain and Pacific (own choice)."""
    if state in ("AK", "HI"):
        return {"AK": "alaska", "HI": "hawaii"}[state]
    high = elevation_m > 1000.0
    if lon < -119.0:
        return "pacific_mountain" if high else "pacific"
    if lon < -103.0:
        return "mountain" if high else "west"
    return "east"
