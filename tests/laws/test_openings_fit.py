"""Openings fit their wall: one by its sides, all by their area, the tall ones side by side; a refusal says wall and value."""

import copy

import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.house.house_file import house_from, shell_of

HOUSE = {"name": "box", "body": {"length": "26 ft", "width": "8.0 ft", "wall_height": "9.0 ft"}}


def shell(*windows, doors=(), boxes=()):
    on_left = lambda some: [{"face": "left"} | one for one in some]  # noqa: E731
    said = HOUSE | {"windows": on_left(windows), "doors": on_left(doors), "boxes": list(boxes)}
    return shell_of(house_from(copy.deepcopy(said)))


def window(width, height, count=1, **more):
    return {"width": f"{width} ft", "height": f"{height} ft", "count": count} | more


@pytest.mark.parametrize(
    ("windows", "doors", "boxes", "words"),
    [
        ([window(9, 2, face="front")], [], [], ("windows.0 = '1 x 9.0 ft by 2.0 ft'", "body front wall", "8.0 ft")),
        ([window(2, 10)], [], [], ("windows.0 = '1 x 2.0 ft by 10.0 ft'", "body left wall", "9.0 ft")),
        ([window(11, 5, 3)], [], [], ("windows.0 = '3 x 11.0 ft by 5.0 ft'", "26.0 ft", "33.0 ft", "body left wall")),
        ([window(10, 5, 2)], [window(7, 6.67)], [], ("doors.0", "26.0 ft", "27.0 ft", "body left wall")),
        ([window(10, 5, 2)], [], [window(7, 6, name="bay", length="2 ft", attached="left")], ("windows.0", "27.0 ft")),
        ([window(13, 4.4, 4)], [window(3, 4.4)], [], ("doors.0", "together larger than the body left wall, by")),
    ],
)
def test_what_does_not_fit_is_refused_with_the_wall_and_the_value(windows, doors, boxes, words):
    for box in boxes:
        box.pop("count")
    with pytest.raises(InputError) as problem:
        shell(*windows, doors=doors, boxes=boxes)
    assert all(word in str(problem.value) for word in words), problem.value


def test_what_fits_exactly_is_taken():
    """Two rows of thirteen feet, and tall ones from end to end."""
    shell(window(13, 4.5, 2), window(13, 4.5, 2))
    shell(window(13, 9, 1), window(10, 9), doors=[window(3, 9)])


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"roof": {"form": "gable", "slope": 0.3,
                   "dormers": [{"side": "left", "width": "4 ft", "face_height": "1 ft", "slope": 0.4}]}}, ("0.4", "0.3")),
        ({"ventilation": {"kind": "balanced", "heat_recovery": 0.5, "moisture_recovery": 0.6}}, ("0.6", "0.5")),
        ({"ventilation": {"kind": "exhaust", "heat_recovery": 0.5}}, ('"exhaust"',)),
        ({"supply": {"appliances": [], "generator": {"rated": "2000 W", "surge": "1500 W"}}}, ("1500 W", "2000 W")),
        ({"tariff": {"kind": "time-of-use", "price": 0.1,
                     "periods": [{"name": "a", "price": 0.2, "from_hour": 5, "to_hour": 5}]}}, ("the same, 5",)),
        ({"boxes": [{"name": n, "length": "2 ft", "width": "8.0 ft", "height": "8.0 ft", "attached": "back"} for n in "ab"]},
         ("128 ft²", "body back wall")),
    ],
)  # fmt: skip
def test_a_relation_of_two_values_says_both(said, words):
    with pytest.raises(InputError) as problem:
        shell_of(house_from(copy.deepcopy(HOUSE | said)))
    assert all(word in str(problem.value) for word in words), problem.value
