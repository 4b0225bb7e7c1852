"""Small figures of the judge, the year and the unit, each with numbers a person can follow."""

from dataclasses import replace
from math import exp, log, sqrt
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from heatcalc.answers.methods import time_series_house
from heatcalc.answers.methods.time_series_house import MethodOutside
from heatcalc.answers.year import outage
from heatcalc.answers.year.outage import fact
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.supply.supply_record import PricePeriod, Supply, Tariff
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.cases import Case, next_better
from heatcalc.judge.chance import normal_nodes, triangular
from heatcalc.judge.dehumidify import toll_W
from heatcalc.judge.facts import Facts
from heatcalc.judge.metered_year import MeteredYear
from heatcalc.judge.plan import Judged, _after_money, first_of, largest_supply, order_columns, price
from heatcalc.judge.plan_year import _heater_h
from heatcalc.judge.rules import LARGE, WORDS
from heatcalc.judge.sites import sites_of
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.judge.unit_there import Rooms
from heatcalc.model import comfort
from heatcalc.model.climate import places_answer
from heatcalc.model.comfort import cold_places, hot_places, summer_days
from heatcalc.model.designer import designer_of, dew_points
from heatcalc.model.detail_bridge import BridgeAnswer
from heatcalc.model.fleet_learning import Lognormal
from heatcalc.model.house_model import house_model
from heatcalc.model.indoor_air import air_of_house
from heatcalc.model.moisture import MoistureAnswer
from heatcalc.model.year_drivers import in_months
from heatcalc.model.year_unit import YearUnit, held_off
from heatcalc.model.year_walk import YearResult
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.conduction_mesh import Region
from heatcalc.physics.shell.glazing import double_pane_shgc, glazing, glazing_names, hemispherical_mean, scaled
from heatcalc.physics.shell.ground import line_temperature_C
from heatcalc.physics.shell.layers import inside_resistance
from heatcalc.physics.shell.shape import flat_roof
from heatcalc.physics.sun.sun import extraterrestrial_beam, sunlit_middle_deg
from heatcalc.physics.supply.electrics import recovery_flow
from heatcalc.physics.unit import at_site, heat_pump, seasonal
from heatcalc.physics.unit.at_site import capacity_factor, spread
from heatcalc.physics.year import year_hours
from heatcalc.physics.year.kernel_pack import Levels, Plant
from heatcalc.physics.zone.load_factor import Line, LoadFactorSum, slab_cooling_factor
from heatcalc.physics.zone.loss_line import loss_line
from heatcalc.supply import circuits
from heatcalc.supply.cord import Load, cord_named, cords_by_size, loads_to_pause
from heatcalc.supply.money import EnergyRow, bill
from heatcalc.supply.supply_check import standing_still
from heatcalc.tables import rows
from tests.made import made

# ---- the judge


def told(heater_W=0.0, verdict=WORDS[0], size=12.0, holds=True, carried=True, usd=300.0):
    """A judged unit as the order of plans reads it, in one place."""
    one = lambda x: np.array([x])  # noqa: E731
    return SimpleNamespace(
        heater_W=one(heater_W),
        verdict=one(verdict),
        holds=one(holds),
        supply_carried=one(carried),
        unit=SimpleNamespace(size_kBtuh=size, volts=230.0),
        house=SimpleNamespace(supply=SimpleNamespace(cord="30 A 120 V")),
        outcome=lambda code: SimpleNamespace(quantities={"smallest": one("30 A 120 V")}),
        facts=SimpleNamespace(yearly_usd=lambda which: one(usd)[which]),
    )


BETTER = (  # each is better than the one after it, by the column the words name
    ("holds", told(usd=900.0), told(holds=False)),
    ("keeps the supply", told(usd=900.0), told(carried=False)),
    ("is not larger than needed", told(heater_W=1600.0), told(verdict=LARGE)),
    ("needs no heater", told(usd=900.0), told(heater_W=1.0)),
    ("needs no circuit of its own", told(heater_W=1500.0, usd=900.0), told(heater_W=1501.0)),
    ("the smaller of two too large", told(verdict=LARGE, usd=900.0), told(verdict=LARGE, size=18.0)),
    ("costs less in ten years", told(size=12.0, usd=300.0), told(size=12.0, usd=301.0)),
    ("a larger one that costs less", told(size=18.0, usd=100.0), told(size=9.0, usd=300.0)),
)


@pytest.mark.parametrize(("words", "first", "second"), BETTER)
def test_what_comes_first(words, first, second):
    keys = [tuple(float(column[0]) for column in order_columns(one)) for one in (first, second)]
    assert keys[0] < keys[1]
    assert first_of([first, second])[0] == 0 and first_of([second, first])[0] == 1


def test_of_plans_that_cost_as_much_the_smaller_of_the_lower_volts_comes_first():
    assert [float(column[0]) for column in _after_money(told(size=18.0))] == [18.0, 230.0]


def test_first_cost_by_hand():
    """Of the table of prices: unit by its size in kW, heater by its volts, the larger supply, dryer and package."""
    table = {r["item"]: (float(r["usd"]), float(r["usd_per_kW"])) for r in rows("plan_prices")}
    unit = load_units()["G12-C-230"]
    bare = table["unit"][0] + table["unit"][1] * 12.0 * 0.29307107
    for heater_W, name, dryer, package in (
        (0.0, "30 A 120 V", False, 0.0),
        (1500.0, "30 A 120/240 V", True, 100.0),
        (1501.0, "50 A 120/240 V", False, 0.0),
    ):
        kind = table["heater 120 V" if heater_W <= 1500.0 else "heater 240 V"]
        heater = kind[0] + kind[1] * heater_W / 1000.0 if heater_W else 0.0
        by_hand = bare + heater + table[name][0] - table["30 A 120 V"][0] + (table["dehumidifier"][0] if dryer else 0.0) + package
        assert price(unit, np.array([heater_W]), np.array([name]), "30 A 120 V", dryer, package)[0] == round(by_hand)
    down = price(unit, np.array([0.0]), np.array(["30 A 120 V"]), "50 A 120/240 V", False, 0.0)[0]
    assert down == round(bare)  # what the house has costs nothing, nor is any money given back
    assert price(unit, np.array([0.0]), np.array([""]), "30 A 120 V", False, 0.0)[0] == round(bare + 3200.0)  # beyond the table


def test_several_places_need_the_largest_supply_and_one_beyond_the_table_has_none():
    names = [c.name for c in cords_by_size()]
    assert (
        largest_supply(np.array([names[0], names[2], names[1]])) == names[2] and largest_supply(np.array([names[0], ""])) is None
    )
    assert [c.name for c in cords_by_size()] == [
        r["cord"] for r in sorted(rows("cords"), key=lambda r: float(r["rating_A"]) * int(r["legs"]))
    ]
    assert all(
        int(r["legs"]) == cord_named(r["cord"]).legs and float(r["rating_A"]) == cord_named(r["cord"]).rating_A
        for r in rows("cords")
    )


def test_a_rule_is_there_where_any_outcome_has_its_code():
    one = made(Judged, outcomes=(SimpleNamespace(code="holds"), SimpleNamespace(code="dry")))
    assert one.has("dry") and one.has("holds") and not one.has("runs")


def test_nodes_of_a_normal_input_have_its_moments():
    """0, 1, 0, 3, 0, 15: the moments of a standard normal variable."""
    x, w = normal_nodes()
    assert [float(x**k @ w) for k in range(7)] == pytest.approx([1, 0, 1, 0, 3, 0, 15], abs=1e-9)


def test_altitude_is_as_uncertain_as_the_published_factors_lie_apart():
    place = replace(find_place("Denver, CO"), elevation_m=2000.0)
    house = load_house()
    found = Rooms(house, sites_of((place,))).altitude
    all_rules, used = (
        [float(np.ravel(x)[0]) for x in spread(np.array([2000.0])).values()],
        float(np.ravel(capacity_factor(np.array([2000.0])))[0]),
    )
    low, high = min(all_rules) / used - 1.0, max(all_rules) / used - 1.0
    assert low <= 0.0 <= high and low < high
    assert (float(found.mean[0]), float(found.variance[0])) == pytest.approx(
        ((low + high) / 3.0, (low**2 + high**2 - low * high) / 18.0)
    )
    assert float(triangular(low, 0.0, high).mean) == pytest.approx((low + high) / 3.0)


def test_a_fleets_factor_by_hand():
    """Lognormal about 1.2 with 30 %: its median, its tenth and ninetieth of a hundred, its mean and deviation."""
    one = Lognormal(mean_ln=log(1.2), variance_ln=0.09)
    assert one.points == pytest.approx((1.2 * exp(-1.2816 * 0.3), 1.2, 1.2 * exp(1.2816 * 0.3)), rel=1e-4)
    assert (one.mean, one.sd) == pytest.approx((1.2 * exp(0.045), 1.2 * exp(0.045) * sqrt(exp(0.09) - 1.0)))


# ---- the year


def test_of_several_ways_of_standing_the_worst_and_the_middle():
    def way(total, closure, amperes, heat, hours, coldest):
        energy = {"heat": np.array([heat, 1.0]), "cool": np.zeros(2)}
        return SimpleNamespace(total_kWh=total, closure=closure, cord=SimpleNamespace(highest_A=amperes), energy_kWh=energy,
                               hours={"too cold": hours}, coldest_C=(coldest, 5), unit_peak_W=(total, 7))  # fmt: skip

    ways = (
        way(100.0, 1e-12, 12.0, 9.0, 3.0, 15.0),
        way(160.0, 3e-12, 9.0, 5.0, 0.0, 12.0),
        way(120.0, 2e-12, 15.0, 7.0, 1.0, 18.0),
    )
    year = made(YearResult, ways=ways, energy_kWh={"heat": np.array([7.0, 1.0])})
    assert year.closure == 3e-12 and year.cord.highest_A == 15.0 and year.middle is ways[2]
    assert year.span("heat") == (6.0, 10.0) and year.span("electricity") == (100.0, 160.0) and year.span("too cold") == (0.0, 3.0)
    assert year.peak("coldest_C") == (12.0, 5) and year.peak("unit_peak_W") == (160.0, 7) and year.annual("heat") == 8.0


def test_sums_of_a_metered_year():
    hours = np.full(8760, 1000.0)
    year = SimpleNamespace(
        electricity_kWh={"hot water": np.arange(12.0)},
        household=SimpleNamespace(propane_W={"cooking": hours, "hot water": hours}),
    )
    load = made(MeteredYear, year=year)
    assert load.hot_water_kWh == 66.0 and load.propane_kWh == 2 * 8760.0
    assert EnergyRow("heating", "electricity", np.arange(12.0), None).year_kWh == 66.0


def test_a_unit_held_off_gives_what_is_left_of_the_hour():
    """Half the hour: at most half the most; the middle level only where it lies above, the least as it was."""
    three = Levels(np.tile([1000.0, 2000.0, 3000.0], (2, 1)), np.full((2, 3), 3.0))
    unit = YearUnit(
        unit=None,
        plant=Plant(heating=three, cooling=three),
        standby_W=0.0,
        crankcase_W=np.zeros(2),
        pan_W=np.zeros(2),
        coil_ratio=None,
    )
    found = held_off(unit, np.array([0.5, 0.0])).plant
    for x in (found.heating, found.cooling):
        assert x.capacity_W.tolist() == [[1000.0, 1500.0, 1500.0], [1000.0, 2000.0, 3000.0]]


def test_one_place_has_no_worst_of_several():
    one = find_place("Denver, CO")
    assert places_answer([one]).worst is None
    both = places_answer([one, find_place("Duluth, MN")])
    assert both.worst is not None and len(both.places) == 2


def test_the_years_sequence_by_hand():
    """Park and Miller's check: from 1 the 10,000th number is 1043618065; persistence keeps the spread; ranks are the middles."""
    assert year_hours.generator(10_000, 1)[-1] == 1_043_618_065
    assert year_hours.persistent(np.array([1.0, 0.0, 0.0]), 0.6) == pytest.approx([0.8, 0.48, 0.288])
    assert year_hours.quantile_scores(4) == pytest.approx([-1.1503, -0.3186, 0.3186, 1.1503], abs=1e-4)
    found = year_hours.scores()
    january = sorted(year_hours.quantile_scores(31))
    for series in (found.temperature, found.clearness, found.dew_point, found.wind):
        assert len(series) == 365 and sorted(series[:31]) == pytest.approx(january)


def test_every_row_of_a_table_of_facts_is_read_by_its_name():
    assert all(fact(r["name"]) == float(r["value"]) for r in rows("pipes"))
    assert all(heat_pump.error_band(r["what"]) == (float(r["low"]), float(r["high"])) for r in rows("estimate_errors"))


# ---- the unit and the shell


def test_shapes_of_the_unit_stand_at_their_temperatures():
    outdoor, capacity, power = heat_pump._cold_shape()
    table = {
        round((float(r["outdoor_F"]) - 32) / 1.8, 6): (float(r["capacity_ratio"]), float(r["power_ratio"]))
        for r in rows("cold_shape")
    }
    assert {round(float(t), 6): (exp(c), exp(p)) for t, c, p in zip(outdoor, capacity, power, strict=True)} == {
        t: (pytest.approx(c), pytest.approx(p)) for t, (c, p) in table.items()
    }
    for r in rows("wet_bulb_cooling"):
        found = at_site.wet_bulb_factors((float(r["indoor_wet_bulb_F"]) - 32) / 1.8, (67.0 - 32) / 1.8)
        at_rating = next(x for x in rows("wet_bulb_cooling") if float(x["indoor_wet_bulb_F"]) == 67.0)
        assert found == pytest.approx(tuple(float(r[c]) / float(at_rating[c]) for c in ("capacity_ratio", "power_ratio")))


@pytest.mark.parametrize(("name", "hours"), [("average", 2066.0), ("warmer", 1336.0), ("colder", 2465.0)])
def test_equivalent_hours_of_a_season(name, hours):
    """Hours at the design load that take the heat of all bins, as EN 14825 prints them (from memory)."""
    assert round(seasonal.equivalent_hours(seasonal.season(name))) == hours


def test_a_tanks_recovery_by_hand():
    """4,500 W lift a cubic metre (4.19 MJ/K) by 40 K in 37,200 s; by nothing it has no answer."""
    assert recovery_flow(4500.0, 1.0, 40.0) == pytest.approx(1 / 37_200, rel=0.01)
    assert recovery_flow(4500.0, 0.5, 40.0) == pytest.approx(recovery_flow(2250.0, 1.0, 40.0))
    assert recovery_flow(4500.0, 1.0, 0.5) == pytest.approx(80 * recovery_flow(4500.0, 1.0, 40.0))
    with pytest.raises(ValueError, match="a rise above zero"):
        recovery_flow(4500.0, 1.0, 0.0)


def test_the_load_factors_sum_by_hand():
    lines = (Line("wall", 10.0, 20.0, 5.0), Line("window", 2.0, 100.0, 60.0))
    page = LoadFactorSum(
        lines=lines, internal_W=150.0, internal_latent_W=40.0, air_latent_W=60.0, duct_heating=0.1, duct_cooling=0.2
    )
    assert (page.heating_W, page.cooling_W, page.latent_W) == pytest.approx((400.0 * 1.1, (170.0 + 150.0) * 1.2, 100.0))
    assert slab_cooling_factor(0.08) == pytest.approx(1.9 - 1.4 / 0.2)


def test_panes_and_films_by_hand():
    """A pane's absorbed sun goes in by the resistance outward of its middle; films as ISO 6946 prints them (0.10, 0.13, 0.17)."""
    optics = (0.5, 0.2, 0.1, 0.05)
    assert double_pane_shgc(optics, 2.0, 20.0, 8.0, 0.0) == pytest.approx(0.5 + 0.1 * 2 / 20 + 0.05 * (1 - 2 / 8))
    assert double_pane_shgc(optics, 2.0, 20.0, 8.0, 0.01) == pytest.approx(
        0.5 + 0.1 * 2 * (0.05 + 0.005) + 0.05 * (1 - 2 * (0.125 + 0.005))
    )
    assert hemispherical_mean(lambda cosine: cosine) == pytest.approx(2 / 3) and hemispherical_mean(
        np.ones_like
    ) == pytest.approx(1.0)
    assert [round(inside_resistance(d), 2) for d in ("up", "horizontal", "down")] == [0.10, 0.13, 0.17]


def test_psi_over_the_spacing_is_what_a_member_adds():
    def psi(W_mK, spacing_m):
        detail = SimpleNamespace(spacing_m=spacing_m, dimensions="internal")
        return made(BridgeAnswer, detail=detail, transmittance=SimpleNamespace(psi=lambda _: W_mK)).added_u_value_W_m2K

    assert psi(0.05, 0.4) == pytest.approx(0.125) and psi(0.05, None) is None and psi(None, 0.4) is None


def test_the_hour_in_which_the_heat_pump_stands_still():
    """A 3 kW heater at 240 V is 12.5 A of both legs; on one leg of 120 V 25 A, which a continuous load may not take of 30."""
    found = standing_still(Supply(cord="30 A 120/240 V", appliances=[]), -30.0, -25.0, 4.0, 3000.0, 0.2, 230.0)
    assert (found.outdoor_C, found.stops_below_C, found.hours, found.heater_W) == (-30.0, -25.0, 4.0, 3000.0)
    assert found.smallest_cord == "30 A 120/240 V" and found.hour.verdict == "pass" and found.on_plan.verdict == "pass"
    less = standing_still(Supply(cord="30 A 120 V", appliances=[]), -30.0, -25.0, 4.0, 3000.0, 0.2, 115.0, "30 A 120/240 V")
    assert less.hour.verdict != "pass" and less.on_plan.verdict == "pass"


def test_a_dehumidifiers_heat_in_the_meter_by_hand():
    """100 W of it beside 1,000 W of cooling take a tenth more of the unit's watts; beside heat they spare as much; 50 W tell
    nothing."""
    damp = SimpleNamespace(heat_W=np.array([100.0, 100.0, 100.0, 900.0, 100.0, 100.0]))
    series = {
        "cool_W": np.array([1000.0, 0.0, 0.0, 0.0, 50.0, 0.0]),
        "heat_W": np.array([0.0, 500.0, 0.0, 300.0, 0.0, 50.0]),
        "unit_power_W": np.full(6, 300.0),
    }
    assert toll_W(damp, SimpleNamespace(series=series)).tolist() == pytest.approx([30.0, -60.0, 0.0, -300.0, 0.0, 0.0])


def test_hours_of_the_second_heater_by_hand():
    """More than a watt, in the months the house stands there, of the way of standing with more of them."""
    ways = [SimpleNamespace(series={"backup_W": np.where(np.arange(8760) < n, w, 0.0)}) for n, w in ((100, 500.0), (300, 1.0))]
    load = SimpleNamespace(year=SimpleNamespace(ways=ways))
    assert _heater_h(load, tuple(range(1, 13))) == 100.0 and _heater_h(load, (2,)) == 0.0


def test_the_sun_outside_the_air_is_nearest_in_january():
    """1,367 W/m2 and 3.3 % more on the third day of the year, as much less half a year on."""
    assert float(extraterrestrial_beam(3)) == pytest.approx(1367 * 1.033) and float(
        extraterrestrial_beam(3 + 182.5)
    ) == pytest.approx(1367 * 0.967)
    assert [s.tilt_deg for s in flat_roof("a", 3.0, 2.0)] == [0.0] and flat_roof("a", 3.0, 2.0)[0].area_m2 == 6.0


@pytest.mark.parametrize("where", ["Denver, CO", "Duluth, MN"])
def test_a_plan_is_its_units_own_figures(where):
    """First cost by the prices of what it names; heat at the design cold within its band, at altitude too; months as they are."""
    found = size_house(load_house(), find_place(where), walk=False)
    plan, chosen = found.plan, found.recommended
    by_hand = price(
        chosen.unit, np.array([plan.heater_W]), np.array([plan.supply]), found.house.supply.cord, bool(plan.dehumidifier_W), 0.0
    )
    assert plan.first_cost_usd == by_hand[0] and plan.unit == chosen.unit.name and plan.heater_W == chosen.backup_W
    low, high = chosen.max_heat_band_W
    assert low <= chosen.max_heat_at_design_W <= high < 1.5 * low
    hot, damp = summer_days(found.designer)
    assert damp.month == int(np.argmax(dew_points(found.place))) + 1 and hot.month == found.designer.cooling.month


def test_a_case_in_one_of_its_places_is_the_case_of_that_place():
    """Worked out at once or one by one, taken apart or asked alone: the same loads."""
    places = tuple(find_place(p) for p in ("Denver, CO", "Duluth, MN", "Houston, TX", "Seattle, WA"))
    case = Case(house=load_house(), places=places)
    many = case.at_once({})
    assert many.known is not None and case.known is None
    for k in (0, 3):
        alone = Case(house=case.house, places=(places[k],)).loads
        for one in (case.at(k), many.at(k)):
            assert one.places == (places[k],)
            assert (float(one.loads.heating_W[0]), float(one.loads.sensible_W[0])) == pytest.approx(
                (float(alone.heating_W[0]), float(alone.sensible_W[0])), rel=2e-3
            )
    assert many.at(1, {"G12-C-230": load_units()["G12-C-230"]}).shelf.keys() == {"G12-C-230"}


def test_the_shelfs_next_better_part_is_the_least_that_saves_a_tenth():
    shelf = {n: a.u_value_W_m2K for n, a in load_assemblies().items() if a.kind == "wall"}
    for name, u in shelf.items():
        better = next_better(name, "wall")
        enough = [x for x in shelf.values() if x <= 0.9 * u]
        assert (better is None) == (not enough) and (better is None or shelf[better] == max(enough))


def test_the_monotone_cubic_is_scipys():
    rng = np.random.default_rng(7)
    for scale in (1.0, 0.1):
        for count in (3, 4, 9):
            x, y = np.cumsum(rng.random(count) + 0.1), scale * rng.normal(size=count)
            at = np.linspace(x[0], x[-1], 50)
            assert year_hours.pchip(x, y, at) == pytest.approx(PchipInterpolator(x, y)(at), abs=1e-12)


def test_a_label_scales_every_part_of_a_glazing():
    row = glazing(glazing_names()[0])
    half = scaled(row, row.shgc[0] / 2.0)
    assert half.shgc == pytest.approx([s / 2.0 for s in row.shgc])
    assert (half.shgc_diffuse, half.inward) == pytest.approx((row.shgc_diffuse / 2.0, row.inward / 2.0))


def test_at_most_two_loads_are_paused():
    """30 A at 120 V for short times: 12 A each; of four, one must wait; of five, two; of six, three, which is too much to ask."""
    loads = tuple(Load(name=f"load {k}", amperes=12.0, legs=1, watts=1440.0, continuous=False) for k in range(6))
    cord = cord_named("30 A 120 V")
    assert loads_to_pause("cold", loads[:2], (), cord) == ()
    assert [len(loads_to_pause("cold", loads[:n], (), cord)) for n in (3, 4)] == [1, 2]
    assert loads_to_pause("cold", loads[:5], (), cord) is None


def test_places_of_the_room_in_the_heat():
    house, place = load_house(), find_place("Houston, TX")
    plain = hot_places(designer_of(house_model(house, place.elevation_m), place))
    loft = hot_places(designer_of(house_model(load_house(changes=["loft.area=4 m2"]), place.elevation_m), place))
    assert plain.loft_C is None and loft.loft_C > loft.room_C == house.set_points.cooling < loft.bath_C


def test_places_of_the_room_in_the_cold():
    """A loft 3 K warmer than the room, a floor colder than it; the month's outdoor water is that of its own dew point."""
    house, place = load_house(changes=["loft.area=4 m2", "loft.warmer_by=3 K"]), find_place("Duluth, MN")
    d = designer_of(house_model(house, place.elevation_m), place)
    found = cold_places(d)
    assert found.loft_C == pytest.approx(house.set_points.heating + 3.0) and found.floor_C < found.room_C > found.bath_C
    july = float(moist_air.humidity_ratio_from_dew_point(dew_points(place)[6], moist_air.pressure_at_altitude(place.elevation_m)))
    assert comfort._mean_ratio(d, 7) == pytest.approx(july)


def test_an_unvented_heater_wets_the_winter_alone():
    place = find_place("Duluth, MN")
    plain, wet = (
        air_of_house(house_model(load_house(changes=c), place.elevation_m), place).indoor_Pa
        for c in ((), ("living.unvented_heater=1 kW",))
    )
    assert wet[0] > plain[0] + 50.0 and wet[6] == pytest.approx(plain[6])


def test_a_bill_says_weekdays_only_where_prices_ask_for_them():
    night = dict(name="night", price=0.1, from_hour=22, to_hour=6)
    said = [
        bill(np.ones(8760), Tariff(kind="time-of-use", price=0.2, periods=(PricePeriod(**night, **days),))).assumption
        for days in ({}, {"days": "weekdays"})
    ]
    assert ["weekdays" in words for words in said] == [False, True]


@pytest.mark.parametrize(
    ("carried", "supply", "hangs_on"), [(True, "50 A 120/240 V", 0), (False, None, 0), (False, "50 A 120/240 V", 1)]
)
def test_a_house_hangs_on_its_own_cord_where_that_carries_the_plan(carried, supply, hangs_on):
    house = load_house()
    plan = SimpleNamespace(supply_carried=carried, supply=supply)
    found = made(SizeResult, case=SimpleNamespace(house=house), planned=SimpleNamespace(first=plan)).hangs_on
    assert found.cord == (house.supply.cord, supply)[hangs_on]


def test_hours_of_months_and_of_the_lit_part_of_an_hour():
    january, december = in_months([1]), in_months((12,))
    assert january[:744].all() and not january[744:].any() and december[-744:].all() and not december[:-744].any()
    middles = sunlit_middle_deg([0.0, 90.0, -90.0, 0.0, 170.0], [90.0, 92.0, 85.0, 3.0, 90.0])
    assert middles == pytest.approx([0.0, (82.5 + 92.0) / 2, (-85.0 - 82.5) / 2, 0.0, 170.0])


def test_a_line_between_two_sides_follows_newton():
    """Half a watt per metre and kelvin in all, 1,800 J/mK: in an hour it keeps 1/e of its distance from the weighted side."""
    found = line_temperature_C(10.0, [20.0, 20.0], [-10.0, -10.0], 0.3, 0.2, 1800.0, 3600.0)
    assert found == pytest.approx([8.0 + 2.0 * exp(-1.0), 8.0 + 2.0 * exp(-2.0)])


def test_what_is_an_upright_rectangle():
    shapes = {((0, 0), (2, 0), (2, 1), (0, 1)): True, ((0, 0), (2, 0), (2, 1), (1, 1)): False, ((0, 0), (2, 0), (2, 1)): False}
    shapes |= {((0, 1), (1, 0), (2, 1), (1, 2)): False, ((0, 0), (2, 0), (2, 1), (1, 1), (0, 1)): False}
    assert all(
        Region(tuple((float(x), float(y)) for x, y in corners)).is_rectangle is upright for corners, upright in shapes.items()
    )


@pytest.mark.parametrize(("breaker_A", "awg"), [(15, 14), (15.1, 12), (20, 12), (21, 10), (30, 10), (31, 8)])
def test_the_conductor_of_a_breaker(breaker_A, awg):
    """14, 12 and 10 AWG copper behind 15, 20 and 30 A (NEC 240.4(D), from memory)."""
    assert circuits._gauge(breaker_A) == awg


def test_five_days_make_a_line_and_its_interval_lies_evenly_about_it():
    x = np.array([10.0, 12.0, 15.0, 19.0, 20.0])
    found = loss_line(x, 80.0 * x + np.array([5.0, -5.0, 3.0, -4.0, 1.0]))
    low, high = found.interval_W_K
    assert low < found.slope_W_K < high and low + high == pytest.approx(2.0 * found.slope_W_K)


def test_below_its_lowest_a_unit_is_reckoned_as_at_it():
    case = Case(house=load_house(), places=(find_place("Duluth, MN"),))
    there = Facts(load_units()["G12-C-230"], case.loads, Rooms(case.house, case.sites)).there
    lowest, far, mild = (float(there.most_heat_W(np.array([t]))[0]) for t in (there.coldest_running_C, -60.0, 0.0))
    assert far == lowest < mild


def test_an_empty_houses_heating_is_unit_heater_and_pan():
    uses = {
        "heating": np.full(12, 10.0),
        "backup heat": np.full(12, 5.0),
        "pan heater": np.full(12, 1.0),
        "cooling": np.full(12, 99.0),
    }
    assert outage._heating_kWh(SimpleNamespace(electricity_kWh=uses)) == 12 * 16.0


def test_an_assembly_names_its_mould_risk_only_where_there_is_one():
    spot = SimpleNamespace(name="stud")

    class Answer(MoistureAnswer):
        at_risk = (spot,)

    class Sound(MoistureAnswer):
        at_risk = ()

    said = [made(kind, needed_factor=0.8)._surface() for kind in (Answer, Sound)]
    assert "mould risk at the stud" in said[0] and "stay under" in said[1]


def test_the_time_series_says_whose_conduction_series_it_takes():
    said = [" ".join(map(str, time_series_house._choices("room", MethodOutside(own_layers=own)))) for own in (False, True)]
    assert ["own layers" in words for words in said] == [False, True]
