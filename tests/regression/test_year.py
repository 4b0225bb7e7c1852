"""The demo house's year in five climates: our own numbers, guarded; and the choices that stand behind them."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from heatcalc.answers.year.outage import power_cut
from heatcalc.answers.year.year_answer import hand_check
from heatcalc.inputs.house.house_file import load_house
from heatcalc.judge.sizing import size_house
from heatcalc.model.house_model import house_model, zone_of
from heatcalc.model.sunlight import sun_channels
from heatcalc.model.year_walk import ANY_WAY, drivers, moved, run_many, run_year, year_house
from heatcalc.physics.year.kernel import year
from heatcalc.physics.zone.network import inputs_of, modal
from heatcalc.physics.zone.zone import network_of

spec = importlib.util.spec_from_file_location("year_case", Path(__file__).with_name("year_case.py"))
case = importlib.util.module_from_spec(spec)
spec.loader.exec_module(case)

YEARS = {  # place: unit walked, heat and cold needed, electricity of heating and cooling with extras, kWh
    "Burlington, VT": ("G12-C-230", 6011.6, 813.2, 2067.8),
    "Phoenix, AZ": ("G12-S-115", 729.6, 5109.4, 1656.0),
    "Houston, TX": ("G09-S-115", 825.9, 3067.1, 846.6),
    "Portland, OR": ("G09-S-115", 3366.3, 739.7, 921.9),
    "Duluth, MN": ("G18-C-230", 7568.0, 628.0, 2765.0),
}


PLANS = {  # place: unit and supply of the plan shown first
    "Burlington, VT": ("G18-D-230", "50 A 120/240 V"),
    "Phoenix, AZ": ("G12-C-115", "30 A 120/240 V"),
    "Houston, TX": ("G09-C-115", "30 A 120/240 V"),
    "Portland, OR": ("G09-C-115", "30 A 120/240 V"),
    "Duluth, MN": ("G12-D-230", "50 A 120/240 V"),
}


@pytest.mark.parametrize("where", PLANS)
def test_the_plan_shown_first(where):
    plan = size_house(case.house(where=where).model.house, case.place(where)).plan
    assert (plan.unit, plan.supply) == PLANS[where]


@pytest.mark.parametrize("where", YEARS)
def test_demo_house_through_the_year(where):
    name, heat, cool, electricity = YEARS[where]
    home = case.house(where=where)
    r = run_year(home, case.brings(where), case.unit(name), rooms=case.ROOMS)
    assert r.annual("heat") + r.annual("backup heat") == pytest.approx(heat, rel=2e-3, abs=1.0)
    assert r.annual("cool") == pytest.approx(cool, rel=2e-3, abs=1.0)
    assert r.conditioning_kWh == pytest.approx(electricity, rel=2e-3, abs=1.0)


def test_parts_taken_together_answer_as_the_whole_house():
    """Sixteen elements and five windows at the finest nodes against the few the year walks."""
    home, brings = case.house(), case.brings("Burlington, VT")
    d = drivers(home, brings, "south")
    few = year(home.modes, d.drive)
    w = brings.weather
    many, _ = sun_channels(home.model, brings.position, w.dni, w.ghi, w.dhi, 180.0)
    net = network_of(zone_of(home.model, "year"))
    whole = modal(net, linear=("outdoor_C", "sky_C"))
    known = {
        n: d.drive.inputs[:, k] for k, n in enumerate(home.modes.input_names) if not n.startswith(("sun ", "light ", "warm "))
    }
    full = year(
        whole,
        type(d.drive)(
            inputs=inputs_of(whole, known | many),
            bins=d.drive.bins,
            heat_set_C=d.drive.heat_set_C,
            cool_set_C=d.drive.cool_set_C,
            exchange_W_K=d.drive.exchange_W_K,
            exchange_C=d.drive.exchange_C,
        ),
    )
    assert len(home.modes.decay) < 60 < len(whole.decay)
    assert few.annual("heat_kWh") == pytest.approx(full.annual("heat_kWh"), rel=0.002)
    assert few.annual("cool_kWh") == pytest.approx(full.annual("cool_kWh"), rel=0.01)


def test_four_ways_stand_for_eight():
    home, brings = case.house(), case.brings("Houston, TX")
    four = run_year(home, brings, case.unit("G09-S-115"), front_faces="unknown", rooms=case.ROOMS)
    odd = [
        run_year(home, brings, case.unit("G09-S-115"), front_faces=f, rooms=case.ROOMS).conditioning_kWh
        for f in ("northeast", "southeast", "southwest", "northwest")
    ]
    assert np.mean([four.conditioning_kWh, np.mean(odd)]) == pytest.approx(four.conditioning_kWh, rel=0.02)


def test_a_sweep_agrees_with_single_years():
    brings, units = case.brings("Burlington, VT"), [case.unit("G09-C-230"), case.unit("G12-C-230")]
    homes = [case.house(), case.house("package=Hearth")]
    many = run_many(homes, brings, units, backup="resistance", rooms=case.ROOMS, front_faces="south")
    for i, home in enumerate(homes):
        for k, u in enumerate(units):
            one = run_year(home, brings, u, front_faces="south", rooms=case.ROOMS)
            assert many.annual("heat_kWh")[i, k] == pytest.approx(one.annual("heat"), rel=1e-9)
            assert many.annual("power_kWh")[i, k] == pytest.approx(one.conditioning_kWh, rel=1e-9)
            assert many.peak("coldest_C")[i, k] == pytest.approx(one.peak("coldest_C")[0], abs=1e-9)
    mean = run_many(homes, brings, units, front_faces=ANY_WAY, rooms=case.ROOMS)
    assert mean.annual("heat_kWh")[0, 1] == pytest.approx(run_year(homes[0], brings, units[1], None).annual("heat"), rel=0.01)


def test_hand_check_in_five_climates():
    """A sum by hand misses a light small house's heating by 26 % in one of twenty (physics.degree_days).

    It takes walls as warm as the air and sun as even: +16 % Burlington, +15 % Duluth, +21 % Portland, +31 % Houston, +36 %
    Phoenix, where the heating is small.
    """
    off = {}
    for where in YEARS:
        home, brings = case.house(where=where), case.brings(where)
        d = drivers(home, brings, "east")
        off[where] = hand_check(d).heating_kWh / run_year(home, brings, front_faces="east").annual("heat") - 1
    cold = [off[w] for w in ("Burlington, VT", "Duluth, MN", "Portland, OR")]
    assert min(off.values()) > 0 and max(cold) < 0.26, off


def test_coldest_hours_near_the_design_load():
    """The load exceeded in 0.4 % of hours lies below the steady design load at 99.6 % by what people and appliances give and
    by what the felt temperature asks above the air's, a tenth (model.designer.felt_state)."""
    home = case.house()
    d = drivers(home, case.brings("Burlington, VT"), "east")
    walked = year(home.modes, d.drive, series=True)
    design = size_house(home.model.house, case.place("Burlington, VT")).heating_996.load_W
    gains = (home.living.sensible_convective_W + home.living.sensible_radiant_W).max()
    assert 0.9 * design - gains < float(np.quantile(walked.hourly("unit_W"), 0.996)) < design


def test_power_cut():
    home = case.house()
    cut = power_cut(drivers(home, case.brings("Burlington, VT"), "east"))
    hours = [h for _, h in cut.empty.hours_to]
    assert hours == sorted(hours) and hours[-1] == pytest.approx(5.3, abs=0.1)
    assert all(p > e for (_, p), (_, e) in zip(cut.people.hours_to, cut.empty.hours_to, strict=True))


def test_a_moved_house_is_the_house_built_there():
    brings = case.brings("Denver, CO")
    low, there = case.house(), case.house(where="Denver, CO")
    one, two = (
        run_year(h, brings, case.unit("G12-C-230"), front_faces="east", rooms=case.ROOMS)
        for h in (moved(low, there.model.elevation_m), there)
    )
    assert one.annual("heat") == pytest.approx(two.annual("heat"), rel=5e-4)
    assert one.conditioning_kWh == pytest.approx(two.conditioning_kWh, rel=5e-4)


def test_any_house_of_the_same_kinds_of_parts_walks_together():
    hearth = year_house(house_model(load_house(None, ["package=Hearth"])))
    assert hearth.modes.input_names == case.house().modes.input_names
