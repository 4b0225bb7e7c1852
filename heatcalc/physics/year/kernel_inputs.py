"""What the year's kernel is told: what the year brings to the house, and what heats and cools it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.physics.zone.network import UNLIMITED, Series

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
    cycling_degradation: float = 0.25


UNLIMITED_PLANT = Plant()
