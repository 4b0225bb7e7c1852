"""Flammable refrigerant in a small room: charge thresholds, floor area rule, concentration limit.

IEC 60335-2-40 annex GG as reproduced in installer manuals of at least three makers (not named); ASHRAE 15/34
concentration limits.  A screening aid: the unit's manual and the installer decide.
"""

from __future__ import annotations

LEAST_HEIGHT_M = 0.6  # h0 is never under 0.6 m


def charge_threshold(lfl_kg_m3: float, room_volumes_m3: float) -> float:
    """Charge threshold [kg]: m = V x LFL (IEC 60335-2-40, annex GG).

    m1: V = 4 m3 (older text) or 6 m3 (2018 text, A2L); m2: 26 m3; m3: 130 m3.
    """
    return room_volumes_m3 * lfl_kg_m3


def area_rule_charge(area_m2: float, height_m: float, lfl_kg_m3: float) -> float:
    """Largest charge in a room without ventilation [kg]: 2.5 LFL^1.25 h0 sqrt(A) (IEC 60335-2-40, annex GG).

    Valid for m1 < M <= m2; heights under 0.6 m count as 0.6 m.
    """
    return 2.5 * lfl_kg_m3**1.25 * release_height(height_m) * area_m2**0.5


def area_rule_area(charge_kg: float, height_m: float, lfl_kg_m3: float) -> float:
    """Smallest room for a charge [m2]: (M / (2.5 LFL^1.25 h0))^2 (IEC 60335-2-40, annex GG)."""
    return (charge_kg / (2.5 * lfl_kg_m3**1.25 * release_height(height_m))) ** 2


def linear_charge(area_m2: float, height_m: float, lfl_kg_m3: float, safety_factor: float = 0.75) -> float:
    """Linear cap for small rooms [kg]: 0.75 LFL h0 A, printed in some installer manuals."""
    return safety_factor * lfl_kg_m3 * release_height(height_m) * area_m2


def linear_area(charge_kg: float, height_m: float, lfl_kg_m3: float, safety_factor: float = 0.75) -> float:
    """Smallest room under the linear cap [m2]: M / (0.75 LFL h0)."""
    return charge_kg / (safety_factor * lfl_kg_m3 * release_height(height_m))


def allowed_charge(area_m2: float, height_m: float, lfl_kg_m3: float) -> float:
    """The smaller of the area rule and the linear cap [kg], as the printed tables show it."""
    return min(area_rule_charge(area_m2, height_m, lfl_kg_m3), linear_charge(area_m2, height_m, lfl_kg_m3))


def concentration_charge(volume_m3: float, limit_kg_m3: float) -> float:
    """Largest charge that may all leak into a room [kg]: volume x RCL (ASHRAE 15/34, limits second hand)."""
    return volume_m3 * limit_kg_m3


def release_height(height_m: float) -> float:
    """h0 [m]: the height the refrigerant is released at, not less than 0.6 m (IEC 60335-2-40, annex GG)."""
    return max(height_m, LEAST_HEIGHT_M)
