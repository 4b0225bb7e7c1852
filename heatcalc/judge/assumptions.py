"""What was taken where nothing was said: shown beside every answer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Assumption:
    """One default or modelling choice: its name, its value in words, why, and where it comes from."""

    name: str
    value: str
    why: str
    source: str
