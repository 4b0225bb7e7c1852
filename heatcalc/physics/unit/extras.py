"""What a unit draws beside compressor and fans: standby and crankcase heater while it rests, pan heater while it heats.

The sums are own, a balance by the share of the time the unit runs; thresholds and watts are in the table unit_rules.
"""

from __future__ import annotations

import numpy as np

from heatcalc.physics.unit.heat_pump import Operation, Unit
from heatcalc.physics.unit.unit_rules import rule


def resting_W(unit: Unit, outdoor_C) -> np.ndarray:
    """Input while the unit rests [W]: standby, and the crankcase heater in the cold (threshold and watts: table unit_rules).

    The input of a running unit, as tested, holds its electronics already.  Shape of `outdoor_C` [degC].
    """
    cold = np.asarray(outdoor_C) < rule("crankcase_below")
    return unit.standby_W + np.where(cold, unit.crankcase_W, 0.0)


def pan_W(unit: Unit, outdoor_C) -> np.ndarray:
    """Input of the base-pan heater while the unit heats [W], shape of `outdoor_C` [degC] (table unit_rules)."""
    return np.where(np.asarray(outdoor_C) < rule("pan_heater_below"), unit.pan_heater_W, 0.0)


def heating_input_W(unit: Unit, outdoor_C, run: Operation) -> np.ndarray:
    """Whole input of a unit that heats a share of the time [W]."""
    return run.power_W + run.run_fraction * pan_W(unit, outdoor_C) + (1.0 - run.run_fraction) * resting_W(unit, outdoor_C)


def cooling_input_W(unit: Unit, outdoor_C, run: Operation) -> np.ndarray:
    """Whole input of a unit that cools a share of the time [W]."""
    return run.power_W + (1.0 - run.run_fraction) * resting_W(unit, outdoor_C)
