"""The climate of a place from the user's own hourly record: design values, degree-days, months, bins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from heatcalc.errors import InputError
from heatcalc.inputs.place.climate_tables import BIN_WIDTH_K, F_PER_K, celsius
from heatcalc.inputs.place.place_record import MonthBins, Monthly, Place, sureness, zone_by_degree_days
from heatcalc.inputs.weather.weather_files import Hours, no_position, read_hours
from heatcalc.inputs.weather.weather_hours import sound, weather_of
from heatcalc.physics.air.moist_air import humidity_ratio_from_dew_point, pressure_at_altitude, wet_bulb
from heatcalc.physics.year import weather_statistics as statistics
from heatcalc.wording import Q, Said, Words, worded

MANY_YEARS = 10
OF_THE_HOURS = ("monthly", "bins", "hdd18_3_Kd", "cdd18_3_Kd", "cdd10_Kd", "wind_mean_m_s", "coldest_hour_C")
BASE_18_3_C, BASE_10_C = celsius(65.0), 10.0


def read_weather_place(
    path: Path | str, place: Place | None = None, accept: Sequence[str] = (), mend: Sequence[str] = ()
) -> Place:
    """The place as its own hourly file describes it; `place` lends what the file does not say (position, zone).

    One typical or measured year is stated with its uncertainty; of several years the percentiles are true ones.
    Raises InputError where `read_weather` does, except that sun and wind may be absent.
    """
    return weather_place(sound(read_hours(path), place, accept, mend), place)


def place_with_hours(path: Path | str, place: Place | None, accept: Sequence[str] = (), mend: Sequence[str] = ()) -> Place:
    """`place` with the file's hours, months and bins in place of the records'; its design values stay the records'.

    Without a place the file describes it all.  Raises InputError where `read_weather` does.
    """
    hours = sound(read_hours(path), place, accept, mend)
    year, own = weather_of(hours, place), weather_place(hours, place)
    base, stated = (own, "the file's own") if place is None else (place, "the records'")
    note = worded(
        "hours of {}, at {:.2f},{:.2f}, {}; {}; the design temperatures, {}, are {} and {}",
        year.source,
        year.lat,
        year.lon,
        Q(year.elevation_m, "height"),
        _extremes(hours, own),
        stated,
        Q(base.heating_99_C, "temperature"),
        Q(base.cooling_1_C, "temperature"),
    )
    taken = {
        k: getattr(own, k) for k in ("monthly", "bins", "hdd18_3_Kd", "cdd18_3_Kd", "cdd10_Kd", "wind_mean_m_s", "coldest_hour_C")
    }
    name = base.name if place is None else f"{base.name}, hours of {hours.file}"
    return replace(base, name=name, hours=year, warnings=(*base.warnings, note, *hours.report), **taken)


def _extremes(hours: Hours, own: Place) -> Words:
    """The record's coldest and hottest hours and its percentiles in words."""
    dry = hours.columns["dry_bulb_C"]
    said = [Q(float(x), "temperature") for x in (dry.min(), dry.max(), own.heating_99_C, own.cooling_1_C)]
    return worded("coldest {}, hottest {}, 99 % of its hours above {}, 1 % above {}", *said)


def weather_place(hours: Hours, place: Place | None = None) -> Place:
    """Statistics of a repaired record as a `Place`."""
    dry = hours.columns["dry_bulb_C"]
    daily = statistics.by_day(dry, hours.day, "mean")
    month_of_day = statistics.first_of_day(hours.month, hours.day)
    days: dict[str, Any] = {
        k: statistics.degree_days_Kd(daily, base, heating, len(daily) / 365.0)
        for k, base, heating in (
            ("hdd18_3_Kd", BASE_18_3_C, True),
            ("cdd18_3_Kd", BASE_18_3_C, False),
            ("cdd10_Kd", BASE_10_C, False),
        )
    }
    sigma_heating, sigma_996, sigma_cooling, grade, note = _sureness(hours)
    wind = hours.columns.get("wind_m_s")
    return Place(
        name=hours.name or (place.name if place else hours.file),
        **_position(hours, place),
        **_zone(days, place),
        **_design(hours, place),
        **days,
        sigma_heating_K=sigma_heating,
        sigma_heating_996_K=sigma_996,
        sigma_cooling_K=sigma_cooling,
        grade=grade,
        source=hours.source,
        warnings=(note, *hours.report),
        wind_mean_m_s=None if wind is None else float(wind.mean()),
        monthly=_monthly(hours, daily, month_of_day),
        bins=_bins(dry, hours.month, hours.years),
        hourly_station=None,
        coldest_hour_C=float(dry.min()),
        height_source="hourly file" if hours.elevation_m is not None else place.height_source if place else "unknown, taken as 0",
    )


def _position(hours: Hours, place: Place | None) -> dict[str, Any]:
    lat = hours.lat if hours.lat is not None else place.lat if place else None
    lon = hours.lon if hours.lon is not None else place.lon if place else None
    if lat is None or lon is None:
        raise no_position(hours)
    height = hours.elevation_m if hours.elevation_m is not None else place.elevation_m if place else 0.0
    offset = hours.utc_offset_h if hours.utc_offset_h is not None else place.utc_offset_h if place else float(round(lon / 15.0))
    return {
        "lat": lat,
        "lon": lon,
        "elevation_m": height,
        "utc_offset_h": offset,
        "county": place.county if place else "",
        "state": place.state if place else "",
    }


def _zone(days: dict[str, float], place: Place | None) -> dict[str, Any]:
    if place and place.zone:
        return {"zone": place.zone, "moisture_regime": place.moisture_regime, "zone_edition": place.zone_edition}
    return {
        "zone": str(zone_by_degree_days(days["cdd10_Kd"], days["hdd18_3_Kd"])),
        "moisture_regime": "",
        "zone_edition": "thermal zone by degree-days of this record",
    }


def _sureness(hours: Hours) -> tuple[float, float, float, str, Said]:
    """Sigmas, grade and the sentence that goes with them."""
    known = sureness("typical_year")
    dry = hours.columns["dry_bulb_C"]
    if hours.typical or hours.years == 1:
        year = "typical year" if hours.typical else "measured year"
        return (
            known.heating_K,
            known.heating_996_K,
            known.cooling_K,
            "C",
            worded(
                "design values from one {}: +/-{} (heating) and +/-{} (cooling), one sigma; not a worst year",
                year,
                Q(known.heating_K, "temperature difference"),
                Q(known.cooling_K, "temperature difference"),
            ),
        )
    cuts = np.array_split(dry, hours.years)
    spread = (np.std([np.quantile(cut, q) for cut in cuts], ddof=1) / np.sqrt(hours.years) for q in (0.01, 0.004, 0.99))
    heating, heating_996, cooling = (float(s) for s in spread)
    grade = "A" if hours.years >= MANY_YEARS else "B"
    words = f"design values are percentiles of {hours.years} years; sigma is their spread from year to year over the root of "
    return heating, heating_996, cooling, grade, f"{words}{hours.years}"


def _design(hours: Hours, place: Place | None) -> dict[str, Any]:
    dry = hours.columns["dry_bulb_C"]
    found: dict[str, Any] = {
        "heating_99_C": statistics.heating_design_C(dry),
        "heating_996_C": statistics.heating_design_C(dry, 0.996),
        "cooling_1_C": statistics.cooling_design_C(dry),
        "cooling_04_C": statistics.cooling_design_C(dry, 0.004),
        "daily_range_K": statistics.hottest_month_range_K(dry, hours.month, hours.day),
    }
    return found | _moist_design(hours, place, found["cooling_1_C"] or 0.0)


def _moist_design(hours: Hours, place: Place | None, cooling_C: float) -> dict[str, Any]:
    dew = hours.columns.get("dew_point_C")
    if dew is None:
        if place is None:
            raise InputError(
                "weather file",
                hours.file,
                "has no dew point or relative humidity, so no wet bulb",
                "add a column, or name the place",
            )
        kept = {k: getattr(place, k) for k in ("dew_point_1_C", "dew_point_1_dry_bulb_C")}
        return kept | {"cooling_1_mcwb_C": min(place.cooling_1_mcwb_C, cooling_C)}
    dry = hours.columns["dry_bulb_C"]
    pressure = hours.columns.get("pressure_Pa", np.full_like(dry, pressure_at_altitude(hours.elevation_m or 0.0)))
    near = statistics.coincident(dry, cooling_C)
    ratio = humidity_ratio_from_dew_point(np.minimum(dew, dry)[near], pressure[near])
    wet = wet_bulb(dry[near], ratio, pressure[near])
    damp_C = float(np.quantile(dew, 0.99))
    return {
        "cooling_1_mcwb_C": min(float(np.mean(wet)), cooling_C),
        "dew_point_1_C": damp_C,
        "dew_point_1_dry_bulb_C": float(np.mean(np.maximum(dry, dew)[statistics.coincident(dew, damp_C)])),
    }


def _monthly(hours: Hours, daily: np.ndarray, month_of_day: np.ndarray) -> Monthly:
    dry = hours.columns["dry_bulb_C"]
    high, low = (statistics.monthly_mean(statistics.by_day(dry, hours.day, k), month_of_day) for k in ("max", "min"))
    dew, ghi = hours.columns.get("dew_point_C"), hours.columns.get("ghi")
    return Monthly(
        mean_C=_twelve(statistics.monthly_mean(dry, hours.month)),
        max_C=_twelve(high),
        min_C=_twelve(low),
        dew_point_C=None if dew is None else _twelve(statistics.monthly_mean(dew, hours.month)),
        daily_sd_K=_twelve(statistics.monthly_spread(daily, month_of_day)),
        ghi_kWh_m2_day=None if ghi is None else _twelve(statistics.monthly_mean(ghi, hours.month) * 0.024),
    )


def _twelve(values: np.ndarray) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _bins(dry: np.ndarray, month: np.ndarray, years: int) -> tuple[MonthBins, ...]:
    """5 F bins of each month on whole multiples of 5 F, as hours of one 365-day year (28 February days)."""
    months = []
    for m, days in enumerate(statistics.MONTH_DAYS, 1):
        here = dry[month == m]
        first_F = 5.0 * np.floor((here.min() * F_PER_K + 32.0) / 5.0 + 1e-9)
        count = int((here.max() * F_PER_K + 32.0 - first_F) // 5.0) + 1
        first = float(celsius(first_F))
        hours = _whole(statistics.bin_hours(here, first, BIN_WIDTH_K, count), 24 * days)
        months.append(MonthBins(tuple(first + i * BIN_WIDTH_K for i in range(count)), hours, BIN_WIDTH_K))
    return tuple(months)


def _whole(counts: np.ndarray, total: int) -> tuple[int, ...]:
    """Counts scaled to whole hours that sum to `total` (largest remainders)."""
    exact = counts * total / counts.sum()
    whole = np.floor(exact).astype(int)
    for i in np.argsort(-(exact - whole), kind="stable")[: total - whole.sum()]:
        whole[i] += 1
    return tuple(int(h) for h in whole)
