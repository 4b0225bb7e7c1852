"""Framing words, shares and steel factors: printed sizes and rules, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatcalc.physics.shell import framing as f

INCH = 0.0254


@pytest.mark.parametrize(
    "words, width_in, depth_in, spacing_in",
    [
        ("2x4 studs 16 in o.c.", 1.5, 3.5, 16.0),
        ("2X6  studs at 24 in", 1.5, 5.5, 24.0),
        ("2x8 rafters @ 24 in on center", 1.5, 7.25, 24.0),
        ("1x3 battens 16 in oc", 2.5, 0.75, 16.0),
        ("1x4 furring 400 mm centres", 3.5, 0.75, 400 / 25.4),
        ("2x10 joists 40.64 cm on centre", 1.5, 9.25, 16.0),
    ],
)
def test_members_as_said(words, width_in, depth_in, spacing_in):
    """Dressed sizes of PS 20 (from memory); battens and furring lie flat."""
    read = f.read_framing(words)
    assert (read.width_m, read.depth_m, read.spacing_m) == pytest.approx(
        (width_in * INCH, depth_in * INCH, spacing_in * INCH), rel=1e-9
    )
    assert read.geometric_share == pytest.approx(width_in / spacing_in)
    assert not read.steel


def test_steel_may_leave_its_size_out():
    bare, sized = f.read_framing("steel studs 24 in o.c."), f.read_framing("2x6 metal studs 24 in o.c.")
    assert bare.steel and sized.steel
    assert (bare.depth_m, sized.depth_m) == pytest.approx((3.5 * INCH, 5.5 * INCH))


@pytest.mark.parametrize(
    "words, says",
    [
        ("studs 16 in", "needs the member's size"),
        ("2x4 pillars 16 in", "members: studs"),
        ("2x4 studs", "is written like"),
        ("2x5 studs 16 in", "2x5 is not a lumber size"),
        ("2x4 studs 1.5 in", "do not fit"),
        ("2x4 studs 16 ft", "is written like"),
    ],
)
def test_what_is_no_framing_is_refused(words, says):
    with pytest.raises(ValueError, match=says):
        f.read_framing(words)


@given(st.sampled_from(["2x3", "2x4", "2x6"]), st.floats(1.6, 48))
def test_members_fit_only_wider_than_themselves(size, spacing_in):
    read = f.read_framing(f"{size} joists {spacing_in:.4f} in")
    assert 0 < read.geometric_share < 1


@pytest.mark.parametrize(
    "words, share",
    [
        ("2x4 studs 16 in", 0.23),  # WAC 51-11-1005, standard framing: 0.19 + 0.04
        ("2x6 studs 24 in", 0.22),  # the same, intermediate: 1 - 0.78
        ("2x6 studs 19 in", 0.23),
        ("2x6 studs 21 in", 0.22),
        ("2x4 studs 4 in", 0.375),  # more than the weights: the members' own
        ("2x8 joists 24 in", 0.10),  # 24 CFR 3280.509(b), floor or ceiling
        ("2x6 rafters 12 in", 0.125),
        ("2x4 purlins 24 in", 0.10),
        ("1x3 battens 16 in", 2.5 / 16),
        ("1x4 furring 16 in", 3.5 / 16),
        ("2x4 splines 48 in", 1.5 / 48),
    ],
)
def test_default_shares(words, share):
    assert f.default_share(f.read_framing(words))[0] == pytest.approx(share)


def test_the_share_says_where_it_is_from():
    assert "WAC 51-11-1005" in f.default_share(f.read_framing("2x4 studs 16 in"))[1]
    assert "3280.509(b)" in f.default_share(f.read_framing("2x8 joists 24 in"))[1]
    assert "own share" in f.default_share(f.read_framing("1x3 battens 16 in"))[1]


@pytest.mark.parametrize("r_ip, spacing_in, effective", [(11, 16, 5.5), (19, 16, 7.1), (11, 24, 6.6), (19, 24, 8.55)])
def test_steel_stud_factor_at_printed_rows(r_ip, spacing_in, effective):
    """Effective R over labelled R, to the two printed digits of a factor: a table quoting 90.1-1989 Table 8C2."""
    assert f.steel_stud_factor(r_ip, spacing_in) == pytest.approx(effective / r_ip, abs=0.005)


def test_steel_stud_factor_between_rows_and_at_the_ends():
    assert f.steel_stud_factor(12, 16) == pytest.approx((0.50 + 0.46) / 2)
    assert f.steel_stud_factor(11.5, 16) == pytest.approx(0.49)
    assert f.steel_stud_factor(25, 24) == pytest.approx(0.38)
    assert f.steel_stud_factor(23, 16) == pytest.approx(0.33)


@pytest.mark.parametrize(
    "r_ip, spacing_in, says", [(13, 19.2, "16 and 24 in only"), (10.9, 16, "R-11 to R-25"), (25.1, 24, "R-11 to R-25")]
)
def test_steel_stud_factor_is_not_guessed(r_ip, spacing_in, says):
    with pytest.raises(ValueError, match=says.replace("R-11 to", "from R-11 to")):
        f.steel_stud_factor(r_ip, spacing_in)


@pytest.mark.parametrize(
    "share, r_path, r_insulation, counted",
    [(0.011, 0.9, 2.0, True), (0.01, 0.9, 2.0, False), (0.5, 1.0, 2.0, False), (0.5, 0.999, 2.0, True)],
)
def test_a_short_counts_above_one_percent_and_below_half(share, r_path, r_insulation, counted):
    """24 CFR 3280.508(c)."""
    assert f.counts_as_short(share, r_path, r_insulation) is counted
