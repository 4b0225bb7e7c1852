"""The circuit list has a row for every load of the plan; voltage left at the end of a long cord."""

import shutil
from pathlib import Path

import pytest

import heatcalc
from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Supply
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.sizing import size_house
from heatcalc.supply.circuits import circuit_list
from heatcalc.supply.supply_check import check_supply
from heatcalc.tables import rows


@pytest.mark.parametrize("laundry", ["elsewhere", "vented dryer", "120 V washer-dryer"])
def test_every_load_of_the_plan_has_its_row(laundry):
    supply = load_house("plover-26g", [f"living.laundry={laundry}"]).supply
    lines = circuit_list(supply, 9.0, 230.0, 2200.0, 2, dehumidifier_W=340.0)
    loads = [name for line in lines for name in line.loads]
    assert sorted(loads) == sorted([HEAT_PUMP, BACKUP, DEHUMIDIFIER, *(a.name for a in supply.appliances)])
    assert all(line.breaker_A and line.gauge_awg and line.source and line.step for line in lines)
    assert {line.legs for line in lines if line.name in (HEAT_PUMP, BACKUP)} == {2}


HOUSES = {
    "as it comes": ("Duluth, MN", []),
    "propane": ("Houston, TX", ["living.cooking=propane", "living.water_heater=instantaneous propane"]),
    "dryer": ("Bozeman, MT", ["living.laundry=vented dryer", "supply.cord=50 A 120/240 V"]),
    "own lock-out": (
        "Phoenix, AZ",
        ['supply.lock_outs=[["heat pump","heat-pump water heater"]]', "living.water_heater=heat-pump tank"],
    ),
}


@pytest.fixture(scope="module", params=HOUSES, ids=lambda name: name)
def sized(request):
    where, changes = HOUSES[request.param]
    return size_house(load_house("plover-26g", changes), find_place(where))


def test_the_circuits_hold_the_plan_on_the_plan_s_supply(sized):
    supply, plan = sized.recommended.supply, sized.plan
    circuits, legs = {line.name: line for line in supply.circuits}, supply.hangs_on.legs
    assert supply.hangs_on.name == (sized.house.supply.cord if plan.supply_carried else plan.supply)
    assert (plan.heater_W > 0) == (BACKUP in circuits) and bool(plan.dehumidifier_W) == (DEHUMIDIFIER in circuits)
    assert all(line.legs <= legs and line.source and line.step for line in circuits.values())
    assert sorted(n for line in circuits.values() for n in line.loads) == sorted(
        {HEAT_PUMP, *({BACKUP} if plan.heater_W else ()), *({DEHUMIDIFIER} if plan.dehumidifier_W else ())}
        | {a.name for a in sized.house.supply.appliances}
    )
    if plan.heater_W:
        line = circuits[BACKUP]
        assert line.load_A * line.volts == pytest.approx(plan.heater_W)
    assert [hour.verdict != "fail" for hour in supply.on_plan] == [True, True]


def test_the_figures_of_a_cord_are_those_of_the_plan_s_supply(sized):
    supply = sized.recommended.supply
    row = next(r for r in rows("cords") if r["cord"] == supply.drop.cord)
    assert supply.drop.cord == supply.hangs_on.name and supply.drop.gauge_awg == int(row["awg"])
    assert supply.drop.amperes == max(hour.leg_A[0] for hour in supply.on_plan)


def test_a_unit_s_own_least_volts_warn_in_the_plan(tmp_path):
    shelf = Path(heatcalc.__file__).parents[1] / "workbooks" / "units"
    text = (
        (shelf / "example_submittal.toml").read_text().replace('voltage = "230 V"', 'voltage = "230 V"\nlowest_voltage = "228 V"')
    )
    (tmp_path / "mine.toml").write_text(text)
    shutil.copy(shelf.parent / "houses" / "plover-26g.toml", tmp_path / "house.toml")
    said = ["units=mine.toml", "unit=Example submittal 12", "supply.length=300 ft", "supply.cord=50 A 120/240 V"]
    found = size_house(load_house(tmp_path / "house.toml", said), find_place("Bozeman, MT"), folder=tmp_path, walk=False)
    assert (found.recommended.supply.drop.least_V, found.recommended.supply.drop.enough) == (228.0, False)
    assert any("228.0 V (by the unit's own file)" in str(w) for w in found.warnings)
    (tmp_path / "mine.toml").write_text(text.replace("228 V", "240 V"))
    with pytest.raises(InputError, match="is not below voltage"):
        load_units(tmp_path / "mine.toml")


def test_voltage_at_the_end_of_a_long_cord_at_full_draw():
    # 30 A over 100 ft of 10 AWG at 75 C, 1.24 ohm/kft (NEC Chapter 9 Table 8): 7.44 V, 6.2 % of 120 V, by 2 L R I
    drop = check_supply(Supply(length="100 ft"), 10.0, 8.0, 115.0).drop
    assert drop.full_draw_volts == pytest.approx(7.44, abs=0.005)
    assert drop.left_at_full_draw_V == pytest.approx(120 - 7.44, abs=0.005) and drop.least_V == pytest.approx(103.5)
    two = check_supply(Supply(length="100 ft", cord="50 A 120/240 V"), 10.0, 8.0, 230.0).drop
    assert two.least_V == pytest.approx(0.9 * 208) and two.left_at_full_draw_V < two.left_at_unit_V < 240.0


def test_a_wired_leg_stays_where_it_is():
    said = [
        {"name": "kiln", "watts": "1200 W", "leg": 2, "together": True},
        {"name": "saw", "watts": "1100 W", "leg": 2, "together": True},
    ]
    hour = check_supply(Supply(cord="50 A 120/240 V", appliances=said), 5.0, 5.0, 115.0).cold
    assert hour.leg_A == pytest.approx(((1200 + 1100) / 120, 5.0))
