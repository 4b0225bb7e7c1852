"""The year's loop, compiled with numba and cached on disk; `kernel_plain` is the same in numpy.

Imported only when a year is walked.  Columns of the packed hourly arrays are those of `kernel_pack`.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

BLOCK = 128
quick = njit(cache=True, nogil=True, fastmath={"reassoc", "contract", "nsz", "arcp"}, error_model="numpy")


@quick
def walk_years(decay, forcing, plant, end_state, mean_state, scalars, known, ways, heating, cooling, bins,
               drive_of, plant_of, warm_up, step_s, latent_heat, state, humidity, start, sums, peaks, when,
               series, first, last):
    """Walk variants `first` to `last`; sums, peaks and (if it has room) the series are filled in place.

    Blocks of steps outside, variants inside: what the weather brings stays in the cache, and what it does to
    every mode is one small matrix product.
    """
    steps, room = known.shape[1], np.empty((BLOCK, forcing.shape[2]))
    n = -warm_up
    while n < steps:
        after = min(n + BLOCK, steps if n >= 0 else 0)
        a, b = (n, after) if n >= 0 else (n + steps, after + steps)
        if n == 0:
            start[first:last] = state[first:last]
        for v in range(first, last):
            d, p = drive_of[v], plant_of[v]
            forced = room[: b - a]
            np.dot(known[d, a:b], forcing[v], forced)
            line = series[v, a:b] if series.shape[0] > 0 else series[:0, 0]
            humidity[v] = walk_block(
                a, n >= 0, forced, decay[v], plant[v], end_state[v], mean_state[v], scalars[v], ways[d, a:b],
                heating[p, a:b], cooling[p, a:b], bins[a:b], step_s, latent_heat, state[v], humidity[v], sums[v],
                peaks[v], when[v], line)
        n = after


@quick
def walk_block(first, counted, forced, fade, pull, to_end, to_mean, scalars, ways, heating, cooling, bins, step_s,
               latent_heat, z, w, sums, peaks, when, series):
    """Steps of one variant: the closed forms of `network`, the unit, the moisture, the sums."""
    end_plant, mean_plant, inertia, degradation, slack = scalars
    modes, pending, keep = len(z), 0.0, series.shape[0] > 0
    for h in range(len(forced)):
        force, way, hot, cold = forced[h], ways[h], heating[h], cooling[h]
        end, mean = force[modes], force[modes + 1]
        for k in range(modes):
            here = z[k] + pull[k] * pending
            end += to_end[k] * here
            mean += to_mean[k] * here
            z[k] = fade[k] * here + force[k]
        q, backup, pending = reach(end, mean, end_plant, mean_plant, way, hot[2], hot[9], cold[2])
        end += end_plant * pending
        mean += mean_plant * pending
        power, share, flow = unit_power(abs(q), hot if q > 0.0 else cold, degradation)
        wet, latent = 0.0, 0.0
        if inertia > 0.0:
            w, wet, dry_out = moisture(w, inertia, step_s, way[4], way[5], way[6], flow if q < 0.0 else 0.0, cold[9])
            latent = dry_out * latent_heat
        if counted:
            extra = cold[10] + cold[11] * (1.0 - share) + (cold[12] * share if q > 0.0 else 0.0)
            carried = pending - q - backup
            count(sums[bins[h]], q, backup, latent, power, extra, carried, end, mean, wet, share, way,
                  hot[2], cold[2], slack)
            note(peaks, when, first + h, q, backup, power + backup + extra, mean, wet)
            if keep:
                line = series[h]
                line[0], line[1], line[2], line[3], line[4] = end, mean, q, backup, power
                line[5], line[6], line[7], line[8] = extra, latent, wet, carried
    for k in range(modes):
        z[k] += pull[k] * pending
    return w


@quick
def reach(end, mean, end_plant, mean_plant, way, heat_max, backup_max, cool_max):
    """Unit, backup and all heat at the air that bring it to its set point, within limits (`network.plant_heat`)."""
    carried = way[0] * (way[1] - mean)
    damped = 1.0 + mean_plant * way[0]
    free = end + end_plant * carried / damped
    q, backup = 0.0, 0.0
    if free < way[2]:
        need = (way[2] - end) / end_plant * damped - carried
        q = min(need, heat_max)
        backup = min(need - q, backup_max)
    elif free > way[3]:
        q = -min(carried - (way[3] - end) / end_plant * damped, cool_max)
    return q, backup, (q + backup + carried) / damped


@quick
def unit_power(q, row, degradation):
    """Electric watts, share of the step running, coil air flow [kg/s] of a unit giving q watts on average."""
    if q <= 0.0:
        return 0.0, 0.0, 0.0
    if q < row[0]:
        share = q / row[0]
        return row[0] / row[3] * share / (1.0 - degradation * (1.0 - share)), share, row[6] * share
    low = 0 if q < row[1] else 1
    x = min((q - row[low]) / max(row[low + 1] - row[low], 1e-9), 1.0)
    cop = row[3 + low] + x * (row[4 + low] - row[3 + low])
    return q / cop, 1.0, row[6 + low] + x * (row[7 + low] - row[6 + low])


@quick
def moisture(start, inertia, step_s, flow, outdoor, gain, coil_flow, coil):
    """Humidity ratio at the end and on average, and water taken by the coil [kg/s]; exact over the step."""
    for wet in range(2):
        through = coil_flow if wet == 0 else 0.0
        rate = flow + through
        if rate <= 0.0:
            rise = gain * step_s / inertia
            return start + rise, start + 0.5 * rise, 0.0
        settled = (flow * outdoor + gain + through * coil) / rate
        x = rate * step_s / inertia
        fade = math.exp(-x)
        mean = settled + (start - settled) * (1.0 - fade) / x
        if through == 0.0 or mean > coil:
            return settled + (start - settled) * fade, mean, through * (mean - coil)
    return start, start, 0.0


@quick
def count(out, q, backup, latent, power, extra, carried, end, mean, wet, share, way, heat_max, cool_max, slack):
    """One step into the sums, in the order of `kernel.SUMS`."""
    cycles = 1.0 if 0.0 < share < 1.0 else 0.0
    if q > 0.0:
        out[0] += q
        out[4] += power
        out[10] += 1.0
        out[12] += cycles
        out[14] += 1.0 if q >= heat_max else 0.0
    elif q < 0.0:
        out[2] -= q
        out[5] += power
        out[11] += 1.0
        out[13] += cycles
        out[15] += 1.0 if -q >= cool_max else 0.0
    out[1] += backup
    out[3] += latent
    out[6] += extra
    out[7] += carried
    out[8] += mean
    out[9] += wet
    out[20] += power + backup + extra
    if way[2] - end > slack:
        out[16] += 1.0
        out[18] += way[2] - end
    if end - way[3] > slack:
        out[17] += 1.0
        out[19] += end - way[3]
    if wet > way[7]:
        out[21] += 1.0


@quick
def note(peaks, when, h, q, backup, power, mean, wet):
    """The extremes of `kernel.PEAKS` and the steps they fall in."""
    if q + backup > peaks[0]:
        peaks[0], when[0] = q + backup, h
    if -q > peaks[1]:
        peaks[1], when[1] = -q, h
    if power > peaks[2]:
        peaks[2], when[2] = power, h
    if -mean > peaks[3]:
        peaks[3], when[3] = -mean, h
    if mean > peaks[4]:
        peaks[4], when[4] = mean, h
    if wet > peaks[5]:
        peaks[5], when[5] = wet, h
