"""A number and how it comes about: formula in symbols, the numbers in it, where each comes from."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.wording import Said


@dataclass(frozen=True)
class Step:
    """One line of a chain.

    symbol : what formulas call it;  name : what it is in words
    value, kind : SI, and a kind of `units` or one of explain's own ("number", "air heat factor", ...)
    formula : written with {symbol} for each of `parts`, + - x / ^ sqrt() max() min(); empty for an input or a solve
    parts : the steps the formula names, in order;  check : a second way to the same number, for a pencil
    source, note : where it comes from, and what to know
    si : the formula's coefficients are metric, so its numbers stay in SI
    """

    symbol: str
    name: Said
    value: float
    kind: str
    formula: str = ""
    parts: tuple[Step, ...] = ()
    source: Said = ""
    note: Said = ""
    check: tuple[Step, ...] = ()
    si: bool = False


def summed(
    symbol: str,
    name: str,
    value: float,
    kind: str,
    parts: tuple[Step, ...],
    source: Said = "",
    note: Said = "",
    check: tuple[Step, ...] = (),
) -> Step:
    """`value` = the sum of its parts."""
    return Step(symbol, name, value, kind, " + ".join(f"{{{p.symbol}}}" for p in parts), parts, source, note, check)


def token(words: str) -> str:
    """Words as one symbol: `thermal bridges` -> `thermal-bridges`."""
    return "-".join(words.split())
