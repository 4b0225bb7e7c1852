"""`heatcalc bridge`: ready details and drawn ones, JSON, figure, and bad drawings in one clear line."""

import json

import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.inputs.assembly.detail import load_detail, ready_names
from heatcalc.model.bridge_lines import ready_detail, ready_table
from heatcalc.model.detail_bridge import solve_detail

WALL = """
title = "Stud in a wall"
kind = "wall"
unit = "mm"
materials.stud = { conductivity = "0.12 W/mK" }
materials.wool = { conductivity = "0.04 W/mK" }
air = [{ name = "in", side = "inside", temperature = "20 C", film = "0.13 m2K/W" },
       { name = "out", side = "outside", temperature = "0 C", film = "0.04 m2K/W" }]
region = [{ material = "wool", x = [0, 600], y = [0, 100] },
          { material = "stud", x = [280, 320], y = [0, 100], bridge = true }]
edge = [{ side = "top", air = "in" }, { side = "bottom", air = "out" }]
point = [{ name = "face", x = 300, y = 100 }]
"""


@pytest.fixture
def drawing(tmp_path):
    def write(text=WALL):
        file = tmp_path / "wall.toml"
        file.write_text(text)
        return str(file)

    return write


def test_json_fields(drawing, capsys):
    assert main(["bridge", drawing(), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert {"heat_flow_W_m", "psi_W_mK", "surface_temperature_min_C", "temperature_factor", "cells", "points"} <= set(said)
    parallel = 20 * (0.56 / (0.17 + 2.5) + 0.04 / (0.17 + 0.1 / 0.12))
    assert parallel * 0.98 < said["heat_flow_W_m"] < parallel * 1.05  # the paths trade a little heat
    assert said["psi_W_mK"] == pytest.approx((said["heat_flow_W_m"] - 20 * 0.6 / 2.67) / 20, abs=1e-9)
    assert said["temperature_factor"] == pytest.approx(said["surface_temperature_min_C"] / 20)
    assert said["points"]["face"] == pytest.approx(said["surface_temperature_min_C"], abs=0.2)
    assert said["temperature_factor_sheltered"] < said["temperature_factor"]


def test_psi_does_not_depend_on_the_temperatures(drawing):
    one = solve_detail(load_detail(drawing())).psi_W_mK
    other = solve_detail(load_detail(drawing(WALL.replace('"20 C"', '"75 F"').replace('"0 C"', '"-25 F"')))).psi_W_mK
    assert one == pytest.approx(other, rel=1e-9)


def test_flank_and_missing_bridge_are_two_ways_to_one_psi(drawing):
    """The stud's psi beyond the plain wool wall, with the wall as a cut, as layers and as the drawing without stud."""
    plain = WALL.replace(", bridge = true", "")
    flank = '\nflank = [{ name = "wool", inside = 600, outside = 600, %s }]\n'
    ways = [
        WALL,
        plain + flank % 'cut = "left"',
        plain + flank % 'u_value = "0.37453183521 W/m2K"',
        plain + flank % 'layers = [["wool", 100]], between = ["in", "out"]',
    ]
    found = [solve_detail(load_detail(drawing(text))).psi_W_mK for text in ways]
    assert found == pytest.approx([found[0]] * 4, abs=1e-9)


@pytest.mark.parametrize("name", ready_names())
def test_ready_details_solve_and_tell_what_they_bear(name):
    bridge = solve_detail(load_detail(name))
    assert bridge.solution.last_change <= 0.002
    assert 0 < bridge.temperature_factor < 1 and 0 < bridge.mould_humidity_limit < bridge.condensation_humidity <= 1
    assert bridge.points and all(bridge.outside_C < value < bridge.inside_C for _, value in bridge.points)
    assert bridge.transmittance.change_W_mK < 0.005
    assert bridge.detail.source and bridge.cautions


def test_house_may_cite_every_ready_detail():
    table = {d["name"]: ready_detail(d["name"]) for d in ready_table()}
    assert set(table) == set(ready_names())
    assert {"joist-over-cross-member", "floor-edge", "wall-corner", "window-jamb", "wheel-well", "ridge", "eave"} <= set(table)
    assert all(b.psi_internal_W_mK >= b.psi_external_W_mK for b in table.values())  # outside lengths are longer
    assert table["floor-between-steel"].psi_external_W_mK > 5 * table["cross-member-in-belly"].psi_external_W_mK > 0
    with pytest.raises(InputError, match="wheel-well"):
        ready_detail("wheel-wel")


def test_text_report_and_list(capsys):
    assert main(["bridge", "floor-edge", "--units", "si"]) == 0
    text = capsys.readouterr().out
    for words in ("psi", "W/mK", "coldest", "temperature factor", "mould limit", "not a promise", "licensed practice"):
        assert words in text
    assert main(["bridge"]) == 0
    assert all(name in capsys.readouterr().out for name in ("wheel-well",))
    assert main(["bridge", "--json"]) == 0
    assert {row["name"] for row in json.loads(capsys.readouterr().out)} == set(ready_names())


def test_figure_is_written_whole_and_the_same_each_time(tmp_path, capsys):
    for folder in ("one", "two"):
        assert main(["bridge", "window-jamb", "-o", str(tmp_path / folder)]) == 0
    files = sorted(file.name for file in (tmp_path / "one").iterdir())
    assert files == ["bridge.html", "result.json", "window-jamb.png", "window-jamb.svg"]
    for name in files:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    assert (tmp_path / "one" / "window-jamb.png").read_bytes().startswith(b"\x89PNG")


BAD = [
    ('material = "stud", x', 'material = "stadd", x', "is not a material"),
    ("x = [0, 600], y = [0, 100]", "x = [0, 600], y = [10, 100]", "nothing is drawn"),
    ('side = "top", air = "in"', 'side = "top", air = "inn"', "is not one of the airs"),
    ('side = "top"', 'side = "upper"', "edge.0.side"),
    ('kind = "wall"', 'kind = "wall"\ncolour = "red"', "unknown key"),
    ("x = [280, 320], y = [0, 100]", "x = [280, 280], y = [0, 100]", "encloses no area"),
    ("x = [280, 320], y = [0, 100]", "polygon = [[280, 0], [320, 100], [320, 0], [280, 90]]", "crosses itself"),
    ('"20 C"', '"20"', "needs a unit"),
    ('"0.04 W/mK"', '"-1 W/mK"', "allowed"),
    ("x = 300, y = 100", "x = 300, y = 900", "point"),
    ('film = "0.13 m2K/W"', 'film = "nan m2K/W"', "film"),
    ('name = "out", side', 'name = "in", side', "is used twice"),
    ('edge = [{ side = "top", air = "in" }, { side = "bottom", air = "out" }]', "edge = []", "touches no air"),
    ('[{ side = "top", air = "in" }', '[{ side = "top", air = "in", from = 0, to = 900 }', "reaches beyond"),
    ('title = "Stud in a wall"', "title = Stud", "not valid TOML"),
]


@pytest.mark.parametrize("good, bad, words", BAD, ids=[words for *_, words in BAD])
def test_bad_drawings_say_what_is_wrong_in_one_line(drawing, capsys, good, bad, words):
    assert good in WALL
    assert main(["bridge", drawing(WALL.replace(good, bad, 1))]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and words in err


@pytest.mark.parametrize(
    "words",
    [
        ["bridge", "wheel-wel"],
        ["bridge", "no/such.toml"],
        ["bridge", "eave", "--limit", "banana"],
        ["bridge", "eave", "--limit", "0 %"],
    ],
)
def test_bad_words_exit_2(words, capsys):
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1


def test_a_limit_out_of_reach_is_no_answer(capsys):
    assert main(["bridge", "floor-between-steel", "--limit", "0.01 %"]) == 1
    assert "--limit" in capsys.readouterr().err
