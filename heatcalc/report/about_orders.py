"""What `heatcalc orders` says: one table with a row an order, and a line for every row that could not be answered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from heatcalc import units
from heatcalc.report.report import Bullet, Caution, Column, Report, Sentence, Table, bullets, chapter, chapters

CAUTION = "For information: local codes, each unit's manual and nameplate, and licensed trades decide."


def about_orders(file: str, records: Sequence[dict[str, Any]], sure: float) -> Report:
    """The answer to an orders file; `records` as `answers.study.orders.answered` gives them."""
    rows = sorted(records, key=lambda r: r["row"])
    good, bad = [r for r in rows if not r["problem"]], [r for r in rows if r["problem"]]
    walked = any(r["yearly_kWh"] is not None for r in good)
    carried = sum(bool(r["supply_carried"]) for r in good)
    said = f"{len(good)} orders answered, {len(bad)} rows to mend; {carried} keep the supply their house has."
    return Report(
        question="orders",
        title=f"Orders of {file}: a plan each, made to hold in {sure:.0%} of houses built so",
        decision=(Sentence(said),),
        chapters=chapters(
            chapter("Rows to mend", *(Bullet(f"row {r['row']}{_named(r)}: {r['problem']}") for r in bad)),
            chapter("To ask about these orders", *_asked(good)),
            chapter("Plans", _table(good, walked)) if good else None,
            chapter("", *bullets((CAUTION,), Caution)),
        ),
        values={"file": file, "sure": sure, "orders": good, "rows_to_mend": bad, "caution": CAUTION},
    )


def _named(record: dict[str, Any]) -> str:
    return f" ({record['reference']})" if record["reference"] else ""


def _asked(good: Sequence[dict[str, Any]]) -> list[Bullet]:
    """Every question once, with the rows it is asked of."""
    rows: dict[str, list[str]] = {}
    for record in good:
        for words in record["asked"]:
            rows.setdefault(words, []).append(str(record["row"]))
    return [Bullet(f"row{'s' if len(of) > 1 else ''} {', '.join(of)}: {words}") for words, of in rows.items()]


def _table(good: Sequence[dict[str, Any]], walked: bool) -> Table:
    columns = [
        (Column("row", decimals=0), "row"),
        (Column("order"), "reference"),
        (Column("model"), "model"),
        (Column("package"), "package"),
        (Column("place"), "found"),
        (Column("unit"), "plan_unit"),
        (Column("verdict"), "verdict"),
        (Column("chance"), "chance"),
        (Column("held to", kind="temperature"), "held_C"),
        (Column("second heater", kind="electric power"), "heater_W"),
        (Column("supply"), "plan_supply"),
        (Column("first cost", unit="$", decimals=0), "first_cost_usd"),
        *(
            (
                (Column("a year", unit="kWh", decimals=0), "yearly_kWh"),
                (Column("a year", unit="$", decimals=0), "yearly_cost_usd"),
            )
            if walked
            else ()
        ),
        (Column("besides"), "besides"),
    ]
    rows = [{**r, "chance": units.text(r["chance"], "chance", "ip"), "besides": _besides(r)} for r in good]
    return Table("orders", "", tuple(c for c, _ in columns), tuple(tuple(r[k] for _, k in columns) for r in rows))


def _besides(record: dict[str, Any]) -> str:
    heater = f"heater for {record['heater_for']}" if record["heater_W"] else ""
    supply = "" if record["supply_carried"] else "larger supply"
    missed = f"not met: {', '.join(record['warnings'])}" if record["warnings"] else ""
    return "; ".join(part for part in (heater, supply, *record["changes"], missed) if part)
