"""Laws of the household: rows sum to the meter, tanks give what is drawn, one list of loads."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model.house_model import house_model
from heatcalc.model.household import household_year
from heatcalc.model.year_sums import USES
from heatcalc.model.year_walk import run_year
from heatcalc.physics.supply import electrics

KINDS = ("tank 12 A", "tank 240 V", "heat-pump tank", "propane tank", "instantaneous propane", "none")


@pytest.fixture(scope="module")
def outdoor():
    hours = np.arange(8760)
    return 8.0 - 12.0 * np.cos(2 * np.pi * hours / 8760) - 4.0 * np.cos(2 * np.pi * hours / 24)


@pytest.fixture(scope="module")
def walked():
    place, house = find_place("Bozeman, MT"), load_house("plover-26g", ["site.front_faces=south"])
    return run_year(house_model(house, place.elevation_m), year_at(place), load_units()["G12-S-115"], 1500.0, series=True)


def test_every_row_sums_to_the_meter(walked):
    meter = walked.series["total_power_W"].sum() / 1000.0
    rows = sum(x.sum() for x in walked.household.electric_W.values()) / 1000.0
    uses = walked.electricity_kWh
    assert sum(uses[use].sum() for use in USES) == pytest.approx(meter, rel=1e-9)
    assert uses["hot water"].sum() + uses["rest of the house"].sum() == pytest.approx(rows, rel=1e-12)
    assert walked.electricity_year_kWh == pytest.approx(walked.conditioning_kWh + rows, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_a_heater_gives_what_is_drawn_and_lost(kind, outdoor):
    water = household_year(load_house("plover-26g", [f"living.water_heater={kind}"]).living, outdoor, 21.0).water
    assert water.heat_W.max() <= water.most_W + 1e-6
    if kind != "none":
        assert water.heat_W.sum() == pytest.approx(water.need_W.sum(), rel=1e-3)  # what a tank still owes on New Year's Eve
        assert water.drawn_W.sum() > 0
    assert (kind in ("propane tank", "instantaneous propane")) == (water.fuel == "propane")


@given(st.lists(st.floats(0, 5000), min_size=1, max_size=60), st.floats(100, 6000))
@settings(max_examples=80)
def test_the_queue_of_a_tank_is_the_recursion_hour_by_hour(needs, most):
    given_W, missing = [], 0.0
    for need in needs:
        after = max(missing + need - most, 0.0)
        given_W.append(need - (after - missing))
        missing = after
    assert electrics.heater_hours(np.array(needs), most) == pytest.approx(given_W, abs=1e-6)


def test_a_colder_place_a_larger_household_and_a_weaker_heater_cost_more(outdoor):
    living = load_house("plover-26g").living
    plain = household_year(living, outdoor, 21.0).electric_W["hot water"].sum()
    assert household_year(living, outdoor - 5.0, 21.0).electric_W["hot water"].sum() > plain
    more = living.model_copy(update={"people": 3})
    assert household_year(more, outdoor, 21.0).electric_W["hot water"].sum() > plain
    pump = living.model_copy(update={"water_heater": "heat-pump tank"})
    assert household_year(pump, outdoor, 21.0).electric_W["hot water"].sum() < 0.5 * plain


def test_cold_showers_come_only_when_the_heater_is_held_off(outdoor):
    water = household_year(load_house("plover-26g").living, outdoor, 21.0).water
    always = np.full(8760, water.most_W)
    free = electrics.cold_water_minutes(water.need_W, always, water.drawn_W, water.drawable_J)
    held = electrics.cold_water_minutes(water.need_W, 0.15 * always, water.drawn_W, water.drawable_J)
    assert free.sum() < held.sum() and held.min() >= 0 and held.max() <= 60.0


@pytest.mark.parametrize(
    "said", ["water_heater=propane tank", "cooking=propane", "laundry=vented dryer", "water_heater=tank 240 V"]
)
def test_what_living_says_is_what_hangs_on_the_cord(said):
    names = {a.name for a in load_house("plover-26g", [f"living.{said}"]).supply.appliances}
    usual = {a.name for a in load_house("plover-26g").supply.appliances}
    gone, come = {
        "water_heater=propane tank": ({"water heater"}, set()),
        "cooking=propane": ({"cooking plate"}, set()),
        "laundry=vented dryer": (set(), {"clothes dryer"}),
        "water_heater=tank 240 V": ({"water heater"}, {"water heater 40 gal"}),
    }[said]
    assert usual - names == gone and names - usual == come


def test_a_listed_heater_is_the_household_s_and_own_rows_hang_on_the_cord():
    listed = load_house("plover-26g", ['supply.appliances=["refrigerator","water heater 40 gal","dishwasher"]'])
    assert listed.living.water_heater == "tank 240 V" and [u.name for u in listed.living.uses] == ["dishwasher"]
    own = load_house("plover-26g", ['living.uses=[{name="kiln",energy="3 kWh",watts="2 kW",hours="evening"}]'])
    assert "kiln" in {a.name for a in own.supply.appliances}
    paired = ['living.uses=[{name="kiln",energy="3 kWh",watts="2 kW"}]', 'supply.lock_outs=[["kiln","heat pump"]]']
    assert load_house("plover-26g", paired).supply.lock_outs == (("kiln", "heat pump"),)
    kiln = next(t for t in living_day(own.living).terms if t.name == "kiln")
    assert kiln.electric_W.sum() == pytest.approx(3000.0)
    assert (kiln.convective_W + kiln.radiant_W).sum() == pytest.approx(3000.0)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (['living.uses=[{name="a",energy="5 kWh",watts="60 W"}]'], "duty above one"),
        (['supply.appliances=[{name="x",watts="100 W",leg=2}]'], "has one leg"),
        (["supply.generator.rated=1000 W"], "smaller than 'water heater' alone"),
        (['supply.appliances=[{name="x",watts="100 W",minutes=2000}]'], "1440"),
        (["living.water_heater=tank 12 A", 'supply.appliances=["water heater 40 gal"]'], "say one"),
        (["living.cooking=propane", 'supply.appliances=["cooking plate"]'], "say one"),
        (["living.water_heater=none", 'supply.lock_outs=[["water heater","heat pump"]]'], "lock_outs names 'water heater'"),
        (['supply.lock_outs=[["water heater","heatpump"]]'], "heat pump"),
        (['supply.priority=["water heatr"]'], 'did you mean "water heater"'),
    ],
)
def test_two_words_for_one_thing_are_refused(change, complaint):
    with pytest.raises(InputError) as said:
        load_house("plover-26g", change)
    assert complaint in str(said.value) and "\n" not in str(said.value)
