"""The load-factor method's limits; its worked house is in heatcalc/checks/hand.json.

Source: ASHRAE Handbook - Fundamentals (2021, SI) ch. 17, worked house in Atlanta, Tables 9, 10, 12-14, 17-23.
Misprints of the text seen: Table 18 gives differences of 9 and 23.5 K, the example is calculated with 9.1 and
23.0; Table 20 prints the wall factor 7.09, Table 22 has 7.12 (right); the rows of Table 19 slipped by one
(67.2 m is the perimeter, 356.5 m2 the exposed area); the total latent load is printed 752 W, its parts sum to
1014 W; Table 9 with azimuth from south, as printed, swaps north and south of Table 10, whose column heads
stand one step off.
"""

from heatcalc.checks import evaluate_hand as checks_hand
from heatcalc.physics.zone import load_factor as lf


def opening(exposure, height_m, area_m2):
    """A west or south window of the worked house's glass, of any size."""
    return checks_hand._opening(exposure, height_m, "fixed", area_m2)


def test_range_of_validity():
    """ch. 17 Table 1: the worked house is inside, a tiny house with one big west window is not."""
    ordinary = tuple(checks_hand._opening(*w) for w in checks_hand.WINDOWS)
    assert lf.out_of_range(checks_hand.CITY, ordinary, checks_hand.FLOOR_m2, 315) == ()
    reasons = lf.out_of_range(checks_hand.CITY, (opening("W", 1.2, 4.0), opening("S", 1.2, 3.0)), 18.0, 315)
    assert len(reasons) == 3 and "22%" in reasons[0] and "39%" in reasons[2]
