"""Checks of the sun's position, the clear sky, light on planes, glass by angle and the design day's temperatures."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from heatcalc.checks.published import Span
from heatcalc.physics.shell import glazing
from heatcalc.physics.sun import sun, sun_day

LAT, LON, ZONE = 33.64, -84.43, -5  # the example's city
# the example's rounded inputs and half of their last digit: declination, equation of time, optical depths, E0, latitude
ROUNDED = ((20.44, 0.005), (-6.4, 0.05), (0.515, 0.0005), (2.066, 0.0005), (1324.0, 0.5), (33.64, 0.005))
PANE_RESISTANCE = 3.175e-3 / 1.06
U_DOUBLE = 1 / (1 / 21.0 + 1 / 8.29 + 1 / 6.297 + 2 * PANE_RESISTANCE)


def _span(of: Callable[..., float]) -> Span:
    """`of` at the printed inputs and at every corner of their rounding."""
    found = [float(of(*corner)) for corner in itertools.product(*[(v - h, v + h) for v, h in ROUNDED])]
    return Span(min(found), float(of(*(v for v, _ in ROUNDED))), max(found))


def _hour_angle(hour: float, equation_min: float) -> float:
    return 15 * (hour + equation_min / 60 + (LON - 15 * ZONE) / 15 - 12)


def _sky_at(hour: float, declination: float, equation_min: float, tau_b: float, tau_d: float, e0: float, lat: float):
    position = sun.position_from_angles(lat, declination, _hour_angle(hour, equation_min), e0)
    return position, *sun.clear_sky_tau(position, tau_b, tau_d)


def _on_the_wall(position: sun.SunPosition, beam, diffuse) -> sun.PlaneIrradiance:
    level = beam * position.cos_zenith + diffuse
    return sun.plane_irradiance(position, beam, level, diffuse, 90, 240, 0.2, sky="handbook")


def astronomy(day: int, figure: str) -> float:
    """Extraterrestrial beam [W/m2], equation of time [min] or declination [deg] of a day."""
    of = {"E0": sun.extraterrestrial_beam, "ET": sun.equation_of_time_min, "declination": sun.declination_deg}
    return float(of[figure](day))


def solar_noon(figure: str) -> Span:
    """Altitude [deg], beam or diffuse [W/m2] at the example's solar noon."""

    def at(d: float, _: float, tau_b: float, tau_d: float, e0: float, lat: float) -> float:
        p = sun.position_from_angles(lat, d, 0.0, e0)
        beam, diffuse = sun.clear_sky_tau(p, tau_b, tau_d)
        return float({"beta": p.altitude_deg, "Eb": beam, "Ed": diffuse}[figure])

    return _span(at)


def air_mass(altitude_deg: float) -> float:
    """Relative air mass."""
    return float(sun.relative_air_mass(altitude_deg))


def afternoon(figure: str) -> Span:
    """The example's 14 h standard time: solar time [h], altitude, azimuth from south [deg], beam, diffuse [W/m2]."""

    def at(*corner: float) -> float:
        p, beam, diffuse = _sky_at(14, *corner)
        solar_time = 12 + _hour_angle(14, corner[1]) / 15
        return {"AST": solar_time, "beta": p.altitude_deg, "phi": p.azimuth_deg - 180, "Eb": beam, "Ed": diffuse}[figure]

    return _span(at)


def vertical_wall(figure: str) -> float:
    """Angle of incidence and parts of the light on the example's wall."""
    p, beam, diffuse = _sky_at(14, *(v for v, _ in ROUNDED))
    parts = _on_the_wall(p, beam, diffuse)
    return float(
        {
            "theta": np.degrees(np.arccos(parts.cos_incidence)),
            "Etb": parts.beam,
            "Etd": parts.sky,
            "Etr": parts.ground,
            "Y": parts.sky / diffuse,
        }[figure]
    )


def wall_by_hour(hour: float, figure: str) -> Span:
    """Beam, diffuse, incidence and total on the wall through the day."""

    def at(*corner: float) -> float:
        p, beam, diffuse = _sky_at(hour, *corner)
        parts = _on_the_wall(p, beam, diffuse)
        return {"Eb": beam, "Ed": diffuse, "theta": np.degrees(np.arccos(parts.cos_incidence)), "Et": parts.total}[figure]

    return _span(at)


def design_day(clock_hour: int, figure: str) -> float:
    """Dry or wet bulb of the design day at a daylight-saving hour [C]."""
    solar = sun_day.solar_hours(LON, ZONE, 202, clock_hour - 1.0)
    peak, swing = (33.1, 11.2) if figure == "dry" else (23.5, 3.4)
    return float(sun_day.design_day_temperature_C(peak, swing, solar))


def _pane(cosine):
    return glazing.pane_optics(cosine, 3.175, 1.526, 0.0196)


def _double(cosine):
    return glazing.double_pane_optics(_pane(cosine), _pane(cosine))


def _shgc(cosine):
    return glazing.double_pane_shgc(_double(cosine), U_DOUBLE, 21.0, 8.29, PANE_RESISTANCE)


def fresnel(angle_deg: float, figure: str) -> float:
    """One pane's and two panes' optics by angle, from Fresnel's equations and Bouguer's law."""
    cosine = np.cos(np.radians(angle_deg))
    if figure == "T1":
        return float(_pane(cosine).mean(axis=0)[0])
    if figure == "SHGC":
        return float(_shgc(cosine))
    if figure == "U":
        return U_DOUBLE
    return float(dict(zip(("T2", "R2", "A_out", "A_in"), _double(cosine), strict=True))[figure])


def hemispherical(figure: str) -> float:
    """Mean over the hemisphere of transmittance or SHGC of two panes."""
    return float(glazing.hemispherical_mean(_shgc if figure == "SHGC" else lambda c: _double(c)[0]))


def shgc_between_rows(angle_deg: float) -> Span:
    """SHGC of the example's window, straight between the angles of its row; the angle is printed to 0.1 deg."""
    row = glazing.Glazing(
        name="example",
        angles_deg=(*glazing.TABLE_ANGLES, 90.0),
        shgc=(0.49, 0.46, 0.44, 0.39, 0.31, 0.17, 0.0),
        shgc_diffuse=0.41,
        inward=0.1,
        source="",
    )
    most, middle, least = (
        float(glazing.shgc_at_angle(row, np.cos(np.radians(angle_deg + apart)))) for apart in (-0.05, 0.0, 0.05)
    )
    return Span(least, middle, most)


def shade(closed: float, fraction: float) -> float:
    """Interior attenuation of a drape closed by a fraction."""
    return glazing.interior_attenuation(closed, fraction)


EVALUATORS = {
    f.__name__: f
    for f in (
        astronomy,
        solar_noon,
        air_mass,
        afternoon,
        vertical_wall,
        wall_by_hour,
        design_day,
        fresnel,
        hemispherical,
        shgc_between_rows,
        shade,
    )
}
