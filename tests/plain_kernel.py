"""The year's loop in numpy alone, all variants at once: the same results as `kernel_compiled`.

Equations: the exact steps of `network` and `indoor_humidity` (own).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.physics.air.moist_air import VAPORISATION


def walk_years(p: Any, filled: tuple[np.ndarray, ...], warm_up: int, threads: int = 1) -> None:
    """Walk every variant of the packed arrays `p`; sums, peaks and the series are filled in place (`kernel.Walk`)."""
    state, humidity, start, sums, peaks, when, series = filled
    steps = p.known.shape[1]
    inertia, degradation, slack = p.scalars[:, 2], p.scalars[:, 3], p.scalars[:, 4]
    for n in range(-warm_up, steps):
        h = n % steps
        if n == 0:
            start[:] = state
        way, hot, cold = p.ways[p.drive_of, h].T, p.heating[p.plant_of, h].T, p.cooling[p.plant_of, h].T
        q, backup, heat, end, mean = _air(p, state, p.known[p.drive_of, h], way, hot, cold)
        power, share, flow = _unit_power(np.abs(q), np.where(q > 0, hot[:9], cold[:9]), degradation)
        wet, removed = _moisture(humidity, inertia, p.step_s, way, np.where(q < 0, flow, 0.0), cold[9])
        if n < 0:
            continue
        extra = cold[10] + cold[11] * (1.0 - share) + np.where(q > 0, cold[12] * share, 0.0)
        latent = removed * VAPORISATION
        _count(sums[:, p.bins[h]], q, backup, latent, power, extra, heat, end, mean, wet, share, way, hot, cold, slack)
        now = np.stack([q + backup, -q, power + backup + extra, -mean, mean, wet], axis=-1)
        when[now > peaks] = h
        np.maximum(peaks, now, out=peaks)
        if len(series):
            series[:, h] = np.stack([end, mean, q, backup, power, extra, latent, wet, heat - q - backup], axis=-1)


def _air(
    p: Any, state: np.ndarray, known: np.ndarray, way: np.ndarray, hot: np.ndarray, cold: np.ndarray
) -> tuple[np.ndarray, ...]:
    """Unit, backup and total heat at the air, air at the end and on average; the modal state moves on."""
    end_plant, mean_plant = p.scalars[:, 0], p.scalars[:, 1]
    forced = np.matmul(known[:, None, :], p.forcing)[:, 0]
    end = (p.end_state * state).sum(1) + forced[:, -2]
    mean = (p.mean_state * state).sum(1) + forced[:, -1]
    carried, damped = way[0] * (way[1] - mean), 1.0 + mean_plant * way[0]
    free = end + end_plant * carried / damped
    cold_air, hot_air = free < way[2], free > way[3]
    target = np.where(cold_air, way[2], np.where(hot_air, way[3], end))
    need = (target - end) / end_plant * damped - carried
    q = np.where(cold_air, np.minimum(need, hot[2]), np.where(hot_air, -np.minimum(-need, cold[2]), 0.0))
    backup = np.where(cold_air, np.minimum(need - q, hot[9]), 0.0)
    heat = (q + backup + carried) / damped
    state *= p.decay
    state += forced[:, :-2] + p.plant * heat[:, None]
    return q, backup, heat, end + end_plant * heat, mean + mean_plant * heat


def _unit_power(q: np.ndarray, row: np.ndarray, degradation: np.ndarray) -> tuple[np.ndarray, ...]:
    """Electric watts, share of the step running, coil air flow of units giving q watts on average."""
    width = np.where(q[None] < row[1], row[1] - row[0], row[2] - row[1])[0]
    base = np.where(q < row[1], row[0], row[1])
    with np.errstate(invalid="ignore", divide="ignore"):
        x = np.clip(np.where(width > 0, (q - base) / width, 1.0), 0.0, 1.0)
        share = np.where(q <= 0, 0.0, np.where(q < row[0], q / row[0], 1.0))
    low = q < row[1]
    cop = np.where(low, row[3] + x * (row[4] - row[3]), row[4] + x * (row[5] - row[4]))
    flow = np.where(low, row[6] + x * (row[7] - row[6]), row[7] + x * (row[8] - row[7]))
    power = np.where(share < 1.0, row[0] / row[3] * share / (1.0 - degradation * (1.0 - share)), q / cop)
    return np.where(q > 0, power, 0.0), share, flow * share


def _moisture(
    humidity: np.ndarray, inertia: np.ndarray, step_s: float, way: np.ndarray, coil_flow: np.ndarray, coil: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Mean humidity ratio and water taken by the coil [kg/s]; `humidity` moves on."""
    used = inertia > 0
    mass = np.where(used, inertia, 1.0)
    wet_end, wet = _mixed(humidity, mass, step_s, way, coil_flow, coil)
    dry_end, dry = _mixed(humidity, mass, step_s, way, np.zeros_like(coil_flow), coil)
    takes = (coil_flow > 0) & (wet > coil)
    end, mean = np.where(takes, wet_end, dry_end), np.where(takes, wet, dry)
    humidity[:] = np.where(used, end, humidity)
    return np.where(used, mean, 0.0), np.where(used & takes, coil_flow * (wet - coil), 0.0)


def _mixed(
    start: np.ndarray, mass: np.ndarray, step_s: float, way: np.ndarray, through: np.ndarray, coil: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    rate = way[4] + through
    still = rate <= 0
    safe = np.where(still, 1.0, rate)
    level, x = (way[4] * way[5] + way[6] + through * coil) / safe, safe * step_s / mass
    fade, rise = np.exp(-x), way[6] * step_s / mass
    end = np.where(still, start + rise, level + (start - level) * fade)
    return end, np.where(still, start + 0.5 * rise, level + (start - level) * (1.0 - fade) / x)


def _count(
    out: np.ndarray,
    q: np.ndarray,
    backup: np.ndarray,
    latent: np.ndarray,
    power: np.ndarray,
    extra: np.ndarray,
    heat: np.ndarray,
    end: np.ndarray,
    mean: np.ndarray,
    wet: np.ndarray,
    share: np.ndarray,
    way: np.ndarray,
    hot: np.ndarray,
    cold: np.ndarray,
    slack: np.ndarray,
) -> None:
    """One step into the sums, in the order of `kernel.SUMS`."""
    warm, cool, cycles = q > 0, q < 0, (share > 0) & (share < 1)
    short, over = way[2] - end, end - way[3]
    late, hot_room = short > slack, over > slack
    out += np.stack(
        [
            np.maximum(q, 0.0),
            backup,
            np.maximum(-q, 0.0),
            latent,
            np.where(cool, 0.0, power),
            np.where(cool, power, 0.0),
            extra,
            heat - q - backup,
            mean,
            wet,
            warm,
            cool,
            cycles & warm,
            cycles & cool,
            warm & (q >= hot[2]),
            cool & (-q >= cold[2]),
            late,
            hot_room,
            np.where(late, short, 0.0),
            np.where(hot_room, over, 0.0),
            power + backup + extra,
            wet > way[7],
        ],
        axis=-1,
    )
