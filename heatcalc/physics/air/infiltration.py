"""Outdoor air that wind and warmth press through the leaks: the published models, each a function.

Flows in m3/s, temperature differences in K without sign, wind at the airport (10 m, open ground) unless named
local.  Sources: ASHRAE Handbook - Fundamentals (SI) 2021 ch. 16 (basic, enhanced) and ch. 17 (load factor);
24 CFR 3280.509 (default of the manufactured-home rule).  Ch. 16 puts the enhanced model at about 10 % with
known inputs, empirical models at about 40 % on average.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.tables import rows

STOREY_M = 2.5  # room height behind the one-storey columns, see `storeys_of`
HUD_DEFAULT_W_MK = 0.7 * 0.29307107 * 1.8 / 0.3048  # 0.7 Btu/(h F ft of perimeter), 24 CFR 3280.509(a)


@dataclass(frozen=True)
class EnhancedCoefficients:
    """One column of ch. 16 Tables 7-9: stack, wind, shelter and the multiplier from airport to local wind."""

    stack: float
    wind: float
    shelter: float
    speed_multiplier: float
    source: str


def storeys_of(room_height_m: float) -> float:
    """Storeys for the tables from a room's height, H / 2.5 m held between 1 and 3 [-].

    The one-storey stack coefficient follows from the enhanced model's general form with H = 2.5 m (I. S. Walker and
    D. J. Wilson, Field validation of algebraic equations, HVAC&R Research 4 (1998); form from memory).  Own choice:
    a lofted room lies between two columns.
    """
    return min(max(room_height_m / STOREY_M, 1.0), 3.0)


def _between_storeys(found: Sequence[dict[str, str]], storeys: float, column: str) -> float:
    """A column straight between the table's 1, 2 and 3 storeys.  ValueError outside."""
    if not 1.0 <= storeys <= 3.0:
        raise ValueError(f"the tables have 1 to 3 storeys, not {storeys:g}")
    return float(np.interp(storeys, [float(row["storeys"]) for row in found], [float(row[column]) for row in found]))


@cache
def enhanced_coefficients(storeys: float, shelter: int, raised: bool = True, flue: bool = False) -> EnhancedCoefficients:
    """Ch. 16 Tables 7-9 for 1 to 3 storeys, straight between them; shelter class 1 (none) to 5 (dense).  ValueError outside."""
    found = [row for row in rows("infiltration_enhanced") if row["flue"] == ("yes" if flue else "no")]
    columns = "stack", "wind_raised" if raised else "wind_slab", f"shelter_{_class(shelter)}", "speed_multiplier"
    stack, wind, sheltered, local = (_between_storeys(found, storeys, column) for column in columns)
    return EnhancedCoefficients(stack, wind, sheltered, local, found[0]["source"])


def _class(shelter: int) -> int:
    if shelter not in (1, 2, 3, 4, 5):
        raise ValueError(f"shelter class is 1 (no obstructions) to 5 (adjacent buildings), not {shelter}")
    return shelter


@cache
def basic_coefficients(storeys: float, shelter: int) -> tuple[float, float]:
    """Stack and wind coefficient of the basic model, ch. 16 Tables 4 and 6, straight between storeys.  ValueError outside."""
    found = rows("infiltration_basic")
    return _between_storeys(found, storeys, "stack"), _between_storeys(found, storeys, f"wind_{_class(shelter)}")


def basic_flow(leakage_area_m2: float, stack_coefficient: float, wind_coefficient: float, delta_K, wind_m_s):
    """Q = A_L sqrt(Cs dT + Cw U^2), A_L in cm2 / 1000, ch. 16 eq. 48; wind at the airport."""
    drive = stack_coefficient * np.abs(delta_K) + wind_coefficient * np.square(wind_m_s)
    return 10.0 * leakage_area_m2 * np.sqrt(drive)


def infiltration_flow(
    coefficient: float,
    exponent: float,
    stack_coefficient: float,
    wind_coefficient: float,
    shelter: float,
    delta_K,
    local_wind_m_s,
):
    """Q = sqrt(Qs^2 + Qw^2), Qs = c Cs dT^n, Qw = c Cw (s U)^2n: the enhanced model, ch. 16 eq. 47, 49, 50.

    `local_wind_m_s` is the wind at the house: airport wind times the speed multiplier.  Floats or arrays.
    """
    stack = coefficient * stack_coefficient * np.abs(delta_K) ** exponent
    wind = coefficient * wind_coefficient * (shelter * np.asarray(local_wind_m_s)) ** (2 * exponent)
    return np.hypot(stack, wind)


def design_factor(season: str, height_m: float, delta_K, flue_share: float = 0.0):
    """Infiltration design factor IDF [L/(s cm2)], ch. 17 eq. 10; "heating" (6.7 m/s) or "cooling" (3.4 m/s).

    Valid for suburban shelter and a flue below half of the leakage area; raises ValueError above that.
    """
    if not 0 <= flue_share < 0.5:
        raise ValueError(f"the design factor needs a flue below half of the leakage area, not {flue_share:g}")
    row = next(row for row in rows("infiltration_design_factor") if row["season"] == season)
    per_metre = float(row["i1"]) + float(row["i2"]) * flue_share
    return (float(row["i0"]) + height_m * np.abs(delta_K) * per_metre) / 1000


def load_factor_flow(leakage_area_m2: float, season: str, height_m: float, delta_K, flue_share: float = 0.0):
    """Qi = A_L IDF, ch. 17 eq. 8 (A_L in cm2, Qi in L/s there; m2 and m3/s here)."""
    return 10.0 * leakage_area_m2 * design_factor(season, height_m, delta_K, flue_share)


def hud_default_heat(perimeter_m: float, delta_K):
    """Infiltration heat when nothing is tested [W]: 0.7 Btu/(h F ft) x perimeter x dT, 24 CFR 3280.509(a)."""
    return HUD_DEFAULT_W_MK * perimeter_m * np.abs(delta_K)
