"""A report as a page that needs nothing else, or as the inside of one; every word is escaped, figures are drawn inside."""

from __future__ import annotations

from functools import cache
from itertools import groupby
from typing import Any

from heatcalc import __version__
from heatcalc.render.as_small_svg import small_svg
from heatcalc.render.cells import cell_text, head_text
from heatcalc.report.drawing import inline, picture
from heatcalc.report.report import Bullet, Caution, Chart, Figure, Item, Note, Report, Sentence, Tick, Working
from heatcalc.report.table import Cell, Column, Links, Table
from heatcalc.wording import before, said


def as_html(report: Report, system: str, fold: bool = True) -> str:
    """A whole page; with `fold` the chapters behind the answer open on a click."""
    from markupsafe import Markup

    title = ": ".join(said(words, system) for words in (report.title, *report.under[:1]))
    return rendered("whole.html", title=title, sheet=report.sheet, inside=Markup(as_fragment(report, system, fold)))


def rendered(template: str, **values: Any) -> str:
    """A page of its own style; every value is escaped unless it is markup of ours."""
    from markupsafe import Markup

    css = Markup(_environment().loader.get_source(_environment(), "page.css")[0])
    return str(_environment().get_template(template).render(css=css, **values))


def as_fragment(report: Report, system: str, fold: bool = True) -> str:
    """The report's own HTML, for the inside of a page or of a notebook's cell."""
    values = {
        "title": said(report.title, system),
        "under": [said(line, system) for line in report.under],
        "decision": [{"text": said(s.words, system), "small": isinstance(s, Note)} for s in report.decision],
        "chapters": _chapters(report, system),
        "version": __version__,
        "inputs": report.inputs[:16],
        "fold": fold and not report.sheet,
    }
    return str(_environment().get_template("report.html").render(values))


def as_chapters(report: Report, system: str, fold: bool = True) -> str:
    """The chapters alone, for a page that has said the rest."""
    return str(_environment().get_template("chapters.html").render(chapters=_chapters(report, system), fold=fold))


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


def _chapters(report: Report, system: str) -> list[dict[str, Any]]:
    """Each with its items, those of one kind together."""
    return [
        {
            "heading": said(c.heading, system),
            "more": c.more,
            "items": [_shown(list(some), report, system, n) for _, some in groupby(c.items, key=_together)],
        }
        for n, c in enumerate(report.chapters)
    ]


def _together(item: Item) -> Any:
    """Lines of one list, figures and tables in a row belong together."""
    return type(item) if isinstance(item, (Bullet, Figure, Chart, Table)) else id(item)


def _shown(some: list[Item], report: Report, system: str, n: int) -> dict[str, Any]:
    first = some[0]
    if isinstance(first, Table):
        return {"tables": [_table(x, system) for x in some if isinstance(x, Table)]}
    if isinstance(first, Figure):
        return {"figures": [_figure(x, report, system, n) for x in some if isinstance(x, Figure)]}
    if isinstance(first, Chart):
        return {"figures": [_chart(x, system) for x in some if isinstance(x, Chart)]}
    if isinstance(first, Working):
        return {"working": "\n".join(first.lines(system))}
    if isinstance(first, Bullet):
        lines = [said(x.words, system) for x in some if isinstance(x, Sentence)]
        return {"lines": lines, "kind": {Caution: "caution", Tick: "ticks"}.get(type(first), "")}
    return {"text": said(first.words, system), "small": isinstance(first, Note)}


def _figure(figure: Figure, report: Report, system: str, n: int) -> dict[str, Any]:
    """The drawing inside; a title that asks stands above it, another below."""
    from markupsafe import Markup

    title, says = said(figure.title, system), _begun(said(figure.says, system))
    drawn = picture(figure.draw, "svg", system, stamp=report.stamp)
    svg = Markup(inline(drawn, title, says, f"{report.question}-{n}-{figure.key}"))
    return {"title": title, "says": says, "svg": svg, "large": True}


def _chart(chart: Chart, system: str) -> dict[str, Any]:
    from markupsafe import Markup

    svg = Markup(small_svg(chart, system))
    return {"title": said(chart.title, system), "says": _begun(said(chart.says, system)), "svg": svg, "large": False}


def _begun(words: str) -> str:
    """What stands after a full stop begins with a capital."""
    return words[:1].upper() + words[1:]


def _table(table: Table, system: str) -> dict[str, Any]:
    turned = table.across and len(table.rows) < len(table.columns)
    units = [table.head_units and not before(c.unit) for c in table.columns]
    heads = [{"text": head_text(c, system, unit), "number": c.numeric} for c, unit in zip(table.columns, units, strict=True)]
    rows = [
        [
            {"text": _cell(c, x, system, not table.head_units), "number": c.numeric, "head": head["text"]}
            for c, x, head in zip(table.columns, row, heads, strict=True)
        ]
        for row in table.rows
    ]
    if turned:
        heads, rows = _turned(heads, rows)
    shown = {"heads": heads, "rows": rows, "chosen": None if turned else table.chosen}
    title = said(table.title, system)
    return {"title": title or table.key, "titled": bool(title)} | shown


def _cell(column: Column, cell: Cell, system: str, unit: bool) -> str:
    """A cell's text; links lead where they say."""
    if not isinstance(cell, Links):
        return cell_text(column, cell, system, unit)
    from markupsafe import Markup

    return Markup(", ").join(Markup('<a href="{}">{}</a>').format(*one) for one in cell.to)


def _turned(heads: list[Any], rows: list[list[Any]]) -> tuple[list[Any], list[list[Any]]]:
    """Rows as columns: the first column heads them, where there is more than one."""
    numbers = sum(head["number"] for head in heads) * 2 > len(heads)
    named = [heads[0], *(row[0] | {"number": numbers} for row in rows)] if len(rows) > 1 else []
    lines = [
        [heads[k] | {"number": False}, *(row[k] | {"head": row[0]["text"] if named else ""} for row in rows)]
        for k in range(len(heads))
    ]
    return named, lines[bool(named) :]
