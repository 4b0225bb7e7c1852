"""What a paper is made of: headings, text, tables, figures, lists to tick; one template draws them all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from heatcalc import __version__
from heatcalc.report.drawing import Drawn
from heatcalc.show.pages import figures_inside, rendered
from heatcalc.show.run_load_page import print_css


@dataclass(frozen=True)
class Block:
    """One piece of a paper; only what is set is drawn, in this order."""

    heading: str = ""
    lines: tuple[str, ...] = ()
    caption: str = ""
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    numeric: tuple[int, ...] = ()
    figure: Drawn | None = None
    ticks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Paper:
    """One paper: file name without its ending, title, lines below it, and its blocks."""

    name: str
    title: str
    under: tuple[str, ...]
    blocks: tuple[Block, ...]


def paper_html(paper: Paper, case_hash: str) -> str:
    """The paper as one self-contained page."""
    blocks = [_drawn(block) for block in paper.blocks]
    return rendered(
        "paper.html",
        {
            "title": paper.title,
            "under": paper.under,
            "blocks": blocks,
            "print_css": print_css(),
            "version": __version__,
            "hash": case_hash[:16],
        },
    )


def _drawn(block: Block) -> dict[str, Any]:
    figure = figures_inside([block.figure])[0] if block.figure else None
    return {
        "heading": block.heading,
        "lines": block.lines,
        "caption": block.caption,
        "head": block.head,
        "rows": block.rows,
        "numeric": block.numeric,
        "figure": figure,
        "ticks": block.ticks,
        "cautions": block.cautions,
    }
