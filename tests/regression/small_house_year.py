"""A small house of one node (5R1C of ISO 13790), to compare two years of weather; not the product's own model.

20 m2 floor, A_m 50 m2, C_m 2.2 MJ/K, H_op 47, H_w 18, H_ve 15 W/K; windows 4 S, 2 E, 2 W, 2 N m2, SHGC 0.30, isotropic
sky, ground 0.2; gains 250 W, half to the air; 20.0 and 24.5 C.  Assumed COP: heating 3.6 + 0.07 (T - 8.3) within
1.5 to 5, cooling 4.0 - 0.10 (T - 35) within 2.5 to 8.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.sun.sun import solar_position_year

WINDOWS = ((4.0, 180.0), (2.0, 90.0), (2.0, 270.0), (2.0, 0.0))  # area m2, azimuth
SHGC, GROUND, GAINS_W = 0.30, 0.2, 250.0
FLOOR, MASS_AREA, CAPACITY = 20.0, 50.0, 2.2e6
H_OPAQUE, H_WINDOW, H_VENT = 47.0, 18.0, 15.0
LOW_C, HIGH_C = 20.0, 24.5


@dataclass(frozen=True)
class Needs:
    """Year's heating, cooling [kWh], electricity of both [kWh], and the hourly 99 % values [W]."""

    heating_kWh: float
    cooling_kWh: float
    electricity_kWh: float
    heating_99_W: float
    cooling_99_W: float


def solar_gain(weather) -> np.ndarray:
    sun = solar_position_year(weather.lat, weather.lon, weather.utc_offset_h)
    altitude, azimuth = (np.radians(getattr(sun, k)) for k in ("altitude_deg", "azimuth_deg"))
    total = np.zeros(8760)
    for area, facing in WINDOWS:
        incidence = np.maximum(np.cos(altitude) * np.cos(azimuth - np.radians(facing)), 0.0) * (altitude > 0)
        total += area * SHGC * (weather.dni * incidence + 0.5 * weather.dhi + 0.5 * GROUND * weather.ghi)
    return total


def needs(weather) -> Needs:
    """Annual needs by the hourly method of ISO 13790 annex C (equations from memory)."""
    h_ms, h_is = 9.1 * MASS_AREA, 3.45 * 4.5 * FLOOR
    h_em = 1.0 / (1.0 / H_OPAQUE - 1.0 / h_ms)
    h1 = 1.0 / (1.0 / H_VENT + 1.0 / h_is)
    h2 = h1 + H_WINDOW
    h3 = 1.0 / (1.0 / h2 + 1.0 / h_ms)
    share_m = MASS_AREA / (4.5 * FLOOR)
    share_st = 1.0 - share_m - H_WINDOW / (9.1 * 4.5 * FLOOR)
    inner = 0.5 * GAINS_W + solar_gain(weather)
    air_gain = 0.5 * GAINS_W
    mass, load = 20.0, np.zeros(8760)

    def step(outdoor, inner_w, air_w, start):
        m, st = share_m * inner_w, share_st * inner_w
        total = m + h_em * outdoor + h3 * (st + H_WINDOW * outdoor + h1 * (air_w / H_VENT + outdoor)) / h2
        end = (start * (CAPACITY / 3600 - 0.5 * (h3 + h_em)) + total) / (CAPACITY / 3600 + 0.5 * (h3 + h_em))
        mean = (start + end) / 2
        surface = (h_ms * mean + st + H_WINDOW * outdoor + h1 * (outdoor + air_w / H_VENT)) / (h_ms + H_WINDOW + h1)
        return end, (h_is * surface + H_VENT * outdoor + air_w) / (h_is + H_VENT)

    for turn in range(2):
        hours = range(8000, 8760) if turn == 0 else range(8760)
        for i in hours:
            outdoor, inner_w = float(weather.dry_bulb_C[i]), float(inner[i])
            end, free = step(outdoor, inner_w, air_gain, mass)
            if LOW_C <= free <= HIGH_C:
                mass, load[i] = end, 0.0
                continue
            aim = LOW_C if free < LOW_C else HIGH_C
            ten = step(outdoor, inner_w, air_gain + 10.0 * FLOOR, mass)[1]
            load[i] = 10.0 * FLOOR * (aim - free) / (ten - free)
            mass = step(outdoor, inner_w, air_gain + load[i], mass)[0]
    heat, cool = np.maximum(load, 0.0), np.maximum(-load, 0.0)
    t = weather.dry_bulb_C
    power = heat / np.clip(3.6 + 0.07 * (t - 8.3), 1.5, 5.0) + cool / np.clip(4.0 - 0.10 * (t - 35.0), 2.5, 8.0)
    return Needs(
        heat.sum() / 1000, cool.sum() / 1000, power.sum() / 1000, float(np.quantile(heat, 0.99)), float(np.quantile(cool, 0.99))
    )
