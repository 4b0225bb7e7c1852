"""The question that is judged: its house, its places, its price, and what is told besides."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge import assumed, one_head, sizing, three_plans
from heatcalc.judge.cases import Case, Change, as_designed
from heatcalc.judge.choice import candidate_of, task_of
from heatcalc.judge.sense import best_conductivity_W_mK
from heatcalc.judge.unit_there import Rooms
from heatcalc.tables import rows
from tests.made import designer_in


def designer(*changes):
    return designer_in("Burlington, VT", *changes)


# ---- the question


def test_a_case_of_another_house_or_panel_keeps_what_it_knows():
    house, place = load_house(), find_place("Burlington, VT")
    case = Case(house=house, places=(place,), folder="here", units={"a": None}, package_usd=7.0, ready=(designer(),))
    other = load_house(changes=["set_points.heating=18 C"])
    new = case.with_house(other)
    assert (new.house, new.places, new.folder, new.units, new.package_usd, new.ready) == (
        other,
        (place,),
        "here",
        {"a": None},
        7.0,
        (),
    )
    assert case.with_house(other, 9.0).package_usd == 9.0
    locked = load_house(changes=['supply.lock_outs=[["heat pump", "water heater"]]'])
    panel = case.on_another_panel(locked)
    assert panel.house is locked and panel.ready[0].model.house is locked
    moving = replace(case, ready=(designer(), designer("set_points.heating=18 C")))
    assert moving.model is designer().model


def test_the_price_of_a_package_is_part_of_the_question(monkeypatch):
    monkeypatch.setattr(sizing, "package_usd_of", lambda _: 1200.0)
    monkeypatch.setattr(sizing, "KEPT", {})  # what this stands for a sizing is no sizing for others
    monkeypatch.setattr(sizing, "size_case", lambda case, walk, sure: (case.package_usd, len(case.places), walk, sure))
    assert sizing.size_house(load_house(), find_place("Burlington, VT"), walk=False) == (1200.0, 1, False, sizing.SURE)


def test_design_values_of_the_user_have_no_error_of_the_place():
    d = designer("design.heating=-20 C", 'design.source="a neighbour"')
    own, plain = as_designed(d), as_designed(designer())
    assert (own.heating_99_C, own.sigma_heating_K, own.sigma_heating_996_K) == (-20.0, 0.0, 0.0)
    assert plain.sigma_heating_K == find_place("Burlington, VT").sigma_heating_K > 0.0


def test_a_candidate_has_the_task_of_its_house_or_the_one_that_is_ready():
    unit = load_units()["G12-C-230"]
    own = task_of(designer())
    assert candidate_of(unit, designer()).task.sensible_W == own.sensible_W
    ready = replace(own, sensible_W=1.0)
    assert candidate_of(unit, designer(), ready).task is ready


def test_height_counts_from_the_first_metre():
    """At sea level nothing is scaled; at 1,500 m the unit gives less and its coil is drier or as dry."""
    house = load_house()
    rooms = [
        Rooms(house, Case(house=house, places=(replace(find_place("Burlington, VT"), elevation_m=z),)).sites)
        for z in (0.0, 1500.0)
    ]
    assert rooms[0].total[0] == 1.0 and rooms[0].drier[0] == 1.0 and 0.9 < rooms[1].total[0] < 1.0


def test_a_change_that_is_not_enough_is_tried_with_one_lock_out_more(monkeypatch):
    """The first lock-out with which a plan keeps the supply is taken, and none where the change alone does."""
    for name, what in (
        ("judged_units", lambda *_, **__: [SimpleNamespace(holds=np.array([True]))]),
        ("lock_outs", lambda _: [Change(f"lock out {k}", k, "", 0.0) for k in "abc"]),
        ("on_panel", lambda judged, house: judged),
    ):
        monkeypatch.setattr(three_plans, name, what)
    new = SimpleNamespace(package_usd=50.0, on_another_panel=lambda house: f"on {house}")
    case = SimpleNamespace(package_usd=0.0, with_house=lambda *_: new)
    for enough, found in (("lock out b", [("on b", "seal and lock out b")]), ("seal", [(new, "seal")])):
        kept = lambda judged, change, usd, enough=enough: [change.words] * change.words.endswith(enough)  # noqa: E731
        monkeypatch.setattr(three_plans, "_kept", kept)
        tried = three_plans._with_change(case, Change("seal", "house", "", 50.0), None)
        assert tried[: len(found)] == found


# ---- words and sense


def test_steel_of_a_trailer_adds_up(monkeypatch):
    monkeypatch.setattr(assumed, "trailer_lines", lambda *_: [SimpleNamespace(loss_W_K=w) for w in (1.5, 2.5)])
    assert assumed._steel_W_K("any", designer().model) == 4.0


def test_only_a_place_far_from_the_room_is_told(monkeypatch):
    """Three kelvin off is not told, more is."""
    for floor_C, told in ((18.0, 0), (16.9, 1)):
        monkeypatch.setattr(
            one_head, "cold_places", lambda _, f=floor_C: SimpleNamespace(room_C=21.0, loft_C=None, floor_C=f, bath_C=20.0)
        )
        monkeypatch.setattr(one_head, "hot_places", lambda _: SimpleNamespace(room_C=24.0, loft_C=None, bath_C=25.0))
        assert len(list(one_head.places_told(None))) == told


def test_no_insulation_of_the_table_conducts_less_than_the_best():
    known = [float(r["conductivity_W_mK"]) for r in rows("materials") if r["group"] == "insulation" and r["conductivity_W_mK"]]
    assert all(k >= best_conductivity_W_mK() for k in known) and 0.015 < best_conductivity_W_mK() < 0.03
