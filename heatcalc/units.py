"""Quantities as people write them, to SI and back.  The only module that imports pint.

Free-text parsing by a unit library is a trap (`72 F` reads as farad, `R-19` as the gas constant), so number and
unit are split here with a short spelling table of our own and pint only converts.  A field knows its kind of
quantity; a wrong kind is refused.  Temperatures become degC, everything else the plain SI unit of its kind.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

MOST_LETTERS = 60
_FT2F_BTU = "foot**2 * delta_degF * hour / Btu"
_BTU_HFT2F = "Btu / (hour * foot**2 * delta_degF)"


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: its SI unit, the spellings people use, and what each unit system shows."""

    name: str
    si: str  # pint unit of the value kept inside
    spellings: dict[str, str]  # lower-case spelling -> pint unit
    show_si: tuple[str, str, int]  # pint unit, label, decimals
    show_ip: tuple[str, str, int]
    example: str


def _kind(
    name: str, si: str, show_si: tuple[str, str, int], show_ip: tuple[str, str, int], example: str, words: dict[str, str]
) -> Kind:
    spellings = {word: unit for unit, spelled in words.items() for word in spelled.split("|")}
    return Kind(name, si, spellings, show_si, show_ip, example)


# fmt: off
KINDS: dict[str, Kind] = {k.name: k for k in [
    _kind("length", "meter", ("meter", "m", 2), ("foot", "ft", 1), "8 ft 6 in", words={
        "meter": "m|meter|metre|meters|metres", "centimeter": "cm", "millimeter": "mm",
        "foot": "ft|foot|feet|'", "inch": "in|inch|inches|\""}),
    _kind("height", "meter", ("meter", "m", 0), ("foot", "ft", 0), "4800 ft", words={"meter": "m", "foot": "ft|foot|feet"}),
    _kind("distance", "meter", ("kilometer", "km", 0), ("mile", "mi", 0), "40 mi", words={
        "meter": "m", "kilometer": "km", "mile": "mi|mile|miles"}),
    _kind("area", "meter**2", ("meter**2", "m²", 1), ("foot**2", "ft²", 0), "280 ft2", words={
        "meter**2": "m2|m²|sqm", "foot**2": "ft2|ft²|sqft|sq ft", "inch**2": "in2|in²", "centimeter**2": "cm2|cm²"}),
    _kind("volume", "meter**3", ("meter**3", "m³", 1), ("foot**3", "ft³", 0), "2400 ft3", words={
        "meter**3": "m3|m³", "foot**3": "ft3|ft³|cu ft", "liter": "l|liter|litre|liters|litres", "gallon": "gal|gallon|gallons"}),
    _kind("temperature", "degC", ("degC", "°C", 1), ("degF", "°F", 0), "70 F", words={
        "degF": "f|°f|degf|deg f", "degC": "c|°c|degc|deg c", "kelvin": "k"}),
    _kind("temperature difference", "kelvin", ("kelvin", "K", 1), ("delta_degF", "°F", 1), "4 F", words={
        "delta_degF": "f|°f|degf|deg f", "kelvin": "k|c|°c|degc|deg c"}),
    _kind("power", "watt", ("watt", "W", 0), ("Btu/hour", "Btu/h", 0), "9 kBtu/h", words={
        "watt": "w|watt|watts", "kilowatt": "kw", "Btu/hour": "btu/h|btuh|btu/hr|btu per hour",
        "kBtu/hour": "kbtu/h|kbtuh|kbtu/hr|kbtu per hour"}),
    _kind("electric power", "watt", ("watt", "W", 0), ("watt", "W", 0), "1500 W", words={
        "watt": "w|watt|watts", "kilowatt": "kw", "volt*ampere": "va", "kilovolt*ampere": "kva"}),
    _kind("thermal resistance", "meter**2*kelvin/watt", ("meter**2*kelvin/watt", "m²K/W", 2),
          (_FT2F_BTU, "h·ft²·°F/Btu", 1), "R-13", words={
        _FT2F_BTU: "h·ft²·°f/btu|h ft2 f/btu|h·ft2·f/btu|r|ft2 f h/btu",
        "meter**2*kelvin/watt": "m2k/w|m²k/w|m2 k/w|m²·k/w|rsi"}),
    _kind("U-value", "watt/meter**2/kelvin", ("watt/meter**2/kelvin", "W/m²K", 3),
          (_BTU_HFT2F, "Btu/h·ft²·°F", 3), "U-0.30", words={
        _BTU_HFT2F: "btu/h·ft²·°f|btu/h ft2 f|btu/(h ft2 f)|u|btu/h·ft2·f",
        "watt/meter**2/kelvin": "w/m2k|w/m²k|w/m2 k|w/(m2 k)|w/(m2k)|w/m²·k"}),
    _kind("heat loss coefficient", "watt/kelvin", ("watt/kelvin", "W/K", 1),
          ("Btu/hour/delta_degF", "Btu/h·°F", 1), "150 Btu/h F", words={
        "watt/kelvin": "w/k", "Btu/hour/delta_degF": "btu/h f|btu/h·°f|btu/(h f)"}),
    _kind("linear thermal transmittance", "watt/meter/kelvin", ("watt/meter/kelvin", "W/mK", 3),
          ("Btu/hour/foot/delta_degF", "Btu/h·ft·°F", 3), "0.11 Btu/h ft F", words={
        "watt/meter/kelvin": "w/mk|w/m k|w/(m k)|w/(mk)|w/m·k",
        "Btu/hour/foot/delta_degF": "btu/h·ft·°f|btu/h ft f|btu/(h ft f)|btu/h·ft·f|btu/hr ft f"}),
    _kind("heat flow per length", "watt/meter", ("watt/meter", "W/m", 2), ("Btu/hour/foot", "Btu/h·ft", 2),
          "5 Btu/h ft", words={"watt/meter": "w/m", "Btu/hour/foot": "btu/h ft|btu/h·ft"}),
    _kind("heat flow density", "watt/meter**2", ("watt/meter**2", "W/m²", 1), ("Btu/hour/foot**2", "Btu/h·ft²", 1),
          "30 Btu/h ft2", words={"watt/meter**2": "w/m2|w/m²", "Btu/hour/foot**2": "btu/h ft2|btu/h·ft²|btu/hft2"}),
    _kind("air flow", "meter**3/second", ("liter/second", "L/s", 1), ("foot**3/minute", "cfm", 0), "22 cfm", words={
        "foot**3/minute": "cfm|ft3/min", "liter/second": "l/s", "meter**3/hour": "m3/h|m³/h",
        "meter**3/second": "m3/s|m³/s"}),
    _kind("speed", "meter/second", ("meter/second", "m/s", 1), ("mile/hour", "mph", 0), "15 mph", words={
        "meter/second": "m/s", "mile/hour": "mph|mi/h", "kilometer/hour": "km/h|kph", "knot": "kn|kt|knot|knots"}),
    _kind("mass", "kilogram", ("kilogram", "kg", 1), ("pound", "lb", 0), "2 lb", words={
        "kilogram": "kg", "gram": "g", "pound": "lb|lbs|pound|pounds", "ounce": "oz"}),
    _kind("mass flow", "kilogram/second", ("gram/hour", "g/h", 0), ("pint_water/hour", "pint/h", 2), "50 g/h", words={
        "kilogram/second": "kg/s", "gram/hour": "g/h", "kilogram/day": "kg/day|kg/d|l/day|l/d", "pound/hour": "lb/h",
        "pint_water/hour": "pint/h|pints/h", "pint_water/day": "pint/day|pints/day"}),
    _kind("energy", "joule", ("kilowatt_hour", "kWh", 0), ("kilowatt_hour", "kWh", 0), "5 kWh", words={
        "joule": "j", "kilojoule": "kj", "megajoule": "mj", "kilowatt_hour": "kwh", "watt_hour": "wh", "Btu": "btu",
        "kBtu": "kbtu", "therm": "therm|therms"}),
    _kind("conductivity", "watt/meter/kelvin", ("watt/meter/kelvin", "W/mK", 3),
          ("Btu*inch/(hour*foot**2*delta_degF)", "Btu·in/h·ft²·°F", 2), "0.12 W/mK", words={
        "watt/meter/kelvin": "w/mk|w/m k|w/(m k)|w/(mk)", "Btu/(hour*foot*delta_degF)": "btu/h ft f|btu/(h ft f)",
        "Btu*inch/(hour*foot**2*delta_degF)": "btu in/h ft2 f|btu·in/h·ft²·°f|btu in/(h ft2 f)"}),
    _kind("density", "kilogram/meter**3", ("kilogram/meter**3", "kg/m³", 0), ("pound/foot**3", "lb/ft³", 1), "32 lb/ft3", words={
        "kilogram/meter**3": "kg/m3|kg/m³", "pound/foot**3": "lb/ft3|lb/ft³|pcf"}),
    _kind("specific heat", "joule/kilogram/kelvin", ("joule/kilogram/kelvin", "J/kgK", 0),
          ("Btu/pound/delta_degF", "Btu/lb·°F", 2), "1600 J/kgK", words={
        "joule/kilogram/kelvin": "j/kgk|j/kg k|j/(kg k)", "Btu/pound/delta_degF": "btu/lb f|btu/lb·°f|btu/(lb f)"}),
    _kind("permeance", "kilogram/(second*meter**2*pascal)", ("nanogram/(second*meter**2*pascal)", "ng/s·m²·Pa", 1),
          ("perm", "perm", 2), "1 perm", words={
        "perm": "perm|perms", "nanogram/(second*meter**2*pascal)": "ng/(s m2 pa)|ng/s·m²·pa|ng/s m2 pa"}),
    _kind("pressure", "pascal", ("pascal", "Pa", 0), ("inch_H2O_60F", "in. w.g.", 2), "50 Pa", words={
        "pascal": "pa", "hectopascal": "hpa|mbar", "kilopascal": "kpa", "psi": "psi",
        "inch_Hg": "inhg", "inch_H2O_60F": "in. w.g.|in wg"}),
    _kind("mass per area", "kilogram/meter**2", ("kilogram/meter**2", "kg/m²", 1), ("pound/foot**2", "lb/ft²", 1), "3 lb/ft2",
          words={"kilogram/meter**2": "kg/m2|kg/m²", "pound/foot**2": "lb/ft2|lb/ft²|psf"}),
    _kind("current", "ampere", ("ampere", "A", 1), ("ampere", "A", 1), "30 A", words={"ampere": "a|amp|amps|ampere|amperes"}),
    _kind("voltage", "volt", ("volt", "V", 0), ("volt", "V", 0), "120 V", words={"volt": "v|volt|volts"}),
    _kind("angle", "degree", ("degree", "°", 0), ("degree", "°", 0), "90 deg", words={"degree": "deg|°|degree|degrees"}),
    _kind("time", "second", ("hour", "h", 1), ("hour", "h", 1), "8 h", words={
        "second": "s|sec", "minute": "min", "hour": "h|hr|hour|hours", "day": "day|days|d"}),
    _kind("fraction", "dimensionless", ("percent", "%", 0), ("percent", "%", 0), "70 %", words={
        "percent": "%|percent", "dimensionless": ""}),
]}

_NUMBER = r"[-+]?(?:\d{1,3}(?:,\d{3})+|\d+)?(?:\.\d+)?(?:[eE][-+]?\d+)?"
_FRACTION = re.compile(r"^(?:(\d+)[ -])?(\d+)/(\d+)$")
_POUNDS = re.compile(r"^(\d+(?:\.\d+)?) ?(?:lb|lbs|pounds?)[ ,]*(\d+(?:\.\d+)?) ?(?:oz|ounces?)$", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"^([-+]?\d+),(\d{1,2}|\d{4,})(?!\d|,)(.*)$")  # "9,200" is a thousand
_PREFIXED = re.compile(r"^(rsi|r|u)[ -]?(\d+(?:\.\d+)?)$", re.IGNORECASE)
# fmt: on


@cache
def _registry():
    import pint

    registry: pint.UnitRegistry = pint.UnitRegistry()
    registry.define("kBtu = 1000 * Btu")
    registry.define("perm = 5.721e-11 * kilogram / (second * meter**2 * pascal)")  # 1 grain/(h ft2 inHg), ASTM E96
    registry.define("pint_water = 0.4732 * kilogram")
    return registry


@cache
def _conversion(unit: str, to: str) -> tuple[float, float]:
    """Slope and offset of the straight line between two units, taken from pint once."""
    registry = _registry()
    zero, one = (registry.Quantity(x, unit).to(to).magnitude for x in (0.0, 1.0))
    return one - zero, zero


def convert(value, unit: str, to: str):
    """`value` (float or array) from one pint unit to another."""
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
    words = " ".join(text.strip().split())
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
    k = KINDS[kind]
    unit, name, usual = k.show_ip if system == "ip" else k.show_si
    digits = usual if decimals is None else decimals
    number = f"{convert(value, k.si, unit):,.{digits}f}"
    if float(number.replace(",", "")) == 0:
        number = number.lstrip("-")
    return f"{number}{'' if name in ('%', '°') else ' '}{name}"
