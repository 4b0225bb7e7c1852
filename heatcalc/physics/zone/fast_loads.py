"""Design loads of thousands of places or a million variants of one house, in arrays.

Nothing here is a second theory: the network is linear, so a steady state or a repeating day is a matrix worked out once
(`heat_line`, `day_responses`) and multiplied by whatever each place brings.  Both give the figures of `network.steady` and
`held_day.held_day` to rounding.  `Shares` goes one step further for studies of many variants: it scales the terms of one
solved case by what changes, see `heating_variants`.  Own; the balance is the network's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from heatcalc.physics.air.infiltration import infiltration_flow
from heatcalc.physics.air.ventilation import after_recovery, fan_and_leak, recovered_share
from heatcalc.physics.zone.held_day import HeldNetwork, held_day
from heatcalc.physics.zone.network import Network

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
