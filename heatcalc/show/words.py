"""Words and quantities as text."""

from __future__ import annotations

from collections.abc import Sequence

from heatcalc import units
from heatcalc.wording import SYSTEMS


def quantity(value: float, kind: str, system: str, decimals: int | None = None) -> str:
    """An SI value as `units.text` says it; with "both", the second system in brackets where it differs."""
    if system != "both":
        return units.text(value, kind, system, decimals)
    ip, si = (units.text(value, kind, one, decimals) for one in SYSTEMS)
    return ip if ip == si else f"{ip} ({si})"


def columns(rows: Sequence[tuple[str, ...]], indent: int = 2, right: tuple[int, ...] = ()) -> list[str]:
    """Rows of text set in columns two spaces apart; columns in `right` are flush right."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [c.rjust(w) if k in right else c.ljust(w) for k, (c, w) in enumerate(zip(row, widths, strict=True))]
        lines.append((" " * indent + "  ".join(cells)).rstrip())
    return lines


def wrapped(text: str, width: int = 110, indent: int = 2) -> list[str]:
    """One paragraph broken at `width`."""
    import textwrap

    pad = " " * indent
    return textwrap.wrap(text, width, initial_indent=pad, subsequent_indent=pad + "  ")
