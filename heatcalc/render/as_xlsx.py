"""A report as a workbook of sheets: the words first, then one sheet a table with real numbers; text is never a formula."""

from __future__ import annotations

import io
import math
from datetime import datetime
from functools import partial
from typing import Any

from heatcalc.errors import NoAnswer
from heatcalc.render.as_text import as_text
from heatcalc.render.cells import cell_number, cell_text, head_text
from heatcalc.report.report import Report
from heatcalc.report.table import Live, Table
from heatcalc.wording import RISKY, Words

SAFE = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}
MADE = datetime(2000, 1, 1)  # the same file for the same numbers
MOST_NAME = 31


def as_xlsx(report: Report, system: str) -> bytes:
    """The workbook as bytes.  Raises NoAnswer where the papers extra is not installed."""
    try:
        from xlsxwriter import Workbook
    except ImportError:
        raise NoAnswer('a spreadsheet needs the extra: pip install "heatcalc[papers]"') from None
    made = io.BytesIO()
    book = Workbook(made, SAFE)
    book.set_properties({"title": str(report.title), "created": MADE})
    (report.book or partial(_whole, report))(book, system)
    book.close()
    return made.getvalue()


def _whole(report: Report, book: Any, system: str) -> None:
    """The words on one sheet, then a sheet a table."""
    sheet = book.add_worksheet("Answer")
    sheet.set_column(0, 0, 120)
    for row, line in enumerate(as_text(report, system).split("\n")):
        _text(book, sheet, row, 0, line)
    for key, table in report.tables.items():
        _table(book, book.add_worksheet(_sheet_name(key)), table, system)


def _sheet_name(key: str) -> str:
    return "".join(c for c in key if c not in "[]:*?/\\'")[:MOST_NAME]


def _text(book: Any, sheet: Any, row: int, column: int, words: str, bold: bool = False) -> None:
    """Text stays text, also where it begins like a formula."""
    kept = "".join(c for c in words if c.isprintable())
    style = {"bold": bold, "text_wrap": bold, "valign": "top"} | ({"quote_prefix": True} if kept.startswith(RISKY) else {})
    sheet.write_string(row, column, kept, book.add_format(style))


def _table(book: Any, sheet: Any, table: Table, system: str) -> None:
    plain = book.add_format({"bg_color": "#FFF4CC", "border": 1} if table.yours else {})
    for k, column in enumerate(table.columns):
        _text(book, sheet, 0, k, head_text(column, system, unit=True), bold=True)
        widest = max([len(cell_text(column, row[k], system, False)) for row in table.rows] or [0])
        sheet.set_column(k, k, min(max(12, widest + 2), 60))
        for n, row in enumerate(table.rows, 1):
            cell, value = row[k], cell_number(column, row[k], system)
            if isinstance(cell, Live):
                sheet.write_formula(n, k, f"={cell.formula}", plain, value)
            elif column.numeric and not isinstance(cell, (str, Words)) and math.isfinite(value):
                sheet.write_number(n, k, value, plain)
            elif row[k] is not None:
                _text(book, sheet, n, k, cell_text(column, row[k], system))
    sheet.freeze_panes(1, 1)
    if table.rows:
        sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
