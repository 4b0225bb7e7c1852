"""Laws of the year built from monthly statistics, and the numbers that pin its sequence."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatcalc.errors import NoAnswer
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.inputs.place.place_rows import station_place
from heatcalc.physics.sun.sun import solar_position
from heatcalc.physics.year import year_hours
from heatcalc.physics.year.weather_statistics import MONTH_DAYS, MONTH_OF_HOUR, bin_hours, monthly_mean
from heatcalc.physics.year.year_hours import START, clearness_scores, generator, scores

STATIONS = tables.stations().usaf
PLACES = ("725650", "Duluth, MN", "46.8,-92.1", "700260", "Miami, FL", "Forks, WA", "Honolulu, HI", "Death Valley, CA")
any_station = st.sampled_from(STATIONS)


def test_the_sequence_is_the_one_described():
    """Check values of the method, printed to the digits compared."""
    assert START == 172830
    first = generator(1)[0]
    assert first == 757270163
    assert f"{NormalDist().inv_cdf(first / (2**31 - 1)):.4f}" == "-0.3782"
    assert [f"{z:.4f}" for z in scores().temperature[:3]] == ["-0.1624", "0.1624", "0.6002"]
    assert [f"{u + 0.0:.4f}" for u in clearness_scores(scores())[:3]] == ["0.7001", "0.0000", "-1.0574"]


@settings(max_examples=40)
@given(any_station)
def test_months_hold_at_any_station(usaf):
    """Mean temperature to 0.01 K, dew point to 0.05 K, sun to 0.02 kWh/m2 day, wind to the year's mean."""
    place = station_place(usaf)
    year, months = built_year(place), place.monthly
    assert np.abs(monthly_mean(year.dry_bulb_C, MONTH_OF_HOUR) - months.mean_C).max() <= 0.01
    assert np.abs(monthly_mean(year.dew_point_C, MONTH_OF_HOUR) - months.dew_point_C).max() <= 0.05
    assert np.abs(monthly_mean(year.ghi, MONTH_OF_HOUR) * 0.024 - months.ghi_kWh_m2_day).max() <= 0.02
    assert year.wind_m_s.mean() == pytest.approx(place.wind_mean_m_s, abs=1e-3)


@settings(max_examples=40)
@given(any_station)
def test_physics_holds_at_any_station(usaf):
    """8,760 hours; dew point below the dry bulb; no sun at night; beam and diffuse make up the global sun."""
    year = built_year(station_place(usaf))
    assert len(year.dry_bulb_C) == 8760
    assert (year.dew_point_C < year.dry_bulb_C).all()
    assert (np.minimum(year.dni, np.minimum(year.dhi, year.ghi)) >= 0.0).all()
    assert year.dni.max() <= 1000.0
    sky = year_hours.outside(year.lat, year.lon, year.utc_offset_h)
    assert np.abs(year.dni * sky.mean_cosine.ravel() + year.dhi - year.ghi).max() <= 0.005
    assert (year.ghi[sky.hourly.ravel() == 0.0] == 0.0).all()


def test_no_sun_where_the_sun_stays_down_all_hour():
    year = built_year(find_place("Denver, CO"))
    day = np.repeat(np.arange(1.0, 366.0), 24)
    ends = np.tile(np.arange(1.0, 25.0), 365)
    highest = np.max(
        [
            solar_position(year.lat, year.lon, year.utc_offset_h, day, ends - back).altitude_deg
            for back in (0.0, 0.25, 0.5, 0.75, 1.0)
        ],
        axis=0,
    )
    assert (year.ghi[highest < -1.0] == 0.0).all()
    assert (year.ghi[highest > 12.0] > 0.0).all()


@settings(max_examples=25)
@given(any_station)
def test_bins_hold_within_the_shift_of_the_mean(usaf):
    """Cumulative hours below every bin edge, allowing the month's shift either way: its hours lie anywhere in their bins, so no
    more than half a bin apart."""
    place = station_place(usaf)
    year = built_year(place)
    for m, bins in enumerate(place.bins, 1):
        here = year.dry_bulb_C[m == MONTH_OF_HOUR]
        before = np.concatenate(([0], np.cumsum(bins.hours)))
        edges = np.append(bins.lower_edges_C, bins.lower_edges_C[-1] + bins.width_K)
        raw = np.sort(year_hours.quantiles_of_bins(bins.lower_edges_C, bins.hours, bins.width_K))
        shift = here.mean() - raw.mean()
        assert abs(shift) <= bins.width_K / 2
        below = np.searchsorted(np.sort(here), edges + shift + 1e-3)
        assert np.abs(below - before).max() <= 1


@pytest.mark.parametrize("query", PLACES)
def test_any_place_builds_and_builds_the_same(query):
    place = find_place(query)
    once, again = built_year(place), built_year(place)
    for name in ("dry_bulb_C", "dew_point_C", "wind_m_s", "ghi", "dni", "dhi"):
        assert getattr(once, name).tobytes() == getattr(again, name).tobytes()
    assert np.abs(monthly_mean(once.dry_bulb_C, MONTH_OF_HOUR) - place.monthly.mean_C).max() <= 0.01


def test_the_order_of_stations_does_not_matter():
    first, second = station_place("725650"), station_place("727450")
    ahead = [built_year(p).dry_bulb_C for p in (first, second)]
    behind = [built_year(p).dry_bulb_C for p in (second, first)]
    assert np.array_equal(ahead[0], behind[1]) and np.array_equal(ahead[1], behind[0])


def test_a_place_without_a_station_says_its_band():
    east, west = (" ".join(map(str, built_year(find_place(q)).report)) for q in ("Duluth, MN", "46,-120"))
    assert "21 % and 23 %" in east and "38 % and 50 %" in west
    assert "4 % or 40 kWh" in " ".join(map(str, built_year(find_place("727450")).report))


def test_no_year_without_sun_or_dew_point():
    with pytest.raises(NoAnswer, match="hourly file"):
        built_year(find_place("Calgary, AB"))


def test_without_bins_the_full_range_is_kept():
    place = replace(find_place("725650"), bins=None)
    year = built_year(place)
    days = year.dry_bulb_C.reshape(365, 24)
    spans = monthly_mean((days.max(axis=1) - days.min(axis=1)).repeat(24), MONTH_OF_HOUR)
    ranges = np.array(place.monthly.max_C) - np.array(place.monthly.min_C)
    assert np.abs(spans / ranges - 1.0).max() < 0.15


def test_pchip_is_scipys():
    from scipy.interpolate import PchipInterpolator

    for seed in range(20):
        made = np.random.default_rng(seed)
        x = np.cumsum(made.uniform(0.1, 3.0, 9))
        y = np.cumsum(made.normal(0.0 if seed % 2 else 1.0, 1.0, 9))
        at = np.linspace(x[0], x[-1], 200)
        assert np.allclose(year_hours.pchip(x, y, at), PchipInterpolator(x, y)(at), atol=1e-12)


@given(st.floats(0.02, 0.98))
def test_steepness_gives_the_mean_it_was_asked_for(share):
    assert year_hours.mean_share(year_hours.steepness(np.array([share])))[0] == pytest.approx(share, abs=1e-6)


@given(st.floats(1.0, 1100.0))
def test_diffuse_share_is_pvlibs_correlation(ghi):
    """Erbs, Klein and Duffie (1982) as pvlib writes it, at its own clearness; pvlib ends at kt = 1."""
    from pvlib.irradiance import erbs

    split = erbs(ghi, 30.0, 100)
    assert float(year_hours.diffuse_share(split["kt"])) == pytest.approx(split["dhi"] / ghi, abs=1e-9)


def test_every_months_days_are_scored_evenly():
    for values in vars(scores()).values():
        start = 0
        for days in MONTH_DAYS:
            month = np.sort(values[start : start + days])
            assert np.allclose(month, -month[::-1])
            start += days
    assert bin_hours(np.array([0.0, 4.999, 5.0]), 0.0, 5.0, 2).tolist() == [2, 1]
