"""Conductors and branch circuits: resistance, voltage drop, motor circuits, demand of a dwelling.

Rules of the NEC and of 675 IAC as named at each function; the rest follows from Ohm's and Kirchhoff's laws (textbook).
"""

from __future__ import annotations

from collections.abc import Sequence

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
