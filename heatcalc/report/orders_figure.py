"""The picture of a list of orders: models by places, each cell the plan's unit on a colour that says what the plan needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from heatcalc.judge.rules import TOO_SMALL
from heatcalc.report.drawing import INK, short

NEEDS = (
    "the unit alone",
    "a lock-out",
    "a second heater",
    "a larger supply",
    "a larger supply and a second heater",
    "nothing holds",
)
SHADES = ("#fbfbf3", "#dbe8ec", "#b3d0e0", "#82aece", "#3f74a6", "#14233f")  # each darker than the one before, in grey too
DARK = 4  # from this shade on letters are white
MOST_ROWS, MOST_COLUMNS = 24, 16


def need_of(record: dict[str, Any]) -> int:
    """What a plan needs beside the house as it stands: a place in NEEDS."""
    if record["verdict"] == TOO_SMALL:
        return 5
    heater = bool(record["heater_W"])
    return 3 + heater if not record["supply_carried"] else 2 if heater else int(bool(record["changes"]))


@dataclass(frozen=True)
class OrderGrid:
    """Models (rows) by places (columns), a record a cell; the most ordered ones where there are too many for a page."""

    models: tuple[str, ...]
    places: tuple[str, ...]
    cells: dict[tuple[str, str], dict[str, Any]]
    left_out: str


def grid(good: Sequence[dict[str, Any]]) -> OrderGrid:
    """The records laid out; of two orders in one cell the first."""
    rows, columns = (Counter(name(r) for r in good) for name in (_model, _place))
    models, places = (tuple(n for n, _ in c.most_common(most)) for c, most in ((rows, MOST_ROWS), (columns, MOST_COLUMNS)))
    cells: dict[tuple[str, str], dict[str, Any]] = {}
    for r in good:
        cells.setdefault((_model(r), _place(r)), r)
    hidden = len(rows) > len(models) or len(columns) > len(places)
    return OrderGrid(models, places, cells, f", the {len(models)} x {len(places)} most ordered" if hidden else "")


def _model(r: dict[str, Any]) -> str:
    said = (r["model"] or "the demo house", r["package"], r["options"], r["supply"], r["unit"])
    return "\n".join(short(part, 34) for part in said if part)


def _place(r: dict[str, Any]) -> str:
    return str(r["found"]).split(" (")[0]


def orders_figure(good: Sequence[dict[str, Any]], system: str) -> Any:
    """A square a model and place; its shade says what the plan needs, its letters the unit and the heater."""
    from matplotlib.figure import Figure
    from matplotlib.patches import Patch, Rectangle

    g = grid(good)
    lines = [1 + model.count("\n") for model in g.models]
    figure = Figure(figsize=(3.0 + 0.85 * len(g.places), 1.9 + 0.22 * sum(max(n, 2) for n in lines)), layout="constrained")
    axes = figure.subplots()
    for (model, place), r in g.cells.items():
        if model in g.models and place in g.places:
            x, y, need = g.places.index(place), g.models.index(model), need_of(r)
            axes.add_patch(Rectangle((x, y), 1, 1, facecolor=SHADES[need], edgecolor="white", lw=1.5))
            heater = f"\n+{r['heater_W'] / 1000.0:.1f} kW" if r["heater_W"] else ""
            letters = "white" if need >= DARK else INK
            axes.text(
                x + 0.5, y + 0.5, f"{short(r['plan_unit'], 20)}{heater}", ha="center", va="center", fontsize=7, color=letters
            )
    axes.set(xlim=(0, len(g.places)), ylim=(len(g.models), 0))
    axes.set_xticks([k + 0.5 for k in range(len(g.places))], g.places, rotation=35, ha="left", fontsize=8)
    axes.set_yticks([k + 0.5 for k in range(len(g.models))], g.models, fontsize=8)
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    keys = [Patch(facecolor=shade, edgecolor=INK, lw=0.6, label=words) for shade, words in zip(SHADES, NEEDS, strict=True)]
    figure.legend(handles=keys, loc="outside lower left", ncols=3, fontsize=8)
    return figure
