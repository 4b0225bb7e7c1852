"""What was taken where nothing was said: shown beside every answer."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.wording import Said


@dataclass(frozen=True)
class Assumption:
    """One default or modelling choice: its name, its value in words, why, and where it comes from."""

    name: str
    value: Said
    why: Said
    source: Said
