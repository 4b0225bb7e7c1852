"""A report for the terminal: the decision first, then what stands behind it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from heatcalc.render.cells import cell_text, head_text, unit_of
from heatcalc.report.report import Bullet, Caution, Chapter, Chart, Figure, Item, Note, Report, Tick, Working
from heatcalc.report.table import Table
from heatcalc.wording import Said, said

WIDTH, FIRST, CELL = 110, 40, 24  # letters of a line, and of cells where a table would be wider
MOST_SHORT, A_PLACE = 25, 10  # lines of a short answer, and for each report more of a house that moves
ROWS = (None, *range(20, 2, -1))  # lines of a table in a short answer: all, or as many as fit, at least three
MORE, ROWS_MORE = "--full shows the rest: {}", "… {} more {} with --full"
CUT = " …"  # at the end of a point of which this is the first line
BACK = 2  # lines at most in which they stand: what is shown after all may free them
NAMES = 3 * WIDTH // 2  # letters for the names of what is kept back; the others are counted


@dataclass(frozen=True)
class _Form:
    """How a chapter stands in a short answer: the lines of it, and whether something of it is kept back."""

    chapter: Chapter
    lines: list[str]
    cut: bool = False


def as_text(report: Report, system: str, full: bool = True) -> str:
    """The report as lines of text; without `full` it is kept short and what is kept back is named in one line."""
    if not full:
        return as_short_text([report], system)
    return "\n".join(_lines(report, [_Form(c, chapter_lines(c, system)) for c in report.chapters], system, short=False))


def as_short_text(reports: Sequence[Report], system: str) -> str:
    """Reports of one answer kept short together: the first decides; the others do not repeat what stands above them, and what
    is no warning has the lines that their decisions and warnings leave.  At the end what is kept back, once."""
    shorn: list[Report] = []
    for report in reports:
        above = (replace(r, chapters=tuple(c for c in r.chapters if not c.more)) for r in shorn)
        shorn.append(_unsaid(report, " ".join(_plain(as_text(r, system), system) for r in above), system))
    least = [_length(report, _short(report, system, 0), system) + 1 for report in shorn]
    left = MOST_SHORT + 1 + A_PLACE * (len(reports) - 1) - sum(least)
    texts, forms = [], []
    for n, report in enumerate(shorn):
        some = _short(report, system, least[n] - 1 + max(left, 0) // (len(shorn) - n))
        left -= _length(report, some, system) + 1 - least[n]
        texts.append("\n".join(_lines(report, some, system)))
        forms += some
    return "\n".join(["\n\n".join(texts), *_back(forms, system)])


def _unsaid(report: Report, told: str, system: str) -> Report:
    """A report without the cautions that are told already."""
    new = {
        c: tuple(i for i in c.items if not (isinstance(i, Caution) and _plain(i.words, system) in told)) for c in report.chapters
    }
    return replace(report, chapters=tuple(replace(c, items=items) for c, items in new.items() if items))


def _plain(words: Said, system: str) -> str:
    return " ".join(said(words, system).split())


def _short(report: Report, system: str, most: int) -> list[_Form]:
    """What is not kept for --full; where that is too long first the last warnings are cut to a line each, then what follows
    the decision stands as far as it fits, in its order.  No warning and no caution is kept back."""
    every, last = report.chapters, next((c for c in reversed(report.chapters) if not (c.more or c.brief) and _points(c)), None)
    whole = [_kept_back(c) if c.more else _briefly(c, system) for c in every]
    cut = [_briefly(c, system, c is last) if not c.more else form for c, form in zip(every, whole, strict=True)]
    for forms in (whole, cut):
        if _length(report, forms, system) <= most:
            return forms
    free = [n for n, c in enumerate(every) if not (c.more or _safe(c))]
    for one_line in (False, True):
        forms = [_briefly(c, system, one_line) if _safe(c) else _kept_back(c) for c in every]
        if free and not report.decision:  # then the first chapter is the answer
            *_, forms[free[0]] = _forms(every[free[0]], system, 1)
        for n in free if most else ():
            for tried in _forms(every[n], system, most - _length(report, forms, system)):
                if _length(report, [*forms[:n], tried, *forms[n + 1 :]], system) <= most:
                    forms[n] = tried
                    break
        if not free or forms[free[0]].lines:
            break
    return forms


def _kept_back(chapter: Chapter) -> _Form:
    return _Form(chapter, [], any(not isinstance(item, (Figure, Chart)) for item in chapter.items))


def _briefly(chapter: Chapter, system: str, one_line: bool = False, rows: int | None = None) -> _Form:
    """A chapter by its brief line if it has one; with `one_line` its points cut to a line each, its tables to so many rows."""
    if chapter.brief:
        return _Form(chapter, _wrapped(f"{said(chapter.heading, system)}: {said(chapter.brief, system)}", 0))
    lines = chapter_lines(chapter, system, one_line, rows)
    return _Form(chapter, lines, any(line.endswith(CUT) for line in lines))


def _forms(chapter: Chapter, system: str, room: int = MOST_SHORT) -> Iterator[_Form]:
    """A chapter shorter and shorter: whole, its points cut, then its tables without the small print below them, of no more rows
    than there is room for."""
    yield _briefly(chapter, system)
    yield _briefly(chapter, system, True)
    bare = replace(chapter, items=tuple(item for item in chapter.items if not isinstance(item, Note)))
    down = all(not (isinstance(item, Table) and item.across) for item in bare.items)
    for rows in ROWS if bare.items and not chapter.brief else ():
        if down and rows is not None and rows > room + BACK:
            continue
        form = _briefly(bare, system, True, rows)
        yield replace(form, chapter=chapter, cut=form.cut or bare.items != chapter.items)


def _length(report: Report, forms: list[_Form], system: str) -> int:
    return len(_lines(report, forms, system)) + len(_back(forms, system))


def _points(chapter: Chapter) -> bool:
    return any(isinstance(item, Bullet) for item in chapter.items)


def _safe(chapter: Chapter) -> bool:
    """Whether someone's safety hangs on it."""
    return not chapter.more and any(isinstance(item, Caution) for item in chapter.items)


def _lines(report: Report, forms: list[_Form], system: str, short: bool = True) -> list[str]:
    """Title, decision and chapters, those that stand together without an empty line."""
    decision = [line for n, s in enumerate(report.decision) for line in _wrapped(said(s.words, system), 2 if n else 0)]
    blocks = [[said(report.title, system), *(said(line, system) for line in report.under)], *([decision] if decision else [])]
    for form in forms:
        tables = any(isinstance(item, Table | Working) for item in form.chapter.items)
        if form.lines and short and (form.chapter.brief or not tables) and len(blocks) > 2:
            blocks[-1] = blocks[-1] + form.lines
        elif form.lines:
            blocks.append(form.lines)
    return "\n\n".join(map("\n".join, blocks)).split("\n")


def _back(forms: list[_Form], system: str) -> list[str]:
    """What is kept back, by its name."""
    names = list(dict.fromkeys(_name(form, system) for form in forms if form.cut and form.chapter.heading))
    return _wrapped(MORE.format(_names(names)), 0) if names else []


def _name(form: _Form, system: str) -> str:
    """A heading within a line; an abbreviation stays as it is."""
    name = said(form.chapter.heading, system)
    return ("whole " if form.lines else "") + (name[:1].lower() + name[1:] if name[1:2].islower() else name)


def _names(back: list[str]) -> str:
    """Names of what is kept back, as many as two lines hold; of the others how many."""
    kept = max((n for n in range(1, len(back) + 1) if len(", ".join(back[:n])) <= NAMES), default=1)
    return ", ".join(back[:kept]) + (f", and {len(back) - kept} more" if kept < len(back) else "")


def chapter_lines(chapter: Chapter | None, system: str, one_line: bool = False, rows: int | None = None) -> list[str]:
    """A chapter with its heading; nothing where only figures stand in it.  `one_line`: of each point its first line; `rows`: of
    each table so many."""
    if chapter is None:
        return []
    items = ((item, list(_item(item, system, rows))) for item in chapter.items)
    body = [line for item, lines in items for line in (_cut(lines) if one_line and isinstance(item, Bullet) else lines)]
    return [*([said(chapter.heading, system)] if chapter.heading else []), *body] if body else []


def _cut(lines: list[str]) -> list[str]:
    return [lines[0] + CUT] if len(lines) > 1 else lines


def _item(item: Item, system: str, rows: int | None = None) -> Iterator[str]:
    if isinstance(item, Table):
        yield from _first_rows(item, system, rows)
    elif isinstance(item, Working):
        lines = item.lines(system)
        first = (item.short or item.lines)(system)[:rows] if rows else lines
        yield from first
        if len(first) < len(lines):
            yield f"  {ROWS_MORE.format(len(lines) - len(first), 'lines')}"
    elif not isinstance(item, (Figure, Chart)):
        yield from _wrapped(
            said(item.words, system), 2, "[ ] " if isinstance(item, Tick) else "- " if isinstance(item, Bullet) else ""
        )


def _first_rows(table: Table, system: str, rows: int | None) -> Iterator[str]:
    """A table, or where it has two rows more than so many its first ones: of one that runs across, its first columns."""
    left = 0 if rows is None else (len(table.columns) if table.across else len(table.rows)) - rows
    if left < 2:
        yield from _table(table, system)
        return
    yield from _table(_first(table, rows), system)
    yield f"  {ROWS_MORE.format(left, 'rows')}"


def _first(table: Table, lines: int | None) -> Table:
    """A table of its first lines: of one that runs across, its first columns."""
    if table.across:
        return replace(table, columns=table.columns[:lines], rows=tuple(row[:lines] for row in table.rows))
    return replace(table, rows=table.rows[:lines])


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
