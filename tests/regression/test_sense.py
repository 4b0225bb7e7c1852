"""Warnings about results that make no physical sense: each one appears where it should, and stays silent in the usual house."""

import pytest

from heatcalc.answers.choice import FITS
from heatcalc.answers.loads import loads_of
from heatcalc.answers.sense import best_conductivity_W_mK, year_warnings
from heatcalc.answers.size import size_house
from heatcalc.inputs.house_file import house_from, load_house
from heatcalc.inputs.place import find_place

USUAL = {
    "name": "usual",
    "body": {"length": "24 ft", "width": "8 ft 6 in", "wall_height": "9 ft"},
    "windows": [{"face": "left", "width": "3 ft", "height": "3 ft", "count": 2}],
    "doors": [{"face": "right", "width": "3 ft", "height": "80 in"}],
    "air": {"tightness": "4 ACH50"},
}
WORDS = {
    "load": "Btu/h per ft2 is unusual",
    "glass": "of the floor area: cooling depends",
    "leakage": "ACH50 is outside",
    "insulation": "best insulation would reach",
    "bare": "hardly insulated",
    "balance": "falls short below 60 F",
    "humidity": "indoor humidity in the coldest month",
    "assumed": "airtightness is assumed",
}


def sized(*changes, place="Burlington, VT", folder=None, said=USUAL, **other):
    return size_house(house_from(said, changes), find_place(place), folder=folder, smaller_too=False, **other)


def found(result) -> set[str]:
    return {name for name, words in WORDS.items() if any(words in w for w in result.warnings)}


@pytest.fixture(scope="module")
def usual():
    return sized()


def test_the_usual_house_is_silent(usual):
    assert found(usual) == set()
    assert usual.recommended is not None and usual.recommended.verdict == FITS


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        (["air.tightness=40 ACH50"], "leakage"),
        (["air.tightness=0.2 ACH50"], "leakage"),
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


@pytest.mark.parametrize("tightness", ["0.3 ACH50", "30 ACH50"])
def test_the_ends_of_the_usual_leakage_are_silent(tightness):
    assert "leakage" not in found(sized(f"air.tightness={tightness}"))


def test_a_load_per_floor_that_no_house_has():
    assert "load" in found(
        sized("air.tightness=60 ACH50", "set_points.heating=80 F", "set_points.cooling=90 F", place="Fairbanks, AK")
    )
    assert "load" in found(sized("design.heating=66 F", "design.source=a mild valley"))


WALLS = """
["too good"]
kind = "wall"
layers = [{ name = "miracle", thickness = "2 in", r_value = "R-40" }]
["as good as it gets"]
kind = "wall"
layers = [{ name = "foam", thickness = "2 in", conductivity = "0.024 W/mK" }]
["bare"]
kind = "wall"
layers = [{ name = "sheet", thickness = "1/8 in", conductivity = "50 W/mK" }]
"""


@pytest.mark.parametrize(("wall", "names"), [("too good", {"insulation"}), ("as good as it gets", set()), ("bare", {"bare"})])
def test_a_wall_better_than_the_best_insulation_and_one_without_any(tmp_path, wall, names):
    (tmp_path / "walls.toml").write_text(WALLS, encoding="utf-8")
    result = sized("assemblies.file=walls.toml", f"assemblies.wall={wall}", folder=tmp_path)
    assert found(result) & {"insulation", "bare"} == names


def test_the_limit_is_the_best_row_of_the_table():
    assert 0.01 < best_conductivity_W_mK() <= 0.024


def test_a_unit_far_too_small_is_noticed(usual):
    from heatcalc.inputs.unit import load_units

    small = {"G06-S-230": load_units()["G06-S-230"]}
    leaky = (
        "body.length=15 m",
        "body.width=5 m",
        "body.wall_height=5 m",
        "air.tightness=60 ACH50",
        "unit=G06-S-230",
        "set_points.heating=84 F",
        "set_points.cooling=90 F",
    )
    assert "balance" in found(sized(*leaky, units=small)) and "balance" not in found(usual)


def test_loads_carry_the_same_warnings():
    result = loads_of(house_from(USUAL, ["air.tightness=40 ACH50"]), find_place("Burlington, VT"))
    assert "leakage" in found(result.size)


def test_a_damp_year_is_noticed(usual):
    model = usual.designer.model
    assert any("above 80 % in 2 months, 90 %" in w.replace("90%", "90 %") for w in year_warnings(model, [0.5] * 10 + [0.85, 0.9]))
    assert year_warnings(model, [0.8] * 12) == ()


def test_the_demo_house_has_much_glass_and_nothing_else():
    result = size_house(load_house(None), find_place("Burlington, VT"), smaller_too=False)
    assert found(result) == {"glass"}
