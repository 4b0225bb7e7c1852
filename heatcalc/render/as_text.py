"""A report for the terminal: the decision first, then what stands behind it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from heatcalc.render.cells import cell_text, head_text, unit_of
from heatcalc.report.report import Bullet, Chapter, Chart, Figure, Item, Report, Tick, Working
from heatcalc.report.table import Table
from heatcalc.wording import said

WIDTH, FIRST, CELL = 110, 40, 24  # letters of a line, and of cells where a table would be wider
MOST_SHORT = 25  # written lines of a short answer; its last points are cut to a line each where that makes it so short
MORE = "--full shows the rest: {}"


def as_text(report: Report, system: str, full: bool = True) -> str:
    """The report as lines of text; without `full` it is kept short and what is kept back is named in one line."""
    whole, *cut = ([block for block in _blocks(report, system, full, short) if block] for short in (False, True)[: 2 - full])
    fits = cut and sum(map(len, whole)) > MOST_SHORT >= sum(map(len, cut[0]))
    return "\n\n".join("\n".join(block) for block in (cut[0] if fits else whole))


def _blocks(report: Report, system: str, full: bool, one_line: bool) -> list[list[str]]:
    """Lines that stand together; with `one_line` each point of the last list of points is cut to its first line."""
    decision = [line for n, s in enumerate(report.decision) for line in _wrapped(said(s.words, system), 2 if n else 0)]
    blocks = [[said(report.title, system), *(said(line, system) for line in report.under)], decision]
    last = next(
        (c for c in reversed(report.chapters) if not (c.more or c.brief) and any(isinstance(i, Bullet) for i in c.items)), None
    )
    for one in report.chapters:
        if full:
            blocks.append(chapter_lines(one, system))
        elif not one.more:
            tight = bool(one.brief) or not any(isinstance(item, Table | Working) for item in one.items)
            lines = _short(one, system, one_line and one is last)
            blocks[-1:] = [blocks[-1] + lines] if tight and len(blocks) > 2 else [blocks[-1], lines]
    back = [said(c.heading, system) for c in report.chapters if c.more and not full]
    if one_line and last is not None:
        back.insert(0, f"whole {said(last.heading, system).lower()}")
    blocks[-1] += _wrapped(MORE.format(", ".join(name[:1].lower() + name[1:] for name in back)), 0) if back else []
    return blocks


def _short(chapter: Chapter, system: str, one_line: bool) -> list[str]:
    brief = said(chapter.brief, system)
    if brief:
        return _wrapped(f"{said(chapter.heading, system)}: {brief}", 0)
    if not one_line:
        return chapter_lines(chapter, system)
    items = (list(_item(item, system)) for item in chapter.items)
    return [said(chapter.heading, system), *(lines[0] + (" …" if len(lines) > 1 else "") for lines in items if lines)]


def chapter_lines(chapter: Chapter | None, system: str) -> list[str]:
    """A chapter with its heading; nothing where only figures stand in it."""
    if chapter is None:
        return []
    body = [line for item in chapter.items for line in _item(item, system)]
    return [*([said(chapter.heading, system)] if chapter.heading else []), *body] if body else []


def _item(item: Item, system: str) -> Iterator[str]:
    if isinstance(item, Table):
        yield from _table(item, system)
    elif isinstance(item, Working):
        yield from item.lines(system)
    elif not isinstance(item, (Figure, Chart)):
        yield from _wrapped(
            said(item.words, system), 2, "[ ] " if isinstance(item, Tick) else "- " if isinstance(item, Bullet) else ""
        )


def _table(table: Table, system: str) -> Iterator[str]:
    """Columns two spaces apart, numbers flush right."""
    title = said(table.title, system)
    if title:
        yield from _wrapped(title, 2)
    right = [c.numeric for c in table.columns]
    rows = [[head_text(c, system, unit=False) for c in table.columns]] if any(c.head for c in table.columns) else []
    if table.head_units:
        rows.append([unit_of(c, system) for c in table.columns])
    rows += [
        [cell_text(c, x, system, not table.head_units) for c, x in zip(table.columns, row, strict=True)] for row in table.rows
    ]
    if table.across:
        flush = len(table.rows) > 1 or all(right)
        rows, right = [list(row) for row in zip(*rows, strict=True)], [False] * (1 + table.head_units) + [flush] * len(table.rows)
    widths = _widths(rows)
    wide = sum(widths) + 2 * len(widths) > WIDTH
    lines = [line for row in rows for line in _folded(row)] if wide else rows
    widths = _widths(lines)
    for row in lines:
        cells = [c.rjust(w) if r else c.ljust(w) for c, w, r in zip(row, widths, right, strict=True)]
        yield ("  " + "  ".join(cells)).rstrip()


def _widths(rows: list[list[str]]) -> list[int]:
    return [max(len(row[k]) for row in rows) for k in range(len(rows[0]))] if rows else []


def _folded(row: list[str]) -> list[list[str]]:
    """A row of a table that is too wide as several lines: long cells are broken between words."""
    cells = [textwrap.wrap(cell, CELL if k else FIRST, break_long_words=False) or [""] for k, cell in enumerate(row)]
    return [[cell[n] if n < len(cell) else "" for cell in cells] for n in range(max(map(len, cells)))]


def _wrapped(text: str, indent: int, sign: str = "") -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=pad + sign, subsequent_indent=pad + "  ", break_on_hyphens=False)
