"""The public face: every name resolves, and a notebook cell gets in one call what a command answers."""

import importlib

import pytest

import heatcalc


@pytest.mark.parametrize("name", [n for n in heatcalc.__all__ if n != "__version__"])
def test_every_name_resolves_and_says_what_it_is(name):
    assert getattr(heatcalc, name).__doc__


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no 'sizes'"):
        _ = heatcalc.sizes


@pytest.mark.parametrize("name", ["supply", "checks"])
def test_a_function_keeps_its_name_beside_the_inner_package(name):
    importlib.import_module(f"heatcalc.{name}")
    assert callable(getattr(heatcalc, name))


def test_one_call_answers():
    assert heatcalc.year(place="05401").year.electricity_year_kWh > 0
    assert heatcalc.supply(place="05401").supply.circuits
    assert heatcalc.bridge("window-jamb").psi_W_mK > 0
    assert heatcalc.unit("G09-C-230").unit.name == "G09-C-230"
    assert heatcalc.assembly("Breeze wall", None, 21.0, -5.0)
    assert heatcalc.find_place("05401").zone == "6A"


def test_places_are_parted_by_bars_and_a_season_by_a_semicolon():
    assert heatcalc.split_places(" Duluth, MN | 85001; Nov-Apr |") == ["Duluth, MN", "85001; Nov-Apr"]
    with pytest.raises(ValueError, match="parted by bars"):
        heatcalc.split_places("Duluth, MN; Phoenix, AZ")


def test_a_wrong_name_lists_the_right_ones():
    answer = heatcalc.place("05401")
    assert "months" in answer.tables and "moths" not in answer.tables and "moths" not in answer.figures
    with pytest.raises(ValueError, match='known: .*months.*did you mean "months"'):
        _ = answer.tables["moths"]
    with pytest.raises(ValueError, match="figure = 'bins': known: "):
        _ = answer.figures["bins"]
    sheet = heatcalc.run_load(place="05401", unit="G09-C-230")
    with pytest.raises(ValueError, match="known: months, changes, fuels, swings"):
        _ = sheet.tables["month"]
    assert dict(sheet.tables["months"].dtypes) == dict.fromkeys(sheet.tables["months"].columns, "float64")
