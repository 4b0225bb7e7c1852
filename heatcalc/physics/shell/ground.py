"""Floors on or over the ground: slab, suspended, skirted trailer floor.  ISO 13370 (equations from memory).  And how fast a water
line that stands still cools to freezing; latent heat of the ice is not counted (ice begins at 0 C).
"""

from __future__ import annotations

import math
from itertools import accumulate

import numpy as np

from heatcalc.tables import rows

SOIL_W_mK = 1.5  # clay or silt, ISO 13370
WALL_m = 0.3
YEAR_S = 3.15e7
R_SI_DOWN, R_SE = 0.17, 0.04
SHIELDING = {"sheltered": 0.02, "average": 0.05, "exposed": 0.10}  # wind shielding factor, ISO 13370 (from memory)


def characteristic_dimension(area: float, perimeter: float) -> float:
    """B' = A/(P/2) [m], ISO 13370."""
    return area / (0.5 * perimeter)


def equivalent_thickness(r_floor: float, soil: float = SOIL_W_mK, wall: float = WALL_m) -> float:
    """d_t = w + k (Rsi + Rf + Rse) [m], ISO 13370."""
    return wall + soil * (R_SI_DOWN + r_floor + R_SE)


def slab_u(dimension: float, thickness: float, soil: float = SOIL_W_mK) -> float:
    """U of a slab on the ground from B' and d_t [W/m2K].  ISO 13370, both branches (little and well insulated)."""
    if thickness < dimension:
        reach = math.pi * dimension
        return 2.0 * soil / (reach + thickness) * math.log(reach / thickness + 1.0)
    return soil / (0.457 * dimension + thickness)


def yearly_depth(soil: float = SOIL_W_mK) -> float:
    """Depth to which the year's swing reaches in soil of a conductivity [W/mK], sqrt(year k / (pi c)) [m].  ISO 13370.

    Heat capacity c by volume of clay, sand or rock (table soils), straight between their conductivities (own choice).
    """
    known = rows("soils")
    conductivity, capacity = ([float(r[k]) for r in known] for k in ("conductivity_W_mK", "heat_capacity_J_m3K"))
    return math.sqrt(YEAR_S * soil / (math.pi * float(np.interp(soil, conductivity, capacity))))


def edge_share(area: float, perimeter: float, thickness: float, soil: float = SOIL_W_mK) -> float:
    """Share of the outdoor air's yearly swing that the ground under a floor follows, H_pe/H_g, at most 1 [-].

    H_pe = 0.37 P k ln(delta/d_t + 1), H_g = A U: ISO 13370 annex.  The 0.37 is fitted to wide floors, whose middle hardly
    swings; a narrow floor on rock would pass 1.  The ground cannot swing more than the air: held to 1.
    """
    edge = 0.37 * perimeter * soil * math.log(yearly_depth(soil) / thickness + 1.0)
    return min(edge / (area * slab_u(characteristic_dimension(area, perimeter), thickness, soil)), 1.0)


def underfloor_exchange(
    dimension: float, skirt_height: float, skirt_u: float, openings_m2_m: float, wind_m_s: float, shielding: str
) -> float:
    """U_x of the space below through its skirt and its openings, 2 h U_w/B' + 1450 eps v f_w/B' [W/m2K].  ISO 13370.

    `openings_m2_m` area of vents per metre of perimeter; shielding "sheltered", "average" or "exposed".
    """
    through_skirt = 2.0 * skirt_height * skirt_u / dimension
    return through_skirt + 1450.0 * openings_m2_m * wind_m_s * SHIELDING[shielding] / dimension


def slab_on_ground_u(r_floor: float, area: float, perimeter: float, soil: float = SOIL_W_mK) -> float:
    """U of a slab of area and exposed perimeter, `r_floor` between its surfaces [W/m2K].  ISO 13370."""
    return slab_u(characteristic_dimension(area, perimeter), equivalent_thickness(r_floor, soil), soil)


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
