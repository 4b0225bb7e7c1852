"""A year of hours from a place's monthly statistics, the same on every machine (climate_data/README.md, built year)."""

from __future__ import annotations

from heatcalc.errors import NoAnswer
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.physics.air.moist_air import pressure_at_altitude
from heatcalc.physics.year import year_hours
from heatcalc.physics.year.year_hours import clearness_scores, scores
from heatcalc.wording import Q, Said, worded

METHOD = "built from the monthly statistics of"
AT_STATION = (
    "built year at a station: heating and cooling of a small house within 4 % or 40 kWh, "
    "electricity within 3 % or 25 kWh of the real typical year at 95 % of stations"
)
EAST = "half of such places lie within 8 % of the heating and 9 % of the cooling, 95 % within 21 % and 23 %"
WEST = "half of such places lie within 8 % of the heating and 9 % of the cooling, 95 % within 38 % and 50 %"
WEST_OF_DEG = -103.0


def year_at(place: Place) -> Weather:
    """8,760 hours at `place`: the user's own where it carries them, else built."""
    return built_year(place) if place.hours is None else place.hours


def built_year(place: Place) -> Weather:
    """8,760 hours at `place`; deterministic.

    Raises NoAnswer where the records hold no sun, dew point or spread (Canada): an hourly file is needed then.
    """
    months = place.monthly
    if months.dew_point_C is None or months.daily_sd_K is None or months.ghi_kWh_m2_day is None:
        raise NoAnswer(
            f"no year can be built for {place.name}: its records hold no sun or dew point; "
            "give an hourly file, or fetch one with heatcalc place --fetch"
        )
    found = scores()
    u = clearness_scores(found)
    dry = _dry_bulb(place, u)
    dew = year_hours.hourly_dew_point(dry, months.dew_point_C, months.mean_C, u, found)
    sky = year_hours.outside(place.lat, place.lon, place.utc_offset_h)
    days = year_hours.daily_sun(months.ghi_kWh_m2_day, sky, u)
    ghi = 1000.0 * days[:, None] * year_hours.hourly_share(sky)
    dni, dhi = year_hours.beam_and_diffuse(ghi, sky)
    wind = year_hours.hourly_wind(place.wind_mean_m_s or 0.0, found)
    return Weather(
        dry_bulb_C=dry.round(4),
        dew_point_C=dew.round(4),
        pressure_Pa=dry * 0.0 + pressure_at_altitude(place.elevation_m),
        wind_m_s=wind.round(4),
        ghi=ghi.ravel().round(3),
        dni=dni.ravel().round(3),
        dhi=dhi.ravel().round(3),
        sky_cover=None,
        lat=place.lat,
        lon=place.lon,
        elevation_m=place.elevation_m,
        utc_offset_h=place.utc_offset_h,
        source=f"{METHOD} {place.name}",
        report=_report(place),
    )


def _dry_bulb(place: Place, clearness):
    months, found = place.monthly, scores()
    bins = None if place.bins is None else [(b.lower_edges_C, b.hours, b.width_K) for b in place.bins]
    span = [high - low for high, low in zip(months.max_C, months.min_C, strict=True)]
    means = year_hours.daily_means(months.mean_C, months.daily_sd_K, found)
    ranges = year_hours.daily_ranges(span, months.daily_sd_K, clearness, bins is not None)
    shape = year_hours.day_shape(place.lat, place.lon, place.utc_offset_h)
    return year_hours.hourly_dry_bulb(means, ranges, shape, months.mean_C, bins)


def _report(place: Place) -> tuple[Said, ...]:
    """How far the year can be trusted here."""
    station = place.hourly_station
    if station is not None and station.km == 0.0:
        return (AT_STATION,)
    band = WEST if place.lon < WEST_OF_DEG else EAST
    near = worded("bins of hours after {}, {} away; ", station.name, Q(station.km * 1000.0, "distance")) if station else ""
    return (worded("built year for a place without a station: {}{}; where it matters give an hourly file", near, band),)
