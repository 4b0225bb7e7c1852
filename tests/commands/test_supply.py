"""`heatcalc supply`: the demo house as text, record, page and frames, and mistakes."""

import json

import pytest

import heatcalc.answers.year.cord_year as asked
import heatcalc.judge.sizing as sizing
from heatcalc.cli import main

TOP = ["supply", "plover-26g", "--place", "Bozeman, MT"]
NAMED = [*TOP, "--unit", "G12-S-115"]
AWAY = (
    "supply.generator.rated=7 kW",
    "supply.generator.fuel=propane",
    "supply.battery.capacity=10 kWh",
    'supply.lock_outs=[["heat pump","water heater"]]',
)


@pytest.fixture(scope="module", autouse=True)
def each_house_once():
    """Every command of this file that asks the same of the same house is handed the same answer."""
    size, supply, sizings, supplies = sizing.size_house, asked.supply_of, {}, {}

    def size_once(house, place, **how):
        key = (repr(house), repr(list(place) if isinstance(place, (list, tuple)) else [place]))
        return sizings[key] if key in sizings else sizings.setdefault(key, size(house, place, **how))

    def supply_once(sized):
        key = (repr(sized.house), sized.plan.unit, sized.place.name)
        return supplies[key] if key in supplies else supplies.setdefault(key, supply(sized))

    with pytest.MonkeyPatch.context() as patch:
        for module in (sizing, asked):
            patch.setattr(module, "size_house", size_once)
        patch.setattr(asked, "supply_of", supply_once)
        yield


@pytest.fixture
def tell(capsys):
    """A command's text, its line breaks taken out."""

    def told(*words):
        assert main([*words]) == 0
        return " ".join(capsys.readouterr().out.split())

    return told


@pytest.fixture
def said(capsys):
    assert main([*NAMED, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_json_has_the_whole_answer(said):
    assert said["case"]["unit"] == "G12-S-115" and said["cord"]["name"] == "30 A 120 V"
    assert {hour["verdict"] for hour in (said["cold"], said["hot"])} <= {"pass", "short", "fail"}
    assert said["passes"] == ("fail" not in (said["cold"]["verdict"], said["hot"]["verdict"]))
    assert [room["room"] for room in said["refrigerant_charge"]["rooms"]] == ["whole house", "gooseneck bedroom, closed"]
    bedroom = said["refrigerant_charge"]["rooms"][1]
    assert bedroom["concentration"] == "no head in it" and "Hang none there" in bedroom["advice"]
    assert said["load_method"]["leg_A"] > said["load_method"]["lighting_leg_A"] > 10
    assert any("electrician" in line for line in said["cautions"])
    assert said["hangs_on"]["name"] == said["drop"]["cord"] == said["plan"]["supply"]


def test_amperes_of_the_hour_are_those_of_its_loads(said):
    assert said["cold"]["leg_A"][0] == pytest.approx(sum(load["amperes"] for load in said["cold"]["loads"]))


@pytest.mark.parametrize(
    ("system", "there", "not_there"),
    [
        ("ip", ("20.0 ft from doors", "Table 8 at 167 °F", "28.0 gal a day"), ("75 C", " °C")),
        ("si", ("6.10 m from doors", "Table 8 at 75.0 °C", "106 L a day"), ("75 C", " °F", "20 ft", "20.0 ft")),
    ],
)
def test_one_unit_system_speaks_at_a_time(system, there, not_there, tell):
    text = tell(*NAMED, "--full", "--units", system)
    assert all(words in text for words in there) and not any(words in text for words in not_there)
    assert "design cold" in text and "coldest hour" not in text


def test_one_smallest_supply_and_the_code_s_method_beside_it(said, tell):
    text = tell(*NAMED, "--full")
    assert f"smallest supply: {said['smallest_cord']}" in text and f"beside it, {said['load_method']['smallest_words']}" in text


def test_the_answer_comes_first_and_the_rest_is_named(capsys):
    """Besides what the place warns of, two lines here, 25 at most."""
    assert main(NAMED) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) - 2 <= 25 and ": DOES NOT PASS" in lines[3] and lines[4].startswith("  smallest supply: ")
    assert "carbon monoxide" in " ".join(lines) and "--full shows the rest" in " ".join(lines)


def test_the_year_on_the_cord_sums_to_the_meter_and_lists_every_load(said):
    year = said["year"]
    electric = [row for row in year["uses"] if row["fuel"] == "electricity"]
    assert sum(row["year_kWh"] for row in electric) == pytest.approx(year["electricity_kWh"], rel=1e-9)
    assert {"heating", "hot water", "refrigerator", "electric cooking", "ventilation fan"} <= {row["use"] for row in electric}
    assert year["overload"]["minutes_above_80"] >= year["overload"]["minutes_above_rating"] >= 0
    circuits = {line["name"]: line for line in said["circuits"]}
    assert "heat pump" in circuits and (said["case"]["backup_W"] > 0) == ("backup heat" in circuits)
    assert all(line["source"] and line["step"] for line in said["circuits"])


def test_hours_too_cold_for_the_unit_are_tested_with_a_heater(said, tell):
    still = said["still"]
    heater = next(load for load in still["hour"]["loads"] if load["name"] == "backup heat")
    assert still["hours"] > 0.5 and still["outdoor_C"] <= still["stops_below_C"]
    assert heater["watts"] == pytest.approx(still["heater_W"]) and still["heater_W"] > 1000
    assert still["hour"]["leg_A"][0] >= heater["amperes"] and still["hour"]["verdict"] in ("pass", "short", "fail")
    assert "without the heat pump" not in tell(*TOP[:-1], "Savannah, GA")


def test_text_names_verdict_circuits_and_cautions(tell):
    text = tell(*NAMED, "--set", "supply.cord=50 A 120/240 V", "--units", "si", "--full")
    for words in ("PASSES", "Circuits", "Cord drop", "Carbon monoxide", "licensed electrician", "the installer decide", "7.62 m"):
        assert words in text


def test_240_V_unit_on_a_120_V_cord_says_so_and_its_circuits_are_the_plan_s(tell):
    text = tell(*TOP, "--unit", "G12-C-230", "--full")
    assert "a 120/240 V supply, or 120 V equipment" in text and "the supply of the plan" in text
    assert "backup heat 240 " in text


def test_page_frames_and_figure_say_the_same(tmp_path, capsys):
    from heatcalc.commands.supply import supply

    assert main([*TOP, *(x for words in AWAY for x in ("--set", words)), "-o", str(tmp_path)]) == 0
    written = {p.name for p in tmp_path.iterdir()}
    assert written == {"supply.html", "result.json", "january-evening.svg", "january-evening.png"}
    page, record = (tmp_path / "supply.html").read_text(), json.loads((tmp_path / "result.json").read_text())
    answer = supply("plover-26g", "Bozeman, MT", AWAY)
    assert {"hours", "overload", "uses", "may", "circuits", "method", "rooms", "generator", "battery"} <= set(answer.tables)
    uses = answer.tables["uses"]
    assert uses.loc["hot water", "a year [kWh]"] == pytest.approx(
        next(row["year_kWh"] for row in record["year"]["uses"] if row["use"] == "hot water")
    )
    assert uses.filter(regex=r"^\w{3} \[kWh\]").sum(axis=1).to_numpy() == pytest.approx(uses["a year [kWh]"].to_numpy())
    assert list(answer.tables["circuits"].index) == [line["name"] for line in record["circuits"]]
    assert answer.tables["circuits"]["from"].str.match(r"\[\d+\]").all()
    says = answer.report.figures["january-evening"].says
    evening = record["year"]["evening"]
    assert says in page and f"January {evening['day']}, {evening['hour']}:00" in says
    assert all(f"{load['name']} {max(load['leg_A']):.1f} A" in says for load in evening["loads"])
    assert "propane at the year's mean load" in answer.to_text(full=True)


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["--unit", "G12"], "is not among the candidates"),
        (["--set", "supply.cord=30 A 120V"], 'did you mean "30 A 120 V"'),
        (["--set", "supply.generator.rated=2"], "needs a unit"),
        (["--set", "supply.generator.rated=1000 W"], "smaller than 'water heater' alone"),
        (["--set", "supply.generator.rated=4 kW", "--set", "supply.generator.fuel=petrol"], "gasoline"),
        (["--set", 'supply.appliances=[{name="x",watts="100 W",leg=2}]'], "has one leg"),
        (["--set", 'living.uses=[{name="a",energy="5 kWh",watts="60 W"}]'], "duty above one"),
        (["--set", 'supply.priority=["water heatr"]'], "water heater"),
        (["--set", 'supply.lock_outs=[["heat pump","heat pump"]]'], "two different loads"),
    ],
)
def test_mistakes_are_one_line_and_exit_2(words, complaint, capsys):
    assert main([*TOP, *words]) == 2
    err = capsys.readouterr().err
    assert complaint in err and err.count("\n") == 1
