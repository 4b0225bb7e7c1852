"""From a described house to one thermal zone: areas, layers, films, air.  The only way from inputs to the network."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from heatcalc.inputs.checked import beside
from heatcalc.inputs.house.house_file import Shell
from heatcalc.inputs.house.house_pieces import Fleet, read_fleet, read_tightness
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.usual import COLDEST_HOUR
from heatcalc.model.bridge_lines import BridgeLine
from heatcalc.model.fleet_learning import NOTHING_LEARNT, Lessons, Ranges, lessons
from heatcalc.model.outdoor_air import AirInputs, AirModel, air_model
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.model.parts import KINDS, described, glass_parts, opaque_parts
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import storeys_of
from heatcalc.physics.shell.layers import CONVECTION_INSIDE_W_m2K, jet_film, mixed_film, radiative_coefficient
from heatcalc.physics.unit.heat_pump import rule
from heatcalc.physics.zone.fast_loads import HeldNetwork, held
from heatcalc.physics.zone.network import Network, steady
from heatcalc.physics.zone.zone import (
    Films,
    HeatStore,
    OpaqueElement,
    Window,
    Zone,
    network_of,
    star_coefficients,
    window_resistance,
)

EMITTANCE = 0.9
INDOOR_MEAN_C, OUTDOOR_MEAN_C = 20.0, 10.0
DESIGN_WIND_M_S = {
    "winter": 4.0,  # the wind behind Rse = 0.04 m2K/W, ISO 6946
    "year": 4.0,
    "summer": 2.0,
}  # makes 17 W/m2K in all, the summer film of ASHRAE Handbook - Fundamentals 2021 ch. 18
SHELTERED_WIND_M_S = 1.0  # under a floor
FURNITURE_J_kgK = 1600.0  # wood
LEAST_GLASS = 0.003  # m2K/W, a 3 mm pane (k = 1.0 W/mK, ISO 10077-1)
SOLAR_TO_AIR = 0.1
FLOOR_SHARE = 0.5
SEASONS = ("winter", "summer")
SWEPT = {"up": "ceiling", "horizontal": "wall", "down": "floor"}  # surfaces by the way of the winter's heat
MAKE_PARTS = (
    "body",
    "roof",
    "boxes",
    "loft",
    "windows",
    "doors",
    "assemblies",
    "colours",
    "below",
    "thermal_bridges",
    "trailer",
    "air",
    "site",
)
SHELTER_CLASS = {"exposed": 1, "open": 2, "normal": 3, "built-up": 4, "sheltered": 5}  # tables/shelter_classes.csv


@dataclass(frozen=True, kw_only=True)
class HouseModel:
    """A house ready for its three questions.  Orientation is not in it: it only changes what the sun does."""

    house: House
    shell: Shell
    opaque: tuple[OpaquePart, ...]
    windows: tuple[WindowPart, ...]
    lines: tuple[BridgeLine, ...]
    air: AirModel
    volume_m3: float
    floor_area_m2: float
    elevation_m: float
    lessons: Lessons | None = None

    @property
    def learnt(self) -> Ranges:
        """Ranges that delivered houses taught; nothing where the house names no fleet."""
        return NOTHING_LEARNT if self.lessons is None else self.lessons.ranges

    @property
    def parts(self) -> tuple[OpaquePart | WindowPart, ...]:
        """Everything that faces outdoors, windows last."""
        return (*self.opaque, *self.windows)

    @property
    def components(self) -> tuple[str, ...]:
        """The words of its kinds of part, in the order in which lists of loads name them."""
        return tuple(kind.word for kind in KINDS.values() if any(p.of == kind for p in self.parts))

    @property
    def ua_W_K(self) -> dict[str, float]:
        """U x A of every part with the standard's films [W/K]."""
        return {p.name: p.ua_W_K for p in self.parts}

    @property
    def on_ground_m2K_W(self) -> float:
        """Resistance of the floor lying on the ground; 0 where a space is between."""
        slab = self.house.below.kind == "slab"
        return next((sum(p.body.resistance) for p in self.opaque if p.body.boundary == "below" and slab), 0.0)

    @property
    def cold(self) -> HouseModel:
        """The house of the design cold: shutters that are always closed at its hour stand before their windows."""
        shut = [w.said.shutter_closed == "always" and bool(w.said.shut(COLDEST_HOUR)) for w in self.windows]
        return self.behind_shutters(shut) if any(shut) else self

    def behind_shutters(self, shut: Sequence[bool]) -> HouseModel:
        """The house with the shutters of some windows closed, as far as heat through them goes."""
        return replace(self, windows=tuple(w.shuttered if s else w for w, s in zip(self.windows, shut, strict=True)))

    @cached_property
    def shutters_W_K(self) -> np.ndarray | None:
        """What closed shutters take off the conductance from room to outdoors in each hour of the day [W/K], (24,).

        The steady conductance of the year's network with them less that without (own choice: the network itself does not change
        with the hour; a window stores no heat).  None without shutters.
        """
        closed = [w.said.shut(np.arange(24)) for w in self.windows]
        if not np.any(closed):
            return None
        known = {shut: _to_outdoors_W_K(self.behind_shutters(shut)) for shut in {*zip(*closed, strict=True)}}
        return np.array([known[shut] for shut in zip(*closed, strict=True)]) - _to_outdoors_W_K(self)

    @cached_property
    def still(self) -> Network:
        """The network of a heated room for steady questions: one node a layer is exact there."""
        return network_of(replace(zone_of(self.cold, "winter"), node_error=float("inf")))

    @cached_property
    def winter(self) -> Network:
        """The network with the inside films of a heated room."""
        return network_of(zone_of(self, "winter"))

    @cached_property
    def summer(self) -> Network:
        """The network with the inside films of a cooled room."""
        return network_of(zone_of(self, "summer"))

    @cached_property
    def summer_held(self) -> HeldNetwork:
        """The summer network with its air held: the design day's closed form."""
        return held(self.summer)


def house_model(house: House, elevation_m: float = 0.0, folder: Path | None = None) -> HouseModel:
    """Resolve assemblies and sizes.  Raises InputError where an assembly is not known."""
    shell, opaque, windows, lines = _parts(house, folder)
    thickness = {part: max((p.thickness_m for p in opaque if p.kind == part), default=0.0) for part in ("wall", "roof", "floor")}
    volume, floor, height = _inside(house, shell, thickness)
    return HouseModel(
        house=house,
        shell=shell,
        opaque=opaque,
        windows=windows,
        lines=lines,
        air=air_model(_air_inputs(house, shell, volume, floor, height, elevation_m)),
        volume_m3=volume,
        floor_area_m2=floor,
        elevation_m=elevation_m,
        lessons=_lessons(house.fleet, folder),
    )


_Parts = tuple[Shell, tuple[OpaquePart, ...], tuple[WindowPart, ...], tuple[BridgeLine, ...]]


def _parts(house: House, folder: Path | None) -> _Parts:
    """The parts of a house, worked out once for houses alike in all that makes them; files of its own are read each time."""
    tables = tuple(getattr(house, name) for name in MAKE_PARTS)
    if parts_in_files(house):
        return _made(house, folder)
    return _kept_parts(tables, tuple(frozenset(line.model_fields_set) for line in house.thermal_bridges), tuple(KINDS))


def parts_in_files(house: House) -> bool:
    """Whether files of its own say what it is built of: they are read each time."""
    return bool(house.assemblies.file) or any((line.detail or "").endswith(".toml") for line in house.thermal_bridges)


@lru_cache(maxsize=128)
def _kept_parts(tables: tuple, said: tuple, kinds: tuple[str, ...]) -> _Parts:
    """`said` : which keys of each line of steel the file gives; nothing else of a house can be asked for here."""
    return _made(cast("House", SimpleNamespace(**dict(zip(MAKE_PARTS, tables, strict=True)))), None)


def _made(house: House, folder: Path | None) -> _Parts:
    made = described(house, folder)
    return made.shell, opaque_parts(made), glass_parts(made), made.lines


def _lessons(fleet: str | Fleet | None, folder: Path | None) -> Lessons | None:
    read = read_fleet(beside(folder, fleet, "fleet")) if isinstance(fleet, str) else fleet
    return None if read is None else lessons(read)


def _inside(house: House, shell: Shell, thickness: dict[str, float]) -> tuple[float, float, float]:
    """Room volume, floor area and mean height inside: the outside box less the thickness of its sides."""
    body, wall = house.body, thickness["wall"]
    plan = (1 - 2 * wall / body.length) * (1 - 2 * wall / body.width)
    high = 1 - (thickness["floor"] + thickness["roof"]) / shell.height_m
    loft = house.loft.area if house.loft else 0.0
    return shell.outside_volume_m3 * plan * high, shell.footprint_m2 * plan + loft, shell.height_m * high


def _air_inputs(house: House, shell: Shell, volume_m3: float, floor_m2: float, height_m: float, elevation_m: float) -> AirInputs:
    from heatcalc import units

    tight, fan = read_tightness(house.air.tightness), house.ventilation
    rate = None if fan.rate == "auto" else units.parse(fan.rate, "air flow")
    raised = house.below.kind != "slab"
    return AirInputs(
        volume_m3=volume_m3,
        floor_area_m2=floor_m2,
        shell_area_m2=shell.exposed_area_m2,
        height_m=shell.height_m,
        perimeter_m=shell.perimeter_m,
        ach50=tight.ach50,
        flow_50_m3_s=tight.flow50_m3_s,
        leakage_class=tight.leakage_class,
        flow_exponent=house.air.flow_exponent,
        storeys=storeys_of(height_m),
        shelter=SHELTER_CLASS[house.air.shelter],
        raised=raised,
        flue=house.air.flue,
        bedrooms=max(house.bedrooms, 1),
        people=house.living.people,
        ventilation_kind=fan.kind,
        ventilation_m3_s=rate,
        sensible_recovery=fan.heat_recovery,
        moisture_recovery=fan.moisture_recovery,
        elevation_m=elevation_m,
        frost_K=house.set_points.heating - fan.frost_below,
        preheater_W=fan.preheater_W,
    )


def zone_of(model: HouseModel, season: str) -> Zone:
    """The zone of a "winter" (heated) or "summer" (cooled) room, or the "year" between; linear coefficients of ISO 6946 and, of
    convection inside, `inside_convection`."""
    radiating = [p for p in model.parts if p.of.radiates]
    areas = np.array([p.area_m2 for p in radiating])
    star = star_coefficients(areas, np.full(len(areas), EMITTANCE), INDOOR_MEAN_C)
    by_name = dict(zip((p.name for p in radiating), star, strict=True))
    shares = _solar_shares(model)
    return Zone(
        air_capacity_J_K=model.volume_m3
        * float(moist_air.volumetric_heat_capacity(INDOOR_MEAN_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m))),
        elements=tuple(_element(model, p, season, by_name.get(p.name, 0.0), shares.get(p.name, 0.0)) for p in model.opaque),
        windows=tuple(_window(model, w, season, by_name[w.name]) for w in model.windows),
        masses=_furniture(model),
        solar_to_air=SOLAR_TO_AIR,
    )


def still_air(zone: Zone) -> Zone:
    """The zone with the inside film of horizontal heat flow on every surface (ISO 6946): no fan runs."""
    film = CONVECTION_INSIDE_W_m2K["horizontal"]
    elements = tuple(_with_inside(e, film) if e.films.inside_radiation > 0 else e for e in zone.elements)
    return replace(zone, elements=elements, windows=tuple(_with_inside(w, film) for w in zone.windows))


def _with_inside(part: Any, film: float) -> Any:
    return replace(part, films=replace(part.films, inside_convection=film))


def inside_convection(model: HouseModel, part: OpaquePart | WindowPart, season: str) -> float:
    """Convection from the room to a part, the mean of what the head's jet sweeps and what it leaves still [W/(m2 K)].

    season "winter", "summer", or "year" (horizontal heat flow everywhere).
    """
    still = CONVECTION_INSIDE_W_m2K["horizontal" if season == "year" else part.of.flow[SEASONS.index(season)]]
    return still + rule("head_sweeps") * (mixed_film(still, jet_convection(model, part)) - still)


def jet_convection(model: HouseModel, part: OpaquePart | WindowPart) -> float:
    """What the head's jet alone gives where it sweeps a part [W/(m2 K)]; the layer of air over a loft stays still."""
    if part.of.under_loft and model.house.loft:
        return 0.0
    return jet_film(SWEPT[part.of.flow[0]], model.house.air.head_flow / rule("head_outlet"), rule("head_slot"))


def _to_outdoors_W_K(model: HouseModel) -> float:
    """Steady heat from the room for each kelvin above all that is outside [W/K]."""
    network = network_of(replace(zone_of(model, "year"), node_error=float("inf")))
    return steady(network, np.zeros(len(network.input_names)), 1.0).load_W


def _solar_shares(model: HouseModel) -> dict[str, float]:
    """Half of the transmitted sun lands on the floor, a tenth on light things, the rest on walls and roof by area."""
    floor = sum(p.area_m2 for p in model.opaque if p.kind == "floor" and p.of.radiates)
    other = sum(p.area_m2 for p in model.opaque if p.kind != "floor" and p.of.radiates)
    rest = 1.0 - SOLAR_TO_AIR - FLOOR_SHARE
    return {
        p.name: (FLOOR_SHARE * p.area_m2 / floor if p.kind == "floor" else rest * p.area_m2 / other)
        for p in model.opaque
        if p.of.radiates
    }


def _furniture(model: HouseModel) -> tuple[HeatStore, ...]:
    capacity = model.house.furniture * model.floor_area_m2 * FURNITURE_J_kgK
    conductance = model.floor_area_m2 * (CONVECTION_INSIDE_W_m2K["horizontal"] + radiative_coefficient(EMITTANCE, INDOOR_MEAN_C))
    return (HeatStore("furniture", capacity, conductance),) if capacity > 0 else ()


def _element(model: HouseModel, part: OpaquePart, season: str, radiation: float, solar: float) -> OpaqueElement:
    if not part.of.radiates:  # a thermal bridge: one conductance from room air to outdoors
        films = Films(1.0 / part.r_inside, 0.0, 1.0 / part.r_outside)
        return OpaqueElement(name=part.name, area_m2=part.area_m2, body=part.body, films=films)
    inside = inside_convection(model, part, season)
    body, share = part.body, part.sun_share
    return OpaqueElement(
        name=part.name,
        area_m2=part.area_m2,
        body=replace(body, sky_view=body.sky_view * share, solar_absorptance=body.solar_absorptance * share),
        films=Films(inside, radiation, *_outside(part, season)),
        inside_solar_share=solar,
        air_offset="loft_K" if part.of.under_loft else "",
    )


def _outside(part: OpaquePart, season: str) -> tuple[float, float]:
    """Convection and long-wave radiation outside [W/m2K]: by the season's wind, or the part's own film shared out."""
    convection, radiation = bare_films(season, part.kind == "floor")
    if part.body.boundary != "outdoor":
        return part.outside_film, 0.0
    return (part.outside_film - radiation if part.outside_film else convection), radiation


def bare_films(season: str, sheltered: bool = False) -> tuple[float, float]:
    """Convection 4 + 4 v and long-wave radiation outside a face in the open, or under a floor [W/m2K] (ISO 6946)."""
    wind = SHELTERED_WIND_M_S if sheltered else DESIGN_WIND_M_S[season]
    return 4.0 + 4.0 * wind, radiative_coefficient(EMITTANCE, OUTDOOR_MEAN_C)


def _window(model: HouseModel, part: WindowPart, season: str, radiation: float) -> Window:
    between, outside = _glass(part.u_value, season)
    return Window(
        name=part.name,
        area_m2=part.area_m2,
        resistance=between,
        films=Films(inside_convection(model, part, season), radiation, outside, radiative_coefficient(0.84, OUTDOOR_MEAN_C)),
        sky_view=part.sky_view,
        transmitted=part.transmitted,
        absorbed_inside=part.absorbed,
    )


def _glass(u_value: float, season: str) -> tuple[float, float]:
    """Surface-to-surface resistance [m2K/W] and outside convection [W/m2K] of a window known by its U-value.

    A single pane in a metal frame loses more than still films allow (label conditions are windier): its pane keeps
    `LEAST_GLASS`, and the outside film carries the rest.
    """
    windy = 4.0 + 4.0 * DESIGN_WIND_M_S[season]
    if 1.0 / u_value >= 0.13 + 0.04 + LEAST_GLASS:
        return window_resistance(u_value, 0.13, 0.04), windy
    left = 1.0 / u_value - 0.13 - LEAST_GLASS
    return LEAST_GLASS, 1.0 / left - radiative_coefficient(0.84, OUTDOOR_MEAN_C)
