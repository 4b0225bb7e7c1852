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
from heatcalc.supply.cord import cord_named, cords_by_size
from heatcalc.supply.money import every_use, hour_prices
from heatcalc.supply.off_grid import _walk, array_area_m2
from heatcalc.supply.overload import GUESS_RUN_MIN, HouseLoads, TwoState, TwoStateLoad, opens_after, overload
from heatcalc.supply.supply_check import _remarks, standing_still

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
