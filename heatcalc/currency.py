"""Money as people read it, each amount in its own currency; nothing is ever converted.

US dollars are written "$1,200", every other currency by its ISO 4217 code: "CAD 1,200".
"""

from __future__ import annotations

from functools import cache

from heatcalc.tables import rows

USD = "USD"


@cache
def currencies() -> dict[str, bool]:
    """Codes in use, and whether a kilowatt-hour costs well under five of it."""
    return {r["code"]: r["like_a_dollar"] == "yes" for r in rows("currencies")}


def mark(currency: str) -> str:
    """What stands before an amount, and as the unit of a column."""
    return "$" if currency == USD else currency


def named(currency: str) -> str:
    """The currency in a sentence or a heading."""
    return "US dollars" if currency == USD else currency


def money(amount: float, currency: str = USD, decimals: int = 0) -> str:
    """An amount: "$1,200", "-$5", "CAD 1,200"."""
    sign = "-" if round(amount, decimals) < 0 else ""
    return f"{sign}{before(mark(currency))}{abs(amount):,.{decimals}f}"


def more_money(amount: float, currency: str = USD) -> str:
    """A difference in whole units with its sign."""
    return f"{'+' if round(amount) > 0 else ''}{money(amount, currency)}"


def price_of_kWh(price: float, currency: str = USD) -> str:
    """A price of energy: "14.1 cents/kWh", "CAD 0.113/kWh"."""
    return f"{100 * price:.1f} cents/kWh" if currency == USD else f"{money(price, currency, 3)}/kWh"


def number_format(currency: str, decimals: int) -> str:
    """A spreadsheet's format of an amount."""
    quoted = "$" if currency == USD else f'"{before(currency)}"'
    return f"{quoted}#,##0{'.' + '0' * decimals if decimals else ''}"


def money_text(cell: str, currency: str) -> str:
    """A spreadsheet's formula that writes a cell as `money` does."""
    return f'IF({cell}<-0.5,"-","")&"{before(mark(currency))}"&TEXT(ABS({cell}),"#,##0")'


def price_text(cell: str, currency: str) -> str:
    """A spreadsheet's formula that writes a cell as `price_of_kWh` does."""
    cents = f'TEXT(100*{cell},"0.0")&" cents/kWh"'
    return cents if currency == USD else f'"{before(currency)}"&TEXT({cell},"0.000")&"/kWh"'


def before(unit: str) -> str:
    """What stands before a number of this unit, "$" or "CAD "; empty where the unit is no money."""
    return "$" if unit == "$" else f"{unit} " if unit in currencies() else ""
