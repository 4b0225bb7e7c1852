"""Surface resistances of building elements."""

from __future__ import annotations

from functools import cache

from heatcalc.physics.air.moist_air import ZERO_C_K
from heatcalc.tables import rows

STEFAN_BOLTZMANN_W_m2K4 = 5.670374419e-8  # CODATA 2018
CONVECTION_INSIDE_W_m2K = {"up": 5.0, "horizontal": 2.5, "down": 0.7}  # ISO 6946, from memory
DIRECTIONS = ("up", "horizontal", "down")
MIXED = 3.2  # exponent that joins still and forced convection: Awbi and Hatton 2000, from memory


@cache
def surface_resistance(surface: str, direction: str, convention: str = "iso") -> float:
    """Design surface resistance [m2K/W] by heat flow direction (ISO 6946, or North American code air films).

    surface "inside", "outside" or, in the North American set, "sheltered".  Raises KeyError for another name.
    """
    for row in rows("films"):
        if (row["convention"], row["surface"]) == (convention, surface) and row["direction"] in (direction, "any"):
            return float(row["resistance_m2K_W"])
    raise KeyError(f"no {convention} film for {surface} {direction}")


def radiative_coefficient(emittance: float, mean_C: float) -> float:
    """Linearised long-wave coefficient h_r = 4 E sigma T^3 [W/m2K], ISO 6946:2017 C.1."""
    return 4.0 * emittance * STEFAN_BOLTZMANN_W_m2K4 * (mean_C + ZERO_C_K) ** 3


def jet_film(surface: str, speed_m_s: float, slot_m: float) -> float:
    """Forced convection h_f = C W^m U^n [W/m2K] of a "ceiling", "wall" or "floor" that a jet sweeps.

    U speed [m/s] and W height [m] of the slot it leaves.  H. B. Awbi and A. Hatton, "Mixed convection from heated room
    surfaces", 2000, from memory; its range is not at hand: taken up to 6 m/s.  Raises KeyError for another surface.
    """
    row = _jets()[surface]
    return row["coefficient"] * slot_m ** row["slot_exponent"] * speed_m_s ** row["speed_exponent"]


@cache
def _jets() -> dict[str, dict[str, float]]:
    numbers = ("coefficient", "slot_exponent", "speed_exponent")
    return {row["surface"]: {name: float(row[name]) for name in numbers} for row in rows("jet_films")}


def mixed_film(still: float, forced: float) -> float:
    """h = (h_n^3.2 + h_f^3.2)^(1/3.2) [W/m2K], `still` itself without a jet.  Awbi and Hatton 2000, from memory."""
    return still * (1.0 + (forced / still) ** MIXED) ** (1.0 / MIXED)


def cladding_share(r_sheltered: float, outside_film: float, emittance: float = 0.9, mean_C: float = 20.0) -> float:
    """Share of the sun on a well-ventilated cladding that reaches the surface behind it, h_r/(h_o + 1/R_s) [-].

    The cavity is at outdoor air and both its faces have the sheltered film 1/R_s (ISO 6946); the cladding loses h_o
    [W/m2K] in front.  Its warm back reaches the wall by radiation alone, h_r = 4 sigma T^3/(2/eps - 1) between two
    parallel faces.  Own choice: no source prints a share.
    """
    between = radiative_coefficient(1.0 / (2.0 / emittance - 1.0), mean_C)
    return between / (outside_film + 1.0 / r_sheltered)


def inside_resistance(direction: str, emittance: float = 0.9, mean_C: float = 20.0) -> float:
    """Rsi = 1/(h_c + h_r) with h_c 5.0 up, 2.5 horizontal, 0.7 down [m2K/W].  ISO 6946 annex, from memory."""
    return 1.0 / (CONVECTION_INSIDE_W_m2K[direction] + radiative_coefficient(emittance, mean_C))


def outside_resistance(wind_m_s: float, emittance: float = 0.9, mean_C: float = 0.0) -> float:
    """Rse = 1/(4 + 4 v + h_r) in wind of 1 to 10 m/s [m2K/W].  ISO 6946 annex, from memory."""
    return 1.0 / (4.0 + 4.0 * wind_m_s + radiative_coefficient(emittance, mean_C))
