"""The simple hourly method of ISO 13790:2008 (five resistances, one capacity): a published reference beside `network`.

Equations as printed in the standard's annex C, second hand.  In the network `w` are the windows.  Not used for any
answer: it shows how far a lumped model goes.

Closure trap: the part of the radiant heat that falls on the windows, H_w/(9.1 A_t) (P_int/2 + P_sol), is sent
straight outside by the formula for P_st; a heat balance must add it (`direct_loss`).
"""

from __future__ import annotations

from dataclasses import dataclass

H_IS = 3.45
"""Air to surfaces [W/(m2 K)] (ISO 13790:2008, 7.2.2.2)."""
H_MS = 9.1
"""Surfaces to mass [W/(m2 K)] (ISO 13790:2008, 12.2.2)."""
TRIAL_W_M2 = 10.0
"""Heat tried to find the need [W per m2 of floor] (ISO 13790:2008, C.4; from memory)."""


@dataclass(frozen=True, kw_only=True)
class FiveResistances:
    """The building: floor, mass and internal surface areas [m2], capacity [J/K], heat transfer coefficients [W/K]."""

    floor_area: float
    mass_area: float
    surface_area: float
    capacity: float
    windows: float
    opaque: float
    ventilation: float

    @property
    def h_ms(self) -> float:
        """Mass to surfaces [W/K]: 9.1 W/(m2 K) x mass area."""
        return H_MS * self.mass_area

    @property
    def h_em(self) -> float:
        """Outdoors to mass [W/K]: the opaque conductance less that of mass to surfaces in series."""
        return 1.0 / (1.0 / self.opaque - 1.0 / self.h_ms)

    @property
    def h_is(self) -> float:
        """Surfaces to air [W/K]: 3.45 W/(m2 K) x all surfaces."""
        return H_IS * self.surface_area

    @property
    def h_1(self) -> float:
        """Ventilation and surfaces to air in series [W/K]."""
        return 1.0 / (1.0 / self.ventilation + 1.0 / self.h_is)

    @property
    def h_2(self) -> float:
        """The same beside the windows [W/K]."""
        return self.h_1 + self.windows

    @property
    def h_3(self) -> float:
        """The same in series with surfaces to mass [W/K]."""
        return 1.0 / (1.0 / self.h_2 + 1.0 / self.h_ms)


@dataclass(frozen=True)
class HourGiven:
    """What one hour brings: outdoor and supply air [degC], internal and solar heat [W]."""

    outdoor_C: float
    supply_C: float
    internal_W: float
    solar_W: float


@dataclass(frozen=True, kw_only=True)
class HourResult:
    """Temperatures [degC] of one hour and the heat [W] that made them."""

    mass_total_W: float
    mass_end_C: float
    mass_C: float
    surface_C: float
    air_C: float
    plant_W: float


def heat_split(b: FiveResistances, given: HourGiven) -> tuple[float, float, float]:
    """Heat to the air, to the surfaces, to the mass [W] (ISO 13790:2008, C.2)."""
    half, share = 0.5 * given.internal_W, b.mass_area / b.surface_area
    radiant = half + given.solar_W
    to_surfaces = (1.0 - share - b.windows / (H_MS * b.surface_area)) * radiant
    return half, to_surfaces, share * radiant


def direct_loss(b: FiveResistances, given: HourGiven) -> float:
    """Radiant heat the formulas send straight out through the windows [W]."""
    return b.windows / (H_MS * b.surface_area) * (0.5 * given.internal_W + given.solar_W)


def hour_with(b: FiveResistances, given: HourGiven, mass_start_C: float, plant_W: float) -> HourResult:
    """One hour (Crank-Nicolson) with a given plant heat (ISO 13790:2008, C.3, equations C.4 to C.11)."""
    to_air, to_surface, to_mass = heat_split(b, given)
    brought = b.h_1 * ((to_air + plant_W) / b.ventilation + given.supply_C)
    total = to_mass + b.h_em * given.outdoor_C + b.h_3 * (to_surface + b.windows * given.outdoor_C + brought) / b.h_2
    rate, half = b.capacity / 3600.0, 0.5 * (b.h_3 + b.h_em)
    end = (mass_start_C * (rate - half) + total) / (rate + half)
    mass = 0.5 * (mass_start_C + end)
    surface = (b.h_ms * mass + to_surface + b.windows * given.outdoor_C + brought) / (b.h_ms + b.windows + b.h_1)
    air = (b.h_is * surface + b.ventilation * given.supply_C + to_air + plant_W) / (b.h_is + b.ventilation)
    return HourResult(mass_total_W=total, mass_end_C=end, mass_C=mass, surface_C=surface, air_C=air, plant_W=plant_W)


def hour_controlled(
    b: FiveResistances,
    given: HourGiven,
    mass_start_C: float,
    heat_set_C: float,
    cool_set_C: float,
    heat_max_W: float = float("inf"),
    cool_max_W: float = float("inf"),
) -> HourResult:
    """One hour held between two set points within the plant's limits (ISO 13790:2008, C.4; control from memory)."""
    free = hour_with(b, given, mass_start_C, 0.0)
    if heat_set_C <= free.air_C <= cool_set_C:
        return free
    target = heat_set_C if free.air_C < heat_set_C else cool_set_C
    trial = TRIAL_W_M2 * b.floor_area
    tried = hour_with(b, given, mass_start_C, trial)
    need = trial * (target - free.air_C) / (tried.air_C - free.air_C)
    return hour_with(b, given, mass_start_C, min(max(need, -cool_max_W), heat_max_W))
