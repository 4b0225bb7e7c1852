"""One cell of a table, for media that write it and for media that keep its number."""

from __future__ import annotations

from typing import Any

from heatcalc import units
from heatcalc.report.table import Cell, Column, Links, Live, Rough
from heatcalc.wording import SYSTEMS, Q, Words, before

FEW = 4  # significant digits of a plain number that says no decimals


def cell_text(column: Column, cell: Cell, system: str, unit: bool = True) -> str:
    """The cell as a person reads it; without its unit where the head says it."""
    if cell is None:
        return column.missing
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Rough):
        return f"~{cell_text(column, cell.value, system, unit)}"
    if isinstance(cell, Live):
        return cell_text(column, cell.value, system, unit)
    if isinstance(cell, (Q, Words)):
        return cell.said(system)
    if isinstance(cell, Links):
        return ", ".join(words for _, words in cell.to)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if column.kind:
        each = dict.fromkeys(_of_kind(column, float(cell), one, unit) for one in (SYSTEMS if system == "both" else (system,)))
        words = "{} ({})".format(*each) if len(each) > 1 else next(iter(each))
    else:
        words = _plain(column, cell, unit)
    return f"+{words}" if column.signed and cell > 0 and _some(words) else words


def _some(number: str) -> bool:
    """Whether it is shown as more than nil."""
    return any(digit in number for digit in "123456789")


def _of_kind(column: Column, cell: float, system: str, unit: bool) -> str:
    said = units.text(cell, column.kind, system, _decimals(column, system))
    return said if unit else said.removesuffix(units.label(column.kind, system)).strip()


def _plain(column: Column, cell: float, unit: bool) -> str:
    if column.decimals is None:
        number = f"{cell:,.{FEW}g}" if isinstance(cell, float) else f"{cell:,}"
    else:
        number = f"{cell:,.{_decimals(column, 'ip')}f}"
    number = number if _some(number) else number.lstrip("-")
    if money := before(column.unit):
        return f"-{money}{number[1:]}" if number.startswith("-") else f"{money}{number}"
    if column.unit == "%":
        return f"{number}%"
    return f"{number} {column.unit}" if unit and column.unit else number


def _decimals(column: Column, system: str) -> int | None:
    return column.decimals if not isinstance(column.decimals, tuple) else column.decimals[system == "si"]


def cell_number(column: Column, cell: Cell, system: str) -> Any:
    """The cell as a number in the unit that `system` shows; text and missing cells of a numeric column as NaN."""
    if not column.numeric:
        return cell_text(column, cell, system)
    if cell is None or isinstance(cell, (str, Words)):
        return float("nan")
    if isinstance(cell, (Rough, Live)):
        cell = cell.value
    value = float(cell.value if isinstance(cell, Q) and cell.value is not None else cell)  # type: ignore[arg-type]
    return units.shown(value, column.kind, system) if column.kind else value


def unit_of(column: Column, system: str) -> str:
    """The label of its unit; empty for text and for plain numbers."""
    labels = dict.fromkeys(units.label(column.kind, one) for one in (SYSTEMS if system == "both" else (system,)) if column.kind)
    return "{} ({})".format(*labels) if len(labels) > 1 else next(iter(labels), column.unit)


def head_text(column: Column, system: str, unit: bool) -> str:
    """The head of a column, with its unit in brackets where cells do not say it."""
    head = column.head if isinstance(column.head, str) else column.head.said(system)
    label = unit_of(column, system)
    return f"{head} [{label}]" if unit and label else head
