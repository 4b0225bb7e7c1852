"""Where the sun is and what falls on a plane.

Angles in degrees.  Azimuths are compass bearings: 0 north, 90 east, 180 south, 270 west; a tilt of 0 faces
up, 90 is a wall.  Irradiance in W/m2.  Hours are local standard time, never daylight-saving time.  Arrays of any one
shape broadcast; nothing here raises for a number: below the horizon the light is zero.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heatcalc.tables import rows

Array = NDArray[np.float64]

SOLAR_CONSTANT = 1367.0  # W/m2, ASHRAE Handbook - Fundamentals (2021) ch. 14 eq. 4
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
HORIZON_COSINE = float(np.cos(np.radians(85.0)))  # Perez et al. (1990): lower limit of the circumsolar ratio
DARK_W_m2 = 1e-6  # diffuse light below which its ratio to the beam says nothing


@dataclass(frozen=True)
class SunPosition:
    """Altitude and compass azimuth [deg], cosine of the zenith angle and extraterrestrial beam [W/m2]."""

    altitude_deg: Array
    azimuth_deg: Array
    cos_zenith: Array
    extraterrestrial: Array


@dataclass(frozen=True)
class PlaneIrradiance:
    """What falls on a plane, by kind [W/m2]; circumsolar light arrives at the beam's angle."""

    cos_incidence: Array
    beam: Array
    circumsolar: Array
    sky: Array
    ground: Array

    @property
    def total(self) -> Array:
        """Everything that falls on the plane [W/m2]."""
        return self.beam + self.circumsolar + self.sky + self.ground

    def dimmed(self, share: float) -> PlaneIrradiance:
        """The share of all of it that something even before the plane leaves; source: own."""
        return PlaneIrradiance(
            self.cos_incidence, share * self.beam, share * self.circumsolar, share * self.sky, share * self.ground
        )

    @property
    def directional(self) -> Array:
        """Beam and circumsolar light: both at the angle of incidence."""
        return self.beam + self.circumsolar

    @property
    def diffuse(self) -> Array:
        """Sky without the circumsolar part, and ground."""
        return self.sky + self.ground


def day_of_year(month: int, day: int = 21) -> int:
    """Day number [d], 1..365 from 1 January, of a year without 29 February (definition); the 21st unless named."""
    return sum(MONTH_DAYS[: month - 1]) + day


def extraterrestrial_beam(day: ArrayLike) -> Array:
    """Beam normal to the sun outside the air [W/m2]: 1367 (1 + 0.033 cos(360 (n - 3)/365)).

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eq. 4.
    """
    return SOLAR_CONSTANT * (1 + 0.033 * np.cos(np.radians(360 * (np.asarray(day, float) - 3) / 365)))


def equation_of_time_min(day: ArrayLike) -> Array:
    """Apparent minus mean solar time [min].

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 5-6 (after Spencer 1971).
    """
    g = _day_angle(day)
    return 2.2918 * (0.0075 + 0.1868 * np.cos(g) - 3.2077 * np.sin(g) - 1.4615 * np.cos(2 * g) - 4.089 * np.sin(2 * g))


def declination_deg(day: ArrayLike) -> Array:
    """Solar declination [deg]: 23.45 sin(360 (n + 284)/365); up to a degree off near the equinoxes.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eq. 10.
    """
    return 23.45 * np.sin(np.radians(360 * (np.asarray(day, float) + 284) / 365))


def declination_fourier_deg(day: ArrayLike) -> Array:
    """Solar declination [deg] as a Fourier series, within 0.04 deg; `day` may carry the fraction of the day.

    Source: Spencer (1971), Fourier series representation of the position of the sun, Search 2(5) 172.
    """
    g = _day_angle(day)
    return np.degrees(
        0.006918
        - 0.399912 * np.cos(g)
        + 0.070257 * np.sin(g)
        - 0.006758 * np.cos(2 * g)
        + 0.000907 * np.sin(2 * g)
        - 0.002697 * np.cos(3 * g)
        + 0.00148 * np.sin(3 * g)
    )


def hour_angle_deg(lon: float, utc_offset_h: float, day: ArrayLike, clock_hour: ArrayLike) -> Array:
    """Hour angle [deg], west (afternoon) positive, within -180..180: 15 (AST - 12).

    AST = LST + ET/60 + (LON - LSM)/15 with longitudes east positive.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 7-8, 11.
    """
    shift = equation_of_time_min(day) / 60 + (lon - 15 * utc_offset_h) / 15
    return (15 * (np.asarray(clock_hour, float) + shift - 12) + 180) % 360 - 180


def position_from_angles(lat: float, declination: ArrayLike, hour_angle: ArrayLike, extraterrestrial: ArrayLike) -> SunPosition:
    """Altitude and azimuth of the sun from latitude, declination and hour angle [deg].

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 12, 14, 15; azimuth turned to a compass bearing.
    """
    la, d, h = np.radians(lat), np.radians(declination), np.radians(hour_angle)
    sine = np.clip(np.cos(la) * np.cos(d) * np.cos(h) + np.sin(la) * np.sin(d), -1, 1)
    west, south = np.sin(h) * np.cos(d), np.cos(h) * np.cos(d) * np.sin(la) - np.sin(d) * np.cos(la)
    e0 = np.broadcast_to(np.asarray(extraterrestrial, float), sine.shape)
    bearing = (np.degrees(np.arctan2(west, south)) + 180) % 360
    return SunPosition(np.degrees(np.arcsin(sine)), bearing, sine, e0)


def solar_position(lat: float, lon: float, utc_offset_h: float, day: ArrayLike, clock_hour: ArrayLike) -> SunPosition:
    """Sun at a moment of standard time by the handbook's equations; arrays broadcast.

    Longitude and UTC offset are east positive.  Good to about one degree (the declination); no refraction.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 4-15.
    """
    angle = hour_angle_deg(lon, utc_offset_h, day, clock_hour)
    return position_from_angles(lat, declination_deg(day), angle, extraterrestrial_beam(day))


def mid_hour_position(lat: float, lon: float, utc_offset_h: float, day: ArrayLike, hour_ending: ArrayLike) -> SunPosition:
    """Sun in the middle of the sunlit part of the hour that ends at the stamp.

    For readings that are means of the hour; declination (Fourier series) and equation of time of the moment.  `day` and
    `hour_ending` (1..24) broadcast; longitude and offset east positive.  Within 0.3 deg of an ephemeris.
    Source: equations as in `solar_position`; the middle of the lit part is own, for hours in which the sun rises or sets.
    """
    middle = np.asarray(hour_ending, float) - 0.5
    moment = np.asarray(day, float) + (middle - utc_offset_h) / 24
    declination = declination_fourier_deg(moment)
    centre = hour_angle_deg(lon, utc_offset_h, moment, middle)
    lit = sunlit_middle_deg(centre, sunset_hour_angle_deg(lat, declination))
    return position_from_angles(lat, declination, lit, extraterrestrial_beam(day))


def solar_position_year(lat: float, lon: float, utc_offset_h: float) -> SunPosition:
    """The 8,760 mid-hour positions [deg] of a year without 29 February whose stamps are hour ends, 01:00 on 1 January first.

    Equations and source as in `mid_hour_position` (ASHRAE ch. 14, Spencer 1971).
    """
    day = np.repeat(np.arange(1.0, 366.0), 24)
    return mid_hour_position(lat, lon, utc_offset_h, day, np.tile(np.arange(1.0, 25.0), 365))


def sunset_hour_angle_deg(lat: ArrayLike, declination: ArrayLike) -> Array:
    """Hour angle of sunset [deg], 0 in polar night and 180 in polar day: cos(ws) = -tan(L) tan(d).

    The sun's centre on a flat horizon, without refraction; latitude between the poles.
    Source: geometry, ASHRAE Handbook - Fundamentals (2021) ch. 14 eq. 12 with an altitude of zero.
    """
    cosine = -np.tan(np.radians(lat)) * np.tan(np.radians(declination))
    return np.degrees(np.arccos(np.clip(cosine, -1, 1)))


def sunlit_middle_deg(centre: ArrayLike, sunset: ArrayLike) -> Array:
    """Hour angle in the middle of the lit part of an hour [deg]; the hour's own middle when no part is lit.

    centre : hour angle of the hour's middle [deg];  sunset : hour angle of sunset [deg], 0..180.  Geometry.
    """
    first = np.maximum(np.asarray(centre) - 7.5, -np.asarray(sunset))
    last = np.minimum(np.asarray(centre) + 7.5, np.asarray(sunset))
    return np.where(last > first, (first + last) / 2, centre)


def relative_air_mass(altitude_deg: ArrayLike) -> Array:
    """Air mass relative to the zenith [-], about 1 to 38; held at its horizon value below the horizon.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eq. 16 (Kasten and Young 1989).
    """
    b = np.maximum(np.asarray(altitude_deg, float), 0.0)
    return 1 / (np.sin(np.radians(b)) + 0.50572 * (6.07995 + b) ** -1.6364)


def clear_sky_tau(position: SunPosition, tau_beam: float, tau_diffuse: float) -> tuple[Array, Array]:
    """Clear-sky beam normal and diffuse horizontal irradiance [W/m2] from a place's two optical depths.

    Eb = E0 exp(-tb m^ab), Ed = E0 exp(-td m^ad); zero with the sun down.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 17-20 (as in editions since 2013).
    """
    ab = 1.454 - 0.406 * tau_beam - 0.268 * tau_diffuse + 0.021 * tau_beam * tau_diffuse
    ad = 0.507 + 0.205 * tau_beam - 0.080 * tau_diffuse - 0.190 * tau_beam * tau_diffuse
    m, up = relative_air_mass(position.altitude_deg), position.altitude_deg > 0
    beam = position.extraterrestrial * np.exp(-tau_beam * m**ab)
    diffuse = position.extraterrestrial * np.exp(-tau_diffuse * m**ad)
    return np.where(up, beam, 0.0), np.where(up, diffuse, 0.0)


def cos_incidence(position: SunPosition, tilt_deg: ArrayLike, azimuth_deg: ArrayLike) -> Array:
    """Cosine of the angle between sun and plane normal, negative behind: cosB cosG sinS + sinB cosS.

    Planes come first: tilt of shape (P,) and hours of shape (T,) give (P, T).
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 21-22.
    """
    tilt, azimuth = _planes(tilt_deg, azimuth_deg, position)
    turn = np.radians(position.azimuth_deg - azimuth)
    level = np.cos(np.radians(position.altitude_deg)) * np.cos(turn) * np.sin(np.radians(tilt))
    return level + position.cos_zenith * np.cos(np.radians(tilt))


def plane_irradiance(
    position: SunPosition,
    dni: ArrayLike,
    ghi: ArrayLike,
    dhi: ArrayLike,
    tilt_deg: ArrayLike,
    azimuth_deg: ArrayLike,
    albedo: ArrayLike = 0.2,
    sky: str = "perez",
    brightness: tuple[Array, Array] | None = None,
) -> PlaneIrradiance:
    """What falls on one plane or many [W/m2], from beam normal, global and diffuse horizontal irradiance.

    `sky` is "perez" (anisotropic), "isotropic" or "handbook" (the clear-sky ratio Y of ASHRAE ch. 14); `brightness` is what
    `perez_brightness` gives for these hours, where it is known already.
    Ground light is albedo x global x (1 - cos tilt)/2.  Beam is zero with the sun behind the plane or down.  Planes of
    shape (P,) with hours of shape (T,) give (P, T).  KeyError for another sky.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 25-31; the skies as at their functions.
    """
    cosine = cos_incidence(position, tilt_deg, azimuth_deg)
    tilt, azimuth = _planes(tilt_deg, azimuth_deg, position)
    beam_normal, diffuse = np.asarray(dni, float), np.asarray(dhi, float)
    lit = np.where(position.cos_zenith > 0, np.maximum(cosine, 0.0), 0.0)
    given = (position, beam_normal, diffuse, tilt, azimuth, lit)
    circumsolar, dome = SKIES[sky](*given) if brightness is None else perez_sky(*given, brightness)
    ground = np.asarray(albedo) * np.asarray(ghi, float) * (1 - np.cos(np.radians(tilt))) / 2
    return PlaneIrradiance(cosine, beam_normal * lit, circumsolar, dome, ground + 0.0 * cosine)


def isotropic_sky(position: SunPosition, dni: Array, dhi: Array, tilt: Array, azimuth: Array, lit: Array) -> tuple[Array, Array]:
    """Sky equally bright everywhere [W/m2]: diffuse x (1 + cos tilt)/2; no circumsolar part (Liu, Jordan 1963)."""
    return np.zeros_like(lit), dhi * (1 + np.cos(np.radians(tilt))) / 2 + 0.0 * lit


def perez_sky(
    position: SunPosition,
    dni: Array,
    dhi: Array,
    tilt: Array,
    azimuth: Array,
    lit: Array,
    brightness: tuple[Array, Array] | None = None,
) -> tuple[Array, Array]:
    """Anisotropic sky [W/m2]: circumsolar part, and dome with brightened horizon; isotropic with the sun down.

    Below 5 deg of altitude the circumsolar ratio is held; a dome that comes out negative is cut to zero.

    Source: Perez, Ineichen, Seals, Michalsky, Stewart (1990), Solar Energy 44(5) 271-289, eqs. 1, 9.
    """
    f1, f2 = perez_brightness(position, dni, dhi) if brightness is None else brightness
    t = np.radians(tilt)
    around = dhi * f1 * lit / np.maximum(position.cos_zenith, HORIZON_COSINE)
    dome = dhi * ((1 - f1) * (1 + np.cos(t)) / 2 + f2 * np.sin(t))
    together = np.maximum(around + dome, 0.0)
    around = np.minimum(around, together)
    return around, together - around


def perez_brightness(position: SunPosition, dni: Array, dhi: Array) -> tuple[Array, Array]:
    """Circumsolar and horizon brightness factors F1 (>= 0) and F2 [-]; zero with the sun down or no diffuse light.

    Source: Perez et al. (1990), Table 6, eqs. 2, 6-8; coefficients in tables/perez_1990.csv.
    """
    edges, coefficients = _perez_table()
    z = np.arccos(np.clip(position.cos_zenith, -1, 1))
    lit = (position.cos_zenith > 0) & (dhi > DARK_W_m2)
    safe = np.where(lit, dhi, 1.0)
    clearness = 1 + np.where(lit, dni / safe, 0.0) / (1 + 1.041 * z**3)
    brightness = dhi * relative_air_mass(position.altitude_deg) / position.extraterrestrial
    c = coefficients[np.clip(np.searchsorted(edges, clearness, side="right") - 1, 0, 7)]
    f1 = np.maximum(c[..., 0] + c[..., 1] * brightness + c[..., 2] * z, 0.0)
    f2 = c[..., 3] + c[..., 4] * brightness + c[..., 5] * z
    return np.where(lit, f1, 0.0), np.where(lit, f2, 0.0)


def handbook_sky(position: SunPosition, dni: Array, dhi: Array, tilt: Array, azimuth: Array, lit: Array) -> tuple[Array, Array]:
    """Clear-sky diffuse [W/m2] by Y = max(0.45, 0.55 + 0.437 cosT + 0.313 cos2T), T on the vertical plane.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 14 eqs. 27-30.
    """
    upright = np.cos(np.radians(position.altitude_deg)) * np.cos(np.radians(position.azimuth_deg - azimuth))
    y = np.maximum(0.45, 0.55 + 0.437 * upright + 0.313 * upright**2)
    t = np.radians(tilt)
    return np.zeros_like(lit), dhi * (y * np.sin(t) + np.maximum(np.cos(t), 0.0))


SKIES = {"isotropic": isotropic_sky, "perez": perez_sky, "handbook": handbook_sky}


def _perez_table() -> tuple[Array, Array]:
    table = rows("perez_1990")
    names = ("f11", "f12", "f13", "f21", "f22", "f23")
    return (np.array([float(r["clearness_from"]) for r in table]), np.array([[float(r[n]) for n in names] for r in table]))


def _day_angle(day: ArrayLike) -> Array:
    return np.radians(360 * (np.asarray(day, float) - 1) / 365)


def _planes(tilt_deg: ArrayLike, azimuth_deg: ArrayLike, position: SunPosition) -> tuple[Array, Array]:
    """Tilt and azimuth with a trailing axis for each axis of the hours, so that planes broadcast first."""
    tilt, azimuth = np.broadcast_arrays(np.asarray(tilt_deg, float), np.asarray(azimuth_deg, float))
    extra = (1,) * np.ndim(position.cos_zenith)
    return tilt.reshape(tilt.shape + extra), azimuth.reshape(azimuth.shape + extra)
