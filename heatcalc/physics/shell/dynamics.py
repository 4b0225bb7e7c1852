"""Periodic heat flow through layers: ISO 13786 transfer matrices."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.physics.shell.layers import Layer, layer_resistances
from heatcalc.physics.zone.nodes import layer_matrix

DAY_S = 86400.0


@dataclass(frozen=True, kw_only=True)
class Dynamics:
    """Dynamic characteristics for one period, films included (ISO 13786)."""

    u_value: float
    periodic_transmittance: float
    """|Y12|: heat flow inside for one kelvin of swing outside [W/m2K]."""
    decrement_factor: float
    time_lag_h: float
    admittance_inside: float
    admittance_outside: float
    heat_capacity_inside: float
    """kappa_1 [J/m2K]."""
    heat_capacity_outside: float


def transfer_matrix(
    resistance: Sequence[float], capacity: Sequence[float], r_inside: float, r_outside: float, period_s: float = DAY_S
) -> np.ndarray:
    """Transfer matrix of slabs inside to outside with both films, ISO 13786 [-, m2K/W; W/m2K, -]."""
    matrix = layer_matrix(r_inside, 0.0, period_s)
    for r, c in zip(resistance, capacity, strict=True):
        matrix = layer_matrix(r, c, period_s) @ matrix
    return layer_matrix(r_outside, 0.0, period_s) @ matrix


def characteristics(
    resistance: Sequence[float], capacity: Sequence[float], r_inside: float, r_outside: float, period_s: float = DAY_S
) -> Dynamics:
    """ISO 13786: Y12 = -1/Z12, Y11 = -Z11/Z12, kappa_m = T/2pi |(Zmm - 1)/Z12|, f = |Y12|/U, lag = T/2pi arg."""
    z = transfer_matrix(resistance, capacity, r_inside, r_outside, period_s)
    u = 1.0 / (r_inside + r_outside + sum(resistance))
    y12, scale = -1.0 / z[0, 1], period_s / (2.0 * math.pi)
    lag = -cmath.phase(y12) % (2.0 * math.pi) * scale / 3600.0
    return Dynamics(
        u_value=u,
        periodic_transmittance=abs(y12),
        decrement_factor=abs(y12) / u,
        time_lag_h=lag,
        admittance_inside=abs(z[0, 0] / z[0, 1]),
        admittance_outside=abs(z[1, 1] / z[0, 1]),
        heat_capacity_inside=scale * abs((z[0, 0] - 1.0) / z[0, 1]),
        heat_capacity_outside=scale * abs((z[1, 1] - 1.0) / z[0, 1]),
    )


def dynamics(layers: Sequence[Layer], r_inside: float, r_outside: float, period_s: float = DAY_S) -> Dynamics:
    """ISO 13786 of an element; a bridged layer enters with its equivalent resistance and its mean capacity."""
    resistance = layer_resistances(layers, r_inside, r_outside)
    capacity = [layer.heat_capacity_J_m2K for layer in layers]
    return characteristics(resistance.tolist(), capacity, r_inside, r_outside, period_s)
