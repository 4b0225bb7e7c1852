"""Voltage lost in the cord, and whether what is left at its end is enough for the heat pump."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.physics.supply import conductors
from heatcalc.supply.coincidence import TWO_LEGS_FROM_V
from heatcalc.supply.cord import Cord, HourCheck
from heatcalc.tables import rows

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
    resistance = conductors.resistance_at(per_m, 75.0, supply.conductor_temperature)
    volts = conductors.leg_voltage_drop(hour.leg_A[0], hour.leg_A[1], supply.length, resistance)
    two = unit_volts >= TWO_LEGS_FROM_V and cord.legs == 2
    full = conductors.voltage_drop(cord.rating_A, supply.length, resistance)  # there and back, whichever the unit's volts
    here = conductors.voltage_drop((hour.leg_A[0] + hour.leg_A[1]) / 2, supply.length, resistance) if two else volts
    at_source = conductors.VOLTS_PER_LEG * (2 if two else 1)
    usual_V = LEAST_SHARE * (LOW_240_V if unit_volts >= TWO_LEGS_FROM_V else unit_volts)
    share = volts / conductors.VOLTS_PER_LEG
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
