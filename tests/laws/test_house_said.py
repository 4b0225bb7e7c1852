"""What a house file may say, and what is refused: lofts, soil, studs, set points, tightness, closed doors, published limits."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from heatcalc.answers.methods.envelope_rules import U_IP, CodeRow
from heatcalc.answers.study.tornado import case_of
from heatcalc.answers.study.uncertain import moved, uncertain_inputs
from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.house.house_pieces import about_ach50, read_tightness
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.one_head import one_head_warnings
from heatcalc.judge.sense import sense_warnings
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.physics.shell import ground
from heatcalc.physics.shell.framing import read_framing
from heatcalc.physics.unit.machine import measured_cycle
from heatcalc.supply.charge import rooms_of
from heatcalc.units import parse

BODY = {"name": "S", "body": {"length": "20 ft", "width": "8 ft", "wall_height": "9 ft"}}
PLACE = find_place("Burlington, VT")


def test_a_number_in_the_place_of_a_table_is_told_the_keys_of_the_table():
    with pytest.raises(InputError, match=r"supply.generator = '5000 W': is a table of its own; its keys: rated, fuel"):
        load_house(None, ['supply.generator="5000 W"'])


def test_a_night_above_the_cooling_set_point_is_refused_with_both_values():
    with pytest.raises(InputError, match=r"the cooling set point must be at least 1 F above night_heating, given 75 .F.*78"):
        load_house(None, ['set_points.night_heating="78 F"'])
    with pytest.raises(InputError, match=r"loft.area of 200 ft.*more than the whole floor of 160 ft"):
        house_from(BODY | {"loft": {"area": "200 ft2"}})


def test_several_lofts_are_one_of_their_joint_floor():
    lofts = [{"area": "40 ft2", "warmer_by": "6 F"}, {"area": "20 ft2", "warmer_by": "3 F"}]
    joint = house_from(BODY | {"loft": lofts}).loft
    assert joint.area == pytest.approx(60 * 0.3048**2) and joint.warmer_by == pytest.approx(5.0 / 1.8)
    one = house_from(BODY | {"loft": lofts[:1]}).loft
    assert one == house_from(BODY | {"loft": lofts[0]}).loft
    with pytest.raises(InputError, match="loft"):
        house_from(BODY | {"loft": [{"area": "40 ft2", "warm_by": "6 F"}]})


def test_the_refrigerant_s_room_has_no_loft():
    plain, lofted = (house_from(BODY | more) for more in ({}, {"loft": {"area": "40 ft2"}}))
    rooms = [rooms_of(h, m.floor_area_m2, m.volume_m3)[0] for h in (plain, lofted) for m in (house_model(h),)]
    assert rooms[0].area == pytest.approx(rooms[1].area)


def test_soil_conducts_as_said():
    """Slab U by ISO 13370 at the said conductivity; a slab on rock loses more, over open air nothing changes."""
    slabs = [house_model(house_from(BODY | {"below": {"kind": "slab", "soil_conductivity": f"{k} W/mK"}})) for k in (1.5, 3.5)]
    floors = [next(p for p in m.opaque if p.kind == "floor") for m in slabs]
    r, shell = sum(floors[1].body.resistance), slabs[1].shell
    assert floors[1].u_value == pytest.approx(ground.slab_on_ground_u(r, shell.footprint_m2, shell.perimeter_m, 3.5))
    assert floors[1].u_value > floors[0].u_value
    plain = house_model(house_from(BODY | {"below": {"kind": "slab"}}))
    assert next(p for p in plain.opaque if p.kind == "floor").u_value == floors[0].u_value


def test_metric_studs():
    """45 x 145 mm at 600 mm: 0.045 wide, 0.145 deep, 7.5 % of the wall by width over spacing."""
    stud = read_framing("45x145 mm studs 600 mm o.c.")
    assert (stud.width_m, stud.depth_m, stud.spacing_m) == (0.045, 0.145, pytest.approx(0.6))
    assert stud.geometric_share == pytest.approx(0.075)
    assert read_framing("45x145 battens 600 mm").width_m == 0.145
    with pytest.raises(ValueError, match="45x145"):
        read_framing("7x9 studs 16 in o.c.")


def test_tightness_words_run_from_loose_to_tight_and_say_their_fan_test():
    """The ACH50 beside a word is the starter house's own, to the digits shown."""
    words = about_ach50()
    assert list(words.values()) == sorted(words.values(), reverse=True)
    for word, about in words.items():
        found = house_model(load_house("starter", [f"air.tightness={word}"])).air.leakage.ach50
        assert float(f"{found:.2g}") == about, word
    with pytest.raises(ValueError, match="very leaky: about 110 ACH50, leaky"):
        read_tightness("tigt")


def test_a_printed_limit_is_compared_at_its_printed_digits():
    """A label of U-0.30 stands at a limit of 0.300, U-0.31 above it."""
    at = CodeRow("window", parse("U-0.30", "U-value"), 0.300 * U_IP, "")
    assert at.within and not replace(at, u_value=parse("U-0.31", "U-value")).within


QUIET = SimpleNamespace(unit=SimpleNamespace(sound_dBA=None), name="a unit")


def test_bedrooms_behind_doors_warn_from_the_house_file_alone():
    def said(**more):
        return " ".join(str(w) for w in one_head_warnings(house_model(house_from(BODY | more)), QUIET))

    assert "2 bedrooms, none of them named" in said(bedrooms=2) and "bedrooms" not in said(bedrooms=1)
    rooms = [{"name": n, "area": "60 ft2", "volume": "400 ft3"} for n in ("one", "two")]
    assert "bedrooms," not in said(bedrooms=2, supply={"closed_rooms": rooms})


def test_a_tight_house_s_exhaust_fan_is_told_what_it_pulls():
    def warned(tightness, kind="exhaust"):
        house = house_from(BODY | {"air": {"tightness": tightness}, "ventilation": {"kind": kind, "rate": "30 cfm"}})
        return any("exhaust fan alone" in str(w) for w in sense_warnings(designer_of(house_model(house), PLACE), "a unit", None))

    assert warned("0.6 ACH50") and not warned("5 ACH50") and not warned("0.6 ACH50", "balanced")


def test_a_published_design_value_has_its_own_smaller_sigma_and_is_the_one_that_moves():
    """Alaska's record is open by 7 F; a published value of one's own by its own sigma, in bars and draws alike."""
    own = {"heating": "-40 F", "source": "published"}
    (_, plain), (sized, said) = (
        case_of(house_from(BODY | m), find_place("Fairbanks, AK"), "G12-C-230") for m in ({}, {"design": own})
    )
    spread = [next(u.high for u in uncertain_inputs(c) if u.name == "cold") for c in (plain, said)]
    assert 0 < spread[1] < spread[0]
    warmer = moved(said, "cold", 3.0)
    assert designer_of(warmer.model, warmer.place).conditions.heating_C == pytest.approx(
        sized.designer.conditions.heating_C + 3.0
    )


def test_a_cycle_between_two_given_states_counts_the_shell():
    """The same states with a shell that loses a share s of the work take 1 / (1 - s) as much."""
    states = ("R-32", (8e5, 5.0), (2.5e6, 80.0), 35.0)
    still, lossy = measured_cycle(*states), measured_cycle(*states, 0.1)
    assert lossy.work_J_kg * 0.9 == pytest.approx(still.work_J_kg) and lossy.cooling_J_kg == still.cooling_J_kg
    with pytest.raises(ValueError, match="above"):
        measured_cycle("R-32", (2.5e6, 80.0), (8e5, 5.0), 35.0)
