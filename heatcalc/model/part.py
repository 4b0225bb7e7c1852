"""One part of the shell as the model and the hand methods see it: the checked record, and what the model adds beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from heatcalc.inputs.assembly.assembly_file import DoorAssembly, OpaqueAssembly, WindowAssembly
from heatcalc.inputs.house.house_file import Placed
from heatcalc.inputs.house.house_pieces import WindowIn
from heatcalc.physics.shell.glazing import Glazing
from heatcalc.physics.shell.shape import Surface
from heatcalc.physics.zone.zone import ElementBody
from heatcalc.wording import Said

SUMMER_FILM_W_m2K = 17.0  # ASHRAE Handbook - Fundamentals 2021 ch. 18


@dataclass(frozen=True, kw_only=True)
class PartKind:
    """Everything the program has to know of one kind of part; the rows stand in `part_kinds.KINDS`.

    made : makes the parts of this kind from (kind, `parts.Described`); None for planes cut from the shell
    layered : an assembly of layers from the shelf, with all that is asked of layers
    radiates : has an inside surface of its own
    flow : direction of heat through the inside film in winter and in summer
    load_factor, series, radiant : its row in the load factor method, its tabled conduction and radiant share in the time
        series ("" answers at once)
    why_load_factor, why_time_series : why each method parts from the network here
    uncertain : the row of tables/uncertain_inputs.csv that scales its heat loss
    colour : whose solar absorptance it has, "siding", "roof" or ""
    """

    name: str
    word: str
    uncertain: str
    made: Callable[..., tuple[Any, ...]] | None = None
    layered: bool = False
    radiates: bool = True
    under_loft: bool = False
    flow: tuple[str, str] = ("horizontal", "horizontal")
    load_factor: str = "sunlit wall"
    series: str = ""
    radiant: str = "wall or floor"
    why_load_factor: Said = ""
    why_time_series: Said = ""
    colour: str = ""


@dataclass(frozen=True, kw_only=True)
class OpaquePart:
    """One wall, roof, floor, door or thermal bridge: a plane of the shell, its assembly, and what the model makes of both."""

    surface: Surface
    of: PartKind
    fabric: OpaqueAssembly | DoorAssembly | None
    body: ElementBody
    u_value: float
    r_inside: float
    r_outside: float
    source: str
    line: Said = ""  # what a part without an assembly is, in words
    outdoor_share: float = 1.0  # of a boundary below, see `ground.under_floor`
    outside_film: float = 0.0  # 0 = convection and radiation by the usual rule [W/(m2 K)]
    sun_share: float = 1.0  # of sun and cool sky that a ventilated cladding hands on, see `films.cladding_share`

    @property
    def name(self) -> str:
        """Its surface's name."""
        return self.surface.name

    @property
    def face(self) -> str:
        """Where it looks."""
        return self.surface.face

    @property
    def tilt_deg(self) -> float:
        """Tilt from horizontal [deg]."""
        return self.surface.tilt_deg

    @property
    def area_m2(self) -> float:
        """Net area [m2]."""
        return self.surface.area_m2

    @property
    def kind(self) -> str:
        """Name of its kind."""
        return self.of.name

    @property
    def component(self) -> str:
        """The word a person sees in the list of loads."""
        return self.of.word

    @property
    def assembly(self) -> Said:
        """Name of its assembly, or what it is in words."""
        return self.fabric.name if self.fabric else self.line

    @property
    def thickness_m(self) -> float:
        """Whole thickness of its layers [m]; 0 where it has none."""
        return self.fabric.thickness_m if isinstance(self.fabric, OpaqueAssembly) else 0.0

    @property
    def mass_kg_m2(self) -> float:
        """Mass of its layers [kg/m2]; 0 where it has none."""
        return self.fabric.mass_kg_m2 if isinstance(self.fabric, OpaqueAssembly) else 0.0

    @property
    def ua_W_K(self) -> float:
        """U x A [W/K]."""
        return self.u_value * self.area_m2

    @property
    def taken_in(self) -> float:
        """Sun and cool sky felt over what a part without a cladding would feel: share x h_o/h_film [-]."""
        return self.sun_share * (SUMMER_FILM_W_m2K / self.outside_film if self.outside_film else 1.0)

    def sized(self, times: float) -> OpaquePart:
        """The same part of so much more area."""
        return replace(self, surface=replace(self.surface, area_m2=self.area_m2 * times))

    def lossier(self, times: float) -> OpaquePart:
        """The same part with its U-value scaled; layers keep their proportions."""
        chain, films = sum(self.body.resistance), self.r_inside + self.r_outside
        scale = ((chain + films) / times - films) / chain
        thinner = replace(self.body, resistance=tuple(r * scale for r in self.body.resistance))
        return replace(self, u_value=self.u_value * times, body=thinner)

    def coloured(self, solar_absorptance: float) -> OpaquePart:
        """The same part of another colour."""
        return replace(self, body=replace(self.body, solar_absorptance=solar_absorptance))


@dataclass(frozen=True, kw_only=True)
class WindowPart:
    """One group of equal windows in one place, as the house file places it, with its label or its type's values."""

    placed: Placed
    of: PartKind
    fabric: WindowAssembly
    u_value: float
    shgc: float
    glazing: Glazing
    sky_view: float

    @property
    def source(self) -> str:
        """Where its values are from."""
        return self.fabric.source

    @property
    def said(self) -> WindowIn:
        """The window of the house file."""
        assert isinstance(self.placed.opening, WindowIn)
        return self.placed.opening

    @property
    def shading(self) -> tuple[float | None, ...]:
        """All that shades it; two windows of one glass, size and shading are alike in any light."""
        w = self.said
        size = (w.width, w.height) if w.overhang > 0 or w.side_fins > 0 else ()
        shade = (w.inside_shade, w.shade_from, w.shade_to, w.slats_level, w.slats_steep)
        return (*size, w.overhang, w.overhang_above, w.side_fins, w.fins_beside, w.insect_screen, *shade)

    @property
    def shuttered(self) -> WindowPart:
        """The window behind its closed shutter: U = 1/(1/U + R) (form of ISO 10077-1 for closed shutters)."""
        u = 1.0 / (1.0 / self.u_value + self.said.shutter)
        fabric = replace(self.fabric, u_value_W_m2K=u, source=f"{self.fabric.source}; its closed shutter added")
        return replace(self, u_value=u, fabric=fabric)

    @property
    def name(self) -> str:
        """Its own name, or its face and number."""
        return self.placed.label

    @property
    def face(self) -> str:
        """Where it looks."""
        return self.placed.face

    @property
    def tilt_deg(self) -> float:
        """Tilt from horizontal [deg]."""
        return self.placed.tilt_deg

    @property
    def area_m2(self) -> float:
        """Area of all its pieces [m2]."""
        return self.said.area_m2

    @property
    def kind(self) -> str:
        """Name of its kind."""
        return self.of.name

    @property
    def component(self) -> str:
        """The word a person sees in the list of loads."""
        return self.of.word

    @property
    def assembly(self) -> str:
        """Name of its type."""
        return self.fabric.name

    @property
    def ua_W_K(self) -> float:
        """U x A [W/K]."""
        return self.u_value * self.area_m2

    @property
    def transmitted(self) -> str:
        """Channel of the light let through."""
        return f"{self.name} light"

    @property
    def absorbed(self) -> str:
        """Channel of the heat absorbed at the inner pane."""
        return f"{self.name} warm glass"
