"""The one thermal network, asked for a steady state, a repeating day, a walk.

    C dT/dt = -G T + B u + e_air (q_plant + q_air)

Nothing here knows about walls or windows (`zone.network_of` does).  Massless nodes are eliminated once;
symmetrised with sqrt(C) the rest has real modes, each decaying by exp(-lambda t), so a step is exact for
inputs that are constant or straight within it and has no stability limit.

In a step, with Q the heat at the air node (plant and air exchange, constant over the step):

    air at the end  T = a + r Q        air on average  Tm = am + rm Q        Q = q + H (To - Tm)

so an exchange H [W/K] that changes by the hour and the thermostat are closed forms.  The exchange meets the
step's mean air temperature: second order in the step, and the energy sums close to rounding.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import factorial

import numpy as np

from heatcalc.errors import InputError, nearest

HOUR_S = 3600.0
UNLIMITED = float("inf")
Series = np.ndarray | float


@dataclass(frozen=True, eq=False, kw_only=True)
class Network:
    """Matrices of a zone.  Terms are heat losses by cause [W]: term_nodes @ T + term_inputs @ u."""

    capacity: np.ndarray
    conductance: np.ndarray
    input_matrix: np.ndarray
    input_names: tuple[str, ...]
    node_names: tuple[str, ...]
    air: int
    term_names: tuple[str, ...]
    term_nodes: np.ndarray
    term_inputs: np.ndarray
    term_sources: np.ndarray
    """(terms, nodes, inputs): the part of `input_matrix` that each term brings."""


@dataclass(frozen=True, kw_only=True)
class Modal:
    """A network's exact step of `step_s` seconds in modal coordinates z (T = from_modal @ z)."""

    step_s: float
    input_names: tuple[str, ...]
    linear: tuple[int, ...]
    """Inputs straight within the step; their changes stand as further columns behind the inputs."""
    decay: np.ndarray
    forcing: np.ndarray
    plant: np.ndarray
    end_state: np.ndarray
    end_inputs: np.ndarray
    end_plant: float
    mean_state: np.ndarray
    mean_inputs: np.ndarray
    mean_plant: float
    from_modal: np.ndarray
    to_modal: np.ndarray
    network: Network
    """The reduced network these modes belong to."""


@dataclass(frozen=True)
class SteadyResult:
    """The plant's heat of a steady state, every node's temperature, and where the heat goes."""

    load_W: float
    temperatures_C: dict[str, float]
    terms_W: dict[str, float]
    """Heat losses by cause (gains negative); they sum to the load."""


@dataclass(frozen=True)
class Walk:
    """What happened in each step; plant heat positive, cooling negative."""

    plant_W: np.ndarray
    exchange_W: np.ndarray
    air_end_C: np.ndarray
    air_mean_C: np.ndarray
    states: np.ndarray
    """Modal state at the start of each step, and at the end of the last: (steps + 1, modes)."""


def inputs_of(network: Network | Modal, channels: Mapping[str, Series]) -> np.ndarray:
    """Named channels as the input array of this network, (inputs,) or (steps, inputs) [degC, W].

    A temperature the network needs must be there; sun and gains that are not given are nil.
    Channels the network does not use are refused, except temperatures (a place has a sky for every house).
    """
    names = network.input_names
    for name in channels:
        if name not in names and not name.endswith("_C"):
            raise InputError("channel", name, "the network has no such input", nearest(name, names))
    missing = [n for n in names if n.endswith("_C") and n not in channels]
    if missing:
        raise InputError("channel", missing[0], "the network needs this temperature")
    columns = [np.asarray(channels.get(n, 0.0), float) for n in names]
    out = np.empty((*np.broadcast_shapes(*(c.shape for c in columns)), len(names)))
    for k, column in enumerate(columns):
        out[..., k] = column
    return out


def recover(network: Network) -> tuple[np.ndarray, np.ndarray]:
    """All nodes from the massive ones and the inputs: T = from_state @ T_massive + from_inputs @ u [degC]."""
    massive = network.capacity > 0
    light = ~massive
    count, inputs = len(network.capacity), len(network.input_names)
    from_state, from_inputs = np.zeros((count, int(massive.sum()))), np.zeros((count, inputs))
    from_state[massive] = np.eye(int(massive.sum()))
    if light.any():
        known = np.hstack([-network.conductance[np.ix_(light, massive)], network.input_matrix[light]])
        solved = np.linalg.solve(network.conductance[np.ix_(light, light)], known)
        from_state[light], from_inputs[light] = solved[:, : massive.sum()], solved[:, massive.sum() :]
    return from_state, from_inputs


def reduce(network: Network) -> Network:
    """The same network without its massless nodes (exact: they hold no heat)."""
    massive = network.capacity > 0
    if massive.all():
        return network
    from_state, from_inputs = recover(network)
    conductance = from_state.T @ network.conductance @ from_state
    return Network(
        capacity=network.capacity[massive],
        conductance=0.5 * (conductance + conductance.T),
        input_matrix=from_state.T @ network.input_matrix,
        input_names=network.input_names,
        node_names=tuple(np.array(network.node_names)[massive]),
        air=int(massive[: network.air].sum()),
        term_names=network.term_names,
        term_nodes=network.term_nodes @ from_state,
        term_inputs=network.term_inputs + network.term_nodes @ from_inputs,
        term_sources=from_state.T @ network.term_sources,
    )


@lru_cache(maxsize=16)
def modal(network: Network, step_s: float = HOUR_S, linear: tuple[str, ...] = ()) -> Modal:
    """One eigendecomposition: the exact step of the reduced network.

    linear : channels that are readings at the ends of the steps, straight between; all others are step means.
    """
    net = reduce(network)
    root = np.sqrt(net.capacity)
    rate, vectors = np.linalg.eigh(net.conductance / np.outer(root, root))
    x = np.maximum(rate, 0.0) * step_s
    from_modal, to_modal = vectors / root[:, None], (vectors * root[:, None]).T
    source = from_modal.T @ net.input_matrix * step_s
    heat = from_modal[net.air] * step_s
    slopes = tuple(net.input_names.index(name) for name in linear)
    one, two, three = (_phi(x, order) for order in (1, 2, 3))
    slope, mean_slope = two - 0.5 * one, three - 0.5 * two
    forcing = np.hstack([one[:, None] * source, slope[:, None] * source[:, slopes]])
    averaged = np.hstack([two[:, None] * source, mean_slope[:, None] * source[:, slopes]])
    row, decay = from_modal[net.air], np.exp(-x)
    return Modal(
        step_s=step_s,
        input_names=net.input_names,
        linear=slopes,
        decay=decay,
        forcing=forcing,
        plant=one * heat,
        end_state=row * decay,
        end_inputs=row @ forcing,
        end_plant=float(row @ (one * heat)),
        mean_state=row * one,
        mean_inputs=row @ averaged,
        mean_plant=float(row @ (two * heat)),
        from_modal=from_modal,
        to_modal=to_modal,
        network=net,
    )


def _phi(x: np.ndarray, order: int) -> np.ndarray:
    """phi_k(-x) of exponential integrators: phi_1 = (1 - exp(-x))/x, phi_k+1 = (1/k! - phi_k)/x."""
    small = x < 0.3
    y = np.where(small, x, 0.0)
    series = np.polyval([(-1.0) ** k / factorial(k + order) for k in reversed(range(16))], y)
    big = np.where(small, 1.0, x)
    direct = -np.expm1(-big) / big
    for k in range(1, order):
        direct = (1.0 / factorial(k) - direct) / big
    return np.where(small, series, direct)


def step_inputs(modes: Modal, inputs: np.ndarray, into: np.ndarray | None = None) -> np.ndarray:
    """Inputs as the step needs them: linear channels become step means, their changes go behind as columns [degC, W].

    The value before the first step is the last one (a day or a year that repeats).  `into` takes them where it is given.
    """
    slopes = list(modes.linear)
    readings = inputs[..., slopes]
    before = np.roll(readings, 1, axis=-2)
    out = np.empty((*inputs.shape[:-1], inputs.shape[-1] + len(slopes))) if into is None else into
    out[..., : inputs.shape[-1]], out[..., inputs.shape[-1] :] = inputs, readings - before
    out[..., slopes] = 0.5 * (readings + before)
    return out


def uniform_state(modes: Modal, air_C: float) -> np.ndarray:
    """The modal state with every node at one temperature [modal]."""
    return modes.to_modal @ np.full(len(modes.decay), air_C)


def steady(
    network: Network, inputs: np.ndarray, air_C: float, air_exchange_W_K: float = 0.0, exchange_C: float | None = None
) -> SteadyResult:
    """The plant's heat that holds the air at `air_C` for ever, and where it goes.

    G T = B u + e_air q with T_air known.  `air_exchange_W_K` comes on top of the zone's own constant one.
    """
    count, air = len(network.capacity), network.air
    others = np.arange(count) != air
    known = network.input_matrix @ inputs - network.conductance[:, air] * air_C
    temperatures = np.full(count, float(air_C))
    temperatures[others] = np.linalg.solve(network.conductance[np.ix_(others, others)], known[others])
    losses = network.term_nodes @ temperatures + network.term_inputs @ inputs
    terms = dict(zip(network.term_names, losses.tolist(), strict=True))
    if air_exchange_W_K:
        meets = inputs[network.input_names.index("outdoor_C")] if exchange_C is None else exchange_C
        terms["air exchange"] = terms.get("air exchange", 0.0) + air_exchange_W_K * (air_C - float(meets))
    at_nodes = dict(zip(network.node_names, temperatures.tolist(), strict=True))
    return SteadyResult(sum(terms.values()), at_nodes, terms)


@dataclass(frozen=True, kw_only=True)
class Control:
    """What the air is held to and what the plant may do; numbers, or one for each step."""

    heat_set_C: Series = -UNLIMITED
    cool_set_C: Series = UNLIMITED
    heat_max_W: Series = UNLIMITED
    cool_max_W: Series = UNLIMITED
    exchange_W_K: Series = 0.0
    """Air exchange on top of the zone's own constant one."""
    exchange_C: Series = 0.0
    """What that exchange brings in, as a mean over the step."""


def plant_heat(
    end: float,
    mean: float,
    modes: Modal,
    heat_set: float,
    cool_set: float,
    heat_max: float,
    cool_max: float,
    exchange: float,
    meets: float,
) -> tuple[float, float]:
    """Plant and air-exchange heat of one step [W] that bring the air to its set point at the step's end.

    end, mean : the air temperature at the end and on average without either heat [degC].
    """
    carried = exchange * (meets - mean)
    damped = 1.0 + modes.mean_plant * exchange
    free = end + modes.end_plant * carried / damped
    target = heat_set if free < heat_set else cool_set if free > cool_set else free
    if target == free:
        return 0.0, carried / damped
    plant = (target - end) / modes.end_plant * damped - carried
    plant = float(min(max(plant, -cool_max), heat_max))
    return plant, (plant + carried) / damped - plant


def walk(modes: Modal, inputs: np.ndarray, control: Control, start: np.ndarray) -> Walk:
    """Step through `inputs` (steps, inputs) from a modal state; every step is exact for its inputs."""
    known, steps = step_inputs(modes, inputs), len(inputs)
    ways = _ways(control, steps)
    states = np.empty((steps + 1, len(modes.decay)))
    states[0] = start
    plant, exchange = np.zeros(steps), np.zeros(steps)
    end, mean = known @ modes.end_inputs, known @ modes.mean_inputs
    forced = known @ modes.forcing.T
    for h in range(steps):
        end[h] += modes.end_state @ states[h]
        mean[h] += modes.mean_state @ states[h]
        plant[h], exchange[h] = plant_heat(end[h], mean[h], modes, *ways[:, h])
        states[h + 1] = modes.decay * states[h] + forced[h] + modes.plant * (plant[h] + exchange[h])
    heat = plant + exchange
    return Walk(plant, exchange, end + modes.end_plant * heat, mean + modes.mean_plant * heat, states)


def _ways(control: Control, steps: int) -> np.ndarray:
    fields = (
        control.heat_set_C,
        control.cool_set_C,
        control.heat_max_W,
        control.cool_max_W,
        control.exchange_W_K,
        control.exchange_C,
    )
    return np.array([np.broadcast_to(np.asarray(f, float), (steps,)) for f in fields])


def repeating_day(modes: Modal, inputs: np.ndarray, control: Control, most_rounds: int = 60) -> Walk:
    """The day that repeats itself: x_end = M x_start + d, so (I - M) x = d, solved once for a plant pattern.

    Which steps are held, limited or free is not known beforehand: walk, read the pattern, solve, until it
    stands.  Steps are `modes.step_s` long; a finer design day is a finer step.
    """
    known, ways = step_inputs(modes, inputs), _ways(control, len(inputs))
    state = uniform_state(modes, float(np.clip(20.0, np.max(ways[0]), np.max([ways[0], ways[1]]))))
    day = walk(modes, inputs, control, state)
    for _ in range(most_rounds):
        state = _repeating_state(modes, known, ways, day)
        day = walk(modes, inputs, control, state)
        if np.allclose(day.states[-1], day.states[0], rtol=0.0, atol=1e-9 * (1.0 + np.abs(state).max())):
            return day
    raise InputError("control", None, "no repeating day was found: the plant switches between two patterns")


def _repeating_state(modes: Modal, known: np.ndarray, ways: np.ndarray, day: Walk) -> np.ndarray:
    """Solve the affine map of one day with the plant pattern of `day`."""
    count = len(modes.decay)
    product, shift = np.eye(count), np.zeros(count)
    for h in range(len(known)):
        matrix, given = _step_map(modes, known[h], ways[:, h], day.plant_W[h])
        product, shift = matrix @ product, matrix @ shift + given
    return np.linalg.solve(np.eye(count) - product, shift)


def _step_map(modes: Modal, known: np.ndarray, way: np.ndarray, plant: float) -> tuple[np.ndarray, np.ndarray]:
    """One step as z' = M z + d, with the plant holding the set point, at its limit, or off."""
    heat_set, cool_set, heat_max, cool_max, exchange, meets = way
    forced = modes.forcing @ known
    limited = plant in (0.0, heat_max, -cool_max)
    if not limited:
        held = heat_set if plant > 0 else cool_set
        pull = modes.plant / modes.end_plant
        return np.diag(modes.decay) - np.outer(pull, modes.end_state), forced + pull * (held - modes.end_inputs @ known)
    pull = modes.plant / (1.0 + modes.mean_plant * exchange)
    given = plant + exchange * (meets - modes.mean_inputs @ known)
    return np.diag(modes.decay) - np.outer(pull, exchange * modes.mean_state), forced + pull * given


def free_float(modes: Modal, inputs: np.ndarray, start: np.ndarray, exchange_W_K: Series = 0.0, exchange_C: Series = 0.0) -> Walk:
    """No plant from here on: a power cut, or an empty house."""
    return walk(modes, inputs, Control(exchange_W_K=exchange_W_K, exchange_C=exchange_C), start)


def hours_to(walked: Walk, start_air_C: float, level_C: float, step_s: float = HOUR_S) -> float | None:
    """Hours until the air first passes `level_C` (straight within the step), or None if it never does."""
    air = np.concatenate([[start_air_C], walked.air_end_C])
    side = np.sign(air - level_C)
    crossed = np.flatnonzero(side[1:] != side[0])
    if side[0] == 0 or len(crossed) == 0:
        return 0.0 if side[0] == 0 else None
    k = int(crossed[0])
    return float(k + (level_C - air[k]) / (air[k + 1] - air[k])) * step_s / HOUR_S
