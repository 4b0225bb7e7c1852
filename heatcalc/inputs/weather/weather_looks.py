"""What gives an hourly record away: one small function for each doubt; limits lie a factor of two or more beyond nine sound
typical years (own; `physics.year.weather_sense` has the figures).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from heatcalc.inputs.weather.weather_files import Hours
from heatcalc.inputs.weather.weather_record import Finding, Record
from heatcalc.physics.air.moist_air import pressure_at_altitude
from heatcalc.physics.year import weather_sense as sense
from heatcalc.physics.year.interpolation import great_circle_km
from heatcalc.physics.year.weather_statistics import monthly_mean
from heatcalc.wording import MONTHS, Q, Said, Words

AIR = ("dry_bulb_C", "dew_point_C", "pressure_Pa", "wind_m_s", "sky_cover")
SUN = ("ghi", "dni", "dhi")
STILL = (("dry_bulb_C", "the dry bulb", 48), ("dew_point_C", "the dew point", 48), ("wind_m_s", "the wind", 96))
LATE_H = 0.65  # the sun's centre off noon
NEAR_KM, NEAR_M = 80.0, 300.0
GRADES_K = {"A": 3.0, "B": 3.0, "C": 4.5}  # a year's mean beside the place's own


def _rolled(names: Sequence[str], by_h: int) -> Callable[[Hours], Hours]:
    """The correction that brings columns `by_h` hours earlier; the record is closed to a ring."""
    return lambda h: replace(h, columns={k: np.roll(v, -by_h) if k in names else v for k, v in h.columns.items()})


def _swapped(one: str, other: str) -> Callable[[Hours], Hours]:
    return lambda h: replace(h, columns=h.columns | {one: h.columns[other], other: h.columns[one]})


def _when(hours: Hours, i: int) -> str:
    return f"{hours.day_of_month[i]} {MONTHS[hours.month[i] - 1]}"


def _position(r: Record) -> Iterator[Finding]:
    h, p = r.hours, r.place
    if p is None or h.lat is None or h.lon is None:
        return
    km = float(great_circle_km(h.lat, h.lon, p.lat, p.lon))
    rise = 0.0 if h.elevation_m is None else h.elevation_m - p.elevation_m
    if km > NEAR_KM or abs(rise) > NEAR_M:
        higher = Words(Q(abs(rise), "height"), f" {'higher' if rise > 0 else 'lower'}")
        yield Finding(
            "position",
            Words(
                f"recorded at {h.lat:.2f},{h.lon:.2f}{f' ({h.name})' if h.name else ''}, ",
                Q(km * 1000, "distance"),
                " from and ",
                higher,
                f" than {p.name}",
            ),
            "another place's file",
            "name the place it was recorded at",
        )


def _longitude(r: Record) -> Iterator[Finding]:
    h = r.hours
    if h.lon is not None and h.utc_offset_h is not None and abs((h.utc_offset_h - h.lon / 15.0 + 12) % 24 - 12) > 3.5:
        yield Finding(
            "longitude",
            f"longitude {h.lon:g} and a clock of UTC{h.utc_offset_h:+g} do not belong together",
            "a sign lost (west of Greenwich is negative)" if h.lon * h.utc_offset_h < 0 else "a wrong utc offset",
            "correct the file's position lines",
        )


def _damp(r: Record) -> Iterator[Finding]:
    dry, dew = r.columns["dry_bulb_C"], r.columns.get("dew_point_C")
    if dew is None:
        return
    over = float((dew > dry + 0.5).mean())
    if over > 0.005:
        swap = over > 0.5 and float((dry > dew + 0.5).mean()) <= 0.005  # the other way round the two fit
        yield Finding(
            "dew-above-dry",
            f"the dew point lies above the dry bulb in {over * len(dry):,.0f} of {len(dry):,} hours",
            "the two columns are swapped" if swap else "one of the two has another unit, an offset or a drifting sensor",
            "set the column names right" if swap else "look at both columns",
            _swapped("dry_bulb_C", "dew_point_C") if swap else None,
        )
    months = None if r.place is None else r.place.monthly.dew_point_C
    off = 0.0 if months is None else float(np.mean(monthly_mean(dew, r.hours.month) - np.array(months)))
    if abs(off) > 5.0 and over <= 0.5 and (r.apart_K is None or abs(off - float(r.apart_K.mean())) > 4.0):
        yield Finding(
            "humidity",
            Words(
                "the dew point is on average ",
                Q(abs(off), "temperature difference"),
                f" {'higher' if off > 0 else 'lower'} than the ",
                "place's own",
            ),
            "a relative humidity of 0 to 1 under a % head" if off < -15 else "a wrong unit, or an indoor sensor",
            "look at the humidity's column",
        )


def _clock(r: Record) -> Iterator[Finding]:
    """The clock by the sun's centre and the day's warmth; both late by the same is the whole file's clock."""
    late, warmth = (12 if abs(h) > 11.5 else round(h) for h in (r.late_h, r.warmth_late_h))
    sun_off, air_off = abs(r.late_h) > LATE_H, abs(r.warmth_late_h) > 3.6
    if sun_off and air_off and abs((r.warmth_late_h - r.late_h + 12) % 24 - 12) < 2.5:
        yield _late(
            "clock", "sun and temperature run", late, (*SUN, *AIR), "local time or UTC taken for the place's standard time"
        )
    elif sun_off and abs(late) <= 1 and not _summer_late(r):
        cause = "a sun value belongs to the hour that begins at its stamp, or the clock is on daylight saving all year"
        yield _late("sun-clock", "the sun runs", late or int(np.sign(r.late_h)), SUN, cause)
    elif sun_off and abs(late) > 1:
        yield _late("sun-clock", "the sun runs", late, SUN, "its columns come from another clock (UTC, or noon for midnight)")
    elif air_off:
        yield _late(
            "air-clock", "temperatures run", warmth, AIR, "their columns come from another clock (UTC, or noon for midnight)"
        )


def _late(name: str, what: str, by_h: int, names: Sequence[str], likely: str) -> Finding:
    seen = f"{what} {abs(by_h)} h {'late' if by_h > 0 else 'early'} against the sun's geometry"
    return Finding(name, seen, likely, "write standard time, or state the utc offset", _rolled(names, by_h))


def _summer_late(r: Record) -> tuple[float, float] | None:
    """How late the sun is in summer and in winter [h], where the two are about an hour apart."""
    if r.sky is None or "ghi" not in r.columns or abs(r.late_h) > 2.0:
        return None
    by_month = sense.centre_by_month_h(r.columns["ghi"], r.sky.hour_angle_rad, r.hours.month)
    summer, winter = float(np.median(by_month[4:9])), float(np.median(by_month[[0, 1, 11]]))
    return (summer, winter) if LATE_H < abs(summer - winter) < 1.5 else None


def _daylight_saving(r: Record) -> Iterator[Finding]:
    """Days in one run whose sun is an hour later than the rest of the year's."""
    if r.sky is None or not (seasons := _summer_late(r)):
        return
    summer, winter = seasons
    sign, days = int(np.sign(summer - winter)), len(r.hours.hour) // 24
    sun, angle = (x[: days * 24].reshape(days, 24) for x in (r.columns["ghi"], r.sky.hour_angle_rad))
    of_day = np.array([sense.centre_h(s, a) for s, a in zip(sun, angle, strict=True)])
    first, after = _best_run(sign * (of_day - winter) - 0.5)
    yield Finding(
        "daylight-saving",
        f"from {_when(r.hours, 24 * first)} to {_when(r.hours, 24 * after - 1)} the sun runs 1 h "
        f"{'late' if sign > 0 else 'early'} against the rest of the year",
        "times with daylight saving",
        "write standard time all year, or the offset behind each time",
        lambda h: replace(h, columns={k: _moved(v, 24 * first, 24 * after, sign) for k, v in h.columns.items()}),
    )


def _best_run(gain: np.ndarray) -> tuple[int, int]:
    """First and after-last index of the run with the largest sum."""
    total = np.concatenate(([0.0], np.cumsum(gain)))
    least = np.minimum.accumulate(total)
    after = int(np.argmax(total - least))
    return int(np.argmin(total[: after + 1])), after


def _moved(values: np.ndarray, first: int, after: int, by: int) -> np.ndarray:
    """Hours first to after-1 brought `by` hours earlier; the end that comes free keeps its neighbour's value."""
    out = values.copy()
    out[first:after] = (
        np.concatenate((values[first + by : after], values[after - 1 : after]))
        if by > 0
        else np.concatenate((values[first : first + 1], values[first : after - 1]))
    )
    return out


def _closure(r: Record) -> Iterator[Finding]:
    if r.sky is None or not all(name in r.columns for name in SUN):
        return
    ghi, dni, dhi = (r.columns[name] for name in SUN)
    open_, turned = (sense.closure(ghi, *pair, r.sky.cosine) for pair in ((dni, dhi), (dhi, dni)))
    if open_ <= 0.10:
        return
    swap, flat = turned < 0.05, float(np.abs(ghi - dni - dhi).sum() / ghi.sum()) < 0.05
    late = abs(r.late_h) > LATE_H
    yield Finding(
        "sun-closure",
        f"global sun and its parts (ghi, dhi, dni times the sun's height) differ by {open_:.0%} of the sun",
        "dni and dhi are swapped"
        if swap
        else "dni is the beam on the horizontal, not at right angles to it"
        if flat
        else "the sun's clock, see there"
        if late
        else "one of the three has another unit or clock",
        "set the column names right" if swap else "give ghi alone: it is split by correlation",
        _swapped("dni", "dhi") if swap else None,
    )


def _dark(r: Record) -> Iterator[Finding]:
    if r.sky is None or "ghi" not in r.columns:
        return
    share = sense.in_the_dark(r.columns["ghi"], r.sky.cosine)
    if share > 0.005:
        clock = abs(r.late_h) > LATE_H
        yield Finding(
            "sun-at-night",
            f"{share:.1%} of the sun falls in hours in which the sun is down",
            "the clock, see there" if clock else "a sensor that does not go to nought, or another position",
            "mend the clock first" if clock else "look at the sun's column and the file's position",
        )


def _sun_size(r: Record) -> Iterator[Finding]:
    if r.sky is None or "ghi" not in r.columns:
        return
    ghi = r.columns["ghi"]
    own = None if r.place is None else r.place.monthly.ghi_kWh_m2_day
    ratio = 1.0 if own is None else float(ghi.mean() * 0.024 / np.mean(own))
    over = float((ghi > 1.1 * r.sky.outside_W_m2 + 20.0).mean()) if abs(r.late_h) <= LATE_H else 0.0
    if over > 0.02 or not 0.65 < ratio < 1.5:
        yield Finding(
            "sun-size",
            f"the year's sun is {ratio:.2f} of the place's own, and {over:.1%} of the hours exceed the sun outside the air",
            "a wrong unit (kJ, Btu or the sum of several rows for a mean in W/m2), or not the global sun",
            "look at the sun's unit",
        )


def _months(r: Record) -> Iterator[Finding]:
    apart, dry = r.apart_K, r.columns["dry_bulb_C"]
    if apart is None or r.place is None:
        return
    own = np.array(r.place.monthly.mean_C)
    slope, offset, alike = sense.straight(own, own + apart)
    mean, limit = float(apart.mean()), GRADES_K.get(r.place.grade, 4.5)
    month_K = 5.5 if r.hours.typical else 8.0
    k = int(np.argmax(np.abs(apart - mean)))
    do, mended = "look at the unit and the place, or take it as it is where the record is right", None
    seen: Said
    if alike < 0.0 and np.ptp(own) > 6.0:
        seen, likely = "summer is the coldest time of the year", "months turned by half a year, or a latitude with the wrong sign"
    elif abs(slope - 1 / 1.8) < 0.12 and np.ptp(own) > 6.0 and abs((own + apart) * 1.8 + 32.0 - own).mean() < 3.0:
        seen, likely, mended = _off(mean, "all year"), "degrees Celsius under a Fahrenheit head", _from_celsius
    elif abs(mean) > limit:
        seen, likely = _off(mean, "all year"), "another place's hours, a wrong unit, or a sensor in the sun or on a warm wall"
    elif abs(apart[k] - mean) > month_K:
        seen, likely = _off(float(apart[k]), f"in {MONTHS[k]}"), "that month's hours are another month's, or in another unit"
    else:
        return
    yield Finding(
        "months",
        Words(seen, " (mean ", Q(dry.mean(), "temperature"), " against the records' ", Q(own.mean(), "temperature"), ")"),
        likely,
        do,
        mended,
    )


def _off(by_K: float, when: str) -> Words:
    return Words(Q(abs(by_K), "temperature difference"), f" {'warmer' if by_K > 0 else 'colder'} than the place's own {when}")


def _from_celsius(h: Hours) -> Hours:
    read = {k: v * 1.8 + 32.0 if k in ("dry_bulb_C", "dew_point_C") else v for k, v in h.columns.items()}
    return replace(h, columns=read)


def _step(r: Record) -> Iterator[Finding]:
    at, step = sense.month_end_steps_K(r.columns["dry_bulb_C"], r.hours.month)
    if len(step) == 0 or np.abs(step).max() <= (7.0 if r.hours.typical else 10.0):
        return
    k = int(np.argmax(np.abs(step)))
    when = _when(r.hours, int(at[k]))
    yield Finding(
        "month-step",
        Words("the temperature jumps by ", Q(abs(step[k]), "temperature difference"), f" at {when}, from one hour to the next"),
        "one month in another unit, or from another place",
        f"look at the rows about {when}",
    )


def _stuck(r: Record) -> Iterator[Finding]:
    for name, words, most_h in STILL:
        if name not in r.columns:
            continue
        first, hours = sense.longest_run(r.columns[name])
        if hours > most_h:
            yield Finding(
                "stuck",
                f"{words} keeps one value for {hours} h from {_when(r.hours, first)}",
                "a sensor that stood still, or a gap filled with its last value",
                "leave those cells empty: gaps are filled and counted",
            )
            return
    days = sense.repeated_days(r.columns["dry_bulb_C"], r.hours.filled)
    if days > 2:
        yield Finding(
            "stuck",
            f"{days} days repeat the day before, hour for hour",
            "gaps filled by copying",
            "leave those cells empty: gaps are filled and counted",
        )


def _wind(r: Record) -> Iterator[Finding]:
    wind = r.columns.get("wind_m_s")
    if wind is None:
        return
    mean, own = float(wind.mean()), None if r.place is None else r.place.wind_mean_m_s
    if mean > 9.0 or (own and mean > 5.5 and mean > 1.9 * own) or (own and mean < 0.3 * own):
        yield Finding(
            "wind-size",
            Words("the mean wind is ", Q(mean, "speed")) + (Words(", the place's own ", Q(own, "speed")) if own else ""),
            "another unit than its head says (mph, knots and km/h are often taken for m/s), or an anemometer behind something",
            "look at the wind's unit",
        )


def _pressure(r: Record) -> Iterator[Finding]:
    pressure, h = r.columns.get("pressure_Pa"), r.hours
    height = h.elevation_m if h.elevation_m is not None else r.place.elevation_m if r.place else None
    if pressure is None or height is None:
        return
    usual = pressure_at_altitude(height)
    if abs(float(pressure.mean()) / usual - 1.0) > 0.05:
        yield Finding(
            "pressure",
            Words(f"the mean pressure is {pressure.mean() / usual:.0%} of what ", Q(height, "height"), " usually has"),
            "pressure reduced to sea level, or a wrong elevation",
            "give the station pressure, or none",
        )


LOOKS = (
    _position,
    _longitude,
    _damp,
    _clock,
    _daylight_saving,
    _closure,
    _dark,
    _sun_size,
    _months,
    _step,
    _stuck,
    _wind,
    _pressure,
)
NAMES = (
    "position",
    "longitude",
    "dew-above-dry",
    "humidity",
    "clock",
    "sun-clock",
    "air-clock",
    "daylight-saving",
    "sun-closure",
    "sun-at-night",
    "sun-size",
    "months",
    "month-step",
    "stuck",
    "wind-size",
    "pressure",
)
