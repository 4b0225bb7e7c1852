"""Water in the air of a house: what is set free against what the air carries away.

Flows in m3/s of indoor air, water in kg/s, humidity ratio in kg/kg.  `density` is the dry air in a cubic
metre, 1 / `moist_air.specific_volume`.  Materials that hold moisture are one buffer: the air's own mass
times a multiplier.
"""

from __future__ import annotations

import math

import numpy as np

from heatcalc.physics.air import moist_air
from heatcalc.tables import rows

PROPANE_HEAT_J_KG = 50.35e6  # gross heat of combustion, from memory (21 650 Btu/lb)
OUTDOOR_CO2_PPM = 420.0  # global mean of the early 2020s, from memory


def steady_humidity_ratio(outdoor, generation_kg_s, flow_m3_s, density):
    """W = W_out + G / (rho Q), the steady water balance of a well-mixed space; never below zero.

    `generation_kg_s` is net of removal.  Raises ValueError where no air moves.
    """
    if np.any(np.asarray(flow_m3_s) <= 0):
        raise ValueError("without outdoor air the humidity has no steady value")
    return np.maximum(outdoor + generation_kg_s / (density * flow_m3_s), 0.0)


def dry_surface_flow(
    generation_kg_s: float,
    outdoor: float,
    surface_C: float,
    density: float,
    pressure_Pa: float = moist_air.SEA_LEVEL_PA,
    surface_relative: float = 1.0,
) -> float:
    """Smallest outdoor air that keeps a surface dry [m3/s]: Q = G / (rho (W_s - W_out)), W_s at the surface.

    `surface_relative` 1 keeps it free of condensate, 0.8 is the usual mould limit (ISO 13788, from memory).
    Infinite where the outdoor air is as wet as the surface allows; zero without a source.
    """
    room = moist_air.humidity_ratio_from_relative(surface_C, surface_relative, pressure_Pa) - outdoor
    if generation_kg_s <= 0:
        return 0.0 if room >= 0 else math.inf
    return generation_kg_s / (density * room) if room > 0 else math.inf


def surface_temperature(indoor_C: float, outdoor_C: float, u_value: float, inside_film: float) -> float:
    """t_s = t_i - U R_si (t_i - t_o), one-dimensional steady heat flow through the inside film [degC]."""
    return indoor_C - u_value * inside_film * (indoor_C - outdoor_C)


def humidity_step(
    humidity_ratio: float, outdoor: float, generation_kg_s: float, air_kg_s: float, buffer_kg: float, seconds: float
) -> float:
    """Humidity ratio after a time with constant inputs, the exact solution of M dW/dt = G - m (W - W_out).

    `buffer_kg` is the dry air of the room times the multiplier of its materials.  Never below zero.
    """
    if air_kg_s <= 0:
        return max(humidity_ratio + generation_kg_s * seconds / buffer_kg, 0.0)
    goal = outdoor + generation_kg_s / air_kg_s
    return max(goal + (humidity_ratio - goal) * math.exp(-air_kg_s * seconds / buffer_kg), 0.0)


def humidity_walk(
    start: float, outdoor, generation_kg_s, air_kg_s, buffer_kg: float, ceiling=None, seconds: float = 3600.0
) -> np.ndarray:
    """Humidity ratio at the end of every step (default hours), `humidity_step` in a row.

    `ceiling`: saturation of the coldest surface; water above it is taken to condense there and leave the air.
    """
    limits = np.full(len(outdoor), math.inf) if ceiling is None else np.broadcast_to(ceiling, len(outdoor))
    here, result = start, np.empty(len(outdoor))
    steps = zip(outdoor, generation_kg_s, air_kg_s, limits, strict=True)
    for i, (outside, source, air, limit) in enumerate(steps):
        here = min(humidity_step(here, outside, source, air, buffer_kg, seconds), limit)
        result[i] = here
    return result


def propane_water(heat_W):
    """Water of an unvented propane flame [kg/s]: 1.634 kg per kg of fuel, by the chemical balance."""
    ratio = next(float(r["kg"]) for r in rows("moisture_sources") if r["name"] == "propane")
    return ratio * heat_W / PROPANE_HEAT_J_KG


def carbon_dioxide(people: float, litres_s_each: float, flow_m3_s: float, outdoor_ppm: float = OUTDOOR_CO2_PPM) -> float:
    """Steady CO2 [ppm] = outdoor + 1e6 N g / Q, well mixed.  A sanity figure, not a health judgement."""
    return outdoor_ppm + 1e3 * people * litres_s_each / flow_m3_s
