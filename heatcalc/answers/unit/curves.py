"""A unit's curves over a row of outdoor temperatures: capacity, power and COP by level, with bands and marks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.unit.heat_pump import Curves, Estimate, capacity, input_power


@dataclass(frozen=True)
class LevelLine:
    """One level of one mode over a row of outdoor temperatures."""

    level: str
    capacity: Estimate
    power: Estimate

    @property
    def cop(self) -> np.ndarray:
        """Capacity over power, zero where off."""
        power = self.power.value_W
        return np.where(power > 0.0, self.capacity.value_W / np.where(power > 0.0, power, 1.0), 0.0)


@dataclass(frozen=True)
class CurveTable:
    """All levels of one mode at the same outdoor temperatures."""

    mode: str
    outdoor_C: np.ndarray
    lines: tuple[LevelLine, ...]


def curve_table(curves: Curves, outdoor_C) -> CurveTable:
    """Capacity and power by level, with bands and marks, at any outdoor temperatures."""
    at = np.atleast_1d(np.asarray(outdoor_C, float))
    lines = tuple(LevelLine(x, capacity(curves, at, x), input_power(curves, at, x)) for x in curves.levels)
    return CurveTable(curves.mode, at, lines)
