"""Frost and defrost of the outdoor coil, once, never on top of a tested point; and what a unit draws beside compressor and fans:
standby and crankcase heater while it rests, pan heater while it heats.

Sources of frost: 10 CFR 430 subpart B appendix M1 (from memory), a printed manual table, own rule for humidity.  The other sums
are own, a balance by the share of the time the unit runs; thresholds and watts are in the table unit_rules.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from heatcalc.physics.air.moist_air import saturation_pressure
from heatcalc.physics.unit.heat_pump import FROST_HIGH_C, FROST_LOW_C, Array, Curves, Operation, Unit, rule
from heatcalc.tables import rows

FROST_POINT_C = (35.0 - 32.0) / 1.8
_DRY_LOW_C, _DRY_HIGH_C = (17.0 - 32.0) / 1.8, (47.0 - 32.0) / 1.8
_PRINTED_HUMIDITY = 0.85
_FREEZING_C = 0.0


@cache
def _printed() -> tuple[np.ndarray, np.ndarray]:
    table = np.array([(float(r["outdoor_F"]), float(r["factor"])) for r in rows("defrost")])
    return (table[:, 0] - 32.0) / 1.8, table[:, 1]


def defrost_factor(outdoor_C, relative_humidity=_PRINTED_HUMIDITY):
    """Capacity with frost over that without; straight between printed rows (5 to 59 F, 85 % humidity) [-].

    At another humidity the loss scales with the moisture the air can leave on a coil 7 K colder (own rule).
    """
    nodes, factors = _printed()
    loss = 1.0 - np.interp(np.asarray(outdoor_C, float), nodes, factors)
    return 1.0 - loss * frost_driver(outdoor_C, relative_humidity)


def frost_driver(outdoor_C, relative_humidity):
    """Moisture left on the coil relative to 85 % humidity, 0 to 1.4 (own rule, vapour pressure)."""
    outdoor = np.asarray(outdoor_C, float)
    air = saturation_pressure(outdoor)
    coil = saturation_pressure(outdoor - rule("frost_coil_below_air"))
    return np.clip((relative_humidity * air - coil) / (_PRINTED_HUMIDITY * air - coil), 0.0, 1.4)


def defrost_band() -> tuple[float, float]:
    """Least and most of the printed factors from 5 to 23 F [-]: how far the one print may be off for another unit."""
    nodes, factors = _printed()
    steady = factors[nodes < _FREEZING_C - 1.0]
    return float(steady.min()), float(steady.max())


def with_defrost(curves: Curves) -> Curves:
    """A heating table of steady tests with what defrosting takes at and below 17 F, at the print's 85 % humidity.

    Warmer points hold their frost already, tested or by rule, so between 17 F and them the factor runs out; below the print's
    coldest 5 F its last factor is held.  The unit's input stays: one print has it within 2 % (0.985 at 35 F by the federal rule).
    """
    cold = curves.outdoor_C <= FROST_LOW_C + 0.1
    factor = np.where(cold, defrost_factor(curves.outdoor_C), 1.0)
    exact = curves.given if curves.exact is None else curves.exact
    return replace(
        curves,
        capacity_W={level: row * factor for level, row in curves.capacity_W.items()},
        exact={level: flags & ~cold for level, flags in exact.items()},
    )


def humidity_factor(outdoor_C, relative_humidity, frost_by_rule, steady):
    """Factor on heating capacity for air drier or damper than the print's 85 % [-]; arrays, or flags that broadcast.

    frost_by_rule : the curves hold the rule's dip, not a tested frost point
    steady : the table leaves defrosting out, so that `with_defrost` put it in
    """
    outdoor = np.asarray(outdoor_C, float)
    ratio = defrost_factor(outdoor, relative_humidity) / defrost_factor(outdoor)
    ruled = frost_by_rule & (outdoor > FROST_LOW_C) & (outdoor < FROST_HIGH_C)
    cold = steady * np.clip((FROST_POINT_C - outdoor) / (FROST_POINT_C - FROST_LOW_C), 0.0, 1.0)
    return 1.0 + np.where(ruled, 1.0, cold) * (ratio - 1.0)


def has_frost_point(outdoor_C) -> bool:
    """Whether a heating table prints a point where frost forms (between 17 and 44.6 F)."""
    nodes = np.asarray(outdoor_C, float)
    return bool(np.any((nodes > FROST_LOW_C + 0.1) & (nodes < FROST_HIGH_C - 0.1)))


def frost_pattern(outdoor_C: Array, capacity_W: Array) -> float | None:
    """Least capacity where frost forms over the straight line through its dry neighbours; None without such rows [-].

    Own reading of the published dips of 0.84 to 0.90 at 30 to 36 F: rows on the line do not hold their defrosts.
    """
    frosty = np.array([has_frost_point([t]) for t in outdoor_C])
    nodes, row = outdoor_C[~frosty], capacity_W[~frosty]
    if not len(nodes) or not np.any(frosty & (outdoor_C > nodes[0]) & (outdoor_C < nodes[-1])):
        return None
    return float((capacity_W / np.interp(outdoor_C, nodes, row))[frosty & (outdoor_C > nodes[0]) & (outdoor_C < nodes[-1])].min())


def with_frost_point(curves: Curves) -> Curves:
    """The curves with a 35 F node by rule: 0.90 of the dry straight line in capacity, 0.985 in power.

    US federal rating default (10 CFR 430 subpart B appendix M1), from memory.  Unchanged where frost is
    printed or the print does not span 35 F.
    """
    nodes = curves.outdoor_C
    if has_frost_point(nodes) or not nodes[0] < FROST_POINT_C < nodes[-1]:
        return curves
    extra = [x for x in (_DRY_LOW_C, FROST_POINT_C, _DRY_HIGH_C) if nodes[0] < x < nodes[-1] and np.abs(nodes - x).min() > 0.05]
    merged = np.sort(np.append(nodes, extra))
    dip = np.abs(merged - FROST_POINT_C) < 1e-9

    def dipped(values: dict, factor: float) -> dict:
        return {k: np.interp(merged, nodes, v) * np.where(dip, factor, 1.0) for k, v in values.items()}

    given, power_given = (
        {k: np.isin(merged, nodes[v]) for k, v in flags.items()} for flags in (curves.given, curves.power_given)
    )
    return replace(
        curves,
        outdoor_C=merged,
        given=given,
        power_given=power_given,
        frost_by_rule=True,
        filled_spread={q: {k: np.interp(merged, nodes, v) for k, v in t.items()} for q, t in curves.filled_spread.items()},
        capacity_W=dipped(curves.capacity_W, rule("frost_capacity_35F")),
        power_W=dipped(curves.power_W, rule("frost_power_35F")),
    )


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
