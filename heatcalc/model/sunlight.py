"""The sun's channels of a house turned one way: what falls on each plane, what enters through each window."""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_pieces import within
from heatcalc.model.house_model import HouseModel
from heatcalc.model.part import WindowPart
from heatcalc.physics.shell.glazing import (
    above_horizon,
    absorbed_at_inner_pane,
    fins_share,
    horizon_sky_share,
    left_of_the_sky,
    overhang_sky_share,
    profile_tangent,
    slats_let_in,
    sunlit_fraction,
    transmitted,
)
from heatcalc.physics.shell.shape import BEARING
from heatcalc.physics.sun.sun import PlaneIrradiance, SunPosition, perez_brightness, plane_irradiance

INSIDE_FILM_W_m2K = 1 / 0.13  # ISO 6946
THROUGH_SCREEN = 0.64  # sun past an insect screen outside: ASHRAE Handbook - Fundamentals 2021 ch. 17 Table 11
Planes = dict[tuple[float, float, float, float], PlaneIrradiance]
"""By azimuth, tilt, ground reflectance and horizon."""


def sun_channels(
    model: HouseModel,
    position: SunPosition,
    dni: np.ndarray,
    ghi: np.ndarray,
    dhi: np.ndarray,
    front_bearing_deg: float,
    planes: Planes | None = None,
    shutters_at: np.ndarray | None = None,
) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Input channels of the network for any hours, and the sun through all glass [W].

    One channel for each plane (face and tilt) [W/m2] and two for each window [W per m2 of window].  `planes` keeps what
    falls on each plane for further calls with the same hours; `shutters_at` are those hours of the clock, where closed
    shutters count.
    """
    sky = Sky(model, position, dni, ghi, dhi, front_bearing_deg, planes, shutters_at, shutters_at is not None)
    channels = {p.body.sun: sky.on(p.face, p.tilt_deg).total for p in model.opaque if p.body.sun}
    glass = np.zeros(np.shape(ghi))
    for window in model.windows:
        light, warm = sky.through(window)
        channels |= {window.transmitted: light, window.absorbed: absorbed_at_inner_pane(warm, window.u_value, INSIDE_FILM_W_m2K)}
        glass = glass + (light + warm) * window.area_m2
    return channels, glass


def past_screen(window: WindowPart) -> float:
    """Share of the sun left behind an insect screen."""
    return 1.0 - window.said.insect_screen * (1.0 - THROUGH_SCREEN)


class Sky:
    """Irradiance by plane of a house turned one way, each computed once."""

    def __init__(
        self,
        model: HouseModel,
        position: SunPosition,
        dni,
        ghi,
        dhi,
        front_bearing_deg: float,
        planes: Planes | None = None,
        hour: np.ndarray | None = None,
        shutters: bool = False,
    ):
        self.site, self.position, self.front = model.house.site, position, front_bearing_deg
        self.free = above_horizon(position, self.site.horizon)
        self.dni, self.ghi, self.dhi = dni, ghi, dhi
        self.planes: Planes = {} if planes is None else planes
        self.hour, self.shutters = np.arange(np.shape(ghi)[-1]) % 24 if hour is None else hour, shutters

    def turned(self, front_bearing_deg: float) -> Sky:
        """The same hours over the house turned another way; what falls on planes is shared."""
        self.brightness  # noqa: B018 - worked out here, so that no copy does it again
        other = copy(self)
        other.front = front_bearing_deg
        return other

    @cached_property
    def brightness(self) -> tuple[np.ndarray, np.ndarray]:
        """How bright the sky is about the sun and at the horizon, the same for every plane."""
        return perez_brightness(self.position, np.asarray(self.dni, float), np.asarray(self.dhi, float))

    def azimuth(self, face: str) -> float:
        """Compass bearing of a face."""
        return (self.front + BEARING.get(face, 0.0)) % 360.0

    def on(self, face: str, tilt_deg: float) -> PlaneIrradiance:
        """Light on a plane; neighbours take the sun itself while it stands below their horizon, and their share of the sky."""
        key = (0.0 if tilt_deg == 0.0 else self.azimuth(face), tilt_deg, self.site.ground_reflectance, self.site.horizon)
        if key not in self.planes:
            sun = self.position, self.dni, self.ghi, self.dhi
            whole = plane_irradiance(*sun, tilt_deg, self.azimuth(face), self.site.ground_reflectance, brightness=self.brightness)
            self.planes[key] = replace(
                whole,
                beam=whole.beam * self.free,
                circumsolar=whole.circumsolar * self.free,
                sky=whole.sky * horizon_sky_share(self.site.horizon, tilt_deg),
            )
        return self.planes[key]

    def reach(self, window: WindowPart) -> tuple[np.ndarray, float]:
        """Sunlit fraction of a window past overhang and fins, and the share it keeps of the sky's light on its plane (`on`)."""
        w = window.said
        if window.tilt_deg <= 60.0 or max(w.overhang, w.side_fins) <= 0.0:
            return np.ones(np.shape(self.ghi)), 1.0
        depths = (w.overhang, w.overhang_above, w.side_fins, w.fins_beside)
        sunlit = sunlit_fraction(self.position, self.azimuth(window.face), w.width, w.height, *depths)
        on_plane = horizon_sky_share(self.site.horizon, window.tilt_deg)
        under = overhang_sky_share(w.overhang, w.overhang_above, w.height)
        between = fins_share(w.side_fins, w.fins_beside, w.width)
        return sunlit, between * left_of_the_sky(under, on_plane) / on_plane

    def drawn(self, window: WindowPart) -> tuple[np.ndarray | float, np.ndarray | float]:
        """Share of all sun let in by blinds and closed shutters, and how much more or less of the sun itself, hour by hour."""
        w = window.said
        share: np.ndarray | float = w.inside_shade
        more: np.ndarray | float = 1.0
        if w.slats_level is not None and w.slats_steep is not None:
            down, _ = profile_tangent(self.position, self.azimuth(window.face))
            more = slats_let_in(down, w.slats_level, w.slats_steep) / w.inside_shade
        if (w.shade_from, w.shade_to) != (0, 24):
            drawn = within(self.hour, w.shade_from, w.shade_to)
            share, more = np.where(drawn, share, 1.0), np.where(drawn, more, 1.0)
        return (np.where(w.shut(self.hour), 0.0, share) if self.shutters and w.shutter else share), more

    def through(self, window: WindowPart) -> tuple[np.ndarray, np.ndarray]:
        """Light let in and heat flowing inward from the warm glass [W per m2 of window]."""
        sunlit, share = self.reach(window)
        let_in, more = self.drawn(window)
        entered = transmitted(window.glazing, self.on(window.face, window.tilt_deg), sunlit * more, share, let_in)
        past = past_screen(window)
        return past * (entered.transmitted_beam + entered.transmitted_diffuse), past * entered.inward
