"""Rooms and charges of own examples; the printed installer sheets are in heatcalc/checks/supply.json."""

import pytest

from heatcalc.inputs.supply.supply_record import ClosedRoom
from heatcalc.physics.unit import refrigerant_charge as r
from heatcalc.supply.charge import screen_charge


def test_the_root_is_stricter_than_the_linear_cap_from_seven_square_metres():
    # second sheet: linear to 6 m2, square root from 7 m2
    assert r.allowed_charge(6, 0.6, 0.306) == r.linear_charge(6, 0.6, 0.306)
    assert r.allowed_charge(7, 0.6, 0.306) < r.linear_charge(7, 0.6, 0.306)


@pytest.mark.parametrize(("charge", "heights"), [(1.9, (3.4, 7.7, 30.7)), (2.2, (4.6, 10.3, 41.2))])
def test_worked_room(charge, heights):
    # own example, printed to 0.1 m2: R-32, LFL 0.307, high wall 1.8, lower wall 1.2, floor console 0.6 m
    assert [r.area_rule_area(charge, h, 0.307) for h in (1.8, 1.2, 0.6)] == [pytest.approx(a, abs=0.05) for a in heights]


def test_closed_bedroom_passes_one_route_and_fails_the_other():
    # own story: a head in a closed 420 ft3 bedroom passes by m1 (6 x LFL) but fails by the RCL
    rooms = (
        ClosedRoom(name="whole house", area="215 ft2", volume="2261 ft3"),
        ClosedRoom(name="bedroom", area="60 ft2", volume="420 ft3"),
    )
    screen = screen_charge("R-454B", 1.0, "wall", rooms)
    assert [room.area_rule for room in screen.rooms] == ["no area rule", "no area rule"]
    assert [room.concentration for room in screen.rooms] == ["pass", "fail"]
    console = screen_charge("R-32", 1.9, "floor", rooms)
    assert console.rooms[0].area_rule == "fail"  # 30.7 m2 needed, 20 m2 there
    assert screen_charge("R-32", 1.9, "wall", rooms).rooms[0].area_rule == "pass"
