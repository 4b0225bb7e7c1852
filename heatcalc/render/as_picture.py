"""A report's figures as files or as what a notebook keeps, each with its words for who cannot see it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from heatcalc.errors import InputError, nearest
from heatcalc.report.drawing import picture
from heatcalc.report.report import Report

if TYPE_CHECKING:
    from IPython.display import Image


def as_pictures(report: Report, system: str) -> dict[str, bytes]:
    """File name -> SVG or PNG of every figure."""
    made = {}
    for figure in report.figures.values():
        for kind in ("svg", "png"):
            made[f"{figure.key}.{kind}"] = picture(figure.draw, kind, system)
    return made


class Figures(Mapping[str, "Image"]):
    """The figures of a report by name, each drawn when it is asked for; a wrong name lists the right ones."""

    def __init__(self, report: Report, system: str) -> None:
        self._figures, self._system = report.figures, system

    def __getitem__(self, name: str) -> Image:
        from IPython.display import Image

        if name not in self._figures:
            known = ", ".join(self._figures) or "none"
            raise InputError("figure", name, f"known: {known}", nearest(name, list(self._figures)))
        figure = self._figures[name]
        says = figure.says if isinstance(figure.says, str) else figure.says.said(self._system)
        return Image(picture(figure.draw, "png", self._system), format="png", alt=says)

    def __iter__(self) -> Iterator[str]:
        return iter(self._figures)

    def __len__(self) -> int:
        return len(self._figures)

    def __repr__(self) -> str:
        return f"figures: {', '.join(self._figures)}"
