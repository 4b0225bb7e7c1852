"""One part of the shell as the model and the hand methods see it."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.physics.shell.glazing import Glazing

SUMMER_FILM_W_m2K = 17.0  # ASHRAE Handbook - Fundamentals 2021 ch. 18
PLURAL = {"wall": "walls", "roof": "roof", "floor": "floor", "door": "doors", "thermal bridge": "thermal bridges"}


@dataclass(frozen=True)
class OpaquePart:
    """One wall, roof, floor, door or thermal bridge: layers inside to outside, surface to surface."""

    name: str
    kind: str
    face: str
    tilt_deg: float
    area_m2: float
    u_value: float
    resistance: tuple[float, ...]
    capacity: tuple[float, ...]
    r_inside: float
    r_outside: float
    thickness_m: float
    mass_kg_m2: float
    assembly: str
    source: str
    boundary: str = "outdoor"
    outdoor_share: float = 1.0  # of a boundary below, see `ground.under_floor`
    outside_film: float = 0.0  # 0 = convection and radiation by the usual rule [W/(m2 K)]
    sky_view: float = 0.0
    solar_absorptance: float = 0.0
    sun: str = ""
    sun_share: float = 1.0  # of sun and cool sky that a ventilated cladding hands on, see `films.cladding_share`

    @property
    def ua_W_K(self) -> float:
        """U x A [W/K]."""
        return self.u_value * self.area_m2

    @property
    def component(self) -> str:
        """The word a person sees in the list of loads."""
        return PLURAL[self.kind]

    @property
    def taken_in(self) -> float:
        """Sun and cool sky felt over what a part without a cladding would feel: share x h_o/h_film [-]."""
        return self.sun_share * (SUMMER_FILM_W_m2K / self.outside_film if self.outside_film else 1.0)

    @property
    def radiates(self) -> bool:
        """A thermal bridge has no surface of its own."""
        return self.kind != "thermal bridge"


@dataclass(frozen=True)
class WindowPart:
    """One group of equal windows in one place."""

    name: str
    face: str
    tilt_deg: float
    area_m2: float
    width_m: float
    height_m: float
    u_value: float
    shgc: float
    glazing: Glazing
    overhang_m: float
    gap_above_m: float
    inside_shade: float
    sky_view: float
    assembly: str
    source: str

    @property
    def ua_W_K(self) -> float:
        """U x A [W/K]."""
        return self.u_value * self.area_m2

    @property
    def component(self) -> str:
        """The word a person sees in the list of loads."""
        return "windows"

    @property
    def transmitted(self) -> str:
        """Channel of the light let through."""
        return f"{self.name} light"

    @property
    def absorbed(self) -> str:
        """Channel of the heat absorbed at the inner pane."""
        return f"{self.name} warm glass"
