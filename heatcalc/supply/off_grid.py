"""Away from the grid: does the generator start and carry the loads, and how long does the battery last."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.inputs.supply.supply_record import HEAT_PUMP, Battery, Generator
from heatcalc.physics.supply import generator as engine
from heatcalc.supply.cord import HourCheck
from heatcalc.wording import Q, Said, worded


@dataclass(frozen=True)
class GeneratorHour:
    """One hour on the generator, watts."""

    season: str
    share_left: float
    available_W: float
    available_start_W: float
    running_W: float
    starting_W: float
    holds: bool
    reason: str


@dataclass(frozen=True)
class GeneratorCheck:
    """The generator at the design cold and the largest cooling load, derated for altitude and heat."""

    rated_W: float
    surge_W: float
    allowed: bool
    hours: tuple[GeneratorHour, ...]
    passes: bool
    assumption: Said


@dataclass(frozen=True)
class BatteryLine:
    """Hours on one charge; None where there is no load, or no mean power was given."""

    usable_kWh: float
    cold_h: float | None
    hot_h: float | None
    mean_h: float | None
    inverter: str


def check_generator(
    chosen: Generator | None,
    hours: dict[str, HourCheck],
    unit_start: float,
    elevation_m: float,
    coldest_C: float,
    hottest_C: float,
    built_as: str,
) -> GeneratorCheck | None:
    """Running and starting sums against the derated generator, or None without one."""
    if chosen is None:
        return None
    air = {"cold": coldest_C, "hot": hottest_C}
    lines = tuple(_hour(chosen, hours[season], unit_start, elevation_m, air[season]) for season in ("cold", "hot"))
    allowed = built_as != "park model"
    words = worded(
        "loses {:.1%} per {} above {} and {:.1%} per {} above {} (makers' rules differ, all inputs); "
        "the heat pump starts at {:g} times its running watts",
        chosen.loss_per_altitude_step,
        Q(chosen.altitude_step, "length"),
        Q(chosen.start_altitude, "length"),
        chosen.loss_per_temperature_step,
        Q(chosen.temperature_step, "temperature difference"),
        Q(chosen.start_temperature, "temperature"),
        unit_start,
    )
    return GeneratorCheck(
        chosen.rated, chosen.surge or chosen.rated, allowed, lines, allowed and all(line.holds for line in lines), words
    )


def _hour(chosen: Generator, hour: HourCheck, unit_start: float, elevation_m: float, air_C: float) -> GeneratorHour:
    left = engine.derating(
        elevation_m,
        air_C,
        chosen.start_altitude,
        chosen.altitude_step,
        chosen.loss_per_altitude_step,
        chosen.start_temperature,
        chosen.temperature_step,
        chosen.loss_per_temperature_step,
    )
    pairs = [(x.watts, x.watts * unit_start if x.name == HEAT_PUMP else max(x.starting_W, x.watts)) for x in hour.loads]
    running, starting = engine.running_power([w for w, _ in pairs]), engine.starting_power(pairs)
    available, start = chosen.rated * left, (chosen.surge or chosen.rated) * left
    holds = running <= available and starting <= start
    reason = f"running {running:.0f} W of {available:.0f} W, starting {starting:.0f} W of {start:.0f} W"
    return GeneratorHour(hour.season, left, available, start, running, starting, holds, reason)


def battery_line(chosen: Battery | None, hours: dict[str, HourCheck], mean_W: float | None) -> BatteryLine | None:
    """Hours of the loads at the design cold and the largest cooling load, and of the mean power; None without a battery."""
    if chosen is None:
        return None
    watts = {season: sum(load.watts for load in hour.loads) for season, hour in hours.items()}
    lasts = {season: _hours(chosen, w) for season, w in (watts | {"mean": mean_W or 0.0}).items()}
    need = max(watts.values())
    words = "inverter rating not given"
    if chosen.inverter is not None:
        verb = "carries" if chosen.inverter >= need else "does NOT carry"
        words = f"inverter {chosen.inverter:.0f} W {verb} {need:.0f} W"
    return BatteryLine(chosen.capacity * chosen.usable / 3.6e6, lasts["cold"], lasts["hot"], lasts["mean"], words)


def _hours(chosen: Battery, load_W: float) -> float | None:
    if load_W <= 0:
        return None
    return engine.battery_hours(chosen.capacity, chosen.usable, chosen.efficiency, load_W)
