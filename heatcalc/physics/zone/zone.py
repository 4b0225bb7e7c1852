"""One zone as a thermal network: what it is made of, and its matrices.

The only place in the engine that knows about walls and windows.  Every coefficient - convection, long-wave
radiation, densities, the split of the sun inside - is said by the caller; nothing is assumed here.
Input channels are named; several elements may share one:

    "outdoor_C", "sky_C", "<boundary>_C" (e.g. "below_C")  temperatures [degC]
    the name in `Body.sun`                 sun falling on the outside surface [W/m2]
    the names in `Window.transmitted`, `.absorbed_outside`, `.absorbed_inside`   [W/m2 of the window]
    "convective_gain_W", "radiant_gain_W"  heat given off inside [W]
    the name in `OpaqueElement.air_offset` how much warmer the air at this element is than the room mean [K]

Each row of the matrices is the heat balance of one node (own assembly).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from heatcalc.errors import InputError
from heatcalc.physics.shell.layers import radiative_coefficient
from heatcalc.physics.zone.network import Network
from heatcalc.physics.zone.nodes import place_nodes

MASSLESS = 0.0


@dataclass(frozen=True, kw_only=True)
class ElementBody:
    """What an opaque element is between its two surfaces, and what it meets outside, whatever the films."""

    resistance: tuple[float, ...]
    """Per layer, inside to outside, surface to surface [m2K/W]."""
    capacity: tuple[float, ...]
    """Per layer [J/(m2 K)]; 0 for a layer without mass."""
    sky_view: float = 0.0
    """Share of the outside long-wave exchange that goes to the sky; the rest goes to the boundary [-]."""
    boundary: str = "outdoor"
    """"outdoor", "below", any other name (channel "<name>_C"), or "adiabatic"."""
    solar_absorptance: float = 0.0
    sun: str = ""
    """Channel of the sun falling on the outside [W/m2]; "" for none."""


@dataclass(frozen=True)
class Films:
    """Coefficients at the two surfaces of an element or a window [W/(m2 K)]."""

    inside_convection: float
    inside_radiation: float
    """Long-wave exchange with the radiant star; 0 if `inside_convection` is a combined film."""
    outside_convection: float
    """Convection (or combined film) to the boundary."""
    outside_radiation: float = 0.0
    """Long-wave exchange outside."""


@dataclass(frozen=True, kw_only=True)
class OpaqueElement:
    """A wall, roof, floor, door or partition: a chain of layers between two surfaces."""

    name: str
    area_m2: float
    body: ElementBody
    films: Films
    inside_solar_share: float = 0.0
    """Share of all transmitted sun that this element's inside surface absorbs [-]."""
    air_offset: str = ""
    """Channel of a warmer (or cooler) air layer at this element [K]; "" for none."""


@dataclass(frozen=True, kw_only=True)
class Window:
    """Glass and frame of one or more equal windows: two surfaces with a resistance between, no mass."""

    name: str
    area_m2: float
    resistance: float
    """Surface to surface [m2K/W]; see `window_resistance` for a window known by its U-value."""
    films: Films
    sky_view: float = 0.0
    transmitted: str = ""
    """Channel of the sun let through [W/m2]."""
    absorbed_outside: str = ""
    """Channel of the sun absorbed at the outer pane [W/m2]."""
    absorbed_inside: str = ""
    """Channel of the sun absorbed at the inner pane [W/m2]."""


@dataclass(frozen=True)
class HeatStore:
    """Furniture apart from the air, or the water in a tank: one well-mixed capacity."""

    name: str
    capacity_J_K: float
    convection_W_K: float
    radiation_W_K: float = 0.0
    inside_solar_share: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Zone:
    """One well-mixed room."""

    air_capacity_J_K: float
    """Air with the furniture that follows it [J/K]."""
    elements: tuple[OpaqueElement, ...]
    windows: tuple[Window, ...] = ()
    masses: tuple[HeatStore, ...] = ()
    solar_to_air: float = 0.0
    """Share of the transmitted sun that light furniture hands to the air at once [-]."""
    solar_lost: float = 0.0
    """Share of the transmitted sun that leaves again through the glass [-]."""
    air_exchange_W_K: float = 0.0
    """A constant air exchange with outdoors, solved exactly; what varies by the hour comes on top [W/K]."""
    node_error: float = field(default=0.01)
    """Error for the automatic node placement, see `nodes.place_nodes` [-]."""


@lru_cache(maxsize=128)
def network_of(zone: Zone) -> Network:
    """The zone's thermal network, massless surfaces and star still in it (see `network.reduce`)."""
    _check(zone)
    net = _Builder()
    air = net.node("air", zone.air_capacity_J_K)
    net.source(air, "convective_gain_W", 1.0, "gains")
    net.tie(air, "outdoor_C", zone.air_exchange_W_K, "air exchange")
    surfaces = [_add_element(net, air, e, zone.node_error) for e in zone.elements]
    panes = [_add_window(net, air, w) for w in zone.windows]
    masses = [_add_mass(net, air, m) for m in zone.masses]
    inside: list[tuple[int, OpaqueElement | HeatStore]] = [
        *zip(surfaces, zone.elements, strict=True),
        *zip(masses, zone.masses, strict=True),
    ]
    for window in zone.windows:
        term, area = f"{window.name} sun", window.area_m2
        net.source(air, window.transmitted, zone.solar_to_air * area, term)
        for node, part in inside:
            net.source(node, window.transmitted, part.inside_solar_share * area, term)
    _add_radiant_gain(net, zone, surfaces, panes, masses)
    return net.network()


def window_resistance(u_value: float, r_inside: float, r_outside: float) -> float:
    """Surface-to-surface resistance of a window from its U-value and the films that belong to it [m2K/W].

    R = 1/U - R_si - R_se (ISO 10077-1:2017, 6.4.2 form).  Raises InputError where the films alone exceed 1/U.
    """
    resistance = 1.0 / u_value - r_inside - r_outside
    if resistance <= 0:
        most = 1.0 / (r_inside + r_outside)
        raise InputError("u_value", round(u_value, 3), f"must be below {most:.2f} W/m2K, the films alone")
    return resistance


def star_coefficients(areas_m2: np.ndarray, emittance: np.ndarray, mean_C: float) -> np.ndarray:
    """Surface-to-star long-wave coefficients of an enclosure [W/(m2 K)].

    Each is 4 sigma T^3 / ((1 - eps)/eps + 1/F_i) with F_i = 1/(1 - A_i F_i / sum(A F)): a surface does not
    see itself (J. A. Carroll, "An MRT method of computing radiant energy exchange in rooms", 1980; from
    memory).  Needs at least three surfaces, none larger than all others together.
    """
    factor = _star_factors(tuple(np.asarray(areas_m2, float).tolist()))
    black = radiative_coefficient(1.0, mean_C)
    return black / ((1.0 - np.asarray(emittance)) / np.asarray(emittance) + 1.0 / factor)


@lru_cache(maxsize=256)
def _star_factors(areas_m2: tuple[float, ...]) -> np.ndarray:
    """F_i of `star_coefficients`, kept for the next house of the same surfaces."""
    areas = np.array(areas_m2)
    if 2 * areas.max() >= areas.sum():
        raise InputError("areas", None, "one surface is as large as all others together: no enclosure")
    factor = np.ones_like(areas)
    for _ in range(4000):
        following = 1.0 / (1.0 - areas * factor / np.sum(areas * factor))
        if np.allclose(following, factor, rtol=1e-13, atol=0.0):
            break
        factor = 0.5 * (factor + following)
    factor.setflags(write=False)
    return factor


def _add_element(net: _Builder, air: int, e: OpaqueElement, error: float) -> int:
    """Nodes of one opaque element; returns its inside surface."""
    inside = net.node(f"{e.name} inside", MASSLESS)
    net.link(air, inside, e.films.inside_convection * e.area_m2)
    if e.air_offset:
        net.shift(air, inside, e.air_offset, e.films.inside_convection * e.area_m2)
    between, capacity = place_nodes(e.body.resistance, e.body.capacity, error)
    last = inside
    for k, (r, c) in enumerate(zip(between, capacity, strict=False)):
        node = net.node(f"{e.name} {k + 1}", c * e.area_m2)
        net.link(last, node, e.area_m2 / r)
        last = node
    outside = net.node(f"{e.name} outside", MASSLESS)
    net.link(last, outside, e.area_m2 / between[-1])
    if e.body.boundary != "adiabatic":
        _face_outside(net, outside, e, e.body.sky_view, f"{e.body.boundary}_C")
    net.source(outside, e.body.sun, e.body.solar_absorptance * e.area_m2, f"{e.name} sun")
    return inside


def _add_window(net: _Builder, air: int, w: Window) -> int:
    """Two massless surfaces of one window; returns the inner one."""
    inside, outside = net.node(f"{w.name} inside", MASSLESS), net.node(f"{w.name} outside", MASSLESS)
    net.link(air, inside, w.films.inside_convection * w.area_m2)
    net.link(inside, outside, w.area_m2 / w.resistance)
    _face_outside(net, outside, w, w.sky_view, "outdoor_C")
    net.source(outside, w.absorbed_outside, w.area_m2, f"{w.name} sun")
    net.source(inside, w.absorbed_inside, w.area_m2, f"{w.name} sun")
    return inside


def _face_outside(net: _Builder, node: int, part: OpaqueElement | Window, sky_view: float, boundary: str) -> None:
    to_sky = part.films.outside_radiation * sky_view
    to_boundary = part.films.outside_convection + part.films.outside_radiation - to_sky
    net.tie(node, boundary, to_boundary * part.area_m2, part.name)
    net.tie(node, "sky_C", to_sky * part.area_m2, part.name)


def _add_mass(net: _Builder, air: int, mass: HeatStore) -> int:
    node = net.node(mass.name, mass.capacity_J_K)
    net.link(air, node, mass.convection_W_K)
    return node


def _add_radiant_gain(net: _Builder, zone: Zone, surfaces: list[int], panes: list[int], masses: list[int]) -> None:
    """Radiant gains go to the star; without one (combined films) to the surfaces by area, else to the air."""
    faces: list[tuple[int, OpaqueElement | Window]] = [
        *zip(surfaces, zone.elements, strict=True),
        *zip(panes, zone.windows, strict=True),
    ]
    ways = [(node, part.films.inside_radiation * part.area_m2) for node, part in faces]
    ways += [(node, mass.radiation_W_K) for node, mass in zip(masses, zone.masses, strict=True)]
    if sum(g for _, g in ways) > 0:
        star = net.node("radiant star", MASSLESS)
        for node, g in ways:
            net.link(star, node, g)
        net.source(star, "radiant_gain_W", 1.0, "gains")
        return
    if not faces:
        net.source(0, "radiant_gain_W", 1.0, "gains")
    total = sum(part.area_m2 for _, part in faces)
    for node, part in faces:
        net.source(node, "radiant_gain_W", part.area_m2 / total, "gains")


def _check(zone: Zone) -> None:
    names = [e.name for e in zone.elements] + [w.name for w in zone.windows]
    names += [mass.name for mass in zone.masses]
    for name in names:
        if names.count(name) > 1:
            raise InputError("name", name, "two parts of the zone have this name")
    if zone.air_capacity_J_K <= 0:
        raise InputError("air_capacity_J_K", zone.air_capacity_J_K, "must be above 0")
    if any(w.transmitted for w in zone.windows):
        share = zone.solar_to_air + zone.solar_lost
        share += sum(e.inside_solar_share for e in zone.elements)
        share += sum(mass.inside_solar_share for mass in zone.masses)
        if abs(share - 1.0) > 1e-6:
            raise InputError(
                "inside_solar_share", round(share, 6), "shares of the transmitted sun (surfaces, air, lost) must add to 1"
            )


class _Builder:
    """Collects nodes, links, ties to known temperatures and sources; then the matrices."""

    def __init__(self) -> None:
        self.names: list[str] = []
        self.capacity: list[float] = []
        self.links: list[tuple[int, int, float]] = []
        self.ties: list[tuple[int, str, float, str]] = []
        self.sources: list[tuple[int, str, float, str]] = []

    def node(self, name: str, capacity: float) -> int:
        self.names.append(name)
        self.capacity.append(capacity)
        return len(self.names) - 1

    def link(self, one: int, other: int, g: float) -> None:
        self.links.append((one, other, g))

    def tie(self, node: int, channel: str, g: float, term: str) -> None:
        if g:
            self.ties.append((node, channel, g, term))

    def source(self, node: int, channel: str, gain: float, term: str) -> None:
        if channel and gain:
            self.sources.append((node, channel, gain, term))

    def shift(self, air: int, node: int, channel: str, g: float) -> None:
        """`node` meets air that is u [K] warmer than `air`."""
        self.sources += [(node, channel, g, "air layer"), (air, channel, -g, "air layer")]

    def network(self) -> Network:
        known = [*self.ties, *self.sources]
        always = ("outdoor_C", "convective_gain_W", "radiant_gain_W")
        channels = tuple(dict.fromkeys([*always, *(k[1] for k in known)]))
        terms = tuple(dict.fromkeys(k[3] for k in known))
        n, m, k = len(self.names), len(channels), len(terms)
        g_matrix, b_matrix = np.zeros((n, n)), np.zeros((n, m))
        term_nodes, term_sources = np.zeros((k, n)), np.zeros((k, n, m))
        column, row = ({name: place for place, name in enumerate(names)} for names in (channels, terms))
        for i, j, g in self.links:
            g_matrix[i, i] += g
            g_matrix[j, j] += g
            g_matrix[i, j] -= g
            g_matrix[j, i] -= g
        for i, _, g, term in self.ties:
            g_matrix[i, i] += g
            term_nodes[row[term], i] += g
        for i, channel, g, term in known:
            b_matrix[i, column[channel]] += g
            term_sources[row[term], i, column[channel]] += g
        return Network(
            capacity=np.array(self.capacity),
            conductance=g_matrix,
            input_matrix=b_matrix,
            input_names=channels,
            node_names=tuple(self.names),
            air=0,
            term_names=terms,
            term_nodes=term_nodes,
            term_inputs=-term_sources.sum(axis=1),
            term_sources=term_sources,
        )
