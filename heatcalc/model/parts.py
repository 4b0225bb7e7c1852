"""Every part of the shell with its assembly: what it loses, stores, absorbs and lets through."""

from __future__ import annotations

from dataclasses import replace
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
from heatcalc.inputs.house.house_shape import Placed, Shell
from heatcalc.model.below_floor import under_floor
from heatcalc.model.part import PLURAL, OpaquePart, SUMMER_FILM_W_m2K, WindowPart
from heatcalc.model.ready_detail import ready_detail
from heatcalc.physics.shell.films import cladding_share
from heatcalc.physics.shell.glazing import glazing, horizon_sky_share, scaled
from heatcalc.physics.shell.layers import thermal_chain
from heatcalc.physics.zone.zone import window_resistance
from heatcalc.tables import rows

BRIDGE_R_INSIDE, BRIDGE_R_OUTSIDE = 0.13, 0.04  # ISO 6946
MOST_CREDIT = 0.5  # of a part's loss: more is a slip of sign or unit; own choice


def shelf_of(house: House, folder: Path | None) -> dict[str, Assembly]:
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


def opaque_parts(house: House, shell: Shell, folder: Path | None = None) -> tuple[OpaquePart, ...]:
    """Walls, roofs, floors, doors and thermal bridges of a house, each with its assembly's own films and U.

    Behind a well-ventilated cladding the outermost layer that counts meets outdoor air by the sheltered film of
    ISO 6946; of the sun on the cladding, and of its loss to the cool sky, it meets `films.cladding_share`.
    """
    shelf = shelf_of(house, folder)
    surfaces = tuple(_surface_part(house, shell, s, shelf) for s in shell.surfaces if s.area_m2 > 1e-6)
    doors = tuple(_door_part(house, p, shelf) for p in shell.doors)
    return (*_after_credits(house, surfaces), *doors, *_bridges(house))


def _named(shelf: dict[str, Assembly], name: str, kind: str, field: str) -> Assembly:
    found = find_assembly(name, shelf)
    if found.kind != kind:
        names = [a.name for a in shelf.values() if a.kind == kind]
        raise InputError(field, name, f"is a {found.kind}, not a {kind}", nearest(name, names))
    return found


def _surface_part(house: House, shell: Shell, surface, shelf: dict[str, Assembly]) -> OpaquePart:
    kind = surface.part
    chosen = _named(shelf, getattr(house.assemblies, kind), kind, f"assemblies.{kind}")
    assert isinstance(chosen, OpaqueAssembly)
    resistance, capacity = thermal_chain(chosen.layers, chosen.r_inside, chosen.r_outside)
    base = OpaquePart(
        surface.name,
        kind,
        surface.face,
        surface.tilt_deg,
        surface.area_m2,
        chosen.u_value_W_m2K,
        tuple(map(float, resistance)),
        tuple(map(float, capacity)),
        chosen.r_inside,
        chosen.r_outside,
        chosen.thickness_m,
        chosen.mass_kg_m2,
        chosen.name,
        chosen.source,
    )
    if chosen.cladding:
        base = replace(base, outside_film=1.0 / chosen.r_outside, sun_share=cladding_share(chosen.r_outside, SUMMER_FILM_W_m2K))
    if kind == "floor":
        return under_floor(base, house, shell, surface.name)
    colour, _ = absorptance(
        house.colours.roof if kind == "roof" else house.colours.siding, "roof" if kind == "roof" else "siding"
    )
    return _sunlit(base, house, colour)


def _sunlit(part: OpaquePart, house: House, colour: float) -> OpaquePart:
    return replace(
        part,
        sky_view=sky_view(part.tilt_deg, house.site.horizon),
        solar_absorptance=colour,
        sun=f"sun {part.face} {part.tilt_deg:.1f}",
    )


def _door_part(house: House, placed: Placed, shelf: dict[str, Assembly]) -> OpaquePart:
    opening = placed.opening
    chosen = _named(shelf, getattr(opening, "type", None) or house.assemblies.door, "door", f"{placed.field}.type")
    assert isinstance(chosen, DoorAssembly)
    u = opening.u_value or chosen.u_value_W_m2K
    between = window_resistance(u, chosen.r_inside, chosen.r_outside)
    part = OpaquePart(
        placed.label,
        "door",
        placed.face,
        90.0,
        opening.area_m2,
        u,
        (between,),
        (0.0,),
        chosen.r_inside,
        chosen.r_outside,
        0.045,
        0.0,
        chosen.name,
        "label value in the house file" if opening.u_value else chosen.source,
    )
    return _sunlit(part, house, absorptance(house.colours.siding, "siding")[0])


def bridge_psi(house: House, i: int) -> tuple[float, str]:
    """psi of one line bridge [W/mK], and its source."""
    said = house.thermal_bridges[i]
    if said.psi is not None:
        return said.psi, "stated in the house file"
    found = ready_detail(said.detail or "", f"thermal_bridges.{i}.detail")
    return found.psi_external_W_mK, f"two-dimensional steady conduction of the ready detail {found.name} (ISO 10211 method)"


def credit_W_K(house: House, kind: str) -> float:
    """What the negative psi of one kind of part take back, sum of -psi x L [W/K].  InputError where the part is not said."""
    credit = 0.0
    for i, said in enumerate(house.thermal_bridges):
        psi, _ = bridge_psi(house, i)
        if psi < 0 and "part" not in said.model_fields_set:
            raise InputError(
                f"thermal_bridges.{i}.part",
                None,
                "must be said with a negative psi, which takes back its area",
                'part = "wall", "roof" or "floor"',
            )
        credit += max(-psi, 0.0) * said.length if said.part == kind else 0.0
    return credit


def _after_credits(house: House, parts: tuple[OpaquePart, ...]) -> tuple[OpaquePart, ...]:
    """Areas less what a negative psi takes back of them, credit / U A: outside dimensions count outer corners twice."""
    kept = {kind: _kept(house, kind, sum(p.ua_W_K for p in parts if p.kind == kind)) for kind in ("wall", "roof", "floor")}
    return tuple(replace(p, area_m2=p.area_m2 * kept[p.kind]) for p in parts)


def _kept(house: House, kind: str, ua_W_K: float) -> float:
    credit = credit_W_K(house, kind)
    if credit > MOST_CREDIT * ua_W_K:
        raise InputError(
            "thermal_bridges",
            None,
            f"take {credit:.2f} W/K off the {PLURAL[kind]}, which lose {ua_W_K:.2f} W/K",
            "look at the sign, the unit and the length of the negative psi",
        )
    return 1.0 - credit / ua_W_K if credit else 1.0


def _bridges(house: House) -> tuple[OpaquePart, ...]:
    """Line bridges psi x L as one conductance each from room to outdoors; a negative one is in `_after_credits`."""
    return tuple(_bridge(house, i) for i in range(len(house.thermal_bridges)) if bridge_psi(house, i)[0] > 0)


def _bridge(house: House, i: int) -> OpaquePart:
    said, (psi, source) = house.thermal_bridges[i], bridge_psi(house, i)
    loss = psi * said.length
    area = loss / 2.0  # only a carrier: U of 2 W/m2K, well below what the films allow
    between = area / loss - BRIDGE_R_INSIDE - BRIDGE_R_OUTSIDE
    return OpaquePart(
        said.name,
        "thermal bridge",
        "down",
        180.0,
        area,
        loss / area,
        (between,),
        (0.0,),
        BRIDGE_R_INSIDE,
        BRIDGE_R_OUTSIDE,
        0.0,
        0.0,
        f"psi {{linear thermal transmittance:{psi:.6g}}} x {{length:{said.length:.6g}}}",
        source,
    )


def window_parts(house: House, shell: Shell, folder: Path | None = None) -> tuple[WindowPart, ...]:
    """Windows and skylights of a house; label values in the house file win over the named type."""
    shelf = shelf_of(house, folder)
    return tuple(_window_part(house, placed, shelf) for placed in shell.windows)


def _window_part(house: House, placed: Placed, shelf: dict[str, Assembly]) -> WindowPart:
    said = placed.opening
    chosen = _named(shelf, getattr(said, "type", None) or house.assemblies.window, "window", f"{placed.field}.type")
    assert isinstance(chosen, WindowAssembly)
    shgc = getattr(said, "shgc", None) or chosen.shgc
    label = said.u_value is not None or getattr(said, "shgc", None) is not None
    return WindowPart(
        placed.label,
        placed.face,
        placed.tilt_deg,
        said.area_m2,
        said.width,
        said.height,
        said.u_value or chosen.u_value_W_m2K,
        shgc,
        scaled(glazing(chosen.glazing), shgc),
        getattr(said, "overhang", 0.0),
        getattr(said, "overhang_above", 0.0),
        getattr(said, "inside_shade", 1.0),
        sky_view(placed.tilt_deg, house.site.horizon),
        chosen.name,
        "label value in the house file" if label else chosen.source,
    )
