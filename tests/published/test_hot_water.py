"""Hot water against print beside the rows of heatcalc/checks: the equation of a tank's day, the mains through the year."""

import numpy as np
import pytest

from heatcalc.physics.supply import electrics as w

GALLON_M3 = 0.003785411784


def test_a_tanks_day_of_the_test_gives_back_its_factor():
    # Lutz et al. 1998: with UA from the test's own definition the equation returns the factor it came from (closure, exact)
    drawn, rise, around, power, recovery, factor = 64.3 * GALLON_M3, 77 / 1.8, (67.5 - 32) / 1.8, 4500.0, 0.98, 0.90
    tank = (135.0 - 32.0) / 1.8
    heat = drawn * w.HOT_WATER_J_m3K * rise
    over = tank - around
    ua = (heat / factor - heat / recovery) / (over * (86_400.0 - heat / (recovery * power)))
    assert heat / w.tank_day(drawn, tank - rise, tank, recovery, ua, around, power) == pytest.approx(factor, rel=1e-12)


def test_the_mains_are_six_degrees_above_the_air_on_the_year():
    # Burch and Christensen 2007, abstract: offset about 6 F, amplitude about 0.4 of the air's (at a mean of 44 F)
    days = np.arange(0, 365, 0.25)
    mean_C = (44.0 - 32.0) / 1.8
    mains = w.mains_temperature(days, mean_C, 25.0)
    assert mains.mean() == pytest.approx(mean_C + 6 / 1.8, abs=0.05)
    assert (mains.max() - mains.min()) / 25.0 == pytest.approx(0.4, abs=0.005)
