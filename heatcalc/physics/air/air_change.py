"""Outdoor air: leaks as people measure them, what wind and warmth press through them, what fans add.

The shell leaks Q = c dp^n [m3/s, Pa].  A fan test gives one point (ACH50, cfm50), a leakage area another
(4 Pa), a class a leakage area per area of exposed shell; a trailer floor over open air belongs to it.
Flows in m3/s, temperature differences in K without sign, wind at the airport (10 m, open ground) unless named
local.  Two published rules join fans and leaks and they differ by up to a tenth, so both are here; the caller
says which one it used.  Rates are minima of their standards, no statement that a house complies.

Sources: ASHRAE Handbook - Fundamentals (SI) 2021 ch. 16 (basic, enhanced; about 10 % with known inputs,
empirical models about 40 % on average) and ch. 17 (load factor); ASHRAE 62.2; 24 CFR 3280.103 and 3280.509.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import sqrt

import numpy as np

from heatcalc.physics.air import moist_air
from heatcalc.tables import rows

REFERENCE_PA = 4.0  # leakage areas are quoted at 4 Pa, ASHRAE Handbook - Fundamentals 2021 ch. 16
TEST_PA = 50.0
AIR_DENSITY = 1.2  # kg/m3, the density of the published conversions
USUAL_EXPONENT = 0.65  # ch. 16: 0.6 to 0.7, typically 0.65


def check_exponent(exponent: float) -> float:
    """The flow exponent [-], if an opening can have it: 0.5 (orifice) to 1 (laminar), ASHRAE ch. 16.  Raises ValueError."""
    if not 0.5 <= exponent <= 1.0:
        raise ValueError(f"a flow exponent lies between 0.5 and 1, not {exponent:g}")
    return exponent


def leak_flow(coefficient: float, exponent: float, pressure_Pa: float) -> float:
    """Q = c dp^n [m3/s], ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 40; difference [Pa] not below zero."""
    return coefficient * pressure_Pa**exponent


def flow_coefficient(flow_m3_s: float, exponent: float, pressure_Pa: float = TEST_PA) -> float:
    """c = Q / dp^n [m3/(s Pa^n)], the inverse of ch. 16 eq. 40.  ValueError for an impossible exponent."""
    return flow_m3_s / pressure_Pa ** check_exponent(exponent)


def leakage_area_of(coefficient: float, exponent: float, pressure_Pa: float = REFERENCE_PA) -> float:
    """A_L = c sqrt(rho / 2) dp^(n - 0.5) [m2] with C_D = 1, ch. 16 eq. 44."""
    return coefficient * sqrt(AIR_DENSITY / 2) * pressure_Pa ** (check_exponent(exponent) - 0.5)


def coefficient_of_area(leakage_area_m2: float, exponent: float, pressure_Pa: float = REFERENCE_PA) -> float:
    """c [m3/(s Pa^n)] of a leakage area [m2], the inverse of ch. 16 eq. 44.  ValueError for an impossible exponent."""
    return leakage_area_m2 / (sqrt(AIR_DENSITY / 2) * pressure_Pa ** (check_exponent(exponent) - 0.5))


def ach50_of(coefficient: float, exponent: float, volume_m3: float) -> float:
    """Air changes per hour at 50 Pa [1/h]: 3600 c 50^n / V, a definition; volume above zero."""
    return 3600 * leak_flow(coefficient, exponent, TEST_PA) / volume_m3


def normalised_leakage(leakage_area_m2: float, floor_area_m2: float, height_m: float) -> float:
    """NL = 1000 (A_L / A_floor) (H / 2.5 m)^0.4 [-], ch. 16 eq. 46; its printed factor 0.1 needs A_L in cm2."""
    return 1000 * leakage_area_m2 / floor_area_m2 * (height_m / 2.5) ** 0.4


STOREY_M = 2.5  # room height behind the one-storey columns, see `storeys_of`
HUD_DEFAULT_W_MK = 0.7 * 0.29307107 * 1.8 / 0.3048  # 0.7 Btu/(h F ft of perimeter), 24 CFR 3280.509(a)


@dataclass(frozen=True)
class EnhancedCoefficients:
    """One column of ch. 16 Tables 7-9: stack, wind, shelter and the multiplier from airport to local wind."""

    stack: float
    wind: float
    shelter: float
    speed_multiplier: float
    source: str


def storeys_of(room_height_m: float) -> float:
    """Storeys for the tables from a room's height, H / 2.5 m held between 1 and 3 [-].

    The one-storey stack coefficient follows from the enhanced model's general form with H = 2.5 m (I. S. Walker and
    D. J. Wilson, Field validation of algebraic equations, HVAC&R Research 4 (1998); form from memory).  Own choice:
    a lofted room lies between two columns.
    """
    return min(max(room_height_m / STOREY_M, 1.0), 3.0)


def _between_storeys(found: Sequence[dict[str, str]], storeys: float, column: str) -> float:
    """A column straight between the table's 1, 2 and 3 storeys.  ValueError outside."""
    if not 1.0 <= storeys <= 3.0:
        raise ValueError(f"the tables have 1 to 3 storeys, not {storeys:g}")
    return float(np.interp(storeys, [float(row["storeys"]) for row in found], [float(row[column]) for row in found]))


@cache
def enhanced_coefficients(storeys: float, shelter: int, raised: bool = True, flue: bool = False) -> EnhancedCoefficients:
    """Ch. 16 Tables 7-9 for 1 to 3 storeys, straight between them; shelter class 1 (none) to 5 (dense).  ValueError outside."""
    found = [row for row in rows("infiltration_enhanced") if row["flue"] == ("yes" if flue else "no")]
    columns = "stack", "wind_raised" if raised else "wind_slab", f"shelter_{_class(shelter)}", "speed_multiplier"
    stack, wind, sheltered, local = (_between_storeys(found, storeys, column) for column in columns)
    return EnhancedCoefficients(stack, wind, sheltered, local, found[0]["source"])


def _class(shelter: int) -> int:
    if shelter not in (1, 2, 3, 4, 5):
        raise ValueError(f"shelter class is 1 (no obstructions) to 5 (adjacent buildings), not {shelter}")
    return shelter


@cache
def basic_coefficients(storeys: float, shelter: int) -> tuple[float, float]:
    """Stack and wind coefficient of the basic model, ch. 16 Tables 4 and 6, straight between storeys.  ValueError outside."""
    found = rows("infiltration_basic")
    return _between_storeys(found, storeys, "stack"), _between_storeys(found, storeys, f"wind_{_class(shelter)}")


def basic_flow(leakage_area_m2: float, stack_coefficient: float, wind_coefficient: float, delta_K, wind_m_s):
    """Q = A_L sqrt(Cs dT + Cw U^2), A_L in cm2 / 1000, ch. 16 eq. 48; wind at the airport."""
    drive = stack_coefficient * np.abs(delta_K) + wind_coefficient * np.square(wind_m_s)
    return 10.0 * leakage_area_m2 * np.sqrt(drive)


def infiltration_flow(
    coefficient: float,
    exponent: float,
    stack_coefficient: float,
    wind_coefficient: float,
    shelter: float,
    delta_K,
    local_wind_m_s,
):
    """Q = sqrt(Qs^2 + Qw^2), Qs = c Cs dT^n, Qw = c Cw (s U)^2n: the enhanced model, ch. 16 eq. 47, 49, 50.

    `local_wind_m_s` is the wind at the house: airport wind times the speed multiplier.  Floats or arrays.
    """
    stack = coefficient * stack_coefficient * np.abs(delta_K) ** exponent
    wind = coefficient * wind_coefficient * (shelter * np.asarray(local_wind_m_s)) ** (2 * exponent)
    return np.hypot(stack, wind)


def design_factor(season: str, height_m: float, delta_K, flue_share: float = 0.0):
    """Infiltration design factor IDF [L/(s cm2)], ch. 17 eq. 10; "heating" (6.7 m/s) or "cooling" (3.4 m/s).

    Valid for suburban shelter and a flue below half of the leakage area; raises ValueError above that.
    """
    if not 0 <= flue_share < 0.5:
        raise ValueError(f"the design factor needs a flue below half of the leakage area, not {flue_share:g}")
    row = next(row for row in rows("infiltration_design_factor") if row["season"] == season)
    per_metre = float(row["i1"]) + float(row["i2"]) * flue_share
    return (float(row["i0"]) + height_m * np.abs(delta_K) * per_metre) / 1000


def load_factor_flow(leakage_area_m2: float, season: str, height_m: float, delta_K, flue_share: float = 0.0):
    """Qi = A_L IDF, ch. 17 eq. 8 (A_L in cm2, Qi in L/s there; m2 and m3/s here)."""
    return 10.0 * leakage_area_m2 * design_factor(season, height_m, delta_K, flue_share)


def hud_default_heat(perimeter_m: float, delta_K):
    """Infiltration heat when nothing is tested [W]: 0.7 Btu/(h F ft) x perimeter x dT, 24 CFR 3280.509(a)."""
    return HUD_DEFAULT_W_MK * perimeter_m * np.abs(delta_K)


CFM = 0.3048**3 / 60  # m3/s
SQUARE_FOOT = 0.3048**2  # m2
LITRE_S = 1e-3


def required_rate(name: str, floor_area_m2: float, bedrooms: int = 1) -> float:
    """Whole-house rate by formula [m3/s]: "62.2" or "manufactured home" of `ventilation_rates`.

    ASHRAE 62.2: 0.03 A + 7.5 (bedrooms + 1) cfm, at least one; 24 CFR 3280.103(b): 0.035 A, 50 to 90 cfm.
    """
    row = next(r for r in rows("ventilation_rates") if r["name"] == name)
    cfm = float(row["cfm_per_ft2"]) * floor_area_m2 / SQUARE_FOOT
    cfm += float(row["cfm_per_person"]) * (max(bedrooms, 1) + 1)
    return CFM * min(max(cfm, float(row["least_cfm"] or 0)), float(row["most_cfm"] or "inf"))


def tabulated_rate(floor_area_m2: float, bedrooms: int = 1) -> float:
    """Whole-house rate by ANSI/ASHRAE 62.2-2016 Table 4.1 [m3/s], the formula at the top of each band.

    Under 500 ft2 it stays at 30 cfm (one bedroom) where the formula falls.  ValueError beyond the table.
    """
    column = f"bedrooms_{max(bedrooms, 1)}"
    for row in rows("ventilation_table"):
        if round(floor_area_m2 / SQUARE_FOOT, 6) <= float(row["up_to_ft2"]) and column in row:
            return CFM * float(row[column])
    raise ValueError("the table ends at 2000 ft2 and 5 bedrooms")


def balanced_and_unbalanced(supply_m3_s: float, exhaust_m3_s: float) -> tuple[float, float]:
    """Qbal = min(supply, exhaust), Qunbal = max - Qbal, ASHRAE Handbook - Fundamentals ch. 17 eq. 12, 13 [m3/s]."""
    balanced = min(supply_m3_s, exhaust_m3_s)
    return balanced, max(supply_m3_s, exhaust_m3_s) - balanced


def fan_and_leak(leak_m3_s, balanced_m3_s: float, unbalanced_m3_s: float):
    """Q = Qbal + sqrt(Qunbal^2 + Qi^2), ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 51 [m3/s]."""
    return balanced_m3_s + np.hypot(leak_m3_s, unbalanced_m3_s)


def fan_and_leak_residential(leak_m3_s, balanced_m3_s: float, unbalanced_m3_s: float):
    """Q = Qbal + max(Qunbal, Qi + 0.5 Qunbal), ASHRAE Handbook - Fundamentals 2021 ch. 17 eq. 14 [m3/s]."""
    return balanced_m3_s + np.maximum(unbalanced_m3_s, np.add(leak_m3_s, 0.5 * unbalanced_m3_s))


def recovering_share(below_K):
    """Share of the time a heat-recovery core recovers [-]: 1 above its frost threshold, less the further outdoors is below it.

    below_K : frost threshold less outdoor temperature [K].  From the minutes of one printed table (manual, table core_defrost),
    straight between its rows and held beyond.  While it defrosts nothing is recovered; the air asked for is taken as still
    delivered, on average, at the running speed (own choice).
    """
    table = [[float(r[k]) for k in ("below_K", "defrost_min", "operate_min")] for r in rows("core_defrost")]
    at, minutes, runs = np.array(table).T
    below = np.asarray(below_K, float)
    return np.where(below < 0.0, 1.0, np.interp(below, at, runs / (runs + minutes)))


def preheated_K(colder_K, frost_K: float, most_K: float):
    """How far a preheater warms the air before a core [K]: up to the core's frost threshold, at most what its watts can.

    colder_K : inside less outside; frost_K : inside above outside from which the core frosts.  Own balance.
    """
    return np.clip(np.asarray(colder_K, float) - frost_K, 0.0, most_K)


def recovered_share(effectiveness: float, colder_K, frost_K: float, most_K: float = 0.0):
    """Share of the heat of the air asked for that recovery and preheater keep or give [-]; effectiveness where nothing frosts.

    Air warmed by p before the core leaves (1 - e)(dT - p) of dT to the room: 1 - (1 - e)(1 - p/dT), own from ch. 17 eq. 15.  What
    the preheater cannot warm to the threshold frosts part of the time (`recovering_share`).  `most_K` 0 is no preheater.
    """
    warmed = preheated_K(colder_K, frost_K, most_K)
    met = np.where(warmed < most_K, -1.0, np.asarray(colder_K, float) - warmed - frost_K)
    kept = effectiveness * recovering_share(met)
    if not np.any(most_K):
        return kept
    return np.where(warmed > 0.0, 1.0 - (1.0 - kept) * (1.0 - warmed / np.maximum(colder_K, 1e-9)), kept)


def after_recovery(flow_m3_s, recovered_m3_s: float, effectiveness):
    """Outdoor air without recovery that would carry the same load: Q - e Qhr, ch. 17 eq. 15 to 17.

    `effectiveness`: sensible, or moisture for an enthalpy exchanger; 0 to 1, ValueError outside.
    """
    if np.any(np.less(effectiveness, 0.0) | np.greater(effectiveness, 1.0)):
        raise ValueError(f"an effectiveness lies between 0 and 1, not {effectiveness}")
    return flow_m3_s - effectiveness * recovered_m3_s


def window_airing(area_m2: float, wind_m_s, delta_K, height_m: float = 1.0):
    """Air through one window open on one side [m3/s]: 0.5 A sqrt(0.01 + 0.001 v^2 + 0.0035 H dT).

    de Gids and Phaff (1982), as EN 15242 takes it (from memory); v [m/s] at the house, H the window's height [m].
    """
    speed = np.sqrt(0.01 + 0.001 * np.square(wind_m_s) + 0.0035 * height_m * np.abs(delta_K))
    return 0.5 * area_m2 * speed


def sensible_heat(flow_m3_s, delta_K, pressure_Pa=moist_air.SEA_LEVEL_PA, indoor_C=20.0, humidity_ratio=0.0):
    """q = Q (c_p / v) dT [W], ch. 17 eq. 1 with the density of the house's altitude instead of a constant."""
    return flow_m3_s * moist_air.volumetric_heat_capacity(indoor_C, humidity_ratio, pressure_Pa) * delta_K


def latent_heat(flow_m3_s, delta_humidity_ratio, pressure_Pa=moist_air.SEA_LEVEL_PA, indoor_C=20.0):
    """q = Q / v (2501000 + 1860 t) dW [W], ch. 17 eq. 2 from ch. 1 eq. 30; flow as dry indoor air."""
    vapour = moist_air.VAPORISATION + moist_air.CP_VAPOUR * indoor_C
    return flow_m3_s / moist_air.specific_volume(indoor_C, 0.0, pressure_Pa) * vapour * delta_humidity_ratio


def mean_extra_flow(exhaust_m3_s: float, minutes_per_day: float) -> float:
    """Day mean of an exhaust that runs some minutes [m3/s]; its make-up air is outdoor air."""
    return exhaust_m3_s * minutes_per_day / 1440


def depressurisation(exhaust_m3_s: float, coefficient: float, exponent: float) -> float:
    """Pressure a lone exhaust pulls without make-up [Pa], dp = (Q / c)^(1/n), inverse of ch. 16 eq. 40."""
    return (exhaust_m3_s / coefficient) ** (1 / exponent)
