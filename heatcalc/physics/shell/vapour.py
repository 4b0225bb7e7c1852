"""Vapour and surfaces: mould limit, diffusion with condensation and drying.  ISO 13788.

The saturation pressure here is the one ISO 13788 prescribes for this method (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from heatcalc.physics.air.moist_air import ZERO_C_K

AIR_PERMEABILITY = 2.0e-10  # kg/(m s Pa), ISO 13788
GAS_CONSTANT_VAPOUR = 461.5  # J/(kg K)
PERM = 5.721e-11  # kg/(s m2 Pa)
MOULD_RH = 0.8
R_SI_MOULD = 0.25  # behind furniture and in corners; ISO 13788 for opaque elements
R_SI_GLASS = 0.13  # ISO 13788 for glazing and frames
FINE_M2K_W = 0.25  # slabs above this are divided, ISO 13788
MONTH_S = tuple(86400.0 * d for d in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))


def saturation_pressure(temperature_C):
    """p_sat [Pa] over water from 0 degC, over ice below; float or array.  ISO 13788 annex (from memory)."""
    t = np.asarray(temperature_C, dtype=float)
    water = 610.5 * np.exp(17.269 * np.maximum(t, 0.0) / (237.3 + np.maximum(t, 0.0)))
    ice = 610.5 * np.exp(21.875 * np.minimum(t, 0.0) / (265.5 + np.minimum(t, 0.0)))
    return np.where(t >= 0.0, water, ice)[()]


def saturation_temperature(pressure_Pa: float) -> float:
    """Temperature [degC] at which `pressure_Pa` saturates; inverse of `saturation_pressure`.  ISO 13788 annex."""
    ratio = math.log(pressure_Pa / 610.5)
    return 237.3 * ratio / (17.269 - ratio) if ratio >= 0.0 else 265.5 * ratio / (21.875 - ratio)


def temperature_factor(surface_C: float, outdoor_C: float, indoor_C: float) -> float:
    """f_Rsi = (t_si - t_e)/(t_i - t_e) [-].  ISO 13788."""
    return (surface_C - outdoor_C) / (indoor_C - outdoor_C)


def path_temperature_factor(r_total: float, r_inside: float, r_surface: float = R_SI_MOULD) -> float:
    """f_Rsi of a straight path whose total resistance holds the film `r_inside`, with `r_surface` in its place [-]."""
    return 1.0 - r_surface / (r_total - r_inside + r_surface)


def lowest_safe_surface(vapour_pressure_Pa: float, surface_rh: float = MOULD_RH) -> float:
    """Surface temperature [degC] at which the surface humidity reaches `surface_rh`.  ISO 13788, 80 % for mould."""
    return saturation_temperature(vapour_pressure_Pa / surface_rh)


def needed_temperature_factor(
    vapour_pressure_Pa: float, outdoor_C: float, indoor_C: float, surface_rh: float = MOULD_RH
) -> float:
    """Smallest f_Rsi that keeps the surface below `surface_rh`; 0 where no surface could be too cold.  ISO 13788 [-]."""
    if indoor_C - outdoor_C < 0.5:
        return 0.0
    surface = lowest_safe_surface(vapour_pressure_Pa, surface_rh)
    return max(temperature_factor(surface, outdoor_C, indoor_C), 0.0)


def vapour_excess(generation_kg_s: float, flow_m3_s: float, indoor_C: float) -> float:
    """Indoor over outdoor vapour pressure of moisture carried off by air, G R_v T/V [Pa].  ISO 13788."""
    return generation_kg_s * GAS_CONSTANT_VAPOUR * (indoor_C + ZERO_C_K) / flow_m3_s


def class_excess(outdoor_C: float, excess_at_0C_Pa: float) -> float:
    """Vapour excess of an ISO 13788 humidity class: full up to 0 degC, falling to none at 20 degC [Pa]."""
    return excess_at_0C_Pa * min(max((20.0 - outdoor_C) / 20.0, 0.0), 1.0)


def floating_indoor_temperature(outdoor_C: float, heated_C: float, cooled_C: float) -> float:
    """Indoor temperature of a month [degC]: heated up to 10 degC outdoors, cooled from 20 degC, a straight line between.

    The line of EN 15026 annex C (from memory), with the house's own two temperatures at its ends.
    """
    return heated_C + (cooled_C - heated_C) * min(max((outdoor_C - 10.0) / 10.0, 0.0), 1.0)


def retarder_class(sd_m: float) -> str:
    """Vapour retarder class of a layer from its equivalent air layer: I to 0.1, II to 1, III to 10 perm.

    2021 IRC R702.7; a class is tested on the product (ASTM E96), this only places its table value.
    """
    perms = AIR_PERMEABILITY / sd_m / PERM
    for limit, name in ((0.1, "I"), (1.0, "II"), (10.0, "III")):
        if perms <= limit:
            return name
    return "none"


def divided(resistance: Sequence[float], sd: Sequence[float]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(resistance, sd, layer index) of slabs cut to at most 0.25 m2K/W each.  ISO 13788."""
    pieces = [max(1, math.ceil(r / FINE_M2K_W)) for r in resistance]
    owner = np.repeat(np.arange(len(pieces)), pieces)
    share = np.repeat(1.0 / np.array(pieces), pieces)
    return np.asarray(resistance)[owner] * share, np.asarray(sd)[owner] * share, owner


def interface_temperatures(
    resistance: Sequence[float] | np.ndarray, r_inside: float, r_outside: float, indoor_C: float, outdoor_C: float
) -> np.ndarray:
    """Temperatures of the inner surface, each interface and the outer surface [degC]; steady, straight."""
    passed = r_inside + np.concatenate([[0.0], np.cumsum(resistance)])
    return indoor_C - (indoor_C - outdoor_C) * passed / (passed[-1] + r_outside)


def vapour_pressures(
    sd: np.ndarray, saturation: np.ndarray, inside_Pa: float, outside_Pa: float, wet: Sequence[int] = ()
) -> np.ndarray:
    """Steady vapour pressure at every interface [Pa]: at most saturated, saturated where `wet`.

    The ISO 13788 construction is the lower convex hull of the saturation line over the sd axis, between the two
    air pressures and the interfaces that already hold water.
    """
    x = np.concatenate([[0.0], np.cumsum(sd)])
    y = np.asarray(saturation, dtype=float).copy()
    y[0], y[-1] = min(inside_Pa, y[0]), min(outside_Pa, y[-1])
    fixed = sorted({0, len(x) - 1, *wet})
    corners = [0]
    for start, end in zip(fixed, fixed[1:], strict=False):
        corners += _hull(x, y, start, end)[1:]
    return np.interp(x, x[corners], y[corners])


def _hull(x: np.ndarray, y: np.ndarray, start: int, end: int) -> list[int]:
    """Indices of the lower convex hull of the points from `start` to `end`."""
    hull = [start]
    for k in range(start + 1, end + 1):
        while len(hull) > 1 and _bends_up(x, y, hull[-2], hull[-1], k):
            hull.pop()
        hull.append(k)
    return hull


def _bends_up(x: np.ndarray, y: np.ndarray, a: int, b: int, c: int) -> bool:
    """Whether b lies on or above the line from a to c."""
    return bool((y[b] - y[a]) * (x[c] - x[a]) >= (y[c] - y[a]) * (x[b] - x[a]))


def condensation_rates(sd: np.ndarray, pressures: np.ndarray) -> np.ndarray:
    """Water that stays at each inner interface, delta_0 (g_in - g_out); negative dries [kg/(s m2)].  ISO 13788."""
    flow = AIR_PERMEABILITY * (pressures[:-1] - pressures[1:]) / sd
    rates = np.zeros(len(pressures))
    rates[1:-1] = flow[:-1] - flow[1:]
    rates[np.abs(rates) < 1e-18] = 0.0
    return rates


def month_of_moisture(
    sd: np.ndarray, saturation: np.ndarray, inside_Pa: float, outside_Pa: float, water: np.ndarray, seconds: float
) -> np.ndarray:
    """Water at each interface after a month that begins with `water` [kg/m2].  ISO 13788.

    An interface that dries during the month is dry for the rest of it (the month is split there).
    """
    water = water.copy()
    for _ in range(4 * len(water)):
        held = np.flatnonzero(water > 0.0)
        pressures = vapour_pressures(sd, saturation, inside_Pa, outside_Pa, held.tolist())
        rates = condensation_rates(sd, pressures)
        drying = held[rates[held] < 0.0]
        until = np.full(len(water), math.inf)
        until[drying] = water[drying] / -rates[drying]
        step = min(seconds, float(until.min()))
        water = np.maximum(water + rates * step, 0.0)
        water[until <= step] = 0.0
        seconds -= step
        if seconds <= 0.0:
            break
    return water


def year_of_moisture(
    sd: np.ndarray, saturation: np.ndarray, inside_Pa: Sequence[float], outside_Pa: Sequence[float]
) -> tuple[np.ndarray, int]:
    """(water at each interface at the end of each month, 12 x n [kg/m2]; first month) of one year begun dry.

    The year begins with the first month of condensation after a month without (ISO 13788), else with January.
    `saturation` is 12 x n [Pa].
    """
    dry = np.zeros(saturation.shape[1])
    alone = [month_of_moisture(sd, saturation[m], inside_Pa[m], outside_Pa[m], dry, MONTH_S[m]).sum() > 0.0 for m in range(12)]
    first = next((m for m in range(12) if alone[m] and not alone[m - 1]), 0)
    water, kept = dry, np.zeros(saturation.shape)
    for m in [(first + k) % 12 for k in range(12)]:
        water = month_of_moisture(sd, saturation[m], inside_Pa[m], outside_Pa[m], water, MONTH_S[m])
        kept[m] = water
    return kept, first


def dew_point_depth(
    resistance: Sequence[float], thickness: Sequence[float], temperatures: np.ndarray, dew_point_C: float
) -> float | None:
    """Depth from the inner surface [m] where the steady temperature passes the dew point; None if nowhere."""
    if temperatures[0] <= dew_point_C:
        return 0.0
    depth = np.concatenate([[0.0], np.cumsum(thickness)])
    for k in range(len(resistance)):
        if temperatures[k] > dew_point_C >= temperatures[k + 1]:
            part = (temperatures[k] - dew_point_C) / (temperatures[k] - temperatures[k + 1])
            return float(depth[k] + part * (depth[k + 1] - depth[k]))
    return None
