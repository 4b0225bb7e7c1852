"""What a query means: coordinates, a ZIP, a station number, a county, a town, a Canadian place; always a position."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from itertools import compress
from math import hypot

import numpy as np

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.place import climate_tables as tables
from heatcalc.inputs.place.heights import Height
from heatcalc.inputs.place.place_rows import COUNTIES, STATIONS, canada_rows, county_title
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.tables import rows
from heatcalc.wording import Said

FORMS = 'write it like "Duluth, MN", "St. Louis County, MN", "55802", "46.8,-92.1", a station number or "Calgary, AB"'
TOWNS, ZIPS = "towns.csv.gz", "zips.csv.gz"
TOWN_SIGMA_M, GIVEN_SIGMA_M = 15.0, 0.0
CLEARLY_LARGER, SAME_TOWN_KM = 3, 30.0  # own choice: of two towns of one name in a state the much larger is meant
STEEP_ZIP_M, STEEP_ZIP_KM = 40.0, 10.0  # own choice
MOST_LISTED, NEAR = 12, 0.6  # likeness of a name worth proposing (own choice)
_POINT = re.compile(r"^(-?\d+(?:\.\d+)?)\s*[, ]\s*(-?\d+(?:\.\d+)?)(?:\s*[, ]\s*(-?\d+(?:\.\d+)?)\s*(m|ft)?)?$")
_COUNTY_WORDS = re.compile(r" (county|parish|borough|census area|municipality|city and borough)$")
_COUNTRY = re.compile(r"[, ]+(usa?|u\.s\.(a\.)?|united states( of america)?)$", re.IGNORECASE)
_NAME_AND_ZIP = re.compile(r"^(.*[A-Za-z.]),? (\d{5}(?:-\d{4})?)$")
_LETTERED = re.compile(r"^(?:n ?([\d.]+)|([\d.]+) ?n)[, ]+(?:w ?([\d.]+)|([\d.]+) ?w)(.*)$", re.IGNORECASE)
_SHORT = {"sainte": "ste", "saint": "st", "fort": "ft", "mount": "mt"}
_LONG = re.compile(rf"\b({'|'.join(_SHORT)})\b")
_BARE = str.maketrans("-", " ", ".'()`")
_TOWARDS = {"n": "north", "s": "south", "e": "east", "w": "west"}


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a query names; `kind` is point, town, zip, county, station or canada."""

    kind: str
    key: str = ""  # FIPS of the county where it is known, station number or Canadian place
    name: str = ""  # how to call it
    position: tuple[float, float] = (0.0, 0.0)
    height: Height | None = None
    warnings: tuple[Said, ...] = ()
    code: str = ""  # of a ZIP
    town: tuple[str, str] = ("", "")  # of a ZIP, name and state of its post office


@dataclass(frozen=True, kw_only=True)
class Town:
    """A populated place."""

    name: str
    state: str
    fips: str
    lat: float
    lon: float
    height_m: float
    people: int


def search(query: str) -> Found:
    """The one place `query` names; InputError with candidates, or the nearest matches, otherwise."""
    words = " ".join(str(query).split())
    if not words or len(words) > 100:
        raise InputError("place", query, "is empty" if not words else "is too long to be a place", FORMS)
    if point := _POINT.match(_signed(words)):
        return _point(query, point)
    words = _COUNTRY.sub("", words)
    if words.isdigit() or re.match(r"^\d{4,5}-\d{4}$", words):
        return _number(words)
    if with_zip := _NAME_AND_ZIP.match(words):
        return _named_zip(query, with_zip[1], with_zip[2])
    name, state = _name_and_state(words)
    if not state:
        return _without_state(query, name)
    if state in _provinces():
        return _canadian(query, name, state)
    return _county(name, state) or _town(query, name, state) or _post_office(name, state) or _unknown(query, name, state)


@lru_cache(maxsize=1 << 16)  # every name of the tables, looked through for the nearest to a misspelt one
def plain(name: str) -> str:
    """Lower case, no accents or points, saint = st, sainte = ste, fort = ft, mount = mt."""
    bare = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return " ".join(_LONG.sub(lambda long: _SHORT[long[0]], bare.lower().translate(_BARE)).split())


def keys(name: str) -> tuple[str, ...]:
    """The plain name; then with a particle ("Coeur d'Alene", "De Kalb", "LaCrosse") joined or apart, "E Lansing" in full."""
    key = plain(name)
    joined = re.sub(r"\b([dol]|de|la|mc) (?=\w)", r"\1", key)
    apart = re.sub(r"^(de|la|mc)(?=\w{3})", r"\1 ", key)
    first, _, rest = key.partition(" ")
    return tuple(dict.fromkeys((key, joined, apart, f"{_TOWARDS.get(first, first)} {rest}".strip())))


def _signed(words: str) -> str:
    """A position with minus signs: "46.8 N, 92.1 W" as "46.8,-92.1"."""
    words = words.replace("\u2212", "-").replace("\u00b0", " ")
    lettered = _LETTERED.match(" ".join(words.split()))
    return f"{lettered[1] or lettered[2]},-{lettered[3] or lettered[4]}{lettered[5]}" if lettered else words


def _named_zip(query: str, said: str, code: str) -> Found:
    """ "Duluth, MN 55802": the ZIP, where the words before it are its own."""
    found = _number(code)
    (name, state), names = _name_and_state(said), (tables.row(ZIPS, found.code) or {})["cities"].strip("|").split("|")
    own = {plain(n) for n in names} & {*keys(name)} and state in ("", found.town[1])
    if not own and _state(said) != found.town[1]:
        raise InputError("place", query, f"ZIP {found.code} is {', '.join(found.town)}", "give the one or the other")
    return found


def _point(query: str, match: re.Match) -> Found:
    lat, lon = float(match[1]), float(match[2])
    if not (-90 <= lat <= 90 and -180 <= lon <= 180):
        turned = f'did you mean "{lon:g},{lat:g}"?' if -180 <= lat < 0 < lon <= 90 else ""
        raise InputError("place", query, "latitude is -90 to 90 and longitude -180 to 180, west negative", turned)
    if lon > 0 and 18 <= lat <= 72 and lon > 60 and not lon > 172:
        raise InputError("place", query, "longitudes in America are negative", f'did you mean "{lat:g},{-lon:g}"?')
    height = float(match[3]) * (0.3048 if match[4] == "ft" else 1.0) if match[3] else None
    if height is not None and not -100 <= height <= 5000:
        raise InputError("place", query, "the third number is the elevation, -100 m to 5,000 m")
    return Found(kind="point", position=(lat, lon), height=None if height is None else Height(height, "given", GIVEN_SIGMA_M))


def _number(words: str) -> Found:
    if len(words) == 6 and tables.row(STATIONS, words):
        if (tables.row(STATIONS, words) or {})["quality"] == "X":
            raise InputError(
                "place", words, "this station's record has bad hours and is not used", "take its county or its position"
            )
        return Found(kind="station", key=words)
    code = words.partition("-")[0]
    code = code[:-4] if len(code) in (8, 9) else code
    code = code.zfill(5) if 3 <= len(code) <= 5 else code
    row = tables.row(ZIPS, code) if len(code) == 5 else None
    if row is None:
        raise InputError(
            "place",
            words,
            "is no ZIP of the 50 states and no station number in the tables",
            nearest(code, [known for (known,) in tables.first_columns(ZIPS, 1) if known[:3] == code[:3]]),
        )
    city, state = row["cities"].split("|")[1], state_of(row["fips"])
    others = _other_counties(code, row["fips"])
    notes = (f"ZIP {code} also touches {others}: name the town or the position if the house stands there",) if others else ()
    position = (float(row["lat"]), float(row["lon"]))
    return Found(
        kind="town",
        key=row["fips"],
        name=f"{city}, {state} {code}",
        position=position,
        warnings=notes,
        code=code,
        town=(city, state),
    )


def where_houses_stand(found: Found, here: Height) -> Height:
    """The height at a position; of a ZIP where land is steep that of its town near by, because there the houses stand."""
    if here.sigma_m < STEEP_ZIP_M or not found.town[0]:
        return here
    towns = [t for t in towns_called(*found.town) if great_circle_km(t.lat, t.lon, *found.position) < STEEP_ZIP_KM]
    if not towns:
        return here
    moved = min(max(towns[0].height_m - here.m, -here.sigma_m), here.sigma_m)  # as far as the position's own height allows
    source = f"towards the town {towns[0].name}, {found.town[1]}; the ZIP's own position is steep"
    return Height(here.m + moved, source, hypot(here.sigma_m, moved))


def _other_counties(code: str, fips: str) -> str:
    """Counties other than `fips` that hold part of a ZIP area, largest first."""
    touched = tables.row("zip_counties.csv", code)
    return ", ".join(_title(f) for f in touched["fips"].split() if f != fips) if touched else ""


@cache
def state_of(fips: str) -> str:
    """The state of a county."""
    return (tables.row(COUNTIES, fips) or {})["state"]


def _title(fips: str) -> str:
    row = tables.row(COUNTIES, fips)
    return f"{county_title(row)}, {row['state']}" if row else fips


def _name_and_state(words: str) -> tuple[str, str]:
    """Split "Duluth, MN", "Duluth MN", "Duluth, Minnesota"; the state is empty where none is said."""
    if "," in words:
        name, _, state = words.rpartition(",")
        return name.strip(), _state(state) or _state(f"{state.strip()}.") or _refuse_state(words, state)
    parts = [] if len(_state(words)) == 2 else words.split()
    for count in (1, 2, 3):
        state = _state(" ".join(parts[-count:]))
        if state and len(parts) > count:
            return " ".join(parts[:-count]), state
    return words, ""


@cache
def _codes() -> dict[str, str]:
    return {plain(r["name"]): r["code"] for r in rows("states")}


@cache
def _provinces() -> frozenset[str]:
    return frozenset(r["code"] for r in rows("states") if r["country"] == "Canada")


def _state(word: str) -> str:
    """The code of a state or province: of "MN", "N.C.", "Minnesota", "Minn."; "" where it is none."""
    bare = word.replace(".", "").strip()
    if bare.upper() in _codes().values():
        return bare.upper()
    begun = {code for name, code in _codes().items() if len(bare) > 3 and name.startswith(bare.lower())}
    return _codes().get(plain(word), begun.pop() if len(begun) == 1 and word.strip().endswith(".") else "")


def _refuse_state(words: str, state: str) -> str:
    raise InputError(
        "place",
        words,
        f"{state.strip()!r} is no state of the United States or province of Canada",
        nearest(state.strip(), [*_codes()]) or FORMS,
    )


def _counties() -> tuple[tuple[str, ...], ...]:
    return tables.first_columns(COUNTIES, 3)


def _county(name: str, state: str) -> Found | None:
    """A county by its full name, or by its bare name where no town is called so: it stands for its most populous place."""
    wanted = plain(name)
    bare = _COUNTY_WORDS.sub("", wanted)
    exact = next((fips for fips, s, county in _counties() if s == state and plain(county) in (bare, wanted)), "")
    if not exact or not (
        bare != wanted or wanted.endswith(" city") or not (towns_called(name, state) or _zips_called(wanted, state))
    ):
        return None
    return county_found(exact)


def county_found(fips: str) -> Found:
    """A county, which stands for its most populous place."""
    row = tables.row(COUNTIES, fips) or {}
    people = f", {int(row['people']):,} people" if row["people"] else ""
    note = f"the county stands for its most populous place, {row['place']}{people}: name the town if the house stands elsewhere"
    height = Height(float(row["elev_m"]), f"town {row['place']}, {row['state']}", TOWN_SIGMA_M)
    position = (float(row["lat"]), float(row["lon"]))
    name = f"{_title(fips)} (at {row['place']})"
    return Found(kind="county", key=fips, name=name, position=position, height=height, warnings=(note,))


def towns_called(name: str, state: str = "") -> list[Town]:
    """Towns of a name, or of its first other spelling that has any; the most populous first."""
    for key in keys(name):
        found = [
            Town(name=r[1], state=r[2], fips=r[3], lat=float(r[4]), lon=float(r[5]), height_m=float(r[6]), people=int(r[7]))
            for r in tables.rows_of(TOWNS, key)
        ]
        if here := [t for t in found if not state or t.state == state]:
            return sorted(here, key=lambda t: -t.people)
    return []


def _town(query: str, name: str, state: str) -> Found | None:
    towns = towns_called(name, state)
    if not towns:
        return None
    first, others = towns[0], [t for t in towns[1:] if great_circle_km(t.lat, t.lon, towns[0].lat, towns[0].lon) > SAME_TOWN_KM]
    if others and others[0].people * CLEARLY_LARGER > first.people:
        raise InputError(
            "place", query, f"several towns have this name: {_listed([first, *others])}", "give the county, a ZIP or the position"
        )
    notes = (
        (f"there is another {first.name} in {_listed(others[:1])}: give a ZIP or the position if it is meant",) if others else ()
    )
    height = Height(first.height_m, "the town's own", TOWN_SIGMA_M)
    name, position = f"{first.name}, {state}", (first.lat, first.lon)
    return Found(kind="town", key=first.fips, name=name, position=position, height=height, warnings=notes)


def _listed(towns: list[Town]) -> str:
    shown = [f"{_title(t.fips)} ({t.people:,} people)" for t in towns[:MOST_LISTED]]
    return "; ".join(shown) + ("; ..." if len(towns) > MOST_LISTED else "")


def _zips_called(key: str, state: str = "") -> list[tuple[str, str, float, float]]:
    """ZIP, FIPS and position of every ZIP whose post office goes by a plain name, its first name first."""
    text, start = _plain_zips(state), 0
    found: list[tuple[bool, str, str, float, float]] = []
    while (start := text.find(f"|{key}|", start) + 1) > 0:
        code, fips, lat, lon, _ = text[text.rfind("\n", 0, start) + 1 : start].split(",", 4)
        found.append((text[start - 2] != ",", code, fips, float(lat), float(lon.replace(" ", "-"))))
    return [z[1:] for z in sorted(found, key=lambda z: z[0])]


@cache
def _plain_zips(state: str) -> str:
    """The ZIP table, or a state's part of it, with names as `plain` writes them; a minus, too, has become a space."""
    text = "\n".join(_zips_of(state)) if state else tables.content(ZIPS)
    text = text.lower().replace("'", "").replace("-", " ").replace("|saint ", "|st ").replace("sainte ", "ste ")
    return text.replace("|fort ", "|ft ").replace("|mount ", "|mt ")


@cache
def _zips_of(state: str) -> list[str]:
    """The lines of the ZIP table in a state: the first two digits of a county's number, after the ZIP, are the state's."""
    number = next(fips for fips, s, _ in _counties() if s == state)[:2]
    return [line for line in tables.lines(ZIPS) if line[6:8] == number]


def _post_office(name: str, state: str) -> Found | None:
    """A place too small for the table of towns, at its post office's ZIP."""
    zips = [z for key in keys(name) for z in _zips_called(key, state)]
    if not zips:
        return None
    code, fips, lat, lon = zips[0]
    names = (tables.row(ZIPS, code) or {})["cities"].strip("|").split("|")
    spelled = next((n for n in names if plain(n) in keys(name)), names[0])
    notes = (f"{spelled} is taken at its ZIP {code}: give the position if the house stands elsewhere",)
    return Found(kind="town", key=fips, name=f"{spelled}, {state}", position=(lat, lon), warnings=notes)


def _canadian(query: str, name: str, state: str) -> Found:
    held = [r for r in canada_rows() if r["quality"] != "X"]
    here = [r for r in held if plain(r["place"]) == plain(name) and r["prov"] == state]
    if here:
        return Found(kind="canada", key=here[0]["place"])
    listed = [r["place"] for r in held if r["prov"] == state]
    raise InputError(
        "place",
        query,
        f"the tables hold only {len(held)} Canadian places; in {state}: {', '.join(listed) or 'none'}",
        nearest(name, listed) or "or give an hourly file with --weather",
    )


def _without_state(query: str, name: str) -> Found:
    """A name alone: taken where only one place has it, otherwise the candidates are listed, the most populous first."""
    wanted = plain(name)
    bare = _COUNTY_WORDS.sub("", wanted)
    people: dict[str, int] = {}
    if bare != wanted:
        people = {s: 0 for _, s, county in _counties() if plain(county) == bare}
    else:
        people = {state_of(z[1]): 0 for key in keys(name) for z in _zips_called(key)}
        for town in reversed(towns_called(name)):
            people[town.state] = town.people
    canada = [r["prov"] for r in canada_rows() if plain(r["place"]) == wanted and r["quality"] != "X"]
    states = [*sorted(people, key=lambda s: -people[s]), *canada]
    if len(states) == 1:
        return search(f"{name}, {states[0]}")
    if states:
        listed = [f"{name}, {s}{f' ({people[s]:,} people)' if people.get(s) else ''}" for s in states[:MOST_LISTED]]
        more = "; ..." if len(states) > MOST_LISTED else ""
        raise InputError("place", query, f"{len(states)} states have one: {'; '.join(listed)}{more}", "add the state")
    if _state(name):
        raise InputError("place", query, "is a state: name a town in it", FORMS)
    raise InputError("place", query, "is not in the tables", _closest(name) or FORMS)


def _unknown(query: str, name: str, state: str) -> Found:
    raise InputError("place", query, f"no town or county of {state} has this name", _closest(name, state) or FORMS)


def _closest(name: str, state: str = "") -> str:
    """The nearest three names of a state, or of all; names that share too few letters to be near are not compared."""
    wanted, (spelled, letters, lengths) = plain(name), _lettered_names(state)
    shared = sum((np.minimum((letters == ord(x)).sum(axis=0), wanted.count(x)) for x in {*wanted}), np.zeros(len(spelled)))
    near, close = 2 * shared / (lengths + len(wanted)), list[str]()
    for least in (0.8, NEAR):  # no name is nearer than the letters it shares: three within 0.8 are the nearest three
        close = close if len(close) == 3 else get_close_matches(wanted, compress(spelled, near >= least), n=3, cutoff=least)
    quoted = [f'"{spelled[word]}"' for word in close]
    return f"did you mean {', '.join(quoted)}?" if quoted else ""


@cache
def _lettered_names(state: str) -> tuple[dict[str, str], np.ndarray, np.ndarray]:
    """Every plain name and how it is written, their letters (first, second, ... of all names), and how many each has."""
    here = (line.split(",", 3) for line in tables.lines(TOWNS) if not state or f",{state}," in line)
    towns = {key: name for key, name, s, _ in here if not state or s == state}
    spelled = {plain(name): name for name in _smaller_places(state)} | towns if state else towns
    letters = np.array([*spelled], "S").view(np.uint8).reshape(len(spelled), -1).T.copy()
    return spelled, letters, (letters > 0).sum(axis=0)


def _smaller_places(state: str) -> list[str]:
    """Post offices and counties of a state."""
    offices = {*"".join({line.split(",", 6)[5] for line in _zips_of(state)}).strip("|").split("|")} - {""}
    return [*(f"{county} County" for _, s, county in _counties() if s == state), *sorted(offices)]
