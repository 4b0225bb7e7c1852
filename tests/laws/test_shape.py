"""Boxes, roofs and dormers: closed bodies keep their volume and their projections."""

from math import cos, radians, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatcalc.physics.shell import shape

lengths = st.floats(1.0, 12.0)
slopes = st.floats(0.02, 1.5)


def level(surfaces) -> float:
    """Area of the planes seen from above."""
    return sum(s.area_m2 * cos(radians(s.tilt_deg)) for s in surfaces if s.part == "roof")


def upright(surfaces, face: str) -> float:
    """Area of everything that looks to `face`, seen from there."""
    return sum(s.area_m2 * (1 if s.part == "wall" else cos(radians(90 - s.tilt_deg))) for s in surfaces if s.face == face)


@given(lengths, lengths, lengths)
def test_a_box_in_four_walls(length, width, height):
    four = {s.face: s for s in shape.walls("main", length, width, height)}
    assert {f: s.area_m2 for f, s in four.items()} == pytest.approx(
        {"front": width * height, "back": width * height, "left": length * height, "right": length * height}
    )
    assert all((s.tilt_deg, s.width_m * s.height_m) == pytest.approx((90.0, s.area_m2)) for s in four.values())
    under = shape.floor("main", length, width)
    assert (under.area_m2, under.tilt_deg, under.face) == (length * width, 180.0, "down")
    assert under.width_m * under.height_m == pytest.approx(under.area_m2)
    (over,) = shape.flat_roof("main", length, width)
    assert (over.area_m2, over.tilt_deg, over.face) == (length * width, 0.0, "up")


@given(lengths, lengths, slopes)
def test_every_roof_covers_the_plan_and_closes(length, width, slope):
    """Seen from above any roof is the plan; seen from opposite sides it is the same area."""
    for surfaces in (
        shape.shed_roof("r", length, width, slope, "left"),
        shape.shed_roof("r", length, width, slope, "right"),
        shape.gable_roof("r", length, width, slope),
    ):
        assert level(surfaces) == pytest.approx(length * width)
        assert upright(surfaces, "left") == pytest.approx(upright(surfaces, "right"))
        assert upright(surfaces, "front") == pytest.approx(upright(surfaces, "back"))


def test_a_three_four_five_roof():
    """Plane geometry: a shed of run 4, rise 3 has a slant of 5; so has each half of a gable over 8."""
    roof, above, *ends = shape.shed_roof("r", 6.0, 4.0, 0.75, "right")
    assert (roof.area_m2, roof.face, roof.tilt_deg) == (pytest.approx(30.0), "left", pytest.approx(36.8699, abs=1e-4))
    assert (above.area_m2, above.face, above.height_m, above.width_m) == (pytest.approx(18.0), "right", 3.0, 6.0)
    assert [(e.area_m2, e.face, e.height_m, e.width_m) for e in ends] == [(6.0, "front", 3.0, 4.0), (6.0, "back", 3.0, 4.0)]
    left, right, *ends = shape.gable_roof("r", 6.0, 8.0, 0.75)
    assert (left.area_m2, right.area_m2) == (pytest.approx(30.0), pytest.approx(30.0))
    assert [e.area_m2 for e in ends] == [12.0, 12.0]


@pytest.mark.parametrize("form, volume", [("flat", 0.0), ("shed", 6 * 4 * 3 / 2), ("gable", 6 * 4 * 1.5 / 2)])
def test_volume_under_the_roof_is_its_end_triangle_along_the_length(form, volume):
    assert shape.roof_volume(form, 6.0, 4.0, 0.75) == pytest.approx(volume)


@given(lengths, lengths, slopes)
def test_roof_volume_is_triangle_times_length(length, width, slope):
    for form, surfaces in (
        ("shed", shape.shed_roof("r", length, width, slope, "left")),
        ("gable", shape.gable_roof("r", length, width, slope)),
    ):
        triangle = next(s.area_m2 for s in surfaces if s.name == "r front gable")
        assert shape.roof_volume(form, length, width, slope) == pytest.approx(triangle * length)


def test_a_dormer_by_hand():
    """Face 1 m high on a 1:1 roof, dormer roof falling 1:2: run 1/(1 - 1/2) = 2 m."""
    d = shape.shed_dormer("d", "left", 3.0, 1.0, 1.0, 0.5)
    face, front, back, roof = d.surfaces
    assert d.run_m == 2.0
    assert (face.area_m2, face.face, face.width_m, face.height_m, face.tilt_deg) == (3.0, "left", 3.0, 1.0, 90.0)
    assert (front.area_m2, back.area_m2, front.width_m, front.height_m) == (1.0, 1.0, 2.0, 1.0)
    assert (front.face, back.face, front.tilt_deg) == ("front", "back", 90.0)
    assert roof.area_m2 == pytest.approx(3 * sqrt(2**2 + 1**2))
    assert roof.tilt_deg == pytest.approx(26.565, abs=1e-3)
    assert d.removed_m2 == pytest.approx(3 * 2 * sqrt(2))
    assert d.volume_m3 == 3.0


@given(lengths, st.floats(0.2, 2.0), st.floats(0.6, 1.5), st.floats(0.0, 0.5))
def test_a_dormer_keeps_the_plan(width, height, main, slope):
    """Seen from above the dormer's roof is what it cut out of the main plane; from the side it hides the rise."""
    d = shape.shed_dormer("d", "right", width, height, main, slope)
    assert level(d.surfaces) == pytest.approx(width * d.run_m)
    cut_tilt = main / sqrt(1 + main**2)
    assert upright(d.surfaces, "right") == pytest.approx(d.removed_m2 * cut_tilt)


@pytest.mark.parametrize(
    "attached, along, across, missing",
    [("front", 2.0, 2.4, "back"), ("back", 2.0, 2.4, "front"), ("left", 2.4, 2.0, "right"), ("right", 2.4, 2.0, "left")],
)
def test_an_attached_box_is_open_towards_the_body(attached, along, across, missing):
    """`length_m` is measured away from the body: along it at the ends, across it at the sides."""
    box = shape.attached_box("nose", 2.0, 2.4, 1.5, attached)
    walls = {s.face: s.area_m2 for s in box.surfaces if s.part == "wall"}
    expected = {"front": across * 1.5, "back": across * 1.5, "left": along * 1.5, "right": along * 1.5}
    del expected[missing]
    assert walls == pytest.approx(expected)
    assert (box.volume_m3, box.height_m) == (pytest.approx(2.0 * 2.4 * 1.5), 1.5)
    assert {s.part for s in box.surfaces} == {"wall", "roof", "floor"}


@pytest.mark.parametrize("face, front, bearing", [("front", 10, 10), ("right", 10, 100), ("back", 200, 20), ("left", 90, 0)])
def test_bearings_turn_clockwise(face, front, bearing):
    assert shape.bearing(face, front) == bearing
