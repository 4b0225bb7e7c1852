"""Facts as CSV, one table a file, a source on every row.  Python holds relations, never numbers from books."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """All rows of `tables/<name>.csv` as text, in file order; lines that start with # are remarks."""
    text = (files(__package__) / f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))
