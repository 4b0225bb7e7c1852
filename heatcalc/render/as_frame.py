"""A table of a report as a pandas frame: numbers, units in the heads, kinds and units in `attrs`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from heatcalc.render.cells import cell_number, head_text, unit_of
from heatcalc.report.table import Table

if TYPE_CHECKING:
    import pandas as pd


def as_frame(table: Table, system: str) -> pd.DataFrame:
    """One row an entry, the first column as index; numeric columns are float, NaN where the table says none or a word."""
    import pandas as pd

    system = "ip" if system == "both" else system
    heads = [head_text(c, system, unit=True) for c in table.columns]
    made = pd.DataFrame(
        {
            head: pd.Series([cell_number(c, row[k], system) for row in table.rows], dtype="float64" if c.numeric else "object")
            for k, (head, c) in enumerate(zip(heads, table.columns, strict=True))
        }
    ).set_index(heads[0])
    made.attrs = {
        "title": str(table.title) or table.key,
        "kinds": {h: c.kind for h, c in zip(heads, table.columns, strict=True) if c.kind},
        "units": {h: unit_of(c, system) for h, c in zip(heads, table.columns, strict=True) if c.numeric},
    }
    return made
