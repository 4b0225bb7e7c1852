"""Human mistakes in otherwise valid files: how one is made, and whether it is refused, asked about, or cannot be known."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

REFUSED, ASKED, UNKNOWABLE = "refused", "asked", "cannot be known"
PLACE = "Duluth, MN"
Said = dict[str, Any]


@dataclass(frozen=True)
class Mistake:
    """What goes wrong in which kind of file; `why` where it cannot be known."""

    record: str
    name: str
    done: Callable[[Any, random.Random], None]
    end: str
    why: str = ""


def at(said: Said, path: str) -> Any:
    for step in path.split("."):
        said = said[int(step) if step.isdigit() else step]
    return said


def put(path: str, value: Any) -> Callable[[Said, random.Random], None]:
    """Another value at a dotted path; a function is given what stood there."""
    *way, last = path.split(".")

    def done(said: Said, rng: random.Random) -> None:
        inner = at(said, ".".join(way)) if way else said
        key = int(last) if last.isdigit() else last
        inner[key] = value(inner.get(key) if isinstance(inner, dict) else inner[key]) if callable(value) else value

    return done


def swap(one: str, other: str) -> Callable[[Said, random.Random], None]:
    def done(said: Said, rng: random.Random) -> None:
        a, b = at(said, one), at(said, other)
        put(one, b)(said, rng), put(other, a)(said, rng)

    return done


def number(text: str) -> float:
    return float(str(text).split()[0])


def unit_for(unit: str, times: float = 1.0) -> Callable[[str], str]:
    """The same figure, times a factor, under another unit."""
    return lambda text: f"{number(text) * times:g} {unit}"


def more(said: Said, key: str, entry: Said) -> None:
    said.setdefault(key, []).append(entry)
