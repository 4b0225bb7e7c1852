"""Warming the house up after a cold soak: hours until the air, and until the room, is warm again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.answers.methods.envelope_rules import most_heat_W
from heatcalc.answers.methods.hand_method import air_heat_capacity
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import ONE_HEATER_W
from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.physics.zone.network import Control, Modal, Network, inputs_of, modal, recover, steady, uniform_state, walk

START_C, GOAL_C = (20.0 - 32.0) / 1.8, (68.0 - 32.0) / 1.8
STEP_S = 120.0
LONGEST_H = 72
NEAR_K = 1.0  # felt: this close to what the room feels like for good with its air at the goal
CAUTION = "Water lines inside were frozen at the start: look for leaks before the supply is opened."


@dataclass(frozen=True)
class PickUp:
    """Hours until the air reaches the goal and the room feels within 1 K of its final warmth; None where it never does."""

    source: str
    heat_W: float
    air_h: float | None
    felt_h: float | None
    felt_after_air_C: float | None


@dataclass(frozen=True)
class PickUps:
    """Ways of warming up at one outdoor temperature; all temperatures in degC."""

    outdoor_C: float
    start_C: float
    goal_C: float
    ways: tuple[PickUp, ...]


def pick_up(designer: Designer, unit: Unit | None, start_C: float = START_C, goal_C: float = GOAL_C) -> PickUps:
    """Walk the winter network from a soaked house at full heat, no sun, nobody home, design cold and wind.

    At the start everything in the house is at `start_C`; the air exchange is that of half way.
    The unit gives what it gives to a 70 F room, a little less than to a cold one.
    """
    outdoor = designer.conditions.heating_C
    ways = [(f"one {ONE_HEATER_W:,.0f} W heater alone", ONE_HEATER_W)]
    if unit is not None:
        full = float(most_heat_W(designer, unit, np.array([outdoor]))[0])
        ways = [(f"{unit.name} alone", full), (f"{unit.name} and one {ONE_HEATER_W:,.0f} W heater", full + ONE_HEATER_W), *ways]
    net = designer.model.winter
    modes = modal(net, STEP_S)
    return PickUps(
        outdoor, start_C, goal_C, tuple(_warmed(designer, net, modes, name, heat, start_C, goal_C) for name, heat in ways)
    )


def _warmed(designer: Designer, net: Network, modes: Modal, name: str, heat_W: float, start_C: float, goal_C: float) -> PickUp:
    outdoor = designer.conditions.heating_C
    inputs = inputs_of(net, {"outdoor_C": outdoor, "sky_C": outdoor, "below_C": float(designer.below_C(outdoor, "winter"))})
    steps = int(LONGEST_H * 3600 / STEP_S)
    control = Control(
        heat_set_C=goal_C, heat_max_W=heat_W, exchange_W_K=_exchange_W_K(designer, 0.5 * (start_C + goal_C)), exchange_C=outdoor
    )
    gone = walk(modes, np.tile(inputs, (steps, 1)), control, uniform_state(modes, start_C))
    air, felt = _hours(gone.air_end_C, goal_C), _felt(net, modes, gone.states[1:], inputs, gone.air_end_C)
    at = None if air is None else float(np.interp(air, np.arange(1, steps + 1) * STEP_S / 3600, felt))
    final = 0.5 * (goal_C + steady(net, inputs, goal_C).temperatures_C["radiant star"])
    return PickUp(name, heat_W, air, None if air is None else _hours(felt, final - NEAR_K), at)


def _hours(series_C: np.ndarray, level_C: float) -> float | None:
    """Hours until a series first comes within 0.05 K of a level, to the step."""
    there = np.flatnonzero(series_C >= level_C - 0.05)
    return None if len(there) == 0 else float((there[0] + 1) * STEP_S / 3600)


def _felt(net: Network, modes: Modal, states: np.ndarray, inputs: np.ndarray, air_C: np.ndarray) -> np.ndarray:
    """Mean of air and radiant temperature at the end of each step (ISO 7726)."""
    from_state, from_inputs = recover(net)
    star = net.node_names.index("radiant star")
    radiant = states @ (from_state[star] @ modes.from_modal) + from_inputs[star] @ inputs
    return 0.5 * (air_C + radiant)


def _exchange_W_K(designer: Designer, indoor_C: float) -> float:
    air = designer.model.air
    flow = float(air.sensible(indoor_C - designer.conditions.heating_C, DESIGN_WIND_HEATING_M_S))
    return air_heat_capacity(designer, indoor_C) * flow
