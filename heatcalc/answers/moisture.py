"""Whether surfaces and layers stay dry: what the method says, and what it cannot say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.assembly import Assembly, DoorAssembly, OpaqueAssembly, WindowAssembly
from heatcalc.physics.layers import heat_paths
from heatcalc.physics.vapour import (
    MOULD_RH,
    R_SI_GLASS,
    R_SI_MOULD,
    class_excess,
    dew_point_depth,
    divided,
    interface_temperatures,
    needed_temperature_factor,
    path_temperature_factor,
    retarder_class,
    saturation_pressure,
    saturation_temperature,
    vapour_excess,
    year_of_moisture,
)
from heatcalc.physics.whole_window import edge_of_glass_u
from heatcalc.tables import rows

LIMITS = (
    "steady monthly means, diffusion only: air that leaks into a cavity carries far more water than diffusion and is "
    "not counted",
    "no sun, rain, capillary flow, storage in wood, or cold spells shorter than a month",
    "one-dimensional through the clear cavity: steel, edges, corners and wheel wells need the 2-D solver",
    "table values of vapour resistance differ by a factor of two to four between sources and with humidity",
    "so this is a screening, not a proof that the assembly stays dry; local practice and code decide",
)
GLASS_LIMIT = ("the glass edge is the mean of its 63.5 mm band (psi of ISO 10077-1, from memory): the sight line and a metal "
               "frame are colder than this says; with a label only, the whole window's U stands for its glass")
STEEL_LIMIT = "steel studs: the surface over a stud is colder than the mean shown here; solve it in 2-D (heatcalc bridge)"
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True)
class AirOverYear:
    """Monthly means on both sides of an assembly."""

    outdoor_C: tuple[float, ...]
    outdoor_Pa: tuple[float, ...]
    indoor_C: tuple[float, ...]
    indoor_Pa: tuple[float, ...]
    basis: str

    @property
    def indoor_rh(self) -> tuple[float, ...]:
        """Monthly indoor relative humidity (0..1)."""
        return tuple(
            float(p / saturation_pressure(t)) for p, t in zip(self.indoor_Pa, self.indoor_C, strict=True)
        )


@dataclass(frozen=True)
class Spot:
    """One place on the inner surface: its temperature factor against what the coldest month asks for."""

    name: str
    temperature_factor: float
    surface_C: float
    """Surface temperature in the month that asks for most [degC]."""
    safe: bool


@dataclass(frozen=True)
class WetLayer:
    """Water that gathers at one place in the assembly over the year [kg/m2 by month]."""

    where: str
    water_kg_m2: tuple[float, ...]

    @property
    def peak_kg_m2(self) -> float:
        """Most water of the year."""
        return max(self.water_kg_m2)


@dataclass(frozen=True)
class DewPointPlace:
    """Where indoor air that reached so far would condense in the coldest month; depth None if nowhere."""

    month: str
    dew_point_C: float
    depth_m: float | None
    layer: str


@dataclass(frozen=True)
class MoistureAnswer:
    """Mould and condensation of one assembly in one climate; never a bare pass: `limits` belongs to it."""

    name: str
    air: AirOverYear
    needed_factor: float
    critical_month: str
    spots: tuple[Spot, ...]
    wet: tuple[WetLayer, ...]
    dries_out: bool
    retarder: str
    dew_point: DewPointPlace | None
    limits: tuple[str, ...]

    @property
    def weakest(self) -> Spot:
        """The spot with the lowest temperature factor."""
        return min(self.spots, key=lambda spot: spot.temperature_factor)

    @property
    def verdict(self) -> str:
        """One sentence: what the method found."""
        where = f"lowest at the {self.weakest.name}"
        mould = (
            f"the surface stays under {MOULD_RH:.0%} humidity ({where})"
            if self.weakest.safe
            else f"mould risk, {where}"
        )
        if not self.wet:
            return f"{mould}; no condensation inside by this method"
        dry = "dries out within the year" if self.dries_out else "does not dry out within the year"
        worst = max(self.wet, key=lambda layer: layer.peak_kg_m2)
        return f"{mould}; up to {1000 * worst.peak_kg_m2:.0f} g/m2 of water {worst.where}, which {dry}"


def air_from_class(
    outdoor_C: Sequence[float], outdoor_dew_C: Sequence[float], indoor_C: float, humidity_class: int
) -> AirOverYear:
    """Indoor air by an ISO 13788 humidity class (upper bound of the class)."""
    row = next(row for row in rows("humidity_classes") if row["class"] == str(humidity_class))
    excess = [class_excess(t, float(row["excess_Pa"])) for t in outdoor_C]
    basis = f"ISO 13788 humidity class {humidity_class} ({row['building']}; {row['mark']})"
    return _air(outdoor_C, outdoor_dew_C, indoor_C, excess, basis)


def air_from_balance(
    outdoor_C: Sequence[float],
    outdoor_dew_C: Sequence[float],
    indoor_C: float,
    generation_kg_s: float,
    flow_m3_s: float,
) -> AirOverYear:
    """Indoor air by what people give off and the air change carries away (steady, no dehumidifier)."""
    excess = [vapour_excess(generation_kg_s, flow_m3_s, indoor_C)] * 12
    basis = f"{generation_kg_s * 3.6e6:.0f} g/h of moisture carried off by {flow_m3_s * 1000:.1f} L/s of outdoor air"
    return _air(outdoor_C, outdoor_dew_C, indoor_C, excess, basis)


def air_from_humidity(
    outdoor_C: Sequence[float],
    outdoor_dew_C: Sequence[float],
    indoor_C: float,
    indoor_rh: float | Sequence[float],
) -> AirOverYear:
    """Indoor air by a relative humidity held all year, or by twelve of them."""
    shares = np.broadcast_to(np.asarray(indoor_rh, dtype=float), (12,))
    inside = tuple(float(x) for x in shares * saturation_pressure(indoor_C))
    outside = tuple(float(saturation_pressure(t)) for t in outdoor_dew_C)
    held = f"{shares.min():.0%} indoor humidity" if np.ptp(shares) == 0 else "monthly indoor humidity"
    return AirOverYear(tuple(outdoor_C), outside, (indoor_C,) * 12, inside, f"{held} as given")


def _air(outdoor_C, outdoor_dew_C, indoor_C: float, excess_Pa: Sequence[float], basis: str) -> AirOverYear:
    """Indoors never drier than the excess says, nor wetter than saturated."""
    outside = [float(saturation_pressure(t)) for t in outdoor_dew_C]
    most = float(saturation_pressure(indoor_C))
    inside = tuple(min(p + more, most) for p, more in zip(outside, excess_Pa, strict=True))
    return AirOverYear(tuple(outdoor_C), tuple(outside), (indoor_C,) * 12, inside, basis)


def moisture(found: Assembly, air: AirOverYear, extra: Sequence[tuple[str, float]] = ()) -> MoistureAnswer:
    """Mould limit, condensation and drying of an assembly (ISO 13788).

    `extra` names further spots by temperature factor, e.g. a steel member or wheel well solved in 2-D.
    """
    asked = [
        needed_temperature_factor(p, te, ti)
        for p, te, ti in zip(air.indoor_Pa, air.outdoor_C, air.indoor_C, strict=True)
    ]
    worst = int(np.argmax(asked))
    factors = [*_factors(found), *extra]
    spots = tuple(_spot(name, factor, air, worst, asked[worst]) for name, factor in factors)
    if not isinstance(found, OpaqueAssembly):
        few = (GLASS_LIMIT, *LIMITS[-1:]) if isinstance(found, WindowAssembly) else LIMITS[-1:]
        return MoistureAnswer(found.name, air, asked[worst], MONTHS[worst], spots, (), True, "", None, few)
    wet, dries = _condensation(found, air)
    limits = (STEEL_LIMIT, *LIMITS) if "steel framed" in found.groups else LIMITS
    return MoistureAnswer(
        found.name,
        air,
        asked[worst],
        MONTHS[worst],
        spots,
        wet,
        dries,
        _retarder(found),
        _dew_point_place(found, air, int(np.argmin(air.outdoor_C))),
        limits,
    )


def _spot(name: str, factor: float, air: AirOverYear, month: int, needed: float) -> Spot:
    surface = air.outdoor_C[month] + factor * (air.indoor_C[month] - air.outdoor_C[month])
    return Spot(name, factor, surface, factor >= needed)


def _factors(found: Assembly) -> list[tuple[str, float]]:
    if isinstance(found, OpaqueAssembly):
        paths = heat_paths(found.layers, found.r_inside, found.r_outside)
        clear, weakest = paths[0][1], min(r for _, r in paths)
        name = "mean of steel-framed surface" if "steel framed" in found.groups else "clear cavity"
        spots = [(name, path_temperature_factor(clear, found.r_inside))]
        if weakest < clear:
            spots.append(("framing", path_temperature_factor(weakest, found.r_inside)))
        return spots
    assert isinstance(found, WindowAssembly | DoorAssembly)
    if isinstance(found, DoorAssembly):
        return [("door as a whole", path_temperature_factor(1.0 / found.u_value_W_m2K, R_SI_GLASS, R_SI_MOULD))]
    edge_u = edge_of_glass_u(found.glass_u_W_m2K or found.u_value_W_m2K, found.edge_psi_W_mK)
    return [("window as a whole", path_temperature_factor(1.0 / found.u_value_W_m2K, R_SI_GLASS, R_SI_GLASS)),
            ("glass edge", max(path_temperature_factor(1.0 / edge_u, R_SI_GLASS, R_SI_GLASS), 0.0))]


def _condensation(found: OpaqueAssembly, air: AirOverYear) -> tuple[tuple[WetLayer, ...], bool]:
    resistance, sd, owner = divided(
        [x.resistance_m2K_W for x in found.layers], [x.sd_m for x in found.layers]
    )
    films = found.r_inside, found.r_outside
    saturation = np.array(
        [
            saturation_pressure(interface_temperatures(resistance, *films, ti, te))
            for ti, te in zip(air.indoor_C, air.outdoor_C, strict=True)
        ]
    )
    water, first = year_of_moisture(sd, saturation, air.indoor_Pa, air.outdoor_Pa)
    names = [_place(found, owner, k) for k in range(water.shape[1])]
    places = dict.fromkeys(names[k] for k in np.flatnonzero(water.max(axis=0) > 1e-9))
    wet = tuple(
        WetLayer(name, tuple(float(x) for x in water[:, [n == name for n in names]].sum(axis=1)))
        for name in places
    )
    last = water[first - 1]
    return wet, bool(last.sum() < 1e-9)


def _place(found: OpaqueAssembly, owner: np.ndarray, k: int) -> str:
    """Interface `k` in words: between two layers, or within one."""
    if k == 0 or k == len(owner):
        return "on the surface"
    inner, outer = owner[k - 1], owner[k]
    if inner == outer:
        return f"within the {found.layers[inner].name}"
    return f"between {found.layers[inner].name} and {found.layers[outer].name}"


def _retarder(found: OpaqueAssembly) -> str:
    """The tightest layer and its class, and whether it stands on the inner or outer part of the insulation."""
    k = max(range(len(found.layers)), key=lambda i: found.layers[i].sd_m)
    inside = sum(x.resistance_m2K_W for x in found.layers[:k])
    outside = sum(x.resistance_m2K_W for x in found.layers[k + 1 :])
    side = "inner" if inside < outside else "outer"
    kind = retarder_class(found.layers[k].sd_m)
    named = f"class {kind}" if kind != "none" else "no vapour retarder class"
    return f"tightest layer: {found.layers[k].name} ({named}, sd {found.layers[k].sd_m:.2g} m), on the {side} side"


def _dew_point_place(found: OpaqueAssembly, air: AirOverYear, month: int) -> DewPointPlace:
    """The place for the month given, through the clear section."""
    resistance = [x.resistance_m2K_W for x in found.layers]
    thickness = [x.thickness_m for x in found.layers]
    at = interface_temperatures(
        resistance, found.r_inside, found.r_outside, air.indoor_C[month], air.outdoor_C[month]
    )
    dew = saturation_temperature(air.indoor_Pa[month])
    depth = dew_point_depth(resistance, thickness, at, dew)
    if depth is None:
        return DewPointPlace(MONTHS[month], dew, None, "")
    inside = min(int(np.searchsorted(np.cumsum(thickness), depth)), len(thickness) - 1)
    return DewPointPlace(MONTHS[month], dew, depth, found.layers[inside].name)
