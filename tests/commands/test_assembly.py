"""heatcalc assembly: the shelf, one explained, several compared, and what cannot be used."""

import json

import pytest

from heatcalc.cli import main
from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly, WindowAssembly, load_assemblies
from heatcalc.physics.shell.layers import surface_resistance
from heatcalc.tables import rows

FIELDS = [
    "name",
    "u_value_W_m2K",
    "u_upper_limit_W_m2K",
    "u_lower_limit_W_m2K",
    "r_total_m2K_W",
    "parallel_path_u_W_m2K",
    "isothermal_planes_u_W_m2K",
    "thickness_m",
    "mass_kg_m2",
    "areal_heat_capacity_inside_J_m2K",
    "periodic_transmittance_W_m2K",
    "decrement_factor",
    "time_lag_h",
]

DULUTH = ("--place", "Duluth, MN")
MINE = """
["plain"]
kind = "wall"
layers = [ { name = "board", thickness = "25 mm", conductivity = "0.05 W/mK", price_per_ft2 = 2.0 } ]
["framed"]
kind = "wall"
layers = [ { framing = "2x4 studs 16 in o.c.", insulation = "R-13", framing_fraction = "25 %" } ]
["bridged"]
kind = "wall"
layers = [ { name = "board", thickness = "25 mm", conductivity = "0.05 W/mK" } ]
thermal_bridges = [ { name = "steel", psi = "0.06 W/mK", spacing = "600 mm" } ]
"""


def wall(layers: str) -> str:
    return f'["mine"]\nkind = "wall"\nlayers = [{layers}]\n'


@pytest.fixture
def mine(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(MINE, encoding="utf-8")
    return str(file)


def asked(capsys, *words):
    assert main(["assembly", *words, "--full"]) == 0
    return capsys.readouterr().out


def test_json_has_every_promised_field(capsys):
    records = json.loads(asked(capsys, "--json"))
    assert len(records) >= 28
    for record in records:
        assert set(FIELDS) <= set(record)
        assert record["r_total_m2K_W"] == pytest.approx(1 / record["u_value_W_m2K"])
        if record["kind"] in ("wall", "roof", "floor"):
            assert all(record[f] is not None for f in FIELDS)
            assert record["u_upper_limit_W_m2K"] <= record["u_value_W_m2K"] <= record["u_lower_limit_W_m2K"]


def test_values_by_hand(capsys, mine):
    plain, framed, bridged = json.loads(asked(capsys, mine, "--json"))
    assert plain["r_total_m2K_W"] == pytest.approx(0.13 + 0.5 + 0.04)
    assert plain["price_per_m2"] == pytest.approx(2.0 / 0.09290304)
    assert bridged["u_value_W_m2K"] == pytest.approx(1 / 0.67 + 0.06 / 0.6)
    stud, cavity = 0.0889 / 0.12, 13 * 0.1761102
    upper = 1 / (0.25 / (0.17 + stud) + 0.75 / (0.17 + cavity))
    lower = 0.17 + 1 / (0.25 / stud + 0.75 / cavity)
    assert framed["u_value_W_m2K"] == pytest.approx(2 / (upper + lower))


def test_explains_one_and_says_the_limits_of_moisture(capsys):
    told = asked(capsys, "breeze-wall", "--place", "Bozeman, MT")
    assert "Limits of the method" in told and "not a proof" in told
    assert "kraft facing" in told and "time lag" in told


def test_moisture_record(capsys):
    wall_, window = json.loads(asked(capsys, "Breeze wall", "Breeze window", "--place", "Bozeman, MT", "--json"))
    assert wall_["moisture"]["limits"] and window["moisture"]["limits"]
    assert {s["name"] for s in wall_["moisture"]["spots"]} == {"clear cavity", "framing"}
    assert wall_["moisture"]["weakest"] == "framing"
    assert len(wall_["moisture"]["indoor_relative_humidity"]) == 12


def moisture_of(capsys, *words):
    (record,) = json.loads(asked(capsys, *words, "--json"))
    return record["moisture"]


def test_the_house_says_whose_people_and_fan(capsys):
    told = " ".join(asked(capsys, "Breeze wall", *DULUTH).split())
    assert "computed humidity of Plover 26G (invented demo house): 2 people" in told
    assert "exhaust fan at the ASHRAE 62.2 rate and 4.0 ACH50" in told
    assert "humidity class 3" in " ".join(asked(capsys, "Breeze wall", *DULUTH, "--humidity-class", "3").split())


def test_the_house_counts(capsys):
    """More people make the air damper; another set point and another house show."""
    plain = moisture_of(capsys, "Breeze wall", *DULUTH)
    crowded = moisture_of(capsys, "Breeze wall", *DULUTH, "--set", "living.people=5")
    assert min(crowded["indoor_relative_humidity"]) > min(plain["indoor_relative_humidity"])
    assert moisture_of(capsys, "Breeze wall", *DULUTH, "--indoor", "65 F")["indoor_C"][0] == pytest.approx(18.3333, abs=1e-3)
    assert "Plover" not in moisture_of(capsys, "Breeze wall", *DULUTH, "--house", "starter")["basis"]


def test_the_steel_of_the_house_is_a_weak_point_of_its_floor(capsys):
    """The demo house names its floor edge and wheel wells; a class of the standard knows no house and no steel."""
    floor = moisture_of(capsys, "Breeze floor", *DULUTH)
    assert {"floor edge on the perimeter angle (2-D)", "wheel wells (2-D)"} < {s["name"] for s in floor["spots"]}
    assert floor["weakest"] == min(floor["spots"], key=lambda s: s["temperature_factor"])["name"]
    assert floor["weakest"].endswith("(2-D)") and f"the {floor['weakest']} (" in floor["finding"]
    assert any("draw your own steel" in text for text in floor["limits"])
    assert not any("2-D" in s["name"] for s in moisture_of(capsys, "Breeze wall", *DULUTH)["spots"])
    assert not any("2-D" in s["name"] for s in moisture_of(capsys, "Breeze floor", *DULUTH, "--humidity-class", "3")["spots"])


def test_the_steel_stud_is_a_weak_point_of_its_wall(capsys):
    """A stud's own surface, colder than the mean of its wall; foam outside warms it."""
    bare = moisture_of(capsys, "Steel stud wall R-13", *DULUTH)
    foam = moisture_of(capsys, "Steel stud wall R-13 foam", *DULUTH)
    assert bare["weakest"] == foam["weakest"] == "steel stud (2-D)"
    assert min(s["temperature_factor"] for s in bare["spots"]) < min(s["temperature_factor"] for s in foam["spots"])
    assert any("doubled studs are colder" in text for text in bare["limits"])


def test_a_steel_stud_wall_at_the_ends_of_what_can_be_said(capsys, tmp_path):
    """A sheet without resistance beside the studs, and half a metre of foam, are solved too."""
    file = tmp_path / "steel.toml"
    stud = '{ framing = "2x4 steel studs 24 in o.c.", insulation = "R-13" }'
    sheet = '{ name = "sheet", thickness = "3 mm", r_value = "0 m2K/W" }'
    foam = '{ name = "foam", thickness = "500 mm", r_value = "20 m2K/W" }'
    for more in (sheet, foam):
        file.write_text(wall(f"{more}, {stud}, {more}"), encoding="utf-8")
        assert 0.0 < min(s["temperature_factor"] for s in moisture_of(capsys, str(file), *DULUTH)["spots"]) < 1.0


def test_a_bridge_with_only_a_psi_says_so(capsys):
    own = 'thermal_bridges=[{name = "own steel", psi = "0.2 W/mK", length = "3 m", part = "wall"}]'
    assert "own steel: only a psi is known" in asked(capsys, "Breeze wall", *DULUTH, "--set", own)


def test_damp_room_air_is_said_plainly(capsys):
    """Above 80 % in the room no surface is warm enough, whatever the wall."""
    told = " ".join(asked(capsys, "Hearth wall", *DULUTH, "--indoor-rh", "85 %").split())
    assert "no surface is warm enough" in told and "stay under" not in told


PRICES = 'basis = "our quotes"\n[per_ft2]\n"Breeze wall" = 12.5\n'


def test_prices_are_invented_until_the_user_gives_some(capsys, tmp_path, mine):
    file = tmp_path / "prices.toml"
    file.write_text(PRICES, encoding="utf-8")
    assert "invented demo prices" in asked(capsys) and "14.00 $/ft²" in asked(capsys, "Breeze wall")
    breeze, park = json.loads(asked(capsys, "Breeze wall", "Park wall R-11", "--prices", str(file), "--json"))
    assert breeze["price_per_m2"] == pytest.approx(12.5 / 0.09290304) and breeze["price_basis"] == "our quotes"
    assert park["price_per_m2"] is None and park["price_basis"] == ""
    plain = json.loads(asked(capsys, mine, "--json"))[0]
    assert plain["price_basis"] == "as written with the assembly"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[per_ft2]\n"Breze wall" = 3\n', 'did you mean "Breeze wall"?'),
        ('[per_ft2]\n"Breeze wall" = -3\n', "per_ft2.Breeze wall"),
        ('[per_ft2]\n"Breeze wall" = "dear"\n', "per_ft2.Breeze wall"),
        ("[per_ft2]\n", "per_ft2"),
        ('"Breeze wall" = 3\n', "Breeze wall"),
        ("[per_ft2\n", "prices.toml"),
    ],
)
def test_bad_prices_are_one_clear_line(capsys, tmp_path, text, says):
    file = tmp_path / "prices.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["assembly", "--prices", str(file)]) == 2
    error = capsys.readouterr().err
    assert says in error and error.count("\n") == 1 and "Traceback" not in error


def test_drier_house_gathers_less_water(capsys):
    def gathered(humidity):
        (record,) = json.loads(asked(capsys, "Breeze wall", "--place", "Bozeman, MT", "--indoor-rh", humidity, "--json"))
        return max((max(w["water_kg_m2"]) for w in record["moisture"]["condensation"]), default=0.0)

    assert gathered("20 %") <= gathered("40 %") < gathered("60 %")


def test_house_moisture_balance(capsys):
    told = asked(capsys, "Breeze wall", "--place", "Bozeman, MT", "--moisture", "100 g/h", "--airflow", "22 cfm")
    assert "0.21 pint/h of moisture carried off by 22 cfm" in " ".join(told.split())


def test_both_unit_systems_tell_the_same(capsys):
    assert "0.498 W/m²K" in asked(capsys, "Breeze wall", "--units", "si")
    assert "0.088 Btu/h·ft²·°F" in asked(capsys, "Breeze wall", "--units", "ip")


def test_figure_is_drawn_the_same_twice(capsys, tmp_path):
    files = [tmp_path / name / "section.svg" for name in ("one", "two")]
    for file in files:
        assert str(file) in asked(capsys, "Hearth wall", "--outdoor=-10 F", "-o", str(file.parent))
    assert files[0].read_bytes() == files[1].read_bytes()
    assert b"temperature through the clear section" in files[0].read_bytes()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (wall('{ material = "gypsum bord", thickness = "1/2 in" }'), 'did you mean "gypsum board"?'),
        (wall('{ material = "softwood framing" }'), "thickness"),
        (wall('{ framing = "2x4 studs", insulation = "R-13" }'), "2x4 studs 16 in o.c."),
        (wall('{ framing = "2x5 studs 16 in o.c.", insulation = "R-13" }'), "not a lumber size"),
        (wall('{ framing = "2x6 steel joists 16 in o.c.", insulation = "R-19" }'), "heatcalc bridge"),
        (wall('{ framing = "2x4 steel studs 19 in o.c.", insulation = "R-13" }'), "16 and 24 in"),
        (wall('{ material = "OSB", thickness = "7/16 R" }'), "thickness"),
        (wall('{ material = "OSB", thicknes = "7/16 in" }'), 'did you mean "thickness"?'),
        (wall('{ air = "3/4 in", openings = "some" }'), "well ventilated"),
        (wall('{ air = "3/4 in", openings = "well ventilated" }'), "nothing stands inside"),
        (wall('{ material = "house wrap" }'), "no thermal resistance"),
        (wall(", ".join(['{ framing = "2x2 battens 16 in o.c.", insulation = "EPS" }'] * 9)), "same_framing_as"),
        (wall(""), "layers"),
        ('["mine"]\nkind = "wal"\n', 'did you mean "wall"?'),
        ('["mine"]\nkind = "door"\ntype = "insulated metl"\n', 'did you mean "insulated metal"?'),
        ('["mine"]\nkind = "window"\nu_value = "R-3"\n', "u_value"),
        ('["mine"]\nkind = "window"\nglazing = "tripple clear 3mm"\n', "triple clear 3mm"),
        ('["mine"]\nkind = "window"\nglass_u = "U-0.25"\nframe_u = "U-0.3"\nframe_width = "10 in"\nwidth = "1 ft"\n', "frame"),
        ("", "no assembly"),
        ("mine = 3\n", "table"),
    ],
)
def test_bad_files_are_one_clear_line(capsys, tmp_path, text, says):
    file = tmp_path / "bad.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["assembly", str(file)]) == 2
    error = capsys.readouterr().err
    assert says in error and error.count("\n") == 1 and "Traceback" not in error


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["Breze wall"], 'did you mean "Breeze wall"?'),
        (["missing.toml"], "no such file"),
        (["--indoor", "70"], "unit"),
        (["--indoor", "400 F"], "allowed"),
        (["Breeze wall", "--moisture", "100 g/h"], "--airflow"),
        (["Breeze wall", "--indoor-rh", "40 %"], "--place"),
        (["Breeze wall", "--airflow", "22 cfm"], "--moisture"),
        (["--humidity-class", "3"], "--place"),
        (["--house", "starter"], "--place"),
        (["--set", "living.people=3"], "--place"),
        ([*DULUTH, "--humidity-class", "6"], "1 (dry) to 5"),
        ([*DULUTH, "--humidity-class", "wet"], "1 (dry) to 5"),
        ([*DULUTH, "--house", "starter", "--humidity-class", "3"], "one way"),
        ([*DULUTH, "--set", "living.people=3", "--indoor-rh", "40 %"], "one way"),
        ([*DULUTH, "--indoor-rh", "40 %", "--moisture", "100 g/h", "--airflow", "22 cfm"], "one way"),
        ([*DULUTH, "--house", "no-such.toml"], "no-such.toml"),
        ([*DULUTH, "--indoor", "85 F"], "set point"),
        ([*DULUTH, "--package", "Breze"], "Breeze"),
        (["--place", "Nowhereville, ZZ"], "Nowhereville"),
        (["--outdoor", "cold"], "--outdoor"),
        (["--prices", "no-such.toml"], "no-such.toml"),
    ],
)
def test_bad_words_are_one_clear_line(capsys, words, says):
    assert main(["assembly", *words]) == 2
    error = capsys.readouterr().err
    assert says in error and error.count("\n") == 1


def test_label_values_win_over_defaults(tmp_path):
    file = tmp_path / "w.toml"
    file.write_text(
        '["w"]\nkind = "window"\nframe = "metal"\nu_value = "U-0.25"\nshgc = 0.2\nair_leakage_cfm_ft2 = 0.3\n'
        '["d"]\nkind = "window"\nframe = "metal"\n',
        encoding="utf-8",
    )
    both = load_assemblies(file)
    label, default = both["w"], both["d"]
    assert isinstance(label, WindowAssembly) and isinstance(default, WindowAssembly)
    assert label.u_value_W_m2K == pytest.approx(0.25 * 5.678263) and label.shgc == 0.2
    assert label.air_leakage_m3_s_m2 == pytest.approx(0.3 * 0.00508, rel=1e-3)
    assert default.u_value_W_m2K == pytest.approx(0.80 * 5.678263) and default.notes


def test_ventilated_cavities_blend(tmp_path):
    """ISO 6946: 500 mm2/m counts in full, 1500 mm2/m drops cladding and takes Rse = Rsi, linear between."""
    inner = '{ name = "b", thickness = "50 mm", r_value = "2 m2K/W" }'
    totals = {}
    for openings in (0, 500, 1000, 1500):
        file = tmp_path / "v.toml"
        file.write_text(
            wall(
                f'{inner}, {{ air = "25 mm", openings = "{openings} mm2/m" }}, '
                '{ material = "larch cladding", thickness = "20 mm" }'
            ),
            encoding="utf-8",
        )
        totals[openings] = 1 / load_assemblies(file)["mine"].u_value_W_m2K
    assert totals[0] == totals[500]
    assert totals[1500] == pytest.approx(2.0 + 2 * surface_resistance("inside", "horizontal"))
    assert totals[1000] == pytest.approx((totals[500] + totals[1500]) / 2)


def test_shelf_is_whole():
    shelf = load_assemblies()
    kinds = [a.kind for a in shelf.values()]
    assert sum(k in ("wall", "roof", "floor") for k in kinds) >= 20 and kinds.count("window") >= 8 and kinds.count("door") >= 3
    glazings = {row["name"] for row in rows("shgc_angle")}
    for found in shelf.values():
        if isinstance(found, WindowAssembly):
            assert found.glazing in glazings
        if isinstance(found, OpaqueAssembly):
            assert len(found.groups) == len(found.layers) + len(found.cladding)


def test_materials_table_is_whole():
    for row in rows("materials"):
        assert row["source"] and row["mark"]
        assert row["conductivity_W_mK"] or row["resistance_m2K_W"], row["name"]
        assert row["vapour_resistance_factor"] or row["sd_m"], row["name"]
        assert float(row["density_kg_m3"]) > 0 and float(row["specific_heat_J_kgK"]) > 0
