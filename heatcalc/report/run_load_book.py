"""The run load as its own spreadsheet: what may change is a yellow cell, every number that follows from one is a formula.

Sheet "Hours" holds a block for each walked year (the house as described, every change, every swing of the likely range): kWh of
heat, cold and air by month and hour, those of the rest of the house beside them, and the bill of each month.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.sale.buyer import CAUTIONS, Buyer
from heatcalc.inputs.supply.supply_record import Tariff
from heatcalc.judge.metered_year import DAYS_OF_MONTH
from heatcalc.report import promise_words as words
from heatcalc.report.run_load_figures import HOUSE_WORDS, USE_COLOURS, month_uses
from heatcalc.supply.money import hour_prices, period_shares, propane_of
from heatcalc.units import label, shown
from heatcalc.wording import MONTHS, RISKY, money_text, named, number_format, price_of_kWh, price_text, said

FIRST, STEP = 4, 15  # row of January, from 0; rows from block to block
REST, MONTH, BILL, ADDS = (26, 51, 52, 53)  # columns of a block: rest by hour, kWh, bill of the month, what is added
KWH = "#,##0"
MOST_LITERAL = 240  # letters of one text in a formula


@dataclass(frozen=True, eq=False)
class YearBlock:
    """A walked year of the sheet "Hours": its name, its two tables [kWh], its first row."""

    name: str
    run: np.ndarray
    rest: np.ndarray
    row: int

    def cell(self, month: int, column: int) -> str:
        """Address of a month's cell."""
        return f"Hours!${_letters(column)}${self.row + month + 1}"

    def row_of(self, month: int, column: int) -> str:
        """Address of a month's 24 hours from a column on."""
        return f"Hours!${_letters(column)}${self.row + month + 1}:${_letters(column + 23)}${self.row + month + 1}"

    @property
    def year_usd(self) -> str:
        """What heat, cold and air add to the year's bills."""
        return f"SUM(Hours!${_letters(ADDS)}${self.row + 1}:${_letters(ADDS)}${self.row + 12})"


def _letters(column: int) -> str:
    from xlsxwriter.utility import xl_col_to_name

    return str(xl_col_to_name(column))


def run_load_book(book: Any, b: Buyer, system: str) -> None:
    """Its sheets, put into an open workbook."""
    pen = _Pen(book, b.run.money.currency)
    run, price, changes, hours, about = (book.add_worksheet(name) for name in ("Run load", "Price", "Changes", "Hours", "About"))
    blocks = _blocks(b)
    bill = _price_sheet(pen, price, b)
    _hours_sheet(pen, hours, blocks, bill, b.run.money.tariff)
    _run_sheet(pen, run, b, blocks, system)
    _changes_sheet(pen, changes, b, blocks, system)
    for row, line in enumerate(words.about_lines(b)):
        pen.text(about, row, 0, said(line, system), "wrap")
    about.set_column(0, 0, 120)
    run.activate()


def _blocks(b: Buyer) -> list[YearBlock]:
    """The house as described, its changes, and both sides of every swing."""
    tables = [("as described", b.run.tables), *((said(c.change, "ip"), c.tables) for c in b.changes)]
    tables += [(f"{s.name}, {way}", s.tables[k]) for s in b.band.swings for k, way in enumerate(("one way", "the other way"))]
    return [YearBlock(name, *pair, FIRST + k * STEP) for k, (name, pair) in enumerate(tables)]


class _Pen:
    """Formats, and the ways text and numbers are written."""

    def __init__(self, book: Any, currency: str) -> None:
        self.book, self.money = book, named(currency)
        usd, price = number_format(currency, 2), number_format(currency, 4)
        yellow = {"bg_color": "#FFF4CC", "border": 1}
        styles: dict[str, dict[str, Any]] = {
            "bold": {"bold": True},
            "head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"},
            "text": {},
            "wrap": {"text_wrap": True, "valign": "top"},
            "kWh": {"num_format": KWH},
            "signed kWh": {"num_format": "+#,##0;-#,##0;0"},
            "usd": {"num_format": usd},
            "price": {"num_format": price},
            "input": {"num_format": price} | yellow,
            "kWh input": {"num_format": KWH} | yellow,
            "share input": {"num_format": "0.0%"} | yellow,
            "fine": {"num_format": "0.000"},
            "total kWh": {"num_format": KWH, "bold": True, "top": 1},
            "total usd": {"num_format": usd, "bold": True, "top": 1},
            "total": {"bold": True, "top": 1},
        }
        self.styles = {name: book.add_format(style) for name, style in styles.items()}
        self.quoted = {name: book.add_format(style | {"quote_prefix": True}) for name, style in styles.items()}

    def text(self, sheet: Any, row: int, column: int, words_: str, style: str = "text") -> None:
        """Text stays text, also where it begins like a formula."""
        kept = "".join(c for c in words_ if c.isprintable() or c in "\n ")
        shelf = self.quoted if words_.startswith(RISKY) else self.styles
        sheet.write_string(row, column, kept, shelf[style])

    def heads(self, sheet: Any, row: int, *names: str) -> None:
        """The heads of columns, from the first on."""
        for column, name in enumerate(names):
            self.text(sheet, row, column, name, "head")

    def live(self, sheet: Any, row: int, column: int, formula: str, value: float | str, style: str) -> None:
        """A formula with the value it has now."""
        sheet.write_formula(row, column, f"={formula}", self.styles[style], value)

    def sentence(self, sheet: Any, row: int, column: int, line: str, live: dict[str, str]) -> None:
        """A line in which the words of `live` are formulas; plain text where it holds none."""
        pieces, left = [], line
        while found := min((w for w in live if w in left), key=left.index, default=""):
            before, left = left[: left.index(found)], left[left.index(found) + len(found) :]
            pieces += [*_literals(before), live[found]]
        if pieces:
            self.live(sheet, row, column, "&".join([*pieces, *_literals(left)]), line, "text")
        else:
            self.text(sheet, row, column, line)


def _literals(text: str) -> Iterator[str]:
    """Text of a formula in pieces that a spreadsheet takes."""
    for k in range(0, len(text), MOST_LITERAL):
        yield '"' + text[k : k + MOST_LITERAL].replace('"', '""') + '"'


def _price_sheet(pen: _Pen, sheet: Any, b: Buyer) -> Any:
    """The tariff's yellow cells; gives back the formula of a month's bill from its kWh by hour."""
    tariff = b.run.money.tariff
    gas = propane_of(tariff, b.sized.place.state)
    pen.text(sheet, 0, 0, f"Price of electricity: {tariff.name}. Change the yellow cells; everything follows.", "bold")
    sheet.set_column(0, 0, 34)
    extra = (
        (f"on top of every kWh [{pen.money}/kWh]", tariff.added_price, "input"),
        (f"charge [{pen.money}/month]", tariff.monthly_charge, "input"),
        (f"charge [{pen.money}/day]", tariff.daily_charge, "input"),
        (f"least of a month [{pen.money}]", tariff.minimum_charge, "input"),
        ("taxes on all of it", tariff.tax, "share input"),
        (f"propane [{pen.money}/{'litre' if gas.unit == 'L' else 'gallon'}]", gas.price, "input"),
    )
    for k, (name, value, style) in enumerate(extra):
        pen.text(sheet, 2 + k, 0, name)
        sheet.write(2 + k, 1, value, pen.styles[style])
    energy = _tier_cells(pen, sheet, tariff) if tariff.kind == "tiered" else _hour_cells(pen, sheet, tariff)

    def bill(month: int, hours: list[str]) -> str:
        kWh = "+".join(f"SUM({h})" for h in hours)
        fixed = f"Price!$B$4+Price!$B$5*{DAYS_OF_MONTH[month]}"
        return f"MAX({energy(month, hours, kWh)}+Price!$B$3*({kWh})+{fixed},Price!$B$6)*(1+Price!$B$7)"

    return bill


def _hour_cells(pen: _Pen, sheet: Any, tariff: Tariff) -> Any:
    """Price of every month and hour, from the base price and the periods."""
    below, top = 10, 14 + len(tariff.periods)
    cells = [(f"{'price' if tariff.kind == 'flat' else 'price besides'} [{pen.money}/kWh]", tariff.price or 0.0)]
    cells += [(f"{p.name} [{pen.money}/kWh]", p.price) for p in tariff.periods]
    for k, (name, value) in enumerate(cells):
        pen.text(sheet, below + k, 0, name)
        sheet.write_number(below + k, 1, value, pen.styles["input"])
    shares, prices = period_shares(tariff), hour_prices(tariff)
    for h in range(24):
        pen.text(sheet, top - 1, 1 + h, f"{h}:00", "head")
    for m in range(12):
        pen.text(sheet, top + m, 0, MONTHS[m])
        for h in range(24):
            pen.live(sheet, top + m, 1 + h, _price_formula(shares[:, m, h], below + 1), float(prices[m, h]), "price")

    def energy(month: int, hours: list[str], _: str) -> str:
        price = f"Price!$B${top + month + 1}:$Y${top + month + 1}"
        return "+".join(f"SUMPRODUCT({h},{price})" for h in hours)

    return energy


def _price_formula(shares: np.ndarray, row: int) -> str:
    base = f"$B${row}"
    return base + "".join(f"+{float(w):.15g}*($B${row + 1 + k}-{base})" for k, w in enumerate(shares) if w > 0)


def _tier_cells(pen: _Pen, sheet: Any, tariff: Tariff) -> Any:
    """Blocks of the month as cells."""
    pen.heads(sheet, 9, "tier", "up to kWh a month", f"{pen.money}/kWh", "months")
    for k, tier in enumerate(tariff.tiers):
        pen.text(sheet, 10 + k, 0, f"tier {k + 1}")
        sheet.write_number(10 + k, 1, 1e9 if tier.up_to_kWh is None else tier.up_to_kWh, pen.styles["kWh input"])
        sheet.write_number(10 + k, 2, tier.price, pen.styles["input"])
        pen.text(sheet, 10 + k, 3, ", ".join(MONTHS[m - 1][:3] for m in tier.months))

    def energy(month: int, _: list[str], kWh: str) -> str:
        rows = [11 + k for k, tier in enumerate(tariff.tiers) if month + 1 in tier.months]
        from_kWh = ["0", *(f"Price!$B${r}" for r in rows)]
        return "+".join(f"Price!$C${r}*MAX(MIN({kWh},Price!$B${r})-{below},0)" for r, below in zip(rows, from_kWh, strict=False))

    return energy


def _hours_sheet(pen: _Pen, sheet: Any, blocks: list[YearBlock], bill: Any, tariff: Tariff) -> None:
    """Every block: kWh by month and hour of heat, cold and air, then of the rest of the house; bills as formulas."""
    from heatcalc.supply.money import bill as counted

    pen.text(sheet, 0, 0, "kWh by month and hour of the day (hour beginning, standard time), and the bill of each month", "bold")
    heads = ((MONTH, "heat, cold, air [kWh]"), (BILL, "whole bill"), (ADDS, "heat, cold and air add"))
    for block in blocks:
        pen.text(sheet, block.row - 2, 0, block.name, "bold")
        pen.text(sheet, block.row - 2, REST, "rest of the house", "bold")
        for column, name in heads:
            pen.text(sheet, block.row - 1, column, name, "head")
        whole, rest = (counted(table, tariff).month_cost for table in (block.run + block.rest, block.rest))
        for m in range(12):
            pen.text(sheet, block.row + m, 0, MONTHS[m])
            sheet.write_row(block.row + m, 1, block.run[m].tolist(), pen.styles["fine"])
            sheet.write_row(block.row + m, REST, block.rest[m].tolist(), pen.styles["fine"])
            both = [block.row_of(m, 1), block.row_of(m, REST)]
            pen.live(sheet, block.row + m, MONTH, f"SUM({both[0]})", float(block.run[m].sum()), "kWh")
            pen.live(sheet, block.row + m, BILL, bill(m, both), whole[m], "usd")
            adds = f"{block.cell(m, BILL)}-({bill(m, both[1:])})"
            pen.live(sheet, block.row + m, ADDS, adds, whole[m] - rest[m], "usd")
    sheet.set_column(0, 0, 12)
    sheet.freeze_panes(0, 1)


def _run_sheet(pen: _Pen, sheet: Any, b: Buyer, blocks: list[YearBlock], system: str) -> None:
    """Heading, the table by month, the promise, the warnings, the chart."""
    for k, line in enumerate(words.heading(b)):
        pen.text(sheet, k, 0, line, "bold")
    uses, money, home = month_uses(b), b.run.money, blocks[0]
    heads = [f"{HOUSE_WORDS[u]} [kWh]" for u in uses]
    costs = f"cost [{pen.money}]", "whole house [kWh]", f"whole bill [{pen.money}]"
    more = ("all [kWh]", "likely from [kWh]", "to [kWh]", *costs)
    pen.heads(sheet, FIRST - 1, "month", *heads, *more)
    at = 1 + len(uses)
    whole_kWh = [f"{home.cell(m, MONTH)}+SUM({home.row_of(m, REST)})" for m in range(12)]
    for m in range(12):
        row, used = FIRST + m, [float(b.run.load.month_kWh[u][m]) for u in uses]
        pen.text(sheet, row, 0, MONTHS[m])
        sheet.write_row(row, 1, used, pen.styles["kWh"])
        pen.live(sheet, row, at, home.cell(m, MONTH), float(home.run[m].sum()), "kWh")
        sheet.write_row(row, at + 1, b.band.month_kWh[:, m].tolist(), pen.styles["kWh"])
        pen.live(sheet, row, at + 3, home.cell(m, ADDS), float(money.month_cost[m]), "usd")
        pen.live(sheet, row, at + 4, whole_kWh[m], money.whole.energy_kWh[m], "kWh")
        pen.live(sheet, row, at + 5, home.cell(m, BILL), money.whole.month_cost[m], "usd")
    _year(pen, sheet, b, uses)
    sheet.set_column(0, 0, 14)
    sheet.set_column(1, at + 5, 11)
    _below(pen, sheet, b, blocks, system)
    _chart(pen, sheet, uses, at + 7)


def _year(pen: _Pen, sheet: Any, b: Buyer, uses: tuple[str, ...]) -> None:
    """Sums of the months; the likely range of a year is narrower than the sum of the months' ranges."""
    money, at = b.run.money, 1 + len(uses)
    pen.text(sheet, FIRST + 12, 0, "Year", "total")
    sums = {1 + k: float(b.run.load.month_kWh[use].sum()) for k, use in enumerate(uses)}
    sums |= {at: b.run.load.year_kWh, at + 3: money.year_cost, at + 4: money.whole.year_kWh, at + 5: money.whole.year_cost}
    for column, value in sums.items():
        cells = f"SUM({_letters(column)}{FIRST + 1}:{_letters(column)}{FIRST + 12})"
        pen.live(sheet, FIRST + 12, column, cells, value, "total usd" if column in (at + 3, at + 5) else "total kWh")
    sheet.write_row(FIRST + 12, at + 1, list(b.band.year_kWh), pen.styles["total kWh"])


def _below(pen: _Pen, sheet: Any, b: Buyer, blocks: list[YearBlock], system: str) -> None:
    """Promise, warnings and prices in words, their money as formulas."""
    money, low = b.run.money, "Changes!$B$2"
    cheap, dear = (words.amount(b, x) for x in b.band.year_cost)
    said_of, average = partial(money_text, currency=money.currency), price_of_kWh(b.run.mean_price, money.currency)
    home, whole = blocks[0].year_usd, f"SUM(Hours!${_letters(BILL)}${FIRST + 1}:${_letters(BILL)}${FIRST + 12})"
    likely = f'"(likely "&{said_of(low)}&" to "&{said_of("Changes!$B$3")}&")"'
    live = {
        f"about {words.amount(b, money.year_cost)} (likely {cheap} to {dear})": f'"about "&{said_of(home)}&" "&{likely}',
        f"pays about {words.amount(b, money.whole.year_cost)} a year": f'"pays about "&{said_of(whole)}&" a year"',
        average: price_text("Changes!$B$4", money.currency),
    }
    lines = [*words.promise_lines(b), words.NOT_PROMISED, "", "Warnings", *(b.house_warnings or ["none"])]
    lines += ["", words.average_line(b), words.rest_line(b), *CAUTIONS]
    for k, line in enumerate(lines):
        pen.sentence(sheet, FIRST + 14 + k, 0, said(line, system), live)


def _changes_sheet(pen: _Pen, sheet: Any, b: Buyer, blocks: list[YearBlock], system: str) -> None:
    """The likely cost, what each change does, the same heat from other sources, and the swings: all by formula."""
    home, changed = blocks[0], blocks[1 : 1 + len(b.changes)]
    swung = blocks[1 + len(b.changes) :]
    top = 20 + len(b.changes)  # row of the first swing
    down, up = (f"SUMSQ({c}{top + 1}:{c}{top + len(b.band.swings)})" for c in "DE")
    money, kWh = b.run.money, f"SUM(Hours!${_letters(MONTH)}${FIRST + 1}:${_letters(MONTH)}${FIRST + 12})"
    figures = (
        (f"cost a year [{pen.money}]", home.year_usd, money.year_cost, "usd"),
        ("likely from", f"MAX(B1-SQRT({down}),MIN(B1,0))", b.band.year_cost[0], "usd"),
        ("to", f"B1+SQRT({up})", b.band.year_cost[1], "usd"),
        (f"average price [{pen.money}/kWh]", f"B1/{kWh}", b.run.mean_price, "price"),
    )
    for k, (name, formula, value, style) in enumerate(figures):
        pen.text(sheet, k, 0, name, "bold")
        pen.live(sheet, k, 1, formula, value, style)
    pen.heads(sheet, 6, "change", "heating [kWh]", "cooling [kWh]", "all [kWh]", f"money [{pen.money}]")
    for k, (c, block) in enumerate(zip(b.changes, changed, strict=True)):
        pen.text(sheet, 7 + k, 0, said(c.change, system), "wrap")
        sheet.write_row(7 + k, 1, [c.heating_more_kWh, c.cooling_more_kWh, c.more_kWh], pen.styles["signed kWh"])
        pen.live(sheet, 7 + k, 4, f"{block.year_usd}-B1", c.more_cost, "usd")
    _fuel_cells(pen, sheet, b, 9 + len(b.changes), system)
    pen.heads(sheet, top - 1, "moved to find the likely range", "one way", "the other way", "below", "above")
    for k, s in enumerate(b.band.swings):
        pen.text(sheet, top + k, 0, f"{s.name}, {said(s.how_far, system)}", "wrap")
        costs = [float(x) for x in s.month_cost.sum(axis=1)]
        for side in (0, 1):
            pen.live(sheet, top + k, 1 + side, swung[2 * k + side].year_usd, costs[side], "usd")
        off = [x - money.year_cost for x in costs]
        pen.live(sheet, top + k, 3, f"MIN(B{top + k + 1}-$B$1,C{top + k + 1}-$B$1,0)", min(*off, 0.0), "usd")
        pen.live(sheet, top + k, 4, f"MAX(B{top + k + 1}-$B$1,C{top + k + 1}-$B$1,0)", max(*off, 0.0), "usd")
    sheet.set_column(0, 0, 46)
    sheet.set_column(1, 5, 14)


def _fuel_cells(pen: _Pen, sheet: Any, b: Buyer, top: int, system: str) -> None:
    """Heat pump and resistance at the average price, propane at its own."""
    one = "si" if words.in_kilograms(b) or system == "si" else "ip"
    pen.text(sheet, top, 0, words.fuel_caption(b), "bold")
    pen.heads(sheet, top + 1, "source", "bought a year", f"cost [{pen.money}]", f"CO2 [{label('mass', one)}]")
    kWh = {"heat pump as computed": b.run.load.heating_electricity_kWh, "electric resistance": b.run.load.heat_kWh}
    for k, f in enumerate(b.fuels):
        pen.text(sheet, top + 2 + k, 0, f.name)
        pen.text(sheet, top + 2 + k, 1, f.bought)
        priced = f'IF(Price!$B$8="","{words.NO_PRICE}",{f.amount:.12g}*Price!$B$8)'
        formula = f"{kWh[f.name]:.12g}*$B$4" if f.name in kWh else priced
        pen.live(sheet, top + 2 + k, 2, formula, words.NO_PRICE if f.cost is None else f.cost, "usd")
        sheet.write_number(top + 2 + k, 3, float(shown(f.co2_kg, "mass", one)), pen.styles["kWh"])
    pen.text(sheet, top + 6, 0, f"{said(words.carbon_line(b), system)} Propane at the price on the sheet Price.")


def _chart(pen: _Pen, sheet: Any, uses: tuple[str, ...], column: int) -> None:
    chart = pen.book.add_chart({"type": "column", "subtype": "stacked"})
    for k, use in enumerate(uses):
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
    sheet.insert_chart(2, column, chart, {"description": "Stacked columns: kWh of each month by use, as in the table"})
