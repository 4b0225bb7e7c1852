"""A unit file: what a submittal sheet or an extended-performance table gives, as CSV or TOML, checked once.

TOML: nameplate keys, then `heating` and `cooling` lists of points.  CSV: one `key,value` line each for the
nameplate, an empty line, then a table whose column names carry the unit (outdoor_F, capacity_Btuh ...), or a
maker's tables as they are printed (`printed_table`).
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
from pydantic import Field

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.files import folder
from heatcalc.inputs.checked import Checked, check, quantity, read_text, read_toml
from heatcalc.inputs.unit.printed_table import read_printed
from heatcalc.inputs.unit.unit_points import Placed, Point, checked_points, laid_out, room_of
from heatcalc.inputs.unit.unit_rooms import first_room, with_rooms
from heatcalc.inputs.usual import asked_of_unit
from heatcalc.physics.unit.heat_pump import Curves, Unit, rule
from heatcalc.physics.unit.outdoor_unit import defrost_factor, frost_pattern, has_frost_point
from heatcalc.wording import Q, Said, Words, worded

__all__ = ["Curves", "Unit", "load_units", "read_unit"]

# column name in a CSV -> (field of a point, unit words put behind the number)
COLUMNS = {
    "mode": ("mode", None),
    "level": ("level", None),
    "cop": ("cop", None),
    "sensible_heat_ratio": ("sensible_heat_ratio", None),
    "outdoor_F": ("outdoor", "F"),
    "outdoor_C": ("outdoor", "C"),
    "indoor_F": ("indoor", "F"),
    "indoor_C": ("indoor", "C"),
    "indoor_wet_bulb_F": ("indoor_wet_bulb", "F"),
    "indoor_wet_bulb_C": ("indoor_wet_bulb", "C"),
    "capacity_Btuh": ("capacity", "Btu/h"),
    "capacity_kBtuh": ("capacity", "kBtu/h"),
    "capacity_W": ("capacity", "W"),
    "capacity_kW": ("capacity", "kW"),
    "power_W": ("power", "W"),
    "power_kW": ("power", "kW"),
    "moisture_removal_pint_h": ("moisture_removal", "pint/h"),
    "moisture_removal_g_h": ("moisture_removal", "g/h"),
}
_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}
COMMA = "a comma inside a number? quote it, or leave it out"
LEAST_PRINTED = {"capacity_Btuh": 60, "capacity_W": 60, "power_W": 9}  # below: the thousands of a number cut at its comma
MOST_POINTS, MOST_LINES = 1000, 10_000
REFRIGERANTS = Literal["R-32", "R-454B", "R-410A"]


class Nameplate(Checked):
    """The nameplate and the head of a submittal sheet."""

    name: str = Field(min_length=1, max_length=80)
    size: quantity("power", 1000, 30000, "single-zone units of 4 to 60 kBtu/h")  # type: ignore[valid-type]
    unit_class: Literal["standard", "cold"] = Field("standard", alias="class")
    voltage: quantity("voltage", 100, 250)  # type: ignore[valid-type]
    lowest_voltage: quantity("voltage", 80, 250) | None = None  # type: ignore[valid-type]
    mca: quantity("current", 1, 60)  # type: ignore[valid-type]
    mop: quantity("current", 5, 80)  # type: ignore[valid-type]
    refrigerant: REFRIGERANTS
    charge: quantity("mass", 0.1, 10)  # type: ignore[valid-type]
    lowest_heating: quantity("temperature", -40, 15)  # type: ignore[valid-type]
    lowest_cooling: quantity("temperature", -40, 30) | None = None  # type: ignore[valid-type]
    pan_heater: quantity("electric power", 0, 400) | None = None  # type: ignore[valid-type]
    standby: quantity("electric power", 0, 200) | None = None  # type: ignore[valid-type]
    crankcase: quantity("electric power", 0, 200) | None = None  # type: ignore[valid-type]
    sound: float | None = Field(None, ge=10, le=90, description="the unit's own printed indoor sound, dB(A)")
    defrost: Literal["integrated", "not", "unknown"] = Field(
        "unknown", description="whether the heating rows hold their defrosts: the maker's table says so, or the maker does"
    )
    generic: Literal["yes", "no"] | bool = False
    source: str = Field(min_length=3, max_length=500)


PLATE_KEYS = {field.alias or name for name, field in Nameplate.model_fields.items()}
PRINTED_KEYS = {
    "model": "name",
    "nominal_size": "size",
    "minimum_circuit_ampacity": "mca",
    "min_circuit_ampacity": "mca",
    "minimum_voltage": "lowest_voltage",
    "mocp": "mop",
    "max_fuse_size": "mop",
    "maximum_overcurrent_protection": "mop",
    "refrigerant_charge": "charge",
    "lowest_heating_temperature": "lowest_heating",
    "lowest_cooling_temperature": "lowest_cooling",
}


def load_units(path: Path | str | None = None) -> dict[str, Unit]:
    """Units by name: the generic classes (None), every unit file of a folder, or one file."""
    if path is None:
        return {unit.name: unit for unit in _shelf()}
    place = Path(path)
    if not place.is_dir():
        unit = read_unit(place)
        return {unit.name: unit}
    files = sorted(f for f in place.iterdir() if f.suffix.lower() in (".csv", ".toml"))
    if not files:
        raise InputError("units", str(path), "no .csv or .toml unit file in this folder")
    return units_named(*files)


def units_named(*words: Path | str) -> dict[str, Unit]:
    """The units of files, of folders of files, and generic ones by their names; a name stands once."""
    found: dict[str, Unit] = {}
    for word in words:
        for name, unit in _units_named(str(word)).items():
            if name in found:
                raise InputError("unit", str(word), f"a unit named {name} is there already", "rename one")
            found[name] = unit
    return found


def _units_named(word: str) -> dict[str, Unit]:
    if Path(word).suffix.lower() in (".csv", ".toml") or Path(word).exists():
        return load_units(word)
    shelf = load_units()
    if word in shelf:
        return {word: shelf[word]}
    near = nearest(word, list(shelf)) or "run heatcalc unit for the list"
    raise InputError("unit", word, "neither a unit file nor a generic class", near)


@cache
def _shelf() -> tuple[Unit, ...]:
    """The generic classes, read once."""
    return tuple(read_unit(f) for f in sorted(folder("workbooks").joinpath("units").glob("G*.csv")))


@cache
def _classes(mode: str) -> tuple[Curves, ...]:
    """One mode of every class of the shelf, whose spread fills what a table leaves out."""
    return tuple(getattr(unit, mode) for unit in load_units().values())


def read_unit(path: Path | str) -> Unit:
    """One unit from a .csv or .toml file; the first problem is one line that names file, row and field."""
    file = Path(path)
    if file.suffix.lower() not in (".csv", ".toml"):
        raise InputError("unit file", str(path), "a unit file ends in .csv or .toml")
    said, points, understood = _said_in_toml(file) if file.suffix.lower() == ".toml" else _said_in_csv(file)
    if len(points) > MOST_POINTS:
        raise InputError(
            "points", len(points), f"at most {MOST_POINTS} are read", "leave out some of the indoor temperatures", file.name
        )
    said, voltages = _one_voltage(said)
    plate = check(Nameplate, said, file.name)
    if plate.mca > plate.mop:
        raise InputError("mca", f"{plate.mca:g} A", f"is above mop ({plate.mop:g} A)", "are the two swapped?", file.name)
    if plate.lowest_voltage is not None and plate.lowest_voltage >= plate.voltage:
        raise InputError(
            "lowest_voltage", f"{plate.lowest_voltage:g} V", f"is not below voltage ({plate.voltage:g} V)", "", file.name
        )
    unit = _unit(plate, [(check(Point, point, where), where) for where, point in points], file.name, voltages)
    return replace(unit, understood=tuple(understood))


def _one_voltage(said: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """A submittal's pair of voltages ("208-230 V") as the higher of the two, and a remark that says so."""
    pair = re.match(r"(\d{3}) ?[-/\u2013] ?(\d{3})(?!\d)[ V,/\-0-9a-zA-Z]*$", str(said.get("voltage", "")).strip())
    if pair is None:
        return said, []
    volts = max(pair[1], pair[2])
    return said | {"voltage": f"{volts} V"}, [f"{pair[1]}/{pair[2]} V taken as the {volts} V class"]


def _said_in_toml(file: Path) -> tuple[dict[str, Any], list[tuple[str, dict]], list[str]]:
    said = read_toml(file)
    points = []
    for mode in ("heating", "cooling"):
        misspelt = next((key for key in said if key not in Nameplate.model_fields and nearest(key, [mode])), None)
        if mode not in said and misspelt:
            raise InputError(misspelt, None, "unknown key", nearest(misspelt, [mode]), file.name)
        rows = said.pop(mode, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise InputError(
                mode,
                None,
                'is a list of points, e.g. { outdoor = "47 F", level = "max", capacity = "12 kBtu/h", power = "1 kW" }',
                "",
                file.name,
            )
        points += [(f"{file.name} {mode} point {i}", {"mode": mode, **row}) for i, row in enumerate(rows, 1)]
    return said, points, []


def _said_in_csv(file: Path) -> tuple[dict[str, Any], list[tuple[str, dict]], list[str]]:
    content = read_text(file)
    if content.count("\n") > MOST_LINES:
        raise InputError("unit file", file.name, f"has more than {MOST_LINES:,} lines")
    try:
        rows = list(csv.reader(io.StringIO(content, newline="")))
    except csv.Error as problem:
        raise InputError("unit file", file.name, f"is not a CSV ({problem})") from None
    lines = [(i, [cell.strip() for cell in row]) for i, row in enumerate(rows, 1) if any(cell.strip() for cell in row)]
    lines = [(i, row) for i, row in lines if not row[0].startswith("#")]
    head = next((k for k, (_, row) in enumerate(lines) if "mode" in row), None)
    first = _first_table_line(lines) if head is None else head
    if other := _separator([row for _, row in lines[first:]]):
        raise InputError("table", None, other, "", file.name)
    said: dict[str, Any] = {_key(row[0]): _nameplate_cell(row, f"{file.name} line {i}") for i, row in lines[:first]}
    said = {key: value if key != "sound" else _number(value, key, file.name) for key, value in said.items() if value}
    if head is None:
        return said, *read_printed(lines[first:], file.name)
    columns = _columns(lines[head][1], file.name)
    points = [(f"{file.name} line {i}", _csv_point(columns, row, f"{file.name} line {i}")) for i, row in lines[head + 1 :]]
    return said, points, []


def _key(words: str) -> str:
    """A nameplate key as sheets print it."""
    key = words.strip().rstrip(":").lower().replace(" ", "_")
    return PRINTED_KEYS.get(key, key if key in PLATE_KEYS else words)


def _first_table_line(lines: list[tuple[int, list[str]]]) -> int:
    """Where a file without the columns of a unit file begins its printed tables: after the last nameplate line at its top."""
    return next((k for k, (_, row) in enumerate(lines) if _key(row[0]) not in PLATE_KEYS or not any(row[1:])), len(lines))


def _nameplate_cell(row: list[str], where: str) -> str:
    """What stands behind the key; text may hold commas, a number may not unless it is quoted."""
    cells = [cell for cell in row[1:] if cell]
    if len(cells) > 1 and row[0] not in ("name", "source"):
        raise InputError(row[0], ",".join(cells), "has one cell too many", COMMA, where)
    return ", ".join(cells)


def _separator(rows: list[list[str]]) -> str:
    """What to do about a table whose cells are separated by something else than commas."""
    content = "\n".join(",".join(row) for row in rows)
    counts = {name: content.count(mark) for mark, name in _SEPARATORS.items()}
    other = max(counts, key=lambda name: counts[name])
    return f"its cells are separated by {other}: save it with commas" if other != "commas" and counts[other] else ""


def _columns(names: list[str], where: str) -> list[tuple[str, str | None] | None]:
    names = list(names)
    while names and not names[-1]:
        names.pop()
    for name in names:
        if name not in COLUMNS:
            raise InputError(
                "column",
                name,
                "unknown column",
                _with_its_unit(name) or nearest(name, list(COLUMNS)) or "a column name carries its unit, e.g. capacity_Btuh",
                where,
            )
    fields = [COLUMNS[name][0] for name in names]
    if len(set(fields)) < len(fields):
        twice = next(f for f in fields if fields.count(f) > 1)
        raise InputError("column", twice, "is given twice", "", where)
    return [COLUMNS[name] for name in names]


def _with_its_unit(name: str) -> str:
    """The column for a quantity named without its unit, as a US submittal prints it."""
    found = next((column for column in COLUMNS if name and column.rpartition("_")[0] == name.lower()), "")
    return f'did you mean "{found}"?' if found else ""


def _csv_point(columns: list, row: list[str], where: str) -> dict[str, object]:
    point: dict[str, object] = {}
    if any(row[len(columns) :]) or _cut_in_two(columns, row):
        raise InputError("row", ",".join(row), "has one cell too many", COMMA, where)
    for (field, unit), cell in zip(columns, row, strict=False):
        if not cell or cell in ("-", "--", "n/a"):
            continue
        number = field in ("cop", "sensible_heat_ratio")
        point[field] = _number(cell, field, where) if number else cell if unit is None else f"{cell} {unit}"
    return point


def _cut_in_two(columns: list, row: list[str]) -> bool:
    """Whether a number such as 9,200 stands in two cells: too few thousands for its column, then three digits."""
    least = [LEAST_PRINTED.get(f"{field}_{str(unit).replace('/', '')}", 0) for field, unit in columns]
    pairs = zip(least, row, row[1:], strict=False)
    return any(cell.isdecimal() and int(cell) <= most and re.fullmatch(r"\d{3}", after) for most, cell, after in pairs)


def _number(cell: str, field: str, where: str) -> float:
    try:
        return float(cell)
    except ValueError:
        raise InputError(field, cell, "is not a number", "", where) from None


def _unit(plate: Nameplate, points: Placed, where: str, remarks: Sequence[Said]) -> Unit:
    assumed: list[Said] = list(remarks)
    lowest_cooling = _or_rule(plate.lowest_cooling, "lowest_cooling", "lowest cooling {}", "temperature", assumed)
    points, tested = _defrosts(plate, points, assumed)
    heating, cooling = _both_curves(plate, points, where, lowest_cooling, assumed)
    pan = plate.pan_heater
    if pan is None:
        pan = 0.0 if plate.unit_class == "standard" else rule("pan_heater_cold_class")
        assumed.append(f"base-pan heater {pan:.0f} W")
    unit = Unit(
        name=plate.name,
        size_kBtuh=round(units.convert(plate.size, "watt", "kBtu/hour"), 4),
        unit_class=plate.unit_class,
        volts=plate.voltage,
        mca_A=plate.mca,
        mop_A=plate.mop,
        refrigerant=plate.refrigerant,
        charge_kg=plate.charge,
        lowest_heating_C=plate.lowest_heating,
        lowest_cooling_C=lowest_cooling,
        pan_heater_W=pan,
        standby_W=_or_rule(plate.standby, "standby", "standby {}", "electric power", assumed),
        crankcase_W=_or_rule(plate.crankcase, "crankcase", "crankcase heater {}", "electric power", assumed),
        generic=plate.generic in (True, "yes"),
        source=plate.source,
        tested_frost_point=tested,
        heating=heating,
        cooling=cooling,
        assumed=tuple(assumed),
        sound_dBA=plate.sound,
        defrost=plate.defrost,
        lowest_volts=plate.lowest_voltage,
    )
    return unit if unit.generic else replace(unit, assumed=(*unit.assumed, *asked_of_unit(unit)))


def _defrosts(plate: Nameplate, points: Placed, assumed: list[Said]) -> tuple[Placed, bool]:
    """Heating rows with their defrosts, and whether they were printed so; asks where the file does not say.

    Rows said to be without lose, where frost forms, what the table defrost says at 85 % humidity; unsaid, they stay as printed.
    """
    heating = [p for p, _ in points if p.mode == "heating"]
    if plate.defrost == "not":
        assumed.append(
            "heating rows without their defrosts: capacity by the factors of table defrost where frost forms, 0.85 to 1"
        )
        return [(_with_defrosts(p), w) for p, w in points], False
    if plate.defrost == "unknown" and plate.generic not in (True, "yes"):
        assumed.append(Words("defrost: ask whether the heating rows hold it, write defrost = integrated or not", _hint(heating)))
    return points, has_frost_point([p.outdoor for p in heating])


def _hint(heating: list[Point]) -> Said:
    """What the top level's rows near 35 F look like."""
    rooms = {room_of(p) for p in heating}
    top = {round(p.outdoor, 9): p.capacity for p in sorted(heating, key=lambda p: p.capacity)}
    ratio = frost_pattern(np.array(sorted(top)), np.array([top[t] for t in sorted(top)])) if len(rooms) == 1 else None
    if ratio is None:
        return ""
    looks = "integrated" if ratio < rule("frost_not_seen") else "not"
    return worded(
        "; near {} they stand at {:.2f} of the straight line, which looks {}", Q(5.0 / 3.0, "temperature"), ratio, looks
    )


def _with_defrosts(p: Point) -> Point:
    if p.mode == "cooling" or not has_frost_point([p.outdoor]):  # colder rows: `at_site`
        return p
    changed = {"capacity": p.capacity * float(defrost_factor(p.outdoor)), "power": p.input_W, "cop": None}
    return Point.model_construct(**{**dict(p), **changed})


def _both_curves(plate: Nameplate, points: Placed, where: str, lowest_cooling_C: float, assumed: list[Said]):
    rooms = {mode: checked_points(mode, points, plate, where) for mode in ("heating", "cooling")}
    (heating, brought), (cooling, also) = first_room(rooms["heating"]), first_room(rooms["cooling"])
    if not any(p.input_W for p in heating + cooling):
        raise InputError("power", None, "no point has power or COP", "give it at the rated points at least", where)
    try:
        cold, cold_remarks = laid_out("heating", heating, plate.lowest_heating, _classes)
        warm, warm_remarks = laid_out("cooling", cooling, lowest_cooling_C, _classes)
    except InputError as problem:
        raise InputError(problem.field, problem.value, problem.allowed, problem.meant, problem.where or where) from None
    assumed += [*brought, *also, *cold_remarks, *warm_remarks]
    return with_rooms(cold, rooms["heating"][1:]), with_rooms(warm, rooms["cooling"][1:])


def _or_rule(value: float | None, name: str, words: str, kind: str, assumed: list[Said]) -> float:
    """The value said, or the rule's, which `words` then says with it."""
    if value is not None:
        return value
    assumed.append(worded(words, Q(rule(name), kind)))
    return rule(name)
