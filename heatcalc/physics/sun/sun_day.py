"""Clear skies, the cooling design day hour by hour, cloud where none was recorded, the sky's and the sol-air temperature."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.errors import InputError, nearest
from heatcalc.physics.air.moist_air import SEA_LEVEL_PA, ZERO_C_K, pressure_at_altitude
from heatcalc.physics.sun.sun import (
    MONTH_DAYS,
    Array,
    SunPosition,
    clear_sky_tau,
    day_of_year,
    declination_fourier_deg,
    extraterrestrial_beam,
    hour_angle_deg,
    mid_hour_position,
    solar_position,
    sunset_hour_angle_deg,
)
from heatcalc.tables import rows

UNKNOWN_CLOUD = 0.5
LEAST_CLEAR_W_m2 = 200.0  # sum of a day's clear hours below which the sun says nothing

MIDDLE_DAY = np.array([day_of_year(m, (days + 1) // 2) for m, days in enumerate(MONTH_DAYS, 1)])
USUAL_AEROSOL_DEPTH = 0.10  # common default of the clear-sky model where nothing is known of the place


@dataclass(frozen=True, kw_only=True)
class DesignDay:
    """Twenty-four hours 1..24 of local standard time: air [C], sun [W/m2] and its position."""

    dry_bulb_C: Array
    dni: Array
    ghi: Array
    dhi: Array
    position: SunPosition
    sky: str


def cooling_design_day(
    lat: float,
    lon: float,
    elevation_m: float,
    utc_offset_h: float,
    month: int,
    dry_bulb_C: float,
    daily_range_K: float,
    dew_point_C: float,
    taus: tuple[float, float] | None = None,
    mean_ghi_kWh_m2_day: float | None = None,
    at_stamp: bool = False,
) -> DesignDay:
    """The clear, hot 21st of a month, hour by hour.

    The sky follows the handbook's optical depths `taus` (beam, diffuse) where the place has them, else the
    simplified Solis model with water vapour from the dew point and haze from the month's mean global sun.
    Irradiance is that of the middle of the (sunlit) hour ending at the stamp; `at_stamp` takes the moment
    of the stamp instead, as the handbook's examples do.  The dry bulb is the reading at the stamp.
    """
    day, hours = day_of_year(month), np.arange(1.0, 25.0)
    where = solar_position if at_stamp else mid_hour_position
    position = where(lat, lon, utc_offset_h, day, hours)
    if taus:
        (dni, dhi), sky = clear_sky_tau(position, *taus), "optical depths of the place"
    else:
        water = precipitable_water_cm(dry_bulb_C - daily_range_K / 2, dew_point_C)
        sun = np.nan if mean_ghi_kWh_m2_day is None else mean_ghi_kWh_m2_day
        haze = clear_day_aerosol_depth(mean_clearness(lat, month, sun), water)
        dni, dhi = clear_sky_solis(position, haze, water, pressure_at_altitude(elevation_m))
        sky = f"simplified Solis, aerosol depth {haze:.2f}, water {water:.1f} cm"
    ghi = dni * np.maximum(position.cos_zenith, 0.0) + dhi
    air = design_day_temperature_C(dry_bulb_C, daily_range_K, solar_hours(lon, utc_offset_h, day, hours))
    return DesignDay(dry_bulb_C=air, dni=dni, ghi=ghi, dhi=dhi, position=position, sky=sky)


def design_day_temperature_C(peak_C: float, range_K: float, solar_hour: ArrayLike) -> Array:
    """Dry (or wet) bulb through the design day [C]: peak - f x range, f at the nearest solar hour.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 Table 6 and Example 9.
    """
    fraction = np.array([float(r["fraction"]) for r in rows("daily_range_fraction")])
    nearest = np.floor(np.asarray(solar_hour, float) + 0.5).astype(int)
    return peak_C - fraction[(nearest - 1) % 24] * range_K


def solar_hours(lon: float, utc_offset_h: float, day: ArrayLike, clock_hour: ArrayLike) -> Array:
    """Apparent solar time [h], 0..24, from standard time; longitude and offset east positive.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 7-8.
    """
    return hour_angle_deg(lon, utc_offset_h, day, clock_hour) / 15 + 12


def clear_sky_solis(
    position: SunPosition, aerosol_depth: ArrayLike, water_cm: ArrayLike, pressure: ArrayLike = SEA_LEVEL_PA
) -> tuple[Array, Array]:
    """Clear-sky beam normal and diffuse horizontal irradiance [W/m2], simplified Solis model.

    Aerosol optical depth at 700 nm 0..0.45, water 0.2..10 cm, pressure 41000..101325 Pa.  The diffuse is
    the model's global less its beam, so that the three close.
    Source: Ineichen (2008), Broadband simplified version of the Solis clear sky model, Solar Energy 82 758.
    """
    a, w, p = np.asarray(aerosol_depth), np.maximum(water_cm, 0.2), np.log(np.asarray(pressure) / SEA_LEVEL_PA)
    lw = np.log(w)
    gain = 0.12 * w**0.56 * a**2 + 0.97 * w**0.032 * a + 1.08 * w**0.0051 + 0.071 * p
    above = gain * position.extraterrestrial
    tau_beam = (1.82 + 0.056 * lw + 0.0071 * lw**2) * a + 0.33 + 0.045 * lw + 0.0096 * lw**2 + (0.0089 * w + 0.13) * p
    b = (0.00925 * a**2 + 0.0148 * a - 0.0172) * lw - 0.7565 * a**2 + 0.5057 * a + 0.4557
    tau_global = (1.24 + 0.047 * lw + 0.0061 * lw**2) * a + 0.27 + 0.043 * lw + 0.0090 * lw**2 + (0.0079 * w + 0.1) * p
    g = -0.0147 * lw - 0.3079 * a**2 + 0.2846 * a + 0.3798
    sine = np.maximum(position.cos_zenith, 1e-12)
    beam, total = above * np.exp(-tau_beam / sine**b), above * np.exp(-tau_global / sine**g) * sine
    up = position.cos_zenith > 1e-6
    return np.where(up, beam, 0.0), np.where(up, np.maximum(total - beam * sine, 0.0), 0.0)


def clear_day_aerosol_depth(clearness: ArrayLike, water_cm: ArrayLike) -> Array:
    """Aerosol optical depth [-] at 700 nm of a clear day from the month's clearness [-] and water vapour [cm].

    0.252 + 0.0376 w - 0.400 K within 0.03..0.35; 0.10 where the clearness is not known (NaN).  The fit is own, to the
    clearest seventh of the days of 91 station-months of eight TMY3 years.  With each station left out of the
    fit the clear day's summer beam is 3 % too strong on average, SD 11 % (constant 0.10: 8 %, SD 15 %, and
    25 % in humid places); the global is within 2 %, SD 5 %.
    """
    fitted = np.clip(0.252 + 0.0376 * np.asarray(water_cm) - 0.400 * np.asarray(clearness), 0.03, 0.35)
    return np.where(np.isnan(clearness), USUAL_AEROSOL_DEPTH, fitted)


def mean_clearness(lat: ArrayLike, month: ArrayLike, mean_ghi_kWh_m2_day: ArrayLike) -> Array:
    """Month's global sun over that outside the air on its middle day [-]; NaN where the sun is missing (NaN) or down.

    Definition of the clearness index (Liu and Jordan 1960).
    """
    outside = extraterrestrial_daily_kWh_m2(lat, MIDDLE_DAY[np.asarray(month) - 1])
    return np.where(outside > 0.1, np.asarray(mean_ghi_kWh_m2_day) / np.where(outside > 0.1, outside, 1.0), np.nan)


def extraterrestrial_daily_kWh_m2(lat: ArrayLike, day: ArrayLike) -> Array:
    """Sun on the horizontal outside the air in a day [kWh/m2]: 24/pi E0 (cosL cosD sin ws + ws sinL sinD).

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, eq. 1.10.3 (from memory).
    """
    d = declination_fourier_deg(day)
    la, dr, ws = np.radians(lat), np.radians(d), np.radians(sunset_hour_angle_deg(lat, d))
    shape = np.cos(la) * np.cos(dr) * np.sin(ws) + ws * np.sin(la) * np.sin(dr)
    return 24 / np.pi * extraterrestrial_beam(day) * shape / 1000


def precipitable_water_cm(air_C: ArrayLike, dew_point_C: ArrayLike) -> Array:
    """Water vapour above the place [cm], at least 0.1, from air temperature and dew point at the ground.

    Source: Gueymard (1994), Solar Energy 53(1) 57-71, with the vapour pressure of Gueymard (1993).
    """
    t = np.asarray(air_C) + ZERO_C_K
    density = 216.7 * _vapour_pressure_hPa(np.minimum(dew_point_C, air_C) + ZERO_C_K) / t
    x = t / ZERO_C_K
    height = 0.4976 + 1.5265 * x + np.exp(13.6897 * x - 14.9188 * x**3)
    return np.maximum(0.1 * height * density, 0.1)


def _vapour_pressure_hPa(t: ArrayLike) -> Array:
    t = np.asarray(t)
    return np.exp(22.330 - 49.140 * (100 / t) - 10.922 * (100 / t) ** 2 - 0.39015 * t / 100)


def sky_temperature_clark_allen_C(dry_bulb_C: ArrayLike, dew_point_C: ArrayLike, sky_cover: ArrayLike = 0.0) -> Array:
    """Radiant temperature of the sky dome [C] from dew point and opaque cloud (0..1).

    e = (0.787 + 0.764 ln(Tdew/273)) (1 + 0.0224 n - 0.0035 n2 + 0.00028 n3), n in tenths; Tsky = e^(1/4) T.
    Source: Clark and Allen (1978), second hand; cloud factor from memory (after Walton 1983).
    """
    n = 10 * np.asarray(sky_cover, float)
    clear = 0.787 + 0.764 * np.log((np.asarray(dew_point_C, float) + ZERO_C_K) / 273)
    return _grey_sky_C(clear * (1 + 0.0224 * n - 0.0035 * n**2 + 0.00028 * n**3), dry_bulb_C)


def _grey_sky_C(emissivity: Array, dry_bulb_C: ArrayLike) -> Array:
    return np.clip(emissivity, 0.0, 1.0) ** 0.25 * (np.asarray(dry_bulb_C, float) + ZERO_C_K) - ZERO_C_K


def sol_air_C(dry_bulb_C: ArrayLike, irradiance: ArrayLike, absorptance_over_film: float, sky_drop_K: ArrayLike = 0.0) -> Array:
    """Sol-air temperature [C]: to + (alpha/ho) Et - (eps dR/ho).

    `sky_drop_K` is 4 K for a horizontal surface and 0 for a wall (the handbook's practice).
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 18 eq. 30.
    """
    return np.asarray(dry_bulb_C, float) + absorptance_over_film * np.asarray(irradiance, float) - np.asarray(sky_drop_K, float)


def ground_reflectance(ground: str = "usual mixture") -> float:
    """Solar reflectance of the ground by word, see tables/ground_reflectance.csv.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14.  Errors: InputError for a word not in the table.
    """
    known = {r["ground"]: float(r["reflectance"]) for r in rows("ground_reflectance")}
    if ground not in known:
        raise InputError("ground", ground, f"one of {'; '.join(known)}", nearest(ground, list(known)))
    return known[ground]


def clear_sun(cos_zenith: np.ndarray) -> np.ndarray:
    """Global sun under a cloudless sky [W/m2]: 910 sin(h) - 30 (Kasten and Czeplak 1980, Solar Energy 24, from memory)."""
    return np.maximum(910.0 * cos_zenith - 30.0, 0.0)


def cloud_from_sun(ghi: np.ndarray, cos_zenith: np.ndarray) -> np.ndarray:
    """Cloud cover 0..1 of whole days, one value a day: G/G_clear = 1 - 0.75 N^3.4 (Kasten and Czeplak 1980).

    Days with hardly any sun (polar night) take half cover.  Hours come in whole days.
    """
    clear, came = (x.reshape(-1, 24).sum(axis=1) for x in (clear_sun(cos_zenith), np.asarray(ghi, float)))
    known = clear > LEAST_CLEAR_W_m2
    lost = np.clip(1.0 - came / np.where(known, clear, 1.0), 0.0, 0.75)
    return np.repeat(np.where(known, (lost / 0.75) ** (1 / 3.4), UNKNOWN_CLOUD), 24)
