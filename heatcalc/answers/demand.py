"""The load by a code's own method beside the coincident sum: lighting by floor area, small appliances, motors, heaters."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.answers.cord import LARGE_LOAD_W
from heatcalc.inputs.supply import Supply
from heatcalc.physics import conductors

FOOT2_M2 = 0.09290304
SMALL_APPLIANCE_CIRCUITS = 2  # two kitchen circuits: common practice, no source
LEG_VOLTS = 240.0
METHOD = (
    "675 IAC 15-2-100 (Indiana Mobile Structures Code), same idea in 24 CFR 3280.811 and NEC 550.18, 552.47 (from memory): "
    "3 VA/ft2 and 1,500 VA a kitchen circuit, first 3,000 VA in full, 35 % of the rest, spread over both legs; plus "
    "nameplate amperes of fixed motors and heaters; the smaller of heating and cooling left out"
)


@dataclass(frozen=True)
class LoadMethod:
    """Demand by the method; amperes of the heavier leg of a 120/240 V supply."""

    connected_VA: float
    demand_VA: float
    lighting_leg_A: float
    fixed_leg_A: float
    leg_A: float
    method: str = METHOD


def load_method(supply: Supply, outside_floor_m2: float, unit_A: float, backup_W: float) -> LoadMethod:
    """Demand by the code method: fixed appliances are those that run continuously and draw 500 W or more.

    Their 120 V loads are taken on one leg, the worst the method allows; `unit_A` is the larger of the two seasons.
    """
    connected = conductors.dwelling_connected_load(outside_floor_m2 / FOOT2_M2, SMALL_APPLIANCE_CIRCUITS)
    demand = conductors.stepped_demand(connected)
    fixed = sum(a.watts / a.volts for a in supply.appliances if a.continuous and a.watts >= LARGE_LOAD_W)
    fixed += unit_A + backup_W / LEG_VOLTS
    return LoadMethod(connected, demand, demand / LEG_VOLTS, fixed, demand / LEG_VOLTS + fixed)
