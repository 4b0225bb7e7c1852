"""`heatcalc supply`: the demo house, its JSON, and mistakes."""

import json

import pytest

from heatcalc.cli import main

TOP = ["supply", "plover-26g", "--place", "Bozeman, MT"]


@pytest.fixture(scope="module")
def said():
    import contextlib
    import io

    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main([*TOP, "--unit", "G12-S-115", "--json"]) == 0
    return json.loads(out.getvalue())


def test_json_has_the_whole_answer(said):
    assert said["case"]["unit"] == "G12-S-115" and said["cord"]["name"] == "30 A 120 V"
    assert {hour["verdict"] for hour in (said["cold"], said["hot"])} <= {"pass", "short", "fail"}
    assert said["passes"] == ("fail" not in (said["cold"]["verdict"], said["hot"]["verdict"]))
    assert [room["room"] for room in said["refrigerant_charge"]["rooms"]] == ["whole house", "gooseneck bedroom, closed"]
    bedroom = said["refrigerant_charge"]["rooms"][1]
    assert bedroom["concentration"] == "no head in it" and "Hang none there" in bedroom["advice"]
    assert said["load_method"]["leg_A"] > said["load_method"]["lighting_leg_A"] > 10
    assert any("electrician" in line for line in said["cautions"])


def test_amperes_of_the_hour_are_those_of_its_loads(said):
    assert said["cold"]["leg_A"][0] == pytest.approx(sum(load["amperes"] for load in said["cold"]["loads"]))


@pytest.mark.parametrize(
    ("system", "there", "not_there"),
    [
        ("ip", ("20.0 ft from doors", "Table 8 at 167 °F"), ("75 C", " °C")),
        ("si", ("6.10 m from doors", "Table 8 at 75.0 °C"), ("75 C", " °F", "20 ft", "20.0 ft")),
    ],
)
def test_one_unit_system_speaks_at_a_time(system, there, not_there, capsys):
    assert main([*TOP, "--unit", "G12-S-115", "--units", system]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert all(words in text for words in there) and not any(words in text for words in not_there)
    assert "design cold" in text and "coldest hour" not in text


def test_one_smallest_supply_and_the_code_s_method_beside_it(said, capsys):
    assert main([*TOP, "--unit", "G12-S-115"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert f"smallest supply: {said['smallest_cord']}" in text and f"beside it, {said['load_method']['smallest_words']}" in text


def test_the_year_on_the_cord_sums_to_the_meter_and_lists_every_load(said):
    year = said["year"]
    electric = [row for row in year["uses"] if row["fuel"] == "electricity"]
    assert sum(row["year_kWh"] for row in electric) == pytest.approx(year["electricity_kWh"], rel=1e-9)
    assert {"heating", "hot water", "refrigerator", "electric cooking", "ventilation fan"} <= {row["use"] for row in electric}
    assert year["overload"]["minutes_above_80"] >= year["overload"]["minutes_above_rating"] >= 0
    circuits = {line["name"]: line for line in said["circuits"]}
    assert "heat pump" in circuits and (said["case"]["backup_W"] > 0) == ("backup heat" in circuits)
    assert all(line["source"] and line["step"] for line in said["circuits"])


def test_hours_too_cold_for_the_unit_are_tested_with_a_heater(said, capsys):
    still = said["still"]
    heater = next(load for load in still["hour"]["loads"] if load["name"] == "backup heat")
    assert still["hours"] > 0.5 and still["outdoor_C"] <= still["stops_below_C"]
    assert heater["watts"] == pytest.approx(still["heater_W"]) and still["heater_W"] > 1000
    assert still["hour"]["leg_A"][0] >= heater["amperes"] and still["hour"]["verdict"] in ("pass", "short", "fail")
    assert main([*TOP[:-1], "Savannah, GA"]) == 0
    assert "without the heat pump" not in capsys.readouterr().out


def test_text_names_verdict_circuits_and_cautions(capsys):
    assert main([*TOP, "--unit", "G12-S-115", "--set", "supply.cord=50 A 120/240 V", "--units", "si"]) == 0
    text = capsys.readouterr().out
    for words in ("PASSES", "Circuits", "Cord drop", "Carbon monoxide", "licensed electrician", "the installer decide", "7.62 m"):
        assert words in text


def test_240_V_unit_on_a_120_V_cord_says_so(capsys):
    assert main([*TOP, "--unit", "G12-C-230"]) == 0
    assert "a 120/240 V supply, or 120 V equipment" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["--unit", "G12"], "is not among the candidates"),
        (["--set", "supply.cord=30 A 120V"], 'did you mean "30 A 120 V"'),
        (["--set", "supply.generator.rated=2"], "needs a unit"),
    ],
)
def test_mistakes_are_one_line_and_exit_2(words, complaint, capsys):
    assert main([*TOP, *words]) == 2
    err = capsys.readouterr().err
    assert complaint in err and err.count("\n") == 1
