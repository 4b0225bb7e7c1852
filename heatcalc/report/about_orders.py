"""What `heatcalc orders` says: a table with a row an order, a picture of what they need (models by places, each cell the plan's
unit on a colour that says what it needs), a line for every row without an answer.

In a workbook the money is formulas: of the prices in yellow cells, and of the rows that a filter leaves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from heatcalc import units
from heatcalc.answers.study.many_orders import Answered, Record
from heatcalc.judge.plan import LARGEST_120_V_HEATER_W
from heatcalc.judge.rules import TOO_SMALL
from heatcalc.report.drawing import INK, blank, short
from heatcalc.report.report import Bullet, Caution, Figure, Report, Sentence, bullets, chapter, chapters, stamped
from heatcalc.report.table import Cell, Column, Live, Table
from heatcalc.tables import rows as price_rows
from heatcalc.wording import counted, mark

CAUTION = "For information: local codes, each unit's manual and nameplate, and licensed trades decide."
ASKED, TOTAL = "asked", "J"  # column of the whole first cost in the sheet "costs"


def about_orders(found: Answered) -> Report:
    """The answer to an orders file."""
    good, bad = found.good, found.bad
    carried = sum(bool(r["supply_carried"]) for r in good)
    kept = f"{carried} {'keeps' if carried == 1 else 'keep'} the supply their house has"
    said = f"{counted(len(good), 'order')} answered, {counted(len(bad), 'row')} to mend; {kept}."
    table = _table(good) if good else None
    return Report(
        question="orders",
        title=f"{found.title}: a plan each, made to hold in {found.sure:.0%} of houses built so",
        decision=(Sentence(said),),
        chapters=chapters(
            chapter("Rows to mend", *_once([(f"{r['row']}{_named(r)}", r["problem"]) for r in bad])),
            chapter("To ask about these orders", *_once([(str(r["row"]), words) for r in good for words in r["asked"]])),
            chapter("Plans", table),
            chapter("Warnings of the places", *_once(_minded(good))),
            chapter("What they need", _figure(good) if good else None),
            chapter("", *bullets((CAUTION,), Caution)),
        ),
        values={"file": found.title, "sure": found.sure, "orders": good, "rows_to_mend": bad, "caution": CAUTION},
        stamp=stamped(None),
        data=() if table is None else (_totals(table), _costs(good), _prices()),
    )


def _named(record: Record) -> str:
    return f" ({record['reference']})" if record["reference"] else ""


def _minded(good: Sequence[Record]) -> list[tuple[str, str]]:
    """Of each row, what is to be minded about its place."""
    return [(str(r["row"]), words) for r in good for words in r.get("place_warnings", ())]


def _once(said: Sequence[tuple[str, str]]) -> list[Bullet]:
    """Everything said once, with the rows it is said of."""
    rows: dict[str, list[str]] = {}
    for row, words in said:
        rows.setdefault(words, []).append(row)
    return [Bullet(f"row{'s' if len(of) > 1 else ''} {', '.join(of)}: {words}") for words, of in rows.items()]


def _figure(good: Sequence[Record]) -> Figure:
    counts = {need: sum(need_of(r) == k for r in good) for k, need in enumerate(NEEDS)}
    says = "models by places, each cell the plan's unit: " + ", ".join(f"{need} {n}" for need, n in counts.items() if n)
    return Figure("needs", "Models by places, and what each plan needs" + grid(good).left_out, says, partial(orders_figure, good))


def _table(good: Sequence[Record]) -> Table:
    walked = [
        (Column("a year", unit="kWh", decimals=0), lambda r, _: r["yearly_kWh"]),
        *((Column("a year", unit=mark(c), decimals=0), partial(_cost_in, c)) for c in _currencies(good)),
    ]
    columns: list[tuple[Column, Callable[[Record, int], Cell]]] = [
        (Column("row", decimals=0), lambda r, _: r["row"]),
        (Column("order"), lambda r, _: r["reference"]),
        (Column("model"), lambda r, _: r["model"]),
        (Column("package"), lambda r, _: r["package"]),
        (Column("place"), lambda r, _: r["found"]),
        (Column("unit"), lambda r, _: r["plan_unit"]),
        (Column("verdict"), lambda r, _: r["verdict"]),
        (Column("chance"), lambda r, _: units.text(r["chance"], "chance", "ip")),
        (Column("held to", kind="temperature"), lambda r, _: r["held_C"]),
        (Column("second heater", kind="electric power"), lambda r, _: r["heater_W"]),
        (Column("supply"), lambda r, _: r["plan_supply"]),
        (Column("first cost", unit="$", decimals=0), lambda r, n: Live(r["first_cost_usd"], f"costs!{TOTAL}{n}")),
        *(walked if any(r["yearly_kWh"] is not None for r in good) else ()),
        (Column("needs"), lambda r, _: NEEDS[need_of(r)]),
        (Column("besides"), lambda r, _: _besides(r)),
    ]
    rows = tuple(tuple(cell(r, n) for _, cell in columns) for n, r in enumerate(good, 2))
    return Table("orders", "", tuple(c for c, _ in columns), rows)


def _currencies(good: Sequence[Record]) -> list[str]:
    """Of the years' costs: each has its own column, none is converted."""
    return sorted({r["currency"] for r in good if r["currency"]})


def _cost_in(currency: str, record: Record, _: int) -> Cell:
    return record["yearly_cost"] if record["currency"] == currency else None


def _besides(record: Record) -> str:
    heater = "the heater carries the house while the unit stands still" if record["heater_alone"] else ""
    dryer = f"dehumidifier {record['dehumidifier_W']:.0f} W" if record["dehumidifier_W"] else ""
    missed = f"{', '.join(record['not_met'])}: not met by the unit alone on the house's own supply" if record["not_met"] else ""
    return "; ".join(part for part in (heater, dryer, *record["changes"], missed) if part)


# --- sheets of the workbook ---------------------------------------------------------------------------------------------------


def _prices() -> Table:
    """The invented prices, one row an item, for the shop to write its own over them."""
    heads = (Column("item"), Column("each", unit="$", decimals=0), Column("more a kW", unit="$", decimals=0), Column("source"))
    rows = tuple((r["item"], float(r["usd"]), float(r["usd_per_kW"]), r["source"]) for r in price_rows("plan_prices"))
    return Table("prices", "", heads, rows, yours=True)


def _costs(good: Sequence[Record]) -> Table:
    """First cost of each order as formulas of the sheet "prices"; `judge.plan.price` in cells."""
    at = {r["item"]: n for n, r in enumerate(price_rows("plan_prices"), 2)}
    money = {"unit": "$", "decimals": 0}
    heads = (
        Column("row", decimals=0),
        Column("order"),
        Column("unit size", unit="kW", decimals=2),
        Column("second heater", unit="kW", decimals=2),
        Column("package", **money),  # type: ignore[arg-type]
        *(Column(words, **money) for words in ("unit", "heater", "larger supply", "dehumidifier", "first cost")),  # type: ignore[arg-type]
    )
    return Table("costs", "", heads, tuple(_cost(r, n, at) for n, r in enumerate(good, 2)))


def _cost(r: Record, n: int, at: dict[str, int]) -> tuple[Cell, ...]:
    usd = {x["item"]: (float(x["usd"]), float(x["usd_per_kW"])) for x in price_rows("plan_prices")}
    heater_kW, size_kW = r["heater_W"] / 1000.0, r["unit_kBtuh"] * 0.29307107
    heater = "heater 120 V" if r["heater_W"] <= LARGEST_120_V_HEATER_W else "heater 240 V"
    supply = r["plan_supply"] if r["plan_supply"] in at else list(at)[-1]
    each = (
        Live(usd["unit"][0] + usd["unit"][1] * size_kW, f"prices!$B${at['unit']}+prices!$C${at['unit']}*C{n}"),
        Live(
            usd[heater][0] + usd[heater][1] * heater_kW if heater_kW else 0.0,
            f"IF(D{n}>0,prices!$B${at[heater]}+prices!$C${at[heater]}*D{n},0)",
        ),
        Live(
            max(usd[supply][0] - usd[r["own_supply"]][0], 0.0), f"MAX(prices!$B${at[supply]}-prices!$B${at[r['own_supply']]},0)"
        ),
        Live(usd["dehumidifier"][0], f"prices!$B${at['dehumidifier']}") if r["dehumidifier_W"] else 0.0,
    )
    total = Live(r["first_cost_usd"], f"ROUND(SUM(E{n}:I{n}),0)")
    return r["row"], r["reference"], size_kW, heater_kW, r["package_usd"], *each, total


def _totals(table: Table) -> Table:
    """Counts and sums of all rows, and of those a filter leaves."""
    last, letter = len(table.rows) + 1, {str(c.head) + c.unit: chr(65 + k) for k, c in enumerate(table.columns)}

    def span(head: str) -> str:
        return f"orders!{letter[head]}2:{letter[head]}{last}"

    needs = [str(row[list(letter).index("needs")]) for row in table.rows]
    lines: list[tuple[Cell, ...]] = [
        ("orders", Live(len(table.rows), f"COUNTA({span('unit')})"), Live(len(table.rows), f"SUBTOTAL(103,{span('unit')})"))
    ]
    for words in NEEDS:
        lines.append((words, Live(needs.count(words), f'COUNTIF({span("needs")},"{words}")'), None))
    years = [head for head in letter if head.startswith("a year")]  # energy, and one of each currency
    for head, words in [("first cost$", "first cost [$]"), *((h, f"a year [{h.removeprefix('a year')}]") for h in years)]:
        if head in letter:
            cells = [row[list(letter).index(head)] for row in table.rows]
            whole = float(sum(c.value if isinstance(c, Live) else c or 0.0 for c in cells))  # type: ignore[misc]
            lines.append((words, Live(whole, f"SUM({span(head)})"), Live(whole, f"SUBTOTAL(109,{span(head)})")))
    heads = (Column("of the orders"), Column("all", decimals=0), Column("of the rows a filter leaves", decimals=0))
    return Table("totals", "", heads, tuple(lines))


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
    from matplotlib.patches import Patch, Rectangle

    g = grid(good)
    lines = [max(1 + model.count("\n"), 2) for model in g.models]
    figure, axes = blank(3.0 + 0.85 * len(g.places), 1.9 + 0.22 * sum(lines))
    for (model, place), r in g.cells.items():
        if model in g.models and place in g.places:
            x, y, need = g.places.index(place), g.models.index(model), need_of(r)
            axes.add_patch(Rectangle((x, y), 1, 1, facecolor=SHADES[need], edgecolor="white", lw=1.5))
            heater = f"\n+{r['heater_W'] / 1000.0:.1f} kW" if r["heater_W"] else ""
            look = {"ha": "center", "va": "center", "fontsize": 7, "color": "white" if need >= DARK else INK}
            axes.text(x + 0.5, y + 0.5, f"{short(r['plan_unit'], 20)}{heater}", **look)
    axes.set(xlim=(0, len(g.places)), ylim=(len(g.models), 0))
    axes.set_xticks([k + 0.5 for k in range(len(g.places))], g.places, rotation=35, ha="left", fontsize=8)
    axes.set_yticks([k + 0.5 for k in range(len(g.models))], g.models, fontsize=8)
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    keys = [Patch(facecolor=shade, edgecolor=INK, lw=0.6, label=words) for shade, words in zip(SHADES, NEEDS, strict=True)]
    figure.legend(handles=keys, loc="outside upper left", ncols=3, fontsize=8)
    return figure
