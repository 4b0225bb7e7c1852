"""A meter's export as it comes: lines of an account above the header, other separators, hours side by side, a total below."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.log.log_moments import MOST_CELL, ROLE, clock_columns, plain_head

MOST_ROWS, LEAST_ROWS, MOST_ABOVE = 500_000, 3, 40
KINDS = {  # what a column may hold -> kind of quantity, words of its head
    "energy": (
        "energy",
        "energy|used|usage|consumption|kwh|delivered|import|imported|total usage|net usage|value|units used|quantity",
    ),
    "power": ("power", "power|watts|load|demand"),
    "reading": ("energy", "reading|counter|register|meter reading|index|meter read|total reading|cumulative"),
    "outdoor": (
        "temperature",
        "outdoor|outdoors|outside|outdoor temperature|dry bulb|temperature|temp|avg temp|average temperature|"
        "average temp|avg temperature|mean temperature|avg daily temp|weather|average daily temperature|outside temperature",
    ),
    "indoor": ("temperature", "indoor|indoors|inside|room|indoor temperature|room temperature|thermostat|inside temperature"),
}
NAMES = {word: name for name, (_, words) in KINDS.items() for word in words.split("|")}
UNITS = {
    "energy": {"kwh": "kilowatt_hour", "wh": "watt_hour"},
    "power": {"w": "watt", "kw": "kilowatt"},
    "temperature": {"f": "degF", "°f": "degF", "c": "degC", "°c": "degC", "degf": "degF", "degc": "degC"},
}
MONEY = re.compile(r"\b(cost|price|charges?|amount|rate|usd|bill amount|co2|carbon)\b|\$", re.I)
SOLD = re.compile(r"\b(export|exported|generation|generated|received|to grid|solar|surplus)\b", re.I)
UNIT_METER = re.compile(r"heat ?pump|mini ?-?split|hvac|ductless|\bac\b|\ba/c\b|branch|circuit", re.I)
HOUSE_METER = re.compile(
    r"usage|consumption|delivered|import|account|service|utility|net|whole|main|house|premise|meter number|bill", re.I
)
HEAT_WORDS = ("kwh", "wh", "kw", "f", "c", "w")


@dataclass(frozen=True, eq=False)
class Export:
    """A table of readings: cells by role of its times, cells and unit of each quantity, what was understood."""

    said: dict[str, str]
    times: dict[str, list[str]]
    columns: dict[str, tuple[list[str], str]]
    meter: str  # "unit", "house" or "" where neither its words nor its form tell
    report: tuple[str, ...]


def read_export(text: str, wanted: tuple[str, ...], keys: dict[str, tuple[str, ...]], file: str) -> Export:
    """The table in a text, however its meter writes it.

    `wanted` is what it must hold one of; `keys` are the `# key: value` lines it may carry.
    Raises InputError in one line: no rows, rows of different lengths, no time, nothing wanted, a unit missing.
    """
    said, lines = _comments([line for line in text.splitlines() if line.strip(" ,;\t")], keys)
    if len(lines) > MOST_ROWS:
        raise InputError("log", file, f"has {len(lines):,} rows; at most {MOST_ROWS:,} are read")
    table, mark = _cells(lines, file)
    at = _header(table, wanted, file)
    above, header, rows = table[:at], [c.strip()[:MOST_CELL] for c in table[at]], table[at + 1 :]
    rows, notes = _whole_rows(rows, len(header), at, file)
    header, rows, tall = _tall(header, rows)
    times, columns = _roles(header, rows), _quantities(header, rows, wanted, file, mark)
    words = " ".join(c for row in (*above, header) for c in row)
    return Export(said, times, columns, _meter(words, header, times, said), (*notes, *tall, *_solar(header, rows)))


def _comments(lines: list[str], keys: dict[str, tuple[str, ...]]) -> tuple[dict[str, str], list[str]]:
    said: dict[str, str] = {}
    while lines and lines[0].startswith("#"):
        key, colon, value = lines.pop(0).lstrip("# ").partition(":")
        if colon and key.strip().lower() in keys:
            said[key.strip().lower()] = value.strip().lower()
    return said, lines


def _cells(lines: list[str], file: str) -> tuple[list[list[str]], str]:
    """Rows of cells, and the decimal sign: a comma where semicolons part the cells."""
    head = "\n".join(lines[:MOST_ABOVE])
    mark = max(",;\t", key=head.count)
    try:
        table = list(csv.reader(lines, delimiter=mark))
    except csv.Error as problem:
        raise InputError("log", file, f"is not a CSV ({problem})") from None
    cells = [c for row in table[1:MOST_ABOVE] for c in row]
    comma = mark != "," and any(re.fullmatch(r"\d+,\d{1,2}|\d+,\d{4,}|0,\d+", c.strip()) for c in cells)
    return table, "," if comma else "."


def _header(table: list[list[str]], wanted: tuple[str, ...], file: str) -> int:
    """The row whose heads name a time and something wanted: the first such among the upper lines, else the first."""
    if len(table) <= LEAST_ROWS:
        held = f"holds {len(table) - 1 if len(table) > 1 else 'no'} rows of readings; at least {LEAST_ROWS}"
        raise InputError("log", file, held, "see heatcalc log --help for the format")
    for at, row in enumerate(table[:MOST_ABOVE]):
        timed = any(plain_head(c) in ROLE for c in row)
        if timed and (clock_columns(row) or any(_named(c, wanted) for c in row)):
            return at
    return 0


def _named(cell: str, wanted: tuple[str, ...]) -> str:
    """The quantity that a head names, or an empty word."""
    head = plain_head(cell)
    name = NAMES.get(head, "")
    if not name and not MONEY.search(cell) and not SOLD.search(cell):
        tokens = set(re.split(r"[^a-z]+", cell.lower()))
        bare = " ".join(t for t in head.split() if t not in HEAT_WORDS)
        name = NAMES.get(bare, "") or ("energy" if {"kwh", "wh"} & tokens else "power" if {"kw", "w"} & tokens else "")
    return name if name in wanted or name in ("outdoor", "indoor") else ""


def _whole_rows(rows: list[list[str]], width: int, above: int, file: str) -> tuple[list[list[str]], tuple[str, ...]]:
    """Rows as long as the header: empty cells at the end may be missing, lines of a total below are left out."""
    below = 0
    while rows and (re.match(r"\s*(grand )?(sub)?totals?\b|\s*$", rows[-1][0][:MOST_CELL], re.I) or _footnote(rows[-1], width)):
        rows, below = rows[:-1], below + 1
    rows = [row[:width] if not any(c.strip() for c in row[width:]) else row for row in rows]
    short = next((n for n, row in enumerate(rows, above + 2) if len(row) != width), None)
    if short is not None:
        raise InputError("log", file, f"line {short} has {len(rows[short - above - 2])} cells where the header has {width}")
    notes = [f"{above} lines above the header passed over"] if above else []
    return rows, (*notes, *([f"{below} lines below the rows (a total) left out"] if below else []))


def _footnote(row: list[str], width: int) -> bool:
    return len(row) < width and sum(bool(c.strip()) for c in row) == 1 and width > 2


def _tall(header: list[str], rows: list[list[str]]) -> tuple[list[str], list[list[str]], tuple[str, ...]]:
    """Hours side by side become one row an hour."""
    clocks = clock_columns(header)
    if not clocks:
        return header, rows, ()
    day = next(k for k, c in enumerate(header) if ROLE.get(plain_head(c)) in ("day", "stamp", "read"))
    tall = [[row[day], f"{int(hour):02d}:{round(hour % 1 * 60):02d}", row[at]] for row in rows for at, hour in clocks]
    return ["date", "hour", "usage (kWh)"], tall, (f"{len(clocks)} columns of each day read as its hours",)


def _roles(header: list[str], rows: list[list[str]]) -> dict[str, list[str]]:
    """Cells of every column of times by its role; "1:00 AM - 2:00 AM" is a begin and an end."""
    found: dict[str, list[str]] = {}
    for k, cell in enumerate(header):
        role = ROLE.get(plain_head(cell.replace("_", " ")))
        if role and role not in found and any(row[k].strip() for row in rows):
            found[role] = [row[k] for row in rows]
    for role in ("clock", "stamp", "day"):
        pairs = [re.split(r"\s+(?:-|to|–)\s+", c.strip()) for c in found.get(role, [])]
        if pairs and all(len(p) == 2 for p in pairs):
            found |= {"begin": [p[0] for p in pairs], "end": [p[1] for p in pairs]}
            del found[role]
    return found


def _quantities(
    header: list[str], rows: list[list[str]], wanted: tuple[str, ...], file: str, mark: str
) -> dict[str, tuple[list[str], str]]:
    found: dict[str, tuple[list[str], str]] = {}
    beside = next((k for k, c in enumerate(header) if plain_head(c) in ("units", "unit", "uom", "unit of measure")), None)
    for k, cell in enumerate(header):
        if ROLE.get(plain_head(cell)) and not _unit_in(cell, "energy"):
            continue
        name = _named(cell, wanted)
        if name and name not in found:
            unit = _unit(name, cell, rows[0][beside] if beside is not None and rows else "", file)
            found[name] = ([_number_words(row[k], mark) for row in rows], unit)
    seen = [plain_head(c).replace(" ", "_") for c in header]
    if not any(ROLE.get(plain_head(c.replace("_", " "))) for c in header):
        raise InputError("log", file, "has no column 'time'", nearest("time", seen).replace("did you mean", "is it"))
    if not set(wanted) & set(found):
        lacks = f"has no column {' or '.join(map(repr, wanted))}"
        raise InputError("log", file, lacks, nearest(wanted[0], seen).replace("did you mean", "is it"))
    return found


def _unit_in(cell: str, kind: str) -> str:
    """The unit that a head names in brackets, behind an underscore or among its words."""
    known = UNITS[kind]
    tokens = [t for t in re.split(r"[\s\[\]()_,/]+", cell.lower()) if t]
    return next((known[t] for t in reversed(tokens) if t in known), "")


def _unit(name: str, cell: str, beside: str, file: str) -> str:
    kind = KINDS[name][0]
    unit = _unit_in(cell, kind) or UNITS[kind].get(beside.strip().lower(), "")
    if not unit:
        known = [u for u in UNITS[kind] if not u.startswith(("°", "deg"))]
        raise InputError("column", cell, f"needs a unit in its name: {', '.join(known)}", f"e.g. {name} ({known[0]})", file)
    return unit


def _number_words(cell: str, mark: str) -> str:
    """A number as Python reads it: no thousands separators, no unit behind it, a full stop for the decimals."""
    text = cell.strip()
    if mark == ",":
        return text.replace(".", "").replace(",", ".")
    text = re.sub(r"\s*(kwh|°?f|°?c)$", "", text, flags=re.I)
    return text.replace(",", "") if re.fullmatch(r"-?\d{1,3}(,\d{3})+(\.\d*)?", text) else text


def _meter(words: str, header: list[str], times: dict[str, list[str]], said: dict[str, str]) -> str:
    """Which meter it is by its own words, else by its form: utilities write where a row begins or when a bill was read."""
    if "meter" in said:
        return said["meter"]
    if UNIT_METER.search(" ".join(header)):
        return "unit"
    return "house" if HOUSE_METER.search(words) or {"begin", "end", "read"} & set(times) else ""


def _solar(header: list[str], rows: list[list[str]]) -> Iterator[str]:
    for k, cell in enumerate(header):
        if SOLD.search(cell) and any(re.search(r"[1-9]", row[k]) for row in rows):
            yield f"column {cell!r} holds energy given away: what the house used of its own sun is not metered, its use is higher"
