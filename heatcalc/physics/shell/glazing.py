"""Sun through a window: glass by angle, shades, overhangs, fins and neighbours; and whole windows from their parts.

Cosines of incidence are measured from the window's normal.  Solar gain coefficients are fractions of what
falls on the window; "transmitted" arrives as light, "inward" is the part of the absorbed light that flows in.
Shadows and sky shares are plane geometry; absorbed light divides by the heat balance of each pane.

Sources of whole windows: ISO 10077-1; California Reference Appendix NA6 for defaults.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.errors import InputError, nearest
from heatcalc.physics.sun.sun import Array, PlaneIrradiance, SunPosition
from heatcalc.tables import rows

TABLE_ANGLES = (0.0, 40.0, 50.0, 60.0, 70.0, 80.0)
UNOBSTRUCTED_SKY = 0.5  # share of the hemisphere before a wall that is sky


@dataclass(frozen=True, kw_only=True)
class Glazing:
    """Solar gain of a window by angle of incidence [deg], and its hemispherical mean; zero at 90 degrees."""

    name: str
    angles_deg: tuple[float, ...]
    shgc: tuple[float, ...]
    shgc_diffuse: float
    inward: float
    source: str


@dataclass(frozen=True)
class WindowSun:
    """Sun that enters per m2 of window [W/m2]: as directional and diffuse light, and as absorbed heat."""

    transmitted_beam: Array
    transmitted_diffuse: Array
    inward: Array

    @property
    def total(self) -> Array:
        """All that the room gets of the sun, let through and from the warm glass [W/m2]."""
        return self.transmitted_beam + self.transmitted_diffuse + self.inward


@cache
def glazing(name: str) -> Glazing:
    """Row of the angle table by name.

    Source: ASHRAE Handbook - Fundamentals, fenestration chapter (second hand), see tables/shgc_angle.csv.
    Errors: InputError for a name not in the table.
    """
    if name not in (known := glazing_names()):
        raise InputError("glazing", name, f"one of {', '.join(known)}", nearest(name, list(known)))
    r = next(r for r in rows("shgc_angle") if r["name"] == name)
    shgc = tuple(float(r[f"shgc_{a:.0f}"]) for a in TABLE_ANGLES)
    return Glazing(
        name=name,
        angles_deg=(*TABLE_ANGLES, 90.0),
        shgc=(*shgc, 0.0),
        shgc_diffuse=float(r["shgc_diffuse"]),
        inward=shgc[0] - float(r["transmitted_0"]),
        source=r["source"],
    )


def glazing_names() -> tuple[str, ...]:
    """Names of the angle table, in file order."""
    return tuple(r["name"] for r in rows("shgc_angle"))


def scaled(row: Glazing, shgc_normal: float) -> Glazing:
    """The row multiplied so that its SHGC at normal incidence is the labelled whole-window value.

    A label (ANSI/NFRC 200) is for the whole window at normal incidence; the frame is taken to keep the
    shape by angle of its glass.
    """
    f = shgc_normal / row.shgc[0]
    by_angle = tuple(f * s for s in row.shgc)
    return replace(row, shgc=by_angle, shgc_diffuse=f * row.shgc_diffuse, inward=f * row.inward)


def shgc_at_angle(row: Glazing, cos_theta: ArrayLike) -> Array:
    """Solar heat gain coefficient at an angle of incidence, straight lines between the table's angles.

    Zero at 90 degrees and behind.  The handbook interpolates the same way (ch. 18 Table 30).
    """
    return _at_angle(row.angles_deg, row.shgc, cos_theta)


def transmitted_part(row: Glazing, shgc: Array) -> Array:
    """Part of the SHGC that enters as light: SHGC(angle) less the inward-flowing part.

    The inward-flowing part is held at its value for normal incidence: in the double pane of ANSI/ASHRAE 140
    it stays within 0.066..0.074 up to 70 degrees.  Approximate near grazing, where both are small.
    """
    return np.maximum(shgc - row.inward, 0.0)


def transmitted(
    row: Glazing, light: PlaneIrradiance, sunlit: ArrayLike = 1.0, sky_share: ArrayLike = 1.0, attachment: ArrayLike = 1.0
) -> WindowSun:
    """Sun entering per m2 of window [W/m2].

    `sunlit` is the fraction of the window that beam and circumsolar light reach, `sky_share` the fraction of
    the sky's light left by overhang and neighbours, `attachment` the interior attenuation coefficient (IAC).
    q = Eb SHGC(theta) IAC + Ed <SHGC> IAC.  Source: ASHRAE Handbook - Fundamentals (2021) ch. 18 eqs. 13-14.
    """
    beam, iac = light.directional * np.asarray(sunlit, float), np.asarray(attachment, float)
    diffuse = light.sky * np.asarray(sky_share, float) + light.ground
    gain = shgc_at_angle(row, light.cos_incidence)
    direct, spread = transmitted_part(row, gain), max(row.shgc_diffuse - row.inward, 0.0)
    inward = beam * (gain - direct) + diffuse * (row.shgc_diffuse - spread)
    return WindowSun(beam * direct * iac, diffuse * spread * iac, inward * iac)


def absorbed_at_inner_pane(inward: ArrayLike, u_value: float, inside_film: float) -> Array:
    """Heat to release at the inner glass surface so that `inward` of it reaches the room [W/m2].

    The rest flows out through the window: inward share 1 - U/hi, of a node between film and window.
    """
    return np.asarray(inward, float) / (1 - u_value / inside_film)


# Glass from its index and extinction ---------------------------------------------------------------------


def pane_optics(cos_theta: ArrayLike, thickness_mm: float, index: float, extinction_per_mm: float) -> Array:
    """Transmittance, reflectance, absorptance of a bare pane for both polarisations, shape (2, 3, ...).

    Fresnel's reflection at each face, Bouguer's absorption along the refracted path, all internal passes.
    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, eqs. 5.1.1-5.3.3 (from memory).
    """
    c1 = np.clip(np.asarray(cos_theta, float), 1e-9, 1.0)
    c2 = np.sqrt(1 - (1 - c1**2) / index**2)
    across, along = (c1 - index * c2) / (c1 + index * c2), (index * c1 - c2) / (index * c1 + c2)
    face = np.stack([across**2, along**2])
    path = np.exp(-extinction_per_mm * thickness_mm / c2)
    through = path * (1 - face) ** 2 / (1 - (face * path) ** 2)
    back = face * (1 + path * through)
    return np.stack([through, back, 1 - through - back], axis=1)


def double_pane_optics(outer: Array, inner: Array) -> Array:
    """Transmittance, reflectance, outer and inner absorptance of two panes, unpolarised, shape (4, ...).

    Sum of all passes between the panes: T = T1 T2/(1 - R1 R2).
    Source: Duffie and Beckman eqs. 5.1.7-5.1.8, 5.3.6 (from memory).
    """
    (t1, r1, a1), (t2, r2, a2) = outer.swapaxes(0, 1), inner.swapaxes(0, 1)
    between = 1 / (1 - r1 * r2)
    through, back = t1 * t2 * between, r1 + t1**2 * r2 * between
    return np.stack([through, back, a1 * (1 + t1 * r2 * between), t1 * a2 * between]).mean(axis=1)


def double_pane_shgc(optics: ArrayLike, u_value: float, outside_film: float, inside_film: float, pane_resistance: float) -> Array:
    """SHGC = T + No Ao + Ni Ai, each pane absorbing in its middle: N = U x resistance from there outward."""
    t, _, outer, inner = np.asarray(optics, float)
    half = pane_resistance / 2
    return t + u_value * (1 / outside_film + half) * outer + (1 - u_value * (1 / inside_film + half)) * inner


def hemispherical_mean(of_cosine: Callable[[Array], Array]) -> Array:
    """Mean over an evenly bright hemisphere: integral of f(cos) 2 cos d(cos), 64-point Gauss rule [unit of f]."""
    x, w = np.polynomial.legendre.leggauss(64)
    cosine = (x + 1) / 2
    return np.asarray((of_cosine(cosine) * cosine * w).sum(axis=-1))


# Shades and obstructions ---------------------------------------------------------------------------------


def interior_attenuation(iac_closed: float, closed_fraction: float) -> float:
    """IAC of a partly closed shade: 1 + Fcl (IACcl - 1) (ASHRAE Fundamentals 2021 ch. 17 eq. 29)."""
    return 1 + closed_fraction * (iac_closed - 1)


def slats_let_in(profile_tan: ArrayLike, level: float, steep: float) -> Array:
    """Share of the beam that a slat blind lets in [-]: linear in profile angle between its values at 0 and 60 degrees.

    ASHRAE Handbook - Fundamentals 2021 ch. 18; held beyond 60 degrees (own choice).  `profile_tan`: tangent of the angle.
    """
    return np.interp(np.degrees(np.arctan(np.asarray(profile_tan, float))), (0.0, 60.0), (level, steep))


def profile_tangent(position: SunPosition, azimuth_deg: float) -> tuple[Array, Array]:
    """Tangents of the vertical and the horizontal shadow angle on a wall: tanB/cosG and tanG.

    Source: ASHRAE Handbook - Fundamentals (2021) ch. 15, profile angles.
    Infinite behind the wall, where no beam falls.
    """
    turn = np.radians(position.azimuth_deg - azimuth_deg)
    ahead = np.cos(turn) > 1e-9
    cosine = np.where(ahead, np.cos(turn), 1.0)
    rise = np.tan(np.radians(np.clip(position.altitude_deg, 0.0, 89.999)))
    return np.where(ahead, rise / cosine, np.inf), np.where(ahead, np.abs(np.sin(turn)) / cosine, np.inf)


def sunlit_fraction(
    position: SunPosition,
    azimuth_deg: float,
    width_m: float,
    height_m: float,
    overhang_m: float = 0.0,
    gap_above_m: float = 0.0,
    fin_m: float = 0.0,
    gap_beside_m: float = 0.0,
) -> Array:
    """Fraction of a window in a wall that the beam reaches past an overhang and side fins.

    Overhang and fins are taken as long as their shadow needs; gaps are from the glass to their root.
    Source: ASHRAE Handbook - Fundamentals (2021) ch. 15, shadow width and height.
    """
    down, across = profile_tangent(position, azimuth_deg)
    low = _shadow(overhang_m, down, gap_above_m, height_m)
    side = _shadow(fin_m, across, gap_beside_m, width_m)
    return (1 - low) * (1 - side)


def overhang_sky_share(overhang_m: float, gap_above_m: float, height_m: float) -> float:
    """Share of an even sky's light that a window under a long overhang keeps.

    View factor of window to overhang by crossed strings (two dimensions), taken from the sky's half.
    """
    d, x, h = overhang_m, gap_above_m, height_m
    covered = (np.hypot(d, x) + h - np.hypot(d, h + x)) / (2 * h)
    return float(1 - covered / UNOBSTRUCTED_SKY)


def fins_share(fin_m: float, gap_beside_m: float, width_m: float) -> float:
    """Share of an even sky's light that a window between two tall fins keeps [-].

    View factor of the window to both by crossed strings (two dimensions); they take sky and ground alike.  Geometry.
    """
    d, x, w = fin_m, gap_beside_m, width_m
    return float(1.0 - (np.hypot(d, x) + w - np.hypot(d, w + x)) / w) if d > 0 else 1.0


def above_horizon(position: SunPosition, horizon_deg: ArrayLike) -> Array:
    """1 where the sun stands above the neighbours' horizon angle [deg], else 0."""
    return np.where(position.altitude_deg > np.maximum(np.asarray(horizon_deg, float), 0.0), 1.0, 0.0)


@cache
def horizon_sky_share(horizon_deg: float, tilt_deg: float) -> float:
    """Share of an even sky's light that a plane keeps where neighbours rise to one altitude all round.

    Of the plane's view (1 + cos tilt)/2 the band below the horizon is lost: the integral of the cosine of incidence over
    altitude a and the bearings before the plane, those within arccos(-tan a/tan tilt) of its own.  Geometry: cos^2 h for
    a level plane, 1 - (2 h + sin 2h)/pi for a wall.
    """
    h, tilt = np.radians(horizon_deg), np.radians(tilt_deg)
    cut = min(h, tilt)  # below the plane's own tilt it sees part of the bearings, above all
    x, w = np.polynomial.legendre.leggauss(64)
    a = cut * (x + 1) / 2
    half = np.arccos(np.maximum(-np.tan(a) / np.tan(max(tilt, 1e-9)), -1.0))
    seen = half * np.sin(a) * np.cos(tilt) + np.sin(half) * np.cos(a) * np.sin(tilt)
    band = cut / np.pi * float((seen * np.cos(a) * w).sum()) + np.cos(tilt) * (np.cos(cut) ** 2 - np.cos(h) ** 2)
    return float(1 - band / ((1 + np.cos(tilt)) / 2))


def left_of_the_sky(overhang_share: float, horizon_share: float) -> float:
    """Share of the sky's light left by an overhang above and neighbours below, which hide different bands: o + h - 1, at least 0.

    Geometry, on the dark side: they overlap far to the sides, at most 0.04 of the sky up to an overhang of the
    window's height and a horizon of 20 degrees (own integration).
    """
    return max(0.0, overhang_share + horizon_share - 1.0)


def _shadow(depth: float, tangent: Array, gap: float, length: float) -> Array:
    """Shaded share of a length behind a projection; nothing is shaded without one."""
    if depth <= 0:
        return np.zeros_like(tangent)
    return np.clip((depth * tangent - gap) / length, 0.0, 1.0)


def _at_angle(angles_deg: tuple[float, ...], values: tuple[float, ...], cos_theta: ArrayLike) -> Array:
    angle = np.degrees(np.arccos(np.clip(np.asarray(cos_theta, float), 0.0, 1.0)))
    return np.interp(angle, angles_deg, values)


def whole_window_u(
    glass_area: float, glass_u: float, frame_area: float, frame_u: float, edge_length: float, edge_psi: float
) -> float:
    """Uw = (Ag Ug + Af Uf + lg psi)/(Ag + Af) [W/m2K].  ISO 10077-1."""
    return (glass_area * glass_u + frame_area * frame_u + edge_length * edge_psi) / (glass_area + frame_area)


def edge_of_glass_u(glass_u: float, edge_psi: float, band: float = 0.0635) -> float:
    """Mean U of the band of glass along the frame [W/m2K]: glass plus the edge's extra loss spread over it.

    U_g + psi/b with psi of ISO 10077-1 and b 63.5 mm, the North American edge-of-glass band (from memory).  The sight line
    itself is colder than the band's mean.
    """
    return glass_u + edge_psi / band


def simple_window_u(width: float, height: float, frame_width: float, glass_u: float, frame_u: float, edge_psi: float) -> float:
    """Uw of a one-light rectangular window with a frame of one width [W/m2K].  ISO 10077-1."""
    glass_w, glass_h = _glass_size(width, height, frame_width)
    glass = glass_w * glass_h
    return whole_window_u(glass, glass_u, width * height - glass, frame_u, 2.0 * (glass_w + glass_h), edge_psi)


def edge_share(width: float, height: float, frame_width: float) -> float:
    """Share of a rectangular one-light window that is frame."""
    glass_w, glass_h = _glass_size(width, height, frame_width)
    return 1.0 - glass_w * glass_h / (width * height)


def _glass_size(width: float, height: float, frame_width: float) -> tuple[float, float]:
    glass = width - 2.0 * frame_width, height - 2.0 * frame_width
    if min(glass) <= 0.0:
        raise ValueError("the frame is wider than half the window")
    return glass


def default_whole_u(glass_u: float, frame: str) -> float:
    """U_T = C1 + C2 U_c of a window from its centre of glass, W/m2K.  California Reference Appendix NA6.

    frame "metal", or "thermal break" and "nonmetal" (one line for both); coefficients in Btu/h ft2 F.
    """
    c1, c2 = (0.311, 0.872) if frame == "metal" else (0.202, 0.867)
    return c1 * 5.678263 + c2 * glass_u


def default_whole_shgc(glass_shgc: float) -> float:
    """SHGC_T = 0.08 + 0.86 SHGC_c.  California Reference Appendix NA6 [-]."""
    return 0.08 + 0.86 * glass_shgc
