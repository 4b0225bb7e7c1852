"""Whether surfaces and layers stay dry: what the method says, and what it cannot say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.inputs.assembly.assembly_file import Assembly, DoorAssembly, OpaqueAssembly, WindowAssembly
from heatcalc.model.bridge_lines import BridgeLine
from heatcalc.model.indoor_air import AirOverYear
from heatcalc.physics.shell.glazing import edge_of_glass_u
from heatcalc.physics.shell.layers import Layer, heat_paths
from heatcalc.physics.shell.steel_stud import stud_wall
from heatcalc.physics.shell.vapour import (
    MOULD_RH,
    R_SI_GLASS,
    R_SI_MOULD,
    dew_point_depth,
    divided,
    interface_temperatures,
    needed_temperature_factor,
    path_temperature_factor,
    retarder_class,
    saturation_pressure,
    saturation_temperature,
    year_of_moisture,
)
from heatcalc.tables import rows
from heatcalc.wording import SHORT_MONTHS, Q, Said, worded

LIMITS = (
    "steady monthly means, diffusion only: air that leaks into a cavity carries far more water than diffusion and is not counted",
    "no sun, rain, capillary flow, storage in wood, or cold spells shorter than a month",
    "straight through the layers: steel, edges, corners and wheel wells count only where a detail is named for them",
    "table values of vapour resistance differ by a factor of two to four between sources and with humidity",
    "so this is a screening, not a proof that the assembly stays dry; local practice and code decide",
)
GLASS_LIMIT = (
    "the glass edge is the mean of its 63.5 mm band (psi of ISO 10077-1, from memory): the sight line and a metal "
    "frame are colder than this says; with a label only, the whole window's U stands for its glass"
)
DETAIL_LIMIT = (
    "steel and edges of the house (2-D) are details as drawn, with their own layers, not this assembly's: draw "
    'your own steel (detail = "my-steel.toml", heatcalc bridge)'
)
STUD_LIMIT = (
    "steel studs: one C stud of 43 mil and 1 5/8 in flanges in full contact, common practice; tracks, corners and "
    "doubled studs are colder"
)
NEVER_COLD = "no month is cold and damp enough to ask for any"


@dataclass(frozen=True)
class SurfaceSpot:
    """One place on the inner surface: its temperature factor against what the coldest month asks for."""

    name: str
    temperature_factor: float
    surface_C: float
    """Surface temperature in the month that asks for most [degC]."""
    safe: bool
    of_house: bool = False
    """Whether it is the house's steel or edge, whatever the assembly."""


@dataclass(frozen=True)
class WetLayer:
    """Water that gathers at one place in the assembly over the year [kg/m2 by month]."""

    where: str
    water_kg_m2: tuple[float, ...]
    limit: WaterLimit

    @property
    def peak_kg_m2(self) -> float:
        """Most water of the year."""
        return max(self.water_kg_m2)

    @property
    def used(self) -> float:
        """Most water over what may gather there [-]; above one it is too much."""
        return self.peak_kg_m2 / self.limit.kg_m2


@dataclass(frozen=True)
class DewPointPlace:
    """Where indoor air that reached so far would condense in the coldest month; depth None if nowhere."""

    month: str
    dew_point_C: float
    depth_m: float | None
    layer: str


@dataclass(frozen=True, kw_only=True)
class MoistureAnswer:
    """Mould and condensation of one assembly in one climate; never a bare pass: `limits` belongs to it."""

    name: str
    air: AirOverYear
    needed_factor: float
    critical_month: str
    spots: tuple[SurfaceSpot, ...]
    wet: tuple[WetLayer, ...]
    dries_out: bool
    retarder: Said
    dew_point: DewPointPlace | None
    limits: tuple[str, ...]
    layered: bool = True

    @property
    def weakest(self) -> SurfaceSpot:
        """The spot with the lowest temperature factor."""
        return min(self.spots, key=lambda spot: spot.temperature_factor)

    @property
    def at_risk(self) -> tuple[SurfaceSpot, ...]:
        """Spots colder than the worst month allows, the coldest first."""
        return tuple(sorted((s for s in self.spots if not s.safe), key=lambda spot: spot.temperature_factor))

    @property
    def wettest(self) -> WetLayer:
        """Where water comes nearest its limit, or passes it by most."""
        return max(self.wet, key=lambda layer: layer.used)

    @property
    def too_wet(self) -> bool:
        """Whether more water gathers somewhere than may."""
        return any(layer.used > 1.0 for layer in self.wet)

    @property
    def verdict(self) -> str:
        """One sentence: the weakest point, what the method found there, and the water inside."""
        month = f"{self.critical_month} asks for {self.needed_factor:.2f}" if self.needed_factor else NEVER_COLD
        asked = f"temperature factor {self.weakest.temperature_factor:.2f}, {month}"
        return f"weakest point: the {self.weakest.name} ({asked}); {self._surface()}; {self._inside()}"

    def _surface(self) -> str:
        if self.needed_factor >= 1.0:
            return f"the room air itself is at {MOULD_RH:.0%} or more that month: no surface is warm enough"
        if not self.at_risk:
            return f"by this method the surfaces looked at stay under {MOULD_RH:.0%} humidity"
        return f"mould risk at the {', the '.join(spot.name for spot in self.at_risk)}"

    def _inside(self) -> str:
        if not self.layered:
            return "nothing is said of what is inside it"
        if not self.wet:
            return "no condensation between layers by this method"
        dry = "dries out within the year" if self.dries_out else "does not dry out within the year"
        worst = self.wettest
        much = f"at most {worst.used:.0%} of what may gather there" if worst.used <= 1.0 else f"{worst.used:.1f} TIMES what may"
        return f"water gathers {worst.where}, {much} ({worst.limit.words}), and {dry}"


def moisture(found: Assembly, air: AirOverYear, lines: Sequence[BridgeLine] = ()) -> MoistureAnswer:
    """Mould limit, condensation and drying of an assembly (ISO 13788).

    `lines` are the steel and edges of the house; those of this kind of part are spots of their own, solved in two dimensions.
    """
    asked = [needed_temperature_factor(p, te, ti) for p, te, ti in zip(air.indoor_Pa, air.outdoor_C, air.indoor_C, strict=True)]
    worst = int(np.argmax(asked))
    steel, unknown = cold_spots(lines, found.kind)
    spots = tuple(
        _spot(name, factor, air, worst, asked[worst], (name, factor) in steel) for name, factor in (*_factors(found), *steel)
    )
    bare = MoistureAnswer(
        name=found.name,
        air=air,
        needed_factor=asked[worst],
        critical_month=SHORT_MONTHS[worst],
        spots=spots,
        wet=(),
        dries_out=True,
        retarder="",
        dew_point=None,
        limits=(),
        layered=False,
    )
    if not isinstance(found, OpaqueAssembly):
        few = (GLASS_LIMIT, *LIMITS[-1:]) if isinstance(found, WindowAssembly) else LIMITS[-1:]
        return replace(bare, limits=few)
    more = (*((STUD_LIMIT,) if found.steel_studs else ()), *((DETAIL_LIMIT,) if steel else ()), *unknown)
    wet, dries_out = _condensation(found, air)
    return replace(
        bare,
        wet=wet,
        dries_out=dries_out,
        retarder=_retarder(found),
        dew_point=_dew_point_place(found, air, int(np.argmin(air.outdoor_C))),
        limits=(*more, *LIMITS),
        layered=True,
    )


def cold_spots(lines: Sequence[BridgeLine], kind: str) -> tuple[tuple[tuple[str, float], ...], tuple[str, ...]]:
    """(name, temperature factor) of the house's steel and edges in one kind of part, and a line for each that has only a psi."""
    found, unknown = [], []
    for line in (x for x in lines if x.part == kind):
        if line.temperature_factor is not None:
            found.append((f"{line.name} (2-D)", line.temperature_factor))
        else:
            unknown.append(f"{line.name}: only a psi is known, not how cold its surface gets")
    return tuple(found), tuple(unknown)


def _spot(name: str, factor: float, air: AirOverYear, month: int, needed: float, of_house: bool) -> SurfaceSpot:
    surface = air.outdoor_C[month] + factor * (air.indoor_C[month] - air.outdoor_C[month])
    return SurfaceSpot(name, factor, surface, factor >= needed, of_house)


def _factors(found: Assembly) -> list[tuple[str, float]]:
    if isinstance(found, OpaqueAssembly):
        paths = heat_paths(found.layers, found.r_inside, found.r_outside)
        clear, weakest = paths[0][1], min(r for _, r in paths)
        if found.steel_studs:
            return [("mean of steel-framed surface", path_temperature_factor(clear, found.r_inside)), _stud_spot(found)]
        spots = [("clear cavity", path_temperature_factor(clear, found.r_inside))]
        if weakest < clear:
            spots.append(("framing", path_temperature_factor(weakest, found.r_inside)))
        return spots
    assert isinstance(found, WindowAssembly | DoorAssembly)
    if isinstance(found, DoorAssembly):
        return [("door as a whole", path_temperature_factor(1.0 / found.u_value_W_m2K, R_SI_GLASS, R_SI_MOULD))]
    edge_u = edge_of_glass_u(found.glass_u_W_m2K or found.u_value_W_m2K, found.edge_psi_W_mK)
    return [
        ("window as a whole", path_temperature_factor(1.0 / found.u_value_W_m2K, R_SI_GLASS, R_SI_GLASS)),
        ("glass edge", max(path_temperature_factor(1.0 / edge_u, R_SI_GLASS, R_SI_GLASS), 0.0)),
    ]


def _stud_spot(found: OpaqueAssembly) -> tuple[str, float]:
    """The surface over a steel stud, solved in two dimensions with the sheltered film."""
    studs = found.steel_studs
    assert studs is not None
    own = [
        (x.thickness_m, studs.insulation_m2K_W if k == studs.layer else x.resistance_m2K_W) for k, x in enumerate(found.layers)
    ]
    try:
        wall = stud_wall(tuple(own), studs.layer, studs.spacing_m, R_SI_MOULD, found.r_outside)
    except ValueError as problem:
        raise NoAnswer(f"{found.name}: {problem}") from None
    return "steel stud (2-D)", wall.temperature_factor


def _condensation(found: OpaqueAssembly, air: AirOverYear) -> tuple[tuple[WetLayer, ...], bool]:
    resistance, sd, owner = divided([x.resistance_m2K_W for x in found.layers], [x.sd_m for x in found.layers])
    films = found.r_inside, found.r_outside
    saturation = np.array(
        [
            saturation_pressure(interface_temperatures(resistance, *films, ti, te))
            for ti, te in zip(air.indoor_C, air.outdoor_C, strict=True)
        ]
    )
    water, first = year_of_moisture(sd, saturation, air.indoor_Pa, air.outdoor_Pa)
    names = [_place(found, owner, k) for k in range(water.shape[1])]
    places = {names[k]: k for k in np.flatnonzero(water.max(axis=0) > 1e-9)}
    meets = (
        [int(owner[max(k - 1, 0)]) for k in range(len(names))],
        [int(owner[min(k, len(owner) - 1)]) for k in range(len(names))],
    )
    wet = tuple(
        WetLayer(
            name,
            tuple(float(x) for x in water[:, [n == name for n in names]].sum(axis=1)),
            limit_between(found, meets[0][k], meets[1][k]),
        )
        for name, k in places.items()
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


def _retarder(found: OpaqueAssembly) -> Said:
    """The tightest layer and its class, and whether it stands on the inner or outer part of the insulation."""
    k = max(range(len(found.layers)), key=lambda i: found.layers[i].sd_m)
    inside = sum(x.resistance_m2K_W for x in found.layers[:k])
    outside = sum(x.resistance_m2K_W for x in found.layers[k + 1 :])
    side = "inner" if inside < outside else "outer"
    kind = retarder_class(found.layers[k].sd_m)
    named = f"class {kind}" if kind != "none" else "no vapour retarder class"
    return worded(
        "tightest layer: {} ({}, sd {}), on the {} side", found.layers[k].name, named, Q(found.layers[k].sd_m, "length"), side
    )


def _dew_point_place(found: OpaqueAssembly, air: AirOverYear, month: int) -> DewPointPlace:
    """The place for the month given, through the clear section."""
    resistance = [x.resistance_m2K_W for x in found.layers]
    thickness = [x.thickness_m for x in found.layers]
    at = interface_temperatures(resistance, found.r_inside, found.r_outside, air.indoor_C[month], air.outdoor_C[month])
    dew = saturation_temperature(air.indoor_Pa[month])
    depth = dew_point_depth(resistance, thickness, at, dew)
    if depth is None:
        return DewPointPlace(SHORT_MONTHS[month], dew, None, "")
    inside = min(int(np.searchsorted(np.cumsum(thickness), depth)), len(thickness) - 1)
    return DewPointPlace(SHORT_MONTHS[month], dew, depth, found.layers[inside].name)


@dataclass(frozen=True)
class WaterLimit:
    """The most water [kg/m2] by one layer's rule, in words with its source."""

    kg_m2: float
    words: str


def limit_between(found: OpaqueAssembly, inner: int, outer: int) -> WaterLimit:
    """The stricter limit of the two layers that meet there."""
    both = (limit_of(found.layers[k], found.groups[k]) for k in {inner, outer})
    return min(both, key=lambda limit: limit.kg_m2)


def limit_of(layer: Layer, group: str) -> WaterLimit:
    """One layer's limit: a share of the mass of wood and its boards, else by area and by whether it takes water up."""
    row = _row(layer.name, group)
    source = f"{row['source']} ({row['mark']})"
    if row["share"]:
        share = float(row["share"])
        return WaterLimit(
            share * layer.density_kg_m3 * layer.thickness_m, f"{share:.0%} of the mass of the {layer.name}; {source}"
        )
    return WaterLimit(float(row["kg_m2"]), source)


def _row(name: str, group: str) -> dict[str, str]:
    known = {row["layer"]: row for row in rows("moisture_limits")}
    if name in known["wood product"]["materials"].split(";"):
        return known["wood product"]
    return known["wood" if group == "wood" else "absorbing" if group == "mineral" else "not absorbing"]
