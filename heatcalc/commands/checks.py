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


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("areas", nargs="*", metavar="AREA", help="areas to run (default: all)")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(arguments: Namespace) -> int:
    from heatcalc.checks.published import areas, run_checks
    from heatcalc.show.checks_text import check_rows, checks_text

    outcomes = run_checks(arguments.areas)
    if arguments.json:
        from heatcalc.show.record import as_json

        print(as_json({"checks": check_rows(outcomes)}), end="")
    else:
        print(checks_text(outcomes, areas()))
    return int(any(o.failed for o in outcomes))
