"""A maker's table as it is printed: what each number means, from the words above it, beside it and in its title.

Wide tables (Min, Rated, Max side by side), a row for each quantity, outdoor temperatures along the rows or over the columns,
kW or Btu/h or tons, COP or watts or EER, degF or degC, dry/wet-bulb pairs, `rated (min - max)`, thousands separators.
What the words do not say is asked for; nothing is guessed from the size of a number.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from heatcalc import units
from heatcalc.errors import InputError

BTU_WH = 3.412141633  # Btu in a watt-hour
BLANK = {"", "-", "--", "–", "—", "n/a", "na", "*"}
_DIGITS = r"(?:\d{1,3}(?:[, \u2009\u202f]\d{3})+|\d+)(?:\.\d+)?"
_NUMBER = re.compile(rf"([-+]?{_DIGITS})\s*((?:°|º|[a-z]|[a-z]/[a-z]|\s)*(?:/\s*[-+]?{_DIGITS}\s*[°a-z ]*)?)", re.IGNORECASE)
_RANGE = re.compile(rf"({_DIGITS})\s*\(\s*({_DIGITS})\s*[-~]\s*({_DIGITS})\s*\)")
_TEMPERATURE = re.compile(r"([-+]?\d+(?:\.\d+)?)\s*(?:°|deg)?\s?([fc])\b")
_PLACES = re.compile(
    r"(?P<outdoor>outdoor|outside|ambient|\bo[dw]b\b|\boat\b|\bod\b)|(?P<indoor>indoor|inside|room|entering|\b[ie][dw]b\b)"
)
_DRY, _WET = re.compile(r"\b[a-z]?db\b|dry"), re.compile(r"\b[a-z]?wb\b|wet")
WORDS: dict[str, tuple[tuple[str, str], ...]] = {
    "mode": (("heating", r"\bheat(ing)?\b"), ("cooling", r"\bcool(ing)?\b")),
    "level": (("min", r"\bmin(imum)?\b"), ("rated", r"\b(rated|nom|nominal)\b"), ("max", r"\bmax(imum)?\b")),
    "quantity": (
        ("other", r"\bcurrent\b|\bamps?\b|\(a\)|seer|hspf|\bspeed\b|\bhz\b|air ?flow|\bcfm\b"),
        ("sensible_heat_ratio", r"sensible (heat )?(ratio|share|factor)|\bshr\b|\bs/t\b"),
        ("sensible", r"sensible|\bshc\b|\bsc\b"),
        ("moisture_removal", r"moisture|dehumid|\bpints?\b"),
        ("eer", r"\beer2?\b|btu/wh?\b"),
        ("cop", r"\bcop2?\b|\bw/w\b"),
        ("power", r"power|input|\bpi\b|consumption|\bdraw\b|\bwatts\b"),
        ("capacity", r"capacity|\bt?h?c\b(?=.*btu)|\btc\b|output|btu|\bmbh\b|\btons?\b"),
        ("watts", r"\bk?w\b"),  # capacity or power: the rest of the point decides
    ),
    "unit": (
        ("kBtu/h", r"\bk ?btu|\bmbh\b|1,?000 ?btu"),
        ("Btu/h", r"btu(?!/w)"),
        ("ton", r"\btons?\b"),
        ("kW", r"\bkw\b"),
        ("W", r"\bw\b|\bwatts\b"),
        ("pint/h", r"pints?/h"),
        ("g/h", r"\bg/h"),
    ),
    "degrees": (("F", r"(°|deg|\b)\s?f\b"), ("C", r"(°|deg|\b)\s?c\b")),
}
UNITS_OF = {
    "capacity": ("Btu/h", "kBtu/h", "kW", "W", "ton"),
    "sensible": ("Btu/h", "kBtu/h", "kW", "W", "ton"),
    "power": ("W", "kW"),
    "watts": ("W", "kW"),
    "moisture_removal": ("pint/h", "g/h"),
}
NAMES = {
    "cop": "COP",
    "eer": "EER in Btu/Wh, taken as COP",
    "watts": "power, where the unit alone is printed,",
    "sensible": "sensible capacity",
}
WHICH_WATTS = "write which over the column or beside the row"
Meaning = dict[str, str]
Lines = list[tuple[int, list[str]]]
Rows = list[tuple[str, dict[str, object]]]


@dataclass
class Printed:
    """The points a file gives, each with its line, and what was understood on the way."""

    points: dict[tuple, dict[str, str]] = field(default_factory=dict)
    where: dict[tuple, str] = field(default_factory=dict)
    quantities: dict[str, list[str]] = field(default_factory=dict)  # by mode
    understood: dict[str, None] = field(default_factory=dict)


def read_printed(lines: Iterable[tuple[int, list[str]]], file: str) -> tuple[Rows, list[str]]:
    """Points as `(where, said)` and what was understood, from the lines of one or more printed tables.

    Raises InputError, which says what to write, where the words leave a number's meaning open.
    """
    printed = Printed()
    for title, head, body in _blocks([(i, [_plain(c) for c in cells]) for i, cells in lines], file):
        _read_table(printed, meaning(title), head, body, file)
    if not printed.points:
        advice = "e.g. a line Outdoor °F,Max capacity Btu/h,Max power W over the rows"
        raise InputError("table", None, "no header line and rows of numbers found", advice, file)
    said = [(printed.where[key], _finished(key, values, printed.where[key])) for key, values in printed.points.items()]
    return said, [*_summary(said, printed), *printed.understood]


def _plain(cell: str) -> str:
    return " ".join(cell.replace("−", "-").replace("–", "-").replace("º", "°").replace("˚", "°").split())


def meaning(words: str) -> Meaning:
    """What a piece of text says of a number: mode, level, quantity, unit, degrees, and temperatures by their place.

    `at` names the place whose temperature a column holds; a temperature without a place stands under `somewhere`.
    """
    text = words.lower().replace("_", " ").replace("btuh", "btu/h")
    said = {}
    for what, choices in WORDS.items():
        found = [name for name, pattern in choices if re.search(pattern, text)]
        if found and (what not in ("mode", "level") or len(found) == 1):
            said[what] = found[0]
    places = [(m.start(), m.lastgroup or "") for m in _PLACES.finditer(text)]
    temperatures = list(_TEMPERATURE.finditer(text))
    for t in temperatures:
        before = [name for start, name in places if start < t.start()] or [name for _, name in places[:1]] or ["somewhere"]
        wet = _WET.match(text[t.end() :].strip()) or (_WET.search(text) and not _DRY.search(text))
        said.setdefault(before[-1] + ("_wet_bulb" if wet else ""), f"{t[1]} {t[2].upper()}")
    if places and not temperatures:
        said["at"] = places[-1][1] + ("_wet_bulb" if _WET.search(text) and not _DRY.search(text) else "")
    elif "degrees" in said and not temperatures and "quantity" not in said:
        said["at"] = ""
    return said


def number_in(cell: str, where: str) -> str | None:
    """The cell's number without its separators, None where it holds other words; a decimal comma is asked about."""
    if pointed := units.without_comma(cell):
        raise InputError("table", cell, "the decimal sign is a point", f"write {pointed}", where)
    found = _NUMBER.fullmatch(cell) or _RANGE.fullmatch(cell)
    return _digits(found[1]) if found else None


def _digits(text: str) -> str:
    return re.sub(r"[, \u2009\u202f]", "", text)


def _over_columns(cells: list[str], where: str) -> bool:
    """Whether a line holds temperatures that stand over columns: `Outdoor °F | 47 | 17`, or temperatures alone."""
    filled = [c for c in cells if c]
    numbers = [c for c in filled if number_in(c, where) is not None]
    with_degrees = [c for c in numbers if _TEMPERATURE.search(c.lower())]
    if len(numbers) < 2 or len(filled) - len(numbers) > 1:
        return False
    first = meaning(filled[0]) if len(filled) > len(numbers) else {}
    return ("at" in first and "quantity" not in first) or (len(with_degrees) == len(numbers) and not first.get("mode"))


def _blocks(lines: Lines, file: str) -> Iterator[tuple[str, list[list[str]], Lines]]:
    """(title, header lines, body lines) of each table; a line without numbers after a body begins the next one."""
    title = ""
    head: list[list[str]] = []
    body: Lines = []
    for i, cells in lines:
        where = f"{file} line {i}"
        numbers = [c for c in cells if c and number_in(c, where) is not None]
        if numbers and not _over_columns(cells, where):
            body.append((i, cells))
            continue
        filled = [c for c in cells if c]
        lone = len(filled) == 1 and len(cells) - cells.count("") == 1 and (body or not head)
        if body:
            yield title, head, body
            head, body = [], []
        if lone:
            title = filled[0]
        else:
            head.append(cells)
    if body:
        yield title, head, body


def _read_table(printed: Printed, title: Meaning, head: list[list[str]], body: Lines, file: str) -> None:
    width = max(len(cells) for cells in [*head, *(c for _, c in body)])
    words = _column_words(head, body, width, file)
    columns = [meaning(w) for w in words]
    if columns[0].keys() == {"mode"}:  # "Heating" in the corner is the table's own
        title = columns[0] | title
    keys = {k for k, said in enumerate(columns) if "at" in said and "quantity" not in said}
    labels: dict[int, str] = {}
    for i, cells in body:
        where, padded = f"{file} line {i}", [*cells, *[""] * (width - len(cells))]
        numbers = {k: number_in(c, where) for k, c in enumerate(padded) if c.lower() not in BLANK}
        for k, cell in enumerate(padded):
            if cell.lower() not in BLANK and (k in keys or numbers[k] is None):
                labels = {j: words for j, words in labels.items() if j < k} | {k: cell}  # a merged cell holds below
        row: Meaning = {}
        for k, cell in labels.items():
            row |= _temperatures(columns[k], cell, words[k], where) if k in keys else meaning(cell)
        for k, number in numbers.items():
            if number is not None and k not in keys:
                if words and not words[k] and any(words):
                    raise InputError(
                        "table", ",".join(cells), "has a number under no name", "a comma inside a number? quote it", where
                    )
                said = title | columns[k] | row | _own(padded[k])
                for level, value in _levels(padded[k], number):
                    _put(printed, said | level, value, padded[k], words[k], where)


def _column_words(head: list[list[str]], body: Lines, width: int, file: str) -> list[str]:
    """The words over each column: all header lines but the last hold over the blanks to their right."""
    over = [""] * width
    for n, cells in enumerate(head):
        cells, held = _as_temperatures([*cells, *[""] * (width - len(cells))], body, file), ""
        for k, cell in enumerate(cells):
            held = cell or ("" if n == len(head) - 1 else held)
            over[k] = f"{over[k]} {held}".strip()
    return over


def _as_temperatures(cells: list[str], body: Lines, file: str) -> list[str]:
    """A header line of temperatures with its place and degrees in every cell."""
    if not _over_columns(cells, file):
        return cells
    first = next((k for k, c in enumerate(cells) if c and number_in(c, file) is None), None)
    said = meaning(cells[first]) if first is not None else {}
    beside = first is not None and all(number_in(row[first], file) is not None for _, row in body)  # it names the rows' own
    place = "indoor" if beside and said["at"].startswith("outdoor") else "" if beside else said.get("at", "")
    out = []
    for k, cell in enumerate(cells):
        degrees = meaning(cell).get("degrees") or said.get("degrees")
        if cell and k != first and degrees is None:
            raise InputError("table", cell, "°F or °C?", f'write it behind "{cells[first or 0]}"', file)
        out.append(
            cell if k == first and beside else "" if k == first or not cell else f"{place} {number_in(cell, file)} °{degrees}"
        )
    return out


def _temperatures(column: Meaning, cell: str, words: str, where: str) -> Meaning:
    """A cell of a temperature column: one value, or a dry/wet-bulb pair."""
    if not column["at"]:
        raise InputError("table", cell, "outdoor or indoor?", f'write it in the name of the column "{words}"', where)
    degrees = meaning(cell).get("degrees") or column.get("degrees")
    if degrees is None:
        raise InputError("table", cell, "°F or °C?", f'write it in the name of the column "{words}"', where)
    numbers = re.findall(r"[-+]?\d+(?:\.\d+)?", cell)
    if not 1 <= len(numbers) <= 2:
        raise InputError("table", cell, "is not a temperature", "one value, or dry/wet bulb such as 47/43", where)
    pair = dict(zip((column["at"], f"{column['at']}_wet_bulb"), numbers, strict=False))
    return {place: f"{number} {degrees}" for place, number in pair.items()}


def _own(cell: str) -> Meaning:
    """What stands behind a number in its own cell: a unit, and the quantity it gives away."""
    return {what: said for what, said in meaning(cell).items() if what in ("unit", "quantity")}


def _levels(cell: str, number: str) -> list[tuple[Meaning, str]]:
    """The values of a cell: one, or `rated (min - max)`."""
    found = _RANGE.fullmatch(cell)
    if found is None:
        return [({}, number)]
    return [({"level": level}, _digits(found[n])) for n, level in ((1, "rated"), (2, "min"), (3, "max"))]


ASKED = {
    "mode": "write heating or cooling over the table",
    "quantity": "write capacity, power or COP over the column",
    "level": "write min, rated or max over the column",
    "outdoor": "a column Outdoor °F, or the temperature in the column's name",
}


def _put(printed: Printed, said: Meaning, number: str, cell: str, words: str, where: str) -> None:
    """One number into its point; what its words leave open is asked for."""
    if said.get("quantity") == "other":
        printed.understood[f"not used: {words or cell}"] = None
        return
    if "somewhere" in said:
        said = {"indoor" if "outdoor" in said else "outdoor": said["somewhere"], **said}
    if "outdoor" not in said and "outdoor_wet_bulb" in said:
        wet = f"stands at an outdoor wet bulb of {said['outdoor_wet_bulb']} alone"
        raise InputError("table", cell, wet, "a column Outdoor °F DB, or both bulbs such as 47/43", where)
    for what, advice in ASKED.items():
        if what not in said:
            raise InputError(
                "table", cell, f"does not say its {what} {'temperature' if what == 'outdoor' else ''}", advice, where
            )
    quantity, unit = said["quantity"], said.get("unit")
    known = UNITS_OF.get(quantity, (unit,))
    if unit not in known:
        raise InputError(
            "table",
            cell,
            f"the {quantity.replace('_', ' ')} has no unit of its own",
            f"write {', '.join(map(str, known))}",
            where,
        )
    key = tuple((k, said[k]) for k in ("mode", "outdoor", "indoor", "indoor_wet_bulb", "level") if k in said)
    point = printed.points.setdefault(key, {})
    printed.where.setdefault(key, where)
    if quantity == "watts" and quantity in point:
        raise InputError("table", cell, "capacity or power?", WHICH_WATTS, where)
    if quantity in point:
        raise InputError(
            "table", cell, f"{quantity.replace('_', ' ')} is given twice at {said['outdoor']}, {said['level']}", "", where
        )
    point[quantity] = f"{number} {unit}" if quantity in UNITS_OF else number
    seen = printed.quantities.setdefault(said["mode"], [])
    name = NAMES.get(quantity, quantity.replace("_", " ")) + (f" in {unit}" if quantity in UNITS_OF else "")
    seen.extend([] if name in seen else [name])
    if any(k.startswith("outdoor_wet") for k in said):
        printed.understood["outdoor wet bulb read, not used"] = None


def _finished(key: tuple, values: dict[str, str], where: str) -> dict[str, object]:
    """A point as a unit file says it: tons, EER, sensible capacity and bare watts turned into its own fields."""
    said: dict[str, object] = dict(key)
    values = dict(values)
    if "watts" in values and ("capacity" in values) == ("power" in values):
        raise InputError("table", values["watts"], "capacity or power?", WHICH_WATTS, where)
    if "watts" in values:
        values["power" if "capacity" in values else "capacity"] = values.pop("watts")
    if "eer" in values:
        said["cop"] = float(values.pop("eer")) / BTU_WH
    if "sensible" in values and "capacity" in values:
        share = units.parse(values.pop("sensible"), "power") / units.parse(values["capacity"], "power")
        said["sensible_heat_ratio"] = round(share, 4)
    for what, text in values.items():
        said[what] = float(text) if what in ("cop", "sensible_heat_ratio") else text
    return said


def _summary(said: Rows, printed: Printed) -> list[str]:
    """One line a mode: how many points, at which outdoor temperatures and levels, which quantities in which units."""
    lines = []
    for mode, seen in printed.quantities.items():
        mine = [point for _, point in said if point["mode"] == mode]
        at = ", ".join(dict.fromkeys(f"{str(p['outdoor'])[:-2]} °{str(p['outdoor'])[-1]}" for p in mine))
        levels = ", ".join(dict.fromkeys(str(p["level"]) for p in mine))
        room = "" if any("indoor" in p for p in mine) else "; in the rating's room, for none is printed"
        lines.append(f"{mode}: {len(mine)} points at {at}; {levels}; {', '.join(seen)}{room}")
    return lines
