"""Packages side by side as text and as a record."""

from __future__ import annotations

from typing import Any

from heatcalc import units
from heatcalc.answers.study.enough import Enough
from heatcalc.answers.study.packages import Comparison, Package
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.about_size import cord_word
from heatcalc.show.words import columns, wrapped
from heatcalc.wording import said


def compare_text(c: Comparison, enough: Enough | None, system: str) -> str:
    """The whole comparison, readable without a browser."""
    searched = [] if enough is None else enough_lines(enough, system)
    parts = [
        _heading(c),
        _table(c, system),
        _front(c),
        searched,
        _notes(
            "What this says and does not say",
            (*c.limits, f"electricity: {c.tariff}", f"life-cycle cost over {c.years:.0f} years at {c.discount_rate:.0%} real"),
        ),
        _notes("Cautions", CAUTIONS),
    ]
    return "\n\n".join("\n".join(p) for p in parts if p)


def _heading(c: Comparison) -> list[str]:
    house = c.packages[0].sized.house
    note = f" ({house.note})" if house.note else ""
    return [f"Packages of {house.name}{note}, in {c.place.name}", f"differences are to {c.packages[0].name}"]


def compare_rows(c: Comparison, system: str) -> list[tuple[str, ...]]:
    """One line for each thing traded, one column for each package; the head first."""

    def of(kind: str, name: str) -> list[str]:
        return [units.text(getattr(p, name), kind, system) for p in c.packages]

    inch = [_inches(p, system) for p in c.packages]
    lines = [
        ("unit", [p.candidate.name for p in c.packages]),
        ("verdict", [p.candidate.verdict for p in c.packages]),
        ("heating load", of("power", "heating_W")),
        ("cooling load, with latent", of("power", "cooling_W")),
        ("heating, cooling and air a year", [f"{p.year_kWh:,.0f} kWh" for p in c.packages]),
        ("their cost a year", [f"${p.year_cost:,.0f}" for p in c.packages]),
        ("peak on the cord", [f"{p.peak_A:.1f} A" for p in c.packages]),
        ("runs from the cord", [cord_word(p.candidate) for p in c.packages]),
        ("weight of the shell", of("mass", "mass_kg")),
        ("wall / roof / floor", inch),
        ("moisture margin", [f"{p.moisture_margin:+.2f}" for p in c.packages]),
        ("weakest surface", [p.moisture_weakest for p in c.packages]),
        ("price", [_price(p) for p in c.packages]),
        ("simple payback", [_years(p, p is c.packages[0]) for p in c.packages]),
        ("life-cycle cost", ["-" if p.life_cycle_cost is None else f"${p.life_cycle_cost:,.0f}" for p in c.packages]),
    ]
    return [("", *(p.name for p in c.packages)), *((name, *cells) for name, cells in lines)]


def _price(p: Package) -> str:
    if p.price is None:
        return "-"
    return f"${p.price:,.0f}" if p.price >= 0 else f"-${-p.price:,.0f} (a credit)"


def _inches(p: Package, system: str) -> str:
    sizes = (p.wall_m, p.roof_m, p.floor_m)
    if system == "si":
        return " / ".join(f"{1000 * s:.0f}" for s in sizes) + " mm"
    return " / ".join(f"{s / 0.0254:.1f}" for s in sizes) + " in"


def _years(p: Package, first: bool) -> str:
    if first or p.price is None:
        return "-"
    if p.payback_years is None:
        return "never"
    return f"{p.payback_years:.0f} years" if p.payback_years < 200 else "over 200 years"


def _table(c: Comparison, system: str) -> list[str]:
    import textwrap

    rows = compare_rows(c, system)
    lines = []
    for k, row in enumerate(rows):
        cells = [textwrap.wrap(cell, 24) or [""] for cell in row[1:]]
        for n in range(max(map(len, cells))):
            lines.append((row[0] if n == 0 else "", *(cell[n] if n < len(cell) else "" for cell in cells)))
        if k == 0:
            lines.append(("", *("-" * 12 for _ in cells)))
    return columns(lines)


def _front(c: Comparison) -> list[str]:
    lines = [f"Nothing else beats (over {', '.join(c.objectives)}): {', '.join(c.front)}"]
    for p, others in zip(c.packages, c.dominated_by, strict=True):
        if others:
            lines += wrapped(f"{p.name} is beaten in every one of these by {', '.join(others)}")
    return lines


def enough_lines(e: Enough, system: str) -> list[str]:
    """The cheapest set in words, and how it was looked for."""
    load, most = (units.text(w, "power", system) for w in (e.heating_W, e.most_heat_W))
    if e.options is None:
        why = " ".join(f"{said(reason, system)}." for reason in e.why_none)
        words = f"Not even every option together lets {e.unit} carry the house here alone: {load} needed, {most} given. {why}"
    elif not e.options:
        words = f"{e.unit} carries the house here as it stands: {load} needed, {most} given."
    else:
        words = (
            f"Cheapest set with which {e.unit} carries the house here: {', '.join(e.options)} (${e.price:,.0f}); "
            f"{load} needed, {most} given."
        )
    return [*wrapped(words, indent=0), *wrapped(f"{e.tried} sets tried: {e.method}")]


def _notes(title: str, notes: tuple[str, ...]) -> list[str]:
    return [title, *(w for note in notes for w in wrapped("- " + note))]


def compare_record(c: Comparison, enough: Enough | None) -> dict[str, Any]:
    """The comparison as one object, SI units."""
    keys = (
        "name",
        "price",
        "heating_W",
        "cooling_W",
        "year_kWh",
        "year_cost",
        "peak_A",
        "carried_by_cord",
        "mass_kg",
        "wall_m",
        "roof_m",
        "floor_m",
        "moisture_margin",
        "moisture_weakest",
        "life_cycle_cost",
        "payback_years",
    )
    return {
        "house": c.packages[0].sized.house.name,
        "place": c.place.name,
        "packages": [
            {k: getattr(p, k) for k in keys}
            | {"unit": p.candidate.name, "verdict": p.candidate.verdict, "plan": p.sized.plan.record(), "dominated_by": others}
            for p, others in zip(c.packages, c.dominated_by, strict=True)
        ],
        "front": c.front,
        "objectives": c.objectives,
        "tariff": c.tariff,
        "years": c.years,
        "discount_rate": c.discount_rate,
        "enough": None
        if enough is None
        else {
            "unit": enough.unit,
            "options": enough.options,
            "price": enough.price,
            "heating_W": enough.heating_W,
            "most_heat_W": enough.most_heat_W,
            "sets_tried": enough.tried,
            "method": enough.method,
        },
        "limits": c.limits,
        "cautions": CAUTIONS,
    }
