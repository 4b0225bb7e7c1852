"""The user's hourly file as one year of hours, and every doubt about it: what was seen, what probably happened, what to do.

A finding refuses the file unless the user accepts it by its name; where the cause is located it carries a correction, made
when the user asks for it by that name.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.weather.hours_of_year import HOURS, Weather
from heatcalc.inputs.weather.weather_files import Hours, no_position, read_hours
from heatcalc.inputs.weather.weather_looks import LOOKS, NAMES
from heatcalc.inputs.weather.weather_record import Finding, Record
from heatcalc.physics.air.moist_air import pressure_at_altitude
from heatcalc.physics.year import year_hours
from heatcalc.wording import Said, Words, joined, worded


def findings(hours: Hours, place: Place | None = None) -> tuple[Finding, ...]:
    """Every doubt about a record; `place` is what the climate tables hold of the place it should describe."""
    record = Record(hours, place)
    return tuple(f for look in LOOKS for f in look(record))


def sound(hours: Hours, place: Place | None, accept: Sequence[str] = (), mend: Sequence[str] = ()) -> Hours:
    """The record, corrected where asked for.  Raises InputError that names every finding left, or a name that finds nothing."""
    report: list[Said] = []
    place = _record_of(hours) if place is None else place
    for name in dict.fromkeys(mend):
        found = _named(name, findings(hours, place), "--mend", hours.file)
        if found.mended is None:
            raise InputError("--mend", name, "has no correction", f"{found.do}, or take the file as it is with --accept {name}")
        hours = found.mended(hours)
        report.append(worded("corrected as asked: {}; taken for {}", found.seen, found.likely))
    left = findings(hours, place)
    taken = [_named(name, left, "--accept", hours.file) for name in dict.fromkeys(accept)]
    report += [worded("accepted as it is: {}", found.words) for found in taken]
    if open_ := [f for f in left if f not in taken]:
        raise InputError("weather file", hours.file, _refusal(open_).said("both"))
    report += [] if place is not None else ["no record of this place to compare with: its months stand unchecked"]
    return replace(hours, report=(*hours.report, *report))


def _record_of(hours: Hours) -> Place | None:
    """What the climate tables hold of the record's own position; None outside them."""
    if hours.lat is None or hours.lon is None:
        return None
    try:
        return find_place(f"{hours.lat},{hours.lon}")
    except InputError:
        return None


def _refusal(found: Sequence[Finding]) -> Words:
    accept = " ".join(f"--accept {f.name}" for f in found)
    others = joined("; ", [worded("{} ({})", f.name, f.seen) for f in found[1:]])
    return worded("{}; or take it as it is: {}", found[0].words, accept) + (worded("; also {}", others) if others else "")


def _named(name: str, found: Sequence[Finding], option: str, file: str) -> Finding:
    if name not in NAMES:
        raise InputError(option, name, f"is no finding; known: {', '.join(NAMES)}", nearest(name, NAMES))
    here = next((f for f in found if f.name == name), None)
    if here is None:
        raise InputError(option, name, f"nothing of that name is found in {file}", "leave it out")
    return here


def read_weather(path: Path | str, place: Place | None = None, accept: Sequence[str] = (), mend: Sequence[str] = ()) -> Weather:
    """The user's hourly file as one year: TMY3, TMY2 or the CSV that `inputs/weather/weather_csv.py` describes.

    Of several years the last whole one.  `place` gives the position where the file does not, and what to compare with.
    Raises InputError: unreadable, above 5 % gaps, no position, no sun, humidity or wind, or a finding (`weather_findings`)
    that is neither in `accept` nor in `mend`.
    """
    return weather_of(sound(read_hours(path), place, accept, mend), place)


def weather_of(hours: Hours, place: Place | None = None) -> Weather:
    """One year of a repaired record."""
    lat, lon, elevation, offset = _position(hours, place)
    _refuse_missing(hours)
    year = _last_year(hours)
    columns = {name: column[year] for name, column in hours.columns.items()}
    pressure = columns.get("pressure_Pa", np.full(HOURS, pressure_at_altitude(elevation)))
    dni, dhi = _beam_and_diffuse(columns, lat, lon, offset)
    dropped = (*_cut(columns), *(("29 February (24 h) left out of the year of hours",) if hours.leap_days else ()))
    return Weather(
        dry_bulb_C=columns["dry_bulb_C"],
        dew_point_C=np.minimum(columns["dew_point_C"], columns["dry_bulb_C"]),
        pressure_Pa=pressure,
        wind_m_s=columns["wind_m_s"],
        ghi=np.maximum(columns["ghi"], 0.0),
        dni=dni,
        dhi=dhi,
        sky_cover=columns.get("sky_cover"),
        lat=lat,
        lon=lon,
        elevation_m=elevation,
        utc_offset_h=offset,
        source=hours.source,
        report=(*hours.report, *dropped),
    )


def _cut(columns: dict[str, np.ndarray]) -> Iterator[str]:
    """What is said of values a year of hours cannot take as they are."""
    if over := int((columns["dew_point_C"] > columns["dry_bulb_C"]).sum()):
        yield f"{over} dew points above the dry bulb were brought down to it"
    if below := int(sum((columns[name] < 0.0).sum() for name in ("ghi", "dni", "dhi") if name in columns)):
        yield f"{below} values of sun below nought were set to nought"


def _position(hours: Hours, place: Place | None) -> tuple[float, float, float, float]:
    lat = hours.lat if hours.lat is not None else place.lat if place else None
    lon = hours.lon if hours.lon is not None else place.lon if place else None
    if lat is None or lon is None:
        raise no_position(hours)
    elevation = hours.elevation_m if hours.elevation_m is not None else place.elevation_m if place else 0.0
    offset = hours.utc_offset_h
    if offset is None:
        offset = place.utc_offset_h if place else float(round(lon / 15.0))
    return lat, lon, elevation, offset


def _refuse_missing(hours: Hours) -> None:
    wanted = {"dew_point_C": "dew point or relative humidity", "ghi": "sun on the horizontal (ghi)", "wind_m_s": "wind"}
    missing = [words for name, words in wanted.items() if name not in hours.columns]
    if missing:
        raise InputError(
            "weather file",
            hours.file,
            f"has no {', no '.join(missing)}: design values can be taken from it, a year of hours cannot",
        )


def _last_year(hours: Hours) -> np.ndarray:
    """Indices of the last 8,760 hours without 29 February, in calendar order."""
    kept = np.flatnonzero(~((hours.month == 2) & (hours.day_of_month == 29)))[-HOURS:]
    order = np.lexsort((hours.hour[kept], hours.day_of_month[kept], hours.month[kept]))
    return kept[order]


def _beam_and_diffuse(columns, lat: float, lon: float, offset: float) -> tuple[np.ndarray, np.ndarray]:
    """As recorded; where the file has only ghi, split by the hourly correlation."""
    if "dni" in columns and "dhi" in columns:
        return np.maximum(columns["dni"], 0.0), np.maximum(columns["dhi"], 0.0)
    sky = year_hours.outside(lat, lon, offset)
    dni, dhi = year_hours.beam_and_diffuse(np.maximum(columns["ghi"], 0.0).reshape(365, 24), sky)
    return dni.ravel(), dhi.ravel()
