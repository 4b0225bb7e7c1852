"""Every part of the shell with its assembly: what it loses, stores, absorbs and lets through."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sqrt
from pathlib import Path

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
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.house_shape import Placed, Shell, shell_of
from heatcalc.inputs.house.openings import Opening
from heatcalc.model.below_floor import under_floor
from heatcalc.model.bridge_lines import BridgeLine, credit_W_K, lines_of
from heatcalc.model.part import OpaquePart, PartKind, SUMMER_FILM_W_m2K, WindowPart
from heatcalc.physics.shell.films import cladding_share
from heatcalc.physics.shell.glazing import glazing, horizon_sky_share, scaled
from heatcalc.physics.shell.shape import Surface
from heatcalc.physics.zone.zone import ElementBody, window_resistance
from heatcalc.tables import rows
from heatcalc.wording import Q, worded

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
    found = find_assembly(name, shelf)
    if found.kind != kind:
        names = [a.name for a in shelf.values() if a.kind == kind]
        raise InputError(field, name, f"is a {found.kind}, not a {kind}", nearest(name, names))
    return found


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
    chosen = _named(shelf, getattr(opening, "type", None) or house.assemblies.door, "door", f"{placed.field}.type")
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
    chosen = _named(shelf, getattr(said, "type", None) or house.assemblies.window, "window", f"{placed.field}.type")
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
