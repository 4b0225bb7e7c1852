"""A CSV of readings with `# key: value` lines on top, as logs and weather files come."""

from __future__ import annotations

import csv
from collections.abc import Collection

from heatcalc.errors import InputError


def commented_csv(
    text: str, keys: Collection[str], most_rows: int, least_rows: int, what: str, file: str, command: str
) -> tuple[dict[str, str], list[str], list[list[str]]]:
    """What the comment lines say of `keys`, the header, and the rows, every one as long as the header.

    Lines of nothing but blanks and commas, as spreadsheets leave them, are passed over.
    Errors: InputError about `what` (the kind of file), with the help of `command`, where rows are too many, too few or uneven.
    """
    lines = [line for line in text.splitlines() if line.strip(" ,\t")]
    said = _said(lines, keys)
    if len(lines) > most_rows:
        raise InputError(what, file, f"has {len(lines):,} rows; at most {most_rows:,} are read")
    try:
        rows = list(csv.reader(lines))
    except csv.Error as problem:
        raise InputError(what, file, f"is not a CSV ({problem})") from None
    if len(rows) <= least_rows:
        rows_words = f"holds {len(rows) - 1 if len(rows) > 1 else 'no'} rows of readings; at least {least_rows}"
        raise InputError(what, file, rows_words, f"see heatcalc {command} --help for the format")
    short = next((n for n, row in enumerate(rows) if len(row) != len(rows[0])), None)
    if short is not None:
        raise InputError(what, file, f"row {short} has {len(rows[short])} cells where the header has {len(rows[0])}")
    return said, rows[0], rows[1:]


def _said(lines: list[str], keys: Collection[str]) -> dict[str, str]:
    """The comment lines, taken off the top."""
    said = {}
    while lines and lines[0].startswith("#"):
        key, colon, value = lines.pop(0).lstrip("# ").partition(":")
        if colon and key.strip().lower() in keys:
            said[key.strip().lower()] = value.strip()
    return said
