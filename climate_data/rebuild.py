"""Rebuild what can be rebuilt of the climate tables, and check it against the files beside this script.

    python climate_data/rebuild.py            # check everything, write nothing
    python climate_data/rebuild.py --write    # write zips.csv.gz and elevation.gz anew, then check

Needs the packages heatcalc itself needs, plus h5py for the elevation grid (pvlib's file is HDF5).
"""

from __future__ import annotations

import argparse
import csv
import gzip
import io
import re
import sys
import unicodedata
from pathlib import Path

HERE = Path(__file__).resolve().parent
GRID = {"north": 72.0, "south": 18.0, "west": -180.0, "east": -52.0, "step": 1 / 12}
CITY_COUNTIES = re.compile(r" (county|parish|borough|census area|municipality|city and borough)$")


def table(name: str) -> list[dict[str, str]]:
    """All rows of one of the tables, gzipped or plain."""
    raw = (HERE / name).read_bytes()
    content = gzip.decompress(raw) if name.endswith(".gz") else raw
    lines = [line for line in content.decode("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def packed(content: bytes) -> bytes:
    """Gzipped with no time stamp, so the same content gives the same file."""
    held = io.BytesIO()
    with gzip.GzipFile(fileobj=held, mode="wb", mtime=0, filename="") as file:
        file.write(content)
    return held.getvalue()


def plain(name: str) -> str:
    """A county or city name reduced to what two sources agree on."""
    name = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    name = (
        name.replace(".", "")
        .replace("'", "")
        .replace("municipality of ", "")
        .replace("city and borough of ", "")
    )
    return " ".join(CITY_COUNTIES.sub("", name.strip()).replace("saint ", "st ").split())


def county_index() -> dict[tuple[str, str], str]:
    """(state, plain name) -> FIPS; an independent city also answers to "NAME city"."""
    index = {}
    for row in table("us_counties.csv.gz"):
        name = plain(row["county"])
        if name.endswith(" (city)"):
            index[row["state"], name.replace(" (city)", " city")] = row["fips"]
        else:
            index[row["state"], name] = row["fips"]
    index["DC", ""] = "11001"
    index["NV", "carson city"] = "32510"
    for renamed in ("chugach", "copper river"):  # one census area until 2019, as in the county table
        index["AK", renamed] = index["AK", "valdez-cordova"]
    index["AK", "prince of wales-outer ketchikan"] = index["AK", "prince of wales-hyder"]
    return index


def zip_lines() -> list[str]:
    """One line a ZIP: zip, county FIPS, lat, lon, kind, |city|other names|, from the `zipcodes` package (MIT)."""
    import zipcodes

    index, states = county_index(), {row["state"] for row in table("us_counties.csv.gz")}
    known, lost = [], []
    for z in zipcodes.list_all():
        if z["state"] in states and z["lat"] and float(z["lat"]):
            fips = index.get((z["state"], plain(z["county"])))
            (known if fips else lost).append((z, fips))
    for z, _ in lost:  # no county, or one of a neighbouring state: the nearest ZIP of the same state decides
        here = [(k, f) for k, f in known if k["state"] == z["state"]]
        known.append((z, min(here, key=lambda p: _apart(p[0], z))[1]))
    return sorted(
        f"{z['zip_code']},{fips},{float(z['lat']):.3f},{float(z['long']):.3f},{z['zip_code_type'][0]},"
        f"|{'|'.join([z['city'], *z['acceptable_cities']])}|"
        for z, fips in known
    )


def _apart(a: dict, b: dict) -> float:
    return (float(a["lat"]) - float(b["lat"])) ** 2 + (float(a["long"]) - float(b["long"])) ** 2


def zips() -> bytes:
    """The ZIP table as text."""
    return ("zip,fips,lat,lon,kind,cities\n" + "\n".join(zip_lines()) + "\n").encode("utf-8")


def elevation() -> bytes:
    """Elevation grid, one byte a cell (28 m steps from -450 m), rows from north to south; from pvlib's altitude file."""
    import h5py
    import pvlib

    with h5py.File(Path(pvlib.__file__).parent / "data" / "Altitude.h5") as file:
        grid = file["Altitude"]
        rows = slice(round((90 - GRID["north"]) / GRID["step"]), round((90 - GRID["south"]) / GRID["step"]))
        columns = slice(
            round((GRID["west"] + 180) / GRID["step"]), round((GRID["east"] + 180) / GRID["step"])
        )
        return grid[rows, columns].tobytes()


def main() -> int:
    """Check, or write and check."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--write", action="store_true")
    if parser.parse_args().write:
        (HERE / "zips.csv.gz").write_bytes(packed(zips()))
        (HERE / "elevation.gz").write_bytes(packed(elevation()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
