"""Quantities as people write them, to SI and back: factors, spellings and labels are tables, checked against pint by the tests.

Free-text parsing by a unit library is a trap (`72 F` reads as farad, `R-19` as the gas constant), so number and
unit are split here with a short spelling table of our own.  A field knows its kind of quantity; a wrong kind is
refused.  Temperatures become degC, everything else the plain SI unit of its kind.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache

from heatcalc.tables import rows

MOST_LETTERS = 60


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of quantity: its SI unit, the spellings people use, and what each unit system shows."""

    name: str
    si: str  # unit of the value kept inside
    spellings: dict[str, str]  # lower-case spelling -> unit
    show_si: tuple[str, str, int]  # unit, label, decimals
    show_ip: tuple[str, str, int]
    example: str


def _kind(row: dict[str, str]) -> Kind:
    spelled = {s: r["unit"] for r in rows("spellings") if r["kind"] == row["kind"] for s in r["spelled"].split("|")}
    si, ip = ((row[f"{x}_unit"], row[f"{x}_label"], int(row[f"{x}_decimals"])) for x in ("si", "ip"))
    return Kind(name=row["kind"], si=row["si"], spellings=spelled, show_si=si, show_ip=ip, example=row["example"])


KINDS: dict[str, Kind] = {row["kind"]: _kind(row) for row in rows("quantities")}
_SIMPLE = {row["unit"]: (float(row["factor"]), float(row["zero"])) for row in rows("units")}
_NUMBER = r"[-+]?(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.\d+)?(?:[eE][-+]?\d+)?"
_FRACTION = re.compile(r"^(?:(\d+)[ -])?(\d+)/(\d+)$")
_POUNDS = re.compile(r"^(\d+(?:\.\d+)?) ?(?:lb|lbs|pounds?)[ ,]*(\d+(?:\.\d+)?) ?(?:oz|ounces?)$", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"^([-+]?\d+),(\d{1,2}|\d{4,})(?!\d|,)(.*)$")  # "9,200" is a thousand
_POWER = re.compile(r"([*/]?)([A-Za-z]\w*)(?:\*\*(\d))?")
_PREFIXED = re.compile(r"^(rsi|r|u)[ -]?(\d+(?:\.\d+)?)$", re.IGNORECASE)


@cache
def _line(unit: str) -> tuple[float, float]:
    """Factor and zero of a unit: SI value = factor x number + zero.  Of a compound, the product of what it is made of."""
    if unit in _SIMPLE:
        return _SIMPLE[unit]
    found = _POWER.findall(unit)
    return math.prod(_SIMPLE[name][0] ** (int(power or 1) * (-1 if sign == "/" else 1)) for sign, name, power in found), 0.0


@cache
def _conversion(unit: str, to: str) -> tuple[float, float]:
    """Slope and offset of the straight line between two units of one dimension."""
    (factor, zero), (to_factor, to_zero) = _line(unit), _line(to)
    return factor / to_factor, (zero - to_zero) / to_factor


def convert(value, unit: str, to: str):
    """`value` (float or array) from one unit to another (names of tables/units.csv, joined by `*`, `/` and `**`)."""
    slope, offset = _conversion(unit, to)
    return value * slope + offset


def parse(text: object, kind: str) -> float:
    """`text` as the SI value of `kind`, e.g. parse("8 ft 6 in", "length") -> 2.5908.

    A bare number is accepted only for a fraction (0..1).  Raises ValueError with what is wrong and an example.
    """
    k = KINDS[kind]
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise ValueError(f"{_a(kind)} is written like {k.example!r}")
    if not isinstance(text, str):
        if kind == "fraction":
            return _finite(float(text) if abs(text) <= 1e308 else math.inf, k)
        raise ValueError(f"{_a(kind)} needs a unit, e.g. {k.example!r}")
    return _parsed(text, kind)


@lru_cache(maxsize=4096)  # a house says the same words at every reading
def _parsed(text: str, kind: str) -> float:
    k, words = KINDS[kind], " ".join(text.strip().split())
    if len(words) > MOST_LETTERS:
        raise ValueError(f"{_a(kind)} is written like {k.example!r}")
    if kind == "length" and (total := _feet_and_inches(words)) is not None:
        return _finite(total, k)
    if kind == "mass" and (pounds := _POUNDS.match(words)):
        return _finite(float(convert(float(pounds[1]) + float(pounds[2]) / 16.0, "pound", k.si)), k)
    number, unit = _split(words, k)
    if unit not in k.spellings:
        raise ValueError(_unit_problem(words, unit, k))
    return _finite(float(convert(number, k.spellings[unit], k.si)), k)


def _a(name: str) -> str:
    return f"an {name}" if name[0] in "aeio" else f"a {name}"


def _finite(value: float, k: Kind) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{_a(k.name)} must be a finite number, e.g. {k.example!r}")
    return value


def _split(words: str, k: Kind) -> tuple[float, str]:
    prefixed = _PREFIXED.match(words)
    if prefixed and prefixed[1].lower() in k.spellings:
        return float(prefixed[2]), prefixed[1].lower()
    match = re.match(rf"^({_NUMBER})\s*(.*)$", words.replace("−", "-"))
    if not match or match[1] in ("", "+", "-"):
        raise ValueError(_likely(words, k) or f"{_a(k.name)} is written like {k.example!r}")
    return float(match[1].replace(",", "")), match[2].strip().lower()


def _unit_problem(words: str, unit: str, k: Kind) -> str:
    if not unit:
        return f"{_a(k.name)} needs a unit, e.g. {k.example!r}"
    if meant := _likely(words, k):
        return meant
    belongs = [other.name for other in KINDS.values() if unit in other.spellings]
    other = f"; {unit!r} is a unit of {belongs[0]}" if belongs else ""
    return f"{words!r} is not {_a(k.name)}{other}; write it like {k.example!r}"


def _likely(words: str, k: Kind) -> str:
    """What was meant, where it can be guessed: a decimal comma, an R-value for a U-value."""
    if pointed := without_comma(words):
        return f"the decimal sign is a point: write {pointed!r}"
    resistance = _PREFIXED.match(words)
    if k.name != "U-value" or not resistance or float(resistance[2]) == 0:
        return ""
    return f"{words!r} is a resistance; its U-value is one over it: write {_u_of(resistance)!r}"


def without_comma(words: str) -> str:
    """`words` with its decimal comma as a point; empty where there is none."""
    found = _DECIMAL_COMMA.match(words.strip())
    return f"{found[1]}.{found[2]}{found[3]}" if found else ""


def _u_of(resistance: re.Match) -> str:
    value = 1.0 / float(resistance[2])
    return f"U-{value:.3f}" if resistance[1].lower() == "r" else f"{value:.3f} W/m2K"


def _feet_and_inches(words: str) -> float | None:
    match = re.match(r"^(-?\d+(?:\.\d+)?)\s*(?:ft|foot|feet|')(\s*[,-]?\s*)([\d./ -]+?)\s*(in|inch|inches|\"|'')?$", words)
    if match and (match[2] or match[4] or "'" in words):  # "30 ft2" is an area
        sign = -1.0 if match[1].startswith("-") else 1.0
        return float(match[1]) * 0.3048 + sign * _inches(match[3]) * 0.0254
    match = re.match(r"^([\d./ -]+?)\s*(?:in|inch|inches|\"|'')$", words)
    if match and ("/" in match[1]):
        return _inches(match[1]) * 0.0254
    return None


def _inches(text: str) -> float:
    fraction = _FRACTION.match(text.strip())
    if fraction:
        whole, top, bottom = fraction.groups()
        if int(bottom) == 0:
            raise ValueError(f"{text!r} divides by zero")
        return float(whole or 0) + int(top) / int(bottom)
    try:
        return float(text)
    except ValueError:
        raise ValueError(f"{text!r} is not a number of inches, e.g. '6' or '3 1/2'") from None


def label(kind: str, system: str) -> str:
    """The unit's printed label in "ip" or "si", e.g. label("power", "ip") -> "Btu/h"."""
    k = KINDS[kind]
    return (k.show_ip if system == "ip" else k.show_si)[1]


def shown(value, kind: str, system: str):
    """An SI value (float or array) in the unit that `system` ("ip" or "si") shows."""
    k = KINDS[kind]
    return convert(value, k.si, (k.show_ip if system == "ip" else k.show_si)[0])


def text(value: float, kind: str, system: str, decimals: int | None = None) -> str:
    """An SI value as a person reads it: number, thin separators, unit label."""
    if kind == "chance" and not 0.01 <= value <= 0.99:
        return "over 99%" if value > 0.99 else "under 1%"  # no estimate is sure
    k = KINDS[kind]
    unit, name, usual = k.show_ip if system == "ip" else k.show_si
    digits = usual if decimals is None else decimals
    number = f"{convert(value, k.si, unit):,.{digits}f}"
    if float(number.replace(",", "")) == 0:
        number = number.lstrip("-")
    return f"{number}{'' if name in ('%', '°') else ' '}{name}"
