"""Every row of the checks that `heatcalc checks` shows.

Tolerance: half the last printed digit, and the spread its row gives a reason for.
"""

import json
from importlib import import_module

import pytest

from heatcalc.checks.published import (
    FILES,
    KNOWN,
    Check,
    CheckResult,
    Span,
    _verdict,
    agreeing,
    all_checks,
    areas,
    checks_of,
    last_digit,
    run_check,
    run_checks,
    significant,
)
from heatcalc.errors import InputError


@pytest.mark.parametrize("area", list(areas()))
def test_every_row_of_the_area_does_as_listed(area):
    failed = [o for o in run_checks([area]) if o.check.area == area and o.failed]
    assert not failed, "\n".join(f"{o.check.id}: computed {o.computed}, printed {o.check.printed}: {o.verdict}" for o in failed)


@pytest.mark.parametrize(
    "check", [pytest.param(c, id=c.id, marks=pytest.mark.xfail(reason=c.known, strict=True)) for c in all_checks() if c.known]
)
def test_what_does_not_reproduce_says_why(check):
    assert run_check(check).verdict != KNOWN


def test_rows_are_told_apart_and_name_their_source():
    ids = [c.id for c in all_checks()]
    assert len(ids) == len(set(ids))
    for c in all_checks():
        assert c.source and c.where and c.what and c.area in areas(), c.id
        assert bool(c.spread) <= bool(c.why), f"{c.id}: a spread without a reason"


def test_every_evaluator_is_named_by_a_row():
    for name in FILES:
        named = {c.evaluator for c in all_checks() if c.file == name and not c.elsewhere}
        assert set(import_module(f"heatcalc.checks.evaluate_{name}").EVALUATORS) == named, name


def test_a_wrong_answer_is_seen():
    """One digit off in the last place is a failure; so is a case listed as not reproducing that does."""
    check = checks_of(["design day"])[0]
    off = Check(**{**vars(check), "printed": f"{float(check.printed) + 0.1:.1f}"})
    assert run_check(off).failed
    assert run_check(Check(**{**vars(check), "known": "said to differ"})).failed
    assert not run_check(check).failed


@pytest.mark.parametrize(
    ("computed", "printed", "digits", "of"),
    [
        (0.1234, "0.123", 3, 3),
        (0.1236, "0.123", 2, 3),
        (0.16, "0.123", 1, 3),
        (0.19, "0.123", 0, 3),
        (1230.4, "1230", 4, 4),
        (-2.344, "-2.34", 3, 3),
        (99.96, "100.0", 4, 4),
        (0.0, "0", 1, 1),
        (0.4, "0", 1, 1),
        (0.6, "0", 0, 1),
        (5.7209e-11, "5.721e-11", 4, 4),
    ],
)
def test_digits_agreeing(computed, printed, digits, of):
    unit = last_digit(printed)
    assert significant(float(printed), unit) == of
    assert agreeing(computed, float(printed), unit) == digits


def test_a_span_covers_what_its_inputs_leave_open():
    check = checks_of(["design day"])[0]
    said = Check(**{**vars(check), "printed": "10.0", "last_digit": 0.1})
    assert _verdict(said, Span(9.9, 10.2, 10.3), 2) == "within the spread"
    assert _verdict(said, Span(10.1, 10.2, 10.3), 2) == "DIFFERS"


def test_areas_are_found_by_a_word_and_a_slip_is_named():
    assert {c.area for c in checks_of(["ground"])} == {"ground"}
    assert {c.area for c in checks_of(["air"])} == {"moist air", "films and air layers"}
    with pytest.raises(InputError, match="did you mean"):
        checks_of(["infiltratoin"])


def test_an_outcome_is_plain():
    from heatcalc.checks.published import areas
    from heatcalc.render.as_json import as_json
    from heatcalc.report.about_checks import about_checks

    outcomes = (*run_checks(["ground"]), CheckResult(checks_of(["ground"])[0], float("nan"), 0, 1, KNOWN))
    rows = json.loads(as_json(about_checks(outcomes, areas())))["checks"]
    assert rows[0]["printed"] == "0.13" and rows[-1]["computed"] is None
