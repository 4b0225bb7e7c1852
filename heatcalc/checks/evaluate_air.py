"""Checks of units, moist air, infiltration, ventilation, indoor humidity and places: one function a phenomenon."""

from __future__ import annotations

from heatcalc import units
from heatcalc.model.outdoor_air import AirInputs, leakage_of
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.air.air_change import CFM, SQUARE_FOOT

FOOT = 0.3048


def unit_in_si(said: str, kind: str) -> float:
    """What a written quantity is in SI."""
    return units.parse(said, kind)


def pressure_at_altitude(altitude_m: float) -> float:
    """Standard pressure [kPa]."""
    return moist_air.pressure_at_altitude(altitude_m) / 1e3


def saturated_air(t_C: float, figure: str) -> float:
    """Humidity ratio, volume or enthalpy [kJ/kg] of saturated air at sea level."""
    ratio = moist_air.saturated_humidity_ratio(t_C)
    return {"W": ratio, "v": moist_air.specific_volume(t_C, ratio), "h": moist_air.enthalpy(t_C, ratio) / 1e3}[figure]


def dry_air(t_C: float, figure: str) -> float:
    """Volume or enthalpy [kJ/kg] of dry air at sea level."""
    return moist_air.specific_volume(t_C, 0.0) if figure == "v" else moist_air.enthalpy(t_C, 0.0) / 1e3


def state_of_two_bulbs(dry_C: float, wet_C: float, figure: str) -> float:
    """A chart reading from dry and wet bulb."""
    ratio = moist_air.humidity_ratio_from_wet_bulb(dry_C, wet_C)
    return {
        "W g/kg": 1e3 * ratio,
        "h kJ/kg": moist_air.enthalpy(dry_C, ratio) / 1e3,
        "dew point": moist_air.dew_point(ratio),
        "humidity": moist_air.relative_humidity(dry_C, ratio),
        "v": moist_air.specific_volume(dry_C, ratio),
    }[figure]


def heating_of_air(flow_m3_s: float, from_C: float, to_C: float) -> float:
    """Heat to warm saturated air [kW]."""
    ratio = moist_air.saturated_humidity_ratio(from_C)
    flow = flow_m3_s / moist_air.specific_volume(from_C, ratio)
    return flow * (moist_air.enthalpy(to_C, ratio) - moist_air.enthalpy(from_C, ratio)) / 1e3


def cooling_of_air(flow_m3_s: float, from_C: float, humidity: float, to_C: float) -> float:
    """Refrigeration to bring air to saturation at a lower temperature, water drained cold [kW]."""
    before = moist_air.humidity_ratio_from_relative(from_C, humidity)
    after = moist_air.saturated_humidity_ratio(to_C)
    drop = moist_air.enthalpy(from_C, before) - moist_air.enthalpy(to_C, after) - (before - after) * 4186 * to_C
    return flow_m3_s / moist_air.specific_volume(from_C, before) * drop / 1e3


def _flow_in(flow_m3_s: float, figure: str, volume_m3: float) -> float:
    return {"m3/s": flow_m3_s, "m3/h": 3600 * flow_m3_s, "1/h": 3600 * flow_m3_s / volume_m3}[figure]


def basic_infiltration(
    area_m2: float, storeys: int, shelter: int, delta_K: float, wind_m_s: float, volume_m3: float, figure: str
) -> float:
    """Basic model from a leakage area."""
    flow = air_change.basic_flow(area_m2, *air_change.basic_coefficients(storeys, shelter), delta_K, wind_m_s)
    return _flow_in(float(flow), figure, volume_m3)


def enhanced_infiltration(
    coefficient: float,
    exponent: float,
    storeys: int,
    raised: bool,
    flue: bool,
    delta_K: float,
    wind_m_s: float,
    volume_m3: float,
    figure: str,
) -> float:
    """Enhanced model, shelter class 4, wind at the airport."""
    k = air_change.enhanced_coefficients(storeys, 4, raised, flue)
    local = k.speed_multiplier * wind_m_s
    flow = air_change.infiltration_flow(coefficient, exponent, k.stack, k.wind, k.shelter, delta_K, local)
    return _flow_in(float(flow), figure, volume_m3)


def leakage_area_cm2(coefficient: float, exponent: float) -> float:
    """Leakage area at 4 Pa [cm2] of a flow coefficient."""
    return 1e4 * air_change.leakage_area_of(coefficient, exponent)


def design_factor(height_m: float, outdoor_C: float) -> float:
    """Infiltration design factor [L/(s cm2)], 20 C inside for heating, 24 C for cooling."""
    season, inside = ("heating", 20.0) if outdoor_C < 20 else ("cooling", 24.0)
    return float(air_change.design_factor(season, height_m, inside - outdoor_C))


def leakage_of_the_worked_house(figure: str, factor: float) -> float:
    """Leakage area [cm2], flow [L/s] and air changes of the worked house from the factor as printed."""
    area = (
        1e4
        * leakage_of(
            AirInputs(
                volume_m3=468.7, floor_area_m2=195.3, shell_area_m2=356.5, height_m=2.5, perimeter_m=67.2, leakage_class="good"
            )
        ).area_m2
    )
    return {"cm2": area, "L/s": area * factor, "1/h": 3.6 * area * factor / 468.7}[figure]


def ach50_of_cfm(cfm50: float, volume_ft3: float) -> float:
    """Air changes at 50 Pa from a fan test and a volume."""
    return air_change.ach50_of(air_change.flow_coefficient(cfm50 * CFM, 0.65), 0.65, volume_ft3 * FOOT**3)


def federal_default(perimeter_ft: float, difference_F: float) -> float:
    """Federal default for a manufactured home [Btu/h]."""
    return float(air_change.hud_default_heat(perimeter_ft * FOOT, difference_F / 1.8)) / 0.29307107


def required_ventilation(rule: str, floor_ft2: float, bedrooms: int) -> float:
    """Whole-house rate by formula [cfm]."""
    return air_change.required_rate(rule, floor_ft2 * SQUARE_FOOT, bedrooms) / CFM


def fans_and_leaks_L_s(leak_L_s: float, balanced_L_s: float) -> float:
    """Balanced fan and leak of the worked house [L/s]."""
    return air_change.fan_and_leak_residential(leak_L_s, *air_change.balanced_and_unbalanced(balanced_L_s, balanced_L_s))


def glass_surface_F(u_ip: float, outdoor_F: float) -> float:
    """Inside surface of a window at 70 F, film R 0.68 [F]."""
    return moist_air.surface_temperature((70 - 32) / 1.8, (outdoor_F - 32) / 1.8, u_ip, 0.68) * 1.8 + 32


def propane_water_share() -> float:
    """Water from burnt propane [kg/kg]."""
    from heatcalc.tables import rows

    return float(next(r for r in rows("moisture_sources") if r["name"] == "propane")["kg"])


def design_temperature_F(station: str, figure: str) -> float:
    """The place's own estimate at a station [F]."""
    from heatcalc.inputs.place.find_place import find_place

    place = find_place(station)
    return (place.heating_99_C if figure == "heating 99 %" else place.cooling_1_C) * 1.8 + 32


def core_operates(outdoor_F: float, defrost_min: float) -> float:
    """Minutes a core recovers for these minutes of defrost, at its share below the threshold of 23 F."""
    share = float(air_change.recovering_share(round((23.0 - outdoor_F) / 1.8)))
    return defrost_min * share / (1.0 - share)


EVALUATORS = {
    f.__name__: f
    for f in (
        core_operates,
        unit_in_si,
        pressure_at_altitude,
        saturated_air,
        dry_air,
        state_of_two_bulbs,
        heating_of_air,
        cooling_of_air,
        basic_infiltration,
        enhanced_infiltration,
        leakage_area_cm2,
        design_factor,
        leakage_of_the_worked_house,
        ach50_of_cfm,
        federal_default,
        required_ventilation,
        fans_and_leaks_L_s,
        glass_surface_F,
        propane_water_share,
        design_temperature_F,
    )
}
