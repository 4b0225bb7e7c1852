"""Air layers: unventilated by thickness, direction and emittance; ventilated by their openings.  ISO 6946."""

from __future__ import annotations

from heatcalc.physics.shell.films import radiative_coefficient

SLIGHT_mm2_m, WELL_mm2_m = 500.0, 1500.0
"""Openings per metre of length (vertical) or per m2 (horizontal), ISO 6946 (from memory)."""


def convective_coefficient(thickness_m: float, direction: str) -> float:
    """h_a of an air layer up to 0.3 m thick [W/m2K].  ISO 6946 annex, difference under 5 K (from memory)."""
    conduction = 0.025 / thickness_m
    if direction == "horizontal":
        return max(1.25, conduction)
    if direction == "up":
        return max(1.95, conduction)
    if direction == "down":
        return max(0.12 * thickness_m**-0.44, conduction)
    raise ValueError(f"unknown heat flow direction {direction!r}")


def effective_emittance(one: float, other: float) -> float:
    """E = 1/(1/e1 + 1/e2 - 1) between two parallel surfaces [-]."""
    return 1.0 / (1.0 / one + 1.0 / other - 1.0)


def air_layer_resistance(
    thickness_m: float, direction: str, emittance_one: float = 0.9, emittance_other: float = 0.9, mean_C: float = 10.0
) -> float:
    """R of an unventilated air layer, 1/(h_a + E h_r0) [m2K/W].  ISO 6946 annex; 0 < thickness <= 0.3 m."""
    if not 0.0 < thickness_m <= 0.3:
        raise ValueError("an air layer is between 0 and 300 mm thick")
    radiation = radiative_coefficient(effective_emittance(emittance_one, emittance_other), mean_C)
    return 1.0 / (convective_coefficient(thickness_m, direction) + radiation)


def ventilated_share(openings_mm2_m: float) -> float:
    """How far a cavity is well ventilated: 0 up to 500 mm2/m, 1 from 1500 mm2/m, linear between [-].  ISO 6946."""
    return min(max((openings_mm2_m - SLIGHT_mm2_m) / (WELL_mm2_m - SLIGHT_mm2_m), 0.0), 1.0)
