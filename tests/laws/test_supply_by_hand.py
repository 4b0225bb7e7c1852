"""The supply, its money and what hangs on it, each figure worked out beside its assertion."""

from dataclasses import replace
from math import exp
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.answers.year import cord_year
from heatcalc.answers.year.on_cord import _machines, _run_min, _shared
from heatcalc.inputs.supply.supply_record import Appliance, PricePeriod, Solar, Supply, Tariff
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model.household import WaterYear
from heatcalc.supply.charge import _box_room
from heatcalc.supply.circuits import _shared as _shared_circuit
from heatcalc.supply.coincidence import Situation, _loads, _remark, wired_leg
from heatcalc.supply.cord import Load, cord_named, cords_by_size, loads_to_pause
from heatcalc.supply.money import every_use, hour_prices
from heatcalc.supply.off_grid import _walk, array_area_m2
from heatcalc.supply.overload import GUESS_RUN_MIN, HouseLoads, TwoState, TwoStateLoad, opens_after, overload
from heatcalc.supply.supply_check import _hours, _remarks, _swap, house_loads, standing_still

HOURS = np.ones(8760)
ALWAYS = np.ones(288)
THIRTY = cord_named("30 A 120 V")


def on_one_leg(*loads, **more):
    return HouseLoads(tuple((x, (x.amperes, 0.0)) for x in loads), (), **({"pairs": (), "priority": ()} | more))


def test_trips_of_two_loads_by_hand():
    """20 A and 25 A, each on for half of every hour, on 30 A: together 1.5 times the rating, a quarter of the time.

    A load of `run_min` switches on share x (1 - share) x 60/run_min times an hour: 3 and 0.5 here, half of them while the other
    is on: 1.75 an hour. A quarter of an hour over 1.75 is 8.57 min each, of which e^-7 last the hour that UL 489 allows at 1.35.
    """
    found = overload(on_one_leg(TwoState("kettle", 20.0, 0.5 * ALWAYS, 5.0), TwoState("tank", 25.0, 0.5 * ALWAYS, 30.0)), THIRTY)
    assert found.minutes_above_rating == pytest.approx(8760 * 15)
    assert found.trips_low == pytest.approx(8760 * 1.75 * exp(-7.0))
    assert found.trips_high == pytest.approx(8760 * 1.75 * exp(-opens_after(1.35, "earliest") / 60 / (15 / 1.75)))


def test_what_a_battery_lacks_by_hand():
    """1,000 Wh full: 400 left, then 200 short; 300 of sun less 400; full again at most; half a watt-hour short in the end."""
    short = _walk([-600.0, -600.0, 300.0, -400.5, 5000.0, -999.5, -1.0], 1000.0)
    assert short.tolist() == [0.0, 200.0, 0.0, 100.5, 0.0, 0.0, 0.5]


def test_the_roof_that_modules_cover():
    assert array_area_m2(Solar(watts="2 kW")) == pytest.approx(10.0)  # 200 W/m2: common practice, no source


def test_prices_of_a_tariff_whose_nights_are_free():
    """An hour costs what its period says; on weekdays alone five sevenths of it, nothing being the usual price."""
    day = dict(name="day", price=0.35, from_hour=6, to_hour=22)
    for days, price in (("all", 0.35), ("weekdays", 0.25)):
        prices = hour_prices(Tariff(kind="time-of-use", price=0.0, periods=(PricePeriod(**day, days=days),)))
        assert prices[:, 6:22] == pytest.approx(price) and not prices[:, :6].any() and not prices[:, 22:].any()


def test_a_use_has_a_row_of_months():
    """1 kW and 3 kW all year at one price: 744 and 2,232 kWh in January, a quarter and three quarters of the bill."""
    found = every_use({"a": 1000.0 * HOURS, "b": 3000.0 * HOURS}, {}, Tariff(price=0.2), "VT")
    a, b = found.rows
    assert (a.month_kWh[0], b.month_kWh[0], a.month_kWh[1]) == pytest.approx((744.0, 2232.0, 672.0))
    assert (a.year_cost, b.year_cost) == pytest.approx((0.2 * 8760, 0.6 * 8760))


@pytest.mark.parametrize(
    ("heater_W", "smallest"), [(1500.0, "30 A 120 V"), (3000.0, "30 A 120/240 V"), (6000.0, "50 A 120/240 V")]
)
def test_the_supply_that_a_heater_alone_needs(heater_W, smallest):
    """1.5 kW are 12.5 A of 120 V, 3 kW 12.5 A and 6 kW 25 A of two legs; of 30 A a load that lasts may take 24."""
    volts = 115.0
    found = standing_still(Supply(cord="30 A 120 V", appliances=[]), -30.0, -25.0, 4.0, heater_W, 0.0, volts)
    assert found.smallest_cord == smallest


@pytest.mark.parametrize(("count", "said"), [(4, False), (5, True)])
def test_a_park_trailers_circuits(count, said):
    """The heat pump's is one of the two to five that a 30 A, 120 V cord is for."""
    loads = tuple(Appliance(name=f"load {k}", watts="100 W", volts=120) for k in range(count))
    words = _remarks(Supply(cord="30 A 120 V", appliances=loads), "park model")
    assert any(f"with {count + 1} circuits" in w for w in words) is said


def test_a_house_without_a_heat_pump_has_none_on_its_supply():
    """240 V of the pump on two legs; 1,440 W of heater are 12 A of one; a dryer of the plan unless the house has its own."""
    bare = Supply(appliances=[])
    assert house_loads(bare, 0.0, 230.0, 0.0, "cold", THIRTY) == ()
    names = {x.name: (x.amperes, x.legs) for x in house_loads(bare, 9.0, 230.0, 1440.0, "cold", THIRTY, 240.0)}
    assert names == {"heat pump": (9.0, 2), "backup heat": (12.0, 1), "dehumidifier": (2.0, 1)}


def test_the_heater_is_the_colds_and_the_dryer_the_heats():
    loads, _ = _hours(Supply(appliances=[]), {"cold": 9.0, "hot": 6.0}, 115.0, 1440.0, THIRTY, 240.0)
    assert {season: [x.name for x in some] for season, some in loads.items()} == {
        "cold": ["heat pump", "backup heat"],
        "hot": ["heat pump", "dehumidifier"],
    }


def test_what_a_heater_takes_up_of_a_leg():
    """1,440 W are 12 A, taken up as 15 by a load that lasts (125 %); 2,880 W at 240 V the same on both legs of two."""
    bare, volts = Supply(appliances=[]), np.array([115.0])
    for legs, heater_W, taken, two in ((1, 1440.0, 15.0, False), (2, 2880.0, 15.0, True), (1, 2880.0, 30.0, False)):
        names, required, both = _loads(bare, legs, Situation(name="cold", unit_A=8.0, heater_W=heater_W), volts)
        at = names.index("backup heat")
        assert required[at] == pytest.approx(taken) and bool(both[at][0]) is two and required[names.index("heat pump")] == 10.0


def test_two_large_loads_of_one_circuit_take_turns():
    kettle, toaster, fridge = (
        Appliance(name=n, watts=w, volts=120, continuous=lasts)
        for n, w, lasts in (("kettle", "1200 W", False), ("toaster", "900 W", False), ("fridge", "120 W", True))
    )
    for group, turns, load_A in (([kettle, toaster], True, 10.0), ([kettle, fridge], False, 11.0)):
        line = _shared_circuit("kitchen 1", group, 20.0, "a code")
        assert ("one of its large loads at a time" in line.note) is turns and line.load_A == pytest.approx(load_A)
        assert "TOO SMALL" not in line.note
    assert "TOO SMALL: needs 10.0 A" in _shared_circuit("kitchen 1", [kettle], 9.0, "a code").note


def test_backup_heat_is_the_last_load_to_pause():
    """Three of 12 A on 30 A: one waits, and not the heater though it is as small as the others; alone with the pump it must."""
    three = tuple(Load(name=n, amperes=12.0, legs=1, watts=1440.0, continuous=False) for n in ("backup heat", "kiln", "oven"))
    assert loads_to_pause("cold", three, (), THIRTY) == ("kiln",)
    pump = replace(three[1], name="heat pump")
    assert loads_to_pause("cold", (pump, three[0], replace(three[2], amperes=7.0, watts=100.0)), (), THIRTY) == ("backup heat",)


def test_a_conductor_too_small_for_its_breaker_is_said():
    assert "14 AWG is too small for 30 A; within" in _remark(0.03, 15.0, 14, THIRTY)
    assert _remark(0.031, 30.0, 10, THIRTY) == "above the advisory 3 %: a shorter cord or a larger conductor"


def test_the_leg_of_an_appliance_is_its_own():
    listed = [Appliance(name=n, watts="100 W", volts=120, leg=k) for n, k in (("a", 1), ("b", 2), ("c", None))]
    assert [wired_leg(Supply(cord="30 A 120/240 V", appliances=listed), n) for n in ("a", "b", "c", "d")] == [1, 2, 0, 0]


def test_the_supply_that_an_oven_would_need():
    """9.6 kW are 40 A of two legs: 50 A beside nothing else; 12 kW of it are beyond every supply proposed up to 50 A."""
    bare, beside = Supply(cord="30 A 120 V", appliances=[]), {"cold": (), "hot": ()}
    oven = lambda watts: Appliance(name="oven", watts=watts, volts=240, continuous=False)  # noqa: E731
    assert _swap(oven("4800 W"), bare, beside) == "30 A 120/240 V" and _swap(oven("9600 W"), bare, beside) == "50 A 120/240 V"
    assert _swap(oven("11500 W"), bare, beside) not in ("30 A 120/240 V", "30 A 120 V")


def test_a_closed_box_is_thinner_by_its_two_sides():
    """2.3 x 2.0 x 2.1 m outside, 0.15 m a side: 2.0 x 1.7 x 1.8 m."""
    found = _box_room(SimpleNamespace(name="bedroom", length=2.3, width=2.0, height=2.1))
    assert (found.area, found.volume) == pytest.approx((3.4, 6.12))


# ---- a year's loads on the legs


def test_how_long_a_load_runs_at_a_time():
    assert _run_min("water heater") == 30.0  # table appliances_electric
    assert _run_min("kiln") == GUESS_RUN_MIN == 15.0


@pytest.mark.parametrize(("volts", "legs"), [(115.0, 1), (200.0, 2), (230.0, 2)])
def test_a_unit_stands_on_the_legs_of_its_volts(volts, legs):
    """600 W while it runs half of each hour: 1,200 W at its volts and the power factor."""
    way = SimpleNamespace(
        series={"unit_power_W": 500.0 * HOURS}, uses_W={"pan heater": 100.0 * HOURS, "backup heat": HOURS}, run_share=0.5 * HOURS
    )
    ((pump, on),) = _machines(way, replace(load_units()["G12-C-230"], volts=volts), 0.0, THIRTY)
    assert on == legs and pump.amperes[0] == pytest.approx(1200.0 / volts, rel=0.1) and pump.share[0] == 0.5


def test_a_row_is_shared_by_minutes_then_by_watts():
    """A row of half a watt goes to the kettle alone, as much as there is; what a kettle leaves goes to the others by watts."""
    kettle = Appliance(name="microwave", watts="1000 W", volts=120, minutes=1.0)
    lamps = tuple(Appliance(name=n, watts=w, volts=120) for n, w in (("lamp", "30 W"), ("screen", "90 W")))
    living = SimpleNamespace(people=2)
    full = _shared([kettle, *lamps], living, 1000.0 * ALWAYS)
    asked = full["microwave"] * 1000.0
    assert full["lamp"][12] == full["screen"][12] == 1.0 and asked.max() > 1.0
    small = _shared([kettle.model_copy(update={"watts": 5.0})], living, 1000.0 * ALWAYS)
    assert small["microwave"].tolist() == full["microwave"].tolist()  # less than a watt on average is as often
    for row_W in (0.5, 60.0):
        found = _shared([kettle, *lamps], living, row_W * ALWAYS)
        assert found["microwave"] == pytest.approx(np.minimum(asked, row_W) / 1000.0)
        assert found["lamp"] == pytest.approx(np.maximum(row_W - asked, 0.0) / 120.0)


def test_the_suns_year_has_twelve_months():
    solar = SimpleNamespace(supply=SimpleNamespace(solar=Solar(watts="2 kW")))
    roof = [SimpleNamespace(kind=k, area_m2=a) for k, a in (("roof", 8.0), ("roof", 6.0), ("wall", 40.0))]
    year = SimpleNamespace(house=SimpleNamespace(model=SimpleNamespace(house=solar, opaque=roof)))
    found = cord_year._sun(year, 100.0 * HOURS)
    assert len(found.month_kWh) == 12 and found.month_kWh[:2] == pytest.approx((74.4, 67.2)) and found.roof_m2 == 14.0


def test_no_lock_out_is_offered_where_nothing_is_over():
    """A house on gas on the largest supply proposed: nothing to swap, nothing larger; with two loads over it, their lock-out."""
    living = SimpleNamespace(cooking="propane", water_heater="instantaneous propane")
    house, largest = SimpleNamespace(living=living), [c for c in cords_by_size() if c.proposed][-1]
    more = dict(year=None, house=house, brings=None, energy=None, unit=None, backup_W=0.0, smaller=None, cord=largest)
    light = on_one_leg(TwoState("lamp", 1.0, ALWAYS, 60.0))
    heavy = on_one_leg(*(TwoState(n, 0.6 * largest.rating_A, 0.5 * ALWAYS, 30.0) for n in ("kiln", "tank")))
    assert list(cord_year._remedies(loads=light, **more)) == []
    assert [r.words for r in cord_year._remedies(loads=heavy, **more)] == ["lock out tank while kiln runs"]


def test_a_tank_that_waits_for_the_range_runs_cold():
    """Each hour at six the range runs; an empty-walled tank that then may not heat gives no hot water: 365 hours, one in 24."""
    six = np.where(np.arange(288) % 24 == 18, 1.0, 0.0)
    loads = [TwoState("range", 20.0, six, 30.0), TwoState("water heater", 20.0, 0.5 * ALWAYS, 30.0)]
    pairs = (("range", "water heater"),)
    water = WaterYear(
        mains_C=10.0 * HOURS,
        drawn_W=1000.0 * HOURS,
        need_W=1000.0 * HOURS,
        heat_W=1000.0 * HOURS,
        most_W=2000.0,
        efficiency=1.0,
        fuel="electricity",
        drawable_J=0.0,
    )
    middle = SimpleNamespace(
        coldest_C=(18.0, 4), hours={"too cold": 2.0}, electricity_kWh={"backup heat": np.ones(12)}, run_share=0.3 * HOURS
    )
    year = SimpleNamespace(middle=middle, household=SimpleNamespace(water=water))
    supply = Supply(appliances=[Appliance(name=n, watts="2400 W", volts=120) for n in ("range", "water heater")], lock_outs=pairs)
    found = cord_year._held(year, supply, None, None, 0.0, on_one_leg(*loads, pairs=pairs, priority=("range",)))
    assert found.cold_water_h == pytest.approx(365.0) and found.cold_water_share == pytest.approx(1 / 24)
    assert found.hours_held == {"range": 0.0, "water heater": pytest.approx(0.5 * 365)}
    assert (found.coldest_C, found.too_cold_h, found.heater_kWh) == ((18.0, 18.0), (2.0, 2.0), (12.0, 12.0))


def test_the_heat_pump_as_a_machine_of_its_hours():
    """A machine above the rating by itself in one hour of the year is an hour above it, and its share counts."""
    amperes = np.where(np.arange(8760) == 18, 31.0, 10.0)
    pump = TwoStateLoad("heat pump", amperes, 0.5 * HOURS, 20.0)
    found = overload(HouseLoads((), ((pump, (1.0, 0.0)),), (), ()), THIRTY)
    assert found.minutes_above_rating == pytest.approx(30.0) and found.minutes_above_80 == pytest.approx(30.0)
    assert (found.worst_hour, found.worst_chance) == (18, pytest.approx(0.5))
