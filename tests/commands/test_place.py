"""`heatcalc place`: queries, worst of several, own values, files, fetching from a local server, figure, bad input."""

import json
import math
import threading
from datetime import datetime, timedelta
from functools import partial
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import numpy as np
import pytest

import heatcalc
from heatcalc.cli import main
from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.house.house_record import Design
from heatcalc.inputs.place.find_place import at_elevation, find_place
from heatcalc.inputs.weather import fetch
from heatcalc.inputs.weather.weather_hours import read_weather
from heatcalc.model.climate import places_answer, year_bins
from heatcalc.physics.year.year_hours import outside

PROMISED = [
    "name",
    "lat",
    "lon",
    "elevation_m",
    "zone",
    "moisture_regime",
    "zone_edition",
    "heating_99_C",
    "heating_996_C",
    "cooling_1_C",
    "cooling_04_C",
    "cooling_1_mcwb_C",
    "daily_range_K",
    "hdd18_3_Kd",
    "cdd10_Kd",
    "sigma_heating_K",
    "sigma_cooling_K",
    "grade",
    "source",
    "warnings",
]


def asked(capsys, *words: str) -> str:
    assert main(["place", *words]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize(
    "query",
    [
        "Duluth, MN",
        "55802",
        "St. Louis County, MN",
        "46.8,-92.1",
        "727450",
        "Calgary, AB",
        "Sitka, AK",
        "Honolulu, HI",
        "Washington, DC",
        "Winnipeg, Manitoba",
        "46.8, -92.1, 1400 ft",
    ],
)
def test_json_holds_what_is_promised(capsys, query):
    found = json.loads(asked(capsys, query, "--json"))
    assert set(PROMISED) <= set(found)
    assert all(len(found["monthly"][k]) == 12 for k in ("mean_C", "max_C", "min_C"))
    assert found["heating_99_C"] < found["cooling_1_C"]


@pytest.mark.parametrize(
    "one, other",
    [
        ("St. Paul, MN", "saint paul mn"),
        ("Winston-Salem, NC", "winston salem, north carolina"),
        ("Doña Ana County, NM", "Dona Ana, NM"),
        ("Fort Collins, CO", "Ft. Collins CO"),
        ("Caddo Parish, LA", "Caddo, LA"),
        ("55802-1234", "55802"),
        ("Baltimore city, MD", "21201"),
        ("Coeur D Alene, ID", "coeur d alene, Idaho"),
    ],
)
def test_spellings_lead_to_the_same_county(one, other):
    assert find_place(one).county == find_place(other).county


@pytest.mark.parametrize(
    "query, words",
    [
        ("Springfield", "states have one"),
        ("Dulth, MN", 'did you mean "Duluth"'),
        ("99999", "no ZIP"),
        ("Paris, ZZ", "no state"),
        ("", "is empty"),
        ("x" * 200, "too long"),
        ("95,-92", "latitude is -90 to 90"),
        ("46.8,92.1", 'did you mean "46.8,-92.1"'),
        ("51,-30", "outside the 50 states"),
        ("Moose Jaw, SK", "Canadian places"),
        ("Nowhere", "not in the tables"),
        ("703884", "bad hours"),
        ("46.8,-92.1,9000", "elevation"),
        ("Lost County, MN", "no town or county"),
        ("Summerside, PE", "Canadian places"),
    ],
)
def test_a_bad_query_gets_one_clear_line(capsys, query, words):
    assert main(["place", query]) == 2
    error = capsys.readouterr().err
    assert words in error and error.count("\n") == 1 and "Traceback" not in error


def test_a_zip_of_two_counties_names_them(capsys):
    assert "also touches Multnomah County, OR" in asked(capsys, "97229")


def test_text_says_sigma_grade_zone_and_caution(capsys):
    out = " ".join(asked(capsys, "Denver, CO", "--full").split())
    for words in (
        "(the town's own)",
        "hours colder than -4 °F",
        "no ten- or twenty-year value",
        "grade A (A best",
        "5B (IECC 2021, dry)",
        "mountain West",
        "not a worst one",
        "Hours by temperature",
        "station ",
    ):
        assert words in out
    assert "°C" in asked(capsys, "Denver, CO", "--units", "si")


def test_worst_of_several_places_and_who_sets_it(capsys):
    found = json.loads(asked(capsys, "Duluth, MN", "Phoenix, AZ", "Houston, TX", "--json"))
    worst = found["worst"]
    assert worst["heating_99_C"]["set_by"].startswith("Duluth")
    assert worst["cooling_1_C"]["set_by"].startswith("Phoenix")
    assert worst["cooling_1_mcwb_C"]["set_by"].startswith("Houston")
    for key, value in worst.items():
        every = [place[key] for place in found["places"]]
        assert value["value"] in every
        if key != "daily_range_K":
            assert value["value"] == (min(every) if key.startswith("heating") else max(every))


def test_the_same_numbers_as_frames_of_both_systems():
    answer, other = (heatcalc.place("Duluth, MN", "Calgary, AB", units=units) for units in ("ip", "si"))
    design, months = other.tables["design"], other.tables["months-2"]
    assert design["heating 99 % [°C]"].tolist() == [p.heating_99_C for p in other.places]
    assert answer.tables["design"]["heating 99 % [°F]"].tolist() == pytest.approx(
        [p.heating_99_C * 1.8 + 32 for p in other.places]
    )
    assert months["mean [°C]"].tolist() == list(other.places[1].monthly.mean_C) and len(months) == 12
    assert "Calgary" in answer._repr_html_() and set(answer.figures) == {"place-duluth-mn-st-louis-county", "place-calgary-ab"}


def test_own_values_win_with_their_source(capsys):
    found = json.loads(
        asked(capsys, "Duluth, MN", "--heating", "-30 F", "--daily-range", "20 F", "--source", "the county office", "--json")
    )
    assert found["heating_99_C"] == pytest.approx(-34.4444, abs=1e-3)
    assert found["heating_996_C"] <= found["heating_99_C"]
    assert found["daily_range_K"] == pytest.approx(20 / 1.8)
    assert "the county office" in found["source"] and found["sigma_heating_K"] == 0.0
    assert main(["place", "Duluth, MN", "--heating", "-30 F"]) == 2
    assert "source" in capsys.readouterr().err


def test_own_wet_bulb_never_exceeds_the_dry_bulb():
    own = Design.model_validate({"cooling": "80 F", "cooling_wet_bulb": "90 F", "source": "x"})
    place = places_answer([find_place("Houston, TX")], own).places[0]
    assert place.cooling_1_mcwb_C <= place.cooling_1_C


def test_another_height_is_carried_from_the_stations(capsys):
    """The same as the position with that height; a place that stands on its own record moves by the site lapse."""
    high = json.loads(asked(capsys, "Boulder, CO", "--elevation", "2588 m", "--json"))
    there = json.loads(asked(capsys, f"{high['lat']},{high['lon']},2588", "--json"))
    for key in ("heating_99_C", "heating_996_C", "cooling_1_C", "hdd18_3_Kd", "monthly", "elevation_m"):
        assert high[key] == there[key], key
    low = find_place("Boulder, CO")
    assert high["cooling_1_C"] < low.cooling_1_C and high["hdd18_3_Kd"] > low.hdd18_3_Kd
    assert main(["place", "Duluth, MN", "--elevation", "9000 m"]) == 2


def test_a_record_without_stations_around_moves_by_the_site_lapse(capsys):
    """-3.6 F and -5.5 F per 1,000 m (climate_data/README.md, step 6)."""
    place = find_place("Calgary, AB")
    higher = at_elevation(place, place.elevation_m + 1000.0)
    assert (higher.heating_99_C - place.heating_99_C) * 1.8 == pytest.approx(-3.6)
    assert (higher.cooling_1_C - place.cooling_1_C) * 1.8 == pytest.approx(-5.5)
    assert at_elevation(place, place.elevation_m) is place


def test_year_bins_hold_the_year():
    for query in ("Duluth, MN", "725650"):
        bins = year_bins(find_place(query))
        assert sum(bins.hours) == pytest.approx(8760)
    assert year_bins(find_place("Calgary, AB")) is None


def test_own_hourly_file(capsys):
    import pvlib

    file = str(Path(pvlib.__file__).parent / "data" / "723170TYA.CSV")
    out = asked(capsys, "--weather", file)
    assert "GREENSBORO" in out and "+/-3.8 °F (heating)" in out and "no hour needed repair" in out
    found = json.loads(asked(capsys, "Greensboro, NC", "--weather", file, "--json"))
    assert found["zone"] == "3A" and found["heating_99_C"] * 1.8 + 32 == pytest.approx(15.1, abs=0.05)
    assert main(["place", "--weather", "none.csv"]) == 2
    assert main(["place", "Duluth, MN", "Ely, MN", "--weather", file]) == 2


def test_figure_is_written_whole_and_the_same_twice(capsys, tmp_path):
    for folder in ("a", "b"):
        asked(capsys, "Duluth, MN", "-o", str(tmp_path / folder))
    first, second = (sorted((tmp_path / k).iterdir()) for k in ("a", "b"))
    assert [f.name for f in first if f.suffix not in (".png", ".svg")] == ["place.html", "result.json"]
    assert {f.stem for f in first if f.suffix in (".png", ".svg")} == {"place-duluth-mn-st-louis-county"}
    assert [f.read_bytes() for f in first] == [f.read_bytes() for f in second]
    asked(capsys, "Calgary, AB", "--units", "si", "-o", str(tmp_path / "c"))


# fetching, from a server on this machine


GHI = np.roll(0.4 * outside(64.1, -21.9, -1.0).hourly.ravel(), 1)  # an hour that begins at 9 UTC ends at 9 in UTC-1


def temperature(i: int) -> float:
    """A season, a day and a slow wave, by the hour of the year in UTC [degC]."""
    month = (datetime(2007, 1, 1) + timedelta(hours=i)).month
    return round(3.4 + 0.1 * month - 2.0 * math.cos((i % 24 - 4.5) * math.pi / 12) + 0.1 * math.sin(i / 60), 2)


def reply() -> bytes:
    """A typical year as the service sends it: UTC stamps, months of different years, at 64.1 N, 21.9 W."""
    rows = []
    for i in range(8760):
        at = datetime(2007, 1, 1) + timedelta(hours=i)
        year = 2005 + at.month
        rows.append(
            {
                "time(UTC)": f"{year}{at:%m%d:%H}00",
                "T2m": temperature(i),
                "RH": 80.0,
                "G(h)": GHI[i % 8760],
                "Gb(n)": 0.0,
                "Gd(h)": GHI[i % 8760],
                "IR(h)": 300.0,
                "WS10m": 6.0 + i % 7 * 0.1,
                "WD10m": 90.0,
                "SP": 100500.0,
            }
        )
    months = [{"month": m, "year": 2005 + m} for m in range(1, 13)]
    whole = {
        "inputs": {"location": {"latitude": 64.1, "longitude": -21.9, "elevation": 20.0}},
        "outputs": {"months_selected": months, "tmy_hourly": rows},
        "meta": {"inputs": {}, "outputs": {}},
    }
    return json.dumps(whole).encode()


@pytest.fixture
def server():
    """A local server that answers with `server.body` and `server.status`, and counts."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            self.server.asked += 1
            self.send_response(self.server.status)
            self.send_header("Content-Type", "application/json")
            self.end_headers()
            self.wfile.write(self.server.body)

        def log_message(self, *words):
            pass

    made = HTTPServer(("127.0.0.1", 0), Handler)
    made.body, made.status, made.asked = reply(), 200, 0
    thread = threading.Thread(target=made.serve_forever, daemon=True)
    thread.start()
    yield made
    made.shutdown()
    made.server_close()


def url_of(server) -> str:
    return f"http://127.0.0.1:{server.server_port}/"


def test_a_fetched_year_is_kept_and_read(server, tmp_path):
    file = fetch.fetch_year(64.1, -21.9, tmp_path, url_of(server))
    assert fetch.fetch_year(64.1, -21.9, tmp_path, url_of(server)) == file and server.asked == 1
    assert [f.name for f in tmp_path.iterdir()] == [file.name]
    year = read_weather(file)
    assert (year.lat, year.utc_offset_h, year.elevation_m) == (64.1, -1.0, 20.0)
    assert np.flatnonzero(year.ghi[24:48]).tolist() == np.flatnonzero(outside(64.1, -21.9, -1.0).hourly[1]).tolist()
    assert year.dry_bulb_C[24 + 8] == temperature(24 + 10)  # stamp 9 h at UTC-1 = 10 h UTC


def test_fetch_by_the_command(server, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(fetch, "fetch_year", partial(fetch.fetch_year, folder=tmp_path, url=url_of(server)))
    assert "typical year at 64.10, -21.90" in asked(capsys, "64.1,-21.9", "--fetch")


def test_the_cache_follows_the_system(monkeypatch, tmp_path):
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert fetch.cached_year(1.234, -5.678) == tmp_path / "heatcalc" / "typical_year_1.23_-5.68.csv"


@pytest.mark.parametrize(
    "status, body, words",
    [
        (400, b'{"message": "Location over the sea. Please, select another location"}', "over the sea"),
        (500, b"oops", "no typical year for"),
        (200, b"<html>", "cannot be read"),
        (200, b'{"meta": {}}', "cannot be read"),
        (200, b"", "cannot be read"),
    ],
)
def test_a_bad_reply_leaves_nothing_behind(server, tmp_path, status, body, words):
    server.status, server.body = status, body
    with pytest.raises(NoAnswer, match=words):
        fetch.fetch_year(0.0, 0.0, tmp_path / "cache", url_of(server))
    assert not (tmp_path / "cache").exists()


def test_no_network_is_said_clearly(tmp_path):
    with pytest.raises(NoAnswer, match="no connection .* --weather"):
        fetch.fetch_year(0.0, 0.0, tmp_path, "http://127.0.0.1:9/")
    with pytest.raises(InputError):
        fetch.fetch_year(100.0, 0.0, tmp_path)


def test_a_grade_c_place_says_what_to_do(capsys):
    assert main(["place", "Fairbanks, AK"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "climate grade C: look up a published design temperature" in said and '[design] heating = "-' in said
    assert main(["place", "Burlington, VT"]) == 0
    assert "climate grade C" not in capsys.readouterr().out
