"""Mutations of what people write, always the same for the same seed."""

from __future__ import annotations

import copy
import math
import os
import random
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel

from heatcalc.errors import InputError, NoAnswer

CANARY = "__import__('pathlib').Path('canary').touch()"
HANG_S = 60.0  # no end within this is a hang, on any machine: no measure of speed, own choice
UNIT_S = 0.14  # `unit_of_work` where the limits were set


def unit_of_work() -> float:
    """Seconds that a fixed piece of work takes on this machine, now."""
    begun, total = time.perf_counter(), 0
    for i in range(200_000):
        total += i * i % 7
    square = np.arange(90_000.0).reshape(300, 300)
    return time.perf_counter() - begun + 0.0 * float((square @ square).sum() + total)


def patience(seconds: float) -> float:
    """A limit against hanging, longer on a slower or busier machine, never shorter."""
    return seconds * max(1.0, max(unit_of_work() for _ in range(2)) / UNIT_S)


TIMES = int(os.environ.get("HEATCALC_FUZZ_TIMES", "0"))
FRESH = 1_000_000


def seeds(number: int, start: int = 0) -> range:
    """Seeds of one test: those of every run, or with HEATCALC_FUZZ_TIMES = n set n times as many that no other run has tried."""
    return range(FRESH + start * TIMES, FRESH + (start + number) * TIMES) if TIMES else range(start, start + number)


WORDS = [
    "",
    " ",
    "nan",
    "inf",
    "-inf",
    "1e999",
    "-1e308",
    "NaN F",
    "inf ft",
    "0",
    "-0",
    "0 ft",
    "-1 ft",
    "1e300 ft",
    "72 F",
    "72 farad",
    "8 ft",
    "8ft6in",
    "8 ft 6 in",
    "1/0 in",
    "9" * 400 + "/1 in",
    "1,2,3 ft",
    "٣ ft",
    "½ in",
    "R-13",
    "R-",
    "U-0.3",
    "5 kBtu/h",
    "12 kW",
    "30 A",
    "120 V",
    "3.0 ACH50",
    "1e9 ACH50",
    "250 cfm50",
    "50 %",
    "5000 %",
    "true",
    "none",
    "auto",
    "Breeze wall",
    "../../etc/passwd",
    "/dev/zero",
    "con:\\x",
    "<script>alert(1)</script>",
    "=1+1",
    "@SUM(A1)",
    CANARY,
    "{length:1.0}",
    "{power:1.2.3}",
    "{nothing:1}",
    "$x^{",
    "%s%n",
    "${HOME}",
    "{{7*7}}",
    "\x1b[2J",
    "\x07",
    "a\nb",
    "\u202eabc",
    "é" * 70,
    "x" * 600,
    "日本",
    "😀",
    "a\u0000b",
    "0x10 ft",
    "1_000 ft",
    "−5 F",
    "- 5 F",
    "+5 F",
    "5 F F",
    "F 5",
    "5  ",
    "'",
    '"',
    "[",
    "]]",
    "#",
    "=",
    "1979-05-27",
]
VALUES: list[Any] = [
    None,
    True,
    False,
    0,
    1,
    -1,
    2**31,
    2**63,
    10**400,
    0.0,
    -0.0,
    0.5,
    1.0,
    1e-308,
    1e308,
    -1e308,
    math.nan,
    math.inf,
    -math.inf,
    [],
    {},
    [[]],
    [{}],
    {"": 1},
    [None],
    ["a", 1],
    {"name": "x"},
    [1] * 50,
    [["a", "b"]],
    {"a": {"b": {"c": {}}}},
]
UNITS = ("", " ft", " in", " m", " F", " C", " K", " W", " kW", " cfm", " %")
LETTERS = "0123456789.-+eE,;:=\"'[]{}()#%/\\ \t\r\n\x00\x1b_abcxyzFCWR°²é日\ufeff\u2028"


def junk(rng: random.Random) -> Any:
    """A word or a value that does not belong here."""
    return rng.choice(WORDS) if rng.random() < 0.65 else copy.deepcopy(rng.choice(VALUES))


def mutated(said: Any, rng: random.Random) -> Any:
    """A deep copy of nested tables and lists with one to three changes somewhere in it."""
    result = copy.deepcopy(said)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        _change(result, rng)
    return result


def _change(said: Any, rng: random.Random) -> None:
    spots = list(_spots(said))
    if not spots:
        return
    holder, key = rng.choice(spots)
    how = rng.random()
    if how < 0.6:
        holder[key] = _near(holder[key], rng) if rng.random() < 0.5 else junk(rng)
    elif how < 0.75:
        del holder[key]
    elif how < 0.9 and isinstance(holder, dict):
        holder[rng.choice([f"{key}s", str(key)[:-1], "price", "kind", "name", "__class__", "x", ""])] = junk(rng)
    elif isinstance(holder, list):
        holder.insert(rng.randrange(len(holder) + 1), copy.deepcopy(rng.choice(holder)))
    else:
        other, k = rng.choice(spots)
        holder[key] = copy.deepcopy(other[k]) if other is not holder else junk(rng)


def _spots(said: Any) -> Iterator[tuple[Any, Any]]:
    keys = list(said) if isinstance(said, dict) else range(len(said)) if isinstance(said, list) else ()
    for key in keys:
        yield said, key
        yield from _spots(said[key])


def _near(value: Any, rng: random.Random) -> Any:
    """The same thing slightly wrong: a number scaled, a letter changed, a unit swapped."""
    if isinstance(value, bool) or value is None:
        return not value
    if isinstance(value, (int, float)):
        factor = rng.choice((-1, 0, 0.5, 2, 10, 1000, 1e-3))
        return -value if abs(value) > 1e300 else value * factor
    if isinstance(value, str):
        return mutated_text(value, rng, most=2) if rng.random() < 0.5 else _other_number(value, rng)
    return [] if isinstance(value, list) else {}


def _other_number(text: str, rng: random.Random) -> str:
    head = text.split(" ")[0]
    try:
        number = float(head)
    except ValueError:
        return text + rng.choice((" ft", " F", "x", " 2"))
    scaled = number * rng.choice((-1, 0, 0.1, 0.5, 0.9, 1.1, 2, 10, 1e3, 1e9))
    unit = text[len(head) :] if rng.random() < 0.7 else rng.choice(UNITS)
    return f"{scaled:g}{unit}"


def mutated_text(text: str, rng: random.Random, most: int = 4) -> str:
    """Text with lines or letters dropped, doubled, swapped, or junk put in."""
    for _ in range(rng.randint(1, most)):
        at, until = sorted((rng.randrange(len(text) + 1), rng.randrange(len(text) + 1)))
        how = rng.randrange(7)
        if how == 0:
            text = text[:at] + rng.choice(LETTERS) + text[at:]
        elif how == 1:
            text = text[:at] + text[at + 1 :]
        elif how == 2:
            text = text[:at] + rng.choice(WORDS) + text[at:]
        elif how == 3:
            text = text[:at] + text[min(until, at + 200) :]
        elif how == 4:
            text = text[:at] if rng.random() < 0.1 else text[:at] + rng.choice(LETTERS) + text[at + 1 :]
        elif how == 5:
            text = _lines_changed(text, rng)
        else:
            text = text[:at] + text[at:until][:300] + text[at:]
    return text


def _lines_changed(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
    how = rng.randrange(3)
    if how == 0:
        lines[i], lines[j] = lines[j], lines[i]
    elif how == 1:
        lines.insert(i, lines[j])
    else:
        cells = lines[i].split(",")
        cells[rng.randrange(len(cells))] = str(rng.choice(WORDS))
        lines[i] = ",".join(cells)
    return "\n".join(lines)


def put(file: Path, text: str) -> None:
    """Write a new file: writing over an old one waits for the disk on some systems."""
    file.unlink(missing_ok=True)
    file.write_bytes(text.encode("utf-8", "surrogatepass"))


class Count:
    """How many inputs have been tried."""

    number = 0

    def one(self) -> None:
        """One more."""
        self.number += 1


tried = Count()


class Tally:
    """Counts what was tried; anything but a result, InputError or NoAnswer fails with the seed in its message."""

    def __init__(self):
        self.tried = self.refused = 0

    @property
    def accepted(self) -> int:
        """Inputs that gave a result."""
        return self.tried - self.refused

    @contextmanager
    def trying(self, seed: object):
        """One input."""
        self.tried += 1
        tried.one()
        try:
            yield
        except (InputError, NoAnswer) as problem:
            self.refused += 1
            line = str(problem)
            assert line and "\n" not in line and len(line) < 2000, f"seed {seed}: not one line: {line[:200]!r}"
            assert all(c.isprintable() for c in line), f"seed {seed}: steers a terminal: {line!r}"
        except AssertionError:
            raise
        except BaseException as problem:
            raise AssertionError(f"seed {seed}: {type(problem).__name__}: {problem}") from problem


def not_finite(value: Any, at: str = "") -> list[str]:
    """Paths of every NaN or infinity inside a result."""
    if isinstance(value, (bool, str, bytes)) or value is None:
        return []
    if isinstance(value, (int, float, np.generic)):
        return [] if math.isfinite(value) else [at]
    if isinstance(value, np.ndarray):
        return [] if value.dtype.kind not in "fc" or np.isfinite(value).all() else [at]
    if isinstance(value, dict):
        return [p for k, v in value.items() for p in not_finite(v, f"{at}.{k}")]
    if isinstance(value, (list, tuple, set, frozenset)):
        return [p for i, v in enumerate(value) for p in not_finite(v, f"{at}[{i}]")]
    if isinstance(value, BaseModel):
        return [p for k in type(value).model_fields for p in not_finite(getattr(value, k), f"{at}.{k}")]
    if is_dataclass(value):
        return [p for f in fields(value) for p in not_finite(getattr(value, f.name), f"{at}.{f.name}")]
    return []
