"""The shell of a house: every surface with its net area, every opening with the surface it sits in."""

from __future__ import annotations

from dataclasses import dataclass, replace

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_record import Box, House
from heatcalc.inputs.house.openings import Opening
from heatcalc.physics.shell import shape
from heatcalc.physics.shell.shape import Solid, Surface


@dataclass(frozen=True)
class Placed:
    """An opening and where it sits: its tilt and face, its area, its place in the house file."""

    field: str
    opening: Opening
    tilt_deg: float
    face: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Shell:
    """Net opaque surfaces, placed windows and doors, and the sizes the air needs (outside dimensions)."""

    surfaces: tuple[Surface, ...]
    windows: tuple[Placed, ...]
    doors: tuple[Placed, ...]
    floor_area_m2: float
    outside_volume_m3: float
    perimeter_m: float
    height_m: float
    footprint_m2: float

    def area(self, part: str) -> float:
        """Net opaque area [m2] of "wall", "roof" or "floor"."""
        return sum(s.area_m2 for s in self.surfaces if s.part == part)

    @property
    def opening_area_m2(self) -> float:
        """Windows and doors [m2]."""
        return sum(p.opening.area_m2 for p in (*self.windows, *self.doors))

    @property
    def exposed_area_m2(self) -> float:
        """Everything that meets the outside: walls, roof, floor, windows, doors [m2]."""
        return sum(s.area_m2 for s in self.surfaces) + self.opening_area_m2


def shell_of(house: House) -> Shell:
    """Geometry of a checked house.  Raises InputError where an opening does not fit its wall or a box its side."""
    body = _body(house)
    boxes = [_box(house, i) for i in range(len(house.boxes))]
    surfaces = _cut_boxes(house, body.surfaces) + tuple(s for b in boxes for s in b.surfaces)
    placed = [_placed(house, "windows", i, surfaces) for i in range(len(house.windows))]
    doors = [_placed(house, "doors", i, surfaces) for i in range(len(house.doors))]
    _own_names([*placed, *doors])
    _side_by_side(house, surfaces, [*placed, *doors])
    net = _cut_openings(surfaces, [*placed, *doors])
    footprint = house.body.length * house.body.width + sum(b.length * b.width for b in house.boxes)
    return Shell(
        surfaces=net,
        windows=tuple(placed),
        doors=tuple(doors),
        floor_area_m2=footprint + (house.loft.area if house.loft else 0.0),
        outside_volume_m3=body.volume_m3 + sum(b.volume_m3 for b in boxes),
        perimeter_m=2 * (house.body.length + house.body.width) + sum(2 * b.length for b in house.boxes),
        height_m=body.height_m,
        footprint_m2=footprint,
    )


def _own_names(placed: list[Placed]) -> None:
    labels = [p.label for p in placed]
    for p in placed:
        if labels.count(p.label) > 1:
            raise InputError(f"{p.field}.name", p.label, "is taken by another opening", "give each its own name, or none")


def _body(house: House) -> Solid:
    size, roof, name = house.body, house.roof, "body"
    planes = {
        "flat": lambda: shape.flat_roof(name, size.length, size.width),
        "shed": lambda: shape.shed_roof(name, size.length, size.width, roof.slope, roof.high_side),
        "gable": lambda: shape.gable_roof(name, size.length, size.width, roof.slope),
    }[roof.form]()
    surfaces = (
        *shape.walls(name, size.length, size.width, size.wall_height),
        *planes,
        shape.floor(name, size.length, size.width),
    )
    volume = size.length * size.width * size.wall_height + shape.roof_volume(roof.form, size.length, size.width, roof.slope)
    for i in range(len(roof.dormers)):
        surfaces, added = _with_dormer(house, i, surfaces)
        volume += added
    return Solid(surfaces, volume, volume / (size.length * size.width))


def _with_dormer(house: House, i: int, surfaces: tuple[Surface, ...]) -> tuple[tuple[Surface, ...], float]:
    said, body = house.roof.dormers[i], house.body
    cut = shape.shed_dormer(f"dormer {i + 1}", said.side, said.width, said.face_height, house.roof.slope, said.slope)
    if cut.run_m > body.width / 2 or said.width > body.length:
        raise InputError(
            f"roof.dormers.{i}",
            " by ".join(units.text(x, "length", "ip") for x in (said.width, cut.run_m)),
            "the dormer is larger than the roof plane it sits in",
            "make its face lower, its roof steeper or its width smaller",
        )
    target = f"body {said.side} roof"
    kept = tuple(replace(s, area_m2=s.area_m2 - cut.removed_m2) if s.name == target else s for s in surfaces)
    return (*kept, *cut.surfaces), cut.volume_m3


def _box(house: House, i: int) -> Solid:
    box: Box = house.boxes[i]
    side = house.body.width if box.attached in ("front", "back") else house.body.length
    if box.width > side + 1e-9 or box.height > house.body.wall_height + 1e-9:
        raise InputError(f"boxes.{i}", box.name, "is larger than the side of the body it is attached to")
    return shape.attached_box(box.name, box.length, box.width, box.height, box.attached)


def _cut_boxes(house: House, surfaces: tuple[Surface, ...]) -> tuple[Surface, ...]:
    open_area: dict[str, float] = {}
    for box in house.boxes:
        key = f"body {box.attached} wall"
        open_area[key] = open_area.get(key, 0.0) + box.width * box.height
    cut = tuple(replace(s, area_m2=s.area_m2 - open_area.get(s.name, 0.0)) for s in surfaces)
    for s in cut:
        if s.area_m2 < -1e-9:
            cut_out = _both(open_area[s.name], "area")
            raise InputError("boxes", cut_out, f"together are larger than the {s.name} they are attached to")
    return cut


def _placed(house: House, kind: str, i: int, surfaces: tuple[Surface, ...]) -> Placed:
    opening: Opening = getattr(house, kind)[i]
    owner = opening.box or "body"
    names = ["body", *(b.name for b in house.boxes)]
    if owner not in names:
        raise InputError(f"{kind}.{i}.box", owner, "no such box", nearest(owner, names))
    host = _host(surfaces, owner, opening)
    if host is None:
        raise InputError(f"{kind}.{i}.face", opening.face, f"the {owner} has no such face")
    _fits(f"{kind}.{i}", opening, host)
    label = opening.name or f"{opening.face} {kind[:-1]} {i + 1}"
    return Placed(f"{kind}.{i}", opening, host.tilt_deg, host.face, label)


def _host(surfaces: tuple[Surface, ...], owner: str, opening: Opening) -> Surface | None:
    part = "roof" if opening.face == "roof" else "wall"
    own = [s for s in surfaces if s.name.startswith(f"{owner} ") and s.part == part]
    right = [s for s in own if opening.face in ("roof", s.face)]
    return max(right, key=lambda s: s.area_m2, default=None)


def _fits(field: str, opening: Opening, host: Surface) -> None:
    across = host.width_m or 1e9
    if (
        opening.width > across + 1e-9
        or opening.area_m2 > host.area_m2 + 1e-9
        or (host.height_m and opening.height > host.height_m + 1e-9)
    ):
        sides = f"{_both(across, 'length')} by {_both(host.height_m, 'length')}, " if host.width_m and host.height_m else ""
        raise InputError(field, _said(opening), f"does not fit the {host.name} of {sides}{_both(host.area_m2, 'area')}")


def _side_by_side(house: House, surfaces: tuple[Surface, ...], placed: list[Placed]) -> None:
    """What is higher than half its wall stands beside the next, boxes with it: together no wider.  Raises InputError."""
    widths: dict[str, float] = {}
    for box in house.boxes:
        if box.height > house.body.wall_height / 2:
            widths[f"body {box.attached} wall"] = widths.get(f"body {box.attached} wall", 0.0) + box.width
    for p in placed:
        host = _host(surfaces, p.opening.box or "body", p.opening)
        if host is None or not host.width_m or not host.height_m or p.opening.height <= host.height_m / 2:
            continue
        widths[host.name] = widths.get(host.name, 0.0) + p.opening.count * p.opening.width
        if widths[host.name] > host.width_m + 1e-9:
            side_by_side = "makes what stands side by side on the {}, {} wide, {} wide together"
            most, all_of = (_both(x, "length") for x in (host.width_m, widths[host.name]))
            raise InputError(
                p.field, _said(p.opening), side_by_side.format(host.name, most, all_of), "a smaller size, or a count less"
            )


def _said(opening: Opening) -> str:
    return f"{opening.count} x {' by '.join(units.text(x, 'length', 'ip') for x in (opening.width, opening.height))}"


def _both(value: float, kind: str) -> str:
    return f"{units.text(value, kind, 'ip')} ({units.text(value, kind, 'si')})"


def _cut_openings(surfaces: tuple[Surface, ...], placed: list[Placed]) -> tuple[Surface, ...]:
    left = list(surfaces)
    for p in placed:
        host = _host(tuple(left), p.opening.box or "body", p.opening)
        rest = (host.area_m2 if host else 0.0) - p.opening.area_m2
        if host is None or rest < -1e-9:
            wall = host.name if host else p.opening.face
            beyond = _both(-rest, "area")
            raise InputError(p.field, _said(p.opening), f"makes the openings together larger than the {wall}, by {beyond}")
        left[left.index(host)] = replace(host, area_m2=rest)
    return tuple(left)
