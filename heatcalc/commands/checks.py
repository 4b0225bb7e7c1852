"""Every check against print: computed, printed, digits agreeing.

Examples:
  heatcalc checks                  # every check against print
  heatcalc checks sun "moist air"  # some areas, whole or by a word in their name
  heatcalc checks --json > checks.json

Digits: how many of the printed significant digits the computed value rounds to. "within the spread" is a case whose
inputs are themselves rounded in print, or whose source states how far its method reaches; the reason is in --json.
Exit code 1 if a check that should reproduce does not, or one listed as not reproducing does.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from heatcalc.commands.common import add_output, shown, split_changes, tell

if TYPE_CHECKING:
    from heatcalc.checks.published import CheckResult
    from heatcalc.face.answer import Answer


def checks(areas: str = "", units: str = "ip") -> Answer[tuple[CheckResult, ...]]:
    """`heatcalc checks`: every check of some areas, separated by semicolons (none named: all), computed and compared.

    Its tables: "areas" (counts), "all" (every check), "not reproduced" (with the reason).
    """
    from heatcalc.checks.published import areas as known_areas
    from heatcalc.checks.published import run_checks
    from heatcalc.report.about_checks import about_checks

    return shown(run_checks(split_changes(areas)), lambda found: about_checks(found, known_areas()), units)


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("areas", nargs="*", metavar="AREA", help="areas to run (default: all)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.checks.published import areas, run_checks
    from heatcalc.report.about_checks import about_checks

    outcomes = run_checks(arguments.areas)
    tell(arguments, about_checks(outcomes, areas()))
    return int(any(o.failed for o in outcomes))
