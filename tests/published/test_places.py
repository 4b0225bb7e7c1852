"""Design temperatures against published ones, and the tables against themselves.

Published: ASHRAE Handbook - Fundamentals (2013) ch. 14, design conditions, 59 rows kept in climate_data/published_design.csv.
Statistics: the errors climate_data/README.md states (over 881 lower-48 stations, of which 34 are kept here).
"""

import csv
import math
import re

import numpy as np
import pytest

from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.find_place import county_places, find_place
from heatcalc.inputs.place.place_record import zone_by_degree_days

ROWS = list(csv.DictReader(tables.content("published_design.csv").splitlines()))
LOWER = [r for r in ROWS if r["kind"].startswith("TMY3 station; estimate out-of-fold")]
ALASKA = [r for r in ROWS if r["kind"].startswith("Alaska")]
ERRORS = {
    r["estimate minus published (2013 ASHRAE Handbook table), degF"]: r
    for r in csv.DictReader(tables.content("method_errors.csv").splitlines())
}


def f(celsius: float) -> float:
    return celsius * 1.8 + 32.0


def differences(rows, ours: str, published: str) -> np.ndarray:
    return np.array([float(r[ours]) - float(r[published]) for r in rows])


def test_the_sample_is_whole():
    assert (len(LOWER), len(ALASKA)) == (34, 25)


@pytest.mark.parametrize("key", ["h996", "h99", "c004", "c010", "mcwb010"])
def test_printed_differences_follow_from_the_printed_values(key):
    """Three values printed to 0.1 F: 0.05 + 0.05 + 0.05."""
    printed = np.array([float(r[f"diff_{key}_F"]) for r in ROWS])
    assert np.abs(differences(ROWS, f"est_{key}_F", f"pub_{key}_F") - printed).max() <= 0.15


CLAIMS = {key: ERRORS[f"{key} best estimate, 10-fold spatially blocked CV (CONUS)"] for key in ("h996", "h99", "c004", "c010")}
CITIES = pytest.mark.xfail(
    strict=True,
    reason="the 34 kept rows are city airports: 99 % heating comes out 0.80 F too cold on "
    "average where 881 stations have no bias; 1.96 SD/sqrt(34) is 0.72 F",
)


@pytest.mark.parametrize("key", ["h996", pytest.param("h99", marks=CITIES), "c004", "c010"])
def test_sample_has_the_bias_that_is_claimed(key):
    """Mean within 1.96 SD/sqrt(n) of the claimed bias."""
    apart = differences(LOWER, f"est_{key}_F", f"pub_{key}_F")
    claimed = CLAIMS[key]
    assert abs(apart.mean() - float(claimed["bias"])) <= 1.96 * float(claimed["sd"]) / math.sqrt(len(apart))


@pytest.mark.parametrize("key", CLAIMS)
def test_sample_spreads_no_more_than_is_claimed(key):
    """SD below the claim x the 97.5 % point of chi for n - 1 = 33."""
    from scipy.stats import chi2

    apart = differences(LOWER, f"est_{key}_F", f"pub_{key}_F")
    most = float(CLAIMS[key]["sd"]) * math.sqrt(chi2.ppf(0.975, len(apart) - 1) / (len(apart) - 1))
    assert apart.std(ddof=1) <= most


@pytest.mark.parametrize("key, bias, sd", [("h99", 4.33, 6.68), ("c010", -0.86, 2.04)])
def test_alaska_is_as_far_off_as_claimed(key, bias, sd):
    apart = differences(ALASKA, f"est_{key}_F", f"pub_{key}_F")
    assert abs(apart.mean() - bias) <= 1.96 * sd / math.sqrt(len(apart))


@pytest.mark.parametrize("row", ALASKA, ids=lambda r: r["id"])
def test_alaskan_stations_carry_their_published_heating_value(row):
    """Stored to 0.1 F, as it is printed."""
    assert f(find_place(row["id"]).heating_99_C) == pytest.approx(float(row["pub_h99_F"]), abs=0.051)


@pytest.mark.parametrize("usaf", tables.stations().usaf[::60])
def test_a_position_at_a_station_is_the_station(usaf):
    """The interpolation is exact: no distance, no variance."""
    station = find_place(usaf)
    here = find_place(f"{station.lat},{station.lon},{station.elevation_m}")
    for key in ("heating_99_C", "heating_996_C", "cooling_1_C", "cooling_04_C", "cooling_1_mcwb_C", "daily_range_K"):
        assert getattr(here, key) == pytest.approx(getattr(station, key), abs=1e-4), key
    assert here.sigma_heating_K == pytest.approx(station.sigma_heating_K, rel=1e-3)


def test_zone_rule_by_degree_days_gives_every_station_its_zone():
    for usaf in tables.stations().usaf:
        row = tables.row("us_stations.csv.gz", usaf)
        zone = zone_by_degree_days(float(row["CDD50"]) / 1.8, float(row["HDD65"]) / 1.8)
        assert str(zone) == row["thermal_zone_from_DD"], usaf


@pytest.mark.parametrize(
    "query, zone",
    [
        ("Miami, FL", "1A"),
        ("Phoenix, AZ", "2B"),
        ("Houston, TX", "2A"),
        ("Seattle, WA", "4C"),
        ("Denver, CO", "5B"),
        ("Duluth, MN", "7"),
        ("Fairbanks, AK", "8"),
        ("Burlington, VT", "6A"),
    ],
)
def test_zones_of_the_standard_cities(query, zone):
    """IECC 2021, figure C301.1 by county."""
    place = find_place(query)
    assert place.zone == zone
    assert place.zone_edition == "IECC 2021"
    assert place.moisture_regime == (zone[1:] or "")


def test_every_county_has_a_complete_place():
    chosen = tables.first_columns("us_counties.csv.gz", 3)[::25]
    for (fips, state, _), place in zip(chosen, county_places(fips for fips, _, _ in chosen), strict=True):
        assert place.heating_996_C <= place.heating_99_C < place.cooling_1_C <= place.cooling_04_C, (fips, state)
        assert place.cooling_1_mcwb_C <= place.cooling_1_C
        assert [sum(b.hours) for b in place.bins] == [24 * d for d in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)]
        assert place.hours_below(place.coldest_hour_C) == 0.0  # no hour is colder than the coldest
        assert place.hours_below(place.coldest_hour_C + 1e-6) == pytest.approx(1.0, abs=1e-3)


def test_sources_are_said_everywhere():
    for query in ("Duluth, MN", "46.8,-92.1", "727450", "Calgary, AB", "Juneau, AK"):
        assert re.search(r"table|carried from the stations", str(find_place(query).source))
