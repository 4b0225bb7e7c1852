"""Rebuild what can be rebuilt of the climate tables, and check it against the files beside this script.

    python climate_data/rebuild.py            # check everything, write nothing
    python climate_data/rebuild.py --write    # write ZIPs, elevation grid and county heights anew, then check

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
        columns = slice(round((GRID["west"] + 180) / GRID["step"]), round((GRID["east"] + 180) / GRID["step"]))
        return grid[rows, columns].tobytes()


DESIGN = (  # county column, station column, kind of interpolation
    ("h99_F", "h99_best_F", "heating"),
    ("h996_F", "h996_best_F", "heating"),
    ("c004_F", "c004_best_F", "cooling"),
    ("c010_F", "c010_best_F", "cooling"),
    ("c020_F", "c020_best_F", "cooling"),
    ("c004_mcwb_F", "c004_mcwb_F", "wet_bulb"),
    ("c010_mcwb_F", "c010_mcwb_F", "wet_bulb"),
    ("MDR_F", "MDR_F", "range"),
    ("HDD65", "HDD65", "hdd65"),
    ("CDD65", "CDD65", "cdd65"),
    ("CDD50", "CDD50", "cdd50"),
    ("wind_mean_mph", "wind_mean_mph", "level"),
    ("dp010_F", "dp010_F", "wet_bulb"),
    *((f"{stem}_{m:02d}_F", f"{stem}_{m:02d}_F", "monthly") for stem in ("tmean", "tmax", "tmin") for m in range(1, 13)),
    *((f"ghi_{m:02d}_kWh_m2_day",) * 2 + ("level",) for m in range(1, 13)),
)
DOUBTFUL_M, IMPOSSIBLE_M = 400.0, 500.0


def county_values(row: dict[str, str], columns=DESIGN) -> dict[str, float]:
    """A county's columns carried from the stations to its position and height."""
    from heatcalc.inputs.place.interpolate import Around

    around = Around(float(row["lat"]), float(row["lon"]), float(row["elev_m"]))
    return {column: float(around.carry(station, kind)) for column, station, kind in columns}


def zip_heights() -> dict[str, float]:
    """Median height of each county's ZIP positions on the elevation grid [m]."""
    from statistics import median

    from heatcalc.inputs.place.climate_tables import grid_elevation_m

    found: dict[str, list[float]] = {}
    for row in table("zips.csv.gz"):
        height = grid_elevation_m(float(row["lat"]), float(row["lon"]))
        if height is not None:
            found.setdefault(row["fips"], []).append(height)
    return {fips: median(heights) for fips, heights in found.items()}


def corrected_heights() -> bytes:
    """The county table with impossible heights put right and doubtful ones marked.

    Heights that are the median of a county's weather stations are replaced by the median of its ZIP positions where
    the stations lie more than 500 m higher (mountain tops) or at 0 m (a missing value); the row is then carried anew.
    Other differences over 400 m stay and `elev_src` says so: valleys are real, the grid is coarse.
    """
    rows, heights = table("us_counties.csv.gz"), zip_heights()
    for row in rows:
        apart = float(row["elev_m"]) - heights.get(row["fips"], float(row["elev_m"]))
        if row["state"] in ("AK", "HI") or abs(apart) <= DOUBTFUL_M or "ZIP positions" in row["elev_src"]:
            continue
        at = f"{heights[row['fips']]:.0f}"
        if apart > IMPOSSIBLE_M or row["elev_m"] == "0":
            row["elev_src"] = f"ZIP median (pvlib altitude grid); the first record had {row['elev_m']} m"
            row["elev_m"] = at
            _carry_anew(row)
        else:
            row["elev_src"] += f"; ZIP positions lie at {at} m on the coarse grid"
    return _csv(rows)


def _carry_anew(row: dict[str, str]) -> None:
    from heatcalc.inputs.place.interpolate import Around

    for column, value in county_values(row).items():
        digits = 2 if column.startswith("ghi") else 0 if "DD" in column else 1
        row[column] = f"{max(0.0, value) if digits == 0 else value:.{digits}f}"
    station, km = Around(float(row["lat"]), float(row["lon"]), float(row["elev_m"])).best_station()
    chosen = next(s for s in table("us_stations.csv.gz") if s["usaf"] == station)
    row |= {
        "hourly_station": station,
        "hourly_station_name": chosen["name"],
        "hourly_station_km": f"{km:.0f}",
        "hourly_station_delev_m": f"{float(chosen['elev_m']) - float(row['elev_m']):.0f}",
    }
    sigma = 4.5 if float(row["elev_m"]) > 1000.0 else 3.5
    row["h99_sigma_F"] = f"{sigma}" if float(row["lon"]) < -103.0 else row["h99_sigma_F"]


def _csv(rows: list[dict[str, str]]) -> bytes:
    held = io.StringIO()
    writer = csv.DictWriter(held, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return held.getvalue().encode("utf-8")


def check_counties() -> list[str]:
    """Every lower-48 county value carried anew from the stations; differences beyond 0.1 F are the stored rounding's.

    The rule behind the 1 % dew point is not known; it comes within 3 F.
    """
    worst: dict[str, float] = {}
    for row in table("us_counties.csv.gz"):
        if row["state"] in ("AK", "HI"):
            continue
        for column, value in county_values(row, DESIGN[:13]).items():
            value = max(0.0, value) if "DD" in column else value
            worst[column] = max(worst.get(column, 0.0), abs(value - float(row[column])))
    limit = {"dp010_F": 3.0, "HDD65": 2.0, "CDD65": 2.0, "CDD50": 2.0}
    return [
        f"{'PROBLEM ' * (apart > limit.get(column, 0.1))}counties, {column}: rebuilt within {apart:.2f}"
        for column, apart in worst.items()
    ]


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
    from heatcalc.inputs.place.place_rows import station_bins, station_monthly

    rows, problems, apart = table("us_stations.csv.gz"), [], 0.0
    for row in rows:
        zone = zone_by_degree_days(float(row["CDD50"]) / 1.8, float(row["HDD65"]) / 1.8)
        if str(zone) != row["thermal_zone_from_DD"]:
            problems.append(f"PROBLEM station {row['usaf']}: zone {zone} by degree-days")
        days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
        for month, bins, mean in zip(days, station_bins(row["usaf"]), station_monthly(row).mean_C, strict=True):
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
    told += ["PROBLEM more than 5 MB"] if size > 5_000_000 else []
    if gzip.decompress((HERE / "elevation.gz").read_bytes()) != elevation():
        told.append("PROBLEM elevation.gz differs from pvlib's grid")
    return [*told, f"files: {size / 1e6:.1f} MB, every ZIP in a known county, elevation as pvlib has it"]


def main() -> int:
    """Check, or write and check; 1 where something does not hold."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--write", action="store_true")
    if parser.parse_args().write:
        for name, made in (("zips.csv.gz", zips), ("elevation.gz", elevation), ("us_counties.csv.gz", corrected_heights)):
            (HERE / name).write_bytes(packed(made()))
    told = [*check_files(), *check_stations(), *check_best(), *check_counties()]
    print("\n".join(told))
    return int(any(line.startswith("PROBLEM") for line in told))


if __name__ == "__main__":
    sys.exit(main())
