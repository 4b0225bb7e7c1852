"""`heatcalc size` as a designer types it, good and bad."""

import html
import json
import re
import tomllib
from pathlib import Path

import pytest

import heatcalc
from heatcalc.cli import main
from heatcalc.inputs.house.house_file import changes_of, house_from, load_house, merged
from heatcalc.judge.sizing import CAUTIONS, KEPT
from heatcalc.wording import Words


@pytest.fixture
def starter(tmp_path):
    """A fresh starter file, written by the command itself."""
    assert main(["new", str(tmp_path / "house.toml")]) == 0
    return tmp_path / "house.toml"


def run(capsys, *words):
    """Exit code, stdout, stderr of one command."""
    capsys.readouterr()  # what fixtures printed
    code = main(list(words))
    out = capsys.readouterr()
    return code, out.out, out.err


def test_a_bare_size_answers_for_the_demo_house(capsys):
    code, out, err = run(capsys, "size", "--full")
    assert code == 0 and not err
    for words in ("Plover 26G (invented demo house)", "Heating load at", "Cooling load in", "Order ", "Assumptions", "Cautions"):
        assert words in out


@pytest.mark.parametrize("place", ["Burlington, VT", "Duluth, MN", "Phoenix, AZ", "Houston, TX", "Fairbanks, AK"])
def test_the_short_text_is_short_and_keeps_every_warning_and_caution(place):
    """25 written lines at most; of every warning its first line at least, every caution in a few words; in full elsewhere."""
    answer = heatcalc.size(place=place)
    short = answer.to_text().split("\n")
    flat, full, page = (
        " ".join(x.split()) for x in (answer.to_text(), answer.to_text(full=True), html.unescape(answer._repr_html_()))
    )
    first, last = short.index("Warnings"), next(n for n, line in enumerate(short) if line.startswith("Cautions"))
    surer = any(line.startswith("  Surer in the heat") for line in short)  # a line of the decision that not every place has
    assert len(short) - (last - first) <= 20 + surer and sum(bool(line) for line in short) <= 25
    assert short[3].startswith("Order ") and short.index("Plans") in (5, 6) and "--full shows the rest: " in flat
    warnings = [w.said("ip") if isinstance(w, Words) else w for w in answer.result.warnings]
    said = [" ".join(w.split()) for w in warnings]
    assert said and all(w[:80] in flat and w in full for w in said)
    assert all(w in flat for w in said) or "whole warnings" in flat
    for key in (
        "local codes",
        "licensed practice",
        "electrician",
        "refrigerant",
        "carbon monoxide",
        "sealed or vented",
        "water lines",
    ):
        assert key in flat
    assert all(caution in full and caution in page for caution in CAUTIONS)


def test_the_starter_file_sizes_as_it_stands(capsys, starter):
    code, out, _ = run(capsys, "size", str(starter), "--place", "55802")
    assert code == 0 and "My house" in out


def uncommented(text):
    """The starter's commented lines of TOML as if their owner had taken the # away."""
    return re.sub(r"^# (?=\[|[a-z_.]+ = )", "", text, flags=re.MULTILINE)


def test_every_commented_line_of_the_starter_is_true(starter):
    """All at once they check, and each says a key the house has: none is dropped on the way."""
    text = starter.read_text(encoding="utf-8")
    said = tomllib.loads(uncommented(text))
    house = house_from(said)
    assert house.package == "Snug" and house.air.tightness == "2.5 ACH50" and house.units and house.windows[-1].box
    assert len(house.thermal_bridges) == 2 and house.tariff.price == 0.14 and house.below.height == pytest.approx(0.6096)
    assert {"Standard", "Snug"} == set(said["packages"]) and len(said["options"]) == 2
    plain = {key: value for key, value in said.items() if key != "package"}
    for name, option in said["options"].items():
        assert house_from(merged(plain, changes_of(option))) != house_from(plain), name
    assert not re.search(r"^#\w", text, flags=re.MULTILINE)


def test_json_holds_the_contract_and_closes(capsys):
    code, out, _ = run(capsys, "size", "--json")
    record = json.loads(out)
    assert code == 0
    for key in (
        "house",
        "place",
        "design",
        "heating_load_W",
        "heating_components_W",
        "ua_W_K",
        "cooling_sensible_W",
        "cooling_latent_W",
        "cooling_peak_hour",
        "candidates",
        "recommended",
        "lowest_temperature_held_C",
        "assumptions",
        "warnings",
    ):
        assert key in record
    assert {"name", "lat", "lon", "elevation_m", "climate_zone", "source", "grade"} <= set(record["place"])
    assert {"heating_99_C", "heating_996_C", "cooling_1_C", "cooling_1_mcwb_C", "daily_range_K"} <= set(record["design"])
    assert {"unit", "verdict", "reasons", "max_heat_at_design_W", "min_heat_W", "balance_point_C", "backup_W"} <= set(
        record["candidates"][0]
    )
    assert {"name", "value", "why", "source"} <= set(record["assumptions"][0])
    assert sum(record["heating_components_W"].values()) == pytest.approx(record["heating_load_W"], abs=0.1)
    assert "{" not in json.dumps(record["warnings"] + [r for c in record["candidates"] for r in c["reasons"]])


def test_text_page_and_json_show_the_same_numbers(capsys, tmp_path):
    code, out, _ = run(capsys, "size", "--full", "--units", "si", "-o", str(tmp_path / "out"))
    assert code == 0
    record = json.loads((tmp_path / "out" / "result.json").read_text())
    page = (tmp_path / "out" / "size.html").read_text(encoding="utf-8")
    for watts in (record["heating_load_W"], record["cooling_sensible_W"], record["recommended"]["max_heat_at_design_W"]):
        assert f"{watts:,.0f} W" in out and f"{watts:,.0f} W" in page


def test_the_sheet_is_one_file_with_described_figures(tmp_path):
    assert main(["size", "-o", str(tmp_path)]) == 0
    page = (tmp_path / "size.html").read_text(encoding="utf-8")
    assert page.count('role="img"') == 3 and page.count("<desc") >= 3
    outside = [word for word in ('src="http', 'href="http', "url(http", "<script", "@import") if word in page]
    assert not outside
    assert {p.name for p in tmp_path.iterdir()} >= {
        "result.json",
        "load-and-capacity.svg",
        "load-and-capacity.png",
        "hot-day.svg",
    }


def test_the_same_case_twice_gives_the_same_bytes(tmp_path):
    for name in ("a", "b"):
        KEPT.clear()
        assert main(["size", "-o", str(tmp_path / name)]) == 0
    for file in (tmp_path / "a").iterdir():
        assert file.read_bytes() == (tmp_path / "b" / file.name).read_bytes(), file.name


def test_a_house_named_like_markup_is_harmless(tmp_path, starter):
    starter.write_text(starter.read_text().replace('name = "My house"', 'name = "<script>alert(1)</script>"'))
    assert main(["size", str(starter), "--place", "55802", "-o", str(tmp_path / "o")]) == 0
    assert "<script>" not in (tmp_path / "o" / "size.html").read_text(encoding="utf-8")


BAD = [
    (["--set", "air.tightnes=3.0 ACH50"], "air.tightnes", "tightness"),
    (["--set", 'set_points.heating="72"'], "set_points.heating", "needs a unit"),
    (["--set", "body.length=R-13"], "body.length", "like '8 ft 6 in'"),
    (["--set", "body.width=-8 ft"], "body.width", "allowed"),
    (["--set", "windows.2.width=9 ft"], "windows.2", "does not fit"),
    (["--set", "windows.2.count=12"], "windows.2", "does not fit"),
    (["--set", "windows.99.width=2 ft"], "windows.99.width", "by its number"),
    (["--set", "assemblies.wall=Breze wall"], "assemblies.wall", "Breeze wall"),
    (["--set", "assemblies.wall=SIP wall"], "assemblies.wall", "Panel wall 4 1/2 in"),
    (["--set", "assemblies.window=double pane"], "assemblies.window", "Double clear vinyl window"),
    (["--set", "living.people=two", "--set", "body.width=8.5"], "body.width", "also living.people"),
    (["--set", "assemblies.wall=Breeze roof"], "assemblies.wall", "not a wall"),
    (["--set", "colours.siding=purple"], "colours.siding", "one of"),
    (["--set", "below.kind=skirting"], "below.kind", "skirted"),
    (["--set", "ventilation.heat_recovery=70 %"], "ventilation", "balanced"),
    (["--set", "design.heating=-9 F"], "design", "source"),
    (["--set", "assemblies.file=../../etc/passwd"], "assemblies.file", "folder of the house"),
    (["--set", "nonsense"], "--set", "key=value"),
    (["--package", "Herth"], "package", "Hearth"),
    (["--set", "people=0"], "people", "did you mean living.people?"),
    (["--set", "heating=70 F"], "heating", "did you mean set_points.heating or design.heating?"),
    (["--set", "roof.slope=6"], "roof.slope", "rise over run: 6 in 12 is 0.5"),
    (["--set", "roof.slope=6 in 0"], "roof.slope", "rise over run"),
    (["--set", "tariff.price=11"], "tariff.price", "US dollars per kWh; 11 cents is 0.11"),
    (["--set", "tariff.price=0,11"], "tariff.price", "write 0.11"),
    (["--set", "body.width=2,6 m"], "body.width", "write '2.6 m'"),
    (["--set", "below.skirt_u_value=R-6"], "below.skirt_u_value", "write 'U-0.167'"),
    (["--set", "windows.0.u_value=R-3.7"], "windows.0.u_value", "write 'U-0.270'"),
    (["--set", "loft.area=400 ft2"], "loft.area", "the sleeping loft's own floor"),
    (["--set", 'thermal_bridges=[{name="rim", psi=0.113, length="20 ft"}]'], "thermal_bridges.0.psi", "'0.11 Btu/h ft F'"),
    (["--units", "metric"], "command line", "--units"),
]


@pytest.mark.parametrize(("words", "field", "hint"), BAD, ids=[" ".join(b[0]) for b in BAD])
def test_bad_input_is_one_line_and_nothing_is_written(capsys, tmp_path, words, field, hint):
    house = str(Path(__file__).parents[2] / "workbooks" / "houses" / "plover-26g.toml")
    code, out, err = run(capsys, "size", house, "--place", "55802", "-o", str(tmp_path / "out"), *words)
    assert code == 2 and not out and err.count("\n") == 1
    assert field in err and hint in err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00\x01\x02", "name = 'x'".encode("utf-16"), b"name = [", b"name = 'x'\n"],
    ids=["empty", "binary", "utf-16", "broken", "incomplete"],
)
def test_a_broken_house_file_is_one_line(capsys, tmp_path, content):
    file = tmp_path / "house.toml"
    file.write_bytes(content)
    code, out, err = run(capsys, "size", str(file), "--place", "55802")
    assert code == 2 and not out and err.count("\n") == 1 and "house.toml" in err


def test_windows_line_ends_are_fine(tmp_path, starter):
    starter.write_bytes(starter.read_bytes().replace(b"\n", b"\r\n"))
    assert main(["size", str(starter), "--place", "55802"]) == 0


def test_a_huge_file_is_refused_before_it_is_read(capsys, tmp_path):
    file = tmp_path / "house.toml"
    with file.open("wb") as hole:
        hole.truncate(1_000_000_000)
    code, _, err = run(capsys, "size", str(file), "--place", "55802")
    assert code == 2 and "larger than" in err


@pytest.mark.parametrize(
    ("place", "hint"), [("Springfield", "27 states"), ("Duluht, MN", "Duluth"), ("00000", "place"), ("12,999", "place")]
)
def test_unknown_and_ambiguous_places(capsys, starter, place, hint):
    code, _, err = run(capsys, "size", str(starter), "--place", place)
    assert code == 2 and err.count("\n") == 1 and hint in err


def test_a_house_needs_a_place(capsys, starter):
    code, _, err = run(capsys, "size", str(starter))
    assert code == 2 and "--place" in err


def test_a_decimal_comma_in_a_file_is_named(capsys, starter):
    starter.write_text(starter.read_text(encoding="utf-8") + "\n[tariff]\nprice = 0,11  # a kWh\n", encoding="utf-8")
    code, _, err = run(capsys, "size", str(starter), "--place", "55802")
    assert code == 2 and err.count("\n") == 1 and "a decimal comma? write 0.11" in err


@pytest.mark.parametrize("slope", ["6 in 12", "6:12", "6/12"])
def test_a_roof_slope_is_said_as_builders_say_it(slope):
    assert load_house("starter", [f"roof.slope={slope}"]) == load_house("starter", ["roof.slope=0.5"])


def test_own_unit_file_joins_the_candidates(capsys, starter):
    unit = next((Path(__file__).parents[2] / "workbooks" / "units").glob("G09-S-115.csv"))
    (starter.parent / "mine.csv").write_text(unit.read_text().replace("G09-S-115", "Mine-9"))
    starter.write_text('units = "mine.csv"\n' + starter.read_text())
    code, out, _ = run(capsys, "size", str(starter), "--place", "97201", "--json")
    assert code == 0 and "Mine-9" in [c["unit"] for c in json.loads(out)["candidates"]]


def test_own_design_values_win_and_are_named(capsys, starter):
    code, out, _ = run(
        capsys,
        "size",
        str(starter),
        "--place",
        "97201",
        "--json",
        "--set",
        "design.heating=-9 F",
        "--set",
        "design.source=county building office",
    )
    record = json.loads(out)
    assert code == 0 and record["design"]["heating_99_C"] == pytest.approx(-41 / 1.8)
    assert any("county building office" in a["source"] for a in record["assumptions"])


def test_ip_and_si_input_give_the_same_answer(capsys, starter):
    _, first, _ = run(capsys, "size", str(starter), "--place", "97201", "--json")
    said = starter.read_text()
    for ip, si in (
        ("24 ft", "7.3152 m"),
        ('"8 ft 6 in"', '"2.5908 m"'),
        ('"9 ft"', '"274.32 cm"'),
        ('"70 F"', '"21.111111111111 C"'),
        ('"60 ft2"', '"5.5741824 m2"'),
    ):
        assert ip in said
        said = said.replace(ip, si)
    starter.write_text(said)
    _, second, _ = run(capsys, "size", str(starter), "--place", "97201", "--json")
    one, two = json.loads(first), json.loads(second)
    for key in ("heating_load_W", "cooling_sensible_W", "cooling_latent_W", "ua_W_K"):
        assert one[key] == pytest.approx(two[key], rel=1e-9)


def test_new_does_not_write_over_a_file(capsys, starter):
    code, _, err = run(capsys, "new", str(starter))
    assert code == 2 and "already exists" in err


@pytest.mark.parametrize("subject", ["house", "unit", "assembly"])
def test_schema_is_json(capsys, subject):
    code, out, _ = run(capsys, "schema", subject)
    assert code == 0 and json.loads(out)["$schema"].startswith("https://json-schema.org/")


def test_two_openings_of_one_name_are_refused_by_their_field(capsys, starter):
    said = starter.read_text()
    for count in ("count = 3\n", "count = 2\n"):
        said = said.replace(count, f'{count}name = "twin"\n')
    starter.write_text(said)
    code, _, err = run(capsys, "size", str(starter), "--place", "55802")
    assert code == 2 and "name" in err and "twin" in err


def test_a_unit_that_stops_above_the_design_cold_is_not_called_recommended(capsys, starter):
    code, out, _ = run(capsys, "size", str(starter), "--place", "Duluth, MN", "--full")
    assert code == 0 and "Recommended" not in out
    ordered = next(line for line in out.splitlines() if line.startswith("Order "))
    assert "with a second heater of" in ordered and "stops in the cold" in ordered
    assert "for the whole house in the hours in which the heat pump stands still" in " ".join(out.split())
    assert " ".join(out.split()).count("stands still: the second heater of the plan then carries the house") == 1
