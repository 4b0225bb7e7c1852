"""What a notebook cell asks of the checks against print, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from heatcalc.answers.explain.chains import explain
from heatcalc.checks.published import Outcome, areas, run_checks
from heatcalc.face.ask_sizing import split_changes
from heatcalc.judge.sizing import SizeResult
from heatcalc.render.as_text import as_text
from heatcalc.report.about_checks import about_checks
from heatcalc.report.about_explain import about_explain


def checks(areas: str = "") -> tuple[Outcome, ...]:
    """Every check of some areas, separated by semicolons (none named: all), computed and compared."""
    return run_checks(split_changes(areas))


def checks_table(outcomes: Sequence[Outcome], name: str = "all") -> Any:
    """A frame of the outcomes: "areas" (counts and a sentence each), "not reproduced" (with the reason) or "all"."""
    from heatcalc.render.as_frame import Tables

    return Tables(about_checks(outcomes, areas()), "ip")[name]


def show_explained(result: SizeResult, name: str, units: str = "ip") -> None:
    """Print the chain from one result of a sizing to its inputs."""
    print(as_text(about_explain(explain(result, name)), units))
