"""Checks of conductors, site loads, motor circuits, generators, refrigerant charge, prices and CO2."""

from __future__ import annotations

import numpy as np

from heatcalc.checks.published import Span
from heatcalc.inputs.supply.supply_record import Supply, Tariff
from heatcalc.physics.supply import electrics
from heatcalc.physics.unit import refrigerant_charge as charge
from heatcalc.supply import money
from heatcalc.supply.charge import LB_PER_1000_FT3
from heatcalc.supply.load_method import FOOT2_M2, LoadMethod, load_method, range_demand
from heatcalc.tables import rows

FOOT, FOOT3, POUND, GALLON_M3 = 0.3048, 0.028316846592, 0.45359237, 0.003785411784


def drop_volts(current_A: float, length_ft: float, awg: int) -> float:
    """Voltage drop of a two-wire run of the table's conductor at 75 C [V]."""
    ohm = next(float(r["ohm_per_kft_75C"]) for r in rows("conductors") if int(r["awg"]) == awg)
    return electrics.voltage_drop(current_A, length_ft * FOOT, ohm / 1000 / FOOT)


def ohm_per_kft(circular_mils: float, conductor_C: float, lay_factor: float) -> float:
    """Resistance of a copper conductor [ohm/kft]."""
    return electrics.conductor_resistance(circular_mils * electrics.CIRCULAR_MIL_M2, conductor_C, lay_factor) * FOOT * 1000


def site_capacity(cord: str) -> float:
    """Capacity of a site supply [VA]."""
    row = next(r for r in rows("cords") if r["cord"] == cord)
    return electrics.apparent_power(float(row["rating_A"]), int(row["legs"]))


def park_feeder(sites: list, share: float) -> float:
    """Demand of a park's feeder [VA]."""
    return electrics.park_feeder_demand([tuple(s) for s in sites], share)


def mobile_structure(floor_ft2: float, loads: list) -> LoadMethod:
    """The load method for a structure without a heat pump; loads as (name of the appliance table, watts, volts)."""
    said = [{"name": name, "watts": f"{watts} W", "volts": volts} for name, watts, volts in loads]
    return load_method(Supply.model_validate({"appliances": said}), floor_ft2 * FOOT2_M2, 0.0, 240.0, 0.0)


def structure_volt_amperes(floor_ft2: float, loads: list, part: str) -> float:
    """Lighting and small appliances connected, or their demand [VA]."""
    method = mobile_structure(floor_ft2, loads)
    return {"connected": method.connected_VA, "demand": method.demand_VA}[part]


def structure_load(floor_ft2: float, loads: list, step: str) -> float:
    """Amperes of a step's one load on each leg it uses."""
    return next(x.amperes for x in mobile_structure(floor_ft2, loads).loads if x.step == step)


def structure_legs(floor_ft2: float, loads: list, leg: str) -> float:
    """Amperes of the heavier or the other leg."""
    method = mobile_structure(floor_ft2, loads)
    return {"heavier": method.leg_A, "other": method.other_leg_A}[leg]


def running_current(capacity_btuh: float, cop: float, volts: float) -> float:
    """Amperes of a unit at full output."""
    return capacity_btuh / 3.412142 / cop / volts


def generator_factor(elevation_m: float, air_C: float) -> float:
    """Generator output over its rating."""
    rule = [float(v) for v in list(rows("generator_rules")[0].values())[1:7]]
    return electrics.derating(elevation_m, air_C, *rule)


def generator_running(loads_W: list) -> float:
    """Running watts."""
    return electrics.running_power(loads_W)


def generator_starting(loads_W: list) -> float:
    """Watts with the one largest start."""
    return electrics.starting_power([tuple(x) for x in loads_W])


def smallest_room(charge_kg: float, height_m: float, lfl: float) -> float:
    """Smallest room for a charge [m2]."""
    return charge.area_rule_area(charge_kg, height_m, lfl)


def largest_charge(area_m2: float, height_m: float, lfl: float) -> float:
    """Largest charge in a room [kg]; the linear cap binds low units."""
    return charge.allowed_charge(area_m2, height_m, lfl) if height_m < 1 else charge.area_rule_charge(area_m2, height_m, lfl)


def capped_charge_per_area(area_m2: float) -> float:
    """Charge a m2 of a small room, unit on the floor [kg/m2]."""
    return charge.allowed_charge(area_m2, 0.6, 0.306) / area_m2


def room_of_either_rule(charge_kg: float) -> float:
    """Room for a charge at 2.2 m by the stricter of two formulas [m2]."""
    return max(charge.area_rule_area(charge_kg, 2.2, 0.307), charge.linear_area(charge_kg, 2.2, 0.307))


def no_area_threshold(lfl: float, volumes: float, unit: str) -> float:
    """Charge below which no room size is asked [kg or lb]."""
    return charge.charge_threshold(lfl, volumes) / (POUND if unit == "lb" else 1.0)


def concentration_charge(refrigerant: str, volume_ft3: float, unit: str) -> float:
    """Charge at the concentration limit of a room [kg or lb]."""
    row = next(r for r in rows("refrigerants_safety") if r["refrigerant"] == refrigerant)
    limit = float(row["rcl_lb_per_1000ft3"]) * LB_PER_1000_FT3
    return charge.concentration_charge(volume_ft3 * FOOT3, limit) / (POUND if unit == "lb" else 1.0)


def energy_of_use(watts: float, hours: float, days: float) -> float:
    """kWh a year of a device."""
    return money.bill(np.full((12, 24), watts * hours * days / 1000 / 288), Tariff(price=0.11)).year_kWh


def recovery_gph(watts: float, rise_F: float) -> float:
    """Water a heater without loss brings up by a rise [gal/h]."""
    return electrics.recovery_flow(watts, 1.0, rise_F / 1.8) * 3600 / GALLON_M3


def water_heater_year(energy_factor: float, half_digit: float) -> Span:
    """Yearly use [kWh] of 55 gal a day heated by 67 F, as far as the factor's last digit leaves it open."""
    heat = 365 * 55 * GALLON_M3 * electrics.HOT_WATER_J_m3K * 67 / 1.8 / 3.6e6
    low, value, high = (heat / (energy_factor + by) for by in (half_digit, 0.0, -half_digit))
    return Span(low, value, high)


def water_heater_factor(kind: str, gallons: float) -> Span:
    """Uniform energy factor of a row of the table over the federal test's day, as far as the row's last digits leave it open."""
    row = next(r for r in rows("water_heaters") if r["kind"] == kind)
    efficiency, standby = float(row["efficiency"]), row["standby_kWh_day"]
    half = 0.5 * 10.0 ** -len(standby.partition(".")[2])
    cop = 0.005 if efficiency > 1.0 else 0.0
    edges = [(efficiency + by * cop, float(standby) - by * half) for by in (-1, 0, 1)]
    return Span(*(_factor(gallons * GALLON_M3, eta, kWh, float(row["power_W"])) for eta, kWh in edges))


def _factor(drawn_m3: float, efficiency: float, standby_kWh: float, power_W: float) -> float:
    """Heat given over energy taken in a day of the test: 58 to 125 F, room at 67.5 F (from memory)."""
    inlet, tank, room = ((F - 32.0) / 1.8 for F in (58.0, 125.0, 67.5))
    loss_W_K = standby_kWh * 3.6e6 / 86_400.0 / (tank - room) / efficiency
    heat = drawn_m3 * electrics.HOT_WATER_J_m3K * (tank - inlet)
    return heat / electrics.tank_day(drawn_m3, inlet, tank, efficiency, loss_W_K, room, power_W)


def cost_of_energy(kWh: float) -> float:
    """Dollars at 0.11 $/kWh."""
    return money.bill(np.full((12, 24), kWh / 288), Tariff(price=0.11)).year_cost


def pounds_per_kWh(million_tonnes: float, gwh: float) -> float:
    """CO2 rate [lb/kWh] from emissions and generation."""
    return million_tonnes * 1e9 / money.KG_PER_LB / (gwh * 1e6)


def grid_rate(state: str) -> float:
    """The table's rate [lb/kWh]."""
    return money.electricity_co2(1, state).kg / money.KG_PER_LB


def sum_of_states(states: str, column: str) -> float:
    """A division's sum of the table's states."""
    table = {r["code"]: r[column] for r in rows("electricity_co2")}
    return float(sum(int(table[s]) for s in states.split()))


def propane_btu_per_gallon() -> float:
    """Heat of propane from its two CO2 factors [Btu/gal]."""
    return money.propane_kwh_per_gallon() * 3.6e6 / money.J_PER_BTU


EVALUATORS = {
    f.__name__: f
    for f in (
        drop_volts,
        ohm_per_kft,
        site_capacity,
        park_feeder,
        structure_volt_amperes,
        structure_load,
        structure_legs,
        range_demand,
        running_current,
        generator_factor,
        generator_running,
        generator_starting,
        smallest_room,
        largest_charge,
        capped_charge_per_area,
        room_of_either_rule,
        no_area_threshold,
        concentration_charge,
        recovery_gph,
        water_heater_year,
        water_heater_factor,
        energy_of_use,
        cost_of_energy,
        pounds_per_kWh,
        grid_rate,
        sum_of_states,
        propane_btu_per_gallon,
    )
}
