"""The radiant time series method: cooling load of a room through a repeating day, by hand-size sums.

Twenty-four hourly values in every array; hour n of the day is entry n - 1.  The day repeats.
Source of all of it: ASHRAE Handbook - Fundamentals (2021, SI) ch. 18.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.errors import InputError, nearest
from heatcalc.physics.shell.glazing import Glazing, shgc_at_angle
from heatcalc.physics.sun.sun import Array, PlaneIrradiance
from heatcalc.tables import rows

HOURS = 24
USUAL_ROOM = "light no carpet 10%"


@dataclass(frozen=True, kw_only=True)
class SunlitPlane:
    """Wall, roof or floor: sol-air temperature by hour [C] and its conduction series (sums to one)."""

    name: str
    area_m2: float
    u_value: float
    sol_air_C: Array
    conduction: Array
    radiant_share: float = 0.46


@dataclass(frozen=True, kw_only=True)
class SunlitGlass:
    """Window: light on its plane by hour, sunlit fraction of beam, share of sky light, inside shade (IAC)."""

    name: str
    area_m2: float
    u_value: float
    glazing: Glazing
    light: PlaneIrradiance
    outdoor_C: Array
    sunlit: ArrayLike = 1.0
    sky_share: float = 1.0
    inside_shade: Array | float = 1.0


def conduction_gain(part: SunlitPlane, room_C: float) -> Array:
    """Heat through an opaque part [W]: q(t) = sum of c_n U A (te(t - n) - trc), eqs. 31-32."""
    return follow(part.conduction, part.area_m2 * part.u_value * (np.asarray(part.sol_air_C, float) - room_C))


def window_load(w: SunlitGlass, room_C: float, others: Array, solar: Array) -> Array:
    """Cooling load of a window [W]: beam, diffuse and conduction through their series.

    Beam without an inside shade is all radiant and lands on the floor (solar series); behind a shade it is
    released like the diffuse; hour by hour.
    """
    spread, beam = diffuse_gain(w) + pane_conduction(w, room_C), beam_gain(w)
    share, behind = window_radiant_share(w.glazing.shgc[0]), np.asarray(w.inside_shade) < 1
    return follow(solar, np.where(behind, 0.0, beam)) + cooling_load(spread + np.where(behind, beam, 0.0), share, others)


def beam_gain(w: SunlitGlass) -> Array:
    """Beam solar gain A Eb SHGC(theta) IAC [W], circumsolar with the beam, eq. 13."""
    lit = w.light.directional * np.asarray(w.sunlit, float)
    return w.area_m2 * lit * shgc_at_angle(w.glazing, w.light.cos_incidence) * w.inside_shade


def diffuse_gain(w: SunlitGlass) -> Array:
    """Diffuse solar gain A (Ed + Er) <SHGC> IAC [W], eq. 14."""
    return w.area_m2 * (w.light.sky * w.sky_share + w.light.ground) * w.glazing.shgc_diffuse * w.inside_shade


def pane_conduction(w: SunlitGlass, room_C: float) -> Array:
    """Conduction U A (to - ti) [W], eq. 15; at once, glass has no series."""
    return w.area_m2 * w.u_value * (np.asarray(w.outdoor_C, float) - room_C)


def window_radiant_share(shgc: float) -> float:
    """Radiant share of diffuse and conducted gain: 0.33 above an SHGC of 0.5, else 0.46, Table 14."""
    return radiant_share("window, SHGC above 0.5" if shgc > 0.5 else "window, SHGC below 0.5")


def cooling_load(gain: ArrayLike, radiant: float, series: Array) -> Array:
    """Load of a gain [W]: the convective part at once, the radiant part through its series, eq. 33."""
    heat = np.asarray(gain, float)
    return (1 - radiant) * heat + follow(series, radiant * heat)


def follow(series: ArrayLike, hourly: ArrayLike) -> Array:
    """Response of a repeating day: y(t) = sum over n of c_n x(t - n) [unit of x]."""
    c, x = np.asarray(series, float), np.asarray(hourly, float)
    return sum((c[n] * np.roll(x, n) for n in range(HOURS)), np.zeros(HOURS))


def conduction_series(part: str, number: str) -> Array:
    """Conduction time series of a numbered light "wall" or "roof", Tables 16-17, brought to sum to one [-].

    (Some printed rows sum to 99.8..100.1 %.)  Errors: InputError for a number not in the table.
    """
    known = {r["number"]: r for r in rows("time_series_conduction") if r["part"] == part}
    if number not in known:
        raise InputError(f"{part} construction", number, f"one of {', '.join(known)}")
    return _series(known[number])


def nearest_conduction(part: str, u_value: float, word: str = "") -> str:
    """Number of the tabled construction nearest in U-value; `word` restricts it, such as "metal"."""
    rows_of = [r for r in rows("time_series_conduction") if r["part"] == part]
    fitting = [r for r in rows_of if word in r["construction"]] or rows_of
    return min(fitting, key=lambda r: abs(np.log(float(r["u_value"]) / u_value)))["number"]


def radiant_series(kind: str, room: str = USUAL_ROOM) -> Array:
    """Radiant time series, `kind` "solar" or "nonsolar", Tables 19-20 [-].  InputError for an unknown room."""
    known = {r["room"]: r for r in rows("time_series_radiant") if r["kind"] == kind}
    if room not in known:
        raise InputError("room", room, f"one of {'; '.join(known)}", nearest(room, list(known)))
    return _series(known[room])


def radiant_share(gain: str) -> float:
    """Share of a kind of heat gain that is radiant, Table 14.  KeyError for a kind not in the table."""
    return {r["gain"]: float(r["radiant_share"]) for r in rows("time_series_split")}[gain]


def _series(row: dict[str, str]) -> Array:
    c = np.array([float(row[f"c{n}"]) for n in range(HOURS)])
    return c / c.sum()
