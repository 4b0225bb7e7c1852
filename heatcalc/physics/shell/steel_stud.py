"""A steel stud in its wall, two-dimensional: the coldest inner surface and the U-value beside the published factor.

The stud is a C of 43 mil sheet with flanges of 1 5/8 in, in full contact with both sheathings: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from heatcalc.physics.shell.conduction import Field, solve_to_limit
from heatcalc.physics.shell.conduction_mesh import AirSide, Edge, Region, Section

SHEET_m, FLANGE_m = 0.00109, 0.0413
STEEL_W_mK = 50.0  # ISO 10456, from memory
THIN_m = 0.001  # sheets thinner than this carry no heat along the wall
LEAST_m2K_W = 1e-5  # a sheet without resistance
SHARE = 0.005  # of the heat flow, at the last halving


@dataclass(frozen=True)
class StudWall:
    """One stud's field [-, W/m2K]."""

    temperature_factor: float
    u_value: float


@lru_cache(maxsize=64)
def stud_wall(layers: tuple[tuple[float, float], ...], at: int, spacing_m: float, r_inside: float, r_outside: float) -> StudWall:
    """f_Rsi of the coldest inner surface, and U with these films [W/m2K]: ISO 10211 steady conduction of one stud's strip.

    `layers` are (thickness [m], resistance [m2K/W]) inside to outside; layer `at` holds the insulation between the studs
    with its own resistance.  Raises ValueError where the grid cannot be refined to its limit.
    """
    section = stud_section(layers, at, spacing_m, r_inside, r_outside)
    field = solve_to_limit(section, SHARE).field
    return StudWall(_coldest(field), field.heat_flow_W_m / spacing_m)


def stud_section(layers: Sequence[tuple[float, float]], at: int, spacing_m: float, r_inside: float, r_outside: float) -> Section:
    """The drawing of one spacing, stud in the middle, outdoors (0 degC) below, room (1 degC) above; thin sheets left out."""
    regions: list[Region] = []
    bottom = 0.0
    for k in range(len(layers) - 1, -1, -1):
        depth, resistance = layers[k]
        if depth < THIN_m:
            continue
        regions.append(_box(0.0, spacing_m, bottom, bottom + depth, depth / max(resistance, LEAST_m2K_W)))
        regions += _stud(spacing_m / 2, bottom, bottom + depth) if k == at else []
        bottom += depth
    edges = Edge("bottom", 0.0, spacing_m, 1), Edge("top", 0.0, spacing_m, 0)
    return Section(tuple(regions), (AirSide(1.0, r_inside), AirSide(0.0, r_outside)), edges)


def _stud(middle: float, bottom: float, top: float) -> list[Region]:
    """Web and two flanges."""
    web = _box(middle - SHEET_m, middle, bottom, top, STEEL_W_mK)
    flanges = [_box(middle, middle + FLANGE_m, low, low + SHEET_m, STEEL_W_mK) for low in (bottom, top - SHEET_m)]
    return [web, *flanges]


def _box(left: float, right: float, bottom: float, top: float, conductivity: float) -> Region:
    return Region(((left, bottom), (right, bottom), (right, top), (left, top)), conductivity)


def _coldest(field: Field) -> float:
    inner = field.contacts.air == 0
    return float(np.min(field.surface_C[inner]))
