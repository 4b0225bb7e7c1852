"""A typical year for any place on earth, fetched on the user's own connection and kept in the user's cache folder.

The service is the European Commission's PVGIS through pvlib; the reply is written as the project's plain CSV, so the
second look-up needs no network.  Its sun values are taken as means of the hour that begins at their stamp (from memory;
an hour's slip moves the year's heating and cooling of a small house by about 1 %).
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from heatcalc.errors import InputError, NoAnswer
from heatcalc.files import write_whole

TIMEOUT_S = 60
ELSE = "give an hourly file with --weather instead"
COLUMNS = {
    "temp_air": "dry_bulb (C)",
    "relative_humidity": "relative_humidity (%)",
    "wind_speed": "wind (m/s)",
    "pressure": "pressure (Pa)",
    "ghi": "ghi (W/m2)",
    "dni": "dni (W/m2)",
    "dhi": "dhi (W/m2)",
}


def cache_folder() -> Path:
    """The user's cache folder for heatcalc, by the habits of the system."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "heatcalc"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "heatcalc"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "heatcalc"


def cached_year(lat: float, lon: float, folder: Path | None = None) -> Path:
    """Where the typical year of a point is kept (0.01 degree)."""
    return (folder or cache_folder()) / f"typical_year_{lat:.2f}_{lon:.2f}.csv"


def fetch_year(lat: float, lon: float, folder: Path | None = None, url: str | None = None) -> Path:
    """The file of a typical year; fetched where the cache has none, whole or not at all.

    Raises NoAnswer in one line: no network, no reply in time, the service refuses or answers something else.
    """
    if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
        raise InputError("place", f"{lat:g},{lon:g}", "latitude is -90 to 90 and longitude -180 to 180, west negative")
    target = cached_year(lat, lon, folder)
    if target.is_file():
        return target
    table, meta = _asked(lat, lon, url)
    return write_whole(target, _as_csv(table, meta, lat, lon))


def _asked(lat: float, lon: float, url: str | None):
    import requests
    from pvlib.iotools import get_pvgis_tmy

    where = {"url": url} if url else {}
    try:
        return get_pvgis_tmy(
            round(lat, 2), round(lon, 2), outputformat="json", map_variables=True, timeout=TIMEOUT_S, coerce_year=2001, **where
        )
    except requests.HTTPError as problem:
        raise NoAnswer(f"the service has no typical year for {lat:.2f},{lon:.2f} ({problem}); {ELSE}") from None
    except (requests.ConnectionError, requests.Timeout):
        raise NoAnswer(f"no typical year fetched: no connection to the service; {ELSE}") from None
    except (requests.RequestException, KeyError, ValueError, TypeError, AttributeError) as problem:
        raise NoAnswer(
            f"no typical year fetched: the service's reply cannot be read ({type(problem).__name__}); {ELSE}"
        ) from None


def _as_csv(table, meta, lat: float, lon: float) -> str:
    missing = [name for name in COLUMNS if name not in table]
    if missing or len(table) < 8760:
        raise NoAnswer(
            f"no typical year fetched: the reply has {len(table)} hours and lacks {', '.join(missing) or 'rows'}; {ELSE}"
        )
    location = meta.get("inputs", {}).get("location", {})
    lines = [
        f"# latitude: {lat:.4f}",
        f"# longitude: {lon:.4f}",
        f"# elevation: {float(location.get('elevation', 0.0)):.0f} m",
        f"# utc offset: {round(lon / 15.0):d}",
        f"# name: typical year at {lat:.2f}, {lon:.2f} (PVGIS)",
        "# typical year: yes",
        "# sun: hour beginning",
        ",".join(["time", *COLUMNS.values()]),
    ]
    stamps = table.index.strftime("%Y-%m-%dT%H:%M+00:00")
    cells = table[list(COLUMNS)].to_numpy(float)
    lines += [f"{stamp},{','.join(f'{x:.6g}' for x in row)}" for stamp, row in zip(stamps, cells, strict=True)]
    return "\n".join(lines) + "\n"
