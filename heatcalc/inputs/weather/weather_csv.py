"""The plain CSV of hours that heatcalc reads.

    # latitude: 46.8                 optional lines, any order; latitude and longitude in degrees, west negative
    # longitude: -92.1
    # elevation: 433 m
    # utc offset: -6                 of the station's standard time, hours
    # name: logger on the roof
    # typical year: yes              a composed typical year rather than measured ones
    # sun: hour beginning            if a sun value belongs to the hour that begins at its stamp (usual: hour ending)
    time,dry_bulb (F),dew_point (F),wind (mph),ghi (W/m2)
    2024-01-01 01:00,12.2,5.0,7,0
    ...

`time` is 2024-01-31 13:00, 2024-01-31T13:00, either with Z or -06:00 behind it, or 1/31/2024 13:00; 24:00 is allowed.
Times without an offset are standard time: no daylight saving.  A row's temperature, humidity and wind are readings at
its time; its sun is the mean of the hour that ends there.  `dry_bulb` with its unit is needed; `dew_point` or
`relative_humidity (%)`, `wind`, `ghi`, `dni`, `dhi`, `pressure` and `sky_cover (%)` are taken where given, empty cells are
gaps.  8,760 or 8,784 rows or several years; rows need no order; several rows an hour are averaged.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import numpy as np

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.files import commented_csv
from heatcalc.inputs.weather.hours_of_year import Raw, calendar_stamp, leap_rows
from heatcalc.physics.air.moist_air import SEA_LEVEL_PA, dew_point, humidity_ratio_from_relative, pressure_at_altitude

MOST_ROWS = 1_000_000
MOST_VALUE = 1e12  # more is as impossible in any unit
MOST_HEADING = 80  # letters; matching takes the square of them
EPOCH = datetime(1970, 1, 1)
# name inside -> names people write, kind of quantity
COLUMNS = {
    "dry_bulb_C": (("dry_bulb", "drybulb", "temperature", "air_temperature", "temp_air", "outdoor_temperature"), "temperature"),
    "dew_point_C": (("dew_point", "dewpoint", "temp_dew"), "temperature"),
    "relative": (("relative_humidity", "rh", "humidity"), "fraction"),
    "wind_m_s": (("wind", "wind_speed", "windspeed"), "speed"),
    "pressure_Pa": (("pressure", "station_pressure"), "pressure"),
    "ghi": (("ghi", "global_horizontal", "sun"), "heat flow density"),
    "dni": (("dni", "beam_normal", "direct_normal"), "heat flow density"),
    "dhi": (("dhi", "diffuse_horizontal"), "heat flow density"),
    "sky_cover": (("sky_cover", "cloud_cover"), "fraction"),
}
TIME_NAMES = ("time", "timestamp", "datetime", "date_time", "date")
NAMES = {spelled: name for name, (words, _) in COLUMNS.items() for spelled in words}
KEYS = ("latitude", "longitude", "elevation", "utc offset", "name", "typical year", "sun")
RANGES = {"latitude": (-90.0, 90.0), "longitude": (-180.0, 180.0), "utc offset": (-12.0, 14.0), "elevation": (-450.0, 6000.0)}


def read_csv(text: str, file: str) -> Raw:
    """The rows of one CSV; times become standard time of the station."""
    said, header, rows = commented_csv(text, KEYS, MOST_ROWS, 1, "weather file", file, "place")
    time_at, found = _columns(header, file)
    moments, offsets = _times([row[time_at] for row in rows], file)
    offset = _number(said, "utc offset", file)
    offset = min(offsets) if offset is None and offsets else offset
    stamp = _stamps(moments, offsets, offset or 0.0)
    columns = {name: _values(rows, at, unit, COLUMNS[name][1], file) for name, (at, unit) in found.items()}
    elevation = _number(said, "elevation", file)
    notes = () if offsets else ("times carry no offset: taken as standard time",)
    typical = said.get("typical year", "").lower() in ("yes", "true")
    stamp, columns, gone = _set_in_one_year(stamp, columns) if typical else (stamp, columns, ())
    _move_sun(stamp, columns, said)
    over = _over_saturated(columns)
    return Raw(
        stamp=stamp,
        columns=_humid(columns, elevation),
        typical=typical,
        lat=_number(said, "latitude", file),
        lon=_number(said, "longitude", file),
        elevation_m=elevation,
        utc_offset_h=offset,
        name=said.get("name", ""),
        notes=(*notes, *gone, *over),
    )


def _set_in_one_year(
    stamp: np.ndarray, columns: dict[str, np.ndarray]
) -> tuple[np.ndarray, dict[str, np.ndarray], tuple[str, ...]]:
    """A typical year's months come from different years: month, day and hour count, 29 February is dropped."""
    begins = (stamp - 1).astype("timedelta64[h]") + np.datetime64("1970-01-01T00", "h")
    day = begins.astype("datetime64[D]")
    month = begins.astype("datetime64[M]").astype(int) % 12 + 1
    in_month = (day - day.astype("datetime64[M]").astype("datetime64[D]")).astype(int) + 1
    keep = ~((month == 2) & (in_month == 29))
    stamps = calendar_stamp(month[keep], in_month[keep], (stamp[keep] - 1) % 24 + 1)
    return stamps, {name: values[keep] for name, values in columns.items()}, leap_rows(keep)


def _name_and_unit(cell: str) -> tuple[str, str]:
    """ "Dry bulb (F)", "dry_bulb [F]" and "dry_bulb_F" as name and unit."""
    cell = cell.strip()[:MOST_HEADING]
    match = re.match(r"^(.*?)\s*[\[(]\s*(.*?)\s*[\])]$", cell)
    name, unit = match.groups() if match else (cell, "")
    plain = re.sub(r"[\s-]+", "_", name).lower()
    if plain in NAMES or plain in TIME_NAMES:
        return plain, unit.lower()
    head, _, tail = plain.rpartition("_")
    if plain.endswith(("_w_m2", "_wh_m2")):
        head, tail = plain.rsplit("_", 2)[0], "w/m2"
    return (head, {"m_s": "m/s"}.get(tail, tail)) if head in NAMES else (plain, unit.lower())


def _columns(header: list[str], file: str) -> tuple[int, dict[str, tuple[int, str]]]:
    cells = [_name_and_unit(re.sub(r"_m_s$", " (m/s)", cell.strip())) for cell in header]
    time_at = next((i for i, (name, _) in enumerate(cells) if name in TIME_NAMES), None)
    found = {NAMES[name]: (i, unit) for i, (name, unit) in enumerate(cells) if name in NAMES}
    if time_at is None or "dry_bulb_C" not in found:
        lacks = "time" if time_at is None else "dry_bulb"
        close = nearest(lacks, [name for name, _ in cells])
        raise InputError(
            "weather file",
            file,
            f"is neither TMY3 nor TMY2, and as a CSV it has no {lacks!r} column",
            close.replace("did you mean", "is it") or "see heatcalc place --help for the format",
        )
    for name, (_, unit) in found.items():
        _factor(name, unit, COLUMNS[name][1], file)
    return time_at, found


def _factor(name: str, unit: str, kind: str, file: str) -> str:
    """The pint unit of a column; sun may leave it out."""
    unit = unit.replace("wh/m2", "w/m2").replace("²", "2")
    unit = unit or ("w/m2" if kind == "heat flow density" else "")
    spellings = units.KINDS[kind].spellings
    if unit in spellings and (unit or kind != "fraction"):
        return spellings[unit]
    raise InputError(
        "weather file",
        file,
        f"column {name.removesuffix('_C')!r} needs a unit of {kind}",
        f"write it like 'dry_bulb ({'F' if kind == 'temperature' else units.label(kind, 'si')})'",
    )


def _values(rows, at: int, unit: str, kind: str, file: str) -> np.ndarray:
    """One column in SI; empty cells are NaN."""
    pint_unit = _factor("", unit, kind, file)
    try:
        numbers = np.array(
            [float(c) if (c := row[at].strip()) and c.lower() not in ("nan", "na", "null") else np.nan for row in rows]
        )
    except ValueError:
        bad = next(row[at] for row in rows if not _is_number(row[at]))
        raise InputError("weather file", file, f"{bad.strip()!r} is not a number", "leave a missing value empty") from None
    numbers = np.where(np.isinf(numbers) | (numbers <= -9000.0), np.nan, np.minimum(numbers, MOST_VALUE))
    return units.convert(numbers, pint_unit, units.KINDS[kind].si)


def _is_number(cell: str) -> bool:
    try:
        float(cell.strip() or "0")
    except ValueError:
        return cell.strip().lower() in ("nan", "na", "null")
    return True


def _times(cells: list[str], file: str) -> tuple[list[datetime], list[float]]:
    """Moments, and where the file gives them each moment's offset [h]."""
    moments, offsets = [], []
    for number, cell in enumerate(cells, 1):
        try:
            moment = moment_of(cell.strip()[:MOST_HEADING])
        except (ValueError, OverflowError):
            raise InputError(
                "weather file", file, f"row {number}: {cell.strip()[:40]!r} is no time", "write 2024-01-31 13:00"
            ) from None
        if moment.tzinfo is not None:
            offsets.append(moment.utcoffset().total_seconds() / 3600.0)  # type: ignore[union-attr]
            moment = moment.replace(tzinfo=None)
        moments.append(moment)
    if offsets and len(offsets) != len(moments):
        raise InputError("weather file", file, "some times carry an offset and some do not")
    return moments, offsets


def moment_of(cell: str) -> datetime:
    """A moment as people and loggers write it; ValueError otherwise."""
    late = re.match(r"^(\S+)[T ]24:00(?::00)?(.*)$", cell)
    if late:
        return moment_of(f"{late[1]}T00:00{late[2]}") + timedelta(days=1)
    american = re.match(r"^(\d{1,2})/(\d{1,2})/(\d{4})(?: (\d{1,2}):(\d{2})(?::\d{2})?)?$", cell)
    if american:
        month, day, year, hour, minute = (int(x or 0) for x in american.groups())
        return datetime(year, month, day, hour, minute)
    return datetime.fromisoformat(cell)


def _stamps(moments, offsets, offset_h: float) -> np.ndarray:
    """End of each row's hour in standard time, hours since 1970; minutes belong to the hour they lie in."""
    seconds = np.array([(m - EPOCH).total_seconds() for m in moments])
    if offsets:
        seconds = seconds + (offset_h - np.array(offsets)) * 3600.0
    return np.ceil(seconds / 3600.0 - 1e-6).astype(int)


def _move_sun(stamp: np.ndarray, columns: dict[str, np.ndarray], said: dict[str, str]) -> None:
    """Sun of hours that begin at the stamp goes to the next row (in order of time)."""
    if "begin" in said.get("sun", ""):
        order = np.argsort(stamp, kind="stable")
        for name in ("ghi", "dni", "dhi"):
            if name in columns:
                columns[name][order] = np.roll(columns[name][order], 1)


def _over_saturated(columns: dict[str, np.ndarray]) -> tuple[str, ...]:
    """What is said of relative humidities that `_humid` cuts to 1 to 100 %."""
    relative = columns.get("relative")
    cut = 0 if relative is None else int(((relative > 1.005) | (relative < 0.01)).sum())
    return (f"{cut} relative humidities beyond 1 to 100 % were cut to it",) if cut else ()


def _humid(columns: dict[str, np.ndarray], elevation_m: float | None) -> dict[str, np.ndarray]:
    """Dew point from relative humidity where it is not given."""
    relative = columns.pop("relative", None)
    if relative is not None and "dew_point_C" not in columns:
        pressure = columns.get("pressure_Pa", SEA_LEVEL_PA if elevation_m is None else pressure_at_altitude(elevation_m))
        known = np.isfinite(relative) & np.isfinite(columns["dry_bulb_C"]) & np.isfinite(pressure)
        dry, wet = (np.where(known, columns["dry_bulb_C"], 20.0), np.where(known, np.clip(relative, 0.01, 1.0), 0.5))
        p = np.where(known, pressure, SEA_LEVEL_PA)
        columns["dew_point_C"] = np.where(known, dew_point(humidity_ratio_from_relative(dry, wet, p), p), np.nan)
    return columns


def _number(said: dict[str, str], key: str, file: str) -> float | None:
    if key not in said:
        return None
    match = re.match(r"^([-+]?\d+(?:\.\d+)?)\s*(m|ft|h|deg)?$", said[key])
    value = float(match[1]) * (0.3048 if match[2] == "ft" else 1.0) if match else np.nan
    low, high = RANGES[key]
    if not low <= value <= high:
        raise InputError("weather file", file, f"{key!r} is {said[key][:30]!r}", f"a number from {low:g} to {high:g}")
    return value
