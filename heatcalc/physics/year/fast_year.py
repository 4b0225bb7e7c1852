"""Electricity of many units that carry the same hourly loads, compiled with numba and cached on disk.

The room is always held (backup heat takes what the unit leaves), so the hourly heat is known before any unit runs and one walk
of the network serves them all.  The rules are those of the year's loop (`kernel`): COP straight in the load between the least,
middle and most level; below the least the unit cycles (`heat_pump.cycling_input`).
"""

from __future__ import annotations

import numpy as np
from numba import njit

from heatcalc.physics.unit.heat_pump import DEGRADATION, cycling_input

_cycling = njit(nogil=True, error_model="numpy")(cycling_input)

SUMS = ("heating_kWh", "cooling_kWh", "idle_kWh", "backup_kWh", "backup_h", "too_warm_h", "unit_peak_W", "house_peak_W")
"""Electricity for heating, for cooling, while idle (controls, crankcase and pan heater), for backup heat; hours the unit alone
falls short of the heat, and of the cold; highest hourly power of the unit, and of unit and backup together."""


@njit(cache=True, nogil=True, error_model="numpy")
def unit_years(
    row, share, heat_W, cool_W, heat_capacity, heat_power, cool_capacity, cool_power, frost, standby_W, crankcase_W, pan_W
):
    """Sums of a year, (houses, units, SUMS) [kWh, h, W as named]; own, the rules and sources are those of `heat_pump`.

    row, share : place of each hour on the temperature grid of the tables, and how far on to the next point
    heat_W, cool_W : (houses, hours); heat_capacity ... : (units, 3 levels, grid); frost : (units, hours) factor on capacity
    crankcase_W, pan_W : (units, hours)
    """
    houses, hours, units = heat_W.shape[0], heat_W.shape[1], heat_capacity.shape[0]
    found = np.zeros((houses, units, 8))
    capacity, cop = np.empty(3), np.empty(3)
    for u in range(units):
        for h in range(hours):
            for mode in range(2):
                needed = False
                for p in range(houses):
                    if (heat_W[p, h] if mode == 0 else cool_W[p, h]) > 0.0:
                        needed = True
                if not needed:
                    continue
                for k in range(3):
                    c, e = (heat_capacity[u, k], heat_power[u, k]) if mode == 0 else (cool_capacity[u, k], cool_power[u, k])
                    i, x = row[h], share[h]
                    given = (1.0 - x) * c[i] + x * c[i + 1]
                    watts = (1.0 - x) * e[i] + x * e[i + 1]
                    factor = frost[u, h] if mode == 0 else 1.0
                    capacity[k] = given * factor if c[i] > 0.0 and c[i + 1] > 0.0 else 0.0
                    cop[k] = capacity[k] / watts if watts > 0.0 else 1.0
                for p in range(houses):
                    load = heat_W[p, h] if mode == 0 else cool_W[p, h]
                    if load > 0.0:
                        _hour(found[p, u], mode, load, capacity, cop, pan_W[u, h])
            for p in range(houses):
                load = heat_W[p, h] + cool_W[p, h]
                i, x = row[h], share[h]
                c = heat_capacity[u, 0] if heat_W[p, h] > 0.0 else cool_capacity[u, 0]
                least = (1.0 - x) * c[i] + x * c[i + 1]
                run = min(load / least, 1.0) if load > 0.0 and least > 0.0 else 0.0
                found[p, u, 2] += (standby_W[u] + crankcase_W[u, h]) * (1.0 - run) / 1000.0
    return found


@njit(cache=True, nogil=True, error_model="numpy")
def _hour(sums, mode, load, capacity, cop, pan_W):
    """One hour of one unit at one load added to its sums."""
    given, power, run = min(load, capacity[2]), 0.0, 0.0
    if capacity[2] > 0.0:
        steady = max(given, capacity[0])
        if steady < capacity[1]:
            width = capacity[1] - capacity[0]
            at = cop[0] + (cop[1] - cop[0]) * ((steady - capacity[0]) / width if width > 1e-9 else 0.0)
        else:
            width = capacity[2] - capacity[1]
            at = cop[1] + (cop[2] - cop[1]) * ((steady - capacity[1]) / width if width > 1e-9 else 1.0)
        run = min(given / capacity[0], 1.0) if capacity[0] > 0.0 else 1.0
        power = steady / at * _cycling(run, DEGRADATION)
    rest = load - given
    sums[mode] += power / 1000.0
    if mode == 0:
        sums[2] += pan_W * run / 1000.0
        sums[3] += rest / 1000.0
        power += pan_W * run
    if rest > 1.0:
        sums[4 + mode] += 1.0
    sums[6] = max(sums[6], power)
    sums[7] = max(sums[7], power + (rest if mode == 0 else 0.0))
