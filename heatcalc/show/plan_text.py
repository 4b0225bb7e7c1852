"""Plans in words: one line each, what to buy besides, and the sentence every page repeats."""

from __future__ import annotations

from heatcalc import units
from heatcalc.judge.plan import KEEP_SUPPLY, Plan
from heatcalc.judge.sizing import SizeResult
from heatcalc.show.words import wrapped


def heater_words(plan: Plan) -> str:
    """The plan's second heater; the same words wherever it is named."""
    return f"{plan.heater_W / 1000:.1f} kW, for {plan.heater_for}" if plan.heater_W else "none"


def decision(r: SizeResult) -> str:
    """The answer in one sentence."""
    p = r.plan
    if not p.holds:
        return f"Nothing on the shelf carries this house here; nearest: {p.unit}, {p.verdict}. {would_serve(r)}"
    heater = f", with a second heater of {p.heater_W / 1000:.1f} kW" if p.heater_W else ""
    supply = f"on {p.supply}" if p.supply else "on a larger supply than any listed"
    return f"Order {p.unit}{heater}, {supply}: {p.verdict}, {p.chance:.0%} sure."


def would_serve(r: SizeResult) -> str:
    """What a unit would have to give where none on the shelf serves."""
    loads = r.case.loads
    need = float((loads.heating_W + loads.spread.quantile(r.plan.sure)).max())
    cold = float((loads.sensible_W + loads.latent_W).max())
    return (
        f"A unit would serve that gives {need:,.0f} W of heat at the design cold, {cold:,.0f} W "
        f"of cold in the hottest hour, and runs below {float(loads.coldest_C.min()):.0f} C."
    )


def plan_rows(r: SizeResult, system: str) -> list[tuple[str, ...]]:
    """The plans side by side: head row first."""

    def t(x: float | None) -> str:
        return "nothing" if x is None else units.text(x, "temperature", system)

    head = ("plan", "unit", "verdict", "sure", "holds down to", "second heater", "supply", "dehumidifier", "first cost", "a year")
    rows = [
        (
            p.kind,
            p.unit,
            p.verdict,
            f"{p.chance:.0%}",
            t(p.held_C),
            f"{p.heater_W / 1000:.1f} kW" if p.heater_W else "none",
            p.supply or "none listed",
            "" if p.dehumidifier_W is None else f"{p.dehumidifier_W:.0f} W" if p.dehumidifier_W else "none",
            f"${p.first_cost_usd:,.0f}",
            "" if p.yearly_kWh is None else f"{p.yearly_kWh:,.0f} kWh, ${p.yearly_cost_usd:,.0f}",
        )
        for p in r.plans
    ]
    return [head, *rows]


def plan_lines(r: SizeResult, system: str) -> list[str]:
    """What the table cannot hold: what the heater is for, what sets the supply, the changes, the other chances."""
    p = r.plan
    lines = []
    if p.held_C is not None and p.held_paper_C is not None:
        held, paper = (units.text(x, "temperature", system) for x in (p.held_C, p.held_paper_C))
        warm = units.text(r.task.heating_set_C, "temperature", system)
        night = f"{p.chance_with_household:.0%} with the household's own warmth at night"
        lines.append(
            f"It holds {warm} down to {held} outdoors in {p.sure * 100:.0f} of 100 houses built so ({paper} by the plain sum, "
            f"without sun or people; {night})."
        )
    if p.heater_W:
        alone = "; interlocked with the heat pump, so that both never run at full" if p.heater_alone else ""
        lines.append(f"Second heater: {heater_words(p)}{alone}.")
    others = ", ".join(f"{w / 1000:.1f} kW for {s}" for s, w in p.heater_W_at.items())
    lines.append(f"Heater the design cold asks for beside the unit, by how sure it is to be: {others}.")
    if p.changes:
        lines.append(f"It takes: {'; '.join(p.changes)}.")
    carried = (
        "the house's own supply carries it" if p.supply_carried else f"the house's own {r.house.supply.cord} does not carry it"
    )
    lines.append(f"Supply: {p.supply or 'none listed'}, set by the {p.supply_set_by}; {carried}.")
    if all(KEEP_SUPPLY not in q.kind for q in r.plans):
        lines.append(f"Nothing tried, neither unit, lock-out, package nor option, keeps the {r.house.supply.cord} supply here.")
    for other in r.plans[1:]:
        if other.changes:
            lines.append(f"The plan '{other.kind}' takes: {'; '.join(other.changes)} ({'; '.join(other.adopt)}).")
    return lines


def plans_text(r: SizeResult, system: str) -> list[str]:
    """The plans as lines of text: one a plan, then the sentences."""
    head, *rows = plan_rows(r, system)
    out = []
    for row in rows:
        of = dict(zip(head, row, strict=True))
        heater = "no second heater" if of["second heater"] == "none" else f"second heater {of['second heater']}"
        dry = f", dehumidifier {of['dehumidifier']}" if of["dehumidifier"] not in ("", "none") else ""
        year = f", {of['a year']} a year" if of["a year"] else ""
        out += wrapped(
            f"{of['plan']}: {of['unit']} ({of['verdict']}, {of['sure']} sure, holds down to {of['holds down to']}), {heater}, "
            f"{of['supply']}{dry}, {of['first cost']}{year}"
        )
    return [*out, *(w for line in plan_lines(r, system) for w in wrapped(line))]
