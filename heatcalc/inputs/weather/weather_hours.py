"""The user's hourly file as one year of hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.weather.hours_of_year import HOURS, Weather
from heatcalc.inputs.weather.weather_files import Hours, no_position, read_hours
from heatcalc.inputs.weather.weather_findings import sound
from heatcalc.physics.air.moist_air import pressure_at_altitude
from heatcalc.physics.sun import year_sun


def read_weather(path: Path | str, place: Place | None = None, accept: Sequence[str] = (), mend: Sequence[str] = ()) -> Weather:
    """The user's hourly file as one year: TMY3, TMY2 or the CSV that `inputs/weather_csv.py` describes.

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
    sky = year_sun.outside(lat, lon, offset)
    dni, dhi = year_sun.beam_and_diffuse(np.maximum(columns["ghi"], 0.0).reshape(365, 24), sky)
    return dni.ravel(), dhi.ravel()
