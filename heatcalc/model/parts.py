"""Every part of the shell with its assembly: what it loses, stores, absorbs and lets through, and what the floor meets (open air,
a skirted or crawl space, the ground; ISO 13370).  The kinds of part are rows of one table: to add a kind is to add its row.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sqrt
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.assembly.assembly_file import (
    Assembly,
    DoorAssembly,
    OpaqueAssembly,
    WindowAssembly,
    find_assembly,
    load_assemblies,
)
from heatcalc.inputs.checked import beside
from heatcalc.inputs.house.house_file import Placed, Shell, shell_of
from heatcalc.inputs.house.house_pieces import Opening
from heatcalc.inputs.house.house_record import House
from heatcalc.model.bridge_lines import BridgeLine, credit_W_K, lines_of
from heatcalc.model.part import OpaquePart, PartKind, SUMMER_FILM_W_m2K, WindowPart
from heatcalc.physics.shell.glazing import glazing, horizon_sky_share, scaled
from heatcalc.physics.shell.ground import (
    characteristic_dimension,
    edge_share,
    equivalent_thickness,
    slab_on_ground_u,
    slab_u,
    underfloor_exchange,
)
from heatcalc.physics.shell.layers import cladding_share
from heatcalc.physics.shell.shape import Surface
from heatcalc.physics.zone.zone import ElementBody, window_resistance
from heatcalc.tables import rows
from heatcalc.wording import Q, worded

UNDERSIDE_FILM = 0.17  # m2K/W on both sides of a suspended floor, ISO 13370
WIND_M_S = 4.0
SHIELDING = {"exposed": "exposed", "open": "exposed", "normal": "average", "built-up": "average", "sheltered": "sheltered"}


def under_floor(part: OpaquePart, house: House, shell: Shell) -> OpaquePart:
    """The floor part with its boundary as the house stands; an extra box may hang over open air.

    A space below is joined by U_g to the ground and by U_x to outdoors; as one boundary it has the conductance
    U_g + U_x and a temperature between the two, `outdoor_share` of the way to outdoors.
    """
    box = next((b for b in house.boxes if part.name.startswith(f"{b.name} ")), None)
    if house.below.kind == "open air" or (box is not None and box.below == "open air"):
        return part
    if house.below.kind == "slab":
        r_floor = sum(part.body.resistance)
        u = slab_on_ground_u(r_floor, shell.footprint_m2, shell.perimeter_m, house.below.soil_conductivity)
        return _over(part, 1.0 / u - part.r_inside - r_floor, 0.0)
    to_ground, to_outdoor = space_below(house, shell)
    return _over(part, UNDERSIDE_FILM + 1.0 / (to_ground + to_outdoor), to_outdoor / (to_ground + to_outdoor))


def space_below(house: House, shell: Shell) -> tuple[float, float]:
    """U_g to the ground and U_x through skirt and vents of the space under the floor [W/m2K] of floor."""
    size = characteristic_dimension(shell.footprint_m2, shell.perimeter_m)
    below = house.below
    exchange = underfloor_exchange(
        size, below.height, below.skirt_u_value, below.vent_area_per_length, WIND_M_S, SHIELDING[house.air.shelter]
    )
    return slab_u(size, equivalent_thickness(0.0, below.soil_conductivity), below.soil_conductivity), exchange


def _over(part: OpaquePart, r_below: float, outdoor_share: float) -> OpaquePart:
    u = 1.0 / (part.r_inside + sum(part.body.resistance) + r_below)
    body = replace(part.body, boundary="below")
    return replace(part, u_value=u, r_outside=r_below, outside_film=1.0 / r_below, body=body, outdoor_share=outdoor_share)


def ground_C(shell: Shell, r_floor: float, monthly_mean_C: ArrayLike, season: str, soil: float) -> np.ndarray:
    """What the ground answers with in the coldest or hottest month: yearly mean, swung by the floor's edge.

    T = T_mean -+ `ground.edge_share` x half the yearly swing; `r_floor` [m2K/W] lies on the ground, 0 under a space.  Months
    along the last axis.
    """
    months = np.asarray(monthly_mean_C, float)
    mean, swing = months.mean(axis=-1), (months.max(axis=-1) - months.min(axis=-1)) / 2
    share = edge_share(shell.footprint_m2, shell.perimeter_m, equivalent_thickness(r_floor, soil), soil)
    return mean - share * swing if season == "winter" else mean + share * swing


LABEL = "label value in the house file"
Shelf = dict[str, Assembly]
BRIDGE_R_INSIDE, BRIDGE_R_OUTSIDE = 0.13, 0.04  # ISO 6946
MOST_CREDIT = 0.5  # of a part's loss: more is a slip of sign or unit; own choice


@dataclass(frozen=True)
class Described:
    """What the parts of a house are made from: the file, its planes and openings, the shelf, its lines of steel."""

    house: House
    shell: Shell
    shelf: Shelf
    lines: tuple[BridgeLine, ...]


def described(house: House, folder: Path | None = None) -> Described:
    """A house with everything its file names looked up.  Raises InputError where a name leads nowhere."""
    shell = shell_of(house)
    return Described(house, shell, shelf_of(house, folder), lines_of(house, shell, folder))


def shelf_of(house: House, folder: Path | None) -> Shelf:
    """The shelf of assemblies, with the house's own file laid over it."""
    shelf = load_assemblies()
    if house.assemblies.file:
        shelf |= load_assemblies(beside(folder, house.assemblies.file, "assemblies.file"))
    return shelf


def sky_view(tilt_deg: float, horizon_deg: float = 0.0) -> float:
    """Share of a plane's outside long-wave exchange that goes to the sky; neighbours are as warm as the air.

    View factor F = (1 + cos tilt)/2, of which sqrt(F) = cos(tilt/2) is sky and the rest air near the horizon: McClellan and
    Pedersen, Investigation of outside heat balance models for use in a heat balance cooling load calculation
    procedure, ASHRAE Transactions 103 (1997) 469-484 (second hand).
    """
    view = (1 + cos(radians(tilt_deg))) / 2
    return view * sqrt(view) * horizon_sky_share(horizon_deg, tilt_deg)


def absorptance(colour: str | float, part: str) -> tuple[float, str]:
    """Solar absorptance of a colour word for "siding" or "roof", or the number itself; and its source."""
    if isinstance(colour, (int, float)):
        if not 0.05 <= colour <= 0.98:
            raise InputError(f"colours.{part}", colour, "allowed 0.05 to 0.98, or a colour word")
        return float(colour), "stated in the house file"
    known = {row["colour"]: row for row in reversed(rows("absorptance_colour")) if row["part"] == part}
    if colour not in known:
        words = [w for w in known if "(" not in w]
        raise InputError(f"colours.{part}", colour, f"one of {', '.join(words)}, or a solar absorptance", nearest(colour, words))
    return float(known[colour]["solar_absorptance"]), f"{known[colour]['source']} ({known[colour]['mark']})"


def _named(shelf: Shelf, name: str, kind: str, field: str) -> Assembly:
    found = find_assembly(name, shelf, field, kind)
    if found.kind != kind:
        names = [a.name for a in shelf.values() if a.kind == kind]
        raise InputError(field, name, f"is a {found.kind}, not a {kind}", nearest(name, names))
    return found


def _opening(shelf: Shelf, house: House, placed: Placed, said: object, kind: str) -> Assembly:
    """The assembly of a window or a door: its own type, or the house's."""
    own = getattr(said, "type", None)
    return _named(shelf, own or getattr(house.assemblies, kind), kind, f"{placed.field}.type" if own else f"assemblies.{kind}")


def surface_part(kind: PartKind, d: Described, surface: Surface) -> OpaquePart:
    """One plane of the shell with its assembly's own films and U.

    Behind a well-ventilated cladding the outermost layer that counts meets outdoor air by the sheltered film of
    ISO 6946; of the sun on the cladding, and of its loss to the cool sky, it meets `films.cladding_share`.
    """
    chosen = _named(d.shelf, getattr(d.house.assemblies, kind.name), kind.name, f"assemblies.{kind.name}")
    assert isinstance(chosen, OpaqueAssembly)
    part = OpaquePart(
        surface=surface,
        of=kind,
        fabric=chosen,
        body=ElementBody(resistance=chosen.slabs[0], capacity=chosen.slabs[1]),
        u_value=chosen.u_value_W_m2K,
        r_inside=chosen.r_inside,
        r_outside=chosen.r_outside,
        source=chosen.source,
    )
    if chosen.cladding:
        part = replace(part, outside_film=1.0 / chosen.r_outside, sun_share=cladding_share(chosen.r_outside, SUMMER_FILM_W_m2K))
    return _sunlit(part, d.house) if kind.colour else under_floor(part, d.house, d.shell)


def _sunlit(part: OpaquePart, house: House) -> OpaquePart:
    colour, _ = absorptance(getattr(house.colours, part.of.colour), part.of.colour)
    body = replace(
        part.body,
        sky_view=sky_view(part.tilt_deg, house.site.horizon),
        solar_absorptance=colour,
        sun=f"sun {part.face} {part.tilt_deg:.1f}",
    )
    return replace(part, body=body)


def door_parts(kind: PartKind, d: Described) -> tuple[OpaquePart, ...]:
    """Every door, by its label or its type."""
    return tuple(_door_part(kind, d.house, placed, d.shelf) for placed in d.shell.doors)


def _door_part(kind: PartKind, house: House, placed: Placed, shelf: Shelf) -> OpaquePart:
    opening = placed.opening
    chosen = _opening(shelf, house, placed, opening, "door")
    assert isinstance(chosen, DoorAssembly)
    if opening.u_value:
        own = getattr(opening, "type", None)
        name = f"{own}, by its own label" if own else "door by its label"
        chosen = replace(chosen, name=name, title=name, u_value_W_m2K=opening.u_value, layers=(), notes=(), source=LABEL)
    u = chosen.u_value_W_m2K
    plane = Surface(name=placed.label, part=kind.name, face=placed.face, area_m2=opening.area_m2, tilt_deg=90.0)
    part = OpaquePart(
        surface=plane,
        of=kind,
        fabric=chosen,
        body=ElementBody(resistance=(window_resistance(u, chosen.r_inside, chosen.r_outside),), capacity=(0.0,)),
        u_value=u,
        r_inside=chosen.r_inside,
        r_outside=chosen.r_outside,
        source=chosen.source,
    )
    return _sunlit(part, house)


def after_credits(lines: tuple[BridgeLine, ...], parts: tuple[OpaquePart, ...]) -> tuple[OpaquePart, ...]:
    """Areas less what a negative psi takes back of them, credit / U A: outside dimensions count outer corners twice."""
    kept = {kind: _kept(lines, kind, [p for p in parts if p.of == kind]) for kind in dict.fromkeys(p.of for p in parts)}
    return tuple(p.sized(kept[p.of]) for p in parts)


def _kept(lines: tuple[BridgeLine, ...], kind: PartKind, parts: list[OpaquePart]) -> float:
    credit, ua_W_K = credit_W_K(lines, kind.name), sum(p.ua_W_K for p in parts)
    if credit > MOST_CREDIT * ua_W_K:
        raise InputError(
            "thermal_bridges",
            None,
            f"take {credit:.2f} W/K off the {kind.word}, which lose {ua_W_K:.2f} W/K",
            "look at the sign, the unit and the length of the negative psi",
        )
    return 1.0 - credit / ua_W_K if credit else 1.0


def bridge_parts(kind: PartKind, d: Described) -> tuple[OpaquePart, ...]:
    """Line bridges psi x L as one conductance each from room to outdoors; a negative one is in `after_credits`."""
    return tuple(_bridge(kind, line) for line in d.lines if line.psi_W_mK > 0)


def _bridge(kind: PartKind, line: BridgeLine) -> OpaquePart:
    loss = line.loss_W_K
    area = loss / 2.0  # only a carrier: U of 2 W/m2K, well below what the films allow
    between = area / loss - BRIDGE_R_INSIDE - BRIDGE_R_OUTSIDE
    return OpaquePart(
        surface=Surface(name=line.name, part=kind.name, face="down", area_m2=area, tilt_deg=180.0),
        of=kind,
        fabric=None,
        body=ElementBody(resistance=(between,), capacity=(0.0,)),
        u_value=loss / area,
        r_inside=BRIDGE_R_INSIDE,
        r_outside=BRIDGE_R_OUTSIDE,
        source=line.source,
        line=worded("psi {} x {}", Q(line.psi_W_mK, "linear thermal transmittance"), Q(line.length_m, "length")),
    )


def window_parts(kind: PartKind, d: Described) -> tuple[WindowPart, ...]:
    """Windows and skylights of a house; label values in the house file win over the named type."""
    return tuple(_window_part(kind, d.house, placed, d.shelf) for placed in d.shell.windows)


def _window_part(kind: PartKind, house: House, placed: Placed, shelf: Shelf) -> WindowPart:
    said = placed.opening
    chosen = _opening(shelf, house, placed, said, "window")
    assert isinstance(chosen, WindowAssembly)
    fabric = _labelled_window(chosen, said) if said.u_value is not None or getattr(said, "shgc", None) is not None else chosen
    return WindowPart(
        placed=placed,
        of=kind,
        fabric=fabric,
        u_value=fabric.u_value_W_m2K,
        shgc=fabric.shgc,
        glazing=scaled(glazing(fabric.glazing), fabric.shgc),
        sky_view=sky_view(placed.tilt_deg, house.site.horizon),
    )


def _labelled_window(chosen: WindowAssembly, said: Opening) -> WindowAssembly:
    """The window that the label describes; what the label leaves out is its type's."""
    u_value, shgc, name = said.u_value, getattr(said, "shgc", None), getattr(said, "type", None)
    named = f"{name}, by its own label" if name else "window by its label"
    return replace(
        chosen,
        name=named,
        title=named,
        source=LABEL + ("" if u_value and shgc else f", {'SHGC' if u_value else 'U-value'} of {chosen.name}"),
        notes=(),
        u_value_W_m2K=u_value or chosen.u_value_W_m2K,
        shgc=shgc or chosen.shgc,
        glass_u_W_m2K=0.0 if u_value else chosen.glass_u_W_m2K,
    )


LEAST_AREA_M2 = 1e-6
KINDS: dict[str, PartKind] = {  # in the order in which lists of loads name them
    row.name: row
    for row in (
        PartKind(
            name="wall",
            word="walls",
            uncertain="walls",
            layered=True,
            series="wall",
            colour="siding",
            why_load_factor="one factor for a medium-coloured wall of an ordinary house; the network follows this siding's "
            "colour, each face's sun and its lag",
            why_time_series=worded(
                "an outside film of {} keeps more sun on the siding than the network's, and the tabled walls "
                "answer faster than these",
                Q(17.0, "U-value"),
            ),
        ),
        PartKind(
            name="roof",
            word="roof",
            uncertain="roof",
            layered=True,
            under_loft=True,
            flow=("up", "down"),
            load_factor="roof",
            series="roof",
            radiant="roof",
            colour="roof",
            why_load_factor="one factor by colour at the July peak; the network follows the hour and the layers",
            why_time_series=worded(
                "a lower outside film and a faster tabled roof raise it, a sky {} below the air lowers it",
                Q(4, "temperature difference"),
            ),
        ),
        PartKind(
            name="floor",
            word="floor",
            uncertain="floor",
            layered=True,
            flow=("down", "up"),
            load_factor="floor over open air",
            series="wall",
            why_load_factor="the factor takes the day's mean difference; the network the hour's",
            why_time_series="a tabled wall stands in for the floor",
        ),
        PartKind(
            name="door",
            word="doors",
            uncertain="windows",
            made=door_parts,
            colour="siding",
            why_load_factor="the factor gives a door the sun of any wall; the network gives it the sun of its own face",
            why_time_series="the lower outside film keeps more sun on the door",
        ),
        PartKind(
            name="window",
            word="windows",
            uncertain="windows",
            why_load_factor="0.46 of the daily range is taken off, as if the peak came at the day's mean; the network "
            "takes the hour",
        ),
        PartKind(
            name="thermal bridge",
            word="thermal bridges",
            uncertain="bridges",
            made=bridge_parts,
            radiates=False,
            load_factor="floor over open air",
        ),
    )
}


def opaque_parts(d: Described) -> tuple[OpaquePart, ...]:
    """Walls, roofs, floors, then the parts of every kind that makes its own; each with its assembly's films and U."""
    cut = tuple(surface_part(KINDS[s.part], d, s) for s in d.shell.surfaces if s.area_m2 > LEAST_AREA_M2)
    made = (kind.made(kind, d) for kind in KINDS.values() if kind.made)
    return (*after_credits(d.lines, cut), *(part for parts in made for part in parts))


def glass_parts(d: Described) -> tuple[WindowPart, ...]:
    """Windows and skylights."""
    return window_parts(KINDS["window"], d)


def losing_inputs() -> tuple[str, ...]:
    """The uncertain inputs that scale the heat loss of some kind of part."""
    return tuple(dict.fromkeys(kind.uncertain for kind in KINDS.values()))
