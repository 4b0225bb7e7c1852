"""Self-contained pages: jinja2 with autoescape, one style sheet, figures inside; no network, prints well."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from heatcalc.report.drawing import inline, picture


def rendered(template: str, values: dict[str, Any]) -> str:
    """A page from a template in show/templates; every value is escaped unless it is an SVG of ours."""
    from markupsafe import Markup

    environment = _environment()
    css = environment.loader.get_source(environment, "page.css")[0]
    return environment.get_template(template).render(css=Markup(css), **values)


@cache
def _environment() -> Any:
    """The templates, compiled once."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=ChoiceLoader([PackageLoader("heatcalc.show", "templates"), PackageLoader("heatcalc.render", "templates")]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def figures_inside(figures: Iterable[Any]) -> list[dict[str, Any]]:
    """Figures (name, title, says, draw) as inline SVG with title and description."""
    from markupsafe import Markup

    return [
        {"title": f.title, "says": f.says, "svg": Markup(inline(picture(f.draw, "svg"), f.title, f.says, f.name))}
        for f in figures
    ]
