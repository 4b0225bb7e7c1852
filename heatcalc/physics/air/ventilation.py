"""Ventilation that fans make: required rates, fan and leak together, recovered heat, what the air carries.

Flows in m3/s.  Two published rules join fans and leaks and they differ by up to a tenth, so both are here;
the caller says which one it used.  Rates are minima of their standards, no statement that a house complies.

Sources: ASHRAE 62.2, ASHRAE Handbook - Fundamentals 2021 ch. 16 and 17, 24 CFR 3280.103.
"""

from __future__ import annotations

import numpy as np

from heatcalc.physics.air import moist_air
from heatcalc.tables import rows

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
    if most_K == 0.0:
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
