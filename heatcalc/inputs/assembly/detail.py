"""A drawn detail: rectangles and polygons of material and air, conditions along the box, points to read.

Lengths are written with their unit ("5 1/2 in"), or as bare numbers where the file's `unit` says of what.
Regions are painted in order.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from heatcalc import files, tables
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, check, quantity, read_toml
from heatcalc.physics.shell.conduction_mesh import BARE, NOTHING, AirSide, Edge, Region, Section, first_grid, painted
from heatcalc.wording import Q, Said, worded

MOST_FIRST_CELLS = 100_000
_COORDINATES = {"x", "y", "polygon", "from", "to", "inside", "outside", "layers"}

Length = quantity("length", -50.0, 50.0)
Span = quantity("length", 0.0, 50.0)
Conductivity = quantity("conductivity", 0.001, 500.0)
Name = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[^\x00-\x1f]+$")]


class MaterialHere(Checked):
    """A material of this file alone."""

    conductivity: Conductivity  # type: ignore[valid-type]
    source: str = ""


class AirHere(Checked):
    """Air that touches the section: its temperature and the film between it and the surface."""

    name: Name
    side: Literal["inside", "outside", "other"]
    temperature: quantity("temperature", -80.0, 80.0)  # type: ignore[valid-type]
    film: quantity("thermal resistance", 0.0, 2.0)  # type: ignore[valid-type]


def _pair(value: object) -> object:
    if isinstance(value, list) and len(value) != 2:
        raise ValueError("give two lengths, [from, to]")
    return value


Two = Annotated[tuple[Length, Length], BeforeValidator(_pair)]  # type: ignore[valid-type]


class RegionHere(Checked):
    """A rectangle (x, y) or a polygon, of a material, of air, or void (no heat crosses its edge)."""

    name: str = ""
    material: str = ""
    air: str = ""
    void: bool = False
    bridge: bool = False
    x: Two | None = None
    y: Two | None = None
    polygon: tuple[Two, ...] = Field(default=(), max_length=200)

    @model_validator(mode="after")
    def _one_of_each(self) -> RegionHere:
        if sum(map(bool, (self.material, self.air, self.void))) != 1:
            raise ValueError('give one of material = "...", air = "..." or void = true')
        if (self.x is None) != (self.y is None) or (self.x is None) == (not self.polygon):
            raise ValueError("give either x = [from, to] and y = [from, to], or polygon = [[x, y], ...]")
        if self.polygon and len(self.polygon) < 3:
            raise ValueError("a polygon has at least three corners")
        return self

    def corners(self) -> tuple[tuple[float, float], ...]:
        """Corners of the region in order [m]."""
        if self.x is None or self.y is None:
            return self.polygon
        (left, right), (bottom, top) = sorted(self.x), sorted(self.y)
        return ((left, bottom), (right, bottom), (right, top), (left, top))


class EdgeHere(Checked):
    """Air along a side of the box, the whole side or a part of it."""

    side: Literal["left", "right", "bottom", "top"]
    air: str
    start: Length | None = Field(default=None, alias="from")  # type: ignore[valid-type]
    end: Length | None = Field(default=None, alias="to")  # type: ignore[valid-type]


class PointHere(Checked):
    """A point whose temperature is wanted."""

    name: Name
    x: Length  # type: ignore[valid-type]
    y: Length  # type: ignore[valid-type]


class FlankHere(Checked):
    """A part whose plain U-value is taken off to find psi: its lengths and where its U comes from."""

    name: Name
    inside: Span  # type: ignore[valid-type]
    outside: Span  # type: ignore[valid-type]
    cut: Literal["left", "right", "bottom", "top"] | None = None
    u_value: quantity("U-value", 0.01, 20.0) | None = None  # type: ignore[valid-type]
    layers: tuple[tuple[str, Span], ...] = ()  # type: ignore[valid-type]
    between: tuple[str, str] | None = None

    @model_validator(mode="after")
    def _one_origin(self) -> FlankHere:
        if sum((self.cut is not None, self.u_value is not None, bool(self.layers))) != 1:
            raise ValueError('give one of cut = "left", u_value = "..." or layers = [["plywood", "1/2 in"], ...]')
        if bool(self.layers) != (self.between is not None):
            raise ValueError('layers go with between = ["inside air", "outside air"]')
        return self


class DetailHere(Checked):
    """The whole file."""

    title: Annotated[str, Field(min_length=1, max_length=120)]
    kind: Literal["floor", "wall", "roof", "window"]
    source: str = ""
    notes: tuple[str, ...] = ()
    unit: Literal["in", "ft", "mm", "cm", "m"] | None = None
    dimensions: Literal["external", "internal"] = "external"
    spacing: quantity("length", 0.05, 10.0) | None = None  # type: ignore[valid-type]
    materials: dict[str, MaterialHere] = {}
    air: tuple[AirHere, ...] = Field(min_length=1, max_length=20)
    region: tuple[RegionHere, ...] = Field(min_length=1, max_length=300)
    edge: tuple[EdgeHere, ...] = Field(default=(), max_length=100)
    point: tuple[PointHere, ...] = Field(default=(), max_length=100)
    flank: tuple[FlankHere, ...] = Field(default=(), max_length=10)


@dataclass(frozen=True, kw_only=True)
class Flank:
    """A plain part beside the detail: lengths [m] inside and outside, and U [W/m2K] or the side where it is cut."""

    name: str
    internal_m: float
    external_m: float
    cut: str
    u_value_W_m2K: float | None
    origin: str


@dataclass(frozen=True, kw_only=True)
class Detail:
    """A checked drawing, ready to solve."""

    name: str
    title: str
    kind: str
    source: str
    notes: tuple[str, ...]
    dimensions: str
    spacing_m: float | None
    section: Section
    region_names: tuple[str, ...]
    materials: tuple[str, ...]  # of each region; the air's name for air, "" for void
    bridging: tuple[bool, ...]
    air_names: tuple[str, ...]
    air_sides: tuple[str, ...]
    points: tuple[tuple[str, float, float], ...]
    flanks: tuple[Flank, ...]
    material_sources: tuple[Said, ...]

    @property
    def without_bridges(self) -> Section:
        """The drawing without the regions marked `bridge`; what they covered shows again."""
        kept = (region for region, bridge in zip(self.section.regions, self.bridging, strict=True) if not bridge)
        return replace(self.section, regions=tuple(kept))


def ready_names() -> tuple[str, ...]:
    """Names of the ready details, in order."""
    return tuple(sorted(file.stem for file in (files.folder("workbooks") / "details").glob("*.toml")))


def load_detail(said: str) -> Detail:
    """A detail by file path, or a ready one by name.

    Raises InputError naming the field, the value, what is allowed and the nearest ready name.
    """
    path = Path(said)
    if path.suffix == ".toml" or path.exists():
        return read_detail(read_toml(path), path.stem, str(said))
    if said not in ready_names():
        meant = nearest(said, ready_names()) or f"ready: {', '.join(ready_names())}"
        raise InputError("detail", said, "is neither a .toml file nor a ready detail", meant)
    return read_detail(read_toml(files.folder("workbooks") / "details" / f"{said}.toml"), said, said)


def read_detail(said: dict[str, Any], name: str, where: str) -> Detail:
    """The mapping of a detail file, checked and resolved to SI."""
    unit = said.get("unit")
    here = check(DetailHere, _with_unit(said, unit) if isinstance(unit, str) else said, where)
    airs = _unique([a.name for a in here.air], "air", where)
    _unique([p.name for p in here.point], "point", where)
    found = {m: _conductivity(m, here, f"region {i + 1}.material", where) for i, r in enumerate(here.region) if (m := r.material)}
    regions = tuple(_region(r, i, airs, found, where) for i, r in enumerate(here.region))
    section = Section(regions, tuple(AirSide(a.temperature, a.film) for a in here.air), ())
    section = replace(section, edges=tuple(_edge(e, i, airs, section.box, where) for i, e in enumerate(here.edge)))
    _fully_drawn(section, where)
    if here.flank and any(r.bridge for r in here.region):
        raise InputError("flank", None, "psi is taken from flanks or from regions with bridge = true, not both", "", where)
    return Detail(
        name=name,
        title=here.title,
        kind=here.kind,
        source=here.source,
        notes=here.notes,
        dimensions=here.dimensions,
        spacing_m=here.spacing,
        section=section,
        region_names=tuple(r.name or r.material or r.air or "void" for r in here.region),
        materials=tuple(r.material or r.air for r in here.region),
        bridging=tuple(r.bridge for r in here.region),
        air_names=tuple(airs),
        air_sides=tuple(a.side for a in here.air),
        points=tuple((p.name, p.x, p.y) for p in here.point),
        flanks=tuple(_flank(f, here, airs, where) for f in here.flank),
        material_sources=tuple(worded("{}: {}, {}", m, Q(k, "conductivity"), origin) for m, (k, origin) in found.items()),
    )


def _with_unit(said: Any, unit: str, inside: bool = False) -> Any:
    """Bare numbers of coordinates as text with the file's unit."""
    if isinstance(said, dict):
        return {key: _with_unit(value, unit, inside or key in _COORDINATES) for key, value in said.items()}
    if isinstance(said, list):
        return [_with_unit(value, unit, inside) for value in said]
    return f"{said!r} {unit}" if inside and isinstance(said, (int, float)) and not isinstance(said, bool) else said


def _unique(names: list[str], field: str, where: str) -> list[str]:
    twice = [n for i, n in enumerate(names) if n in names[:i]]
    if twice:
        raise InputError(f"{field}.name", twice[0], "is used twice", "", where)
    return names


def _conductivity(material: str, here: DetailHere, field: str, where: str) -> tuple[float, str]:
    """W/mK and where it is from: the file's own materials first, then the materials table."""
    if material in here.materials:
        own = here.materials[material]
        return own.conductivity, own.source or "as given in the file"
    shelf = {row["name"]: row for row in tables.rows("materials")}
    if material not in shelf:
        raise InputError(field, material, "is not a material", nearest(material, [*here.materials, *shelf]), where)
    row = shelf[material]
    if row["conductivity_W_mK"]:
        return float(row["conductivity_W_mK"]), row["source"]
    if row["resistance_m2K_W"] and row["thickness_m"] and float(row["resistance_m2K_W"]) > 0:
        return float(row["thickness_m"]) / float(row["resistance_m2K_W"]), f"{row['source']}, thickness over R"
    raise InputError(field, material, "has no conductivity in the materials table", "leave the membrane out", where)


def _air_number(air: str, airs: list[str], field: str, where: str) -> int:
    if air not in airs:
        raise InputError(field, air, "is not one of the airs", nearest(air, airs) or f"known: {', '.join(airs)}", where)
    return airs.index(air)


def _region(said: RegionHere, i: int, airs: list[str], found: dict, where: str) -> Region:
    field, corners = f"region {i + 1}", said.corners()
    if abs(_area(corners)) < 1e-9:
        raise InputError(field, said.name or None, "encloses no area", "", where)
    if _crosses_itself(corners):
        raise InputError(field, said.name or None, "is a polygon that crosses itself", "list its corners in order", where)
    if said.void:
        return Region(corners, air=BARE)
    if said.air:
        return Region(corners, air=_air_number(said.air, airs, f"{field}.air", where))
    return Region(corners, found[said.material][0], NOTHING)


def _edge(said: EdgeHere, i: int, airs: list[str], box: tuple, where: str) -> Edge:
    low, high = (box[1], box[3]) if said.side in ("left", "right") else (box[0], box[2])
    start, end = low if said.start is None else said.start, high if said.end is None else said.end
    if not start < end:
        raise InputError(f"edge {i + 1}", f"{start:g} m to {end:g} m", "`from` must be below `to`", "", where)
    if start < low - 1e-6 or end > high + 1e-6:
        raise InputError(
            f"edge {i + 1}", f"{start:g} m to {end:g} m", f"reaches beyond the drawing ({low:g} m to {high:g} m)", "", where
        )
    return Edge(said.side, start, end, _air_number(said.air, airs, f"edge {i + 1}.air", where))


def _fully_drawn(section: Section, where: str) -> None:
    grid = first_grid(section)
    if grid.cells > MOST_FIRST_CELLS:
        raise InputError(
            "region",
            None,
            f"the drawing needs {grid.cells:,} cells before any refinement; allowed {MOST_FIRST_CELLS:,}",
            "leave out small parts or draw a smaller piece",
            where,
        )
    bare = painted(section, grid).region == BARE
    if bare.any():
        row, column = (int(i[0]) for i in bare.nonzero())
        x, y = grid.centres()
        raise InputError(
            "region",
            None,
            f"nothing is drawn at x = {x[column]:.4g} m, y = {y[row]:.4g} m",
            "paint a material, an air or void = true under everything",
            where,
        )


def _flank(said: FlankHere, here: DetailHere, airs: list[str], where: str) -> Flank:
    if said.cut:
        return Flank(
            name=said.name,
            internal_m=said.inside,
            external_m=said.outside,
            cut=said.cut,
            u_value_W_m2K=None,
            origin=f"layers met at the {said.cut} edge",
        )
    if said.u_value is not None:
        return Flank(
            name=said.name,
            internal_m=said.inside,
            external_m=said.outside,
            cut="",
            u_value_W_m2K=said.u_value,
            origin="as given in the file",
        )
    assert said.between is not None
    films = [here.air[_air_number(a, airs, f"flank {said.name}.between", where)].film for a in said.between]
    layers = [d / _conductivity(m, here, f"flank {said.name}.layers", where)[0] for m, d in said.layers]
    if sum(films) + sum(layers) <= 0:
        raise InputError(f"flank {said.name}", "0 m2K/W", "has no resistance", "", where)
    return Flank(
        name=said.name,
        internal_m=said.inside,
        external_m=said.outside,
        cut="",
        u_value_W_m2K=1.0 / (sum(films) + sum(layers)),
        origin="its listed layers",
    )


def _area(corners: tuple[tuple[float, float], ...]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)) / 2


def _crosses_itself(corners: tuple[tuple[float, float], ...]) -> bool:
    sides = list(zip(corners, corners[1:] + corners[:1], strict=True))
    return any(_cross(*a, *b) for i, a in enumerate(sides) for b in sides[i + 1 :])


def _cross(a, b, c, d) -> bool:
    def turn(p, q, r) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < -1e-18 and turn(c, d, a) * turn(c, d, b) < -1e-18
