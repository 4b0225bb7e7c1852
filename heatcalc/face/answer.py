"""What `heatcalc.size()` and its siblings give back: the result, and the same result as words, frames, figures and files."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from heatcalc.errors import InputError, nearest
from heatcalc.files import write_whole
from heatcalc.render.as_files import as_image
from heatcalc.render.as_frame import as_frame
from heatcalc.render.by_name import ByName
from heatcalc.report.report import Figure, Report
from heatcalc.report.table import Table
from heatcalc.wording import said

if TYPE_CHECKING:
    import pandas as pd
    from IPython.display import Image

Result = TypeVar("Result")


class Answer(Generic[Result]):
    """One answer.  `result` is the frozen record the command shows; its fields are the answer's own as well.

    tables : pandas frames by name, numbers in the units their heads state (`answer.tables["units"]`)
    figures : pictures by name (`answer.figures["load-and-capacity"]`)
    units : "ip" or "si", what tables, figures and text are shown in; the result itself is SI throughout
    """

    def __init__(self, result: Result, about: Callable[[Result], Report], units: str = "ip") -> None:
        self.result, self.units, self._about = result, units, about

    @cached_property
    def report(self) -> Report:
        """The answer described: title, decision, chapters."""
        return self._about(self.result)

    @property
    def tables(self) -> ByName[Table, pd.DataFrame]:
        """Its tables; a wrong name lists the right ones."""
        return ByName("table", self.report.tables, lambda table: as_frame(table, self.units))

    @property
    def figures(self) -> ByName[Figure, Image]:
        """Its figures; a wrong name lists the right ones."""
        shown = self.units, self.report.stamp
        return ByName("figure", self.report.figures, lambda f: as_image(f.draw, said(f.says, shown[0]), shown[0], stamp=shown[1]))

    @property
    def decision(self) -> str:
        """What was decided, a sentence a line."""
        return "\n".join(said(s.words, self.units) for s in self.report.decision)

    def chapter(self, heading: str) -> str:
        """One chapter as text; a heading is known by its first words, and a wrong one lists the right ones."""
        from heatcalc.render.as_text import chapter_lines

        known = {said(c.heading, self.units): c for c in self.report.chapters}
        for name, one in known.items():
            if name.startswith(heading):
                return "\n".join(chapter_lines(one, self.units))
        raise InputError("chapter", heading, f"known: {', '.join(known)}", nearest(heading, list(known)))

    def to_text(self, full: bool = False) -> str:
        """What the command prints; `full` with everything behind it."""
        from heatcalc.render.as_text import as_text

        return as_text(self.report, self.units, full)

    def to_html(self, path: str | Path) -> Path:
        """One page that needs nothing else, figures inside."""
        from heatcalc.render.as_html import as_html

        return write_whole(path, as_html(self.report, self.units))

    def to_pdf(self, path: str | Path) -> Path:
        """The page as PDF, nothing folded.  Raises NoAnswer where the papers extra is not installed."""
        from heatcalc.render.as_pdf import as_pdf

        return write_whole(path, as_pdf(self.report, self.units))

    def to_xlsx(self, path: str | Path) -> Path:
        """The words and every table with real numbers.  Raises NoAnswer where the papers extra is not installed."""
        from heatcalc.render.as_xlsx import as_xlsx

        return write_whole(path, as_xlsx(self.report, self.units))

    def to_json(self, path: str | Path) -> Path:
        """What `--json` prints, SI."""
        from heatcalc.render.as_json import as_json

        return write_whole(path, as_json(self.report))

    def to_folder(self, folder: str | Path) -> list[Path]:
        """What `-o` writes: the page, `result.json` and the figures, all or none; nothing where no folder is named."""
        from heatcalc.files import write_together
        from heatcalc.render.as_files import as_files

        return write_together(folder, as_files(self.report, self.units)) if str(folder) else []

    def _repr_html_(self) -> str:
        from heatcalc.render.as_html import as_fragment

        return as_fragment(self.report, self.units)

    def __repr__(self) -> str:
        title = said(self.report.title, self.units)
        first = self.decision.split("\n")[0]
        return f"<heatcalc {self.report.question}: {title}{'; ' + first if first else ''}>"

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        return getattr(self.result, name)

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *dir(self.result)})
