"""The residential load factor method: design heating and cooling by hand, on one page.

Source of all of it: ASHRAE Handbook - Fundamentals (2021, SI) ch. 17; equation numbers are that chapter's.
Made for ordinary detached houses at the July peak; `out_of_range` says where a small house leaves its range.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.tables import rows

SENSIBLE_AIR = 1230.0  # W/(m3/s K), Cs of eq. 2 at sea level, good to about 300 m
LATENT_AIR = 3.010e6  # W/(m3/s), Cl of eq. 3
POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
DAILY_RANGE_SHARE = 0.46  # eq. 24: share of the daily range taken off a window's temperature difference


@dataclass(frozen=True)
class DesignDifferences:
    """Design differences, outdoors less indoors for cooling and the reverse for heating; the latitude."""

    latitude_deg: float
    heating_K: float
    cooling_K: float
    daily_range_K: float


@dataclass(frozen=True)
class OpaqueSurface:
    """Opaque part; `kind` is a row of tables/load_factor_opaque.csv."""

    name: str
    kind: str
    area_m2: float
    u_value: float
    solar_absorptance: float = 0.0


@dataclass(frozen=True)
class Slab:
    """Slab on grade: resistance of its cover [m2K/W] and heat loss of its edge [W/(m K)]."""

    name: str
    area_m2: float
    perimeter_m: float
    cover_resistance: float
    edge_loss: float


@dataclass(frozen=True, kw_only=True)
class WindowOpening:
    """Window; `azimuth_deg` is a compass bearing, None for a horizontal skylight.

    `screen` is the transmission of an outside attachment (Table 11: 0.64 insect screen, 1.0 none),
    `inside_shade` the interior attenuation coefficient.
    """

    name: str
    azimuth_deg: float | None
    area_m2: float
    height_m: float
    u_value: float
    shgc: float
    screen: float = 1.0
    inside_shade: float = 1.0
    overhang_m: float = 0.0
    gap_above_m: float = 0.0


@dataclass(frozen=True)
class AirFlow:
    """Outdoor air that carries load [m3/s] (after any heat recovery) and its excess moisture [kg/kg]."""

    heating: float
    cooling: float
    cooling_latent: float
    excess_humidity: float


@dataclass(frozen=True)
class Line:
    """One line of the sum: factors per m2 (per m for an edge, per m3/s for air) and watts."""

    name: str
    amount: float
    heating_factor: float
    cooling_factor: float

    @property
    def heating_W(self) -> float:
        """Heating load of the line [W]: factor x amount."""
        return self.amount * self.heating_factor

    @property
    def cooling_W(self) -> float:
        """Cooling load of the line [W]: factor x amount."""
        return self.amount * self.cooling_factor


@dataclass(frozen=True, kw_only=True)
class LoadFactorSum:
    """The page: lines, gains, duct factors, totals [W]."""

    lines: tuple[Line, ...]
    internal_W: float
    internal_latent_W: float
    air_latent_W: float
    duct_heating: float
    duct_cooling: float

    @property
    def heating_W(self) -> float:
        """Total sensible heating: lines and ducts; no sun, no gains."""
        return sum(x.heating_W for x in self.lines) * (1 + self.duct_heating)

    @property
    def cooling_W(self) -> float:
        """Total sensible cooling: lines, internal gains and ducts."""
        return (sum(x.cooling_W for x in self.lines) + self.internal_W) * (1 + self.duct_cooling)

    @property
    def latent_W(self) -> float:
        """Latent cooling: air and internal (eq. 32)."""
        return self.air_latent_W + self.internal_latent_W


def load_factor_sum(
    conditions: DesignDifferences,
    surfaces: tuple[OpaqueSurface, ...],
    slabs: tuple[Slab, ...],
    openings: tuple[WindowOpening, ...],
    air: AirFlow,
    floor_area_m2: float,
    occupants: float,
    duct_heating: float = 0.0,
    duct_cooling: float = 0.0,
) -> LoadFactorSum:
    """The whole house.  Duct factors are 0 for equipment wholly indoors (ductless), ch. 17 Table 6."""
    lines = [surface_line(s, conditions) for s in surfaces]
    lines += [line for s in slabs for line in slab_lines(s, conditions)]
    lines += [opening_line(o, conditions) for o in openings]
    lines += air_lines(air, conditions)
    moist = LATENT_AIR * air.cooling_latent * max(air.excess_humidity, 0.0)
    return LoadFactorSum(
        lines=tuple(lines),
        internal_W=internal_gain_W(floor_area_m2, occupants),
        internal_latent_W=internal_latent_W(floor_area_m2, occupants),
        air_latent_W=moist,
        duct_heating=duct_heating,
        duct_cooling=duct_cooling,
    )


def surface_line(s: OpaqueSurface, c: DesignDifferences) -> Line:
    """Heating U dt (eq. 33) and cooling factor (eqs. 20-21) of an opaque part."""
    cooling = opaque_cooling_factor(s.kind, s.u_value, c.cooling_K, c.daily_range_K, s.solar_absorptance)
    return Line(s.name, s.area_m2, s.u_value * c.heating_K, cooling)


def opaque_cooling_factor(
    kind: str, u_value: float, cooling_K: float, daily_range_K: float, solar_absorptance: float = 0.0
) -> float:
    """CF = U (OFt dt + OFb + OFr DR) [W/m2], eqs. 20-21, Table 7.  KeyError for an unknown kind."""
    r = {row["kind"]: row for row in rows("load_factor_opaque")}[kind]
    base = float(r["of_b"]) + float(r["of_b_per_absorptance"]) * solar_absorptance
    return u_value * (float(r["of_t"]) * cooling_K + base + float(r["of_r"]) * daily_range_K)


def slab_lines(s: Slab, c: DesignDifferences) -> tuple[Line, Line]:
    """Edge loss Fp dt in winter (eq. 34); the cool slab in summer (eq. 22)."""
    return (
        Line(f"{s.name} edge", s.perimeter_m, s.edge_loss * c.heating_K, 0.0),
        Line(s.name, s.area_m2, 0.0, slab_cooling_factor(s.cover_resistance)),
    )


def slab_cooling_factor(cover_resistance: float) -> float:
    """CF = 1.9 - 1.4 h, h = 1/(Rcvr + 0.12) [W/m2], eqs. 22-23."""
    return 1.9 - 1.4 / (cover_resistance + 0.12)


def opening_line(o: WindowOpening, c: DesignDifferences) -> Line:
    """Heating U dt and cooling factor of a window."""
    total, diffuse = peak_irradiance(c.latitude_deg, o.azimuth_deg)
    shaded = shaded_by_overhang(shade_line_factor(c.latitude_deg, o.azimuth_deg), o.overhang_m, o.gap_above_m, o.height_m)
    light = exterior_irradiance(total, diffuse, shaded, o.screen)
    return Line(
        o.name,
        o.area_m2,
        o.u_value * c.heating_K,
        window_cooling_factor(
            o.u_value, c.cooling_K, c.daily_range_K, light, o.shgc, o.inside_shade, fenestration_factor(o.azimuth_deg)
        ),
    )


def window_cooling_factor(
    u_value: float,
    cooling_K: float,
    daily_range_K: float,
    irradiance: float,
    shgc: float,
    inside_shade: float,
    solar_load_factor: float,
) -> float:
    """CF = U (dt - 0.46 DR) + PXI SHGC IAC FFs [W/m2], eqs. 24-25."""
    conduction = u_value * (cooling_K - DAILY_RANGE_SHARE * daily_range_K)
    return conduction + irradiance * shgc * inside_shade * solar_load_factor


def exterior_irradiance(total: float, diffuse: float, shaded: float, transmission: float = 1.0) -> float:
    """Peak irradiance past screen and overhang, PXI = Tx [Ed + (1 - Fshd) ED] [W/m2], eqs. 26-27."""
    return transmission * (diffuse + (1 - shaded) * (total - diffuse))


def shaded_by_overhang(shade_line: float, depth_m: float, gap_m: float, height_m: float) -> float:
    """Fshd = min(1, max(0, (SLF Doh - Xoh)/h)), eq. 28 [-]."""
    return min(1.0, max(0.0, (shade_line * depth_m - gap_m) / height_m))


def peak_irradiance(latitude_deg: float, azimuth_deg: float | None) -> tuple[float, float]:
    """Peak total and diffuse irradiance of a summer day [W/m2], Table 9; latitude 20-60; None is horizontal.

    The normalised exposure runs from 0 at north to 1 at south: printed the other way round, the equations
    contradict the chapter's own Table 10 and worked example.
    """
    lat = abs(latitude_deg)
    if azimuth_deg is None:
        total = 816.2 + 10.20 * lat - 0.1806 * lat**2
        return total, min(total, 170.0)
    p = 1 - abs(azimuth_deg % 360 - 180) / 180
    total = (
        423.5
        + 1240 * p
        - 5143 * p**3
        + 3191 * p**4
        + 35.25 * p * lat
        + 0.1427 * p * lat**2
        - 12.89 * lat
        - 0.6172 * lat**2
        + 0.7802 * lat**2 / (p + 1)
    )
    diffuse = 356.3 - 37.73 * p**2 + 0.3022 * p * lat - 115.9 * lat**0.25 / (p + 1)
    return total, min(total, diffuse)


def shade_line_factor(latitude_deg: float, azimuth_deg: float | None) -> float:
    """Depth of shadow per depth of overhang at the nearest compass point, linear in latitude, Table 12 [-]."""
    if azimuth_deg is None:
        return 0.0
    table = rows("load_factor_shade_line")
    column = [float(r[compass_point(azimuth_deg)]) for r in table]
    return float(np.interp(abs(latitude_deg), [float(r["latitude"]) for r in table], column))


def fenestration_factor(azimuth_deg: float | None) -> float:
    """Fenestration solar load factor FFs of a detached house at the nearest compass point, Table 13."""
    point = "H" if azimuth_deg is None else compass_point(azimuth_deg)
    return {r["exposure"]: float(r["ff_s"]) for r in rows("load_factor_fenestration")}[point]


def compass_point(azimuth_deg: float) -> str:
    """Nearest of the eight compass points."""
    return POINTS[int(azimuth_deg % 360 / 45 + 0.5) % 8]


def closed_shade_factor(glass: str, shade: str) -> float:
    """IACcl of an interior attachment, ch. 17 Table 14.  KeyError for a pair not in the table [-]."""
    return {(r["glazing"], r["shade"]): float(r["iac_closed"]) for r in rows("interior_shade")}[glass, shade]


def air_lines(air: AirFlow, c: DesignDifferences) -> list[Line]:
    """Sensible heat of outdoor air, q = Cs Q dt (eq. 2), heating and cooling flow apart."""
    return [
        Line("outdoor air, heating", air.heating, SENSIBLE_AIR * c.heating_K, 0.0),
        Line("outdoor air, cooling", air.cooling, 0.0, SENSIBLE_AIR * c.cooling_K),
    ]


def internal_gain_W(floor_area_m2: float, occupants: float) -> float:
    """Peak-hour sensible internal gain 136 + 2.2 Acf + 22 Noc [W], eq. 30; Noc = bedrooms + 1 if unknown."""
    return 136 + 2.2 * floor_area_m2 + 22 * occupants


def internal_latent_W(floor_area_m2: float, occupants: float) -> float:
    """Peak-hour latent internal gain 20 + 0.22 Acf + 12 Noc [W], eq. 31."""
    return 20 + 0.22 * floor_area_m2 + 12 * occupants


def out_of_range(
    conditions: DesignDifferences,
    openings: tuple[WindowOpening, ...],
    floor_area_m2: float,
    elevation_m: float,
    peak_month: int = 7,
) -> tuple[str, ...]:
    """Why the method does not apply to this house, one sentence a reason; empty where it does.

    Source: ch. 17 Table 1: latitude 20-60, below 2000 m, glass at most 15 % of the floor area on a facade
    and 30 % in all, July 21, design-day mean outdoors above indoors.  (Light frame is taken as given.)
    """
    reasons = _place_reasons(conditions, elevation_m, peak_month)
    shares: dict[str, float] = {}
    for o in openings:
        side = "the roof" if o.azimuth_deg is None else compass_point(o.azimuth_deg)
        shares[side] = shares.get(side, 0.0) + o.area_m2 / floor_area_m2
    reasons += [
        f"glass facing {side} is {share:.0%} of the floor area, above 15 %" for side, share in shares.items() if share > 0.15
    ]
    if sum(shares.values()) > 0.30:
        reasons.append(f"all glass is {sum(shares.values()):.0%} of the floor area, above 30 %")
    return tuple(reasons)


def _place_reasons(c: DesignDifferences, elevation_m: float, peak_month: int) -> list[str]:
    reasons = []
    if not 20 <= abs(c.latitude_deg) <= 60:
        reasons.append(f"latitude {c.latitude_deg:.1f} is outside 20 to 60 degrees")
    if elevation_m >= 2000:
        reasons.append(f"elevation {elevation_m:.0f} m is not below 2000 m")
    if c.cooling_K - c.daily_range_K / 2 <= 0:
        reasons.append("the design day's mean outdoor temperature is not above the indoor temperature")
    if peak_month != 7:
        reasons.append("the load peaks in another month than July, for which the factors are made")
    return reasons
