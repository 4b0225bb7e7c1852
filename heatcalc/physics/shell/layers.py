"""Surfaces, air layers and layered elements with bridging: steady heat flow from room to outdoors, ISO 6946 and the two classical
limits.  Air layers are unventilated by thickness, direction and emittance, ventilated by their openings.

A layer's own values are those of its main section (the cavity); each bridge takes a share of the area.
Bridged layers cross each other at random unless they carry the same `pattern` (two insulations between the
same studs).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

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


MERGE_BELOW_M2K_W = 0.005  # a sheet this thin thermally is one with its neighbour in a chain of nodes


@dataclass(frozen=True, kw_only=True)
class Bridge:
    """Another material that takes `share` of a layer's area, full depth of the layer."""

    name: str
    share: float
    resistance_m2K_W: float
    density_kg_m3: float = 0.0
    specific_heat_J_kgK: float = 0.0
    vapour_resistance_factor: float = 1.0


@dataclass(frozen=True)
class Fasteners:
    """Metal through a layer: conductivity [W/mK], section [m2], number per area [1/m2], how deep [m]."""

    conductivity: float
    area_m2: float
    per_m2: float
    depth_m: float


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer, inside to outside in its element; areal SI values of the main section.

    `gaps_W_m2K` and `fasteners` make the ISO 6946 correction dU'' before it is scaled by (R1/RT)^2;
    `added_W_m2K` is the heat flow of repeated linear or point bridges, added to U as it is.
    """

    name: str
    thickness_m: float
    resistance_m2K_W: float
    density_kg_m3: float = 0.0
    specific_heat_J_kgK: float = 0.0
    vapour_resistance_factor: float = 1.0
    bridges: tuple[Bridge, ...] = ()
    pattern: str = ""
    gaps_W_m2K: float = 0.0
    fasteners: Fasteners | None = None
    added_W_m2K: float = 0.0

    @property
    def main_share(self) -> float:
        """Share of the area without a bridge."""
        return 1.0 - sum(b.share for b in self.bridges)

    @property
    def penetration_W_m2K(self) -> float:
        """dU'' of gaps and fasteners before it is scaled by (R1/RT)^2 [W/m2K] (ISO 6946)."""
        f = self.fasteners
        if f is None:
            return self.gaps_W_m2K
        return self.gaps_W_m2K + fastener_penetration(f.conductivity, f.area_m2, f.per_m2, f.depth_m, self.thickness_m)

    @property
    def sections(self) -> list[tuple[float, float]]:
        """(share, resistance) of the main section and of each bridge."""
        return [(self.main_share, self.resistance_m2K_W), *((b.share, b.resistance_m2K_W) for b in self.bridges)]

    @property
    def mass_kg_m2(self) -> float:
        """Mass per area, bridges included."""
        density = self.main_share * self.density_kg_m3 + sum(b.share * b.density_kg_m3 for b in self.bridges)
        return density * self.thickness_m

    @property
    def heat_capacity_J_m2K(self) -> float:
        """Areal heat capacity, bridges included."""
        main = self.main_share * self.density_kg_m3 * self.specific_heat_J_kgK
        rest = sum(b.share * b.density_kg_m3 * b.specific_heat_J_kgK for b in self.bridges)
        return (main + rest) * self.thickness_m

    @property
    def sd_m(self) -> float:
        """Equivalent air layer for vapour diffusion of the main section, mu d [m] (ISO 13788)."""
        return self.vapour_resistance_factor * self.thickness_m


@dataclass(frozen=True, kw_only=True)
class UValue:
    """Thermal transmittances [W/m2K] by each method; `r_total` = 1/`combined` [m2K/W].

    `upper_limit` and `lower_limit` are U from the upper and lower limit of total resistance with the same
    `correction` as `combined`, so upper_limit <= combined <= lower_limit.  `parallel_path` and `isothermal_planes`
    are the two classical values, without corrections.
    """

    combined: float
    upper_limit: float
    lower_limit: float
    parallel_path: float
    isothermal_planes: float
    r_total: float
    correction: float


def equivalent_resistance(layer: Layer) -> float:
    """R of a layer between isothermal planes, 1/sum(f/R) [m2K/W].  ISO 6946, lower limit."""
    if not layer.bridges:
        return layer.resistance_m2K_W
    return 1.0 / sum(share / resistance for share, resistance in layer.sections)


def lower_limit_resistance(layers: Sequence[Layer], r_inside: float, r_outside: float) -> float:
    """Lower limit of total resistance: planes between layers isothermal [m2K/W].  ISO 6946."""
    return r_inside + r_outside + sum(equivalent_resistance(layer) for layer in layers)


def heat_paths(layers: Sequence[Layer], r_inside: float, r_outside: float) -> list[tuple[float, float]]:
    """(share, total resistance) of every straight path; crossing patterns multiply their shares.  ISO 6946.

    Raises ValueError where layers of one pattern differ in their shares.
    """
    plain = sum(layer.resistance_m2K_W for layer in layers if not layer.bridges)
    paths = [(1.0, r_inside + r_outside + plain)]
    for sections in _pattern_sections(layers):
        paths = [(f * share, r + resistance) for f, r in paths for share, resistance in sections]
    return paths


def _pattern_sections(layers: Sequence[Layer]) -> list[list[tuple[float, float]]]:
    patterns: dict[object, list[tuple[float, float]]] = {}
    for i, layer in enumerate(layers):
        if layer.bridges:
            key = layer.pattern or i
            patterns[key] = _aligned(patterns[key], layer) if key in patterns else layer.sections
    return list(patterns.values())


def _aligned(before: list[tuple[float, float]], layer: Layer) -> list[tuple[float, float]]:
    here = layer.sections
    if [round(s, 9) for s, _ in before] != [round(s, 9) for s, _ in here]:
        raise ValueError(f"layers of pattern {layer.pattern!r} must have the same bridge shares")
    return [(share, r + more) for (share, r), (_, more) in zip(before, here, strict=True)]


def upper_limit_resistance(layers: Sequence[Layer], r_inside: float, r_outside: float) -> float:
    """Upper limit of total resistance: heat flows straight, paths in parallel [m2K/W].  ISO 6946."""
    return 1.0 / sum(share / resistance for share, resistance in heat_paths(layers, r_inside, r_outside))


def u_value(layers: Sequence[Layer], r_inside: float, r_outside: float) -> UValue:
    """Thermal transmittance by the combined method, R_T = (R_upper + R_lower)/2, plus corrections.

    ISO 6946 combined method and its corrections (from memory of the standard's text); films in m2K/W.
    The standard lets corrections under 3 % of U be left out; here they always count.
    """
    upper = upper_limit_resistance(layers, r_inside, r_outside)
    lower = lower_limit_resistance(layers, r_inside, r_outside)
    total = 0.5 * (upper + lower)
    extra = sum(correction(layer, total) for layer in layers)
    combined = 1.0 / total + extra
    return UValue(
        combined=combined,
        upper_limit=1.0 / upper + extra,
        lower_limit=1.0 / lower + extra,
        parallel_path=1.0 / upper,
        isothermal_planes=1.0 / lower,
        r_total=1.0 / combined,
        correction=extra,
    )


def correction(layer: Layer, r_total: float) -> float:
    """What gaps, fasteners and repeated bridges of one layer add to U [W/m2K].  ISO 6946, dU'' (R1/RT)^2."""
    return layer.penetration_W_m2K * (layer.resistance_m2K_W / r_total) ** 2 + layer.added_W_m2K


def fastener_penetration(conductivity: float, area_m2: float, per_m2: float, depth_m: float, thickness_m: float) -> float:
    """dU'' of mechanical fasteners, alpha k A n/d0 with alpha 0.8 d1/d0 (0.8 through the layer) [W/m2K].

    ISO 6946 (from memory); `depth_m` how far the fastener goes into a layer `thickness_m` thick.
    """
    alpha = 0.8 * min(depth_m / thickness_m, 1.0)
    return alpha * conductivity * area_m2 * per_m2 / thickness_m


def tapered_u(r_rest: float, r_thickest: float, shape: str) -> float:
    """U of an element with a layer that tapers from 0 to `r_thickest`, rest and films being `r_rest` [W/m2K].

    ISO 6946 tapered layers (from memory): shape "rectangle", or a triangle "thick at apex" or "thin at apex".
    """
    x = r_thickest / r_rest
    if shape == "rectangle":
        return math.log1p(x) / r_thickest
    if shape == "thick at apex":
        return 2.0 / r_thickest * ((1.0 + 1.0 / x) * math.log1p(x) - 1.0)
    if shape == "thin at apex":
        return 2.0 / r_thickest * (1.0 - math.log1p(x) / x)
    raise ValueError(f"unknown taper shape {shape!r}")


def with_fitted_taper(layers: Sequence[Layer], index: int, r_step: float, shape: str, films: float) -> tuple[Layer, ...]:
    """The layers with a taper of resistance 0 to `r_step` added to one of them as an equivalent constant one."""
    rest = 0.5 * (lower_limit_resistance(layers, films, 0.0) + upper_limit_resistance(layers, films, 0.0))
    added = 1.0 / tapered_u(rest, r_step, shape) - rest
    fitted = replace(layers[index], resistance_m2K_W=layers[index].resistance_m2K_W + added)
    return (*layers[:index], fitted, *layers[index + 1 :])


def layer_resistances(layers: Sequence[Layer], r_inside: float, r_outside: float) -> np.ndarray:
    """Resistance of each layer scaled so that with the films they make up `r_total` [m2K/W].

    The one-dimensional stand-in of a bridged element: right steady U, real layer order.
    """
    raw = np.array([equivalent_resistance(layer) for layer in layers])
    return raw * ((u_value(layers, r_inside, r_outside).r_total - r_inside - r_outside) / raw.sum())


def thermal_chain(layers: Sequence[Layer], r_inside: float, r_outside: float) -> tuple[np.ndarray, np.ndarray]:
    """(resistance [m2K/W], heat capacity [J/m2K]) of each slab, inside to outside, surface to surface.

    sum(resistance) + films = r_total, so a dynamic network carries the same steady U; sheets below
    0.005 m2K/W are joined to the neighbour on their outer side (the last one to its inner side).
    """
    resistance = layer_resistances(layers, r_inside, r_outside)
    slabs: list[list[float]] = []
    thin = [0.0, 0.0]
    for r, layer in zip(resistance, layers, strict=True):
        slab = [thin[0] + float(r), thin[1] + layer.heat_capacity_J_m2K]
        joined = slab[0] < MERGE_BELOW_M2K_W
        thin = slab if joined else [0.0, 0.0]
        if not joined:
            slabs.append(slab)
    if slabs:
        slabs[-1] = [slabs[-1][0] + thin[0], slabs[-1][1] + thin[1]]
    else:
        slabs = [thin]
    chain = np.array(slabs)
    return chain[:, 0], chain[:, 1]
