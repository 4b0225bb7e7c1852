"""Generator and battery: what is left at altitude and in heat, what the loads ask for, hours on a battery."""

from __future__ import annotations

from collections.abc import Sequence


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
