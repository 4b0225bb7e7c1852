"""Examples:
  heatcalc checks                  # every check against print
  heatcalc checks sun "moist air"  # some areas, whole or by a word in their name
  heatcalc checks --json > checks.json

Digits: how many of the printed significant digits the computed value rounds to. "within the spread" is a case whose
inputs are themselves rounded in print, or whose source states how far its method reaches; the reason is in --json.
Exit code 1 if a check that should reproduce does not, or one listed as not reproducing does.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from heatcalc.commands.common import add_output, tell


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("areas", nargs="*", metavar="AREA", help="areas to run (default: all)")
    add_output(parser)


def run(arguments: Namespace) -> int:
    from heatcalc.checks.published import areas, run_checks
    from heatcalc.report.about_checks import about_checks

    outcomes = run_checks(arguments.areas)
    tell(arguments, about_checks(outcomes, areas()))
    return int(any(o.failed for o in outcomes))
