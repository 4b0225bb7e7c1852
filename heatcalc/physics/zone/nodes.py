"""Where the nodes of a layered element go: cells by layer, added until the periodic response is right.

A layer becomes equal cells with the capacity in the middle of each; cells are added to the slowest layer
until the film-to-film admittances of the chain agree with the exact matrices of ISO 13786 within the error.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

DAY_S = 86_400.0
CHECKED_PERIODS_S = (DAY_S, 4 * 3_600.0)
"""The day, and the quick swings of sun and set point that an hourly year still resolves."""
MOST_CELLS = 60
CONTACT_R = 1e-6
"""Least resistance between two nodes [m2K/W], so that a metal sheet of no resistance stays solvable."""


@lru_cache(maxsize=1024)
def place_nodes(
    resistance: tuple[float, ...],
    capacity: tuple[float, ...],
    error: float = 0.01,
    r_inside: float = 0.13,
    r_outside: float = 0.04,
) -> tuple[np.ndarray, np.ndarray]:
    """Nodes of a chain of layers, inside to outside: `(between, node_capacity)`, one more `between`.

    resistance : per layer, surface to surface [m2K/W];  capacity : per layer [J/(m2 K)]
    error : largest admittance error as a share of the inside admittance, at 24 h and 4 h periods [-]
    r_inside, r_outside : film resistances used to judge the error [m2K/W]
    Exact matrices: ISO 13786:2017, 7.2.  A chain without capacity gives no nodes and its total resistance.
    """
    cells = [1 if c > 0 else 0 for c in capacity]
    exact = [admittances(_exact_matrix(resistance, capacity, p, r_inside, r_outside)) for p in CHECKED_PERIODS_S]
    while sum(cells):
        between, nodes = split(resistance, capacity, cells)
        if sum(cells) >= MOST_CELLS or chain_error(exact, between, nodes, r_inside, r_outside) <= error:
            return _fixed(between), _fixed(nodes)
        cells[_slowest(resistance, capacity, cells)] += 1
    return _fixed(np.array([float(sum(resistance))])), np.zeros(0)


def _fixed(values: np.ndarray) -> np.ndarray:
    """The array made unchangeable: it is kept for the next house of the same layers."""
    values.setflags(write=False)
    return values


def split(resistance: tuple[float, ...], capacity: tuple[float, ...], cells: list[int]) -> tuple[np.ndarray, np.ndarray]:
    """Cell chain of the layers: resistances between nodes [m2K/W] and node capacities [J/(m2 K)]."""
    between, nodes = [0.0], []
    for r, c, n in zip(resistance, capacity, cells, strict=True):
        if n == 0:
            between[-1] += r
        for _ in range(n):
            between[-1] += r / (2 * n)
            nodes.append(c / n)
            between.append(r / (2 * n))
    return np.maximum(between, CONTACT_R), np.array(nodes)


def chain_error(exact: list[np.ndarray], between: np.ndarray, nodes: np.ndarray, r_inside: float, r_outside: float) -> float:
    """Worst error of the cells' admittances against the exact ones of each period, as a share of the inside admittance [-]."""
    ours = [admittances(_cell_matrix(between, nodes, p, r_inside, r_outside)) for p in CHECKED_PERIODS_S]
    return max(float(np.max(np.abs(o - e)) / abs(e[0])) for o, e in zip(ours, exact, strict=True))


def admittances(matrix: np.ndarray) -> np.ndarray:
    """Y11, Y12, Y22 [W/(m2 K)] (complex) of a transfer matrix from (T, q) inside to (T, q) outside.

    Magnitudes as in ISO 13786:2017, 8.1: Y11 = -Z11/Z12, Y12 = 1/Z12, Y22 = -Z22/Z12.
    """
    return np.array([-matrix[0, 0], 1.0, -matrix[1, 1]]) / matrix[0, 1]


def layer_matrix(resistance: float, capacity: float, period_s: float) -> np.ndarray:
    """Heat transfer matrix of one homogeneous layer (ISO 13786:2017, 7.2): R [m2K/W], C [J/(m2 K)]."""
    root = np.sqrt(2j * np.pi / period_s * resistance * capacity)
    if abs(root) < 1e-9:
        return np.array([[1.0, -resistance], [0.0, 1.0]], dtype=complex)
    return np.array([[np.cosh(root), -resistance * np.sinh(root) / root], [-root * np.sinh(root) / resistance, np.cosh(root)]])


def _exact_matrix(
    resistance: tuple[float, ...], capacity: tuple[float, ...], period_s: float, r_inside: float, r_outside: float
) -> np.ndarray:
    matrix = layer_matrix(r_inside, 0.0, period_s)
    for r, c in zip(resistance, capacity, strict=True):
        matrix = layer_matrix(r, c, period_s) @ matrix
    return layer_matrix(r_outside, 0.0, period_s) @ matrix


def _cell_matrix(between: np.ndarray, nodes: np.ndarray, period_s: float, r_inside: float, r_outside: float) -> np.ndarray:
    matrix = layer_matrix(r_inside + float(between[0]), 0.0, period_s)
    for r, c in zip(between[1:], nodes, strict=True):
        store = np.array([[1.0, 0.0], [-2j * np.pi / period_s * c, 1.0]])
        matrix = layer_matrix(float(r), 0.0, period_s) @ store @ matrix
    return layer_matrix(r_outside, 0.0, period_s) @ matrix


def _slowest(resistance: tuple[float, ...], capacity: tuple[float, ...], cells: list[int]) -> int:
    time_s = [r * c / n**2 if n else 0.0 for r, c, n in zip(resistance, capacity, cells, strict=True)]
    return int(np.argmax(time_s))
