"""What a notebook cell asks of the checks against print, in one call."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from heatcalc.answers.explain.chains import explain
from heatcalc.checks.published import Outcome, areas, run_checks
from heatcalc.face.ask_sizing import split_changes
from heatcalc.judge.sizing import SizeResult
from heatcalc.render.as_text import as_text
from heatcalc.report.about_explain import about_explain
from heatcalc.show import checks_text


def checks(areas: str = "") -> tuple[Outcome, ...]:
    """Every check of some areas, separated by semicolons (none named: all), computed and compared."""
    return run_checks(split_changes(areas))


def checks_table(outcomes: Sequence[Outcome], name: str = "all") -> Any:
    """A frame of the outcomes: "areas" (counts and a sentence each), "not reproduced" (with the reason) or "all"."""
    import pandas as pd

    if name == "areas":
        head, *rows = checks_text.area_rows(outcomes, areas())
        frame = pd.DataFrame(rows, columns=head).set_index("area")
        return frame.assign(**{"what it is about": [areas().get(area, "") for area in frame.index]})
    chosen = [o for o in outcomes if name == "all" or o.check.known or o.check.elsewhere]
    frame = pd.DataFrame(checks_text.check_rows(chosen))
    frame["digits"] = [checks_text.digits(o) for o in chosen]
    frame["computed"] = [checks_text.computed(o) for o in chosen]
    columns = ["area", "what", "at", "computed", "printed", "unit", "digits", "verdict", "source", "where", "mark"]
    return frame[[*columns, *(["reason"] if name != "all" else [])]].set_index("area")


def show_explained(result: SizeResult, name: str, units: str = "ip") -> None:
    """Print the chain from one result of a sizing to its inputs."""
    print(as_text(about_explain(explain(result, name)), units))
