"""The year's loop, compiled with numba; the tests hold it to the same in plain numpy.

Imported only to compile it: `machine_code` keeps the result and loads it without numba.
Columns of the packed hourly arrays are those of `kernel_pack`.

Equations: the exact steps of `network` and `indoor_humidity` (own).
"""

from __future__ import annotations

import math

from numba import carray, cfunc, njit, types

from heatcalc.physics.unit.heat_pump import cycling_input

BLOCK = 192
NOTES = 10
"""Air at the end, on average, unit, backup, power, share, coil flow then water, exchange, humidity, extras."""
quick = njit(nogil=True, fastmath={"reassoc", "contract", "nsz", "arcp"}, error_model="numpy")
cycling = quick(cycling_input)


@quick
def walk_years(
    decay,
    forcing,
    plant,
    end_state,
    mean_state,
    scalars,
    known,
    ways,
    heating,
    cooling,
    bins,
    drive_of,
    plant_of,
    warm_up,
    step_s,
    latent_heat,
    state,
    humidity,
    start,
    sums,
    peaks,
    when,
    series,
    room,
    notes,
    first,
    last,
):
    """Walk variants `first` to `last`; sums, peaks and (if it has room) the series are filled in place [units of `kernel.SUMS`].

    Blocks of steps outside (never across a month), variants inside: what the weather brings stays in the cache,
    and what it does to every mode is one small matrix product.  `room` and `notes` are scratch.
    """
    steps, n = known.shape[1], -warm_up
    while n < steps:
        a, after = n % steps, min(n + BLOCK, steps if n >= 0 else 0)
        b = a + 1
        while b < a + after - n and bins[b] == bins[a]:
            b += 1
        if n == 0:
            for v in range(first, last):
                for k in range(state.shape[1]):
                    start[v, k] = state[v, k]
        for v in range(first, last):
            d, p = drive_of[v], plant_of[v]
            forced, way, hot, cold = room[: b - a], ways[d, a:b], heating[p, a:b], cooling[p, a:b]
            force(known[d, a:b], forcing[v], forced)
            walk_air(forced, decay[v], plant[v], end_state[v], mean_state[v], scalars[v], way, hot, cold, state[v], notes)
            run_unit(b - a, hot, cold, scalars[v], notes)
            humidity[v] = walk_moisture(b - a, way, cold, scalars[v, 2], step_s, humidity[v], notes)
            if n >= 0:
                count(b - a, notes, way, hot, cold, scalars[v, 4], latent_heat, sums[v, bins[a]])
                note_peaks(b - a, a, notes, peaks[v], when[v])
                if series.shape[0] > 0:
                    keep(b - a, notes, latent_heat, series[v, a:b])
        n += b - a


@quick
def force(known, forcing, out):
    """What the inputs of each step do to every mode and the air [W, K]: out = known @ forcing."""
    for h in range(len(known)):
        for k in range(forcing.shape[1]):
            out[h, k] = 0.0
        for i in range(forcing.shape[0]):
            x = known[h, i]
            for k in range(forcing.shape[1]):
                out[h, k] += x * forcing[i, k]


@quick
def walk_air(forced, fade, pull, to_end, to_mean, scalars, ways, heating, cooling, z, notes):
    """The closed forms of `network`, step by step: air at the end and on average, unit, backup, exchange [degC, W]."""
    end_plant, mean_plant, modes, pending = scalars[0], scalars[1], len(z), 0.0
    per_end = 1.0 / end_plant
    for h in range(len(forced)):
        force, way = forced[h], ways[h]
        end, mean = force[modes], force[modes + 1]
        for k in range(modes):
            here = z[k] + pull[k] * pending
            end += to_end[k] * here
            mean += to_mean[k] * here
            z[k] = fade[k] * here + force[k]
        damped = 1.0 + mean_plant * way[0]
        q, backup, pending = reach(
            end, mean, end_plant, per_end, damped, 1.0 / damped, way, heating[h, 2], heating[h, 9], cooling[h, 2]
        )
        notes[0, h] = end + end_plant * pending
        notes[1, h] = mean + mean_plant * pending
        notes[2, h] = q
        notes[3, h] = backup
        notes[7, h] = pending - q - backup
    for k in range(modes):
        z[k] += pull[k] * pending


@quick
def run_unit(steps, heating, cooling, scalars, notes):
    """Electricity of the unit, share of each step it runs, coil air flow, in place of the later notes."""
    for h in range(steps):
        q = notes[2, h]
        power, share, flow = unit_power(abs(q), heating[h] if q > 0.0 else cooling[h], scalars[3])
        notes[4, h] = power
        notes[5, h] = share
        notes[6, h] = flow if q < 0.0 else 0.0


@quick
def walk_moisture(steps, ways, cooling, inertia, step_s, w, notes):
    """Mean humidity ratio and water on the coil of each step; without moisture both are nil."""
    for h in range(steps):
        wet, dry_out = 0.0, 0.0
        if inertia > 0.0:
            w, wet, dry_out = moisture(w, inertia, step_s, ways[h, 4], ways[h, 5], ways[h, 6], notes[6, h], cooling[h, 9])
        notes[6, h] = dry_out
        notes[8, h] = wet
    return w


@quick
def reach(end, mean, end_plant, per_end, damped, shrink, way, heat_max, backup_max, cool_max):
    """Unit, backup and all heat at the air that bring it to its set point, within limits (`network.plant_heat`) [W]."""
    carried = way[0] * (way[1] - mean)
    free = end + end_plant * carried * shrink
    q, backup = 0.0, 0.0
    if free < way[2]:
        need = (way[2] - end) * per_end * damped - carried
        q = min(need, heat_max)
        backup = min(need - q, backup_max)
    elif free > way[3]:
        q = -min(carried - (way[3] - end) * per_end * damped, cool_max)
    return q, backup, (q + backup + carried) * shrink


@quick
def unit_power(q, row, degradation):
    """Electric watts, share of the step running, coil air flow [kg/s] of a unit giving q watts on average."""
    if q <= 0.0:
        return 0.0, 0.0, 0.0
    if q < row[0]:
        share = q / row[0]
        return row[0] / row[3] * cycling(share, degradation), share, row[6] * share
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
def count(steps, notes, ways, heating, cooling, slack, latent_heat, out):
    """A block of steps of one month into the sums, in the order of `kernel.SUMS` [units of `kernel.SUMS`].

    Sums are kept in scalars, not in `out`: the compiler then holds them in registers.
    """
    heat, cold, heat_W, cold_W, extras = 0.0, 0.0, 0.0, 0.0, 0.0
    warm_h, cool_h, warm_on_off, cool_on_off = 0.0, 0.0, 0.0, 0.0
    warm_full, cool_full, late_h, hot_h, late_K, hot_K = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for h in range(steps):
        q, power, share = notes[2, h], notes[4, h], notes[5, h]
        warm, cool = 1.0 if q > 0.0 else 0.0, 1.0 if q < 0.0 else 0.0
        cycles = 1.0 if 0.0 < share < 1.0 else 0.0
        short, over = ways[h, 2] - notes[0, h], notes[0, h] - ways[h, 3]
        extra = cooling[h, 10] + cooling[h, 11] * (1.0 - share) + cooling[h, 12] * share * warm
        notes[9, h] = extra
        heat += q * warm
        cold -= q * cool
        heat_W += power * (1.0 - cool)
        cold_W += power * cool
        extras += extra
        warm_h += warm
        cool_h += cool
        warm_on_off += cycles * warm
        cool_on_off += cycles * cool
        warm_full += warm if q >= heating[h, 2] else 0.0
        cool_full += cool if -q >= cooling[h, 2] else 0.0
        late_h += 1.0 if short > slack else 0.0
        hot_h += 1.0 if over > slack else 0.0
        late_K += short if short > slack else 0.0
        hot_K += over if over > slack else 0.0
    out[0] += heat
    out[2] += cold
    out[4] += heat_W
    out[5] += cold_W
    out[6] += extras
    out[10] += warm_h
    out[11] += cool_h
    out[12] += warm_on_off
    out[13] += cool_on_off
    out[14] += warm_full
    out[15] += cool_full
    out[16] += late_h
    out[17] += hot_h
    out[18] += late_K
    out[19] += hot_K
    out[20] += heat_W + cold_W + extras
    count_room(steps, notes, ways, latent_heat, out)


@quick
def count_room(steps, notes, ways, latent_heat, out):
    """The same for backup heat, water and the room's air [units of `kernel.SUMS`]."""
    aid, wrung, air, mean, moist, damp_h = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for h in range(steps):
        aid += notes[3, h]
        wrung += notes[6, h]
        air += notes[7, h]
        mean += notes[1, h]
        moist += notes[8, h]
        damp_h += 1.0 if notes[8, h] > ways[h, 7] else 0.0
    out[1] += aid
    out[3] += wrung * latent_heat
    out[7] += air
    out[8] += mean
    out[9] += moist
    out[20] += aid
    out[21] += damp_h


@quick
def note_peaks(steps, first, notes, peaks, when):
    """The extremes of `kernel.PEAKS` and the steps they fall in [units of `kernel.PEAKS`].

    The block's own extremes come first, in one plain loop; the step is looked for only where one is a new record.
    """
    heat = cold = total = low = high = damp = -math.inf
    for h in range(steps):
        heat, cold = max(heat, notes[2, h] + notes[3, h]), max(cold, -notes[2, h])
        total = max(total, notes[4, h] + notes[3, h] + notes[9, h])
        low, high, damp = max(low, -notes[1, h]), max(high, notes[1, h]), max(damp, notes[8, h])
    note_peak(0, heat, steps, first, notes, peaks, when)
    note_peak(1, cold, steps, first, notes, peaks, when)
    note_peak(2, total, steps, first, notes, peaks, when)
    note_peak(3, low, steps, first, notes, peaks, when)
    note_peak(4, high, steps, first, notes, peaks, when)
    note_peak(5, damp, steps, first, notes, peaks, when)


@quick
def note_peak(k, found, steps, first, notes, peaks, when):
    """One extreme of a block and its step, where it is a new record [units of `kernel.PEAKS`]."""
    if found > peaks[k]:
        peaks[k], h = found, 0
        reached = found - 1e-12 * abs(found)  # a sum of three may round otherwise here than above
        while h < steps - 1 and peak_value(k, notes, h) < reached:
            h += 1
        when[k] = first + h


@quick
def peak_value(k, notes, h):
    """What the k-th of `kernel.PEAKS` watches in one step [units of `kernel.PEAKS`]."""
    if k == 0:
        return notes[2, h] + notes[3, h]
    if k == 2:
        return notes[4, h] + notes[3, h] + notes[9, h]
    return -notes[2, h] if k == 1 else -notes[1, h] if k == 3 else notes[1, h] if k == 4 else notes[8, h]


@quick
def keep(steps, notes, latent_heat, lines):
    """Every step into the series, in the order of `kernel.SERIES` [units of `kernel.SERIES`]."""
    for h in range(steps):
        for j in range(5):
            lines[h, j] = notes[j, h]
        lines[h, 5], lines[h, 6] = notes[9, h], notes[6, h] * latent_heat
        lines[h, 7], lines[h, 8] = notes[8, h], notes[7, h]


FLOATS, WHOLE = types.CPointer(types.CPointer(types.float64)), types.CPointer(types.int64)


@cfunc(types.void(FLOATS, WHOLE))
def _on_addresses(arrays, n):
    """`walk_years` on bare addresses, in the order of `kernel._in_threads`; the layout is the project's own [units as there]."""
    v, m, i, d, p, s, b, r, warm_up, first, last = n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7], n[8], n[9], n[10]
    places, others = carray(n, (11 + s + 2 * v,)), carray(arrays[19], (2,))
    walk_years(
        carray(arrays[0], (v, m)),
        carray(arrays[1], (v, i, m + 2)),
        carray(arrays[2], (v, m)),
        carray(arrays[3], (v, m)),
        carray(arrays[4], (v, m)),
        carray(arrays[5], (v, 5)),
        carray(arrays[6], (d, s, i)),
        carray(arrays[7], (d, s, 8)),
        carray(arrays[8], (p, s, 10)),
        carray(arrays[9], (p, s, 13)),
        places[11 : 11 + s],
        places[11 + s : 11 + s + v],
        places[11 + s + v :],
        warm_up,
        others[0],
        others[1],
        carray(arrays[10], (v, m)),
        carray(arrays[11], (v,)),
        carray(arrays[12], (v, m)),
        carray(arrays[13], (v, b, 22)),
        carray(arrays[14], (v, 6)),
        carray(arrays[15], (v, 6)),
        carray(arrays[16], (r, s, 9)),
        carray(arrays[17], (BLOCK, m + 2)),
        carray(arrays[18], (NOTES, BLOCK)),
        first,
        last,
    )
