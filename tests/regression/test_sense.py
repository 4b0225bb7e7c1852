"""Warnings about results that make no physical sense: each one appears where it should, and stays silent in the usual house."""

import json

import pytest

from heatcalc.answers.methods.design_loads import loads_of
from heatcalc.answers.year.year_answer import year_answer
from heatcalc.cli import main
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.choice import FITS
from heatcalc.judge.sense import USUAL_LOAD_W_M2, best_conductivity_W_mK, damp_months, sense_warnings
from heatcalc.judge.sizing import size_house
from heatcalc.model.comfort import winter_cases
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model

USUAL = {
    "name": "usual",
    "body": {"length": "24 ft", "width": "8 ft 6 in", "wall_height": "9 ft"},
    "windows": [{"face": "left", "width": "3 ft", "height": "3 ft", "count": 2}],
    "doors": [{"face": "right", "width": "3 ft", "height": "80 in"}],
    "air": {"tightness": "4 ACH50"},
}
WORDS = {
    "high load": "of floor is above the usual",
    "low load": "of floor is below the usual",
    "glass": "of the floor area, above 30%: cooling depends",
    "leakage": "ACH50 is outside",
    "insulation": "best insulation would reach",
    "bare": "hardly insulated",
    "balance": "the house is very leaky or the unit very small",
    "humidity": "indoor humidity in the coldest month",
    "damp months": "indoor humidity averages above 80 %",
    "assumed": "airtightness is assumed",
}


def sized(*changes, place="Burlington, VT", folder=None, said=USUAL, **other):
    return size_house(house_from(said, changes), find_place(place), folder=folder, walk=False, **other)


def found(result) -> set[str]:
    return warned(result.warnings)


def warned(lines) -> set[str]:
    return {name for name, words in WORDS.items() if any(words in line for line in lines)}


def designer(*changes, place="Burlington, VT"):
    where = find_place(place)
    return designer_of(house_model(house_from(USUAL, changes), where.elevation_m, None), where)


def limit_of(value, limit, low, high) -> float:
    """Where a rising or falling `value(x)` crosses `limit`."""
    rising = value(high) > value(low)
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if (value(middle) > limit) == rising else (middle, high)
    return 0.5 * (low + high)


@pytest.fixture(scope="module")
def usual():
    return sized()


def test_the_usual_house_is_silent(usual):
    assert found(usual) == set()
    assert usual.recommended is not None and usual.recommended.verdict == FITS


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        (["windows.0.width=4 ft", "windows.0.height=6 ft", "windows.0.count=3"], "glass"),
        (
            ["living.people=8", "living.laundry=drying indoors", "living.loads_per_week=14", "living.unvented_heater=3 kW"],
            "humidity",
        ),
        (["air.tightness=factory-built"], "assumed"),
    ],
)
def test_a_change_of_the_house_is_noticed(changes, name):
    assert name in found(sized(*changes))


@pytest.mark.parametrize(("ach50", "warns"), [("0.29", True), ("0.3", False), ("30", False), ("30.1", True), ("50", True)])
def test_leakage_at_both_ends_of_the_usual(ach50, warns):
    lines = sense_warnings(designer(f"air.tightness={ach50} ACH50"), "", None)
    assert ("leakage" in warned(lines)) is warns
    assert not warns or any(f"{ach50} ACH50 is outside 0.3 to 30: look at the unit of the fan test" in line for line in lines)


@pytest.mark.parametrize(("side", "words"), [(0, "low load"), (1, "high load")])
def test_load_per_floor_at_both_ends_of_the_usual(side, words):
    house = designer("air.tightness=30 ACH50")
    area = house.model.floor_area_m2
    edge_C = limit_of(lambda outdoor_C: house.heating(outdoor_C).load_W / area, USUAL_LOAD_W_M2[side], -50.0, 21.0)
    at = {
        step: designer("air.tightness=30 ACH50", f"design.heating={edge_C + step} C", "design.source=own") for step in (-0.1, 0.1)
    }
    warns = {step: warned(sense_warnings(d, "", None)) & {"low load", "high load"} for step, d in at.items()}
    beyond = 0.1 if side == 0 else -0.1
    assert warns == {beyond: {words}, -beyond: set()}


@pytest.mark.parametrize(("share", "warns"), [(0.299, False), (0.301, True)])
def test_glass_at_both_sides_of_its_limit(usual, share, warns):
    width_m = share * usual.designer.model.floor_area_m2 / 2 / (3 * 0.3048)
    assert ("glass" in warned(sense_warnings(designer(f"windows.0.width={width_m} m"), "", None))) is warns


@pytest.mark.parametrize(("balance_C", "warns"), [(None, False), (15.5, False), (15.6, True)])
def test_balance_point_at_both_sides_of_60_F(usual, balance_C, warns):
    lines = sense_warnings(usual.designer, "the unit", balance_C)
    assert ("balance" in warned(lines)) is warns
    assert not warns or any("the unit already falls short below 15.6 °C" in line for line in lines)


def test_winter_humidity_at_both_sides_of_80_percent():
    """More water from a heater without a flue, until the mean of the coldest month passes the limit."""
    people = ("living.people=6", "living.laundry=drying indoors")

    def house(watts):
        return designer(*people, f"living.unvented_heater={watts} W")

    edge_W = limit_of(lambda watts: winter_cases(house(watts))[0][2].relative, 0.8, 0.0, 3000.0)
    assert "humidity" not in warned(sense_warnings(house(edge_W - 5), "", None))
    assert "humidity" in warned(sense_warnings(house(edge_W + 5), "", None))


WALLS = """
["too good"]
kind = "wall"
layers = [{ name = "miracle", thickness = "2 in", r_value = "R-40" }]
["as good as it gets"]
kind = "wall"
layers = [{ name = "foam", thickness = "2 in", conductivity = "BEST W/mK" }]
["a little better"]
kind = "wall"
layers = [{ name = "foam", thickness = "2 in", conductivity = "BETTER W/mK" }]
["bare roof"]
kind = "roof"
layers = [{ name = "sheet", thickness = "1/8 in", conductivity = "50 W/mK" }]
["bare"]
kind = "wall"
layers = [{ name = "sheet", thickness = "1/8 in", conductivity = "50 W/mK" }]
"""


def write_walls(folder):
    best = best_conductivity_W_mK()
    text = WALLS.replace("BEST", f"{best}").replace("BETTER", f"{0.98 * best}")
    (folder / "walls.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    ("wall", "names"),
    [("too good", {"insulation"}), ("a little better", {"insulation"}), ("as good as it gets", set()), ("bare", {"bare"})],
)
def test_a_wall_better_than_the_best_insulation_and_one_without_any(tmp_path, wall, names):
    write_walls(tmp_path)
    result = sized("assemblies.file=walls.toml", f"assemblies.wall={wall}", folder=tmp_path)
    assert found(result) & {"insulation", "bare"} == names


def test_the_limit_is_the_best_row_of_the_table():
    assert 0.01 < best_conductivity_W_mK() <= 0.024


LEAKY = (
    "body.length=15 m",
    "body.width=5 m",
    "body.wall_height=5 m",
    "air.tightness=60 ACH50",
    "unit=G06-S-230",
    "set_points.heating=84 F",
    "set_points.cooling=90 F",
    "windows.0.width=2 m",
    "windows.0.height=4 m",
    "windows.0.count=3",
    "living.people=8",
    "living.unvented_heater=5 kW",
)


def test_every_question_carries_every_warning(tmp_path):
    """One house with every fault, asked for its size, its loads and its year, as text in both systems and as JSON."""
    write_walls(tmp_path)
    changes = ("assemblies.file=walls.toml", "assemblies.wall=too good", "assemblies.roof=bare roof")
    place, house = find_place("Fairbanks, AK"), house_from(USUAL, (*LEAKY, *changes))
    expected = {"high load", "leakage", "insulation", "bare", "balance", "glass"}
    assert expected <= found(size_house(house, place, folder=tmp_path, walk=False))
    assert expected <= found(loads_of(house, place, tmp_path))


@pytest.mark.parametrize("question", ["size", "loads", "year"])
@pytest.mark.parametrize("how", [["--json"], ["--units", "ip"], ["--units", "si"]])
def test_what_is_printed_carries_the_warnings(capsys, question, how):
    changes = [word for change in LEAKY if not change.startswith("windows") for word in ("--set", change)]
    assert main([question, "--place", "Burlington, VT", *changes, *how, "--full"]) == 0  # short, a warning may be its first line
    shown = capsys.readouterr().out
    lines = json.loads(shown)["warnings"] if how == ["--json"] else [" ".join(shown.split())]
    assert {"leakage", "balance", "high load"} <= warned(lines)
    assert not any("{" in line for line in lines if how == ["--json"])


def test_a_year_names_the_balance_point_of_the_unit_asked_for():
    place, house = find_place("Burlington, VT"), house_from(USUAL, [c for c in LEAKY if not c.startswith("unit=")])
    small, unlimited = (year_answer(house, place, unit) for unit in ("G06-S-230", "unlimited"))
    assert "balance" in found(small) and any(str(w).startswith("G06-S-230 already") for w in small.warnings)
    assert found(unlimited) == found(small) - {"balance"}


def test_a_damp_year_is_noticed():
    assert list(damp_months([0.8] * 12)) == []
    (line,) = damp_months([0.5] * 10 + [0.801, 0.9])
    assert "above 80 % in 2 months, 90% in the dampest" in line


def test_a_damp_summer_asks_for_a_dehumidifier():
    """Eight people in a tight house: a damp design day, and the plan whose year is walked brings what dries it."""
    house, place = house_from(USUAL, ["living.people=8", "air.tightness=1 ACH50"]), find_place("Burlington, VT")
    tight = loads_of(house, place)
    assert all(case.settles_at <= 0.8 or case.need.shortfall_kg_s > 0 for case in tight.drying)
    assert any(case.settles_at > 0.8 for case in tight.drying)
    plan = size_house(house, place).plan
    (dry,) = (r for r in plan.rules if r.code == "dry")
    assert not dry.ok and dry.quantities["to_remove_kg_day"] > 0 and plan.dehumidifier_W > 0


def test_the_demo_house_has_much_glass_and_nothing_else():
    result = size_house(load_house(None), find_place("Burlington, VT"), walk=False)
    assert found(result) == {"glass"}
