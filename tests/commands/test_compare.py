"""heatcalc compare: the packages of the demo house, the cheapest set for a unit, and one line for bad input."""

import json

import numpy as np
import pytest

from heatcalc.answers.study.enough import cheapest_for
from heatcalc.answers.study.packages import payback, present_value
from heatcalc.answers.study.pareto import dominated_by, front
from heatcalc.cli import main
from heatcalc.inputs.house.house_file import changes_of, house_from, load_house, merged
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.cases import resolved
from heatcalc.judge.choice import candidate_of
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model


def test_two_packages_with_files(tmp_path, capsys):
    assert main(["compare", "--packages", "Breeze,Hearth", "-o", str(tmp_path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    breeze, hearth = record["packages"]
    assert hearth["heating_W"] < breeze["heating_W"] and hearth["mass_kg"] > breeze["mass_kg"]
    saved = breeze["year_cost"] - hearth["year_cost"]
    assert hearth["payback_years"] == pytest.approx(5200 / saved)
    assert (tmp_path / "package-front.png").stat().st_size > 10_000
    assert json.loads((tmp_path / "result.json").read_text()) == record


def test_text_says_money_inches_and_what_beats_what(capsys):
    argv = ["compare", "plover-26g", "--place", "Duluth, MN", "--packages", "Breeze, tight and skirted,Hearth", "--units", "si"]
    assert main([*argv, "--full"]) == 0
    said = capsys.readouterr().out
    for words in ("life-cycle cost", "moisture margin", "mm", "Not beaten by another", "licensed practice"):
        assert words in said


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["--packages", "Breeze,Herth"], "Hearth"),
        (["--packages", "Breeze,Breeze"], "twice"),
        (["--enough-for", "G9"], "known"),
        (["--unit", "G9"], "unit"),
    ],
)
def test_bad_input_is_one_line(argv, words, capsys):
    assert main(["compare", *argv]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and words in said


def test_a_price_is_a_number(tmp_path, capsys):
    house = tmp_path / "h.toml"
    house.write_text('name="h"\n[body]\nlength="20 ft"\nwidth="8 ft"\nwall_height="8 ft"\n[packages.A]\nprice="much"\n')
    assert main(["compare", str(house), "--place", "55802"]) == 2
    assert "packages.A.price" in capsys.readouterr().err


def test_a_package_that_costs_less_says_credit(tmp_path, capsys):
    house = tmp_path / "h.toml"
    house.write_text(
        'name="h"\n[body]\nlength="20 ft"\nwidth="8 ft"\nwall_height="8 ft"\n[packages.A]\nprice=0\n[packages.B]\nprice=-500\n'
    )
    assert main(["compare", str(house), "--place", "55802"]) == 0
    assert "-$500 (a credit)" in capsys.readouterr().out


def test_options_do_not_change_the_house_until_asked():
    assert load_house().ventilation.heat_recovery == 0.0


def test_no_cheaper_set_would_do():
    """Every set cheaper than the answer was tried and fails: take any one option out and the unit no longer carries it."""
    house, boston = load_house(), find_place("Boston, MA")
    found = cheapest_for(None, boston, "G09-C-230")
    assert found.options and found.heating_W <= found.most_heat_W

    def carries(names):
        mapping = resolved(house.origin.said, None, ())
        for name in names:
            mapping = merged(mapping, changes_of(house.origin.said["options"][name]))
        designer = designer_of(house_model(house_from(mapping, ()), boston.elevation_m), boston)
        return candidate_of(load_units()["G09-C-230"], designer).carries

    assert carries(found.options)
    assert not any(carries(set(found.options) - {one}) for one in found.options)
    assert cheapest_for(None, find_place("Miami, FL"), "G12-C-230").options == ()


def test_a_search_too_large_is_stepwise_and_still_carries(monkeypatch):
    monkeypatch.setattr("heatcalc.answers.study.enough.EXHAUSTIVE_UP_TO", 2)
    exact = 3900.0  # the answer of trying every set, above
    found = cheapest_for(None, find_place("Boston, MA"), "G09-C-230")
    assert found.options and found.heating_W <= found.most_heat_W and found.price >= exact and "not proven" in found.method


def test_dominance_by_hand():
    table = [[1.0, 5.0], [2.0, 4.0], [2.0, 5.0], [1.0, 5.0]]
    assert dominated_by(table) == [(), (), (0, 1, 3), ()]
    assert front(table).tolist() == [True, True, False, True]


def test_a_unit_that_stands_still_is_said_at_once():
    """No option changes the place's coldest hour: one look, and the reason."""
    found = cheapest_for(None, find_place("Duluth, MN"), "G12-C-230")
    assert found.options is None and found.tried == 1 and found.why_none


def test_money_by_hand():
    assert present_value(100.0, 2, 0.03) == pytest.approx(100 / 1.03 + 100 / 1.03**2)
    assert np.isclose(present_value(100.0, 10, 0.0), 1000.0)
    assert payback(900.0, 100.0) == pytest.approx(9.0)
    assert payback(900.0, -1.0) is None and payback(0.0, 5.0) == 0.0
