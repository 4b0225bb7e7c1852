"""The run load as a spreadsheet: prices are cells, costs are formulas, text is never a formula."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import numpy as np

from heatcalc.answers.sale.buyer import CAUTIONS, Buyer
from heatcalc.errors import NoAnswer
from heatcalc.judge.metered_year import USES
from heatcalc.show import run_load_text as words
from heatcalc.show.run_load_figures import USE_COLOURS
from heatcalc.supply.money import hour_prices, month_hour
from heatcalc.supply.price_shares import period_shares
from heatcalc.wording import MONTHS, RISKY

SAFE = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}
MADE = datetime(2000, 1, 1)  # the same file for the same numbers
FIRST = 4  # row of January, from 0
COLUMNS = "ABCDEFGHIJKLMNOP"
KWH, USD, PRICE = "#,##0", "$#,##0.00", "$0.0000"


def xlsx(b: Buyer, system: str) -> bytes:
    """The workbook as bytes.  Raises NoAnswer where the papers extra is not installed."""
    try:
        from xlsxwriter import Workbook
    except ImportError:
        raise NoAnswer('a spreadsheet needs the extra: pip install "heatcalc[papers]"') from None
    made = io.BytesIO()
    book = Workbook(made, SAFE)
    book.set_properties({"title": "What it takes to run", "created": MADE})
    pen = _Pen(book)
    run, price, hours = (book.add_worksheet(name) for name in ("Run load", "Price", "Hours"))
    _hours_sheet(pen, hours, b)
    cost = _price_sheet(pen, price, b)
    _run_sheet(pen, run, b, cost, system)
    _about(pen, book.add_worksheet("About"), b, system)
    run.activate()
    book.close()
    return made.getvalue()


class _Pen:
    """Formats, and the one way text is written."""

    def __init__(self, book: Any) -> None:
        self.book = book
        styles: dict[str, dict[str, Any]] = {
            "bold": {"bold": True},
            "head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"},
            "text": {},
            "wrap": {"text_wrap": True, "valign": "top"},
            "kWh": {"num_format": KWH},
            "usd": {"num_format": USD},
            "price": {"num_format": PRICE},
            "input": {"num_format": PRICE, "bg_color": "#FFF4CC", "border": 1},
            "kWh input": {"num_format": KWH, "bg_color": "#FFF4CC", "border": 1},
            "fine": {"num_format": "0.000"},
            "total kWh": {"num_format": KWH, "bold": True, "top": 1},
            "total usd": {"num_format": USD, "bold": True, "top": 1},
            "total": {"bold": True, "top": 1},
        }
        self.styles = {name: book.add_format(style) for name, style in styles.items()}
        self.quoted = {name: book.add_format(style | {"quote_prefix": True}) for name, style in styles.items()}

    def text(self, sheet: Any, row: int, column: int, words_: str, style: str = "text") -> None:
        """Text stays text, also where it begins like a formula."""
        kept = "".join(c for c in words_ if c.isprintable() or c in "\n ")
        shelf = self.quoted if words_.startswith(RISKY) else self.styles
        sheet.write_string(row, column, kept, shelf[style])


def _hours_sheet(pen: _Pen, sheet: Any, b: Buyer) -> None:
    """kWh by month and hour of the day, and the rest of the house by month."""
    pen.text(sheet, 0, 0, "kWh for heat, cold and air by month and hour of the day (hour beginning, standard time)", "bold")
    table, rest = month_hour(b.run.load.run_W / 1000.0), b.run.money.rest.energy_kWh
    _hour_head(pen, sheet)
    pen.text(sheet, FIRST - 1, 26, "rest of the house", "head")
    for m in range(12):
        pen.text(sheet, FIRST + m, 0, MONTHS[m])
        for h in range(24):
            sheet.write_number(FIRST + m, 1 + h, float(table[m, h]), pen.styles["fine"])
        sheet.write_number(FIRST + m, 26, float(rest[m]), pen.styles["kWh"])
    sheet.set_column(0, 0, 12)
    sheet.freeze_panes(FIRST, 1)


def _hour_head(pen: _Pen, sheet: Any) -> None:
    pen.text(sheet, FIRST - 1, 0, "month", "head")
    for h in range(24):
        pen.text(sheet, FIRST - 1, 1 + h, f"{h}:00", "head")


def _price_sheet(pen: _Pen, sheet: Any, b: Buyer) -> list[str]:
    """The tariff's cells; returns the cost formula of each month."""
    tariff = b.run.money.tariff
    pen.text(sheet, 0, 0, f"Price of electricity: {tariff.name}. Change the yellow cells; the costs follow.", "bold")
    pen.text(sheet, 1, 0, words.price_line(b))
    sheet.set_column(0, 0, 26)
    return _tier_cells(pen, sheet, b) if tariff.kind == "tiered" else _hour_cells(pen, sheet, b)


def _hour_cells(pen: _Pen, sheet: Any, b: Buyer) -> list[str]:
    """Price of every month and hour, from the base price and the periods below the table."""
    tariff, below = b.run.money.tariff, FIRST + 14
    base = tariff.price or 0.0
    cells = [(f"{'price' if tariff.kind == 'flat' else 'base price'} [US dollars/kWh]", base)]
    cells += [(f"{p.name} [US dollars/kWh]", p.price) for p in tariff.periods]
    for k, (name, value) in enumerate([*cells, ("fixed charge [US dollars/month]", tariff.monthly_charge)]):
        pen.text(sheet, below + k, 0, name)
        sheet.write_number(below + k, 1, value, pen.styles["input"])
    shares, prices = period_shares(tariff), hour_prices(tariff)
    _hour_head(pen, sheet)
    for m in range(12):
        pen.text(sheet, FIRST + m, 0, MONTHS[m])
        for h in range(24):
            sheet.write_formula(
                FIRST + m, 1 + h, _price_formula(shares[:, m, h], below + 1), pen.styles["price"], float(prices[m, h])
            )
    return [f"=SUMPRODUCT(Hours!B{FIRST + m + 1}:Y{FIRST + m + 1},Price!B{FIRST + m + 1}:Y{FIRST + m + 1})" for m in range(12)]


def _price_formula(shares: np.ndarray, row: int) -> str:
    base = f"$B${row}"
    more = [f"+{float(w):.12g}*($B${row + 1 + k}-{base})" for k, w in enumerate(shares) if w > 0]
    return f"={base}{''.join(more)}"


def _tier_cells(pen: _Pen, sheet: Any, b: Buyer) -> list[str]:
    """Tiers as cells; a month's cost is the whole house's less that of the rest."""
    tariff = b.run.money.tariff
    for column, name in enumerate(("tier", "up to kWh a month", "US dollars/kWh")):
        pen.text(sheet, 3, column, name, "head")
    for k, tier in enumerate(tariff.tiers):
        pen.text(sheet, 4 + k, 0, f"tier {k + 1}")
        sheet.write_number(4 + k, 1, 1e9 if tier.up_to_kWh is None else tier.up_to_kWh, pen.styles["kWh input"])
        sheet.write_number(4 + k, 2, tier.price, pen.styles["input"])
    last = 4 + len(tariff.tiers)
    pen.text(sheet, last + 1, 0, "fixed charge [US dollars/month]")
    sheet.write_number(last + 1, 1, tariff.monthly_charge, pen.styles["input"])

    def cost(kWh: str) -> str:
        limits = ["0", *(f"Price!$B${5 + k}" for k in range(len(tariff.tiers)))]
        return "+".join(f"Price!$C${5 + k}*MAX(MIN({kWh},{limits[k + 1]})-{limits[k]},0)" for k in range(len(tariff.tiers)))

    rows = [FIRST + m + 1 for m in range(12)]
    return [f"=({cost(f'(SUM(Hours!B{r}:Y{r})+Hours!AA{r})')})-({cost(f'Hours!AA{r}')})" for r in rows]


def _run_sheet(pen: _Pen, sheet: Any, b: Buyer, cost: list[str], system: str) -> None:
    """The table by month with its chart, then the promise."""
    for k, line in enumerate(words.heading(b, system)):
        pen.text(sheet, k, 0, line, "bold")
    head = (
        "month",
        *(f"{words.HOUSE_WORDS[u]} [kWh]" for u in USES),
        "all [kWh]",
        "likely from [kWh]",
        "to [kWh]",
        "cost [US dollars]",
    )
    for column, name in enumerate(head):
        pen.text(sheet, FIRST - 1, column, name, "head")
    kWh, costs = b.run.load.month_kWh, b.run.money.month_cost
    for m in range(12):
        _month(pen, sheet, m, [float(kWh[u][m]) for u in USES], b.band.month_kWh[:, m], cost[m], float(costs[m]))
    _year(pen, sheet, b)
    sheet.set_column(0, 0, 14)
    sheet.set_column(1, len(head) - 1, 11)
    _chart(pen, sheet)
    for k, line in enumerate(words.promise_lines(b, system)):
        pen.text(sheet, FIRST + 32 + k, 0, line)


def _month(pen: _Pen, sheet: Any, m: int, uses: list[float], likely: np.ndarray, formula: str, cost: float) -> None:
    row, n = FIRST + m, FIRST + m + 1
    pen.text(sheet, row, 0, MONTHS[m])
    for k, value in enumerate(uses):
        sheet.write_number(row, 1 + k, value, pen.styles["kWh"])
    total = 1 + len(uses)
    sheet.write_formula(row, total, f"=SUM(B{n}:{COLUMNS[total - 1]}{n})", pen.styles["kWh"], sum(uses))
    for k in (0, 1):
        sheet.write_number(row, total + 1 + k, float(likely[k]), pen.styles["kWh"])
    sheet.write_formula(row, total + 3, formula, pen.styles["usd"], cost)


def _year(pen: _Pen, sheet: Any, b: Buyer) -> None:
    """Sums of the months; the likely range of a year is narrower than the sum of the months' ranges."""
    row, n, total = FIRST + 12, FIRST + 12, 1 + len(USES)
    pen.text(sheet, row, 0, "Year", "total")
    sums = [float(b.run.load.month_kWh[use].sum()) for use in USES]
    for k, value in enumerate([*sums, sum(sums)]):
        sheet.write_formula(row, 1 + k, _down(1 + k, n), pen.styles["total kWh"], value)
    for k in (0, 1):
        sheet.write_number(row, total + 1 + k, b.band.year_kWh[k], pen.styles["total kWh"])
    sheet.write_formula(row, total + 3, _down(total + 3, n), pen.styles["total usd"], b.run.money.year_cost)


def _down(column: int, last: int) -> str:
    """The sum of a column's twelve months."""
    return f"=SUM({COLUMNS[column]}{FIRST + 1}:{COLUMNS[column]}{last})"


def _chart(pen: _Pen, sheet: Any) -> None:
    chart = pen.book.add_chart({"type": "column", "subtype": "stacked"})
    for k, use in enumerate(USES):
        chart.add_series(
            {
                "name": ["Run load", FIRST - 1, 1 + k],
                "categories": ["Run load", FIRST, 0, FIRST + 11, 0],
                "values": ["Run load", FIRST, 1 + k, FIRST + 11, 1 + k],
                "fill": {"color": USE_COLOURS[use]},
                "gap": 40,
            }
        )
    chart.set_y_axis({"name": "kWh a month"})
    chart.set_title({"name": "Electricity for heat, cold and air", "name_font": {"size": 11}})
    sheet.insert_chart(
        FIRST + 14, 0, chart, {"x_scale": 1.5, "description": "Stacked columns: kWh of each month by use, as in the table above"}
    )


def _about(pen: _Pen, sheet: Any, b: Buyer, system: str) -> None:
    """Changes, what makes the range, sources and cautions."""
    tables = (
        (("change", "heating [kWh]", "cooling [kWh]", "all [kWh]", "money"), words.change_rows(b, system)),
        (("source of heat", "bought a year", "cost", "CO2"), words.fuel_rows(b)),
        (("moved to find the range", "how far", "year [kWh]", "why that far"), words.swing_rows(b, system)),
    )
    row = 0
    for head, rows in tables:
        for offset, cells in enumerate([head, *rows]):
            for column, cell in enumerate(cells):
                pen.text(sheet, row + offset, column, cell, "wrap" if offset else "head")
        row += len(rows) + 2
    for line in (
        words.fuel_line(b),
        words.carbon_line(b),
        words.rest_line(b),
        words.weather_line(b, system),
        words.not_promised(),
        *CAUTIONS,
    ):
        pen.text(sheet, row, 0, line)
        row += 1
    sheet.set_column(0, 3, 30)
