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

from heatcalc.answers.year.log_causes import LikeDays, Measured, Sign, findings
from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.log.log_file import Log
from heatcalc.inputs.place.find_place import Place, at_elevation
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.sizing import candidates_of, size_house
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import ANY_WAY, MONTH_OF_HOUR, WeatherYear, YearHouse, drivers, weather_year, year_house
from heatcalc.model.year_walk import YearResult, run_year
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity, power
from heatcalc.physics.unit.outdoor_unit import heating_input_W
from heatcalc.physics.zone.loss_line import LossLine, loss_line
from heatcalc.wording import Q, worded

LEAST_DIFFERENCE_K = 8.0  # colder days only: sun and gains alone warm a small house by less
LEAST_SHARE = 0.15  # of the highest tenth of days' input: the unit really runs
LEAST_DAYS, LEAST_LONG = 10, 5  # days, or longer periods
LEAST_SPAN_K = 5.0
MILD_C, LEAST_MILD, MILD_QUANTILE = (14.0, 20.0), 3, 0.25  # neither heating nor cooling to speak of: common practice, no source
COP_SHARE = 0.10  # a fitted unit against its table: common practice, no source
OTHER_SHARE = 0.10  # of the slope, for what else a house meter counts: own choice
SHELL_SHARE, AIR_SHARE = 0.10, 0.40  # as in the load line's band


@dataclass(frozen=True, eq=False, kw_only=True)
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
    findings: tuple[Sign, ...]

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


@dataclass(frozen=True, eq=False)
class LogHouse:
    """The computed house that logs are held against, walked once: its year and the usual sun by month."""

    designer: Designer
    unit: Unit
    year: YearResult
    sun_W: np.ndarray

    def unit_at(self, room_C: float) -> Unit:
        """The unit at this height and room temperature."""
        return at_site(self.unit, self.designer.conditions.elevation_m, room_C)


def log_house(house: House, place: Place, folder: Path | None = None) -> LogHouse:
    """The house with the unit of its file, else the recommended one."""
    site = place if house.site.elevation is None else at_elevation(place, house.site.elevation)
    designer = designer_of(house_model(house, site.elevation_m, folder), site)
    unit = _unit(house, place, folder)
    home, brings = year_house(designer.model), weather_year(year_at(site))
    year = run_year(home, brings, unit, series=True)
    return LogHouse(designer, unit, year, sun_by_month(home, brings, house.site.front_faces))


def compare_log(log: Log, h: LogHouse) -> LogResult:
    """The owner's log against the computed house.  Raises NoAnswer where too few days with heating were logged."""
    log = without_other(log, h.year)
    measured = measured_heat(log, h.unit, h.designer, h.sun_W)
    fit = loss_line(measured.difference_K, measured.heat_W + measured.sun_W, measured.days)
    days = alike_days(h.year, measured, h.sun_W, h.unit_at(h.designer.model.house.set_points.heating))
    read, computed = (loss_line(days["difference"], days[name]) for name in ("read", "heat"))
    fit = scaled(fit, computed.slope_W_K / read.slope_W_K)
    share = float(np.hypot(COP_SHARE, OTHER_SHARE if log.meter == "house" else 0.0))
    half = float(np.hypot(fit.half_width_W_K, share * fit.slope_W_K))
    used, expected = _energy(measured, read, h.unit_at(measured.room_C))
    found = LogResult(
        log=log,
        designer=h.designer,
        unit=h.unit,
        measured=measured,
        fit=fit,
        computed=computed,
        read=read,
        computed_band_W_K=_computed_band(h.designer, measured, computed),
        real_band_W_K=(fit.slope_W_K - half, fit.slope_W_K + half),
        expected_kWh=expected,
        used_kWh=used,
        year=h.year,
        findings=(),
    )
    bent = _bent(days, measured)
    alike = LikeDays((days["difference"], days["read"], days["outdoor"]), bent, shapes_of(h.designer, measured, bent))
    return replace(
        found, findings=findings(measured, fit, computed, allowed_W_K(found), h.designer.model, alike, used - expected)
    )


def _bent(days: dict[str, np.ndarray], measured: Measured) -> np.ndarray:
    """Heat with sun of the computed house's read meter at the logged differences: a parabola, since leaks bend the line."""
    return np.polyval(np.polyfit(days["difference"], days["read"], 2), measured.difference_K)


def shapes_of(designer: Designer, measured: Measured, expected_W: np.ndarray) -> dict[str, np.ndarray]:
    """Heat [W] of leaks, fan and shell on each logged day as computed, the heat a unit gave, and one watt of gains."""
    at = np.linspace(measured.difference_K.min(), measured.difference_K.max(), 5)
    room, wind = designer.model.house.set_points.heating, designer.place.wind_mean_m_s or 4.0
    loads = [designer.heating(room - float(x), wind).components_W for x in at]
    shell = [sum(c.values()) - c["infiltration"] - c["ventilation"] for c in loads]
    parts = {"leaks": [c["infiltration"] for c in loads], "fan": [c["ventilation"] for c in loads], "shell": shell}
    found = {name: np.interp(measured.difference_K, at, watts) for name, watts in parts.items()}
    return found | {"unit": expected_W - measured.sun_W, "gains": np.ones(len(expected_W))}


def without_other(log: Log, year: YearResult) -> Log:
    """A whole house's log with everything else taken out: its mild days' use, over the year as the computed household does."""
    if log.meter != "house" or np.isfinite(log.other_W):
        return log
    rest = np.bincount(MONTH_OF_HOUR, year.middle.series["rest_W"], 12) / np.bincount(MONTH_OF_HOUR)
    mild = np.isfinite(log.power_W) & (log.outdoor_C > MILD_C[0]) & (log.outdoor_C < MILD_C[1])
    scale = float(np.quantile(log.power_W[mild] / rest[log.month[mild]], MILD_QUANTILE)) if mild.sum() >= LEAST_MILD else 1.0
    how = f"as on its {mild.sum()} mild days" if mild.sum() >= LEAST_MILD else "as computed for this household"
    other = scale * rest[log.month]
    said = worded(
        "everything else on the meter taken {}: {} on average; --other W states it", how, Q(float(other.mean()), "electric power")
    )
    return replace(log, power_W=log.power_W - other, other_W=0.0, report=(*log.report, said))


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
        begin_h=log.begin_h[cold],
        days=log.hours[cold] / 24.0,
        month=log.month[cold],
        outdoor_C=log.outdoor_C[cold],
        indoor_C=indoor[cold],
        indoor_logged=bool(logged),
        watts=watts[cold],
        heat_W=heat,
        most_heat_W=most_heat,
        most_watts=most_power,
        sun_W=sun_W[log.month[cold]],
        room_C=room,
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
    given = np.linspace(0.0, 1.0, 61) * most[:, None]
    at = np.repeat(outdoor_C, 61)
    inputs = heating_input_W(unit, at, power(unit.heating, at, given.ravel())).reshape(given.shape)
    inputs = np.maximum.accumulate(inputs, axis=1)
    heat = np.array([np.interp(w, drawn, gave) for w, drawn, gave in zip(watts, inputs, given, strict=True)])
    return heat + np.maximum(watts - inputs[:, -1], 0.0), most, inputs[:, -1]


def alike_days(year: YearResult, measured: Measured, sun_W: np.ndarray, here: Unit) -> dict[str, np.ndarray]:
    """The computed year's own days, of months and coldness as in the log: its meter read backwards, and its heat itself.

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
    return {"difference": difference[alike], "outdoor": day["outdoor_C"][alike], "read": read + sun, "heat": heat[alike] + sun}


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
