"""What the year's kernel is told: what the year brings to the house, and what heats and cools it; hourly
arrays of many variants contiguous, shared rows stored once.

ways     : exchange [W/K], its temperature, heating and cooling set point, moisture flow, outdoor humidity ratio,
           moisture gain, humidity limit
heating  : capacity, COP, coil flow at three levels; backup
cooling  : the same nine; coil humidity ratio, electricity always, when idle, when heating
scalars  : air's answer to one watt at the step's end and on average, moisture inertia, cycling loss, slack

The layout is the project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.physics.unit.heat_pump import DEGRADATION
from heatcalc.physics.zone.network import UNLIMITED, Modal, Series, step_inputs, uniform_state

HUMID = 1.0


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What the year brings to the house; numbers, or one for each step."""

    inputs: np.ndarray
    """(steps, inputs), see `network.inputs_of`; linear channels as readings at the ends of the steps."""
    bins: np.ndarray
    """Month (0 to 11) of each step: where its sums go."""
    heat_set_C: Series = -UNLIMITED
    cool_set_C: Series = UNLIMITED
    exchange_W_K: Series = 0.0
    """Air exchange on top of the zone's own constant one [W/K]."""
    exchange_C: Series = 0.0
    """Temperature it brings, mean of the step [degC]."""
    moisture_flow_kg_s: Series = 0.0
    """Dry air exchanged with outdoors [kg/s]."""
    outdoor_humidity_ratio: Series = 0.0
    moisture_gain_kg_s: Series = 0.0
    humid_limit: Series = HUMID
    """Humidity ratio above which a step counts as humid."""


@dataclass(frozen=True)
class Levels:
    """A unit's minimum, rated and maximum level, (3,) or (steps, 3); all nil where it cannot run."""

    capacity_W: np.ndarray
    """Sensible heat to (or, in cooling, from) the room [W], rising."""
    cop: np.ndarray
    """Sensible watts a watt [-]."""
    coil_flow_kg_s: np.ndarray | float = 0.0
    """Room air a second that the wet coil brings to `Plant.coil_humidity_ratio` [kg/s]."""


NO_LIMIT = Levels(np.array([0.0, 0.0, UNLIMITED]), np.ones(3))
NONE = Levels(np.zeros(3), np.ones(3))


@dataclass(frozen=True, kw_only=True)
class Plant:
    """What heats and cools; numbers, or one for each step."""

    heating: Levels = NO_LIMIT
    cooling: Levels = NO_LIMIT
    backup_W: Series = 0.0
    """Resistance heat that takes what the unit leaves [W]."""
    coil_humidity_ratio: Series = 0.0
    always_W: Series = 0.0
    """Electricity in every step (controls, a pan heater's share) [W]."""
    idle_W: Series = 0.0
    """Electricity while the unit does not run (standby, crankcase) [W]."""
    heating_extra_W: Series = 0.0
    """Electricity while it heats (pan heater) [W]."""
    cycling_degradation: float = DEGRADATION


UNLIMITED_PLANT = Plant()


@dataclass(frozen=True, kw_only=True)
class Packed:
    """Everything the loop needs, as contiguous arrays."""

    decay: np.ndarray
    forcing: np.ndarray
    """(variants, inputs, modes and behind them the air at the end and on average)."""
    plant: np.ndarray
    end_state: np.ndarray
    mean_state: np.ndarray
    scalars: np.ndarray
    known: np.ndarray
    ways: np.ndarray
    heating: np.ndarray
    cooling: np.ndarray
    bins: np.ndarray
    drive_of: np.ndarray
    plant_of: np.ndarray
    state: np.ndarray
    humidity: np.ndarray
    step_s: float


def pack(
    modes: Sequence[Modal],
    drives: Sequence[Drive],
    plants: Sequence[Plant],
    moisture_kg: Sequence[float],
    slack_K: float,
    start_C: float,
) -> Packed:
    """Everything the loop needs; drives and plants given more than once are stored once."""
    first = modes[0]
    for other in modes:
        if (other.input_names, other.linear, other.step_s) != (first.input_names, first.linear, first.step_s):
            raise ValueError("variants walked together need the same inputs and step")
    drive_of, some = _shared(drives)
    plant_of, units = _shared(plants)
    steps = len(some[0].inputs)
    scalars = [
        (m.end_plant, m.mean_plant, kg, p.cycling_degradation, slack_K)
        for m, kg, p in zip(modes, moisture_kg, plants, strict=True)
    ]
    return Packed(
        decay=_stack(modes, "decay"),
        forcing=_forcing(modes),
        plant=_stack(modes, "plant"),
        end_state=_stack(modes, "end_state"),
        mean_state=_stack(modes, "mean_state"),
        scalars=np.array(scalars),
        known=_known(first, some),
        ways=_columns(steps, [_ways(d) for d in some]),
        heating=_columns(steps, [(*_level_columns(u.heating), u.backup_W) for u in units]),
        cooling=_columns(
            steps, [(*_level_columns(u.cooling), u.coil_humidity_ratio, u.always_W, u.idle_W, u.heating_extra_W) for u in units]
        ),
        bins=np.asarray(some[0].bins, np.int64),
        drive_of=drive_of,
        plant_of=plant_of,
        state=_padded([uniform_state(m, start_C) for m in modes]),
        humidity=np.array([np.broadcast_to(d.outdoor_humidity_ratio, (steps,))[0] for d in drives], float),
        step_s=first.step_s,
    )


def _shared(things: Sequence) -> tuple[np.ndarray, list]:
    """Row number of each thing among the different ones (by identity), and those."""
    rows: dict[int, int] = {}
    different: list = []
    for thing in things:
        if id(thing) not in rows:
            rows[id(thing)] = len(different)
            different.append(thing)
    return np.array([rows[id(t)] for t in things], np.int64), different


def _known(modes: Modal, drives: Sequence[Drive]) -> np.ndarray:
    """(drives, steps, inputs and the changes of linear ones)."""
    steps, inputs = drives[0].inputs.shape
    out = np.empty((len(drives), steps, inputs + len(modes.linear)))
    for row, d in zip(out, drives, strict=True):
        step_inputs(modes, d.inputs, row)
    return out


def _stack(modes: Sequence[Modal], name: str) -> np.ndarray:
    return _padded([getattr(m, name) for m in modes])


def _forcing(modes: Sequence[Modal]) -> np.ndarray:
    """(variants, inputs, modes + 2): what each input does in a step to every mode, the end and the mean air."""
    rows = _padded([m.forcing for m in modes])
    air = np.array([(m.end_inputs, m.mean_inputs) for m in modes])
    return np.ascontiguousarray(np.concatenate([rows, air], axis=1).transpose(0, 2, 1))


def _padded(arrays: list[np.ndarray]) -> np.ndarray:
    """Stacked on a leading axis, the modes filled up with nil to a multiple of 8."""
    most = -(-max(len(a) for a in arrays) // 8) * 8
    out = np.zeros((len(arrays), most, *arrays[0].shape[1:]))
    for row, a in zip(out, arrays, strict=True):
        row[: len(a)] = a
    return out


def _columns(steps: int, things: Sequence[Sequence[Series]]) -> np.ndarray:
    """(things, steps, columns), each column written once."""
    out = np.empty((len(things), steps, len(things[0])))
    for row, columns in zip(out, things, strict=True):
        for k, column in enumerate(columns):
            row[:, k] = column
    return out


def _ways(d: Drive) -> tuple[Series, ...]:
    return (
        d.exchange_W_K,
        d.exchange_C,
        d.heat_set_C,
        d.cool_set_C,
        d.moisture_flow_kg_s,
        d.outdoor_humidity_ratio,
        d.moisture_gain_kg_s,
        d.humid_limit,
    )


def _level_columns(levels: Levels) -> list[Series]:
    flow = np.broadcast_to(levels.coil_flow_kg_s, (3,)) if np.ndim(levels.coil_flow_kg_s) == 0 else (levels.coil_flow_kg_s)
    return [np.asarray(group)[..., k] for group in (levels.capacity_W, levels.cop, flow) for k in range(3)]
