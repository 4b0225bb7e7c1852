"""Does the house behave as computed?  The owner's log and the computed year go through the same line, and are compared.

Measured heat is the metered electricity turned into heat by the unit's own curves, at each day's outdoor temperature.
Both sides have the month's usual sun through the glass added, then heat is fitted over the temperature difference: the
slope is the loss coefficient of shell and air together.  Days are taken where the heating runs.  What a day's mean hides
(cycling, standby, stored heat) is taken out by reading the computed house's own meter the same way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.answers.year.log_causes import Finding, Measured, findings
from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.log.log_file import Log
from heatcalc.inputs.place.built_year import year_at
from heatcalc.inputs.place.find_place import Place, at_elevation
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.sizing import candidates_of, size_house
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import ANY_WAY, MONTH_OF_HOUR, WeatherYear, YearHouse, drivers, weather_year, year_house
from heatcalc.model.year_walk import YearResult, run_year
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.extras import heating_input_W
from heatcalc.physics.unit.heat_pump import capacity, power
from heatcalc.physics.zone.loss_line import LossLine, loss_line

LEAST_DIFFERENCE_K = 8.0  # colder days only: sun and gains alone warm a small house by less
LEAST_SHARE = 0.15  # of the highest tenth of days' input: the unit really runs
LEAST_DAYS, LEAST_LONG = 10, 5  # days, or longer periods
LEAST_SPAN_K = 5.0
COP_SHARE = 0.10  # a fitted unit against its table: common practice, no source
SHELL_SHARE, AIR_SHARE = 0.10, 0.40  # as in the load line's band


@dataclass(frozen=True, eq=False)
class LogResult:
    """The fit, the computed house through the same fit, and what follows; SI."""

    log: Log
    designer: Designer
    unit: Unit
    measured: Measured
    fit: LossLine
    computed: LossLine
    read: LossLine  # the computed house's meter read backwards, as the log's is
    computed_band_W_K: tuple[float, float]
    real_band_W_K: tuple[float, float]  # the fit's interval and the unit's uncertainty together
    expected_kWh: float
    used_kWh: float
    year: YearResult
    findings: tuple[Finding, ...]

    @property
    def slope_of_days_W_K(self) -> float:
        """The fitted slope before what reading a meter by the day does to it is taken out."""
        return self.fit.slope_W_K * self.read.slope_W_K / self.computed.slope_W_K

    @property
    def as_computed(self) -> bool:
        """The real and the computed coefficient agree within what both are known to."""
        return abs(self.fit.slope_W_K - self.computed.slope_W_K) <= allowed_W_K(self)


def allowed_W_K(r: LogResult) -> float:
    """How far apart the two may lie by chance: half widths of both bands, added as independent."""
    real, computed = (0.5 * (high - low) for low, high in (r.real_band_W_K, r.computed_band_W_K))
    return float(np.hypot(real, computed))


def compare_log(log: Log, house: House, place: Place, folder: Path | None = None) -> LogResult:
    """The owner's log against the computed house.

    The unit is the house file's, else the recommended one.  Raises NoAnswer where too few days with heating were logged.
    """
    site = place if house.site.elevation is None else at_elevation(place, house.site.elevation)
    designer = designer_of(house_model(house, site.elevation_m, folder), site)
    unit = _unit(house, place, folder)
    home, brings = year_house(designer.model), weather_year(year_at(site))
    year = run_year(home, brings, unit, series=True)
    sun = sun_by_month(home, brings, house.site.front_faces)
    measured = measured_heat(log, unit, designer, sun)
    fit = loss_line(measured.difference_K, measured.heat_W + measured.sun_W, measured.days)
    read, computed = computed_lines(year, measured, sun, at_site(unit, site.elevation_m, house.set_points.heating))
    fit = scaled(fit, computed.slope_W_K / read.slope_W_K)
    half = float(np.hypot(fit.half_width_W_K, COP_SHARE * fit.slope_W_K))
    used, expected = _energy(measured, read, at_site(unit, site.elevation_m, measured.room_C))
    found = LogResult(
        log,
        designer,
        unit,
        measured,
        fit,
        computed,
        read,
        _computed_band(designer, measured, computed),
        (fit.slope_W_K - half, fit.slope_W_K + half),
        expected,
        used,
        year,
        (),
    )
    return replace(found, findings=findings(measured, fit, computed, allowed_W_K(found), designer.model))


def scaled(line: LossLine, by: float) -> LossLine:
    """The line with slope and interval scaled."""
    return replace(line, slope_W_K=line.slope_W_K * by, half_width_W_K=line.half_width_W_K * by)


def _unit(house: House, place: Place, folder: Path | None) -> Unit:
    if house.unit is not None:
        shelf = candidates_of(house, folder)
        if house.unit not in shelf:
            raise InputError("unit", house.unit, "is not among the candidates", nearest(house.unit, list(shelf)))
        return shelf[house.unit]
    chosen = size_house(house, place, folder=folder, walk=True).recommended
    if chosen is None:
        raise NoAnswer("no candidate carries this house: name the unit that is installed, --set unit=NAME")
    return chosen.unit


def sun_by_month(house: YearHouse, brings: WeatherYear, front_faces: str) -> np.ndarray:
    """Mean sun through all glass by month [W]; the four ways averaged where the house may stand any way."""
    glass = drivers(house, brings, ANY_WAY if front_faces == "unknown" else front_faces).glass_W
    return np.array([glass[month == MONTH_OF_HOUR].mean() for month in range(12)])


def measured_heat(log: Log, unit: Unit, designer: Designer, sun_W: np.ndarray) -> Measured:
    """Days on which the heating ran, with the heat their electricity gave.  Raises NoAnswer where they are too few."""
    set_C = designer.model.house.set_points.heating
    logged = np.isfinite(log.indoor_C).any()
    indoor = log.indoor_C if logged else np.full(len(log.hours), set_C)
    watts = log.power_W - log.other_W
    known = np.isfinite(watts) & np.isfinite(log.outdoor_C) & np.isfinite(indoor)
    least = LEAST_SHARE * float(np.quantile(watts[known], 0.9)) if known.any() else 0.0
    cold = np.zeros(len(known), bool)
    cold[known] = (indoor[known] - log.outdoor_C[known] >= LEAST_DIFFERENCE_K) & (watts[known] > least)
    _refuse_few(log, cold, indoor - log.outdoor_C)
    room = float(indoor[cold].mean())
    here = at_site(unit, designer.conditions.elevation_m, room)
    heat, most_heat, most_power = heat_of(here, log.outdoor_C[cold], watts[cold])
    return Measured(
        log.begin_h[cold],
        log.hours[cold] / 24.0,
        log.month[cold],
        log.outdoor_C[cold],
        indoor[cold],
        bool(logged),
        watts[cold],
        heat,
        most_heat,
        most_power,
        sun_W[log.month[cold]],
        room,
    )


def _refuse_few(log: Log, cold: np.ndarray, difference_K: np.ndarray) -> None:
    least = LEAST_DAYS if log.interval_h <= 24.5 else LEAST_LONG
    what = "days" if log.interval_h <= 24.5 else "periods"
    if cold.sum() < least:
        raise NoAnswer(
            f"{log.file}: {int(cold.sum())} {what} with the heating running and both temperatures known; "
            f"at least {least} are needed"
        )
    if np.ptp(difference_K[cold]) < LEAST_SPAN_K:
        raise NoAnswer(
            f"{log.file}: the outdoor temperature hardly changed; log until it has moved by {LEAST_SPAN_K * 1.8:.0f} F"
        )


def heat_of(unit: Unit, outdoor_C: np.ndarray, watts: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Heat that a mean electric input gave, the most heat and the input at it [W].

    The unit's curves read backwards, standby and heaters included.  Input beyond the unit's most is resistance heat, watt
    for watt.
    """
    most = capacity(unit.heating, outdoor_C, "max").value_W
    shares = np.linspace(0.0, 1.0, 61)
    heat, most_power = np.zeros(len(watts)), np.zeros(len(watts))
    for k, (at, top) in enumerate(zip(outdoor_C, most, strict=True)):
        run = power(unit.heating, np.full(61, at), shares * top)
        inputs = np.maximum.accumulate(heating_input_W(unit, at, run))
        most_power[k] = inputs[-1]
        heat[k] = np.interp(watts[k], inputs, shares * top) + max(watts[k] - inputs[-1], 0.0)
    return heat, most, most_power


def computed_lines(year: YearResult, measured: Measured, sun_W: np.ndarray, here: Unit) -> tuple[LossLine, LossLine]:
    """The computed year's own days, months and coldness as in the log: its meter read backwards, and its heat itself.

    What reading a meter backwards by the day does to the slope is in both the log and the first line; their ratio to the
    second takes it out.  Raises NoAnswer where the place has too few heating days.
    """
    series = year.series or {}
    day = {name: np.asarray(values).reshape(365, 24).mean(axis=1) for name, values in series.items()}
    month = MONTH_OF_HOUR.reshape(365, 24)[:, 0]
    difference, heat = day["indoor_C"] - day["outdoor_C"], day["heat_W"] + day["backup_W"]
    watts = day["unit_power_W"] + day["extra_power_W"] + day["backup_W"]
    runs = (difference >= LEAST_DIFFERENCE_K) & (heat > 0)
    low, high = measured.difference_K.min() - 2.0, measured.difference_K.max() + 2.0
    alike = runs & np.isin(month, np.unique(measured.month)) & (difference >= low) & (difference <= high)
    alike = alike if alike.sum() >= LEAST_DAYS and np.ptp(difference[alike]) >= LEAST_SPAN_K else runs
    if alike.sum() < LEAST_DAYS:
        raise NoAnswer("the computed year of this place has too few heating days to compare with")
    alike &= watts > LEAST_SHARE * float(np.quantile(watts[alike], 0.9))
    sun, read = sun_W[month[alike]], heat_of(here, day["outdoor_C"][alike], watts[alike])[0]
    return loss_line(difference[alike], read + sun), loss_line(difference[alike], heat[alike] + sun)


def _computed_band(designer: Designer, measured: Measured, computed: LossLine) -> tuple[float, float]:
    """The computed coefficient with the uncertainty of shell and of air leakage."""
    set_C = designer.model.house.set_points.heating
    load = designer.heating(set_C - float(measured.difference_K.mean()), designer.place.wind_mean_m_s or 4.0)
    leak = load.components_W["infiltration"] / load.load_W
    half = computed.slope_W_K * float(np.hypot(AIR_SHARE * leak, SHELL_SHARE * (1.0 - leak)))
    return computed.slope_W_K - half, computed.slope_W_K + half


def _energy(measured: Measured, computed: LossLine, unit: Unit) -> tuple[float, float]:
    """Metered energy of the days, and what the computed house would have used at the same temperatures [kWh]."""
    load = np.maximum(computed.slope_W_K * measured.difference_K + computed.intercept_W - measured.sun_W, 0.0)
    run = power(unit.heating, measured.outdoor_C, load)
    watts = heating_input_W(unit, measured.outdoor_C, run) + run.unmet_W
    hours = 24.0 * measured.days / 1000.0
    return float((measured.watts * hours).sum()), float((watts * hours).sum())
