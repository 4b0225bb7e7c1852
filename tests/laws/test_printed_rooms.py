"""A unit's own rows for other rooms: each comes back in its room, whatever the table; between rooms no value leaves them."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.files import folder
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.inputs.unit.unit_points import Point, room_of
from heatcalc.model.year_unit import GRID_C, RoomUnits
from heatcalc.physics.unit.at_site import at_site, by_factors, in_printed_rooms, indoor_factors, own_and_printed, room_weights
from heatcalc.physics.unit.heat_pump import capacity, input_power

EXAMPLE = folder("workbooks") / "units" / "example_rooms.csv"
HEAD = EXAMPLE.read_text(encoding="utf-8").split("mode,outdoor_F")[0]
COLUMNS = "mode,outdoor_C,indoor_C,indoor_wet_bulb_C,level,capacity_W,power_W,sensible_heat_ratio\n"
UNIT = replace(read_unit(EXAMPLE), defrost="integrated")  # so that only the room changes its rows

outdoors = {"heating": (-20.0, -12.0, -7.0, 2.0, 9.0), "cooling": (22.0, 28.0, 35.0, 42.0)}
rooms = {
    "heating": ((16.0, ""), (18.5, ""), (21.0, ""), (24.0, "")),
    "cooling": ((21.0, 15.0), (24.0, 15.0), (24.0, 17.0), (27.0, 19.0), (30.0, 21.0)),
}


@st.composite
def tables(draw):
    """Any rows of a believable unit: a few rooms, each with its own outdoor temperatures and levels, each row a little off."""
    lines = []
    for mode in ("heating", "cooling"):
        chosen = draw(st.lists(st.sampled_from(rooms[mode]), min_size=1, max_size=4, unique=True))
        for dry, wet in chosen:
            temperatures = draw(st.lists(st.sampled_from(outdoors[mode]), min_size=2, max_size=4, unique=True))
            for level, share in draw(st.sampled_from([(("max", 1.0),), (("rated", 0.75),), (("min", 0.3), ("max", 1.0))])):
                for outdoor in sorted(temperatures):
                    slope = 0.012 if mode == "heating" else -0.012
                    watts = share * 4000.0 * (1.0 + slope * (outdoor - 9.0)) * draw(st.floats(0.94, 1.06))
                    shr = round(draw(st.floats(0.6, 0.95)), 3) if mode == "cooling" and level == "max" else ""
                    cop = draw(st.floats(2.7, 3.1))
                    lines.append((mode, outdoor, dry, wet, level, round(watts, 1), round(watts / cop, 1), shr))
    return lines


def unit_of(lines, path):
    path.write_text(HEAD + COLUMNS + "\n".join(",".join(map(str, line)) for line in lines) + "\n", encoding="utf-8")
    return read_unit(path)


@given(lines=tables())
@settings(max_examples=40)
def test_every_row_comes_back_in_its_room(tmp_path_factory, lines):
    """Capacity, power and sensible share of each row, after the house's set point was moved to that row's room."""
    unit = replace(unit_of(lines, tmp_path_factory.mktemp("rooms") / "unit.csv"), defrost="integrated")
    for mode, outdoor, dry, wet, level, watts, electric, share in lines:
        here = at_site(unit, 0.0, dry) if mode == "heating" else at_site(unit, 0.0, 21.0, wet, dry)
        curves = getattr(here, mode)
        found, power = capacity(curves, outdoor, level), input_power(curves, outdoor, level)
        assert found.value_W[0] == pytest.approx(watts, rel=1e-12)
        assert power.value_W[0] == pytest.approx(electric, rel=1e-12)
        assert (found.mark[0], power.mark[0]) == ("given", "given")
        assert found.low_W[0] == found.high_W[0] == found.value_W[0]
        if share:
            assert np.interp(outdoor, curves.outdoor_C, curves.sensible_heat_ratio[level]) == pytest.approx(share, rel=1e-9)


@given(
    st.lists(st.tuples(st.integers(15, 30), st.integers(12, 22)), min_size=1, max_size=8, unique=True),
    st.floats(10, 35),
    st.floats(8, 26),
)
@settings(max_examples=80)
def test_room_weights_share_out_one_and_name_the_room(printed, dry_C, wet_C):
    weights = room_weights([(float(d), float(w)) for d, w in printed], dry_C, wet_C)[0]
    assert weights.sum() == pytest.approx(1.0) and weights.min() >= 0.0
    for k, (dry, wet) in enumerate(printed):
        assert room_weights([(float(d), float(w)) for d, w in printed], dry, wet)[0].tolist() == np.eye(len(printed))[k].tolist()


@given(st.floats(10.0, 30.0), st.sampled_from(["min", "rated", "max"]))
@settings(max_examples=60)
def test_a_warmer_room_between_printed_ones_gives_less_heat_for_more_power(room_C, level):
    """The example's rows fall with the room; so does everything between and beyond them."""
    cool, warm = (at_site(UNIT, 0.0, t).heating for t in (room_C, room_C + 1.0))
    assert np.all(warm.capacity_W[level] <= cool.capacity_W[level] * (1 + 1e-12))
    assert np.all(warm.power_W[level] >= cool.power_W[level] * (1 - 1e-12))


@given(st.floats(60.0, 75.0))
@settings(max_examples=30)
def test_between_two_printed_rooms_the_row_lies_between_them(fahrenheit):
    """47 F, maximum: 18,400 Btu/h at 60 F, 17,600 at 70 F, 17,100 at 75 F; the straight lines to 0.4 %, by the factors' bend."""
    room_C = (fahrenheit - 32) / 1.8
    found = capacity(at_site(UNIT, 0.0, room_C).heating, (47 - 32) / 1.8, "max")
    line = np.interp(fahrenheit, [60, 70, 75], [18400, 17600, 17100]) / 3.412142
    assert found.value_W[0] == pytest.approx(line, rel=0.004)
    assert found.mark[0] in ("given", "between")


@given(st.floats(18.0, 30.0), st.floats(0.35, 0.7))
@settings(max_examples=30)
def test_a_room_is_a_weighted_sum_of_printed_rooms(dry_C, relative):
    """What reaches over many places at once: the factors times the shares of the printed rooms give the same curves."""
    wet_C = dry_C - 9.0 * (1.0 - relative)
    curves = UNIT.cooling
    moved, plain = at_site(UNIT, 0.0, 21.0, wet_C, dry_C).cooling, by_factors(curves, dry_C, wet_C)
    weights = room_weights(own_and_printed(curves), dry_C, wet_C)[0]
    for level in curves.levels:
        total = sum(w * room.capacity_W[level] for w, room in zip(weights, in_printed_rooms(curves), strict=True))
        ratio = plain.capacity_W[level] / curves.capacity_W[level]
        assert moved.capacity_W[level] == pytest.approx(total * ratio, rel=1e-9) or np.allclose(weights[0], 1.0)


def test_rows_of_another_room_alone_are_brought_to_the_first_room(tmp_path):
    """5 F and the minimum printed at 60 F alone: used at 70 F too, by the factors and what both rooms print at 47 F."""
    lines = [
        ("heating", 8.0, 21.0, "", "max", 4000, 1000, ""),
        ("heating", -8.0, 21.0, "", "max", 3000, 950, ""),
        ("heating", 8.0, 16.0, "", "max", 4400, 1000, ""),
        ("heating", -15.0, 16.0, "", "max", 2800, 900, ""),
        ("heating", 8.0, 16.0, "", "min", 1200, 250, ""),
        ("cooling", 35.0, 27.0, 19.0, "rated", 3500, 950, 0.7),
        ("cooling", 28.0, 27.0, 19.0, "rated", 3600, 800, 0.7),
    ]
    unit = unit_of(lines, tmp_path / "unit.csv")
    assert any("2 heating rows printed for other rooms alone" in word for word in unit.assumed)
    cold, mild = (indoor_factors(t, 16.0, 21.0)[0] for t in (-15.0, 8.0))
    assert capacity(unit.heating, -15.0, "max").value_W[0] == pytest.approx(2800 / (cold * (4400 / 4000) / mild))
    assert capacity(unit.heating, -15.0, "max").mark[0] == "estimated"
    factor = indoor_factors(-15.0, 16.0, 21.0)[1] / indoor_factors(8.0, 16.0, 21.0)[1]
    assert input_power(unit.heating, -15.0, "max").value_W[0] == pytest.approx(900 / (factor * 1000 / 1000))
    plain = unit_of([line for line in lines if line[2] != 16.0], tmp_path / "plain.csv")
    assert "min" in unit.heating.levels and "min" not in plain.heating.levels


COOLING = [("cooling", 35.0, 27.0, 19.0, "rated", 3500, 950, 0.7), ("cooling", 28.0, 27.0, 19.0, "rated", 3600, 800, 0.7)]


def test_the_nearest_room_says_what_the_first_leaves_out(tmp_path):
    """-15 C printed for 16 C and for 20 C rooms: the 20 C row is brought to the 21 C room."""
    lines = [
        ("heating", 8.0, 21.0, "", "max", 4000, 1000, ""),
        ("heating", -8.0, 21.0, "", "max", 3000, 950, ""),
        ("heating", -15.0, 16.0, "", "max", 3300, 900, ""),
        ("heating", -15.0, 20.0, "", "max", 2700, 920, ""),
        *COOLING,
    ]
    unit = unit_of(lines, tmp_path / "unit.csv")
    assert capacity(unit.heating, -15.0, "max").value_W[0] == pytest.approx(2700 / indoor_factors(-15.0, 20.0, 21.0)[0])


def test_the_first_room_has_two_temperatures_where_one_has(tmp_path):
    """One row at the rating's 21.1 C and a table for 20 C: the table is the first room, the single row another."""
    lines = [
        ("heating", 8.0, 21.1, "", "max", 3950, 1010, ""),
        ("heating", 8.0, 20.0, "", "max", 4000, 1000, ""),
        ("heating", -8.0, 20.0, "", "max", 3000, 950, ""),
        *COOLING,
    ]
    unit = unit_of(lines, tmp_path / "unit.csv")
    assert unit.heating.indoor_C == pytest.approx(20.0)
    assert [room.indoor_C for room in unit.heating.rooms] == pytest.approx([21.1])


def test_a_unit_with_no_other_room_keeps_the_factors():
    bare = replace(UNIT, heating=replace(UNIT.heating, rooms=()))
    here = at_site(bare, 0.0, 24.0).heating
    there = by_factors(bare.heating, 24.0, bare.heating.indoor_wet_bulb_C)
    assert here.capacity_W["max"] == pytest.approx(there.capacity_W["max"])


def test_cooling_with_a_dry_bulb_alone_is_taken_at_the_rating_humidity():
    """80/67 F is 51 % relative humidity; 75 F at the same humidity has a wet bulb of 62.8 F (psychrometric relations)."""
    said = {"mode": "cooling", "outdoor": "95 F", "level": "rated", "capacity": "9000 Btu/h", "indoor": "75 F"}
    point = Point.model_validate(said)
    assert room_of(point)[1] * 1.8 + 32 == pytest.approx(62.8, abs=0.1)


def test_the_year_takes_the_row_of_its_room():
    """5 F outdoors: 12,500, 11,800 and 11,400 Btu/h at 60, 70 and 75 F set points, as the example's table prints."""
    for fahrenheit, btuh in ((60, 12500), (70, 11800), (75, 11400)):
        capacity_W, power_W = RoomUnits().heating(UNIT, (fahrenheit - 32) / 1.8)
        row = int(np.abs(GRID_C + 15.0).argmin())
        assert capacity_W[row, -1] == pytest.approx(btuh / 3.412142, rel=1e-5)
    cooled = RoomUnits().cooling(UNIT, (80 - 32) / 1.8, 0.5116, 0.0)[0]  # 51 % is 67 F wet bulb
    assert cooled[int(np.abs(GRID_C - 35.0).argmin()), -1] == pytest.approx(13600 / 3.412142, rel=1e-3)
