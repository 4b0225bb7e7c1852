"""Checks of the heat pump: printed performance, seasons of the law, altitude, frost and refrigerant cycles."""

from __future__ import annotations

from functools import cache

import numpy as np

from heatcalc.checks.published import Span
from heatcalc.physics.unit import machine, seasonal
from heatcalc.physics.unit.at_site import air_density_factor, capacity_factor, sensible_factor
from heatcalc.physics.unit.heat_pump import Curves, power
from heatcalc.physics.unit.machine import fitted, heating
from heatcalc.physics.unit.outdoor_unit import defrost_factor

BTUH_W = 1000.0 / 3412.14
FOOT = 0.3048


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def _one_level(outdoor_C: float, levels: dict[str, tuple[float, float]]) -> Curves:
    capacity = {k: np.array([q]) for k, (q, _) in levels.items()}
    electric = {k: np.array([p]) for k, (_, p) in levels.items()}
    given = {k: np.ones(1, bool) for k in levels}
    return Curves(
        mode="heating",
        outdoor_C=np.array([outdoor_C]),
        capacity_W=capacity,
        power_W=electric,
        given=given,
        power_given=given,
        lowest_C=-40.0,
        indoor_C=21.11,
    )


def cop_of_a_table(outdoor_F: float, kBtuh: float, kW: float) -> Span:
    """COP at full output from capacity and power, both printed to 0.01."""

    def at(apart: float) -> float:
        watts, electric = (kBtuh + apart) * 1000.0 * BTUH_W, (kW - apart) * 1000.0
        curves = _one_level(_celsius(outdoor_F), {"max": (watts, electric)})
        return float(power(curves, curves.outdoor_C, np.array([watts])).cop[0])

    return Span(at(-0.005), at(0.0), at(0.005))


def duty_of_an_oversized_unit(load_btuh: float, least_btuh: float, most_btuh: float) -> float:
    """Share of the time a unit runs below its least output."""
    curves = _one_level(
        8.0, {"min": (least_btuh * BTUH_W, least_btuh * BTUH_W / 4), "max": (most_btuh * BTUH_W, most_btuh * BTUH_W / 4)}
    )
    return float(power(curves, 8.0, load_btuh * BTUH_W).run_fraction[0])


def ratio(of: float, over: float) -> float:
    """One printed number over another."""
    return of / over


def power_of_a_row(capacity_btuh: float, cop: float) -> float:
    """Electric power of a certified row [kW]."""
    return capacity_btuh * BTUH_W / cop / 1000.0


@cache
def cycle_retention() -> float:
    """Capacity at 17 F over 47 F of the cycle model at constant speed."""
    unit = fitted("R-32", "standard", 3517.0, 1025.6)
    return float(heating(unit, _celsius(17), 1.0).capacity_W / heating(unit, _celsius(47), 1.0).capacity_W)


def season_total(season: str) -> float:
    """Hours of all bins [h]."""
    return float(seasonal.season(season).hours.sum())


def hours_from_bins(season: str) -> float:
    """Equivalent hours by the bins [h]."""
    return seasonal.equivalent_hours(seasonal.season(season))


def part_load_percent(season: str, outdoor_C: float) -> float:
    """Part load ratio [%]."""
    return float(100.0 * seasonal.part_load_ratio(outdoor_C, seasonal.season(season).design_C))


def season_hours(season: str, figure: str) -> float:
    """Idle and equivalent hours of a season [h]."""
    return float(getattr(seasonal.season(season), figure))


def air_density(altitude_ft: float, fahrenheit: float) -> float:
    """Air density over that at sea level and 70 F."""
    return float(air_density_factor(altitude_ft * FOOT, _celsius(fahrenheit)))


def fan_at_altitude(sea_level: float, altitude_ft: float) -> float:
    """Fan pressure or power at altitude with the density factor as printed, three decimals."""
    return sea_level * round(float(air_density_factor(altitude_ft * FOOT)), 3)


def capacity_at_altitude(route: str, altitude_ft: float) -> float:
    """Capacity over that at sea level."""
    return float(capacity_factor(altitude_ft * FOOT, route))


def sensible_at_altitude(altitude_ft: float, total: float) -> float:
    """Sensible capacity over that at sea level, from the printed total."""
    return float(sensible_factor(altitude_ft * FOOT)) * total


def defrost(outdoor_F: float) -> float:
    """Defrost factor on capacity at 85 % humidity."""
    return float(defrost_factor(_celsius(outdoor_F)))


def ideal_cycle(evaporating_C: float, condensing_kPa: float, figure: str) -> float:
    """A state of an ideal R-134a cycle; enthalpies [kJ/kg] above liquid at -40 C."""
    c = machine.cycle("R-134a", evaporating_C, condensing_kPa * 1000.0)
    if figure in ("h1", "h2", "h3"):
        return (getattr(c, figure) - machine.liquid_enthalpy("R-134a", -40.0)) / 1000.0
    return float(c.evaporating_Pa / 1000.0 if figure == "P1" else c.discharge_C)


def cycle_between_pressures(evaporating_MPa: float, condensing_MPa: float, figure: str) -> float:
    """Heat, work and COP of 0.05 kg/s of R-134a [kW]."""
    c = machine.cycle("R-134a", machine.saturation_temperature("R-134a", evaporating_MPa * 1e6), condensing_MPa * 1e6)
    return float(
        {"Q_L": 5e-5 * c.cooling_J_kg, "W": 5e-5 * c.work_J_kg, "Q_H": 5e-5 * (c.h2 - c.h3), "COP": c.cop_cooling}[figure]
    )


def cycle_between_states(figure: str) -> float:
    """Work taken in and heat lost by the shell of 0.05 kg/s of R-410A [kW]."""
    c = machine.measured_cycle("R-410A", (3.9e5, -5.0), (3.1e6, 120.0), 45.0, 0.07)
    return 5e-5 * c.work_J_kg * {"W": 1.0, "lost": 0.07}[figure]


def cycle_cop(evaporating_C: float, condensing_C: float) -> float:
    """COP of an ideal R-134a cycle."""
    return float(machine.cycle("R-134a", evaporating_C, machine.saturation_pressure("R-134a", condensing_C)).cop_cooling)


def cop_of_enthalpies(h1: float, h2: float, h3: float) -> float:
    """COP from printed enthalpies."""
    return (h1 - h3) / (h2 - h1)


def flow_times_difference(flow_kg_s: float, to: float, of: float) -> float:
    """Heat from printed enthalpies [kW]."""
    return flow_kg_s * (to - of)


def r410a_between(from_kPa_C: list[float], to_kPa_C: list[float]) -> float:
    """Enthalpy from one state of R-410A to another by today's equation of state [kJ/kg]."""
    from CoolProp.CoolProp import PropsSI

    start, end = (PropsSI("H", "P", p * 1000.0, "T", t + 273.15, "R410A") / 1000.0 for p, t in (from_kPa_C, to_kPa_C))
    return float(end - start)


EVALUATORS = {
    f.__name__: f
    for f in (
        cop_of_a_table,
        duty_of_an_oversized_unit,
        ratio,
        power_of_a_row,
        cycle_retention,
        season_total,
        hours_from_bins,
        part_load_percent,
        season_hours,
        air_density,
        fan_at_altitude,
        capacity_at_altitude,
        sensible_at_altitude,
        defrost,
        ideal_cycle,
        cycle_between_pressures,
        cycle_between_states,
        cycle_cop,
        cop_of_enthalpies,
        flow_times_difference,
        r410a_between,
    )
}
