"""The year: one house or thousands, hour by hour, with the unit and the room's humidity in the loop.

Each step is `network`'s closed form: air without plant, the heat that reaches the set point, clipped to what the
unit (and the backup) can give that hour, the air again.  Around it, with nothing iterated:

- electricity: COP straight in Q between the unit's minimum, rated and maximum level; below the minimum the unit
  cycles, P = P_min `heat_pump.cycling_input`(Q/Q_min, Cd);
- humidity: one moisture node, M dw/dt = m_out (w_out - w) + gain - m_coil (w - w_coil), exact over the step; the
  coil takes nothing while the room is drier than its surface.

Sums by month are kept; memory does not grow with the hours unless the series is asked for.  Variants share
hourly arrays by being given the same `Drive` or `Plant` object.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.machine_code import machine_code
from heatcalc.physics.air.moist_air import VAPORISATION
from heatcalc.physics.year.kernel_pack import UNLIMITED_PLANT, Drive, Packed, Plant, pack
from heatcalc.physics.zone.network import UNLIMITED, Modal, step_inputs

BLOCK, NOTES = 192, 10  # steps walked together, and what is noted of each; as in `kernel_compiled`
SUMS = (
    "heat_kWh",
    "backup_kWh",
    "cool_kWh",
    "latent_kWh",
    "heat_power_kWh",
    "cool_power_kWh",
    "extra_power_kWh",
    "exchange_kWh",
    "air_K_h",
    "humidity_h",
    "heating_h",
    "cooling_h",
    "heat_cycling_h",
    "cool_cycling_h",
    "heat_full_h",
    "cool_full_h",
    "unmet_heat_h",
    "unmet_cool_h",
    "unmet_heat_K_h",
    "unmet_cool_K_h",
    "power_kWh",
    "humid_h",
)
"""Monthly sums: heat of the unit, of the backup, sensible and latent cooling, electricity for heating, for
cooling, for extras (standby, pan), heat of the varying air exchange, air temperature and humidity (times hours),
hours heating, cooling, cycling, at full output, unmet, degree-hours unmet, all electricity with the backup, hours
above the humidity limit."""
PEAKS = ("heat_W", "cool_W", "power_W", "coldest_C", "warmest_C", "humidity_ratio")
SERIES = (
    "air_end_C",
    "air_mean_C",
    "unit_W",
    "backup_W",
    "unit_power_W",
    "extra_power_W",
    "latent_W",
    "humidity_ratio",
    "exchange_W",
)


Walk = Callable[[Packed, tuple[np.ndarray, ...], int, int], None]
"""Walks every variant: packed arrays, what it fills in place, warm-up steps, threads."""


@dataclass(frozen=True, kw_only=True)
class Years:
    """Sums, peaks and, if asked, series; with a leading axis of variants when many were walked."""

    sums: np.ndarray
    peaks: np.ndarray
    peak_steps: np.ndarray
    start_state: np.ndarray
    end_state: np.ndarray
    series: np.ndarray | None

    def monthly(self, name: str) -> np.ndarray:
        """One of `SUMS` by month."""
        return self.sums[..., SUMS.index(name)]

    def annual(self, name: str) -> np.ndarray:
        """One of `SUMS` over the year."""
        return self.monthly(name).sum(axis=-1)

    def peak(self, name: str) -> np.ndarray:
        """One of `PEAKS` (means of a step)."""
        return self.peaks[..., PEAKS.index(name)]

    def peak_step(self, name: str) -> np.ndarray:
        """The step (from 0) in which that peak falls."""
        return self.peak_steps[..., PEAKS.index(name)]

    def hourly(self, name: str) -> np.ndarray:
        """One of `SERIES`, step by step; only if the series was asked for."""
        assert self.series is not None, "ask for the series"
        return self.series[..., SERIES.index(name)]


def year(
    modes: Modal,
    drive: Drive,
    plant: Plant = UNLIMITED_PLANT,
    *,
    moisture_kg: float = 0.0,
    warm_up: int = 336,
    slack_K: float = 0.1,
    start_C: float = 20.0,
    series: bool = False,
    walk: Walk | None = None,
) -> Years:
    """One year of one house; see `years`."""
    many = years(
        [modes],
        [drive],
        [plant],
        moisture_kg=[moisture_kg],
        warm_up=warm_up,
        slack_K=slack_K,
        start_C=start_C,
        series=series,
        walk=walk,
        workers=1,
    )
    return Years(
        sums=many.sums[0],
        peaks=many.peaks[0],
        peak_steps=many.peak_steps[0],
        start_state=many.start_state[0],
        end_state=many.end_state[0],
        series=None if many.series is None else many.series[0],
    )


def years(
    modes: Sequence[Modal],
    drives: Sequence[Drive],
    plants: Sequence[Plant],
    *,
    moisture_kg: Sequence[float] = (),
    warm_up: int = 336,
    slack_K: float = 0.1,
    start_C: float = 20.0,
    series: bool = False,
    walk: Walk | None = None,
    workers: int = 2,
) -> Years:
    """One year of each variant (modes, drive, plant of the same place in the three sequences).

    moisture_kg : air mass that moves with the room's humidity, buffering included [kg]; 0 leaves humidity out
    warm_up : steps at the end of the year that are walked first, uncounted, for the start
    start_C : every node before those steps [degC]
    slack_K : how far below (above) the set point the air may end a step before it counts as unmet
    series : keep every step (memory then grows with the steps)
    walk : how the packed arrays are walked, the compiled loop unless said
    workers : threads of the compiled loop
    """
    packed = pack(modes, drives, plants, moisture_kg or [0.0] * len(modes), slack_K, start_C)
    count, steps = len(modes), packed.known.shape[1]
    sums = np.zeros((count, int(packed.bins.max()) + 1, len(SUMS)))
    peaks, when = np.full((count, len(PEAKS)), -UNLIMITED), np.zeros((count, len(PEAKS)), np.int64)
    line, start = np.zeros((count if series else 0, steps, len(SERIES))), np.zeros_like(packed.state)
    filled = (packed.state, packed.humidity, start, sums, peaks, when, line)
    (walk or _in_threads)(packed, filled, min(warm_up, steps), max(1, min(workers, count)))
    hours = packed.step_s / 3600.0
    sums *= np.where([name.endswith("kWh") for name in SUMS], hours / 1000.0, hours)
    peaks[:, PEAKS.index("coldest_C")] *= -1.0
    return Years(
        sums=sums, peaks=peaks, peak_steps=when, start_state=start, end_state=packed.state, series=line if series else None
    )


def annual_terms(modes: Modal, drive: Drive, result: Years) -> dict[str, float]:
    """Where one house's year of heat went, by cause [kWh]; they sum to what the plant gave.

    From the exact integral of the network over the year, C (T_end - T_start) = -G sum(T) + B sum(u) + e sum(q):
    losses positive, gains negative, "stored" the difference between the two ends.
    """
    net, kWh = modes.network, modes.step_s / 3.6e6
    known = step_inputs(modes, drive.inputs).sum(axis=0)[: len(net.input_names)]
    change = modes.from_modal @ (result.end_state - result.start_state)[: len(modes.decay)]
    stored = net.capacity * change / modes.step_s
    sourced = net.input_matrix @ known - stored
    given = result.annual("heat_kWh") + result.annual("backup_kWh") - result.annual("cool_kWh")
    sourced[net.air] += (given + result.annual("exchange_kWh")) / kWh
    temperatures = np.linalg.solve(net.conductance, sourced)
    losses = (net.term_nodes @ temperatures + net.term_inputs @ known) * kWh
    terms = dict(zip(net.term_names, losses.tolist(), strict=True))
    terms["varying air exchange"] = -float(result.annual("exchange_kWh"))
    terms["stored"] = float(stored.sum()) * kWh
    return terms


def _in_threads(packed: Packed, filled: tuple[np.ndarray, ...], warm_up: int, workers: int) -> None:
    """The loop as machine code, variants shared out among threads; every thread has its own scratch."""
    from concurrent.futures import ThreadPoolExecutor

    run = machine_code("heatcalc.physics.year.kernel_compiled", "_on_addresses")
    p, (*whole, when, line) = packed, filled
    steps = np.zeros(when.shape)
    known = [p.decay, p.forcing, p.plant, p.end_state, p.mean_state, p.scalars, p.known, p.ways, p.heating, p.cooling]
    sizes = (
        *p.decay.shape,
        p.known.shape[2],
        len(p.known),
        len(p.heating),
        p.known.shape[1],
        whole[3].shape[1],
        len(line),
        warm_up,
    )
    others, places = np.array([p.step_s, VAPORISATION]), np.concatenate([p.bins, p.drive_of, p.plant_of])

    def part(first: int, last: int) -> None:
        scratch = [np.empty((BLOCK, p.forcing.shape[2])), np.empty((NOTES, BLOCK))]
        arrays = [np.ascontiguousarray(a) for a in (*known, *whole, steps, line, *scratch, others)]
        addresses = np.array([a.ctypes.data for a in arrays], np.uintp)
        numbers = np.array([*sizes, first, last, *places], np.int64)
        run(addresses.ctypes.data, numbers.ctypes.data)

    cuts = np.linspace(0, len(p.drive_of), workers + 1).astype(int).tolist()
    if workers == 1:
        part(0, cuts[1])
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(part, cuts, cuts[1:]))
    when[:] = steps
