"""What hangs on the supply: conductors and branch circuits, generator and battery, the water heater.

Rules of the NEC and of 675 IAC as named at each function; resistance and voltage drop follow from Ohm's and Kirchhoff's laws
(textbook).  A generator's and a battery's rest: what is left at altitude and in heat, hours by what the loads ask for.

Sources of hot water: mains by Burch and Christensen 2007 (Towards Development of an Algorithm for Mains Water Temperature; offset
and amplitude in its abstract, the rest from memory); a tank's day by Lutz et al. 1998 (WHAM: A Simplified Energy Consumption
Equation for Water Heaters); the rest by an energy balance.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

ALPHA_COPPER = 0.00393  # 1/K at 20 degC, annealed copper, NBS Handbook 100, from memory
RHO_COPPER = 1.7241e-8  # ohm m at 20 degC, annealed copper (10.371 ohm cmil/ft), from memory too
CIRCULAR_MIL_M2 = 5.067075e-10  # pi/4 (0.001 in)^2, by definition
CONTINUOUS_SHARE = 0.8  # NEC 210.20(A), 215.3: 1/1.25, from memory
VOLTS_PER_LEG = 120.0


def conductor_resistance(area_m2: float, temperature_C: float, lay_factor: float = 1.0) -> float:
    """Resistance of a copper conductor [ohm/m]: rho20 (1 + alpha (T - 20)) lay / A.

    Linear law of NBS Handbook 100 (constants from memory); `lay_factor` 1.02 for stranded wire.
    Valid -50 to 150 degC; ValueError outside and for an area that is not positive.
    """
    if area_m2 <= 0 or not -50 <= temperature_C <= 150:
        raise ValueError("a conductor needs a positive area and a temperature of -50 to 150 degC")
    return RHO_COPPER * (1 + ALPHA_COPPER * (temperature_C - 20)) * lay_factor / area_m2


def resistance_at(resistance: float, known_C: float, wanted_C: float) -> float:
    """A copper resistance carried from one temperature to another, same unit (linear law, alpha at 20 degC).

    Valid -50 to 150 degC; the constant is from memory (NBS Handbook 100).
    """
    return resistance * (1 + ALPHA_COPPER * (wanted_C - 20)) / (1 + ALPHA_COPPER * (known_C - 20))


def voltage_drop(current_A: float, one_way_m: float, resistance_ohm_m: float) -> float:
    """Drop of a single-phase two-wire run [V]: 2 L R I (practice with NEC Chapter 9 Table 8)."""
    return 2 * one_way_m * resistance_ohm_m * current_A


def leg_voltage_drop(leg_A: float, other_leg_A: float, one_way_m: float, resistance_ohm_m: float) -> float:
    """Drop between one leg and neutral of a 120/240 V run [V]: L R (I1 + (I1 - I2)), by Kirchhoff's laws.

    With no current in the other leg it is the two-wire formula; balanced legs leave the neutral idle.
    Currents in phase, reactance neglected.
    """
    return voltage_drop(leg_A - other_leg_A / 2, one_way_m, resistance_ohm_m)


def apparent_power(rating_A: float, legs: int) -> float:
    """Capacity of a supply [VA]: rating times 120 V times the number of legs (NEC 551.73 unit loads)."""
    return rating_A * VOLTS_PER_LEG * legs


def continuous_limit(rating_A: float) -> float:
    """Largest continuous current (3 h and more) on a breaker [A]: 80 % (NEC 210.20(A), from memory)."""
    return CONTINUOUS_SHARE * rating_A


def required_rating(continuous_A: float, other_A: float) -> float:
    """Rating a circuit needs [A]: 125 % of the continuous part plus the rest (NEC 210.20(A), from memory)."""
    return continuous_A / CONTINUOUS_SHARE + other_A


def minimum_circuit_ampacity(largest_A: float, others_A: Sequence[float] = ()) -> float:
    """Minimum circuit ampacity of a unit [A]: 1.25 x largest + others (NEC 440.33, three printings)."""
    return 1.25 * largest_A + sum(others_A)


def overcurrent_ceiling(largest_A: float, others_A: Sequence[float] = (), factor: float = 2.25) -> float:
    """Ceiling of a unit's overcurrent device [A]: factor x largest + others (NEC 440.22(A), three printings).

    `factor` 1.75 to begin with, 2.25 where the motor does not start otherwise.  The nameplate overrules.
    """
    return factor * largest_A + sum(others_A)


def standard_size_below(current_A: float, sizes: Sequence[float]) -> float:
    """Largest standard overcurrent size not above the current [A] (NEC 240.6(A) list passed in).

    ValueError where even the smallest size is larger.
    """
    fitting = [size for size in sizes if size <= current_A]
    if not fitting:
        raise ValueError(f"no standard size at or below {current_A:.1f} A")
    return max(fitting)


def standard_size_above(current_A: float, sizes: Sequence[float]) -> float:
    """Smallest standard overcurrent size not below the current [A] (NEC 240.6(A) list passed in).

    ValueError where even the largest size is smaller.
    """
    fitting = [size for size in sizes if size >= current_A - 1e-9]
    if not fitting:
        raise ValueError(f"no standard size at or above {current_A:.1f} A")
    return min(fitting)


def stepped_demand(connected_VA: float, first_VA: float = 3000.0, rest_share: float = 0.35) -> float:
    """Demand of lighting and small appliances [VA]: the first 3,000 VA in full, 35 % of the rest.

    675 IAC 15-2-100 (Indiana Mobile Structures Code); the same steps as 24 CFR 3280.811, from memory.
    """
    return min(connected_VA, first_VA) + rest_share * max(connected_VA - first_VA, 0.0)


def dwelling_connected_load(floor_area_ft2: float, small_appliance_circuits: int) -> float:
    """Connected lighting and small-appliance load [VA]: 3 VA per ft2 of outside floor + 1,500 VA a circuit.

    675 IAC 15-2-100; the rule is written in square feet, so the area is too.
    """
    return 3.0 * floor_area_ft2 + 1500.0 * small_appliance_circuits


def park_feeder_demand(site_VA: Sequence[tuple[int, float]], demand_share: float) -> float:
    """Demand of a park's feeder [VA]: demand factor times the sum of sites x unit load (NEC 551.73).

    For a park's feeder only, never for one house; the code's note warns of extreme climates.
    """
    return demand_share * sum(count * load for count, load in site_VA)


def derating(
    elevation_m: float,
    air_C: float,
    start_altitude_m: float,
    altitude_step_m: float,
    loss_per_altitude_step: float,
    start_temperature_C: float,
    temperature_step_K: float,
    loss_per_temperature_step: float,
) -> float:
    """Share of a generator's rated power left at an altitude and air temperature.

    1 - loss x (h - h0)/step - loss x (T - T0)/step, each term from its start on.  The form and numbers are
    those of portable generator manuals (makers not named); they differ, so every parameter is an input.
    Valid 0 to 5,000 m.  Never below zero.
    """
    height = max(elevation_m - start_altitude_m, 0.0) / altitude_step_m * loss_per_altitude_step
    heat = max(air_C - start_temperature_C, 0.0) / temperature_step_K * loss_per_temperature_step
    return max(1.0 - height - heat, 0.0)


def running_power(loads_W: Sequence[float]) -> float:
    """Running watts of loads on one generator: their sum (generator owner's manual, worked example) [W]."""
    return float(sum(loads_W))


def starting_power(loads_W: Sequence[tuple[float, float]]) -> float:
    """Largest demand while one load starts and the others run [W], from pairs (running, starting).

    The usual rule of portable generator manuals: running sum plus the largest extra of a single start.
    """
    extra = max((starting - running for running, starting in loads_W), default=0.0)
    return running_power([running for running, _ in loads_W]) + max(extra, 0.0)


def battery_hours(capacity_J: float, usable_share: float, efficiency: float, load_W: float) -> float:
    """Hours a battery carries a load: capacity x usable share x inverter efficiency / load (energy balance).

    ValueError for a load that is not positive.
    """
    if load_W <= 0:
        raise ValueError("a battery's hours need a load above zero")
    return capacity_J * usable_share * efficiency / load_W / 3600.0


WATER_J_m3K = 998.2 * 4186.8  # cold: 8.33 lb/gal, 1 Btu/lb F, as the trade's recovery tables take it
HOT_WATER_J_m3K = 987.4 * 4186.8  # drawn at 125 F: 8.24 lb/gal, as the federal test weighs it
DRAWABLE = 0.7  # share of a tank that comes out hot: the trade's first-hour rule
FREEZING_C = 0.5


def mains_temperature(day: ArrayLike, mean_C: float, swing_K: float) -> np.ndarray:
    """Temperature of the water mains on days of the year, 0 to 365 [degC].

    T = (mean + 6 F) + r (swing/2) sin(0.986 (day - 15 - lag) - 90 deg), r = 0.4 + 0.01 (mean - 44 F) and
    lag = 35 - (mean - 44 F) days, in Fahrenheit; `mean_C` is the year's mean outdoor air, `swing_K` warmest less coldest
    month (Burch and Christensen 2007).  Not below freezing.
    """
    mean_F = 32.0 + 1.8 * mean_C
    ratio, lag = 0.4 + 0.01 * (mean_F - 44.0), 35.0 - (mean_F - 44.0)
    turn = np.radians(0.986 * (np.asarray(day, float) - 15.0 - lag) - 90.0)
    found_F = mean_F + 6.0 + ratio * 0.5 * 1.8 * swing_K * np.sin(turn)
    return np.maximum((found_F - 32.0) / 1.8, FREEZING_C)


def recovery_flow(power_W: float, efficiency: float, rise_K: float) -> float:
    """Water a heater brings up by `rise_K` [m3/s]: P eta / (rho c rise), an energy balance.  ValueError for no rise."""
    if rise_K <= 0:
        raise ValueError("recovery needs a rise above zero")
    return power_W * efficiency / (WATER_J_m3K * rise_K)


def tank_day(
    drawn_m3: float, inlet_C: float, tank_C: float, efficiency: float, standby_W_K: float, around_C: float, power_W: float
) -> float:
    """Energy a storage water heater takes a day [J]: V rho c (T - Tin)/RE (1 - UA (T - Ta)/Pon) + 24 h UA (T - Ta).

    Lutz et al. 1998; while it heats, standby is part of its recovery, hence the bracket.
    """
    loss_W = standby_W_K * (tank_C - around_C)
    heat = drawn_m3 * HOT_WATER_J_m3K * (tank_C - inlet_C) / efficiency
    return heat * (1.0 - loss_W / power_W) + 86_400.0 * loss_W


def heater_hours(need_W: np.ndarray, most_W: ArrayLike) -> np.ndarray:
    """Heat a tank's heater gives each hour [W], shape of `need_W`: what is drawn and lost, later where it cannot keep up.

    The heat that is missing from a full tank is a queue: m' = max(m + need - most, 0) (energy balance).
    """
    net = np.cumsum(need_W - np.broadcast_to(most_W, need_W.shape))
    missing = net - np.minimum(np.minimum.accumulate(net), 0.0)
    return need_W - np.diff(missing, prepend=0.0)


def cold_water_minutes(need_W: np.ndarray, most_W: np.ndarray, drawn_W: np.ndarray, drawable_J: float) -> np.ndarray:
    """Minutes of draws in each hour that find no hot water, by the same balance with a tank that can be empty (hours).

    What is drawn beyond the tank's heat comes out cold and is not made up later.
    """
    missing, cold = 0.0, np.zeros(len(need_W))
    for hour, (need, most, drawn) in enumerate(zip(need_W.tolist(), most_W.tolist(), drawn_W.tolist(), strict=True)):
        missing = max(missing + 3600.0 * (need - most), 0.0)
        if missing > drawable_J:
            short = min(missing - drawable_J, 3600.0 * drawn)
            cold[hour] = 60.0 * short / (3600.0 * drawn) if drawn > 0 else 0.0
            missing = drawable_J
    return cold
