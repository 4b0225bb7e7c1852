"""What a notebook cell asks of the checks against print, in one call."""

from __future__ import annotations

from heatcalc.checks.published import CheckResult, run_checks
from heatcalc.checks.published import areas as known_areas
from heatcalc.face.answer import Answer
from heatcalc.face.ask_sizing import split_changes
from heatcalc.report.about_checks import about_checks


def checks(areas: str = "", units: str = "ip") -> Answer[tuple[CheckResult, ...]]:
    """`heatcalc checks`: every check of some areas, separated by semicolons (none named: all), computed and compared.

    Its tables: "areas" (counts), "all" (every check), "not reproduced" (with the reason).
    """
    return Answer(run_checks(split_changes(areas)), lambda found: about_checks(found, known_areas()), units)
