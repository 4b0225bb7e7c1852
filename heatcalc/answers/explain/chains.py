"""From an answer back to its inputs: which chains there are, how a name finds one, and those of the unit (capacity at the design
cold, balance point, backup heat).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import NormalDist

import numpy as np

from heatcalc.answers.envelope.step import Step, summed, token
from heatcalc.answers.explain import heat_chain as explain_heat
from heatcalc.answers.explain.heat_chain import design_temperature, heating_load
from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.judge.choice import Candidate
from heatcalc.judge.sizing import SizeResult
from heatcalc.model.house_model import HouseModel, inside_convection, jet_convection
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.physics.shell.layers import CONVECTION_INSIDE_W_m2K, surface_resistance
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import Curves, capacity, rule
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


RESULTS: dict[str, tuple[str, Callable[[SizeResult], Step]]] = {
    "heating_load": ("the heating load at the design cold", explain_heat.heating_load),
    "cooling_load": ("the cooling load of the design hour", explain_heat.cooling_load),
    "ua": ("U x A of the shell", explain_heat.ua),
    "air_exchange": ("air changes an hour at the design cold", explain_heat.air_exchange),
    "design_temperature": ("the outdoor design temperature", explain_heat.design_temperature),
    "max_heat_at_design": ("the recommended unit's most heat at the design cold", max_heat_at_design),
    "backup": ("backup heat at the design cold", backup),
    "balance_point": ("where the unit's most heat meets the load", balance_point),
    "lowest_temperature_held": ("the coldest outdoors the unit holds alone", lowest_temperature_held),
}
YEAR = "annual_kWh"
U_VALUE = "u_value:"


@dataclass(frozen=True)
class Explanation:
    """A chain with the house and place it belongs to."""

    result: SizeResult
    asked: str
    chain: Step


def result_names(r: SizeResult) -> dict[str, str]:
    """Every name that can be asked of this house, with what it is."""
    named = {name: what for name, (what, _) in RESULTS.items()}
    named |= {token(c).replace("-", "_"): f"heat loss of {c} at the design cold" for c in r.heating.components_W}
    named |= {YEAR: "electricity of a year"}
    return named | {f"{U_VALUE}{token(p.name)}": f"U of {p.name}" for p in r.designer.model.parts}


def explain(r: SizeResult, asked: str, folder: Path | None = None) -> Explanation:
    """The chain behind one result.  Raises InputError with the nearest name, NoAnswer where the result does not exist."""
    name = asked.strip()
    if name not in result_names(r):
        known = list(result_names(r))
        meant = nearest(name, known) or f"known: {', '.join(k for k in known if not k.startswith(U_VALUE))}, {U_VALUE}PART"
        raise InputError("result", asked, "is not a result that can be explained", meant)
    return Explanation(r, name, _chain(r, name, folder))


def _chain(r: SizeResult, name: str, folder: Path | None) -> Step:
    if name in RESULTS:
        return RESULTS[name][1](r)
    if name == YEAR:
        return annual_electricity(r, folder)
    if name.startswith(U_VALUE):
        part = next(p for p in r.designer.model.parts if token(p.name) == name.removeprefix(U_VALUE))
        u = explain_heat.part_u_value(part)
        return replace(u, check=_beside_the_head(r.designer.model, part)) if part.of.radiates else u
    return explain_heat.component(r, next(c for c in r.heating.components_W if token(c).replace("-", "_") == name))


def _beside_the_head(model: HouseModel, part: OpaquePart | WindowPart) -> tuple[Step, ...]:
    """The U that the room's network has: the standard's inside convection mixed with the head's jet."""
    jet, direction = jet_convection(model, part), part.of.flow[0]
    if not jet:
        return ()
    still = CONVECTION_INSIDE_W_m2K[direction]
    r_inside = surface_resistance("inside", direction) if isinstance(part, WindowPart) else part.r_inside
    swept = Step("s", "share of it that the jet sweeps", rule("head_sweeps"), "number", source="own choice")
    h_n = Step("h_n", "convection of still air", still, "U-value", source=f"{explain_heat.ISO6946}, from memory")
    slot, speed = Q(rule("head_slot"), "length"), Q(model.house.air.head_flow / rule("head_outlet"), "speed")
    source = worded("{} from a slot of {}, air.head_flow; Awbi and Hatton 2000, from memory", speed, slot)
    h_f = Step("h_f", "convection of the head's jet", jet, "U-value", source=source)
    more = inside_convection(model, part, "winter") - still
    mixed = "{s} x ((({h_n} ^ 3.2 + {h_f} ^ 3.2) ^ (1 / 3.2)) - {h_n})"
    h_more = Step("h_more", "more convection beside the head", more, "U-value", mixed, (swept, h_n, h_f), "joined as there")
    u = Step("U_card", "U with the standard's inside film", part.u_value, "U-value", source="as above, and on every card")
    film = Step("R_si", "the standard's inside film", r_inside, "thermal resistance", source=explain_heat.ISO6946)
    value = 1.0 / (1.0 / part.u_value - r_inside + 1.0 / (1.0 / r_inside + more))
    formula = "1 / (1 / {U_card} - {R_si} + 1 / (1 / {R_si} + {h_more}))"
    note = (
        "design loads and year solve convection and radiation apart: this is the nearest single U. Cards and hand methods keep "
        "the standard's film, and so does a power cut"
    )
    name = f"U of {part.name} in the heated room, the head running"
    return (Step("U_room", name, value, "U-value", formula, (u, film, h_more), explain_heat.ISO6946, note),)


def annual_electricity(r: SizeResult, folder: Path | None) -> Step:
    """Electricity of a year by use, and the heating need by hand beside it."""
    from heatcalc.answers.year.year_answer import year_of_plan

    answer = year_of_plan(r, folder)
    year, hand = answer.year, answer.hand
    uses = tuple(
        Step(
            f"E_{token(use)}",
            use,
            3.6e6 * float(months.sum()),
            "energy",
            source="8,760 hours walked through the network with the unit",
        )
        for use, months in year.electricity_kWh.items()
    )
    parts = (
        Step("K", "UA and the winter's mean outdoor air", hand.conductance_W_K, "heat loss coefficient"),
        Step("G", worded("degree-hours below {}", Q(hand.balance_C, "temperature")), hand.degree_hours_K_h, "degree-hours"),
    )
    by_hand = Step(
        "H_hand",
        "the year's heating need by hand",
        3.6e6 * hand.heating_kWh,
        "energy",
        "{K} x {G} / 1000",
        parts,
        "degree-hours below the balance point",
        "walls as warm as the air and even sun: 15 to 36 % above the hourly need",
        si=True,
    )
    need = Step(
        "H",
        "the year's heating need, hour by hour",
        3.6e6 * answer.needs.annual("heat"),
        "energy",
        source="the same walk with a plant that always carries the load",
        check=(by_hand,),
    )
    return summed(
        "E",
        "electricity of a year",
        3.6e6 * year.electricity_year_kWh,
        "energy",
        uses,
        note=f"{year.weather_source}; mean of {len(year.ways)} ways the house may stand",
        check=(need,),
    )
