"""Places by every name they have: towns, ZIPs, positions, stations; borders, spellings, seasons.

Rows: towns of the tables (GeoNames) and ZIPs of the `zipcodes` package; climate from the station table.  The three ways to say
a place agree within its own one sigma; nothing here compares with a published value.
"""

import gc

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.borders import county_at
from heatcalc.inputs.place.find_place import find_place, find_places
from heatcalc.inputs.place.heights import height_at
from heatcalc.inputs.place.interpolate import Around

SIGMAS = (
    ("heating_99_C", "sigma_heating_K"),
    ("heating_996_C", "sigma_heating_996_K"),
    ("cooling_1_C", "sigma_cooling_K"),
    ("cooling_04_C", "sigma_cooling_K"),
)
# mountains, deserts, coasts, islands, borders, plains
TOWNS = [
    ("Truckee, CA", "96161"),
    ("Mammoth Lakes, CA", "93546"),
    ("Leadville, CO", "80461"),
    ("Breckenridge, CO", "80424"),
    ("Aspen, CO", "81611"),
    ("Vail, CO", "81657"),
    ("Gunnison, CO", "81230"),
    ("Alamosa, CO", "81101"),
    ("Steamboat Springs, CO", "80487"),
    ("Telluride, CO", "81435"),
    ("Jackson, WY", "83001"),
    ("Cody, WY", "82414"),
    ("Laramie, WY", "82070"),
    ("Bozeman, MT", "59715"),
    ("Butte, MT", "59701"),
    ("West Yellowstone, MT", "59758"),
    ("Park City, UT", "84060"),
    ("Moab, UT", "84532"),
    ("Taos, NM", "87571"),
    ("Los Alamos, NM", "87544"),
    ("Flagstaff, AZ", "86001"),
    ("Prescott, AZ", "86301"),
    ("Sun Valley, ID", "83353"),
    ("McCall, ID", "83638"),
    ("Bend, OR", "97701"),
    ("Ashland, OR", "97520"),
    ("Leavenworth, WA", "98826"),
    ("Boone, NC", "28607"),
    ("Gatlinburg, TN", "37738"),
    ("Stowe, VT", "05672"),
    ("Lake Placid, NY", "12946"),
    ("Palm Springs, CA", "92262"),
    ("Needles, CA", "92363"),
    ("Blythe, CA", "92225"),
    ("Barstow, CA", "92311"),
    ("Yuma, AZ", "85364"),
    ("Phoenix, AZ", "85003"),
    ("Tucson, AZ", "85701"),
    ("Las Vegas, NV", "89101"),
    ("Laughlin, NV", "89029"),
    ("Las Cruces, NM", "88001"),
    ("El Paso, TX", "79901"),
    ("Midland, TX", "79701"),
    ("Eureka, CA", "95501"),
    ("Half Moon Bay, CA", "94019"),
    ("Monterey, CA", "93940"),
    ("Santa Barbara, CA", "93101"),
    ("San Diego, CA", "92101"),
    ("Astoria, OR", "97103"),
    ("Newport, OR", "97365"),
    ("Long Beach, WA", "98631"),
    ("Port Angeles, WA", "98362"),
    ("Galveston, TX", "77550"),
    ("Key West, FL", "33040"),
    ("Ocean City, MD", "21842"),
    ("Cape May, NJ", "08204"),
    ("Provincetown, MA", "02657"),
    ("Newport, RI", "02840"),
    ("Bar Harbor, ME", "04609"),
    ("Nantucket, MA", "02554"),
    ("Vineyard Haven, MA", "02568"),
    ("Friday Harbor, WA", "98250"),
    ("Avalon, CA", "90704"),
    ("Honolulu, HI", "96813"),
    ("Hilo, HI", "96720"),
    ("Lihue, HI", "96766"),
    ("Kodiak, AK", "99615"),
    ("Sitka, AK", "99835"),
    ("International Falls, MN", "56649"),
    ("Sault Ste. Marie, MI", "49783"),
    ("Caribou, ME", "04736"),
    ("Derby Line, VT", "05830"),
    ("Plattsburgh, NY", "12901"),
    ("Niagara Falls, NY", "14301"),
    ("Blaine, WA", "98230"),
    ("Havre, MT", "59501"),
    ("Nogales, AZ", "85621"),
    ("Calexico, CA", "92231"),
    ("Laredo, TX", "78040"),
    ("Brownsville, TX", "78520"),
    ("Duluth, MN", "55802"),
    ("Minneapolis, MN", "55401"),
    ("Burlington, VT", "05401"),
    ("Denver, CO", "80202"),
]
KNOWN = {"Kodiak, AK": "the ZIP is half an island; its middle lies 880 ft up and more than 6 miles from the town"}


def f(celsius: float) -> float:
    return celsius * 1.8 + 32.0


@pytest.mark.parametrize(
    "town, code",
    [pytest.param(*row, marks=pytest.mark.xfail(reason=KNOWN[row[0]], strict=True)) if row[0] in KNOWN else row for row in TOWNS],
)
def test_town_zip_and_position_agree_within_one_sigma(town, code):
    by_name = find_place(town)
    places = (by_name, find_place(code), find_place(f"{by_name.lat},{by_name.lon}"))
    for value, sigma in SIGMAS:
        said = [getattr(p, value) for p in places]
        assert max(said) - min(said) <= max(getattr(p, sigma) for p in places), value


@pytest.mark.parametrize(
    "town, station, km",
    [
        ("Truckee, CA", "725846", 8),
        ("Palm Springs, CA", "722868", 8),
        ("Leadville, CO", "724673", 8),
        ("Key West, FL", "722010", 8),
        ("Alamosa, CO", "724620", 8),
        ("International Falls, MN", "727470", 8),
        ("Phoenix, AZ", "722780", 10),
        ("Denver, CO", "725650", 40),
    ],
)
def test_a_station_in_the_same_valley_dominates(town, station, km):
    """Within one sigma of the station's own record (height apart by at most 60 m)."""
    place, own = find_place(town), find_place(station)
    assert place.hourly_station.km <= km
    assert abs(place.heating_99_C - own.heating_99_C) <= place.sigma_heating_K
    assert abs(place.cooling_1_C - own.cooling_1_C) <= place.sigma_cooling_K


STEEP_ZIPS = ["91011", "91354", "91390", "91701", "91739", "92263", "92264", "92377", "93040", "95246", "99686", "80007", "89509"]


def test_zips_are_served_at_their_own_position():
    """300 ZIPs drawn with a fixed seed, half where land is steep, and those that lay farthest; by ZIP and by position."""
    assert not [z for z, times in sigmas_apart([*sampled_zips(), *STEEP_ZIPS]) if times > 1.0]


@pytest.mark.parametrize("lat, lon, north_deg, up_m", [(38.9, -120.7, 1e-4, 0.0), (34.17, -117.56, 0.0, 1.0)])
def test_a_step_of_a_few_metres_never_jumps(lat, lon, north_deg, up_m):
    """In the Sierra northwards, in southern California upwards: other stations come in on the way, and no step changes a value
    by more than 0.05 F."""
    step = np.arange(1500)
    around = Around(lat + step * north_deg, np.full(1500, lon), 500.0 + step * up_m)
    assert len({frozenset(near) for near in around.near.tolist()}) > 1
    for key, kind in (("h99", "heating"), ("h996", "heating_996"), ("c010", "cooling"), ("c004", "cooling")):
        assert np.abs(np.diff(around.carry(f"{key}_best_F", kind))).max() < 0.05


def sampled_zips(count=300):
    rng, rows = np.random.default_rng(20240229), tables.first_columns("zips.csv.gz", 4)
    steep = tables.grid_span_m(*(np.array([float(row[i]) for row in rows]) for i in (2, 3))) > 300.0
    drawn = (rng.choice(np.flatnonzero(which), count // 2, replace=False) for which in (steep, ~steep))
    return [rows[i][0] for of in drawn for i in of]


def sigmas_apart(codes):
    """Of each ZIP, how many of its own sigmas its worst percentile lies from that of its position."""
    rows = [tables.row("zips.csv.gz", code) for code in codes]
    on_land = [row for row in rows if county_at(float(row["lat"]), float(row["lon"]))]
    by_code = find_places(row["zip"] for row in on_land)
    by_place = find_places(f"{row['lat']},{row['lon']}" for row in on_land)
    for row, a, b in zip(on_land, by_code, by_place, strict=True):
        yield row["zip"], max(abs(getattr(a, value) - getattr(b, value)) / getattr(a, sigma) for value, sigma in SIGMAS)


def test_many_places_are_what_each_is_alone():
    """Every kind of query among the others, the same record whether asked alone or together."""
    asked = ["Truckee, CA", "96161", "727450", "Calgary, AB", "46.8,-92.1", "St. Louis County, MN", "99686", "Ely, MN; May-Oct"]
    assert find_places(asked) == tuple(find_place(query) for query in asked)


@pytest.mark.parametrize("searches", [True, False])
def test_thousands_of_places_leave_pythons_search_for_garbage_as_it_was(searches):
    """Also where one of them is refused."""
    try:
        (gc.enable if searches else gc.disable)()
        assert len(find_places(["727450", "Calgary, AB"])) == 2 and gc.isenabled() is searches
        with pytest.raises(InputError):
            find_places(["727450", "nowhere, MN"])
        assert gc.isenabled() is searches
    finally:
        gc.enable()


@pytest.mark.parametrize(
    "query, words",
    [
        ("32.53,-117.02", "Mexico"),
        ("25.7,-100.3", "lies in Mexico"),
        ("30,-80", "at sea"),
        ("44.9,-82.8", "at sea or on a lake"),
        ("53.2,-76.5", "lies in Canada"),
        ("51,-30", "outside the 50 states"),
    ],
)
def test_other_countries_and_the_sea_are_refused(query, words):
    with pytest.raises(InputError, match=words):
        find_place(query)


@pytest.mark.parametrize(
    "query, state",
    [
        ("45.42,-75.69", "ON"),
        ("49.01,-122.7", "BC"),
        ("48.99,-122.74", "WA"),
        ("46.77,-84.2", "ON"),
        ("32.55,-117.05", "CA"),
        ("44.94,-67.0", "ME"),
        ("24.555,-81.78", "FL"),
    ],
)
def test_no_point_takes_another_countrys_record(query, state):
    assert find_place(query).state == state


@pytest.mark.parametrize(
    "one, other",
    [
        ("O'Fallon, MO", "O Fallon MO"),
        ("Coeur d'Alene, ID", "Coeur D Alene, Idaho"),
        ("St. Louis, MO", "Saint Louis, Missouri"),
        ("Mt. Shasta, CA", "Mount Shasta California"),
        ("Ft. Worth, TX", "Fort Worth Texas"),
        ("Española, NM", "Espanola New Mexico"),
        ("Cañon City, CO", "Canon City, CO"),
        ("Sault Ste. Marie, MI", "Sault Sainte Marie, MI"),
        ("New York, NY", "New York City New York"),
        ("05401", "5401"),
        ("55802", "55802-1234"),
        ("55802", "558021234"),
        ("Winston-Salem, NC", "winston salem north carolina"),
        ("Winston-Salem, NC", "Winston-Salem, N.C."),
        ("Washington, DC", "Washington D.C."),
        ("Duluth, MN", "duluth mn."),
        ("Duluth, MN", "Duluth, Minn., USA"),
        ("Duluth, MN", "Duluth, Minnesota, United States"),
        ("55802", "Duluth, MN 55802"),
        ("55802", "Duluth MN 55802-1234"),
        ("46.78,-92.1", "46.78° N, 92.10° W"),
        ("46.78,-92.1", "N46.78 W92.1"),
        ("46.78,-92.1,1400 ft", "46.78 N, 92.1 W, 1400 ft"),
        ("DeKalb, IL", "De Kalb IL"),
        ("La Crosse, WI", "LaCrosse, WI"),
        ("McAllen, TX", "Mc Allen, TX"),
        ("East Lansing, MI", "E. Lansing, MI"),
        ("North Las Vegas, NV", "N. Las Vegas NV"),
    ],
)
def test_spellings_mean_the_same_place(one, other):
    a, b = find_place(one), find_place(other)
    assert (a.lat, a.lon, a.heating_99_C) == (b.lat, b.lon, b.heating_99_C)


@pytest.mark.parametrize(
    "query, words",
    [
        ("Springfield", r"states have one: Springfield, MO \(\d+,\d+ people\)"),
        ("Dulth, MN", 'did you mean "Duluth", "[^"]+", "[^"]+"'),
        ("Truckee, NV", "no town or county of NV"),
        ("West Virginia", "is a state: name a town"),
        ("St. Paul, MN 55802", "ZIP 55802 is Duluth, MN"),
        ("Duluth, WI 55802", "ZIP 55802 is Duluth, MN"),
        ("-92.1,46.8", 'did you mean "46.8,-92.1"'),
        ("Springfeild", 'did you mean "Springfield", "[^"]+", "[^"]+"'),
        ("Duluth, MN; Foo-Bar", "is no month"),
        ("Duluth, MN; Jan-Feb-Mar", "more than two months"),
    ],
)
def test_unclear_names_are_answered_with_candidates(query, words):
    with pytest.raises(InputError, match=words):
        find_place(query)


def test_a_place_too_small_for_the_tables_is_found_by_its_post_office():
    place = find_place("Isabella, MN")
    assert place.state == "MN" and any("taken at its ZIP" in str(w) for w in place.warnings)


def test_a_season_holds_the_months_said():
    whole, summer, winter = find_places(["Duluth, MN", "Duluth, MN; May-Oct", "Duluth, MN; Nov to Apr"])
    assert summer.months == (5, 6, 7, 8, 9, 10) and winter.months == (11, 12, 1, 2, 3, 4)
    assert summer.heating_99_C > whole.heating_99_C + 10.0 and winter.cooling_1_C < whole.cooling_1_C - 5.0
    assert winter.heating_99_C < whole.heating_99_C  # 1 % of half the hours lies deeper in the same cold
    assert summer.coldest_hour_C > whole.coldest_hour_C == pytest.approx(winter.coldest_hour_C, abs=1e-6)
    for outdoor in (-20.0, -10.0, 0.0, 20.0):
        assert summer.hours_below(outdoor) + winter.hours_below(outdoor) == pytest.approx(whole.hours_below(outdoor))
    assert find_place("Duluth, MN; Jan-Dec") == whole


def test_an_unsure_height_is_no_better_than_grade_c_and_says_so():
    """A steep cell far from any known height: the sigma of the height is above 150 m."""
    place = find_place("36.6,-118.2")
    assert height_at(place.lat, place.lon).sigma_m > 150.0
    assert place.grade == "C" and any(str(w).startswith("height ") for w in place.warnings)
    sure = find_place(f"{place.lat},{place.lon},{place.elevation_m}")
    assert sure.sigma_cooling_K < place.sigma_cooling_K and sure.height_source == "given"


def test_a_valley_floor_below_every_station_says_so():
    """Death Valley and the Rio Grande at Terlingua; not higher up, nor desert towns with a station of their own."""
    deep = ("Death Valley, CA", "Terlingua, TX"), ("36.46,-116.87,600 m", "Palm Springs, CA", "Salton City, CA", "Laughlin, NV")
    said = [[any("below every station" in str(w) for w in place.warnings) for place in find_places(these)] for these in deep]
    assert said == [[True] * 2, [False] * 4]


@pytest.mark.parametrize("name, column", [("towns.csv.gz", 6), ("us_counties.csv.gz", 8), ("airfields.csv.gz", 2)])
def test_heights_of_the_tables_are_heights(name, column):
    """Between Death Valley and the highest towns and strips of the country."""
    heights = [int(row[column]) for row in tables.first_columns(name, column + 1)]
    assert min(heights) >= -90 and max(heights) < 4000
