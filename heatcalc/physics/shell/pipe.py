"""A water line that stands still: how fast it cools to freezing.  Latent heat of the ice is not counted (ice begins at 0 C)."""

from __future__ import annotations

from itertools import accumulate

import numpy as np

WATER_J_m3K = 4.19e6  # 1 Btu/(lb F) and 62.4 lb/ft3, as in the handbook's equation


def sleeve_resistance(inner_m: float, outer_m: float, conductivity_W_mK: float) -> float:
    """Resistance of a metre of a round sleeve, ln(D3/D2)/(2 pi k) [m K/W]; diameters [m].

    Source: ASHRAE Handbook - Fundamentals 2021 ch. 23 (insulation for mechanical systems).
    """
    return float(np.log(outer_m / inner_m) / (2.0 * np.pi * conductivity_W_mK))


def water_heat(inside_diameter_m: float) -> float:
    """What a metre of water in a tube of this inside diameter [m] stores [J/(m K)]: the handbook's rho cp pi (D1/2)^2."""
    return WATER_J_m3K * np.pi * (inside_diameter_m / 2.0) ** 2


def time_to_freezing_s(stores_J_mK: float, resistance_mK_W: float, from_C: float, ambient_C: float) -> float:
    """Time until standing water at `from_C` in constant cold reaches 0 C [s]; infinite where the ambient is not below it.

    rho cp pi (D1/2)^2 R_T ln((ti - ta)/(tf - ta)).  Source: ASHRAE Handbook - Fundamentals 2021 ch. 23 eq. 1.
    """
    if ambient_C >= 0.0:
        return float("inf")
    return stores_J_mK * resistance_mK_W * float(np.log((from_C - ambient_C) / -ambient_C))


def line_temperature_C(
    from_C: float, warm_C, cold_C, to_warm_W_mK: float, to_cold_W_mK: float, stores_J_mK: float, step_s: float
):
    """Temperature of a lumped line between a warm and a cold side, at the end of every step [degC].

    warm_C, cold_C : means of the steps [degC], arrays of one length; conductances [W/(m K)]; capacity [J/(m K)]
    Newton's law of cooling, exact for sides that stay within a step: T' = (Gw (Tw - T) + Gc (Tc - T))/C.
    """
    whole = to_warm_W_mK + to_cold_W_mK
    towards = (to_warm_W_mK * np.asarray(warm_C, float) + to_cold_W_mK * np.asarray(cold_C, float)) / whole
    keeps = np.exp(-whole * step_s / stores_J_mK)
    reached = accumulate(towards.tolist(), lambda line_C, side_C: keeps * line_C + (1.0 - keeps) * side_C, initial=from_C)
    return np.array(list(reached)[1:])
