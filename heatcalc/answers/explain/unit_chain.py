"""The chain behind what a unit gives: capacity at the design cold, balance point, backup heat."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from heatcalc.answers.envelope.step import Step
from heatcalc.answers.explain.heat_chain import design_temperature, heating_load
from heatcalc.errors import NoAnswer
from heatcalc.judge.choice import Candidate
from heatcalc.judge.sizing import SizeResult
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import Curves, capacity
from heatcalc.wording import Q, joined, worded


def candidate(r: SizeResult) -> Candidate:
    """The unit explained: the plan's."""
    return r.recommended


def _curves(r: SizeResult) -> Curves:
    return at_site(candidate(r).unit, r.task.elevation_m, r.task.heating_set_C).heating


def max_heat_at_design(r: SizeResult) -> Step:
    """Most heat at the design cold, straight between two rows of the unit at this site."""
    return _most_heat(r, r.task.design_C, candidate(r).max_heat_at_design_W, "Q_max", design_temperature(r))


def _most_heat(r: SizeResult, outdoor_C: float, value: float, symbol: str, at: Step) -> Step:
    c, curves = candidate(r), _curves(r)
    found = capacity(curves, np.array([outdoor_C]), "max")
    corrections = joined("; ", at_site(c.unit, r.task.elevation_m, r.task.heating_set_C).corrections)
    band = worded("band {} to {}", Q(float(found.low_W[0]), "power"), Q(float(found.high_W[0]), "power"))
    note = worded("{}; how it is known: {}, {}; corrections in the rows: {}", c.name, found.mark[0], band, corrections)
    rows = _bracket(curves, outdoor_C)
    source = f"{c.unit.source}; straight between two rows of its table"
    if rows is None:
        return Step(
            symbol, "most heat of the unit", value, "power", source=c.unit.source, note=worded("outside its table. {}", note)
        )
    (t0, q0), (t1, q1) = rows
    parts = (
        Step("Q_0", "the unit's colder row", q0, "power"),
        Step("Q_1", "the unit's warmer row", q1, "power"),
        Step(at.symbol, at.name, at.value, at.kind, source=at.source),
        Step("T_0", "temperature of the colder row", t0, "temperature"),
        Step("T_1", "temperature of the warmer row", t1, "temperature"),
    )
    straight = q0 + (q1 - q0) * (outdoor_C - t0) / (t1 - t0)
    formula = f"{{Q_0}} + ({{Q_1}} - {{Q_0}}) x ({{{at.symbol}}} - {{T_0}}) / ({{T_1}} - {{T_0}})"
    if abs(straight - value) > 1e-6 * abs(value):
        return Step(symbol, "most heat of the unit", value, "power", source=c.unit.source, note=note)
    return Step(symbol, "most heat of the unit", value, "power", formula, parts, source, note)


def _bracket(curves: Curves, outdoor_C: float) -> tuple[tuple[float, float], tuple[float, float]] | None:
    at, row = np.asarray(curves.outdoor_C), curves.capacity_W.get("max")
    if row is None or not at[0] <= outdoor_C <= at[-1]:
        return None
    k = int(np.clip(np.searchsorted(at, outdoor_C), 1, len(at) - 1))
    return (float(at[k - 1]), float(row[k - 1])), (float(at[k]), float(row[k]))


def backup(r: SizeResult) -> Step:
    """The plan's second heater: what the design cold asks of it with the chance asked for, or the whole load."""
    c, f, k = candidate(r), candidate(r).judged.facts, candidate(r).at
    spread, sure = f.spread, f.asked.sure
    beside = max(float(spread.quantile(sure)[k]), 0.0)
    parts = (
        heating_load(r),
        max_heat_at_design(r),
        Step("m", "mean of what is missing, everything uncertain joined", float(spread.mean[k]), "power"),
        Step("s", "its standard deviation", float(np.sqrt(spread.variance[k])), "power"),
        Step("z", "normal quantile of the chance", NormalDist().inv_cdf(sure), "number", source=f"{sure:.0%} asked for"),
    )
    note = "named to the next 100 W, at least 500 W; skewness moves it by the second term of the expansion"
    if c.judged.whole[k]:
        note = "the heater must carry the whole house in the coldest hours, in which the unit stands still; see the plan"
    return Step(
        "Q_heater",
        "second heater of the plan",
        c.backup_W,
        "power",
        parts=(*parts, Step("Q_beside", "asked of a heater beside the unit", beside, "power")),
        source="Cornish-Fisher expansion, Abramowitz and Stegun 26.2.49",
        note=note,
    )


def balance_point(r: SizeResult) -> Step:
    """Where load and most heat meet."""
    found = candidate(r).balance_point_C
    if found is None:
        raise NoAnswer(f"{candidate(r).name} has no balance point: it never falls short, or always does")
    at = Step("T_b", "balance point", found, "temperature")
    load = Step(
        "Q_load",
        "heating load there",
        float(r.task.line.at(found)),
        "power",
        source="steady loads every 2.5 K, straight between",
        note="the same solve as heating_load, at other temperatures",
    )
    most = _most_heat(r, found, float(capacity(_curves(r), np.array([found]), "max").value_W[0]), "Q_most", at)
    return Step(
        "T_b",
        f"balance point of {candidate(r).name}",
        found,
        "temperature",
        parts=(load, most),
        source="the warmest outdoor temperature at which the load is above the unit's most heat, to 0.1 K",
        note="found by walking the two curves; the check is that both are equal there, to what 0.1 K makes of them",
    )


def lowest_temperature_held(r: SizeResult) -> Step:
    """Coldest outdoor temperature at which the unit alone holds the set point."""
    c = candidate(r)
    held = c.lowest_temperature_held_C
    if held is None:
        raise NoAnswer(f"{c.name} holds the set point at no temperature")
    if c.balance_point_C is not None:
        point = balance_point(r)
        return Step(
            "T_held", "coldest outdoors held by the unit alone", held, "temperature", "{T_b}", (point,), "the balance point"
        )
    return Step(
        "T_held",
        "coldest outdoors held by the unit alone",
        held,
        "temperature",
        source=f"the unit carries the load down to its own lowest temperature; {c.unit.source}",
    )
