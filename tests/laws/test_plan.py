"""The judge: what must hold of the chance, of each rule, and of the plans, for any house in any place."""

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.answers.reach.reach_study import reach
from heatcalc.answers.study.chances import fast_case
from heatcalc.answers.study.uncertain import StudyCase, drawn, uncertain_inputs
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.cases import Case
from heatcalc.judge.chance import INTERVAL_95, Spread, normal_quantile, triangle_nodes, triangular
from heatcalc.judge.dehumidify import toll_W
from heatcalc.judge.facts import Asked, Facts, Rooms
from heatcalc.judge.lock_outs import lock_outs
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.plan import judge, on_panel
from heatcalc.judge.rules import TOO_SMALL, WORDS, all_rules
from heatcalc.judge.sites import stations
from heatcalc.judge.sizing import KEPT, MOST_KEPT, size_house
from heatcalc.physics.air.moist_air import VAPORISATION
from heatcalc.render.as_text import as_text
from heatcalc.report.about_size import about_size
from heatcalc.supply.cord import cords_by_size
from heatcalc.tables import rows

PLACES = ("Burlington, VT", "Duluth, MN", "Houston, TX", "Phoenix, AZ", "Seattle, WA", "Denver, CO")
SEED = 20_261_130


@cache
def sized(where, *changes, sure=0.9):
    return size_house(load_house(changes=changes), find_place(where), walk=False, sure=sure)


@cache
def facts(where, unit, *changes, sure=0.9):
    case = Case(house=load_house(changes=changes), places=(find_place(where),))
    return Facts(load_units()[unit], case.loads, Rooms(case.house, case.sites), Asked(sure))


def judged(where, unit, *changes, sure=0.9):
    return judge(facts(where, unit, *changes, sure=sure), load_house(changes=changes))


# ---- the chance


@settings(max_examples=30)
@given(st.floats(-100, 0), st.floats(0, 100), st.floats(0.5, 10))
def test_cumulants_of_a_triangle_are_those_of_its_density(low, high, scale):
    """Closed form against the quadrature of its own density, to rounding."""
    if high - low < 1e-3:
        return
    nodes, weights = triangle_nodes(low, 0.0, high)
    found, mean = triangular(low, 0.0, high), float(nodes @ weights)
    assert weights.sum() == pytest.approx(1.0)
    assert float(found.mean) == pytest.approx(mean, abs=1e-9 * scale * 100)
    assert float(found.variance) == pytest.approx(float((nodes - mean) ** 2 @ weights), rel=1e-9)
    assert float(found.third) == pytest.approx(float((nodes - mean) ** 3 @ weights), rel=1e-6, abs=1e-6)


def test_cumulants_of_independent_terms_add_and_the_chance_agrees_with_draws():
    """A sum of eight unequal triangles and a normal: closed form within the 95 % interval of 200,000 draws, widened by the
    expansion's own error for so small a skewness, 0.002."""
    dice = np.random.default_rng(SEED)
    ends = [(-30.0 * k, 55.0 * k) for k in range(1, 9)]
    terms = [triangular(low, 0.0, high) for low, high in ends]
    total = Spread(np.array(0.0), np.array(80.0**2), np.array(0.0))
    for term in terms:
        total = total + term
    drawn = sum(dice.triangular(low, 0.0, high, 200_000) for low, high in ends) + 80.0 * dice.standard_normal(200_000)
    for sure in (0.5, 0.8, 0.9, 0.95):
        share = float(np.mean(drawn <= float(total.quantile(sure))))
        assert share == pytest.approx(sure, abs=1.96 * np.sqrt(sure * (1 - sure) / 200_000) + 0.002)
        assert float(total.chance_below(total.quantile(sure))) == pytest.approx(sure, abs=1e-9)


@settings(max_examples=30)
@given(st.floats(0.001, 0.999), st.floats(2, 60), st.floats(1.1, 10))
def test_the_interval_of_a_chance_holds_it_and_narrows_with_what_is_known(chance, cases, more):
    """One triangle known as well as some cases tell, and as more tell; two halves are known better than either."""
    little, much = (triangular(np.array([-50.0]), 0.0, 80.0, n) for n in (cases, cases * more))
    low, high = (x[0] for x in little.between(np.array([chance])))
    closer = [x[0] for x in much.between(np.array([chance]))]
    assert low < closer[0] < chance < closer[1] < high
    z = float(normal_quantile(chance))
    deviates = normal_quantile(np.array([low, high]))
    assert deviates == pytest.approx(z + np.array([-1.0, 1.0]) * INTERVAL_95 * np.sqrt((1 + z**2 / 2) / cases), abs=1e-6)


@pytest.mark.parametrize("where, unit", [("Burlington, VT", "G12-D-230"), ("Anchorage, AK", "G15-C-230")])
def test_the_interval_of_a_chance_holds_a_simulation_of_it(where, unit):
    """20,000 houses drawn from the table's own distributions, habits apart, through the fast network: no cumulant in it."""
    f, case = facts(where, unit), Case(house=load_house(), places=(find_place(where),))
    study = StudyCase(case.model, case.sites_places[0], load_units()[unit])
    habits = {r["name"] for r in rows("uncertain_inputs") if r["habit"] == "yes"}
    inputs = [u for u in uncertain_inputs(study) if u.name not in habits]
    dice = np.random.default_rng(SEED).random((20_000, len(inputs)))
    values = {u.name: drawn(u, dice[:, k]) for k, u in enumerate(inputs)}
    load, cold = fast_case(study).heating_W(values), f.loads.design_C + values["cold"]
    heat = f.there.most_heat_W(cold[None, :])[0] * values["capacity"]
    for heater in (0.0, 150.0, 300.0, 450.0):
        share = float(np.mean(load <= heat + heater))
        beside = float(f.spread.chance_below(heater)[0])
        low, high = (float(x[0]) for x in f.spread.between(np.array([beside])))
        assert low <= beside <= high and low - 0.002 <= share <= high + 0.002, (heater, share)


@pytest.mark.parametrize("where", PLACES)
def test_more_confidence_never_takes_a_smaller_heater(where):
    for unit in ("G09-S-115", "G12-C-230", "G12-D-230"):
        f = facts(where, unit)
        asked = [float(f.heater_for_W(s)[0]) for s in (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)]
        assert asked == sorted(asked)
        watts = [float(judged(where, unit, sure=s).heater_W[0]) for s in (0.5, 0.8, 0.9, 0.95)]
        assert watts == sorted(watts)


@pytest.mark.parametrize("where", PLACES)
def test_the_heater_brings_the_chance_asked_for(where):
    for unit in load_units():
        found = judged(where, unit)
        assert found.verdict[0] == TOO_SMALL or found.chance[0] >= 0.9
        alone = float(facts(where, unit).chance(0.0)[0])
        assert found.verdict[0] != "fits" or alone >= 0.9, "below the chance asked for a unit is never called fits"


def test_a_larger_sigma_a_leakier_house_or_a_colder_place_never_improve_a_verdict():
    case = Case(house=load_house(), places=(find_place("Burlington, VT"),))
    for unit in load_units().values():
        ranks = []
        for sigma in (0.0, 1.0, 3.0):
            sites = replace(case.sites, sigma_heating_K=np.array([sigma]))
            loads = replace(case.loads, sites=sites)
            ranks.append(WORDS.index(judge(Facts(unit, loads, Rooms(case.house, sites)), case.house).verdict[0]))
        assert ranks == sorted(ranks)
        tight, leaky = (judged("Burlington, VT", unit.name, f"air.tightness={n} ACH50") for n in (2.0, 9.0))
        assert tight.heater_W[0] <= leaky.heater_W[0] + 1e-9
    mild, cold = sized("Seattle, WA"), sized("Duluth, MN")
    order = {c.name: c for c in cold.candidates}
    assert all(c.backup_W <= order[c.name].backup_W for c in mild.candidates)


# ---- the plans


@pytest.mark.parametrize("where", PLACES)
def test_the_plan_names_a_heater_for_every_hour_in_which_its_unit_stops(where):
    r = sized(where)
    place, coldest = r.place, float(r.case.loads.coldest_C[0])
    for plan in r.plans:
        unit = load_units()[plan.unit]
        if unit.lowest_heating_C >= coldest or place.hours_below(unit.lowest_heating_C) > 0.5:
            assert plan.heater_alone and plan.heater_W >= float(r.case.loads.coldest_W[0]) - 1e-6


def test_a_larger_cord_never_makes_a_plan_worse():
    names = [c.name for c in cords_by_size() if c.proposed]
    for where in ("Burlington, VT", "Houston, TX"):
        plans = [sized(where, f"supply.cord={name}").plan for name in names]
        carried = [p.supply_carried for p in plans]
        assert carried == sorted(carried)
        cost = [p.first_cost_usd for p in plans if p.unit == plans[-1].unit]
        assert cost == sorted(cost, reverse=True)


def test_one_to_three_plans_each_said_once_and_a_named_unit_first():
    for where in PLACES:
        plans = sized(where).plans
        assert 1 <= len(plans) <= 3 and len({(p.unit, p.changes, p.supply) for p in plans}) == len(plans)
    named = sized("Houston, TX", "unit=G24-S-230")
    assert named.plan.unit == "G24-S-230" and named.plan.verdict == "larger than needed"
    assert any(p.unit != "G24-S-230" for p in named.plans[1:])


def test_several_places_take_the_worst_of_each_rule():
    house, two = load_house(), (find_place("Denver, CO"), find_place("Atlanta, GA"))
    both = size_house(house, two, walk=False)
    alone = [size_house(house.model_copy(update={"unit": both.plan.unit}), p, walk=False).plan for p in two]
    assert both.plan.heater_W == max(p.heater_W for p in alone)
    assert both.plan.chance == min(p.chance for p in alone)
    assert both.plan.chance_with_household == alone[0].chance_with_household < 1.0 == alone[1].chance_with_household
    assert WORDS.index(both.plan.verdict) == max(WORDS.index(p.verdict) for p in alone)
    assert both.plan.held_C == alone[0].held_C, "the heater of the coldest place stands in the warm one too"


def test_a_sizing_is_its_row_of_the_country():
    """The same judge on one place and on many: equal to the digit."""
    some = stations().take(slice(0, 1009, 126))
    found = reach(None, packages=["Breeze"], where=some)
    for k in range(len(some)):
        r = size_house(load_house(), some.place(k), walk=False)
        for u in found.packages[0].units:
            mine = next(c for c in r.candidates if c.name == u.unit.name)
            told = (str(u.verdict[k]), float(u.chance[k]), float(u.backup_W[k]), str(u.supply[k]) or None)
            assert told == (mine.verdict, mine.chance, mine.backup_W, mine.smallest_supply)
        p = found.packages[0]
        assert (p.units[p.best[k]].unit.name, p.lock_out[k]) == (r.plan.unit, "; ".join(r.plan.changes))


def test_houses_judged_side_by_side_are_each_judged_alone():
    """Loads of two houses joined as if they were two places: every figure that of the house by itself."""
    cases = [
        Case(house=load_house(changes=words), places=(find_place("Duluth, MN"),)) for words in ((), ("air.tightness=2 ACH50",))
    ]
    joined, unit = ManyLoads.joined([c.loads for c in cases]), load_units()["G12-D-230"]
    both = judge(Facts(unit, joined, Rooms(cases[0].house, joined.sites)), cases[0].house)
    for k, case in enumerate(cases):
        one = judge(Facts(unit, case.loads, Rooms(case.house, case.sites)), case.house)
        assert (both.chance[k], both.heater_W[k], both.verdict[k]) == (one.chance[0], one.heater_W[0], one.verdict[0])
        assert both.facts.yearly_usd()[k] == one.facts.yearly_usd()[0]


def test_a_lock_out_changes_the_supply_alone():
    """The loads are those already worked out, and the case before is left as it was."""
    case = Case(house=load_house(), places=(find_place("Houston, TX"),))
    lock = next(lock_outs(case.house, felt=True))
    other = case.on_another_panel(lock.house)
    assert other.designers[0].cooling is case.designers[0].cooling and other.designers[0].model.house is lock.house
    before = judged("Houston, TX", "G09-C-115")
    after = on_panel(before, lock.house)
    alone = judge(Facts(before.unit, other.loads, Rooms(lock.house, other.sites)), lock.house)
    assert after.facts is before.facts and not before.house.supply.lock_outs
    needed = [j.outcome("supply").quantities["needed_A"][0] for j in (before, after, alone)]
    assert needed[0] > needed[1] == needed[2]


def test_no_first_plan_holds_the_hot_water_off_and_another_says_what_it_costs():
    """Where the house's cord carries nothing but with the tank locked out: the first plan locks nothing out, the one that does
    tells the share that comes cold and the hours with an empty tank, and a propane heater keeps the cord at no such price."""
    found = size_house(load_house(), find_place("Houston, TX"))
    assert not found.plan.changes and not found.plan.supply_carried and found.plan.cold_water_share == 0.0
    by_change = {p.changes[0].split()[0]: p for p in found.plans[1:] if p.changes}
    locked, propane = by_change["lock"], by_change["an"]
    assert locked.supply_carried and propane.supply_carried
    assert 0.0 < locked.cold_water_share < 1.0 and 0.0 < locked.cold_water_h < 8760.0 and propane.cold_water_share == 0.0
    words = as_text(about_size(found), "ip")
    assert f"{locked.cold_water_share:.1%}" in words and f"{locked.cold_water_h:,.0f}" in words
    own = [list(pair) for pair in locked.judged.house.supply.lock_outs]
    adopted = size_house(load_house(changes=(f"supply.lock_outs={json.dumps(own)}",)), find_place("Houston, TX")).plan
    assert (adopted.cold_water_share, adopted.cold_water_h) == (locked.cold_water_share, locked.cold_water_h)


def test_what_spoils_is_never_locked_out():
    kept = load_house(changes=('supply.appliances=["refrigerator 16 ft3","portable heater","water heater"]',))
    assert {c.house.supply.lock_outs[0][1] for c in lock_outs(kept)} == {"portable heater"}
    assert {c.house.supply.lock_outs[0][1] for c in lock_outs(kept, felt=True)} == {"water heater"}


@pytest.mark.parametrize("where", ["Houston, TX", "Burlington, VT"])
def test_a_dehumidifier_heats_the_room_it_stands_in(where):
    """First law: it gives off what it draws and the heat of its water; the heat pump pays for at most that heat where it cools,
    and is spared at most what it draws where it heats."""
    year = size_house(load_house(), find_place(where)).plan.year
    damp, line = year.damp, year.load.year.middle.series
    water_kg = float(damp.hourly_W.sum()) / 1000.0 * damp.litres_per_kWh
    assert damp.asks and water_kg <= damp.remove_kg_h.sum() + 1e-9
    assert damp.heat_W.sum() * 3600.0 == pytest.approx(damp.hourly_W.sum() * 3600.0 + water_kg * VAPORISATION)
    toll, cools = toll_W(damp, year.load.year.middle), line["cool_W"] > 0
    assert toll[cools].min() >= 0.0 and (toll[cools] <= damp.heat_W[cools]).all() and toll[cools].sum() > 0
    assert (toll[~cools] <= 0.0).all() and (-toll[~cools] <= line["unit_power_W"][~cools] + 1e-9).all()
    assert year.load.uses_W["dehumidifier"] == pytest.approx(damp.hourly_W + toll)


def test_every_rule_says_a_code_a_source_and_quantities():
    outcomes = judged("Denver, CO", "G12-C-230").outcomes
    assert len({o.code for o in outcomes}) == len(outcomes) >= 5
    for outcome in outcomes:
        assert outcome.source and outcome.title and outcome.quantities
        assert outcome.verdict is None or set(np.atleast_1d(outcome.verdict)) <= set(WORDS)
    assert {r.__name__.rpartition(".")[2] for r in all_rules()} >= {
        "holds",
        "runs",
        "cools",
        "not_too_large",
        "carried",
        "dry",
        "turns_down",
    }


def test_a_case_asked_again_is_sized_once_and_any_other_anew():
    """What moves an answer parts the cases: the house, its package, the place and its season, the chance."""
    KEPT.clear()
    asked = {
        "plain": {},
        "changed": {"changes": ("air.tightness=3.0 ACH50",)},
        "package": {"package": "Hearth"},
        "place": {"where": "Denver, CO"},
        "season": {"where": "Denver, CO; May-Oct"},
        "surer": {"sure": 0.95},
    }

    def of(where="Houston, TX", changes=(), package=None, sure=0.9):
        return size_house(load_house(None, changes, package), find_place(where), walk=False, sure=sure)

    first = {name: of(**words) for name, words in asked.items()}
    assert all(of(**words) is first[name] for name, words in asked.items())
    assert len({id(found) for found in first.values()}) == len(asked)
    for n in range(2 * MOST_KEPT):
        of(changes=(f"furniture={20 + n} kg/m2",))
    assert len(KEPT) <= MOST_KEPT
    again = of()
    assert again is not first["plain"]
    assert again.plan.record() == first["plain"].plan.record()


def test_files_that_a_house_names_are_read_each_time(tmp_path):
    unit, own = (folder("workbooks") / "units" / "G09-S-115.csv").read_text(), tmp_path / "mine.csv"
    house = load_house(changes=('units="mine.csv"',))
    for name in ("First-9", "Second-9"):
        own.write_text(unit.replace("G09-S-115", name))
        found = size_house(house, find_place("Houston, TX"), folder=tmp_path, walk=False)
        assert name in [c.name for c in found.candidates]
