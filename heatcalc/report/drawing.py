"""How every figure is made: one style, colour-blind safe colours, the same bytes for the same numbers."""

from __future__ import annotations

import html
import io
import re
import warnings
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any

import numpy as np

from heatcalc.units import label

STYLE: Any = {
    "svg.hashsalt": "heatcalc",
    "svg.fonttype": "none",
    "font.size": 9.5,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.titlesize": 11,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "font.family": "DejaVu Sans",
    "legend.frameon": False,
    "hatch.linewidth": 0.4,
    "text.parse_math": False,
}  # a name may hold dollar signs
# A hatch is of lines: one of dots is hundreds of arcs in every patch of an SVG, and a PDF made of it takes ten times as long.
# Okabe and Ito, "Color universal design" (2008): told apart by all common kinds of colour vision
COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#7a7a00", "#444444", "#a05a2c", "#8888cc")
MARKS = "osD^vP*Xhp<>"  # beside colours, for grey prints
STAMP_INCH = 18  # letters of a stamp in an inch
MOST_KEY, MOST_LINE = 56, 130  # letters of a legend's entry and of a line
LEAST_PX, MOST_PX = 0.9, 1.5  # pixels a point of a figure on a page: letters that can be read, and no larger than the page's
INK, FAINT = "#222222", "#d9d9d9"


def blank(width: float, high: float, rows: int = 1, columns: int = 1, **more: Any) -> tuple[Any, Any]:
    """An empty figure of so many inches and its axes."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, high), layout="constrained")
    return figure, figure.subplots(rows, columns, **more)


def measured(words: str, kind: str, system: str) -> str:
    """The name of an axis, its unit in brackets."""
    return f"{words} [{label(kind, system)}]"


def ruled(axes: Any, which: str = "y") -> None:
    """Faint lines behind what is drawn, across an axis ("x", "y" or "both")."""
    axes.grid(axis=which, color=FAINT, linewidth=0.7)
    axes.set_axisbelow(True)


def told(axes: Any, words: str, at: tuple[Any, Any], shift: tuple[float, float] = (0, 2), **look: Any) -> Any:
    """Words beside a place of the drawing, so many points away."""
    return axes.annotate(words, at, xytext=shift, textcoords="offset points", **{"fontsize": 8.5, **look})


def stacked(axes: Any, at: Any, layers: Iterable[tuple[str, Any, dict[str, Any]]], **every: Any) -> Any:
    """Bars of every layer (name, heights, look), one on the other; gives back their top."""
    top = 0.0 * np.asarray(at)
    for name, heights, look in layers:
        bars(axes, at, heights, bottom=top, label=name, **every, **look)
        top = top + heights
    return top


def bars(axes: Any, at: Any, heights: Any, *, width: float, bottom: Any = 0.0, color: Any, **look: Any) -> None:
    """Upright bars around `at`, all of them one shape: made, laid out and printed once, not bar by bar."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    left, right = np.asarray(at) - width / 2, np.asarray(at) + width / 2
    low, high = np.broadcast_arrays(bottom, bottom + np.asarray(heights))
    corners = np.array([(left, low), (right, low), (right, high), (left, high), (left, low)]).transpose(2, 0, 1)
    drawn = [Path.MOVETO, *3 * [Path.LINETO], Path.CLOSEPOLY] * len(left)
    shape = PathPatch(Path(corners.reshape(-1, 2), drawn), facecolor=color, **look)
    shape.sticky_edges.y.append(float(low.min()))  # no margin below what they stand on
    axes.add_patch(shape)
    axes.autoscale_view()


def one_of_many(axes: Any, k: int, at: tuple[float, float], words: str, beaten: bool, **look: Any) -> None:
    """The k-th of several points, each of its own colour and mark; hollow where another beats it."""
    colour, mark = COLOURS[k % len(COLOURS)], MARKS[k % len(MARKS)]
    axes.plot(*at, mark, ls="", mec=colour, color="white" if beaten else colour, label=words, **look)


def keys_beside(axes: Any, keys: dict[str, Any] | None = None) -> None:
    """The legend to the right of its axes; `keys` (words to what is drawn) where it speaks for several."""
    place = {"loc": "upper left", "bbox_to_anchor": (1.0, 1.0), "fontsize": 8.5}
    axes.legend(*((keys.values(), keys.keys()) if keys else ()), **place)


@lru_cache(maxsize=32)
def picture(draw: Callable[..., Any], kind: str, *asked: str, stamp: str = "") -> bytes:
    """The figure that `draw(*asked)` makes, as "svg" or "png", `stamp` below it; kept, since page and files show the same."""
    from matplotlib import rc_context

    with rc_context(STYLE), warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")  # a letter the font lacks is drawn as a box
        made = io.BytesIO()
        _printed(_ready(draw, *asked, stamp=stamp), kind, made)
    return made.getvalue()


def _printed(figure: Any, kind: str, made: io.BytesIO) -> None:
    """What `savefig` writes, without its first drawing that only asks the layout, which is found."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    if kind == "svg":
        FigureCanvasSVG(figure).print_svg(made, metadata={"Date": None})
    else:
        figure.dpi = 140
        FigureCanvasAgg(figure).print_png(made, metadata={"Software": None})


@lru_cache(maxsize=8)
def _ready(draw: Callable[..., Any], *asked: str, stamp: str) -> Any:
    """The figure drawn and laid out once for every kind of file."""
    figure = draw(*asked)
    if stamp:
        own = figure.get_supxlabel()  # a figure's own last line stays above it
        style = {"fontsize": 8.5} if own else {"x": 0.99, "ha": "right", "fontsize": 6.5, "color": "#666666"}
        room = min(MOST_LINE, int(STAMP_INCH * figure.get_figwidth()))
        figure.supxlabel("\n".join(filter(None, (own, _within(stamp, room)))), **style)
    _fit(figure)
    _laid_out(figure)
    return figure


def _within(stamp: str, room: int) -> str:
    """A stamp for so many letters: what it begins with, the house's name, gives way to place and records."""
    head, _, rest = stamp.partition(", ")
    return stamp if len(stamp) <= room else short(f"{short(head, max(room - len(rest) - 2, 8))}, {rest}", room)


def _laid_out(figure: Any) -> None:
    """Room for labels and legends found once; left to the drawing, everything is drawn twice for it."""
    if engine := figure.get_layout_engine():
        engine.execute(figure)
        figure.set_layout_engine("none")


def _fit(figure: Any) -> None:
    """Shorten what a long name would push out of the figure; the text beside it holds the whole name."""
    from matplotlib.legend import Legend
    from matplotlib.text import Text

    found = figure.findobj(lambda one: isinstance(one, (Legend, Text)))
    keys = {id(text) for legend in found if isinstance(legend, Legend) for text in legend.get_texts()}
    for text in (one for one in found if isinstance(one, Text)):
        most = MOST_KEY if id(text) in keys else MOST_LINE
        lines = text.get_text().split("\n")
        if any(len(line) > most // 2 for line in lines):
            text.set_text("\n".join(short(line, most) for line in lines))


def short(text: str, most: int) -> str:
    """`text` for a place that holds `most` letters: a longer word, then a longer line, ends in three dots."""
    words = (word if len(word) <= most // 2 else f"{word[: most // 2 - 1]}…" for word in text.split(" "))
    line = " ".join(words)
    return line if len(line) <= most else f"{line[: most - 1]}…"


def inline(svg: bytes, title: str, says: str, key: str) -> str:
    """An SVG for the inside of a page: an image with a title and a text that says what it shows; ids made its own."""
    body = svg.decode("utf-8")
    body = body[body.index("<svg") :]
    body = re.sub(r'\bid="', f'id="{key}-', body)
    body = re.sub(r"url\(#", f"url(#{key}-", body)
    body = re.sub(r'href="#', f'href="#{key}-', body)
    wide = float(re.search(r'viewBox="0 0 ([\d.]+)', body)[1])  # type: ignore[index]
    size = f'style="max-width: {MOST_PX * wide:.0f}px; --least: {LEAST_PX * wide:.0f}px"'
    body = re.sub(r'width="[^"]*" height="[^"]*"', size, body, count=1)
    head = f'<svg role="img" aria-labelledby="{key}-title {key}-says" '
    inside = f'<title id="{key}-title">{html.escape(title)}</title><desc id="{key}-says">{html.escape(says)}</desc>'
    body = body.replace("<svg ", head, 1)
    at = body.index(">") + 1
    return body[:at] + inside + body[at:]
