"""A report as a page that needs nothing else, or as the inside of one; every word is escaped, figures are drawn inside."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import groupby
from typing import Any

from heatcalc import __version__
from heatcalc.render.cells import cell_text, head_text
from heatcalc.report.drawing import inline, picture
from heatcalc.report.report import Bullet, Caution, Chapter, Figure, Item, Note, Report, Sentence, Table, Working
from heatcalc.wording import said


def as_html(report: Report, system: str, fold: bool = True) -> str:
    """A whole page; with `fold` the chapters behind the answer open on a click."""
    from markupsafe import Markup

    inside = Markup(as_fragment(report, system, fold))
    css = Markup(_environment().loader.get_source(_environment(), "page.css")[0])  # type: ignore[union-attr]
    return str(_environment().get_template("whole.html").render(css=css, title=said(report.title, system), inside=inside))


def as_fragment(report: Report, system: str, fold: bool = True) -> str:
    """The report's own HTML, for the inside of a page or of a notebook's cell."""
    values = {
        "title": said(report.title, system),
        "under": [said(line, system) for line in report.under],
        "decision": [said(s.words, system) for s in report.decision],
        "chapters": [_chapter(c, system, f"{report.question}-{n}") for n, c in enumerate(report.chapters)],
        "version": __version__,
        "fold": fold,
    }
    return str(_environment().get_template("report.html").render(values))


def as_chapters(report: Report, system: str, fold: bool = True) -> str:
    """The chapters alone, for a page that has said the rest."""
    chapters = [_chapter(c, system, f"{report.question}-{n}") for n, c in enumerate(report.chapters)]
    return str(_environment().get_template("chapters.html").render(chapters=chapters, fold=fold))


@cache
def _environment() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("heatcalc.render", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _chapter(chapter: Chapter, system: str, key: str) -> dict[str, Any]:
    groups = groupby(chapter.items, key=lambda x: type(x) if isinstance(x, Bullet) else id(x))
    shown = [one for _, some in groups for one in _shown(list(some), system, key)]
    return {"heading": said(chapter.heading, system), "more": chapter.more, "items": shown}


def _shown(some: list[Item], system: str, key: str) -> Iterator[dict[str, Any]]:
    empty = {"table": None, "svg": None, "lines": None, "caution": False, "small": False, "text": "", "working": None}
    first = some[0]
    if isinstance(first, Table):
        yield empty | {"table": _table(first, system)}
    elif isinstance(first, Figure):
        from markupsafe import Markup

        title, says = said(first.title, system), said(first.says, system)
        svg = Markup(inline(picture(first.draw, "svg", system), title, says, f"{key}-{first.key}"))
        yield empty | {"svg": svg, "title": title, "says": says}
    elif isinstance(first, Working):
        yield empty | {"working": "\n".join(first.lines(system))}
    elif isinstance(first, Bullet):
        lines = [said(x.words, system) for x in some if isinstance(x, Sentence)]
        yield empty | {"lines": lines, "caution": isinstance(first, Caution)}
    else:
        yield empty | {"text": said(first.words, system), "small": isinstance(first, Note)}


def _table(table: Table, system: str) -> dict[str, Any]:
    turned = table.across and len(table.rows) < len(table.columns)
    heads = [{"text": head_text(c, system, table.head_units), "number": c.numeric} for c in table.columns]
    rows = [
        [
            {"text": cell_text(c, x, system, not table.head_units), "number": c.numeric, "head": head["text"]}
            for c, x, head in zip(table.columns, row, heads, strict=True)
        ]
        for row in table.rows
    ]
    if turned:
        heads, rows = _turned(heads, rows)
    shown = {"heads": heads, "rows": rows, "chosen": None if turned else table.chosen}
    title = said(table.title, system)
    return {"title": title or table.key, "titled": bool(title)} | shown


def _turned(heads: list[Any], rows: list[list[Any]]) -> tuple[list[Any], list[list[Any]]]:
    """Rows as columns: the first column heads them, where there is more than one."""
    named = [heads[0], *(row[0] for row in rows)] if len(rows) > 1 else []
    lines = [[heads[k], *(row[k] | {"head": row[0]["text"] if named else ""} for row in rows)] for k in range(len(heads))]
    return named, lines[bool(named) :]
