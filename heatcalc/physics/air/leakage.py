"""Leakage of the shell in the units people measure it, and the flow coefficient c and exponent n behind them.

The shell leaks Q = c dp^n [m3/s, Pa].  A fan test gives one point (ACH50, cfm50), a leakage area another
(4 Pa), a class a leakage area per area of exposed shell; a trailer floor over open air belongs to it.
"""

from __future__ import annotations

from math import sqrt

REFERENCE_PA = 4.0  # leakage areas are quoted at 4 Pa, ASHRAE Handbook - Fundamentals 2021 ch. 16
TEST_PA = 50.0
AIR_DENSITY = 1.2  # kg/m3, the density of the published conversions
USUAL_EXPONENT = 0.65  # ch. 16: 0.6 to 0.7, typically 0.65


def check_exponent(exponent: float) -> float:
    """The flow exponent [-], if an opening can have it: 0.5 (orifice) to 1 (laminar), ASHRAE ch. 16.  Raises ValueError."""
    if not 0.5 <= exponent <= 1.0:
        raise ValueError(f"a flow exponent lies between 0.5 and 1, not {exponent:g}")
    return exponent


def leak_flow(coefficient: float, exponent: float, pressure_Pa: float) -> float:
    """Q = c dp^n [m3/s], ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 40; difference [Pa] not below zero."""
    return coefficient * pressure_Pa**exponent


def flow_coefficient(flow_m3_s: float, exponent: float, pressure_Pa: float = TEST_PA) -> float:
    """c = Q / dp^n [m3/(s Pa^n)], the inverse of ch. 16 eq. 40.  ValueError for an impossible exponent."""
    return flow_m3_s / pressure_Pa ** check_exponent(exponent)


def leakage_area_of(coefficient: float, exponent: float, pressure_Pa: float = REFERENCE_PA) -> float:
    """A_L = c sqrt(rho / 2) dp^(n - 0.5) [m2] with C_D = 1, ch. 16 eq. 44."""
    return coefficient * sqrt(AIR_DENSITY / 2) * pressure_Pa ** (check_exponent(exponent) - 0.5)


def coefficient_of_area(leakage_area_m2: float, exponent: float, pressure_Pa: float = REFERENCE_PA) -> float:
    """c [m3/(s Pa^n)] of a leakage area [m2], the inverse of ch. 16 eq. 44.  ValueError for an impossible exponent."""
    return leakage_area_m2 / (sqrt(AIR_DENSITY / 2) * pressure_Pa ** (check_exponent(exponent) - 0.5))


def ach50_of(coefficient: float, exponent: float, volume_m3: float) -> float:
    """Air changes per hour at 50 Pa [1/h]: 3600 c 50^n / V, a definition; volume above zero."""
    return 3600 * leak_flow(coefficient, exponent, TEST_PA) / volume_m3


def normalised_leakage(leakage_area_m2: float, floor_area_m2: float, height_m: float) -> float:
    """NL = 1000 (A_L / A_floor) (H / 2.5 m)^0.4 [-], ch. 16 eq. 46; its printed factor 0.1 needs A_L in cm2."""
    return 1000 * leakage_area_m2 / floor_area_m2 * (height_m / 2.5) ** 0.4
