"""Walls, roofs, floors, windows and doors as the trade describes them, one TOML table each.

["Breeze wall"]
kind = "wall"
title = "2x4 wall with R-13 batts"
layers = [                                     # inside to outside
  { material = "gypsum board", thickness = "1/2 in" },
  { framing = "2x4 studs 16 in o.c.", insulation = "R-13" },
  { material = "OSB", thickness = "7/16 in" },
  { air = "3/4 in", openings = "well ventilated" },
  { material = "engineered wood siding" },
]

What assemblies cost: one price file, US dollars per square foot of assembly, material and labour.

basis = "our quotes, March"
[per_ft2]
"Breeze wall" = 14.00
"my wall" = 17.50
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from heatcalc import files
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.assembly.assembly_layers import Built, RepeatedBridge, SteelStuds, build
from heatcalc.inputs.assembly.assembly_materials import FT2_M2, DoorSaid, OpaqueSaid, WindowSaid
from heatcalc.inputs.checked import Checked, check, read_toml
from heatcalc.physics.shell.framing import R_IP_M2K_W
from heatcalc.physics.shell.glazing import default_whole_shgc, default_whole_u, edge_share, simple_window_u
from heatcalc.physics.shell.layers import Layer, UValue, thermal_chain, u_value
from heatcalc.tables import rows

KINDS = ("wall", "roof", "floor", "window", "door")


@dataclass(frozen=True, kw_only=True)
class Assembly:
    """What every entry of the shelf has."""

    name: str
    kind: Literal["wall", "roof", "floor", "window", "door"]
    title: str
    source: str
    notes: tuple[str, ...] = ()
    price_per_m2: float | None = None
    """In the user's money per m2 of assembly; its basis says whose price that is."""
    price_basis: str = ""


@dataclass(frozen=True, kw_only=True)
class OpaqueAssembly(Assembly):
    """Layers inside to outside, with the films its U-value is stated with.

    `layers` ends at a ventilated cavity, if there is one; what stands outside it is `cladding`: its thickness,
    mass and price count, but it carries no heat.
    """

    layers: tuple[Layer, ...] = ()
    cladding: tuple[Layer, ...] = ()
    r_inside: float = 0.13
    r_outside: float = 0.04
    direction: str = "horizontal"
    thermal_bridges: tuple[RepeatedBridge, ...] = ()
    groups: tuple[str, ...] = ()
    """Material group of each of `layers` and `cladding`, for drawing."""
    steel_studs: SteelStuds | None = None

    @cached_property
    def u(self) -> UValue:
        """U-values by every method with this assembly's own films."""
        return u_value(self.layers, self.r_inside, self.r_outside)

    @property
    def u_value_W_m2K(self) -> float:
        """The U-value to use: combined method with corrections."""
        return self.u.combined

    @cached_property
    def slabs(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Resistance [m2K/W] and heat capacity [J/m2K] of each slab, inside to outside (`layers.thermal_chain`)."""
        resistance, capacity = thermal_chain(self.layers, self.r_inside, self.r_outside)
        return tuple(map(float, resistance)), tuple(map(float, capacity))

    @property
    def thickness_m(self) -> float:
        """Whole thickness, cladding included."""
        return sum(layer.thickness_m for layer in (*self.layers, *self.cladding))

    @property
    def mass_kg_m2(self) -> float:
        """Mass per area, framing and cladding included."""
        return sum(layer.mass_kg_m2 for layer in (*self.layers, *self.cladding))


@dataclass(frozen=True, kw_only=True)
class WindowAssembly(Assembly):
    """A whole window: label values where given, else the default table."""

    u_value_W_m2K: float = 0.0
    shgc: float = 0.0
    glazing: str = ""
    """Row of the table of solar gain by angle."""
    frame_share: float = 0.25
    air_leakage_m3_s_m2: float | None = None
    """Rated air leakage at the label's test pressure [m3/(s m2)]."""
    frame: str = "nonmetal"
    mass_kg_m2: float = 0.0
    glass_u_W_m2K: float = 0.0
    """Centre of glass; the whole window's where only a label is known."""
    edge_psi_W_mK: float = 0.08


@dataclass(frozen=True, kw_only=True)
class DoorAssembly(Assembly):
    """A whole door known by its U-value, or by layers."""

    u_value_W_m2K: float = 0.0
    layers: tuple[Layer, ...] = field(default=())
    r_inside: float = 0.13
    r_outside: float = 0.04


def load_assemblies(path: Path | str | None = None) -> dict[str, Assembly]:
    """All assemblies of a file, or of the shelf (workbooks/assemblies/) where `path` is None, by name.

    Raises InputError, one line, for the first thing that cannot be used.
    """
    return dict(_shelf()) if path is None else _read_file(Path(path))


def find_assembly(name: str, shelf: dict[str, Assembly], field: str = "assembly", kind: str = "") -> Assembly:
    """One assembly by name, letter case and hyphens ignored; a refusal names `field` and what there is of `kind`."""
    if name in shelf:
        return shelf[name]
    plain = {_plain(known): known for known in shelf}
    if _plain(name) not in plain:
        known = [a.name for a in shelf.values() if kind in ("", a.kind)]
        meant = nearest(name, known) or _sounds_like(name, [shelf[k] for k in known]) or f"known: {', '.join(known)}"
        raise InputError(field, name, "is not in the file or on the shelf", meant)
    return shelf[plain[_plain(name)]]


def _sounds_like(name: str, known: list[Assembly]) -> str:
    """The assemblies whose name or title holds a word of `name` that is no kind, as a question; empty where there is none."""
    words = {w for w in re.findall(r"[a-z0-9]{3,}", name.lower()) if w not in KINDS}
    found = [a.name for a in known if words & set(re.findall(r"[a-z0-9]{3,}", f"{a.name} {a.title}".lower()))]
    return f"did you mean {' or '.join(map(repr, found))}?" if 0 < len(found) < 5 else ""


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


@cache
def _shelf() -> dict[str, Assembly]:
    found: dict[str, Assembly] = {}
    for file in sorted((files.folder("workbooks") / "assemblies").glob("*.toml")):
        found.update(_read_file(file))
    return found


def _read_file(path: Path) -> dict[str, Assembly]:
    said = read_toml(path)
    if not said:
        raise InputError("file", str(path), 'holds no assembly; write one as ["name"] with kind and layers')
    return {name: _read_one(name, entry, path.name) for name, entry in said.items()}


def _read_one(name: str, entry: object, file: str) -> Assembly:
    where = f"{file} [{name}]"
    if not isinstance(entry, dict):
        raise InputError(name, None, 'an assembly is a table: ["name"] with kind = "wall" and layers', "", file)
    kind = entry.get("kind")
    if kind not in KINDS:
        meant = nearest(str(kind), KINDS) or f"one of {', '.join(KINDS)}"
        raise InputError("kind", kind if isinstance(kind, str) else None, "says what this is", meant, where)
    if kind == "window":
        return _window(name, check(WindowSaid, entry, where), where)
    if kind == "door":
        return _door(name, check(DoorSaid, entry, where), where)
    return _opaque(name, check(OpaqueSaid, entry, where), where)


def _opaque(name: str, said: OpaqueSaid, where: str) -> OpaqueAssembly:
    built: Built = build(said, where)
    return OpaqueAssembly(
        name=name,
        kind=said.kind,
        title=said.title or name,
        source=said.source,
        notes=(*said.notes, *built.notes),
        price_per_m2=built.price_per_m2,
        layers=built.layers,
        cladding=built.cladding,
        r_inside=built.r_inside,
        r_outside=built.r_outside,
        direction=built.direction,
        thermal_bridges=built.thermal_bridges,
        groups=built.groups,
        steel_studs=built.steel_studs,
    )


def _check_window(said: WindowSaid, where: str) -> None:
    """The glazing must be a row of the table of solar gain by angle, and the frame must leave some glass."""
    known = [row["name"] for row in rows("shgc_angle")]
    if said.glazing is not None and said.glazing not in known:
        meant = nearest(said.glazing, known) or f"known: {', '.join(known)}"
        raise InputError("glazing", said.glazing, "is not in the table of solar gain by angle", meant, where)
    if 2.0 * said.frame_width >= min(said.width, said.height):
        raise InputError("frame_width", f"{said.frame_width:g} m", "leaves no glass: it is half the window or more", "", where)


def _window(name: str, said: WindowSaid, where: str) -> WindowAssembly:
    _check_window(said, where)
    default = next(row for row in rows("windows_default") if (row["frame"], row["panes"]) == (said.frame, said.panes))
    notes = list(said.notes)
    u = said.u_value
    if u is None and said.glass_u is not None and said.frame_u is None:
        u = default_whole_u(said.glass_u, said.frame)
        notes.append("U from the centre of glass (California Reference Appendix NA6)")
    elif u is None and said.glass_u is not None and said.frame_u is not None:
        u = simple_window_u(said.width, said.height, said.frame_width, said.glass_u, said.frame_u, said.edge_psi)
        notes.append("U from glass, frame and glass edge (ISO 10077-1)")
    if u is None:
        u = float(default["u_ip"]) / R_IP_M2K_W
        notes.append(f"no label: U is the default of {default['source']} ({default['mark']})")
    shgc = said.shgc
    if shgc is None and said.glass_shgc is not None:
        shgc = default_whole_shgc(said.glass_shgc)
        notes.append("SHGC from the centre of glass (California Reference Appendix NA6)")
    if shgc is None:
        shgc = float(default["shgc"])
        notes.append(f"no label: SHGC is the default of {default['source']} ({default['mark']})")
    share = said.frame_share or edge_share(said.width, said.height, said.frame_width)
    return WindowAssembly(
        name=name,
        kind="window",
        title=said.title or name,
        source=said.source,
        notes=tuple(notes),
        price_per_m2=said.price_per_m2,
        u_value_W_m2K=u,
        shgc=shgc,
        glazing=said.glazing or default["glazing"],
        frame_share=share,
        air_leakage_m3_s_m2=said.air_leakage,
        frame=said.frame,
        mass_kg_m2=said.mass_per_area,
        glass_u_W_m2K=said.glass_u or u,
        edge_psi_W_mK=said.edge_psi,
    )


def _door(name: str, said: DoorSaid, where: str) -> DoorAssembly:
    if said.layers:
        built = build(OpaqueSaid(kind="wall", layers=said.layers), where)
        total = u_value(built.layers, built.r_inside, built.r_outside).combined
        return DoorAssembly(
            name=name,
            kind="door",
            title=said.title or name,
            source=said.source,
            notes=(*said.notes, *built.notes),
            price_per_m2=said.price_per_m2 or built.price_per_m2,
            u_value_W_m2K=total,
            layers=built.layers,
            r_inside=built.r_inside,
            r_outside=built.r_outside,
        )
    u, notes = (said.u_value, said.notes) if said.u_value is not None else _table_door(said, where)
    return DoorAssembly(
        name=name,
        kind="door",
        title=said.title or name,
        source=said.source,
        notes=notes,
        price_per_m2=said.price_per_m2,
        u_value_W_m2K=u,
    )


def _table_door(said: DoorSaid, where: str) -> tuple[float, tuple[str, ...]]:
    """U [W/m2K] of a door of the table, and the notes that say so."""
    known = {row["name"]: row for row in rows("doors")}
    row = known.get(said.type or "")
    if row is None:
        meant = nearest(said.type or "", list(known)) or f"known: {', '.join(known)}"
        raise InputError("type", said.type, "a door needs a U-value, layers, or a type of the door table", meant, where)
    return float(row["u_ip"]) / R_IP_M2K_W, (*said.notes, f"U is the table value of {row['source']}")


AS_WRITTEN = "as written with the assembly"


class PriceFile(Checked):
    """A price file as written."""

    basis: str = Field("", max_length=120, description="where the prices come from, shown with them")
    per_ft2: dict[str, Annotated[float, Field(ge=0.0, le=10_000.0)]] = Field(min_length=1)


def priced(found: Mapping[str, Assembly], file: Path | str | None = None) -> dict[str, Assembly]:
    """`found` with the prices of a file, which win over an assembly's own; None = the invented ones, for the starter shelf alone.

    Raises InputError for a name that is neither among `found` nor on the shelf.
    """
    shelf = load_assemblies()
    path = files.folder("workbooks") / "prices.toml" if file is None else Path(file)
    said = check(PriceFile, read_toml(path), path.name)
    known = [*found, *shelf]
    for name in said.per_ft2:
        if name not in known:
            raise InputError("per_ft2", name, "no assembly has this name", nearest(name, known), path.name)
    basis = said.basis or f"prices of {path.name}"
    named = {n: p for n, p in said.per_ft2.items() if file is not None or found.get(n) is shelf.get(n)}
    return {name: _priced(entry, named.get(name), basis) for name, entry in found.items()}


def _priced(entry: Assembly, per_ft2: float | None, basis: str) -> Assembly:
    if per_ft2 is not None:
        return replace(entry, price_per_m2=per_ft2 / FT2_M2, price_basis=basis)
    return replace(entry, price_basis="" if entry.price_per_m2 is None else AS_WRITTEN)
