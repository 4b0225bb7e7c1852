"""What `heatcalc compare` says: packages side by side and as pictures (cost against saving, where the heat goes), what nothing
beats, the cheapest set of options for a unit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.study.enough import Enough
from heatcalc.answers.study.packages import Comparison, Package
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.about_design import cautions_chapter
from heatcalc.report.about_size import PLAN, supply_word
from heatcalc.report.drawing import COLOURS, INK, blank, measured, one_of_many, ruled, told
from heatcalc.report.report import Figure, Note, Report, Sentence, at_place, bullets, chapter, chapters, named
from heatcalc.report.table import Cell, Column, Table, columns_of, fields_of, table_of
from heatcalc.units import shown, text
from heatcalc.wording import USD, Q, Said, joined, mark, money, worded

POWER = "power"
TWO_MONIES = "Prices are US dollars, a year's cost is in {}: never converted, so payback and life-cycle cost are left out."
LONGEST_YEARS = 200.0  # a payback beyond it is no number


def about_compare(c: Comparison, enough: Enough | str | None = None) -> Report:
    """The whole comparison; `enough` may say why there is no cheapest set."""
    house = c.packages[0].sized.house
    apart = () if c.packages[0].currency == USD else (TWO_MONIES.format(c.packages[0].currency),)
    limits = (
        *c.limits,
        *apart,
        f"electricity: {c.tariff}",
        f"life-cycle cost over {c.years:.0f} years at {c.discount_rate:.0%} real",
    )
    found = Report(
        question="compare",
        title=f"Packages of {named(house, package=False)}, in {c.place.name}",
        under=(f"differences are to {c.packages[0].name}",),
        decision=tuple(_decision(c)),
        chapters=chapters(
            chapter("Packages", _table(c), *bullets(list(_beside(c)))),
            chapter("Cheapest set of options", *(enough_words(enough) if isinstance(enough, Enough) else (enough,))),
            chapter("What it costs and where the heat goes", *_figures(c)),
            chapter("What this says and does not say", *bullets(limits, Note), more=True),
            cautions_chapter(),
        ),
        values=_values(c, enough if isinstance(enough, Enough) else None),
    )
    return at_place(found, c.place, house.name)


def _decision(c: Comparison) -> Iterator[Sentence]:
    """Which of the packages whose plan holds costs least over the years, and which stay in the choice."""
    if len(c.packages) == 1:
        yield Sentence(
            "One package only: write [packages.NAME] tables into the house file, as a starter file shows at its end, to compare."
        )
        return
    costs = {p.name: p.life_cycle_cost for p in c.packages if p.life_cycle_cost is not None and p.sized.plan.holds}
    if len(costs) > 1:
        least = min(costs, key=costs.__getitem__)
        yield Sentence(f"Least life-cycle cost of those that hold: {least}, {money(costs[least])} over {c.years:.0f} years.")
    yield Sentence(f"Not beaten by another in all of {_listed(c.objectives)}: {'; '.join(c.front)}.")


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _table(c: Comparison) -> Table:
    """One row a package; one column for each thing traded."""
    inches = {"kind": "thickness", "decimals": (1, 0)}
    return table_of(
        "packages",
        c.packages,
        (Column("package"), "name"),
        *columns_of("sized.plan", *PLAN),
        (Column("heating load", POWER), "heating_W"),
        (Column("cooling load, with latent", POWER), "cooling_W"),
        (Column("heating, cooling and air a year", unit="kWh", decimals=0), "year_kWh"),
        (Column("their cost a year", unit=mark(c.packages[0].currency), decimals=0), "year_cost"),
        (Column("most on the cord at full output", "current"), "peak_A"),
        (Column("the house's supply"), lambda p: supply_word(p.sized.plan.supply_carried, p.sized.plan.supply)),
        (Column("weight of the shell", "mass"), "mass_kg"),
        *((Column(part, **inches), f"{part}_m") for part in ("wall", "roof", "floor")),  # type: ignore[arg-type]
        (Column("moisture margin", decimals=2), "moisture_margin"),
        (Column("weakest surface"), "moisture_weakest"),
        (Column("price", unit="$", decimals=0), "price"),
        (Column("simple payback", unit="years", decimals=0), lambda p: _payback(p, p is c.packages[0])),
        (Column("life-cycle cost", unit="$", decimals=0), "life_cycle_cost"),
        across=True,
    )


def _payback(p: Package, first: bool) -> Cell:
    if first or p.price is None:
        return None
    if p.payback_years is None:
        return "never"
    return p.payback_years if p.payback_years < LONGEST_YEARS else f"over {LONGEST_YEARS:.0f} years"


def _beside(c: Comparison) -> Iterator[Said]:
    """Credits, and who is beaten by whom."""
    for p, others in zip(c.packages, c.dominated_by, strict=True):
        if p.price is not None and p.price < 0:
            yield f"{p.name}: {money(p.price)} (a credit)"
        if others:
            yield f"{p.name} is beaten in every one of these by {', '.join(others)}"


def enough_words(e: Enough) -> Iterator[Sentence]:
    """The cheapest set in words, and how it was looked for."""
    numbers = worded("{} needed, {} given.", Q(e.heating_W, POWER), Q(e.most_heat_W, POWER))
    if e.options is None:
        why = joined(" ", (worded("{}.", reason) for reason in e.why_none))
        yield Sentence(worded("Not even every option together lets {} carry the house here alone: {} {}", e.unit, numbers, why))
    elif not e.options:
        yield Sentence(worded("{} carries the house here as it stands: {}", e.unit, numbers))
    else:
        words = "Cheapest set with which {} carries the house here: {} ({}); {}"
        yield Sentence(worded(words, e.unit, ", ".join(e.options), money(e.price), numbers))
    yield Note(f"{e.tried} sets tried: {e.method}")


def _figures(c: Comparison) -> Iterator[Figure]:
    lost = joined("; ", (worded("{} {}", p.name, Q(p.heating_W, POWER)) for p in c.packages))
    yield Figure("package-losses", "Where the heat goes, package by package", lost, partial(losses, c))
    priced = (f" for {money(p.price)}" if p.price is not None else "" for p in c.packages)
    used = "; ".join(f"{p.name}: {p.year_kWh:,.0f} kWh a year{cost}" for p, cost in zip(c.packages, priced, strict=True))
    yield Figure("package-front", "What each package costs and uses", used, partial(front_figure, c))


VALUES = (
    "name price heating_W cooling_W year_kWh year_cost currency peak_A carried_by_cord mass_kg wall_m roof_m floor_m "
    "moisture_margin moisture_weakest life_cycle_cost payback_years unit=candidate.name verdict=candidate.verdict"
)
ENOUGH = "unit options price heating_W most_heat_W sets_tried=tried method"


def _values(c: Comparison, enough: Enough | None) -> dict[str, Any]:
    return {
        "house": c.packages[0].sized.house.name,
        "place": c.place.name,
        "packages": [
            fields_of(p, VALUES) | {"plan": p.sized.plan.record(), "dominated_by": others}
            for p, others in zip(c.packages, c.dominated_by, strict=True)
        ],
        **fields_of(c, "front objectives tariff years discount_rate"),
        "enough": None if enough is None else fields_of(enough, ENOUGH),
        "limits": c.limits,
        "cautions": CAUTIONS,
    }


def losses(c: Comparison, system: str) -> Any:
    """Stacked heating load by component, one bar a package, total at the end."""
    figure, axes = blank(8.6, 1.7 + 0.55 * len(c.packages))
    lost = [p.sized.heating.components_W for p in c.packages]
    order = sorted(dict.fromkeys(name for W in lost for name in W), key=lambda name: -max(W.get(name, 0.0) for W in lost))
    rows, base = np.arange(len(c.packages))[::-1], np.zeros(len(c.packages))
    for k, name in enumerate(order):
        watts = shown(np.array([max(W.get(name, 0.0), 0.0) for W in lost]), "power", system)
        axes.barh(rows, watts, left=base, height=0.62, color=COLOURS[k % len(COLOURS)], edgecolor="white", label=name)
        base = base + watts
    for y, total, p in zip(rows, base, c.packages, strict=True):
        told(axes, text(p.heating_W, "power", system), (total, y), (4, 0), va="center")
    axes.set_yticks(rows, [_short(p.name) for p in c.packages])
    cold = text(c.packages[0].sized.heating.outdoor_C, "temperature", system)
    axes.set(xlim=(0, base.max() * 1.18), xlabel=measured(f"heat loss at {cold} outdoors", "power", system))
    figure.legend(*axes.get_legend_handles_labels(), loc="outside upper center", ncols=4, fontsize=8.5)
    return figure


def front_figure(c: Comparison, system: str) -> Any:
    """Price (or weight, where no price is said) against the year's energy; what nothing beats is filled and joined."""
    priced = all(p.price is not None for p in c.packages) and len({p.price for p in c.packages}) > 1
    figure, axes = blank(8.6, 4.2)
    x = np.array([p.price if priced and p.price is not None else float(shown(p.mass_kg, "mass", system)) for p in c.packages])
    y = np.array([p.year_kWh for p in c.packages])
    for k, p in enumerate(c.packages):
        best = p.name in c.front
        words = f"{_short(p.name)}\n{text(p.heating_W, 'power', system)}, {p.candidate.name}{'' if best else ', beaten'}"
        one_of_many(axes, k, (x[k], y[k]), words, beaten=not best, ms=10, mew=1.8)
    _steps(axes, x, y)
    axes.set(
        xlabel="price of the package [US dollars]" if priced else measured("weight of the shell", "mass", system),
        ylabel="heating, cooling and air [kWh a year]",
        xlim=(x.min() - 0.06 * np.ptp(x) - 1, x.max() + 0.06 * np.ptp(x) + 1),
        ylim=(y.min() - 0.15 * np.ptp(y) - 10, y.max() + 0.15 * np.ptp(y) + 10),
    )
    axes.tick_params(colors=INK)
    figure.legend(*axes.get_legend_handles_labels(), loc="outside right center", fontsize=8.5, labelspacing=1.1)
    ruled(axes, "both")
    return figure


def _steps(axes: Any, x: np.ndarray, y: np.ndarray) -> None:
    """The staircase of the lowest energy for the money."""
    order = np.lexsort((y, x))
    lowest = np.minimum.accumulate(y[order])
    kept = order[y[order] <= lowest]
    axes.step(x[kept], y[kept], where="post", color="#999999", lw=1.0, ls="--", zorder=0)


def _short(name: str) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(name, 18))
