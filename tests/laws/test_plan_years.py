"""Years walked with the plan at fifty places: no hour below the set point less 2 K that the plan did not announce."""

import numpy as np
import pytest

from heatcalc.answers.reach.reach_study import reach
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.place_record import year_at
from heatcalc.judge.cases import Case
from heatcalc.judge.plan_year import LEAST_HEAT_W, SHORT_K
from heatcalc.judge.sites import stations
from heatcalc.judge.sizing import size_case
from heatcalc.model.year_unit import GRID_K
from heatcalc.model.year_walk import run_year, weather_year

SOME = stations().take(np.arange(10, 1009, 20))


@pytest.fixture(scope="module")
def first_units():
    """The unit of each place's first plan, all places at once; where every unit is too small, the first of the shelf."""
    package = reach(None, packages=["Breeze"], where=SOME).packages[0]
    return [package.units[max(int(k), 0)].unit for k in package.best]


@pytest.mark.parametrize("k", range(len(SOME)))
def test_the_plan_announces_every_cold_hour(first_units, k):
    """The plan's year hour by hour, each way of standing; at every tenth place walked once more beside it."""
    house, unit = load_house(), first_units[k]
    case = Case(house=house, places=(SOME.place(k),), units={unit.name: unit})
    r = size_case(case)
    plan, ways = r.plan, r.plan.year.load.year.ways
    assert plan.unit == unit.name and plan.short_h is not None
    if k % 10 == 0:
        again = run_year(r.designer.model, weather_year(year_at(r.place)), unit, plan.heater_W)
        assert [w.series["indoor_C"].min() for w in again.ways] == [w.series["indoor_C"].min() for w in ways]
    cold = [int((way.series["indoor_C"] < house.set_points.heating - SHORT_K).sum()) for way in ways]
    assert max(cold) <= plan.short_h
    said = " ".join(str(w) for w in r.warnings)
    assert (plan.short_h > 0) == ("below the set point in" in said), (
        "announced hours are told, none are told where there are none"
    )
    if plan.holds:
        assert plan.short_h <= 0.02 * 8760.0, "a plan that holds the 99 % cold is short in fewer hours than 2 in 100"
    _announced(plan, unit, ways)


def _announced(plan, unit, ways):
    """Hours without the heat pump, from the record alone, and hours of the heater: within 20 % or 5 h of every way's."""
    for way in ways:
        line = way.series
        still, heater = line["outdoor_C"] < unit.lowest_heating_C - GRID_K, line["backup_W"] > LEAST_HEAT_W
        assert not (still & (line["heat_W"] > LEAST_HEAT_W)).any(), "below its lowest temperature it gives no heat"
        assert not heater.any() or plan.heater_W > 0, "no heat but from the heater the plan names"
        for said, walked in ((plan.still_h, int(still.sum())), (plan.heater_h, int(heater.sum()))):
            assert abs(said - walked) <= max(0.2 * walked, 5.0)
        if plan.heater_alone:
            assert heater[still].all(), "in every hour without the heat pump the heater carries the house"
