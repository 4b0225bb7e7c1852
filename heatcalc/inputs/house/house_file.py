"""From a TOML file to a checked `House`: packages first, then `--set key=value`, then the check."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import check, read_toml
from heatcalc.inputs.house.house_record import House, Origin, Parts
from heatcalc.resources import folder

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
    from heatcalc.inputs.house.house_shape import shell_of

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
        known = ", ".join(packages) or "none in this file"
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
