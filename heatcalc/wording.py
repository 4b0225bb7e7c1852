"""Words with quantities in them, as objects: pieces of text and quantities; only who renders them picks the unit system.

    worded("{} gives {} there", unit.name, Q(1200.0, "power")).said("ip")  ->  'my unit gives 4,095 Btu/h there'

Text of the user's own is a value like any other and is never read for quantities or for braces.  Money is a quantity as well,
each amount in its own currency and never converted: US dollars as "$1,200", every other by its ISO 4217 code, "CAD 1,200".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from string import Formatter
from typing import Any

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


SYSTEMS = ("ip", "si")
RISKY = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet takes a cell that begins so for a formula
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
SHORT_MONTHS = tuple(month[:3] for month in MONTHS)


@dataclass(frozen=True)
class Q:
    """One quantity: an SI value of a kind of `units.KINDS`; None is said as "none"."""

    value: float | None
    kind: str
    decimals: int | None = None

    def said(self, system: str) -> str:
        """The number with its unit in "ip", "si", or "both" (the second in brackets where it differs)."""
        from heatcalc.units import text

        if self.value is None:
            return "none"
        if system != "both":
            return text(float(self.value), self.kind, system, self.decimals)
        ip, si = (self.said(one) for one in SYSTEMS)
        return ip if ip == si else f"{ip} ({si})"


@dataclass(frozen=True)
class FromTo(Q):
    """From one quantity to another of its kind; one where both are shown alike."""

    to: float = 0.0

    def said(self, system: str) -> str:
        """Both as `Q` says them."""
        low, high = (Q(value, self.kind, self.decimals).said(system) for value in (self.value, self.to))
        return low if low == high else f"{low} to {high}"


class Words:
    """A sentence or a part of one: text and quantities in order.  Frozen; `+` and `joined` make new ones."""

    __slots__ = ("pieces",)
    pieces: tuple[str | Q, ...]

    def __init__(self, *pieces: Any) -> None:
        flat: list[str | Q] = []
        for piece in pieces:
            flat += piece.pieces if isinstance(piece, Words) else [piece if isinstance(piece, Q) else str(piece)]
        object.__setattr__(self, "pieces", tuple(p for p in flat if p != ""))

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError("Words are frozen")

    def __reduce__(self) -> Any:
        return Words, self.pieces

    def said(self, system: str) -> str:
        """The sentence in "ip", "si" or "both"."""
        return "".join(p.said(system) if isinstance(p, Q) else p for p in self.pieces)

    @property
    def quantities(self) -> tuple[Q, ...]:
        """The quantities in order."""
        return tuple(p for p in self.pieces if isinstance(p, Q))

    def __add__(self, other: Any) -> Words:
        return Words(self, other)

    def __radd__(self, other: Any) -> Words:
        return Words(other, self)

    def __bool__(self) -> bool:
        return bool(self.pieces)

    def __eq__(self, other: object) -> bool:
        return self.pieces == other.pieces if isinstance(other, Words) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.pieces)

    def __contains__(self, text: str) -> bool:
        return text in self.said("si")

    def __str__(self) -> str:
        return self.said("si")

    def __repr__(self) -> str:
        return f"Words({', '.join(map(repr, self.pieces))})"

    def __format__(self, system: str) -> str:
        if system not in (*SYSTEMS, "both"):
            raise TypeError("words inside an f-string would lose their quantities: write Words('...', words)")
        return self.said(system)


Said = str | Words


def said(words: Said, system: str) -> str:
    """Words in "ip", "si" or "both"; plain text as it is."""
    return words if isinstance(words, str) else words.said(system)


def worded(template: str, *values: Any) -> Words:
    """The program's own sentence with its values put in, in order: quantities and words as they are, the rest by its format."""
    pieces: list[Any] = []
    waiting = iter(values)
    for text, name, form, _ in Formatter().parse(template):
        pieces.append(text)
        if name is not None:
            value = next(waiting)
            pieces.append(value if isinstance(value, (Q, Words)) else format(value, form or ""))
    return Words(*pieces)


def counted(number: int, one: str) -> str:
    """ "1 row", "2 rows"."""
    return f"{number:,} {one}{'' if number == 1 else 's'}"


def joined(sign: str, parts: Iterable[Any]) -> Words:
    """Parts one after the other with a sign between them."""
    some = list(parts)
    return Words(*(x for part in some[:1] for x in (part,)), *(x for part in some[1:] for x in (sign, part)))


def no_formula(text: str) -> str:
    """`text` for a cell of a table file: what a spreadsheet would take for a formula is quoted."""
    return f"'{text}" if text.startswith(RISKY) else text
