"""Which supply carries a plan: the moments in which loads coincide, over any number of cases at once, and whether the voltage
that the cord leaves at its end is enough for the heat pump.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Supply
from heatcalc.physics.supply import electrics
from heatcalc.physics.unit.heat_pump import Unit, rule, value_W
from heatcalc.physics.unit.outdoor_unit import pan_W
from heatcalc.supply.circuits import LARGEST_120_V_HEATER_W
from heatcalc.supply.cord import ROUND_A, Cord, HourCheck, allowed_ways, cords_by_size, leg_sums
from heatcalc.tables import rows

Array = np.ndarray
POWER_FACTOR = 0.97  # small inverter drives, assumption of the generic classes
TWO_LEGS_FROM_V = 200.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Situation:
    """One moment in which loads coincide, for one case or an array of them.

    name : one of `cord.SEASON_WORDS`: cold, hot, recovery, still
    unit_A : the heat pump's amperes then, at its own volts; see `largest_heating_A`, `largest_cooling_A`
    heater_W, dehumidifier_W : the plan's second heater and dehumidifier while they run
    continuous : whether the heat pump may run so for three hours (it then counts with 125 %)
    """

    name: str
    unit_A: ArrayLike
    heater_W: ArrayLike = 0.0
    dehumidifier_W: ArrayLike = 0.0
    continuous: bool = True

    @property
    def season(self) -> str:
        """Season whose appliances run beside it."""
        return "hot" if self.name == "hot" else "cold"


@dataclass(frozen=True, eq=False)
class Carried:
    """One supply against the situations; arrays (situations, cases), `passes` and `set_by` (cases)."""

    cord: Cord
    required_A: Array  # rating the fuller leg must have, continuous loads at 125 %
    fits: Array  # no 240 V load on a 120 V cord
    passes: Array
    set_by: Array  # index of the situation that asks most


@dataclass(frozen=True, eq=False, kw_only=True)
class SmallestCord:
    """The smallest supply of each case as an index into `cords`; len(cords): not even the largest."""

    cords: tuple[Cord, ...]
    by_sum: Array
    by_method: Array | None
    index: Array  # the larger of both routes
    carried: tuple[Carried, ...]
    needs: dict[int, tuple[Array, Array]]  # by legs: rating asked for and whether the volts fit, (situations, cases)

    def on(self, cord: Cord) -> Carried:
        """The same situations on any supply."""
        return _carried(cord, *self.needs[cord.legs])

    def named(self, case: int = 0) -> str | None:
        """Its name in one case."""
        at = int(np.atleast_1d(self.index).ravel()[case])
        return self.cords[at].name if at < len(self.cords) else None


def largest_heating_A(here: Unit, from_C: ArrayLike, to_C: float) -> Array:
    """Largest amperes of a unit at its site while it heats at any outdoor temperature from `from_C` to `to_C`.

    Input at full output, pan heater with it, over volts and power factor; 0 where it stands still.  Between printed points the
    input runs straight, so the largest stands at a printed point, where the pan heater begins, or at an end.
    """
    low = np.minimum(np.atleast_1d(np.asarray(from_C, float)), to_C)
    nodes = np.append(here.heating.outdoor_C, rule("pan_heater_below") - 1e-6)
    nodes = nodes[nodes < to_C]
    at = np.concatenate([np.maximum(nodes[:, None], low), low[None], np.full((1, len(low)), to_C)])
    return _full_A(here, here.heating, at, pan_W(here, at))


def largest_cooling_A(here: Unit, from_C: float, to_C: ArrayLike) -> Array:
    """Largest amperes of a unit at its site while it cools at any outdoor temperature from `from_C` to `to_C`."""
    high = np.maximum(np.atleast_1d(np.asarray(to_C, float)), from_C)
    nodes = here.cooling.outdoor_C[here.cooling.outdoor_C > from_C]
    at = np.concatenate([np.minimum(nodes[:, None], high), high[None], np.full((1, len(high)), from_C)])
    return _full_A(here, here.cooling, at, np.zeros(at.shape))


def _full_A(here: Unit, curves, at: Array, beside_W: Array) -> Array:
    """The largest over the first axis."""
    watts = value_W(curves, at, "max", "power")
    return np.where(watts > 0, watts + beside_W, 0.0).max(axis=0) / (here.volts * POWER_FACTOR)


def required_on(supply: Supply, legs: int, situations: Sequence[Situation], unit_volts: ArrayLike) -> tuple[Array, Array]:
    """Rating the fuller leg must have in each situation, continuous loads at 125 %, and whether the volts fit.

    Both (situations, cases), lock-outs kept: the worst of the ways they allow.
    """
    found = [_situation(supply, legs, s, np.asarray(unit_volts, float)) for s in situations]
    required, fits = (np.stack(np.broadcast_arrays(*(f[k] for f in found))) for k in range(2))
    return required, fits & (legs == 2 or all(a.volts == 120 for a in supply.appliances))


def carried(supply: Supply, cord: Cord, situations: Sequence[Situation], unit_volts: ArrayLike) -> Carried:
    """Every situation on one supply."""
    return _carried(cord, *required_on(supply, cord.legs, situations, unit_volts))


def _carried(cord: Cord, required: Array, fits: Array) -> Carried:
    enough = fits & (required <= cord.rating_A + ROUND_A)
    return Carried(cord, required, fits, np.all(enough, axis=0), np.argmax(required, axis=0))


def _situation(supply: Supply, legs: int, s: Situation, volts: Array) -> tuple[Array, Array]:
    names, required, both = _loads(supply, legs, s, volts)
    leg = np.array([wired_leg(supply, name) for name in names])
    worst = np.zeros(required.shape[1:])
    for way in allowed_ways(names, supply.lock_outs):
        runs = np.array([name in way for name in names]).reshape(-1, *(1,) * worst.ndim) & (required > 0)
        takes = np.where(runs, required, 0.0)
        worst = np.maximum(worst, leg_sums(takes, both, leg)[0] if legs == 2 else takes.sum(axis=0))
    return worst, (legs == 2) | ~((required > 0) & both).any(axis=0)


def wired_leg(supply: Supply, name: str) -> int:
    """The leg an appliance is wired to, 0 where none is given."""
    return next((a.leg or 0 for a in supply.appliances if a.name == name), 0)


def _loads(supply: Supply, legs: int, s: Situation, volts: Array) -> tuple[list[str], Array, Array]:
    """Names; rating each takes up on its legs; whether both legs carry it: (loads, cases)."""
    unit, heater, dryer = (np.asarray(x, float) for x in (s.unit_A, s.heater_W, s.dehumidifier_W))
    running = [a for a in supply.appliances if a.together and a.season in ("any", s.season)]
    two = (heater > LARGEST_120_V_HEATER_W) & (legs == 2)
    loads: list[tuple[str, Any, bool, Any]] = [
        (HEAT_PUMP, unit, s.continuous, volts >= TWO_LEGS_FROM_V),
        (BACKUP, heater / np.where(two, 240.0, 120.0), True, two),
        *((a.name, a.watts / a.volts, a.continuous, a.volts == 240) for a in running),
    ]
    if all(a.name != DEHUMIDIFIER for a in running):
        loads.append((DEHUMIDIFIER, dryer / 120.0, True, False))
    taken = [amperes / (electrics.CONTINUOUS_SHARE if on else 1.0) for _, amperes, on, _ in loads]
    shape = np.broadcast_shapes((1,), *map(np.shape, taken), *(np.shape(both) for *_, both in loads))
    required, both = np.empty((len(loads), *shape)), np.empty((len(loads), *shape), bool)
    for k, (amperes, (*_, two_legs)) in enumerate(zip(taken, loads, strict=True)):
        required[k], both[k] = amperes, two_legs
    return [name for name, *_ in loads], required, both


def smallest_cord(
    supply: Supply, situations: Sequence[Situation], unit_volts: ArrayLike, method_leg_A: ArrayLike | None = None
) -> SmallestCord:
    """The smallest supply that carries every situation, and by a code's method where its amperes are given.

    method_leg_A : the heavier leg by `load_method.method_leg_A`; it counts on two-leg supplies only
    """
    cords = tuple(c for c in cords_by_size() if c.proposed)
    needs = {legs: required_on(supply, legs, situations, unit_volts) for legs in {c.legs for c in cords}}
    each = tuple(_carried(cord, *needs[cord.legs]) for cord in cords)
    by_sum = _first(np.stack([c.passes for c in each]))
    if method_leg_A is None:
        return SmallestCord(cords=cords, by_sum=by_sum, by_method=None, index=by_sum, carried=each, needs=needs)
    leg = np.atleast_1d(np.asarray(method_leg_A, float))
    by_method = _first(np.stack([(c.legs == 2) & (leg <= c.rating_A + ROUND_A) for c in cords]))
    return SmallestCord(
        cords=cords, by_sum=by_sum, by_method=by_method, index=np.maximum(by_sum, by_method), carried=each, needs=needs
    )


def _first(passes: Array) -> Array:
    """Index of the first True along the first axis, its length where there is none."""
    return np.where(passes.any(axis=0), passes.argmax(axis=0), len(passes))


FOOT_M = 0.3048
LEAST_SHARE, LOW_240_V = 0.9, 208.0
ADVISORY_DROP = 0.03  # 3 % branch, an informational note of NEC 210.19 and 215.2
OF_THE_UNIT = "by the unit's own file"
USUAL = "nameplate less 10 %, as a manual of 115 V and 230 V room units prints it (103.5 and 207 V; maker not named)"


@dataclass(frozen=True, kw_only=True)
class CordDrop:
    """Voltage lost in the cord in the heaviest hour, and what is left for the heat pump then and at the cord's full rating.

    `least_V` is the unit's lower limit: its own file's, else nameplate volts (208 V of a 208/230 V unit) less 10 %.
    """

    cord: str
    amperes: float
    length_m: float
    gauge_awg: int
    conductor_C: float
    volts: float
    share: float
    remark: str
    full_draw_volts: float
    left_at_unit_V: float
    left_at_full_draw_V: float
    least_V: float
    least_from: str

    @property
    def enough(self) -> bool:
        """Whether the unit keeps its least volts, at full draw too."""
        return min(self.left_at_unit_V, self.left_at_full_draw_V) >= self.least_V


def cord_drop(supply: Supply, hour: HourCheck, cord: Cord, unit_volts: float = 115.0, lowest_V: float | None = None) -> CordDrop:
    """Voltage drop of the cord in the given hour on the fuller leg, and at full rating, with the conductor at its temperature."""
    gauge = supply.gauge_awg or cord.awg
    row = next(r for r in rows("conductors") if int(r["awg"]) == gauge)
    per_m = float(row["ohm_per_kft_75C"]) / 1000 / FOOT_M
    resistance = electrics.resistance_at(per_m, 75.0, supply.conductor_temperature)
    volts = electrics.leg_voltage_drop(hour.leg_A[0], hour.leg_A[1], supply.length, resistance)
    two = unit_volts >= TWO_LEGS_FROM_V and cord.legs == 2
    full = electrics.voltage_drop(cord.rating_A, supply.length, resistance)  # there and back, whichever the unit's volts
    here = electrics.voltage_drop((hour.leg_A[0] + hour.leg_A[1]) / 2, supply.length, resistance) if two else volts
    at_source = electrics.VOLTS_PER_LEG * (2 if two else 1)
    usual_V = LEAST_SHARE * (LOW_240_V if unit_volts >= TWO_LEGS_FROM_V else unit_volts)
    share = volts / electrics.VOLTS_PER_LEG
    return CordDrop(
        cord=cord.name,
        amperes=hour.leg_A[0],
        length_m=supply.length,
        gauge_awg=gauge,
        conductor_C=supply.conductor_temperature,
        volts=volts,
        share=share,
        remark=_remark(share, float(row["largest_breaker_A"]), gauge, cord),
        full_draw_volts=full,
        left_at_unit_V=at_source - here,
        left_at_full_draw_V=at_source - full,
        least_V=usual_V if lowest_V is None else lowest_V,
        least_from=USUAL if lowest_V is None else OF_THE_UNIT,
    )


def _remark(share: float, largest_breaker_A: float, gauge: int, cord: Cord) -> str:
    words = (
        "within the advisory 3 %" if share <= ADVISORY_DROP else "above the advisory 3 %: a shorter cord or a larger conductor"
    )
    small = largest_breaker_A < cord.rating_A
    return f"{gauge} AWG is too small for {cord.rating_A:.0f} A; {words}" if small else words
