"""`heatcalc unit`: the shelf, a file in both forms, a place, figures, and every way a file can be wrong."""

import json
import re

import pytest

from heatcalc.cli import main
from heatcalc.files import folder
from heatcalc.inputs.unit.unit_file import load_units, read_unit

TOML = folder("workbooks") / "units" / "example_submittal.toml"
CSV = folder("workbooks") / "units" / "example_submittal.csv"
GENERIC = "generic, replace with your unit's table"


def test_the_shelf_is_listed(capsys):
    assert main(["unit"]) == 0
    said = capsys.readouterr().out
    assert GENERIC in said
    assert len(load_units()) == 18
    assert all(name in said for name in load_units())


def test_one_class_at_a_place_with_a_figure(capsys, tmp_path):
    assert main(["unit", "G09-C-230", "--place", "Bozeman, MT", "--full", "-o", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    for words in (GENERIC, "at the design", "published altitude factors", "SCOP average", "certified 12 kBtu/h", "off"):
        assert words in said
    assert sorted(p.suffix for p in tmp_path.iterdir()) == [".html", ".json", ".png", ".svg"]
    first = (tmp_path / "unit-G09-C-230.svg").read_bytes()
    assert main(["unit", "G09-C-230", "--place", "Bozeman, MT", "--full", "-o", str(tmp_path)]) == 0
    assert (tmp_path / "unit-G09-C-230.svg").read_bytes() == first


def test_the_same_unit_in_several_places(capsys, tmp_path):
    """Side by side in text, in JSON and in the figure; the first place sets the line the unit just carries."""
    places = ["--place", "Albany, NY", "--place", "Duluth, MN", "--place", "Leadville, CO"]
    assert main(["unit", "G12-C-230", *places, "--full", "-o", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    for words in (
        "Albany, NY",
        "Duluth, MN",
        "Leadville, CO",
        "balance point",
        "backup at the design cold",
        "SCOP by its own bins",
        "least heat at 47 °F",
        "as steep as the unit carries alone in Albany, NY",
    ):
        assert words in said
    assert main(["unit", "G12-C-230", *places, "--json"]) == 0
    albany, duluth, leadville = json.loads(capsys.readouterr().out)["units"][0]["places"]
    assert albany["backup_W"] == pytest.approx(0.0, abs=1e-6)
    assert albany["balance_point_C"] == pytest.approx(albany["heating_design_C"], abs=0.11)
    assert duluth["heating"]["capacity"]["mark"] == ["off"] and duluth["backup_W"] == pytest.approx(duluth["heating_load_W"])
    slopes = [p["heating_load_W"] / (16.0 - p["heating_design_C"]) for p in (albany, duluth, leadville)]
    assert slopes == pytest.approx([slopes[0]] * 3)
    assert leadville["balance_point_C"] > albany["balance_point_C"]  # thin air
    assert duluth["heating_year"]["figure"] < albany["heating_year"]["figure"]


def test_places_with_the_loads_of_a_house_are_those_of_size(capsys):
    from heatcalc.inputs.house.house_file import load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.judge.sizing import size_house

    asked = ["unit", "G12-C-230", "--house", "plover-26g", "--place", "Burlington, VT", "--place", "Bozeman, MT", "--json"]
    assert main(asked) == 0
    found = json.loads(capsys.readouterr().out)["units"][0]["places"]
    for here, name in zip(found, ("Burlington, VT", "Bozeman, MT"), strict=True):
        sized = size_house(load_house("plover-26g"), find_place(name), walk=False)
        one = next(c for c in sized.candidates if c.name == "G12-C-230")
        missing = max(sized.task.heating_W - one.max_heat_at_design_W, 0.0)
        assert here["backup_W"] == pytest.approx(missing, abs=0.01)
        assert here["balance_point_C"] == pytest.approx(one.balance_point_C)
        assert here["mild_run"] == pytest.approx(min(one.mild_load_W / one.min_heat_W, 1.0), rel=1e-3)
        assert here["heating"]["capacity"]["value_W"][0] == pytest.approx(one.max_heat_at_design_W)


def test_units_side_by_side_are_the_sizing_with_each(capsys, tmp_path):
    """Files, a folder and a class together: each row is `size` with that unit, the first is what `size` orders of them."""
    from heatcalc.inputs.house.house_file import load_house
    from heatcalc.inputs.place.find_place import find_place
    from heatcalc.judge.sizing import size_house

    quotes = tmp_path / "quotes"
    quotes.mkdir()
    (quotes / "a.csv").write_bytes(CSV.read_bytes())
    asked = ["unit", str(quotes), str(CSV.parent / "example_printed.csv"), "G09-C-115", "--house", "plover-26g"]
    assert main([*asked, "--place", "Houston, TX", "-o", str(tmp_path / "out"), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["places"][0]["units"]
    assert [p.name for p in (tmp_path / "out").glob("*.png")] == ["units-Houston--TX.png"]
    shelf = {**load_units(quotes), **load_units(CSV.parent / "example_printed.csv"), "G09-C-115": load_units()["G09-C-115"]}
    place, house = find_place("Houston, TX"), load_house("plover-26g", ["unit=G09-C-115"])
    assert {r["unit"] for r in rows} == set(shelf) and rows[0]["unit"] == "G09-C-115"
    assert rows[0]["plan"] == json.loads(json.dumps(size_house(house, place).plan.record()))
    assert size_house(load_house("plover-26g"), place, shelf, walk=False).plan.unit == rows[0]["unit"]
    assert main([*asked, "G09-C-115", "--place", "Houston, TX"]) == 2
    assert "a unit named G09-C-115 is there already" in capsys.readouterr().err


def test_a_place_without_winter_or_summer_is_said_so(capsys):
    """No heating line in Honolulu and no cooling line in a place whose 1 % temperature is below 16 C: no season there."""
    assert main(["unit", "G09-C-230", "--place", "Honolulu, HI", "--place", "Duluth, MN", "--json"]) == 0
    honolulu, duluth = json.loads(capsys.readouterr().out)["units"][0]["places"]
    assert honolulu["heating_year"] is None and duluth["heating_load_W"] == 0.0


def test_rows_for_other_rooms_are_named(capsys):
    assert main(["unit", str(TOML.parent / "example_rooms.csv"), "--full"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "heating above is for a room of 70 °F; its table also prints a room of 60 °F (rows: 4), a room of 75 °F" in said
    assert "a room of 72 °F / 60 °F wet bulb (rows: 1)" in said
    assert "No printed point stands out." in said


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["--house", "plover-26g"], "say where the house will stand"),
        (["--house", "plover-62g", "--place", "Duluth, MN"], "no such file"),
        (["--place", "Duluth, MN"] * 13, "at most 12 places"),
        (["--place", "Nowhere at all, QQ"], "place"),
    ],
)
def test_wrong_places_and_houses_give_one_line(words, hint, capsys):
    assert main(["unit", "G12-C-230", *words]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and hint in said.err


@pytest.mark.parametrize("file", [TOML, CSV])
def test_example_files_read_and_explain(file, capsys):
    assert main(["unit", str(file), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)["units"][0]
    assert said["label"] == ""
    assert said["unit"]["source"].startswith("Invented")
    assert {"given", "estimated"} <= set(said["heating"]["lines"][-1]["capacity"]["mark"])
    assert GENERIC not in json.dumps(said)


def test_the_two_forms_say_the_same(tmp_path):
    """The same unit as CSV and as TOML gives the same curves."""
    points = [
        ("heating", 47, "max", 11000, 950),
        ("heating", 17, "max", 7500, 770),
        ("cooling", 95, "rated", 9000, 720),
        ("cooling", 82, "rated", 9400, 600),
    ]
    plate = {
        "name": "A",
        "size": "9 kBtu/h",
        "voltage": "115 V",
        "mca": "13 A",
        "mop": "20 A",
        "refrigerant": "R-32",
        "charge": "0.8 kg",
        "lowest_heating": "5 F",
        "source": "invented for a test",
    }
    table = [",".join(map(str, p)) for p in points]
    lines = [f"{k},{v}" for k, v in plate.items()]
    (tmp_path / "a.csv").write_text("\n".join([*lines, "", "mode,outdoor_F,level,capacity_Btuh,power_W", *table]))
    rows = {
        mode: [
            f'{{ outdoor = "{t} F", level = "{level}", capacity = "{q} Btu/h", power = "{p} W" }}'
            for m, t, level, q, p in points
            if m == mode
        ]
        for mode in ("heating", "cooling")
    }
    said = [f'{k} = "{v}"' for k, v in plate.items()] + [f"{m} = [{', '.join(r)}]" for m, r in rows.items()]
    (tmp_path / "a.toml").write_text("\n".join(said))
    one, two = read_unit(tmp_path / "a.csv"), read_unit(tmp_path / "a.toml")
    assert one.heating.capacity_W["max"].tolist() == two.heating.capacity_W["max"].tolist()
    assert one.cooling.power_W["rated"].tolist() == two.cooling.power_W["rated"].tolist()
    assert one.heating.frost_by_rule and not one.tested_frost_point


def test_missing_power_and_cooling_at_95_alone_are_estimated(tmp_path):
    """Powers left out come from the classes and the one printed COP and are marked so; capacities stay as printed."""
    text = TOML.read_text(encoding="utf-8")
    for power in (190, 1060, 880):
        text = re.sub(rf', *power = "{power} W"', "", text)
    (tmp_path / "gap.toml").write_text(text, encoding="utf-8")
    whole, gap = read_unit(TOML), read_unit(tmp_path / "gap.toml")
    assert sum("from the spread of the unit classes" in a for a in gap.assumed) == 2
    assert not gap.heating.power_given["rated"].any() and gap.heating.given["rated"].any()
    for level in ("min", "rated"):
        known = whole.heating.power_given[level]
        ratio = gap.heating.power_W[level][known] / whole.heating.power_W[level][known]
        assert abs(ratio - 1.0).max() < 0.25  # an invented sheet beside a model: the right size, no more
    assert len(whole.cooling.outdoor_C) == 5 and whole.cooling.given["rated"].sum() == 1


HEAT = "heating,47,,,rated,9800,790,"
BAD = [
    ("capacity_Btuh", "capacity_kBtuh", "is the unit of the column right"),
    ("power_W", "power_kW", "are capacity and power in the right units"),
    ("power_W", "power", "unknown column"),
    (HEAT, HEAT.replace("790", "-790"), "power"),
    (HEAT, HEAT.replace("790", "960"), "are the levels swapped"),
    (HEAT, HEAT.replace("790", "16000"), "plain electric heater"),
    (HEAT, HEAT.replace("790", "50"), "above what any machine can reach"),
    (HEAT, HEAT.replace("9800", "12000"), "are the levels swapped"),
    (HEAT, HEAT.replace("9800", ""), "capacity"),
    (HEAT, HEAT.replace("rated", "nominal"), "level"),
    (HEAT, HEAT + "\n" + HEAT, "given twice"),
    ("heating,35,70,,max", "heating,55,70,,max", "out of order"),
    ("\nheating,", "\nwarming,", "mode"),
    ("cooling,", "heating,", "cooling"),
    ("refrigerant,R-454B", "refrigerant,R-22", "refrigerant"),
    ("voltage,115 V", "voltage,115 A", "voltage"),
    ("mca,13 A", "", "mca: is missing"),
    ("mca,13 A", "mcaa,13 A", "did you mean"),
    ("size,9 kBtu/h", "size,9", "needs a unit"),
    ("9800,790", "9800,abc", "power"),
    ("9800,790,", "9800,790,,5", "has one cell too many"),
    ("9800,790,", "9,800,790", "has one cell too many; a comma inside a number"),
    ("9800,790,", "9,800,790,", "has one cell too many; a comma inside a number"),
    ("1050,0.74", "1,050,0.74", "has one cell too many; a comma inside a number"),
    ("9 kBtu/h", "9,000 Btu/h", "has one cell too many"),
    ("capacity_Btuh", "capacity", 'did you mean "capacity_Btuh"?'),
    ("charge,0.8 kg", 'charge,"0,8 kg"', "write '0.8 kg'"),
    ("9000,720,0.72", "9000,720,72", "did you mean 0.72"),
    ("mca,13 A", "mca,25 A", "are the two swapped"),
    ("cooling,95,80,67,rated", "cooling,95,67,80,rated", "are the two columns swapped"),
    ("heating,47,70,,max", "heating,47,170,,max", "indoor"),
]


@pytest.mark.parametrize(("old", "new", "words"), BAD, ids=[f"{i}-{b[2][:20]}" for i, b in enumerate(BAD)])
def test_a_wrong_file_gives_one_clear_line(old, new, words, tmp_path, capsys):
    text = CSV.read_text(encoding="utf-8").replace("47,70,,rated", "47,,,rated")
    assert old in text
    file = tmp_path / "wrong.csv"
    file.write_text(text.replace(old, new), encoding="utf-8")
    assert main(["unit", str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1 and said.err.startswith("heatcalc: wrong.csv")
    assert words in said.err


def test_a_submittal_is_typed_as_it_is_printed(tmp_path):
    """A pair of voltages, pounds and ounces, commas in the source's words."""
    text = CSV.read_text(encoding="utf-8").replace("115 V", "208/230 V").replace("0.8 kg", "2 lb 3 oz")
    file = tmp_path / "typed.csv"
    file.write_text(text.replace("Invented for this example; not a product", "typed in by hand, invented"), encoding="utf-8")
    unit = read_unit(file)
    assert unit.volts == 230 and "208/230 V taken as the 230 V class" in unit.assumed
    assert unit.charge_kg == pytest.approx(35 * 0.028349523125)
    assert unit.source == "typed in by hand, invented"


@pytest.mark.parametrize(("mark", "name"), [(";", "semicolons"), ("\t", "tabs")])
def test_another_separator_is_named(mark, name, tmp_path, capsys):
    (tmp_path / "unit.csv").write_text(CSV.read_text(encoding="utf-8").replace(",", mark), encoding="utf-8")
    assert main(["unit", str(tmp_path / "unit.csv")]) == 2
    assert f"separated by {name}" in capsys.readouterr().err


def test_a_misspelt_list_of_points_is_named(tmp_path, capsys):
    (tmp_path / "unit.toml").write_text(TOML.read_text(encoding="utf-8").replace("cooling = [", "coolings = ["), encoding="utf-8")
    assert main(["unit", str(tmp_path / "unit.toml")]) == 2
    assert capsys.readouterr().err == 'heatcalc: unit.toml: coolings: unknown key; did you mean "cooling"?\n'


def test_a_wrong_row_for_another_room_is_asked_about(tmp_path, capsys):
    text = (TOML.parent / "example_rooms.csv").read_text(encoding="utf-8")
    assert "heating,17,60,,max,14300" in text
    (tmp_path / "odd.csv").write_text(text.replace("heating,17,60,,max,14300", "heating,17,60,,max,10300"), encoding="utf-8")
    assert main(["unit", str(tmp_path / "odd.csv")]) == 0
    assert "heating max at 17 °F: capacity in a room of 60 °F -29% off the usual change with the room" in capsys.readouterr().out


@pytest.mark.parametrize("content", ["", "\n\n", "name", "mode\n", "mode,outdoor_F\nheating", "\x00\x01", "name,a\n" * 3])
def test_rubbish_is_refused(content, tmp_path, capsys):
    file = tmp_path / "rubbish.csv"
    file.write_text(content, encoding="utf-8")
    assert main(["unit", str(file)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_unknown_names_and_files(capsys, tmp_path):
    for word, hint in (("G12-C-203", "did you mean"), ("nothing.csv", "no such file"), (str(tmp_path), "no .csv or .toml")):
        assert main(["unit", word]) == 2
        assert hint in capsys.readouterr().err


def test_a_wrong_point_is_named(tmp_path, capsys):
    generic = (folder("workbooks") / "units" / "G12-S-230.csv").read_text(encoding="utf-8")
    wrong = generic.replace("heating,17,max,10090,1065", "heating,17,max,10090,1330")
    assert wrong != generic
    (tmp_path / "moved.csv").write_text(wrong, encoding="utf-8")
    assert main(["unit", str(tmp_path / "moved.csv")]) == 0
    assert "ask the maker about" in capsys.readouterr().out
