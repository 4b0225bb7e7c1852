"""What the answers about loads, the year and the supply show adds up, and each of their parts is the thing it names."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heatcalc.answers.methods.design_loads import LOFT_K, loads_of
from heatcalc.answers.year.cord_year import WITHOUT_WATER, supply_of, with_still
from heatcalc.answers.year.on_cord import duties_of, hot_water_of, house_loads_of
from heatcalc.answers.year.outage import Unoccupied
from heatcalc.answers.year.run_load_answer import run_load
from heatcalc.answers.year.year_answer import year_of_plan
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import size_house
from heatcalc.supply.cord import Load, cord_named, cords_by_size
from heatcalc.supply.supply_check import StandingStill

MONTHS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
OFF_GRID = ('supply.battery.capacity="10 kWh"', 'supply.solar.watts="2 kW"', 'supply.generator.rated="5 kW"')


@cache
def sized(*changes, walk=False):
    return size_house(load_house(changes=changes), find_place("Burlington, VT"), walk=walk)


@cache
def loads():
    return loads_of(load_house(changes=["loft.area=4 m2"]), find_place("Burlington, VT"))


@cache
def supply():
    return supply_of(sized('supply.lock_outs=[["heat pump", "water heater"]]', *OFF_GRID))


@cache
def year():
    return year_of_plan(sized(walk=True))


# ---- design loads


def test_one_thing_changed_under_the_floor_and_under_the_roof():
    """The case that is the house's own gives the house's own load, and no other does."""
    own_W = loads().designer.heating().load_W
    for cases in (loads().floors, loads().loft):
        assert [c.heating_W == pytest.approx(own_W, rel=1e-9) for c in cases] == [c.own for c in cases] and sum(
            c.own for c in cases
        ) == 1
        assert all(0.0 < c.part_W < c.heating_W for c in cases)
    cold, warm = loads().loft
    assert warm.own and warm.part_W > cold.part_W and str(warm.name) == f"{LOFT_K:.1f} K warmer under the roof"
    assert loads_of(load_house(), find_place("Burlington, VT")).loft == ()


def test_the_peak_cells_hold_the_design_load():
    d, cells = loads().designer, loads().peaks
    assert len(cells) == 8 * len(d.months_that_can_peak()) and {c.month for c in cells} == set(d.months_that_can_peak())
    assert max(c.peak_W for c in cells) == pytest.approx(max(d.cooling.peak_sensible_W, max(c.peak_W for c in cells)))
    assert all(c.largest_W > 0.0 and 1 <= c.peak_hour <= 24 for c in cells)
    own = next(c for c in cells if (c.month, c.front_faces) == (d.cooling.month, d.cooling.front_faces))
    parts = {name: watts[own.peak_hour - 1] for name, watts in d.cooling.components_W.items()}
    assert (own.largest, own.largest_W) == (max(parts, key=parts.get), pytest.approx(max(parts.values()), rel=1e-6))


def test_the_air_of_winter_and_summer_is_that_of_the_conditions():
    d = loads().designer
    points, c = d.model.house.set_points, d.conditions
    winter, summer = loads().air_winter, loads().air_summer
    assert winter.sensible_W == pytest.approx(winter.heat_loss_W_K * (points.heating - c.heating_C))
    assert summer.sensible_W == pytest.approx(summer.heat_loss_W_K * (points.cooling - c.cooling_1_C))
    assert winter.latent_W == 0.0 and -1000.0 < summer.latent_W < 0.0  # a loss: moist air brings latent heat in
    assert winter.air_changes_per_h > summer.air_changes_per_h


def test_the_other_parts_of_the_design_loads_are_those_of_the_house_and_its_unit():
    r = loads()
    assert sum(row.loss_W for row in r.sheet) > 0.5 * r.designer.heating().load_W and r.unit.name in {
        w.source.split(" ")[0] for w in r.pick_up.ways
    }
    assert r.comparison.designer is r.designer and r.year.degree_day_kWh > 0.0
    humid, mild = r.drying
    assert humid.outdoor_mean_C > 15.0 and 0.3 < humid.settles_at < 0.98 and 0.0 <= mild.run_share <= 1.0
    assert r.screening.zone and len(r.exhausts) >= 2
    assert [t for _, t, _ in r.winter] == [pytest.approx(min(r.designer.place.monthly.mean_C)), r.designer.conditions.heating_C]


# ---- the supply through the year


def test_rows_of_the_year_add_up_and_are_the_whole():
    found = supply().year.energy
    electric = [row for row in found.uses.rows if row.fuel == "electricity"]
    assert sum(r.year_kWh for r in electric) == pytest.approx(found.uses.electricity_kWh)
    assert {r.name: r.year_kWh for r in electric} == {n: pytest.approx(w.sum() / 1000.0) for n, w in found.electric_W.items()}
    assert sum(r.year_cost for r in electric) <= found.uses.electricity_cost + 1e-6
    water = found.water
    assert water.walked_kWh == pytest.approx(found.electric_W["hot water"].sum() / 1000.0)
    assert water.by_hand_kWh == pytest.approx(water.walked_kWh, rel=0.1)
    assert water.coldest_mains_C < 10.0 < water.warmest_mains_C


def test_nothing_that_heats_no_water_has_no_row_of_it():
    from heatcalc.model.household import household_year

    house = load_house(changes=["living.water_heater=none"])
    water = household_year(house.living, np.full(8760, 5.0), 20.0).water
    assert hot_water_of(house.living, water, 20.0) is None


def test_what_is_on_the_legs_is_what_the_rows_use():
    """Share of an hour times watts, summed over a year, is the row's energy where no hour is full; legs share each load once."""
    found = supply().year
    house, energy = supply().sized.house, found.energy
    duties = duties_of(house.supply, house.living, energy)
    heater = next(a for a in house.supply.appliances if a.name == "water heater")
    assert (duties["water heater"].reshape(12, 24).sum(axis=1) * MONTHS).sum() * heater.watts / 1000.0 == pytest.approx(
        energy.electric_W["hot water"].sum() / 1000.0, rel=1e-6
    )
    assert all(d.min() >= 0.0 and d.max() <= 1.0 for d in duties.values())
    way = run_load(sized(walk=True)).load.year.middle
    for name in ("30 A 120/240 V", "30 A 120 V"):
        cord = cord_named(name)
        on = house_loads_of(house.supply, house.living, energy, way, supply().chosen.unit, 1500.0, cord)
        legs = {load.name: legs for load, legs in on.fixed}
        for appliance in house.supply.appliances:
            amperes, both = appliance.watts / appliance.volts, appliance.volts > 200
            assert sum(legs[appliance.name]) == pytest.approx(amperes * (2 if both and cord.legs == 2 else 1)), appliance.name
        assert on.priority[:2] == ("heat pump", "backup heat")
    dried = replace(energy, electric_W=energy.electric_W | {"dehumidifier": np.full(8760, 60.0)}, dehumidifier_W=240.0)
    on = house_loads_of(house.supply, house.living, dried, way, None, 0.0, cord_named("30 A 120 V"))
    (dry,) = [load for load, _ in on.fixed if load.name == "dehumidifier"]
    assert dry.amperes == pytest.approx(2.0) and dry.duty == pytest.approx(np.full(288, 0.25))


def test_remedies_each_better_the_year_by_itself():
    """A larger cord, a smaller unit or another heater never adds minutes above the rating; the next larger is the next larger."""
    found, cord = supply().year, cord_named(supply().sized.hangs_on.cord)
    words = [r.words for r in found.remedies]
    minutes = {r.words: r.minutes_above_rating for r in found.remedies}
    larger = [c for c in cords_by_size() if c.proposed and c.legs * c.rating_A > cord.legs * cord.rating_A]
    assert minutes[larger[0].title] <= found.overload.minutes_above_rating + 1e-6 and not any(
        c.title in words for c in larger[1:]
    )
    assert any("propane water heater" in w for w in words)
    assert any(w.startswith("the next smaller unit, ") for w in words)
    smaller = next(w for w in words if w.startswith("the next smaller unit, ")).split(", ")[1]
    sizes = {c.unit.name: c.unit.size_kBtuh for c in supply().sized.candidates}
    own = supply().chosen.unit
    between = [
        c.unit.name
        for c in supply().sized.candidates
        if sizes[smaller] < c.unit.size_kBtuh < own.size_kBtuh and c.unit.volts == own.volts
    ]
    assert sizes[smaller] < own.size_kBtuh and between == []


def test_what_a_lock_out_of_the_water_heater_costs():
    """The tank waits while the heat pump runs; the heat pump never waits for it, so the room is as warm as before."""
    held = supply().year.held
    assert held.hours_held["water heater"] > 100.0 and held.hours_held.get("heat pump", 0.0) == 0.0
    assert (
        held.coldest_C[0] == held.coldest_C[1]
        and held.too_cold_h[0] == held.too_cold_h[1]
        and held.heater_kWh[0] == held.heater_kWh[1]
    )
    assert 0.0 <= held.cold_water_share < 0.5


def test_sun_and_battery_of_the_year():
    """2 kW of modules give 1,000 to 1,600 kWh per kW in the north-east (common practice, no source), most in summer."""
    found = supply().year
    assert 2.0 * 800 < sum(found.sun.month_kWh) < 2.0 * 1700 and found.sun.month_kWh[6] > 1.5 * found.sun.month_kWh[11]
    assert 5.0 < found.sun.area_m2 < found.sun.roof_m2
    whole, spared = found.stored
    assert spared.what == WITHOUT_WATER and spared.share_of_year > whole.share_of_year and spared.days_short <= whole.days_short
    assert found.evening.rating_A == cord_named(supply().sized.house.supply.cord).rating_A
    assert 0.0 <= found.overload.worst_chance <= 1.0


def test_the_generator_carries_the_hour_in_which_the_heat_pump_stands_still():
    """A heater beside the house's loads: one that 5 kW cannot carry makes the check fail."""
    check, said = supply().supply.generator, supply().sized.house.supply
    assert with_still(check, said, None, 0.0) is check and with_still(None, said, None, 0.0) is None
    cold = supply().supply.cold
    still = StandingStill(outdoor_C=-30.0, stops_below_C=-25.0, hours=3.0, heater_W=1500.0, hour=cold, smallest_cord=None)
    assert with_still(check, said, still, 0.0) is check  # no plan that hangs on a supply
    for watts, holds in ((100.0, True), (9000.0, False)):
        hour = replace(cold, loads=(Load(name="heater", amperes=watts / 120.0, legs=1, watts=watts, continuous=True),))
        found = with_still(replace(check, passes=True), said, replace(still, on_plan=hour), 0.0)
        assert [h.season for h in found.hours] == ["cold", "hot", "still"] and found.passes is holds


# ---- the year


def test_the_year_of_a_plan_closes():
    found, load = year(), run_load(sized(walk=True))
    assert found.plan is found.sized.plan and found.conditioning_kWh == pytest.approx(
        found.year.conditioning_kWh + found.fan_kWh + found.dehumidifier_kWh
    )
    assert load.mean_price == pytest.approx(load.money.year_cost / load.load.year_kWh)
    assert (load.month_hour_W * MONTHS[:, None]).sum() / 1000.0 == pytest.approx(load.load.year_kWh)
    assert found.conditioning_kWh == pytest.approx(load.load.year_kWh, rel=1e-6)
    assert found.needs.annual("heat") == pytest.approx(found.year.annual("heat") + found.year.annual("backup heat"), rel=0.05)
    assert Unoccupied(10.0, 20.0, 300.0, 900.0).saving_kWh == 600.0
    assert found.empty.saving_kWh == found.empty.usual_kWh - found.empty.low_kWh > 0.0
    hand = found.hand
    assert hand.heating_kWh == pytest.approx(hand.conductance_W_K * hand.degree_hours_K_h / 1000.0)
    assert hand.balance_C < found.house.set_points.heating and 1.0 < hand.heating_kWh / found.needs.annual("heat") < 1.5
    highest = [w.cord.highest_A for w in found.year.ways]
    assert found.year.cord.highest_A == max(highest)
    low, high = found.year.span("heat")
    assert low <= found.needs.annual("heat") * 1.2 and low <= high
