"""Years walked with the plan at fifty places: no hour below the set point less 2 K that the plan did not announce."""

import numpy as np
import pytest

from heatcalc.answers.reach.reach_study import reach
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.built_year import year_at
from heatcalc.judge.cases import Case
from heatcalc.judge.plan_year import SHORT_K
from heatcalc.judge.sites import stations
from heatcalc.judge.sizing import size_case
from heatcalc.model.year_walk import run_year, weather_year

SOME = stations().take(np.arange(10, 1009, 20))


@pytest.fixture(scope="module")
def first_units():
    """The unit of each place's first plan, all places at once; where every unit is too small, the first of the shelf."""
    package = reach(None, packages=["Breeze"], where=SOME).packages[0]
    return [package.units[max(int(k), 0)].unit for k in package.best]


@pytest.mark.parametrize("k", range(len(SOME)))
def test_the_plan_announces_every_cold_hour(first_units, k):
    """The year walked once more beside the plan's own, hour by hour, each way of standing."""
    house, unit = load_house(), first_units[k]
    case = Case(house, (SOME.place(k),), units={unit.name: unit})
    r = size_case(case)
    plan = r.plan
    assert plan.unit == unit.name and plan.short_h is not None
    year = run_year(r.designer.model, weather_year(year_at(r.place)), unit, plan.heater_W)
    cold = [int((way.series["indoor_C"] < house.set_points.heating - SHORT_K).sum()) for way in year.ways]
    assert max(cold) <= plan.short_h
    said = " ".join(str(w) for w in r.warnings)
    assert (plan.short_h > 0) == ("below the set point in" in said), (
        "announced hours are told, none are told where there are none"
    )
    if plan.holds:
        assert plan.short_h <= 0.02 * 8760.0, "a plan that holds the 99 % cold is short in fewer hours than 2 in 100"
