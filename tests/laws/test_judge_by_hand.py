"""What the judge computes from loads and units, in small numbers that a person can follow."""

from statistics import NormalDist
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.supply.supply_record import Tariff
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge import facts, many_loads, plan, sites
from heatcalc.judge.chance import Spread, triangular
from heatcalc.judge.choice import Candidate, _why_supply
from heatcalc.judge.dehumidify import Damp, _longest_mean
from heatcalc.judge.facts import Facts
from heatcalc.judge.lock_outs import cold_water_of
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.metered_year import Money, _cfm_per_W, money_of
from heatcalc.judge.plan import Judged, _heater_for
from heatcalc.judge.plan_year import PlanYear
from heatcalc.judge.rules import FITS, LARGE, TOO_SMALL, carried, turns_down, worst
from heatcalc.judge.three_plans import ThreePlans, _builds
from heatcalc.judge.unit_there import REACH_K, UnitThere
from heatcalc.physics.unit.heat_pump import operate
from heatcalc.tables import rows
from tests.made import designer_in, made

ONE = np.array([1.0])
HOURS = np.ones(8760)


def designer(*changes):
    return designer_in("Burlington, VT", *changes)


# ---- loads


def loads(**fields):
    """A line of 100 W at -10 C, 50 W at 0 C and nothing at 20 C, and one twice as steep, in two places."""
    line = np.array([[100.0, 50.0, 0.0], [200.0, 100.0, 0.0]])
    return made(ManyLoads, line_C=np.array([-10.0, 0.0, 20.0]), line_W=line, **fields)


def test_a_load_lies_straight_between_the_points_of_its_line():
    assert loads().at(np.array([-5.0, 0.0, 10.0])).tolist() == [[75.0, 50.0, 25.0], [150.0, 100.0, 50.0]]
    assert loads().at_own(np.array([[-5.0], [10.0]])).tolist() == [[75.0], [50.0]]
    assert loads().fine_C[0] == -10.0 and np.diff(loads().fine_C) == pytest.approx(0.1) and len(loads().fine_C) == 300


def test_the_years_mean_cooling_runs_from_nil_to_the_hot_hour():
    """Set point 24 C: nothing up to 16 C, all of 2,000 + 500 W at 36 C, so at 26 C half."""
    at = lambda t: SimpleNamespace(month_hours_C=np.full((1, 60), t))  # noqa: E731
    for outdoor_C, watts in ((10.0, 0.0), (26.0, 1250.0), (36.0, 2500.0), (50.0, 2500.0)):
        hot = dict(cooling_C=24.0, hot_C=36 * ONE, sensible_W=2000 * ONE, latent_W=500 * ONE, sites=at(outdoor_C))
        assert loads(**hot).month_cold_W == pytest.approx(watts)


def test_a_place_without_dew_points_has_no_damp_day():
    hot = SimpleNamespace(peak_sensible_W=3.0, latent_at_peak_W=2.0, outdoor_at_peak_C=33.0, month=7)
    damp = SimpleNamespace(peak_sensible_W=1.0, latent_at_peak_W=4.0, outdoor_at_peak_C=28.0)
    two = [many_loads._cooling_of(SimpleNamespace(cooling=hot, damp=x)) for x in (damp, None)]
    assert two == [(3.0, 2.0, 33.0, 7, 1.0, 4.0, 28.0), (3.0, 2.0, 33.0, 7, 0.0, 0.0, 0.0)]


def test_the_damp_day_swings_about_its_dry_bulb(monkeypatch):
    """27 C at a dew point of 24 C swings by twice the 3 K between them, of a range of 10 K: up to 30 C, or the hot day's 29 C."""
    monkeypatch.setattr(sites, "_skies", lambda _, k, index, high, swing, dew, ratio: (high[0], swing[0], dew[0]))
    place = dict(dew_point_C=np.full((1, 12), 20.0), dew_point_1_C=24 * ONE, dew_point_1_dry_bulb_C=27 * ONE, elevation_m=0 * ONE)
    for hot, swing, found in ((40.0, 10.0, (30.0, 6.0, 24.0)), (29.0, 10.0, (29.0, 5.0, 24.0)), (40.0, 2.0, (28.0, 2.0, 24.0))):
        one = Sites(**place, cooling_1_C=hot * ONE, daily_range_K=swing * ONE)
        assert sites.damp_skies_of(one) == pytest.approx(found)


def test_leaks_answer_to_difference_and_wind():
    """0.01 m3/s at 40 K and 6.7 m/s with no fan; leaks a tenth larger bring a tenth more."""
    seen = []
    air = SimpleNamespace(leak=lambda *at: seen.append(at) or 0.01, balanced_m3_s=0.0, unbalanced_m3_s=0.0)
    air.inputs = SimpleNamespace(sensible_recovery=0.0)
    found = many_loads._leaking(SimpleNamespace(air=air), np.array([40.0]), 6.7, 1.1)
    assert seen == [(40.0, 6.7)] and found == pytest.approx(0.011)


@pytest.mark.parametrize(("share", "felt_C"), [(1.0, -20.0), (0.0, 4.0), (0.25, -2.0)])
def test_what_a_floor_answers_to_everywhere(monkeypatch, share, felt_C):
    """Outdoors at -20 C and the ground at 4 C, in the share of their conductances; a floor in the open by outdoors alone."""
    monkeypatch.setattr(many_loads, "ground_C", lambda *_: np.array([4.0]))
    below = SimpleNamespace(outdoor_share=share, body=SimpleNamespace(boundary="below"))
    house = SimpleNamespace(below=SimpleNamespace(soil_conductivity=2.0))
    model = SimpleNamespace(opaque=[below], shell=None, on_ground_m2K_W=0.0, house=house)
    found = many_loads._below(model, SimpleNamespace(mean_C=None), np.array([[-20.0]]), "winter")
    assert float(np.ravel(found)[0]) == pytest.approx(felt_C)


# ---- chance


def test_the_third_cumulant_of_a_triangle_by_hand():
    """Rising from 0 to its mode 1 at the upper end: mean 2/3, variance 1/18, third central moment -1/135."""
    found = triangular(0.0, 1.0, 1.0)
    assert (float(found.mean), float(found.variance), float(found.third)) == pytest.approx((2 / 3, 1 / 18, -1 / 135))


def test_a_mirrored_sum_has_mirrored_quantiles():
    """However skewed: what stays below with 90 % of one is above with 90 % of the other."""
    for third in (0.3, 5.0):
        right, left = (Spread(0 * ONE, ONE, sign * third * ONE) for sign in (1.0, -1.0))
        for sure in (0.1, 0.5, 0.9, 0.99):
            assert right.quantile(sure) == pytest.approx(-left.quantile(1.0 - sure))


def test_of_several_verdicts_the_last_of_the_list_counts():
    """A rule that is kept says nothing; of two that are not, the less kind one."""
    kept = (([True, False, False], FITS), ([True, True, False], LARGE))
    said = [SimpleNamespace(ok=np.array(ok), verdict=words) for ok, words in kept]
    assert worst([*said, SimpleNamespace(ok=np.array([False] * 3), verdict=None)]).tolist() == [FITS, FITS, LARGE]
    said.append(SimpleNamespace(ok=np.array([True, False, False]), verdict=np.array([TOO_SMALL] * 3)))
    assert worst(said).tolist() == [FITS, TOO_SMALL, TOO_SMALL]


def normal(mean_W, sd_W=100.0):
    return Spread(mean_W * ONE, sd_W**2 * ONE, 0.0 * ONE)


def test_the_chance_that_a_house_stays_warm_by_hand():
    """Missing heat of -128.16 +- 100 W: 90 %; the load alone 1,500 +- 100 W: a heater of 1.5 kW carries it by halves.

    Beside the heater the unit holds only where it runs, or where the heater carries the house alone; `whole` takes the better.
    """
    for runs, chance in ((1.0, 0.9), (0.7, 0.7)):
        one = made(
            Facts,
            spread=normal(-128.155),
            loads=SimpleNamespace(alone=normal(1500.0)),
            there=SimpleNamespace(chance_it_runs=runs * ONE),
        )
        assert one.chance(0.0) == pytest.approx(chance, abs=1e-5)
        assert one.chance(0.0, gains_W=50.0) == pytest.approx(min(NormalDist().cdf(1.78155), runs), abs=1e-5)
    sure = made(
        Facts, spread=normal(2000.0), loads=SimpleNamespace(alone=normal(1500.0)), there=SimpleNamespace(chance_it_runs=ONE)
    )
    assert sure.chance(1500.0, True) == pytest.approx(0.5) and sure.chance(1500.0, False) == pytest.approx(0.0, abs=1e-5)
    low, high = sure.chance_between(1500.0, True)
    assert low == pytest.approx(0.5) and high == pytest.approx(0.5)  # no term with few cases: as known as can be


def test_the_heater_beside_a_unit_is_what_it_misses_with_the_chance_asked_for():
    """Missing 0 +- 100 W: 128 W for nine of ten winters, nothing for one of ten."""
    one = made(Facts, spread=normal(0.0))
    assert one.heater_for_W(0.9) == pytest.approx(128.155, abs=1e-2) and one.heater_for_W(0.1) == 0.0


def test_a_places_own_doubt_moves_load_and_unit_apart():
    """Load 2,000 - 100 z and unit 1,000 + 50 z at z sigmas warmer: what is missing has a deviation of 150 W."""
    x, _ = facts.normal_nodes()
    where = dict(loads=SimpleNamespace(near_cold_W=(2000.0 - 100.0 * x)[None]), rooms=SimpleNamespace(climate_cases=69.0 * ONE))
    found = made(Facts, there=SimpleNamespace(near_cold_W=(1000.0 + 50.0 * x)[None]), **where).climate_spread
    assert float(found.variance[0]) == pytest.approx(150.0**2) and float(found.mean[0]) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("short", "held_C"), [((1, 0, 0, 0), -20.0), ((1, 1, 0, 0), -10.0), ((0, 1, 1, 0), 0.0), ((0, 0, 0, 0), -30.0)]
)
def test_the_temperature_held_lies_above_the_warmest_that_falls_short(short, held_C):
    at = np.array([-30.0, -20.0, -10.0, 0.0])
    found = facts._last_held(at, np.array([short, (0, 0, 0, 1)], bool))
    assert found[0] == held_C and np.isnan(found[1])


# ---- money of a year, for the order of plans


def test_a_years_cost_by_hand():
    """500 W of a unit of 1 kW at COP 4, which then runs half of the time: its input, half the pan heater, half the rest."""
    hours = np.full((1, 60), 500.0)
    levels = np.full((2, 60), 1000.0), np.full((2, 60), 250.0), np.full(60, 40.0), np.full(60, 10.0)
    one = made(
        Facts,
        loads=SimpleNamespace(sites=Sites(usd_per_kWh=0.2 * ONE), month_heat_W=hours, month_cold_W=900.0 * ONE),
        there=SimpleNamespace(month_levels=levels),
    )
    object.__setattr__(one, "_cooling_cop", 3.0 * ONE)
    electric = float(operate(levels[0][:, :1], levels[1][:, :1], np.array([500.0])).power_W[0])
    assert 125.0 < electric < 145.0  # cycling costs some of it
    assert one.yearly_usd()[0] == pytest.approx((electric + 20.0 + 5.0 + 300.0) * 8.76 * 0.2, abs=0.01)


class Sites:
    """One place."""

    def __init__(self, **columns):
        self.__dict__ |= columns

    def __len__(self):
        return 1


def test_the_cop_of_the_hot_hour():
    load = SimpleNamespace(sensible_W=1500.0 * ONE, latent_W=500.0 * ONE)
    assert made(Facts, loads=load, cooling={"input_W": 500.0 * ONE})._cooling_cop == 4.0


def test_the_bill_with_the_unit_and_without():
    """1 kW of the unit beside 2 kW of everything else, at 20 cents: 3 x 8,760 x 0.2, and what the unit adds."""
    found = money_of(SimpleNamespace(run_W=1000.0 * HOURS, rest_W=2000.0 * HOURS), Tariff(price=0.2), "as stated")
    assert (found.whole.year_cost, found.rest.year_cost) == pytest.approx((3 * 1752.0, 2 * 1752.0))
    assert found.year_cost == pytest.approx(1752.0) and found.month_cost[0] == pytest.approx(148.8)
    assert made(Money, whole=found.whole, rest=found.whole).year_cost == 0.0


def test_every_kind_of_fan_has_its_own_row():
    for r in rows("ventilation_fan"):
        assert _cfm_per_W(r["kind"]) == float(r["cfm_per_W"])


# ---- dehumidifiers


def damp(month=0.5, wet_h=0.0, kg_day=0.0, remove=0.0):
    return Damp(0.0, wet_h, month, np.full(2, remove), kg_day)


def test_when_a_dehumidifier_is_asked_for_and_how_large():
    """Above 65 % for thirty days, or two days above 80 %: either; 20 L a day are 42.3 pints, of which a kWh takes 1.6 L."""
    assert [damp(*x).asks for x in ((0.65, 48.0), (0.66, 0.0), (0.5, 49.0))] == [False, True, True]
    large, small = damp(kg_day=20.0, remove=0.5), damp(kg_day=1.0)
    assert (large.pints_day, small.pints_day) == (pytest.approx(42.27, abs=0.01), 22.0)
    assert large.watts == 530.0  # 20/24/1.6 kW = 520.8 W, to the next ten
    assert large.hourly_W == pytest.approx([312.5, 312.5]) and (damp(kg_day=20.0, remove=2.0).hourly_W == 530.0).all()


def test_thirty_days_count_that_are_warm_for_the_most_part():
    """70 % while it is warm: all of a month of warm hours, none of a month in which they are fewer than half."""
    for share, found in ((1.0, 0.7), (0.6, 0.7), (0.4, 0.0)):
        warm = np.tile(np.arange(10) < 10 * share, 876) & (np.arange(8760) < 2000)
        assert _longest_mean(np.where(warm, 0.7, 0.0), warm) == pytest.approx(found)


def test_the_dampest_of_several_summers_sizes_the_dehumidifier():
    years = [SimpleNamespace(damp=damp(*x)) for x in ((0.5, 0.0, 30.0), (0.7, 0.0, 20.0), (0.7, 0.0, 5.0))]
    moving = made(PlanYear, every=tuple(years))
    assert (moving.dehumidifier_W, moving.dehumidifier_pints_day) == (530.0, pytest.approx(42.27, abs=0.01))
    dry = made(PlanYear, every=(), load=SimpleNamespace(damp=damp()))
    assert (dry.dehumidifier_W, dry.dehumidifier_pints_day) == (0.0, 0.0)


# ---- the unit, its supply, its plan


def test_a_unit_stops_at_its_lowest_or_where_its_table_has_nothing_to_say():
    for lowest, first in ((-30.0, -25.0), (-30.0, -15.0), (-20.0, -25.0)):
        here = SimpleNamespace(heating=SimpleNamespace(lowest_C=lowest, outdoor_C=np.array([first, -8.0, 8.0])))
        assert made(UnitThere, here=here).coldest_running_C == max(lowest, first - REACH_K)


def test_in_the_rating_room_nothing_is_scaled():
    """A room as humid as the rating's: both factors are one; a damper one cools more."""
    unit = load_units()["G12-C-230"]
    rated = unit.cooling.indoor_wet_bulb_C
    there = made(UnitThere, unit=unit, rooms=SimpleNamespace(wet_C=np.array([rated, rated + 2.0])))
    more, power = there._wet_bulb_factors
    assert (more[0], power[0]) == pytest.approx((1.0, 1.0)) and more[1] > 1.0


def test_what_asks_for_the_heater_in_words():
    asked = ((0.0, "nothing"), (0.5, "the rest"), (900.0, "the cold"))
    outcomes = tuple(SimpleNamespace(heater_W=w, heater_for=words) for w, words in asked)
    assert _heater_for(made(Judged, outcomes=outcomes, heater_W=900.0 * ONE), slice(None)) == "the cold and the rest"


def test_a_plan_is_ordered_by_its_worst_place(monkeypatch):
    monkeypatch.setattr(plan, "order_columns", lambda _: [np.array([0.0, 1.0]), np.array([5.0, 2.0])])
    assert made(Judged, facts=SimpleNamespace(unit=SimpleNamespace(name="G9"))).order == (1.0, 5.0, "G9")


def test_a_unit_needs_its_voltage_and_then_its_amperes():
    for volts, cord, legs_fit, passes, said in (
        (230.0, "30 A 120 V", False, False, "it needs 230 V and the cord is 30 A 120 V"),
        (115.0, "30 A 120 V", True, False, "31.0 A are needed in the cold, more than 30 A 120 V brings"),
        (230.0, "30 A 120/240 V", True, True, None),
    ):
        supply = SimpleNamespace(ok=[passes], quantities={"needed_A": [31.0], "set_by": ["cold"]})
        house = SimpleNamespace(supply=SimpleNamespace(cord=cord))
        judged = SimpleNamespace(outcome=lambda _, supply=supply: supply, house=house, unit=SimpleNamespace(volts=volts))
        one = made(Candidate, judged=judged, at=0)
        assert one.plugs_in is legs_fit and list(_why_supply(one)) == ([] if said is None else [said])


def test_what_coincides_on_the_supply():
    """Cold: the unit and the heater beside it; hot: unit and dehumidifier; still: the heater alone where it carries all."""
    unit = load_units()["G12-C-230"]
    there = SimpleNamespace(most_heating_A=9.0 * ONE)
    f = SimpleNamespace(unit=unit, there=there, loads=SimpleNamespace(coldest_C=-25.0 * ONE), most_cooling_A=6.0 * ONE)
    for whole, still_W in ((False, 0.0), (True, 3000.0)):
        so_far = SimpleNamespace(beside_W=1500.0 * ONE, heater_W=3000.0 * ONE, whole=whole, dehumidifier_W=240.0)
        cold, hot, still = carried.situations(f, so_far)
        assert (cold.unit_A, cold.heater_W, cold.dehumidifier_W) == (9.0, 1500.0, 0.0)
        assert (hot.unit_A, hot.heater_W, hot.dehumidifier_W) == (6.0, 0.0, 240.0)
        assert still.heater_W == still_W and 0.0 < still.unit_A < 1.0
        assert [s.season for s in (cold, hot, still)] == ["cold", "hot", "cold"]


@pytest.mark.parametrize(("on_off", "ok"), [(0.75, True), (0.76, False)])
def test_on_and_off_in_three_of_four_hours_is_enough(on_off, ok):
    mild = SimpleNamespace(heating_on_off=on_off, cooling_on_off=0.9, load_W=300.0)
    year = SimpleNamespace(every=(SimpleNamespace(mild=mild),))
    facts_of = SimpleNamespace(there=SimpleNamespace(least_mild_W=ONE))
    assert bool(turns_down.rule(facts_of, SimpleNamespace(year=year)).ok[0]) is ok
    assert turns_down.rule(facts_of, SimpleNamespace(year=None)) is None


def test_without_a_tank_or_a_lock_out_all_water_is_hot():
    house = load_house(changes=["living.water_heater=none"])
    assert cold_water_of(house.supply, []) == (0.0, 0.0)
    assert cold_water_of(load_house().supply, []) == (0.0, 0.0)


def test_the_first_plan_is_shown_first_and_once():
    picks = tuple(SimpleNamespace(kind=k) for k in ("a", "b", "c"))
    plans = made(ThreePlans, picks=picks, before=1, done=lambda p: p, search=list)
    plans.__dict__["first"] = picks[0]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("heatcalc.judge.three_plans._once_each", lambda found: list(found))
        assert [p.kind for p in plans.all] == ["a", "b", "c"]


def test_a_house_without_a_file_is_bettered_by_a_builder_alone():
    house = load_house().model_copy()
    house._origin = None
    groups = [[c.words for c in group] for group in _builds(SimpleNamespace(house=house))]
    assert len(groups) == 2 and len(groups[0]) > 1 and len(groups[1]) == 1
