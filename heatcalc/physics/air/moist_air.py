"""Moist air as a mixture of perfect gases, and the water in the air of a house: set free against carried away.

Source of every relation of moist air: ASHRAE Handbook - Fundamentals (SI) 2021, chapter 1.  The perfect-gas form omits
the enhancement factor of real air (1.004 to 1.006 near sea level), so a saturated humidity ratio is 0.4 to
0.7 % below the real-gas tables between -20 and 50 C.  The chapter allows that; a year of hours becomes cheap.
Humidity ratio is kg of water per kg of dry air; relative humidity runs from 0 to 1.

In a house flows are m3/s of indoor air, water is kg/s; `density` is the dry air in a cubic metre, 1 / `specific_volume`.
Materials that hold moisture are one buffer: the air's own mass times a multiplier.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from heatcalc.tables import rows

ZERO_C_K = 273.15
TRIPLE_POINT_C = 0.01  # where the ice and water branches meet without a step
GAS_CONSTANT_DRY_AIR = 287.042  # J/kgK, ch. 1 eq. 1
MASS_RATIO = 0.621945  # molar mass of water over dry air, ch. 1 eq. 20
CP_DRY_AIR = 1006.0  # J/kgK, ch. 1 eq. 28
CP_VAPOUR = 1860.0  # J/kgK, ch. 1 eq. 30
VAPORISATION = 2_501_000.0  # J/kg at 0 C, ch. 1 eq. 30
COLDEST_C, HOTTEST_C = -100.0, 200.0
SEA_LEVEL_PA = 101_325.0


@cache
def _coefficients(name: str) -> tuple[float, ...]:
    row = next(r for r in rows("moist_air") if r["name"] == name)
    return tuple(float(row[f"c{i}"]) for i in range(1, 8))


def _branch(name: str, kelvin):
    """ln p_ws on one branch, and its slope per kelvin."""
    c1, c2, c3, c4, c5, c6, c7 = _coefficients(name)
    log = c1 / kelvin + c2 + kelvin * (c3 + kelvin * (c4 + kelvin * (c5 + kelvin * c6))) + c7 * np.log(kelvin)
    slope = -c1 / kelvin**2 + c3 + kelvin * (2 * c4 + kelvin * (3 * c5 + kelvin * 4 * c6)) + c7 / kelvin
    return log, slope


def _log_saturation(temperature_C):
    kelvin = np.clip(temperature_C, COLDEST_C, HOTTEST_C) + ZERO_C_K
    ice, water = _branch("saturation_ice", kelvin), _branch("saturation_water", kelvin)
    frozen = kelvin <= TRIPLE_POINT_C + ZERO_C_K
    return np.where(frozen, ice[0], water[0]), np.where(frozen, ice[1], water[1])


def saturation_pressure(temperature_C):
    """Vapour pressure over ice (below 0.01 C) or water [Pa], ch. 1 eq. 5, 6; -100 to 200 C, held beyond."""
    return np.exp(_log_saturation(temperature_C)[0])[()]


def pressure_at_altitude(elevation_m):
    """Standard barometric pressure [Pa], 101325 (1 - 2.25577e-5 Z)^5.2559, ch. 1 eq. 3; -5000 to 11000 m."""
    return SEA_LEVEL_PA * (1 - 2.25577e-5 * elevation_m) ** 5.2559


def humidity_ratio(vapour_pressure_Pa, pressure_Pa=SEA_LEVEL_PA):
    """W = 0.621945 p_w / (p - p_w), ch. 1 eq. 20.  ValueError where vapour pressure reaches the total."""
    if np.any(np.asarray(vapour_pressure_Pa) >= pressure_Pa):
        raise ValueError("vapour pressure reaches the total pressure: no dry air is left")
    return MASS_RATIO * vapour_pressure_Pa / (pressure_Pa - vapour_pressure_Pa)


def vapour_pressure(humidity_ratio_kg_kg, pressure_Pa=SEA_LEVEL_PA):
    """p_w = p W / (0.621945 + W) [Pa], ch. 1 eq. 36."""
    return pressure_Pa * humidity_ratio_kg_kg / (MASS_RATIO + humidity_ratio_kg_kg)


def saturated_humidity_ratio(temperature_C, pressure_Pa=SEA_LEVEL_PA):
    """Humidity ratio of saturated air, ch. 1 eq. 21."""
    return humidity_ratio(saturation_pressure(temperature_C), pressure_Pa)


def humidity_ratio_from_relative(dry_bulb_C, relative, pressure_Pa=SEA_LEVEL_PA):
    """Humidity ratio from dry bulb and relative humidity (0 to 1), ch. 1 eq. 22 and 20."""
    return humidity_ratio(relative * saturation_pressure(dry_bulb_C), pressure_Pa)


def humidity_ratio_from_dew_point(dew_point_C, pressure_Pa=SEA_LEVEL_PA):
    """Humidity ratio from the dew (or frost) point, ch. 1 eq. 20 with p_w = p_ws(t_d)."""
    return saturated_humidity_ratio(dew_point_C, pressure_Pa)


def humidity_ratio_from_wet_bulb(dry_bulb_C, wet_bulb_C, pressure_Pa=SEA_LEVEL_PA):
    """Humidity ratio from dry and thermodynamic wet bulb, ch. 1 eq. 33 (water) and 35 (ice, below 0.01 C)."""
    saturated = saturated_humidity_ratio(wet_bulb_C, pressure_Pa)
    drop = 1.006 * (dry_bulb_C - wet_bulb_C)
    water = ((2501 - 2.326 * wet_bulb_C) * saturated - drop) / (2501 + 1.86 * dry_bulb_C - 4.186 * wet_bulb_C)
    ice = ((2830 - 0.24 * wet_bulb_C) * saturated - drop) / (2830 + 1.86 * dry_bulb_C - 2.1 * wet_bulb_C)
    return np.where(np.asarray(wet_bulb_C) > TRIPLE_POINT_C, water, ice)[()]


def relative_humidity(dry_bulb_C, humidity_ratio_kg_kg, pressure_Pa=SEA_LEVEL_PA):
    """phi = p_w / p_ws(t), ch. 1 eq. 22; 0 to 1 (above 1: more water than air can hold as vapour)."""
    return vapour_pressure(humidity_ratio_kg_kg, pressure_Pa) / saturation_pressure(dry_bulb_C)


def dew_point(humidity_ratio_kg_kg, pressure_Pa=SEA_LEVEL_PA):
    """Dew (frost) point [C] of air; see `dew_point_of`."""
    return dew_point_of(vapour_pressure(humidity_ratio_kg_kg, pressure_Pa))


def dew_point_of(vapour_pressure_Pa):
    """Temperature [C] whose saturation pressure is the given vapour pressure.

    First guess ch. 1 eq. 37 and 38, then Newton's rule on ln p_ws to below 1e-6 K; -100 C for drier air.
    """
    driest, wettest = saturation_pressure(COLDEST_C), saturation_pressure(HOTTEST_C)
    target = np.log(np.clip(vapour_pressure_Pa, driest, wettest))
    alpha = target - np.log(1000.0)
    frost = 6.09 + 12.608 * alpha + 0.4959 * alpha**2
    dew = 6.54 + 14.526 * alpha + 0.7389 * alpha**2 + 0.09486 * alpha**3 + 0.4569 * np.exp(0.1984 * alpha)
    guess = np.where(alpha < np.log(0.61166), frost, dew)
    for _ in range(6):
        log, slope = _log_saturation(guess)
        guess = np.clip(guess - (log - target) / slope, COLDEST_C, HOTTEST_C)
    return guess[()]


def wet_bulb(dry_bulb_C, humidity_ratio_kg_kg, pressure_Pa=SEA_LEVEL_PA):
    """Thermodynamic wet bulb [C]: the root of `humidity_ratio_from_wet_bulb` between dew point and dry bulb.

    Halving to 1e-7 K.  For air whose wet bulb is within a few tenths of 0 C both an iced and a wet wick
    satisfy the definition; the halving settles on one of them, always the same.
    """
    low = np.minimum(dew_point(humidity_ratio_kg_kg, pressure_Pa), dry_bulb_C) + 0.0 * dry_bulb_C
    high = dry_bulb_C + 0.0 * low
    for _ in range(32):
        middle = 0.5 * (low + high)
        dry = humidity_ratio_from_wet_bulb(dry_bulb_C, middle, pressure_Pa) < humidity_ratio_kg_kg
        low, high = np.where(dry, middle, low), np.where(dry, high, middle)
    return (0.5 * (low + high))[()]


def enthalpy(dry_bulb_C, humidity_ratio_kg_kg):
    """h = 1006 t + W (2501000 + 1860 t) [J per kg dry air], ch. 1 eq. 30; zero for dry air at 0 C."""
    return CP_DRY_AIR * dry_bulb_C + humidity_ratio_kg_kg * (VAPORISATION + CP_VAPOUR * dry_bulb_C)


def specific_heat(humidity_ratio_kg_kg):
    """c_p = 1006 + 1860 W [J/K per kg dry air], the temperature derivative of ch. 1 eq. 30."""
    return CP_DRY_AIR + CP_VAPOUR * humidity_ratio_kg_kg


def specific_volume(dry_bulb_C, humidity_ratio_kg_kg, pressure_Pa=SEA_LEVEL_PA):
    """v = 287.042 T (1 + 1.607858 W) / p [m3 per kg dry air], ch. 1 eq. 26."""
    kelvin = dry_bulb_C + ZERO_C_K
    return GAS_CONSTANT_DRY_AIR * kelvin * (1 + humidity_ratio_kg_kg / MASS_RATIO) / pressure_Pa


def density(dry_bulb_C, humidity_ratio_kg_kg=0.0, pressure_Pa=SEA_LEVEL_PA):
    """rho = (1 + W) / v [kg moist air per m3], ch. 1 eq. 10."""
    return (1 + humidity_ratio_kg_kg) / specific_volume(dry_bulb_C, humidity_ratio_kg_kg, pressure_Pa)


def volumetric_heat_capacity(dry_bulb_C, humidity_ratio_kg_kg=0.0, pressure_Pa=SEA_LEVEL_PA):
    """c_p / v [J/m3K]: what one cubic metre of this air carries per kelvin; 1214 at sea level, 20 C."""
    volume = specific_volume(dry_bulb_C, humidity_ratio_kg_kg, pressure_Pa)
    return specific_heat(humidity_ratio_kg_kg) / volume


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
    pressure_Pa: float = SEA_LEVEL_PA,
    surface_relative: float = 1.0,
) -> float:
    """Smallest outdoor air that keeps a surface dry [m3/s]: Q = G / (rho (W_s - W_out)), W_s at the surface.

    `surface_relative` 1 keeps it free of condensate, 0.8 is the usual mould limit (ISO 13788, from memory).
    Infinite where the outdoor air is as wet as the surface allows; zero without a source.
    """
    room = humidity_ratio_from_relative(surface_C, surface_relative, pressure_Pa) - outdoor
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
