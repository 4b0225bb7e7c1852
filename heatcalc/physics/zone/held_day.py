"""The repeating day with the air held at one temperature all the time: closed form, for many cases at once.

With the air known, the rest of the network is linear without a switch.  In modal coordinates each mode of a
day that repeats is a geometric series, z0 = sum(decay^(n-1-h) f_h) / (1 - decay^n); no iteration, no loop over cases.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from heatcalc.physics.zone.network import HOUR_S, Network, reduce


@dataclass(frozen=True, eq=False, kw_only=True)
class HeldNetwork:
    """The reduced network with its air node taken as a known temperature."""

    rate: np.ndarray  # of each mode [1/s]
    to_air: np.ndarray  # heat from each mode to the air [W per unit z]
    sources: np.ndarray  # (terms, modes, inputs + air): what drives each mode
    air_sources: np.ndarray  # (terms, inputs): heat straight to the air [W per unit]
    air_W_K: float  # G of the air node
    term_names: tuple[str, ...]
    input_names: tuple[str, ...]


@lru_cache(maxsize=32)
def held(network: Network) -> HeldNetwork:
    """Prepare a network once: one eigendecomposition of all nodes but the air."""
    net = reduce(network)
    others = np.arange(len(net.capacity)) != net.air
    root = np.sqrt(net.capacity[others])
    rate, vectors = np.linalg.eigh(net.conductance[np.ix_(others, others)] / np.outer(root, root))
    project = (vectors / root[:, None]).T
    return HeldNetwork(
        rate=rate,
        to_air=net.conductance[net.air, others] @ (vectors / root[:, None]),
        sources=project @ net.term_sources[:, others],
        air_sources=net.term_sources[:, net.air],
        air_W_K=float(net.conductance[net.air, net.air]),
        term_names=net.term_names,
        input_names=net.input_names,
    )


def held_day(net: HeldNetwork, inputs: np.ndarray, air_C: float, step_s: float = HOUR_S) -> np.ndarray:
    """Heat the plant gives in each step [W], (cases, steps), from inputs (cases, steps, inputs); see `held_day_by_term`."""
    whole = replace(net, sources=net.sources.sum(axis=0, keepdims=True), air_sources=net.air_sources.sum(axis=0, keepdims=True))
    return held_day_by_term(whole, inputs, air_C, step_s)[..., 0]


def held_day_by_term(net: HeldNetwork, inputs: np.ndarray, air_C: float, step_s: float = HOUR_S) -> np.ndarray:
    """Heat the plant gives in each step [W] by cause: (cases, steps, terms) from inputs (cases, steps, inputs).

    Inputs are step means; temperatures count from `air_C`, so a term is what its own sources alone ask for, and
    the terms sum to the load.  Exact for inputs constant within a step.  Air exchange that varies is not in it: the
    air being held, it asks H (air - outdoor) on top.
    """
    relative = inputs - np.array([air_C if name.endswith("_C") else 0.0 for name in net.input_names])
    driven = np.tensordot(relative, net.sources, axes=(2, 2))  # (cases, steps, terms, modes) [W]
    decay = np.exp(-net.rate * step_s)
    gained = (1.0 - decay) / net.rate * driven
    state = _repeating_start(gained, decay)
    load = -relative @ net.air_sources.T
    for h in range(inputs.shape[1]):
        after = decay * state + gained[:, h]
        mean = (driven[:, h] - (after - state) / step_s) / net.rate
        load[:, h] += mean @ net.to_air
        state = after
    return load


def _repeating_start(gained: np.ndarray, decay: np.ndarray) -> np.ndarray:
    """Modal state at the start of a day that repeats."""
    steps = gained.shape[1]
    state = np.zeros(gained[:, 0].shape)
    for h in range(steps):
        state = decay * state + gained[:, h]
    return state / (1.0 - decay**steps)
