"""Hours on a battery by hand, with and without an inverter's rating, a load and a mean."""

from types import SimpleNamespace

import pytest

from heatcalc.inputs.supply.supply_record import Battery
from heatcalc.supply.off_grid import battery_line

HOURS = {"cold": (SimpleNamespace(watts=900.0), SimpleNamespace(watts=540.0)), "hot": (SimpleNamespace(watts=720.0),)}


def test_hours_by_hand():
    """5 kWh, 80 % usable, 90 % efficient: 3.6 kWh over 1440, 720 and 360 W."""
    line = battery_line(Battery(capacity="5 kWh", usable="80 %", efficiency="90 %"), HOURS, 360.0)
    assert (line.usable_kWh, line.cold_h, line.hot_h, line.mean_h) == pytest.approx((4.0, 2.5, 5.0, 10.0))
    assert line.inverter == "inverter rating not given"


@pytest.mark.parametrize(
    "rating, words", [("1440 W", "inverter 1440 W carries 1440 W"), ("1400 W", "inverter 1400 W does NOT carry 1440 W")]
)
def test_the_inverter_meets_the_larger_hour(rating, words):
    assert battery_line(Battery(capacity="5 kWh", inverter=rating), HOURS, None).inverter == words


def test_nothing_to_say_without_a_battery_or_a_load():
    assert battery_line(None, HOURS, 360.0) is None
    assert battery_line(Battery(capacity="5 kWh"), HOURS, None).mean_h is None
