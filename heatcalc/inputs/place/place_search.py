"""What a query means: coordinates, a ZIP, a station number, a county, a city, a Canadian place."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from dataclasses import dataclass
from functools import cache

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.place_rows import COUNTIES, STATIONS, canada_rows, county_title
from heatcalc.wording import Said

FORMS = 'write it like "Duluth, MN", "St. Louis County, MN", "55802", "46.8,-92.1", a station number or "Calgary, AB"'
SAME_CITY_KM = 60.0
_POINT = re.compile(r"^(-?\d+(?:\.\d+)?)\s*[, ]\s*(-?\d+(?:\.\d+)?)(?:\s*[, ]\s*(-?\d+(?:\.\d+)?)\s*(m|ft)?)?$")
_COUNTY_WORDS = re.compile(r" (county|parish|borough|census area|municipality|city and borough)$")
_STATES = {
    "alabama": "AL",
    "alaska": "AK",
    "arizona": "AZ",
    "arkansas": "AR",
    "california": "CA",
    "colorado": "CO",
    "connecticut": "CT",
    "delaware": "DE",
    "district of columbia": "DC",
    "florida": "FL",
    "georgia": "GA",
    "hawaii": "HI",
    "idaho": "ID",
    "illinois": "IL",
    "indiana": "IN",
    "iowa": "IA",
    "kansas": "KS",
    "kentucky": "KY",
    "louisiana": "LA",
    "maine": "ME",
    "maryland": "MD",
    "massachusetts": "MA",
    "michigan": "MI",
    "minnesota": "MN",
    "mississippi": "MS",
    "missouri": "MO",
    "montana": "MT",
    "nebraska": "NE",
    "nevada": "NV",
    "new hampshire": "NH",
    "new jersey": "NJ",
    "new mexico": "NM",
    "new york": "NY",
    "north carolina": "NC",
    "north dakota": "ND",
    "ohio": "OH",
    "oklahoma": "OK",
    "oregon": "OR",
    "pennsylvania": "PA",
    "rhode island": "RI",
    "south carolina": "SC",
    "south dakota": "SD",
    "tennessee": "TN",
    "texas": "TX",
    "utah": "UT",
    "vermont": "VT",
    "virginia": "VA",
    "washington": "WA",
    "west virginia": "WV",
    "wisconsin": "WI",
    "wyoming": "WY",
    "alberta": "AB",
    "british columbia": "BC",
    "manitoba": "MB",
    "new brunswick": "NB",
    "newfoundland and labrador": "NL",
    "nova scotia": "NS",
    "northwest territories": "NT",
    "ontario": "ON",
    "prince edward island": "PE",
    "quebec": "QC",
    "saskatchewan": "SK",
    "yukon": "YT",
}
PROVINCES = ("AB", "BC", "MB", "NB", "NL", "NS", "NT", "ON", "PE", "QC", "SK", "YT", "NU")


@dataclass(frozen=True)
class Found:
    """What a query names; `kind` is point, county, station or canada."""

    kind: str
    key: str  # FIPS, station number or Canadian place
    name: str = ""  # how to call it, where the query was a city or a ZIP
    point: tuple[float, float, float | None] | None = None
    warnings: tuple[Said, ...] = ()


def search(query: str) -> Found:
    """The one place `query` names; InputError with candidates, or the nearest match, otherwise."""
    words = " ".join(str(query).split())
    if not words or len(words) > 100:
        raise InputError("place", query, "is empty" if not words else "is too long to be a place", FORMS)
    point = _POINT.match(words.replace("−", "-"))
    if point:
        return _point(query, point)
    if words.isdigit() or re.match(r"^\d{5}-\d{4}$", words):
        return _number(words)
    name, state = _name_and_state(words)
    if not state:
        return _without_state(query, name)
    if state in PROVINCES:
        return _canadian(query, name, state)
    return _county(name, state) or _city(name, state) or _unknown(query, name, state)


def plain(name: str) -> str:
    """Lower case, no accents or points, saint = st, fort = ft, mount = mt."""
    name = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[.'’()]", "", name)
    name = re.sub(r"\bsaint\b", "st", re.sub(r"\bfort\b", "ft", re.sub(r"\bmount\b", "mt", name)))
    return " ".join(name.replace("-", " ").split())


def _point(query: str, match: re.Match) -> Found:
    lat, lon = float(match[1]), float(match[2])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        raise InputError("place", query, "latitude is -90 to 90 and longitude -180 to 180, west negative")
    if lon > 0 and 18 <= lat <= 72 and lon > 60:
        raise InputError("place", query, "longitudes in America are negative", f'did you mean "{lat:g},{-lon:g}"?')
    height = float(match[3]) * (0.3048 if match[4] == "ft" else 1.0) if match[3] else None
    if height is not None and not -100 <= height <= 5000:
        raise InputError("place", query, "the third number is the elevation, -100 m to 5,000 m")
    return Found("point", "", point=(lat, lon, height))


def _number(words: str) -> Found:
    if len(words) == 6 and tables.row(STATIONS, words):
        if (tables.row(STATIONS, words) or {})["quality"] == "X":
            raise InputError(
                "place", words, "this station's record has bad hours and is not used", "take its county or its position"
            )
        return Found("station", words)
    row = tables.row("zips.csv.gz", words[:5]) if len(words) in (5, 10) else None
    if row is None:
        raise InputError(
            "place",
            words,
            "is no ZIP of the 50 states and no station number in the tables",
            nearest(words, [code for (code,) in tables.first_columns("zips.csv.gz", 1) if code[:3] == words[:3]]),
        )
    city, state = row["cities"].split("|")[1], _state_of(row["fips"])
    others = _other_counties(words[:5], row["fips"])
    notes = (f"ZIP {words[:5]} also touches {others}: name the county if the house stands there",) if others else ()
    return Found("county", row["fips"], f"{city}, {state} {words[:5]}", (float(row["lat"]), float(row["lon"]), None), notes)


def _other_counties(code: str, fips: str) -> str:
    """Counties other than `fips` that hold part of a ZIP area, largest first."""
    touched = tables.row("zip_counties.csv", code)
    return ", ".join(_title(f) for f in touched["fips"].split() if f != fips) if touched else ""


@cache
def _states() -> dict[str, str]:
    """State of every county."""
    return {fips: state for fips, state, _ in _counties()}


def _state_of(fips: str) -> str:
    return _states()[fips]


def _title(fips: str) -> str:
    row = tables.row(COUNTIES, fips)
    return f"{county_title(row)}, {row['state']}" if row else fips


def _name_and_state(words: str) -> tuple[str, str]:
    """Split "Duluth, MN", "Duluth MN", "Duluth, Minnesota"; the state is empty where none is said."""
    if "," in words:
        name, _, state = words.rpartition(",")
        return name.strip(), _state(state) or _refuse_state(words, state)
    parts = words.split()
    for count in (1, 2, 3):
        state = _state(" ".join(parts[-count:]))
        if state and len(parts) > count:
            return " ".join(parts[:-count]), state
    return words, ""


def _state(word: str) -> str:
    word = word.strip()
    codes = {*_STATES.values(), "NU"}
    return word.upper() if word.upper() in codes else _STATES.get(plain(word).replace("ft ", "fort "), "")


def _refuse_state(words: str, state: str) -> str:
    raise InputError(
        "place",
        words,
        f"{state.strip()!r} is no state of the United States or province of Canada",
        nearest(state.strip(), [*_STATES]) or FORMS,
    )


def _counties() -> tuple[tuple[str, ...], ...]:
    return tables.first_columns(COUNTIES, 3)


def _county(name: str, state: str) -> Found | None:
    """A county by its full name, or by its bare name where no city is called so."""
    wanted = plain(name)
    bare = _COUNTY_WORDS.sub("", wanted)
    here = [(fips, plain(county)) for fips, s, county in _counties() if s == state]
    exact = [fips for fips, county in here if county in (bare, wanted)]
    if exact and (bare != wanted or wanted.endswith(" city") or not _city_zips(wanted, state)):
        return Found("county", exact[0])
    return None


def _zips_called(name: str) -> list[tuple[str, str, float, float]]:
    """ZIP, FIPS and position of every ZIP whose post office is called `name` (plain), else of those that also go by it."""
    first: list[tuple[str, str, float, float]] = []
    others: list[tuple[str, str, float, float]] = []
    text, start = _plain_zips(), 0
    while (start := text.find(f"|{name}|", start) + 1) > 0:
        code, fips, lat, lon, _ = text[text.rfind("\n", 0, start) + 1 : start].split(",", 4)
        found = first if text[start - 2] == "," else others
        found.append((code, fips, float(lat), float(lon.replace(" ", "-"))))
    states = {_state_of(found[1]) for found in first}
    return first + [found for found in others if _state_of(found[1]) not in states]


def _city_zips(name: str, state: str) -> list[tuple[str, str, float, float]]:
    """Those of one state."""
    return [found for found in _zips_called(name) if _state_of(found[1]) == state]


@cache
def _plain_zips() -> str:
    """The ZIP table with names as `plain` writes them; a minus, too, has become a space."""
    text = tables.content("zips.csv.gz").lower().replace("'", "").replace("-", " ").replace("|saint ", "|st ")
    return text.replace("|fort ", "|ft ").replace("|mount ", "|mt ")


def _city(name: str, state: str) -> Found | None:
    zips = _city_zips(plain(name), state)
    if not zips:
        return None
    counts = Counter(z[1] for z in zips).most_common()
    fips = counts[0][0]
    own = [z for z in zips if z[1] == fips]
    lat, lon = sum(z[2] for z in own) / len(own), sum(z[3] for z in own) / len(own)
    far = [z for z in zips if abs(z[2] - lat) * 111 > SAME_CITY_KM or abs(z[3] - lon) * 80 > SAME_CITY_KM]
    title = f"{_spelled(own[0][0], plain(name))}, {state}"
    if far and 2 * len(own) <= len(zips):
        counties = sorted({f for _, f, *_ in zips})
        raise InputError(
            "place",
            title,
            f"several places have this name: {'; '.join(f'{title} in {_title(f)}' for f in counties[:8])}",
            "give the county or a ZIP",
        )
    others = ", ".join(_title(f) for f, _ in counts[1:4])
    notes = (f"{title} also reaches into {others}: name the county if the house stands there",) if others else ()
    return Found("county", fips, title, (lat, lon, None), notes)


def _spelled(code: str, name: str) -> str:
    """The city's name as the table writes it."""
    names = tables.row("zips.csv.gz", code)["cities"].strip("|").split("|")  # type: ignore[index]
    return next((n for n in names if plain(n) == name), names[0])


def _canadian(query: str, name: str, state: str) -> Found:
    rows = [r for r in canada_rows() if r["quality"] != "X"]
    here = [r for r in rows if plain(r["place"]) == plain(name) and r["prov"] == state]
    if here:
        return Found("canada", here[0]["place"])
    listed = [r["place"] for r in rows if r["prov"] == state]
    raise InputError(
        "place",
        query,
        f"the tables hold only {len(rows)} Canadian places; in {state}: {', '.join(listed) or 'none'}",
        nearest(name, listed) or "or give an hourly file with --weather",
    )


def _without_state(query: str, name: str) -> Found:
    """A name alone: taken where only one place has it, otherwise the candidates are listed."""
    wanted = plain(name)
    bare = _COUNTY_WORDS.sub("", wanted)
    states = {s for _, s, county in _counties() if plain(county) == bare} if bare != wanted else set()
    if bare == wanted:
        states = {_state_of(found[1]) for found in _zips_called(wanted)}
    canada = [r for r in canada_rows() if plain(r["place"]) == wanted and r["quality"] != "X"]
    candidates = [f"{name.strip()}, {s}" for s in (*sorted(states), *(r["prov"] for r in canada))]
    if len(candidates) == 1:
        return search(candidates[0])
    if candidates:
        raise InputError(
            "place",
            query,
            f"{len(candidates)} states have one: {'; '.join(candidates[:12])}{'; ...' if len(candidates) > 12 else ''}",
            "add the state",
        )
    raise InputError("place", query, "is not in the tables", FORMS)


def _unknown(query: str, name: str, state: str) -> Found:
    here = {fips for fips, s, _ in _counties() if s == state}
    cities = {
        city
        for *_, fips, _, _, _, names in tables.first_columns("zips.csv.gz", 6)
        if fips in here
        for city in names.strip("|").split("|")
    }
    counties = [f"{county} County" for _, s, county in _counties() if s == state]
    raise InputError(
        "place", query, f"no city or county of {state} has this name", nearest(name, sorted(cities) + counties) or FORMS
    )
