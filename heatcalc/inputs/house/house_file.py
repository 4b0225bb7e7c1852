"""From a TOML file to a checked `House` (packages first, then `--set key=value`, then the check), and its shell: every surface
with its net area, every opening with the surface it sits in.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.files import folder
from heatcalc.inputs.checked import check, read_toml
from heatcalc.inputs.house.house_pieces import Opening
from heatcalc.inputs.house.house_record import Box, House, Origin, Parts
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


DEMO = "plover-26g.toml"
LABEL = ("u_value", "shgc")
DEEPEST, MOST_LETTERS = 8, 10_000
BESIDE = ("price",)  # what a package or an option says besides its changes to the house


def load_house(file: str | Path | None = None, changes: Sequence[str] = (), package: str | None = None) -> House:
    """The house in `file` (None = the demo house) with `changes` such as "air.tightness=3.0 ACH50" applied.

    A bare name of a shipped house is found too.  Raises InputError: one line that names the field.
    """
    path = house_path(file)
    said = read_toml(path)
    return house_from(said, changes, package, str(path.name))


def house_path(file: str | Path | None) -> Path:
    """`file` itself, or the shipped house of that name."""
    if file is None:
        return folder("workbooks") / "houses" / DEMO
    path = Path(file)
    shipped = folder("workbooks") / "houses" / f"{path.name.removesuffix('.toml')}.toml"
    return shipped if not path.exists() and path.parent == Path(".") and shipped.exists() else path


def house_from(said: Mapping[str, Any], changes: Sequence[str] = (), package: str | None = None, where: str = "house") -> House:
    """A checked House from a mapping as TOML gives it; `[packages.NAME]` tables are option packages."""
    mapping = dict(said)
    packages = table_of_tables(mapping.pop("packages", {}), "packages", where)
    table_of_tables(mapping.pop("options", {}), "options", where)
    wanted = [split_change(c) for c in changes]
    _once(wanted, package)
    named = package or next((v for k, v in wanted if k == "package"), None) or mapping.get("package")
    if named is not None:
        mapping = merged(mapping, _package(packages, str(named), where)) | {"package": str(named)}
    described = mapping
    for key, value in wanted:
        if key != "package":
            mapping = changed(mapping, key.split("."), value, key)
    mapping = without_old_labels(described, mapping)
    house = check(House, mapping, where)

    shell_of(house)  # a window larger than its wall is refused here, with the file's name
    house._origin = Origin(said, tuple(changes), where)
    return house


def _once(wanted: Sequence[tuple[str, Any]], package: str | None) -> None:
    """One value for one key: a later one would win in silence.  Raises InputError."""
    keys = [key for key, _ in wanted]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice is not None:
        raise InputError("--set", twice, "is given twice", "say it once")
    if package is not None and "package" in keys:
        raise InputError("--package", package, "is given twice, the other time with --set", "say it once")


def table_of_tables(said: Any, name: str, where: str = "house") -> Mapping[str, Mapping[str, Any]]:
    """`said` as TOML gives [NAME.ENTRY] tables; prices in it are numbers, US dollars."""
    if not isinstance(said, Mapping) or not all(isinstance(p, Mapping) for p in said.values()):
        raise InputError(name, None, f"is a table of tables, [{name}.NAME]", "", where)
    for entry, inner in said.items():
        price = inner.get("price", 0.0)
        if isinstance(price, bool) or not isinstance(price, (int, float)) or not abs(price) <= 1e6:
            raise InputError(f"{name}.{entry}.price", price, "is a number of US dollars, e.g. price = 3900", "", where)
    return said


def changes_of(entry: Mapping[str, Any]) -> dict[str, Any]:
    """What a package or an option changes in the house."""
    return {key: value for key, value in entry.items() if key not in BESIDE}


def _package(packages: Mapping[str, Any], name: str, where: str) -> Mapping[str, Any]:
    if name not in packages:
        known = ", ".join(packages) or f"none in this file; a table [packages.{name}] makes one"
        raise InputError("package", name, f"no such package; known: {known}", nearest(name, list(packages)), where)
    return changes_of(packages[name])


def merged(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`base` with the tables of `over` laid over it, key by key; a swapped window or door loses its old label."""
    return without_old_labels(base, _laid_over(base, over))


def _laid_over(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    result = dict(base)
    for key, value in over.items():
        both = isinstance(value, Mapping) and isinstance(result.get(key), Mapping)
        result[key] = _laid_over(result[key], value) if both else value
    return result


def without_old_labels(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """`after` without the label values of windows and doors that it changed for another type and whose label it kept."""
    result = dict(after)
    for table, kind in (("windows", "window"), ("doors", "door")):
        old, new = before.get(table), after.get(table)
        if isinstance(old, list) and isinstance(new, list):
            pairs = zip(old, new, strict=False)
            fresh = [_relabelled(a, b, _type_of(before, a, kind) != _type_of(after, b, kind)) for a, b in pairs]
            result[table] = [*fresh, *new[len(fresh) :]]
    return result


def _type_of(mapping: Mapping[str, Any], opening: Any, kind: str) -> Any:
    """The type an opening has: its own, or the house's."""
    house = mapping.get("assemblies")
    of_house = house.get(kind) if isinstance(house, Mapping) else None
    own = opening.get("type") if isinstance(opening, Mapping) else None
    return own or of_house or Parts.model_fields[kind].default


def _relabelled(before: Any, after: Any, swapped: bool) -> Any:
    if not swapped or not isinstance(before, Mapping) or not isinstance(after, Mapping):
        return after
    return {k: v for k, v in after.items() if k not in LABEL or before.get(k) != v}


def split_change(text: str) -> tuple[str, Any]:
    """`key=value` as a person types it; the value is read as TOML where it is one, else as text."""
    key, sign, value = text.partition("=")
    if not sign or not key.strip():
        raise InputError("--set", text, "is written key=value", 'e.g. --set air.tightness="3.0 ACH50"')
    if key.count(".") > DEEPEST or len(text) > MOST_LETTERS:
        raise InputError("--set", text, "is longer or deeper than any value of a house file")
    try:
        return key.strip(), tomllib.loads(f"x = {value.strip()}")["x"]
    except (ValueError, RecursionError):
        return key.strip(), value.strip()


def changed(mapping: Mapping[str, Any], path: Sequence[str], value: Any, key: str) -> dict[str, Any]:
    """A copy of `mapping` with the value at a dotted path replaced; list items are named by their number."""
    first, rest = path[0], path[1:]
    if not rest:
        return {**mapping, first: value}
    inner = mapping.get(first, {})
    if isinstance(inner, list):
        return {**mapping, first: _changed_list(inner, rest, value, key)}
    if not isinstance(inner, Mapping):
        raise InputError(key, value, f"{first} is not a table")
    return {**mapping, first: changed(inner, rest, value, key)}


def _changed_list(items: list, path: Sequence[str], value: Any, key: str) -> list:
    numbered = path[0] in map(str, range(len(items)))
    if not numbered or len(path) < 2 or not isinstance(items[int(path[0])], Mapping):
        raise InputError(key, value, f"name one of the {len(items)} entries by its number from 0, e.g. windows.0.width")
    n = int(path[0])
    return [changed(item, path[1:], value, key) if i == n else item for i, item in enumerate(items)]
