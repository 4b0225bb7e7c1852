"""The rules of the verdict, one a file: each reads what a unit does and says whether that is enough, by how much, by what source.

A file here offers `rule(facts, so_far) -> Outcome | None` and is found by itself; None says that it has nothing to say yet.
Rules are asked in the order of their `STAGE`: the loads first, then what carries the heater they ask for, then the year.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

import numpy as np

from heatcalc.inputs.house.house_record import House

Array = np.ndarray
FITS, JUST, WITH_HEATER = "fits", "just carries", "carries with a second heater"
LARGE, STOPS, TOO_SMALL = "larger than needed", "stops in the cold", "too small"
WORDS = (FITS, JUST, WITH_HEATER, LARGE, STOPS, TOO_SMALL)
"""Verdicts, the kindest first: of what several rules say the last counts."""
LOADS, SUPPLY, YEAR = 1, 2, 3


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What one rule says, a value for each place: `verdict` counts where it is not `ok`; quantities are SI, unit in the name.

    A quantity that nothing but the plan shows, and that takes its time, is a function that gives it.
    """

    code: str
    title: str
    ok: Array
    source: str
    quantities: dict[str, Any]
    verdict: Array | str | None = None
    heater_W: Array | float = 0.0
    heater_for: str = ""
    whole: Array | bool = False  # the heater then carries the house alone, interlocked with the unit


@dataclass(kw_only=True)
class SoFar:
    """The house, what earlier rules asked for (the heater [W], whether it carries the house alone), the walked year if any."""

    house: House
    heater_W: Array
    whole: Array
    beside_W: Array  # of the heater, what runs beside a running unit
    year: Any = None
    dehumidifier_W: float = 0.0
    outcomes: list[Outcome] = field(default_factory=list)


@cache
def all_rules() -> tuple[Any, ...]:
    """Every rule of this folder, in the order of its stage."""
    found = [import_module(f"{__name__}.{m.name}") for m in iter_modules(__path__)]
    return tuple(sorted(found, key=lambda m: (m.STAGE, m.__name__)))


def worst(outcomes: Sequence[Outcome]) -> Array:
    """The last of `WORDS` that any of them says."""
    rank = {w: k for k, w in enumerate(WORDS)}
    said = [np.where(o.ok, 0, _among(rank, o.verdict)) for o in outcomes if o.verdict is not None]
    return np.array(WORDS)[np.max(said, axis=0)]


def _among(rank: dict[str, int], words: Array | str) -> Array | int:
    return rank[words] if isinstance(words, str) else sum(k * (words == w) for w, k in rank.items())
