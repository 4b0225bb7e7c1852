"""heatcalc year: text, JSON, hours, figures, and one line for bad input."""

import json
import re

import pytest

from heatcalc.cli import main


def test_demo_year_with_files(tmp_path, capsys):
    assert main(["year", "--hourly", str(tmp_path / "hours.csv"), "-o", str(tmp_path), "--full"]) == 0
    said = capsys.readouterr().out
    for words in ("Electricity by month", "power cut", "Hours of the year", "by hand", "carbon monoxide"):
        assert words in said
    lines = (tmp_path / "hours.csv").read_text().splitlines()
    assert len(lines) == 8761 and lines[0].startswith("hour_ending,outdoor_C")
    record = json.loads((tmp_path / "result.json").read_text())
    by_hour = sum(float(line.split(",")[11]) for line in lines[1:]) / 1000
    low, high = record["electricity_span_kWh"]
    assert low - 1 < by_hour < high + 1
    assert sum(sum(m) for m in record["electricity_kWh"].values()) == pytest.approx(record["electricity_year_kWh"])
    assert (tmp_path / "year-days.png").stat().st_size > 20_000


def test_json_is_the_same_twice_and_ideal_draws_nothing(capsys):
    argv = ["year", "plover-26g", "--place", "Portland, OR", "--unit", "unlimited", "--json"]
    outputs = []
    for _ in range(2):
        assert main(argv) == 0
        outputs.append(capsys.readouterr().out)
    assert outputs[0] == outputs[1]
    record = json.loads(outputs[0])
    assert record["unit"] is None and sum(record["electricity_kWh"]["heating"]) == 0


@pytest.mark.parametrize("unit, place", [("G09-C-230", "Burlington, VT"), ("G18-C-230", "Houston, TX")])
def test_year_supply_sheet_page_and_compare_say_one_total_and_one_backup(unit, place, capsys):
    """A unit that asks for a second heater, and one that asks for none."""
    from heatcalc.answers.sale.live import Wishes, live_answer, live_case
    from heatcalc.answers.study.packages import compare_packages
    from heatcalc.answers.year.cord_year import house_supply
    from heatcalc.answers.year.run_load_answer import run_load
    from heatcalc.answers.year.year_answer import year_answer
    from heatcalc.inputs.checked import read_toml
    from heatcalc.inputs.house.house_file import house_path, load_house
    from heatcalc.inputs.place.find_place import find_place

    house, where = load_house(None, [f"unit={unit}"]), find_place(place)
    year, supply = year_answer(house, where, unit), house_supply(house, where)
    sheet, live = (
        run_load(supply.sized),
        live_answer(live_case(read_toml(house_path(None)), house_path(None).parent), Wishes(place=place, unit=unit)),
    )
    line = compare_packages(None, where, [house.package], unit).packages[0]
    assert year.backup_W == sheet.asked.backup_W == supply.chosen.backup_W == live.judged.backup_W
    assert (year.backup_W > 0) == (supply.chosen.backup_W > 0) == (unit == "G09-C-230")
    totals = [
        sheet.load.year_kWh,
        year.conditioning_kWh,
        live.year.year_kWh,
        line.year_kWh,
        sum(float(kWh.sum()) for kWh in live.year.month_kWh.values()),
    ]
    assert totals == pytest.approx([totals[0]] * 5, rel=1e-6)
    assert year.cord == sheet.cord == supply.supply.hourly


def test_unknown_unit_is_one_line(capsys):
    assert main(["year", "plover-26g", "--place", "55802", "--unit", "G12-C-23"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "G12-C-230" in said


def test_nothing_is_written_for_bad_input(tmp_path, capsys):
    assert main(["year", "plover-26g", "--place", "nowhere at all", "--hourly", str(tmp_path / "h.csv")]) == 2
    assert not list(tmp_path.iterdir())


def test_own_weather_file_needs_to_exist(capsys):
    assert main(["year", "plover-26g", "--place", "55802", "--weather", "no-such-file.csv"]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_house_that_is_never_heated_has_its_year(capsys):
    assert main(["year", "--place", "Honolulu, HI", "--set", "set_points.heating=55 F", "--full"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "hour by hour 0 kWh" in shown and not re.search(r"\b(nan|inf)\b", shown)
