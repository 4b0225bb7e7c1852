"""What a house does through the year: set points by hour and weekday, days away, windows opened on summer nights.

The year starts on a Monday (own choice: a typical year has no weekdays).
"""

from __future__ import annotations

import numpy as np

from heatcalc.inputs.house.house_record import Ventilation
from heatcalc.inputs.house.set_points import LEAST_APART_K, Away, Period, SetPoints, within
from heatcalc.inputs.weather.hours_of_year import HOURS
from heatcalc.physics.sun.sun import MONTH_DAYS

HOUR, DAY = np.arange(HOURS) % 24, np.arange(HOURS) // 24
WEEKEND = DAY % 7 >= 5
COOLING_OFF_C, HEATING_OFF_C = 99.0, -60.0
LEAST_OUTDOOR_C, SUMMER_DAY_C = 16.0, 18.0  # it is closed in air colder than this and on days with a cooler mean: own choice


def _hours(row: Period) -> np.ndarray:
    days = {"every day": np.ones(HOURS, bool), "weekend": WEEKEND, "weekdays": ~WEEKEND}[row.days]
    return days & within(HOUR, row.from_hour, row.to_hour)


def _day(date: str) -> int:
    month, day = (int(x) for x in date.split("-"))
    return sum(MONTH_DAYS[: month - 1]) + day - 1


def _gone(row: Away) -> np.ndarray:
    first, last = _day(row.from_date), _day(row.to_date)
    return (first <= DAY) & (last >= DAY) if first <= last else (first <= DAY) | (last >= DAY)


def set_points(said: SetPoints) -> tuple[np.ndarray, np.ndarray]:
    """Heating and cooling set point of each hour of the year [degC]: the plain ones, the night's, the schedule's, then away."""
    heating, cooling = np.full(HOURS, said.heating), np.full(HOURS, said.cooling)
    if said.night_heating is not None:
        heating[within(HOUR, said.night_from, said.night_to)] = said.night_heating
    for row in said.schedule:
        for line, said_C, off_C in ((heating, row.heating, HEATING_OFF_C), (cooling, row.cooling, COOLING_OFF_C)):
            if said_C is not None:
                line[_hours(row)] = off_C if said_C == "off" else said_C
    for gone in said.away:
        heating[_gone(gone)] = gone.heating
        cooling[_gone(gone)] = COOLING_OFF_C if gone.cooling is None else gone.cooling
    return heating, np.maximum(cooling, heating + LEAST_APART_K)


def at_home(said: SetPoints) -> np.ndarray:
    """1 in each hour of the year, 0 on days away."""
    gone = [_gone(row) for row in said.away]
    return np.where(np.any(gone, axis=0), 0.0, 1.0) if gone else np.ones(HOURS)


def night_open(outdoor_C: np.ndarray, cool_set_C: np.ndarray, said: Ventilation) -> np.ndarray:
    """Whether window and fan air the house: in their hours, always or on a warm day, outdoors cooler than the room is let become
    yet not cold."""
    hours = within(HOUR, said.night_from, said.night_to)
    if said.night_when == "always":
        return hours
    warm_day = np.repeat(outdoor_C.reshape(-1, 24).mean(axis=1), 24) > SUMMER_DAY_C
    return warm_day & hours & (outdoor_C > LEAST_OUTDOOR_C) & (outdoor_C < cool_set_C - 1.0)
