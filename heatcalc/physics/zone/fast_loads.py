"""Many cases at once: the day held at one temperature, parts that answer alike, design loads of thousands of places or a million
variants of one house, in arrays.

Nothing here is a second theory: the network is linear, so a steady state or a repeating day is a matrix worked out once
(`heat_line`, `day_responses`) and multiplied by whatever each place brings, to rounding the figures of `network.steady`.

A day held: with the air known the rest of the network is linear without a switch.  In modal coordinates each mode of a
day that repeats is a geometric series, z0 = sum(decay^(n-1-h) f_h) / (1 - decay^n); no iteration, no loop over cases.

Alike: two walls of one construction differ only in their sun, so their sum answers to the sum of what falls on them: one element
of the whole area, its channel the area-weighted mean.  Exact but for the long-wave coefficient inside
(`zone.star_coefficients`), which depends a little on each surface's own area and is averaged here so that its sum stays.

`Shares` goes one step further for studies of many variants: it scales the terms of one solved case by what changes, see
`heating_variants`.  Own; the balance is the network's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from heatcalc.physics.air.air_change import after_recovery, fan_and_leak, infiltration_flow, recovered_share
from heatcalc.physics.zone.network import HOUR_S, Network, reduce
from heatcalc.physics.zone.zone import Films, OpaqueElement, Window, Zone


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


Members = list[tuple[str, float]]


@dataclass(frozen=True)
class Alike:
    """A zone of few elements, and each of its channels as weighted channels of the described zone."""

    zone: Zone
    mixed: dict[str, tuple[tuple[str, float], ...]]

    def channels(self, described: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
        """The few channels from the many."""
        return {
            name: sum((weight * described[old] for old, weight in members), np.zeros(1)) for name, members in self.mixed.items()
        }


def alike(zone: Zone, node_error: float) -> Alike:
    """Join elements and windows that differ only in name, area and sun; nodes placed to `node_error`."""
    mixed: dict[str, Members] = {}
    elements = tuple(_joined(group, k, mixed) for k, group in enumerate(_grouped(zone.elements, _element_key)))
    windows = tuple(_glazed(group, k, mixed) for k, group in enumerate(_grouped(zone.windows, _window_key)))
    few = replace(zone, elements=elements, windows=windows, node_error=node_error)
    return Alike(few, {name: tuple(members) for name, members in mixed.items()})


def _grouped(parts, key) -> list[list]:
    groups: dict[tuple, list] = {}
    for part in parts:
        groups.setdefault(key(part), []).append(part)
    return list(groups.values())


def _element_key(e: OpaqueElement) -> tuple:
    films = replace(e.films, inside_radiation=float(e.films.inside_radiation > 0))
    return (replace(e.body, sun=str(bool(e.body.sun))), films, e.air_offset)


def _window_key(w: Window) -> tuple:
    return (w.resistance, replace(w.films, inside_radiation=0.0), w.sky_view)


def _together(group: list[Any], area: float) -> Films:
    """Films of the first, the long-wave coefficient averaged by area."""
    mean = sum(part.films.inside_radiation * part.area_m2 for part in group) / area
    return replace(group[0].films, inside_radiation=mean)


def _joined(group: list[OpaqueElement], k: int, mixed: dict[str, Members]) -> OpaqueElement:
    area = sum(e.area_m2 for e in group)
    sun = f"sun on part {k + 1}" if group[0].body.sun else ""
    if sun:
        mixed[sun] = [(e.body.sun, e.area_m2 / area) for e in group]
    return replace(
        group[0],
        area_m2=area,
        body=replace(group[0].body, sun=sun),
        films=_together(group, area),
        inside_solar_share=sum(e.inside_solar_share for e in group),
    )


def _glazed(group: list[Window], k: int, mixed: dict[str, Members]) -> Window:
    area = sum(w.area_m2 for w in group)
    new: dict[str, Any] = {}
    for kind, word in (("transmitted", "light"), ("absorbed_inside", "warm inner pane"), ("absorbed_outside", "warm outer pane")):
        members = [(getattr(w, kind), w.area_m2 / area) for w in group if getattr(w, kind)]
        new[kind] = f"{word} {k + 1}" if members else ""
        if members:
            mixed[new[kind]] = members
    return replace(group[0], area_m2=area, films=_together(group, area), **new)


Array = np.ndarray
STAR = "radiant star"
MOST_WARMER_K = 8.0  # air above what the room is to feel like: own choice, 84 F for 70 F, about the warmest people live in
BLOCK = 8_000


@dataclass(frozen=True, kw_only=True)
class HeatLine:
    """The steady heated state of one network as straight lines in its inputs, loss by loss."""

    input_names: tuple[str, ...]
    term_names: tuple[str, ...]  # all causes but the air exchange that varies
    star_per_air: float
    star_per_input: Array
    loss_per_air: Array  # (terms,) [W/K]
    loss_per_input: Array  # (terms, inputs)


@lru_cache(maxsize=128)
def heat_line(network: Network) -> HeatLine:
    """G T = B u with the air known, solved once for a unit of everything (balance as in `network.steady`)."""
    air, count = network.air, len(network.capacity)
    others = np.arange(count) != air
    known = np.hstack([-network.conductance[others, air][:, None], network.input_matrix[others]])
    solved = np.zeros((count, known.shape[1]))
    solved[others] = np.linalg.solve(network.conductance[np.ix_(others, others)], known)
    solved[air, 0] = 1.0
    loss = network.term_nodes @ solved
    star = solved[network.node_names.index(STAR)]
    return HeatLine(
        input_names=network.input_names,
        term_names=network.term_names,
        star_per_air=float(star[0]),
        star_per_input=star[1:],
        loss_per_air=loss[:, 0],
        loss_per_input=loss[:, 1:] + network.term_inputs,
    )


def in_one(line: HeatLine) -> HeatLine:
    """The same line with all its losses as one term, for where only their sum is asked (balance as in `heat_line`)."""
    return replace(
        line,
        term_names=("all",),
        loss_per_air=line.loss_per_air.sum(keepdims=True),
        loss_per_input=line.loss_per_input.sum(axis=0, keepdims=True),
    )


def heat_losses(line: HeatLine, channels: Mapping[str, Array | float], felt_C: float, exchange_W_K: Array) -> tuple[Array, Array]:
    """Losses [W] that make the room feel like `felt_C` (mean of air and radiant star, ISO 7726): term by term, and the air's.

    `channels` are the network's temperatures and its loft excess, arrays of any one shape; `exchange_W_K` meets "outdoor_C".
    Terms stand along the first axis.  The balance is `network.steady`'s.
    """
    given = {k: np.asarray(channels[n]) for k, n in enumerate(line.input_names) if n in channels}
    star = sum(line.star_per_input[k] * x for k, x in given.items())
    air = np.minimum((2.0 * felt_C - star) / (1.0 + line.star_per_air), felt_C + MOST_WARMER_K)
    shape = (-1, *(1,) * np.ndim(air))
    lost = line.loss_per_air.reshape(shape) * air
    lost = lost + sum(line.loss_per_input[:, k].reshape(shape) * x for k, x in given.items())
    return lost, exchange_W_K * (air - np.asarray(channels["outdoor_C"]))


@lru_cache(maxsize=32)
def day_responses(net: HeldNetwork) -> dict[str, Array]:
    """For each input the matrix R with which a repeating day u (24 hours) asks u @ R of the plant, the air held at 0 degC.

    By linearity: one unit in one hour, turned through the day, the balance of `held_day`.  Each matrix is (24, 24).
    """
    impulse = np.zeros((len(net.input_names), 24, len(net.input_names)))
    impulse[np.arange(len(net.input_names)), 0, np.arange(len(net.input_names))] = 1.0
    answer = held_day(net, impulse, 0.0)
    turned = np.stack([np.roll(answer, k, axis=1) for k in range(24)], axis=1)
    return dict(zip(net.input_names, turned, strict=True))


@dataclass(frozen=True, kw_only=True)
class HouseAir:
    """The air of one house as the enhanced model needs it (see `infiltration_flow`)."""

    coefficient: float
    exponent: float
    stack: float
    wind: float
    shelter: float
    balanced_m3_s: float
    unbalanced_m3_s: float
    sensible_recovery: float
    frost_K: float  # inside above outside from which the recovery's core frosts
    preheat_K: float  # how far a preheater can warm the air before it
    heat_capacity_J_m3K: float


def air_heat(air: HouseAir, delta_K: Array, wind_m_s: Array, leaks: Any = 1.0, fan: Any = 1.0) -> Array:
    """Heat of the outdoor air per kelvin [W/K] with leakage and fan flow scaled.

    Sources at `infiltration_flow`, `fan_and_leak` and `after_recovery` (ASHRAE Handbook - Fundamentals ch. 16, 17).
    """
    leak = infiltration_flow(air.coefficient, air.exponent, air.stack, air.wind, air.shelter, delta_K, wind_m_s) * leaks
    flow = fan_and_leak(leak, air.balanced_m3_s * fan, air.unbalanced_m3_s * fan)
    shared = air.sensible_recovery, delta_K, air.frost_K, air.preheat_K
    recovered = recovered_share(*shared) if air.sensible_recovery else 0.0
    return air.heat_capacity_J_m3K * after_recovery(flow, air.balanced_m3_s * fan, recovered)


@dataclass(frozen=True, kw_only=True)
class Shares:
    """One solved design case taken apart, to be scaled: its steady losses by group and its cooling terms by hour."""

    groups: tuple[str, ...]
    loss_W_K: Array  # (groups,) steady loss per kelvin between felt indoor and outdoor
    loft_W: float
    felt_C: float
    outdoor_C: float
    air_above_felt: float  # (air - felt) / (felt - outdoor) of the solved case
    air: HouseAir
    hours: Array  # hours of the design day looked at, the highest
    cool_hour_C: Array
    conduction_W: Array  # (groups, hours)
    opaque_sun_W: Array  # (groups, hours)
    glass_W: Array  # (hours,)
    gains_W: Array  # (hours,)
    cool_C: float


@dataclass(frozen=True, kw_only=True)
class Variants:
    """Factors and shifts of many variants; each a number or one for each variant."""

    losses: tuple[Array | float, ...]  # by group
    leaks: Array | float = 1.0
    fan: Array | float = 1.0
    wind_heating_m_s: Array | float = 6.7
    wind_cooling_m_s: Array | float = 3.4
    felt_K: Array | float = 0.0
    cool_K: Array | float = 0.0
    cold_K: Array | float = 0.0
    hot_K: Array | float = 0.0
    absorbed: Array | float = 1.0
    glass: Array | float = 1.0
    gains: Array | float = 1.0
    loft: Array | float = 1.0


def heating_variants(s: Shares, v: Variants) -> Array:
    """Design heating load of every variant [W].

    Each group's loss is its loss in the solved case times its factor and its new temperature difference; the air's own
    excess over the felt temperature follows the total of the losses.  Exact for the solved case and for changes of
    temperature, wind and air; a U-value changed by a fifth is met within half a percent of the full network (measured by
    the tests).
    """
    apart = (s.felt_C + np.asarray(v.felt_K)) - (s.outdoor_C + np.asarray(v.cold_K))
    lost = sum(w * np.asarray(f) for w, f in zip(s.loss_W_K, v.losses, strict=True))
    excess = s.air_above_felt * lost / s.loss_W_K.sum()
    exchange = air_heat(s.air, apart, np.asarray(v.wind_heating_m_s), np.asarray(v.leaks), np.asarray(v.fan))
    return lost * apart + s.loft_W * np.asarray(v.loft) + exchange * apart * (1.0 + excess)


def cooling_variants(ways: Sequence[Shares], v: Variants) -> Array:
    """Design sensible cooling load of every variant [W], (ways, variants): the largest of the hours looked at, each way the
    house may stand.

    Conduction scales with its factor and follows a shifted outdoor or indoor temperature as a steady difference; sun on
    opaque parts scales with factor and absorptance; sun through glass and gains by theirs; air by the enhanced model.
    """
    fields = [*v.losses, v.leaks, v.fan, v.wind_cooling_m_s, v.cool_K, v.hot_K, v.absorbed, v.glass, v.gains]
    count = max(np.size(x) for x in fields)
    found, weights = np.empty((len(ways), count)), _hour_weights(ways)
    for a in range(0, count, BLOCK):
        cut = slice(a, min(a + BLOCK, count))
        found[:, cut] = _cooling_block(ways, weights, [_cut(x, cut) for x in fields])
    return found


def _cut(value: Array | float, cut: slice) -> Array:
    whole = np.asarray(value, float)
    return whole[cut] if whole.size > 1 else np.full(cut.stop - cut.start, whole.item())


def _hour_weights(ways: Sequence[Shares]) -> Array:
    """What each cause brings to each hour of every way, (hours, causes): conduction, sun, glass, gains, shift, outdoor air."""
    hours_C = np.concatenate([s.cool_hour_C for s in ways])
    terms = np.hstack([np.vstack([s.conduction_W, s.opaque_sun_W, s.glass_W, s.gains_W]) for s in ways])
    meets = hours_C == np.unique(hours_C)[:, None]
    return np.ascontiguousarray(np.vstack([terms, np.ones(len(hours_C)), meets]).T)


def _cooling_block(ways: Sequence[Shares], weights: Array, x: list[Array]) -> Array:
    """Every hour of every way as one product of its weights with the causes; the outdoor air once for each temperature."""
    s, n = ways[0], len(ways[0].groups)
    losses, (leaks, fan, wind, cool, hot, absorbed, glass, gains) = x[:n], x[n:]
    warmer = hot - cool
    outdoor = np.unique(np.concatenate([w.cool_hour_C for w in ways]))
    apart = outdoor[:, None] - s.cool_C + warmer
    shifted = sum(w * f for w, f in zip(s.loss_W_K, losses, strict=True)) * warmer
    air = air_heat(s.air, apart, wind, leaks, fan) * apart
    load = weights @ np.vstack([*losses, *(f * absorbed for f in losses), glass, gains, shifted, air])
    return np.maximum.reduceat(load, np.cumsum([0, *(len(w.hours) for w in ways[:-1])]), axis=0)
