"""Watts that no one has read from a nameplate: how far the usual value may be off, and what that does to the verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace

from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.supply.cord import Cord, Load, Pairs, check_hour
from heatcalc.tables import rows

ORDER = ("pass", "short", "fail")


@dataclass(frozen=True, kw_only=True)
class WattsInDoubt:
    """One coinciding load with the appliance table's watts: its range, what the sum of a leg moves by, both verdicts."""

    name: str
    watts: float
    low_W: float
    high_W: float
    low_A: float
    high_A: float
    verdict_low: str
    verdict_high: str
    source: str
    mark: str


def watts_in_doubt(supply: Supply, loads: dict[str, tuple[Load, ...]], cord: Cord) -> tuple[WattsInDoubt, ...]:
    """Every appliance counted in the hour for which the house file gives no watts of its own."""
    table = {row["name"]: row for row in rows("appliances_electric")}
    usual = [
        (a, table[a.name])
        for a in supply.appliances
        if a.together and a.name in table and a.watts == float(table[a.name]["usual_W"])
    ]
    return tuple(_doubt(a.name, a.watts, row, loads, supply.lock_outs, cord) for a, row in usual if row["low_W"] != row["high_W"])


def _doubt(
    name: str, watts: float, row: dict[str, str], loads: dict[str, tuple[Load, ...]], pairs: Pairs, cord: Cord
) -> WattsInDoubt:
    low, high = float(row["low_W"]), float(row["high_W"])
    low_A, high_A = ((x - watts) / float(row["volts"]) for x in (low, high))
    at_low, at_high = (_worst(name, x / watts, loads, pairs, cord) for x in (low, high))
    return WattsInDoubt(
        name=name,
        watts=watts,
        low_W=low,
        high_W=high,
        low_A=low_A,
        high_A=high_A,
        verdict_low=at_low,
        verdict_high=at_high,
        source=row["source"],
        mark=row["mark"],
    )


def _worst(name: str, factor: float, loads: dict[str, tuple[Load, ...]], pairs: Pairs, cord: Cord) -> str:
    """The heavier hour's verdict with one load's watts multiplied."""
    found = []
    for season, running in loads.items():
        changed = tuple(replace(x, amperes=x.amperes * factor, watts=x.watts * factor) if x.name == name else x for x in running)
        found.append(check_hour(season, changed, pairs, cord).verdict)
    return max(found, key=ORDER.index)
