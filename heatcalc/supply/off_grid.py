"""Away from the grid: does the generator start and carry the loads, what it burns, what a battery and the sun carry.  The sun on
a plane of modules hour by hour is pvlib's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.supply.supply_record import HEAT_PUMP, Battery, Generator, Solar
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.physics.sun.sun import SunPosition
from heatcalc.physics.supply import electrics as engine
from heatcalc.supply.cord import Load
from heatcalc.tables import rows

Running = dict[str, tuple[Load, ...]]  # season -> the loads that run together then
OWN_RULE = "as stated"
RULE_KEYS = (
    "start_altitude_m",
    "altitude_step_m",
    "loss_per_altitude_step",
    "start_temperature_C",
    "temperature_step_K",
    "loss_per_temperature_step",
)
PARK_TRAILER = (
    "Park trailer: trade press reports that ANSI A119.5 (2015 edition, 1-6) allows neither a generator nor a preparation for "
    "one; ask the authority having jurisdiction."
)


@dataclass(frozen=True, kw_only=True)
class GeneratorHour:
    """One hour on the generator, watts; `left_by_rule` is the share of its power left by every published rule."""

    season: str
    share_left: float
    left_by_rule: tuple[tuple[str, float], ...]
    available_W: float
    available_start_W: float
    running_W: float
    starting_W: float
    holds: bool
    reason: str


@dataclass(frozen=True, kw_only=True)
class GeneratorCheck:
    """The generator at the design cold and the largest cooling load, derated for altitude and heat.

    `gallons_a_day` of its `fuel` at the year's mean load, running all day; None where no year is known.
    """

    rated_W: float
    surge_W: float
    allowed: bool
    hours: tuple[GeneratorHour, ...]
    passes: bool
    assumption: str
    gallons_a_day: float | None
    fuel_source: str
    fuel: str = "gasoline"


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
    running: Running,
    elevation_m: float,
    coldest_C: float,
    hottest_C: float,
    built_as: str,
    mean_W: float | None = None,
) -> GeneratorCheck | None:
    """Running and starting sums against the derated generator, or None without one."""
    if chosen is None:
        return None
    air = {"cold": coldest_C, "hot": hottest_C}
    lines = tuple(generator_hour(chosen, season, running[season], elevation_m, air[season]) for season in ("cold", "hot"))
    allowed = built_as != "park model"
    rule = min(lines[0].left_by_rule, key=lambda pair: pair[1])[0]
    words = (
        f"rule {rule}, the most cautious of those published (makers differ; yours is in its manual); "
        f"the heat pump starts at {chosen.unit_start:g} times its running watts"
    )
    fuel = fuel_row(chosen.fuel)
    gallons = None if mean_W is None else fuel_a_day(chosen.rated, mean_W, chosen.fuel)
    passes = allowed and all(line.holds for line in lines)
    source = f"{fuel['source']} ({fuel['mark']})"
    return GeneratorCheck(
        rated_W=chosen.rated,
        surge_W=chosen.surge or chosen.rated,
        allowed=allowed,
        hours=lines,
        passes=passes,
        assumption=words,
        gallons_a_day=gallons,
        fuel_source=source,
        fuel=chosen.fuel,
    )


def fuel_row(fuel: str) -> dict[str, str]:
    """The line of a fuel in table generator_fuel."""
    return next(row for row in rows("generator_fuel") if row["fuel"] == fuel)


def fuel_a_day(rated_W: float, mean_W: float, fuel: str = "gasoline") -> float:
    """Fuel a day at a mean load [gal], running all day, by the published line of the load (table generator_fuel)."""
    row = fuel_row(fuel)
    return 24.0 * (float(row["idle_gal_h_per_kW"]) * rated_W + float(row["gal_per_kWh"]) * mean_W) / 1000.0


def left_by_rules(chosen: Generator, elevation_m: float, air_C: float) -> tuple[tuple[str, float], ...]:
    """Share of the power left by every published rule, or by the generator's own where the file gives one."""
    if chosen.start_altitude is not None:
        own = (chosen.start_altitude, chosen.altitude_step, chosen.loss_per_altitude_step)
        heat = (chosen.start_temperature, chosen.temperature_step, chosen.loss_per_temperature_step)
        return ((OWN_RULE, engine.derating(elevation_m, air_C, *own, *heat)),)
    return tuple(
        (row["rule"], engine.derating(elevation_m, air_C, *(float(row[key]) for key in RULE_KEYS)))
        for row in rows("generator_rules")
    )


def generator_hour(chosen: Generator, season: str, loads: tuple[Load, ...], elevation_m: float, air_C: float) -> GeneratorHour:
    """Running and starting watts of loads against the generator at a height and in an air."""
    rules = left_by_rules(chosen, elevation_m, air_C)
    left = min(share for _, share in rules)
    pairs = [(x.watts, x.watts * chosen.unit_start if x.name == HEAT_PUMP else max(x.starting_W, x.watts)) for x in loads]
    running, starting = engine.running_power([w for w, _ in pairs]), engine.starting_power(pairs)
    available, start = chosen.rated * left, (chosen.surge or chosen.rated) * left
    holds = running <= available and starting <= start
    reason = f"running {running:.0f} W of {available:.0f} W, starting {starting:.0f} W of {start:.0f} W"
    return GeneratorHour(
        season=season,
        share_left=left,
        left_by_rule=rules,
        available_W=available,
        available_start_W=start,
        running_W=running,
        starting_W=starting,
        holds=holds,
        reason=reason,
    )


def battery_line(chosen: Battery | None, running: Running, mean_W: float | None) -> BatteryLine | None:
    """Hours of the loads at the design cold and the largest cooling load, and of the mean power; None without a battery."""
    if chosen is None:
        return None
    watts = {season: sum(load.watts for load in loads) for season, loads in running.items()}
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


@dataclass(frozen=True, kw_only=True)
class Stored:
    """A battery, with or without sun, under the house's hourly load.

    Hours carried in a power cut that begins at midnight, from a full battery: the least and the median over the days of January
    and of July; share of the year's load carried without the grid, and days that fall short.
    """

    what: str  # which loads
    january_h: tuple[float, float]
    july_h: tuple[float, float]
    share_of_year: float
    days_short: int
    over_inverter_h: int  # hours whose mean load is above the inverter's limit


CUT_H = 240  # a cut is followed for ten days
FULL = 1e-6


def stored(chosen: Battery, load_W: np.ndarray, sun_W: np.ndarray, what: str) -> Stored:
    """The battery through a year of hourly load and sun (8,760) [W]; sun feeds the load first, then the battery."""
    most = chosen.capacity * chosen.usable / 3600.0  # Wh
    limit = chosen.inverter if chosen.inverter is not None else np.inf
    net = (sun_W - load_W / chosen.efficiency).tolist()
    carried = (_carried_h(net, most, start) for start in range(0, 8760, 24))
    by_day = np.array(list(carried))
    short = _walk(net, most)
    lacking = np.minimum(short * chosen.efficiency, load_W)
    over = load_W > limit
    lacking[over] = load_W[over]
    january_h, july_h = ((float(days.min()), float(np.median(days))) for days in (by_day[:31], by_day[181:212]))
    served = 1.0 - float(lacking.sum()) / max(float(load_W.sum()), FULL)
    days_short = int((lacking.reshape(365, 24).sum(axis=1) > 1.0).sum())
    return Stored(
        what=what,
        january_h=january_h,
        july_h=july_h,
        share_of_year=served,
        days_short=days_short,
        over_inverter_h=int(over.sum()),
    )


def _carried_h(net_Wh: list[float], most_Wh: float, start: int) -> float:
    """Hours until a full battery is empty."""
    left = most_Wh
    for k in range(CUT_H):
        flow = net_Wh[(start + k) % 8760]
        if left + flow < 0:
            return k + left / -flow
        left = min(left + flow, most_Wh)
    return float(CUT_H)


def _walk(net_Wh: list[float], most_Wh: float) -> np.ndarray:
    """Energy that is missing each hour, battery full at the start [Wh at the battery]."""
    left, short = most_Wh, np.zeros(len(net_Wh))
    for k, flow in enumerate(net_Wh):
        left += flow
        if left < 0:
            short[k], left = -left, 0.0
        left = min(left, most_Wh)
    return short


BEARINGS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
HEAT_COEFFICIENT = -0.004  # 1/K, crystalline silicon: common practice
WATTS_PER_M2 = 200.0  # a module's standard watts over its area: common practice, no source
INVERTER = 0.96


def array_power(solar: Solar, weather: Weather, position: SunPosition, albedo: float = 0.2) -> np.ndarray:
    """AC watts of the array in each hour (8,760), from the hour's sun on its plane, air and wind.

    Plane: pvlib's transposition by Hay and Davies; cells by Faiman; module, losses and inverter as pvlib's PVWatts (Dobos 2014).
    """
    from pvlib.irradiance import get_total_irradiance
    from pvlib.pvsystem import pvwatts_dc
    from pvlib.temperature import faiman

    plane = get_total_irradiance(
        solar.tilt,
        45.0 * BEARINGS.index(solar.faces),
        90.0 - position.altitude_deg,
        position.azimuth_deg,
        weather.dni,
        weather.ghi,
        weather.dhi,
        dni_extra=position.extraterrestrial,
        albedo=albedo,
        model="haydavies",
    )["poa_global"]
    falling = np.nan_to_num(np.maximum(np.asarray(plane), 0.0))
    cell_C = faiman(falling, weather.dry_bulb_C, weather.wind_m_s)
    direct = pvwatts_dc(falling, cell_C, solar.watts, HEAT_COEFFICIENT)
    return np.asarray(direct) * (1.0 - solar.losses) * INVERTER


def array_area_m2(solar: Solar) -> float:
    """Roof the modules cover [m2]."""
    return solar.watts / WATTS_PER_M2
