"""How humid the house gets: winter air and dry surfaces, and whether summer needs a dehumidifier."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.living import DAY_S, LivingDay
from heatcalc.model.outdoor_air import AirConditions, AirExchange, AirInputs, air_exchange
from heatcalc.physics.air import moist_air
from heatcalc.tables import rows

MOULD_RELATIVE = 0.8  # at the surface, month mean: ISO 13788, from memory
BUFFER = 10.0  # moisture held by wood, cloth and paper as a multiple of the air's: common practice, no source
REPEATED_DAYS = 7
CAUTION = (
    "Mould, rot and air quality depend on more than this balance; local codes, the makers' "
    "instructions and licensed practice decide."
)
FLAME_CAUTION = (
    "An unvented flame sets free water and combustion products and may be forbidden where "
    "people sleep; a working CO alarm and the local code come first."
)
CO2_NOTE = (
    "CO2 is a sanity figure for everybody home and well-mixed air; a closed loft is worse.  Above "
    "about 1150 ppm sleep was affected (study quoted second hand)."
)


@dataclass(frozen=True)
class InsideSurface:
    """An inside surface at the moment asked about."""

    name: str
    temperature_C: float


@dataclass(frozen=True, kw_only=True)
class SurfaceCheck:
    """One surface against the room: margin to the dew point, outdoor air that keeps it dry [m3/s]."""

    name: str
    temperature_C: float
    margin_K: float
    dry: bool
    dry_flow_m3_s: float
    mould_flow_m3_s: float


@dataclass(frozen=True, kw_only=True)
class WinterHumidity:
    """Steady day-mean humidity of the house in one outdoor condition."""

    relative: float
    dew_point_C: float
    humidity_ratio: float
    wetter_than_saturation: bool
    peak_relative: float
    low_relative: float
    high_relative: float
    generation_kg_s: float
    flow_m3_s: float
    surfaces: tuple[SurfaceCheck, ...]
    driest_flow_m3_s: float
    co2_day_ppm: float
    co2_night_ppm: float
    air: AirExchange
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DehumidifierNeed:
    """Water to remove [kg/s] to hold a relative humidity against what the unit removes anyway."""

    needed_kg_s: float
    unit_kg_s: float
    shortfall_kg_s: float
    relative_without: float
    target_relative: float
    sentence: str


def _dry_air_density(indoor_C: float, humidity_ratio: float, pressure_Pa: float) -> float:
    return 1 / moist_air.specific_volume(indoor_C, humidity_ratio, pressure_Pa)


def settled_humidity_ratio(outside: float, source_kg_s: float, flow_m3_s: float, indoor_C: float, pressure_Pa: float) -> float:
    """Humidity ratio at which a room settles [kg/kg]: water set free over the outdoor air that carries it off."""
    density = _dry_air_density(indoor_C, outside, pressure_Pa)
    return float(moist_air.steady_humidity_ratio(outside, source_kg_s, flow_m3_s, density))


def winter_humidity(
    inputs: AirInputs,
    conditions: AirConditions,
    living: LivingDay,
    surfaces: tuple[InsideSurface, ...] = (),
    removal_kg_s: float = 0.0,
) -> WinterHumidity:
    """Day-mean humidity from the household's water and the house's outdoor air, and its surfaces.

    `conditions.indoor_humidity_ratio` only enters the heat of the air; the humidity is what is asked for.
    The range comes from the published household totals, which disagree by a factor of nearly five.  Raises
    NoAnswer where no outdoor air moves at all.
    """
    air = air_exchange(inputs, conditions)
    if air.moisture_m3_s <= 0:
        raise NoAnswer("without outdoor air the indoor humidity has no steady value")
    source = float(living.moisture_kg_s.mean()) - removal_kg_s
    outside, inside_C, pressure = conditions.outdoor_humidity_ratio, conditions.indoor_C, air.pressure_Pa
    density = _dry_air_density(inside_C, outside, pressure)

    def relative(generation: float) -> float:
        ratio = settled_humidity_ratio(outside, generation, air.moisture_m3_s, inside_C, pressure)
        return float(moist_air.relative_humidity(inside_C, ratio, pressure))

    wet = relative(source)
    held = float(moist_air.humidity_ratio_from_relative(inside_C, min(wet, 1.0), pressure))
    dew = float(moist_air.dew_point(held, pressure))
    people = float(living.people_home.max())
    checks = tuple(_surface(s, dew, source, outside, density, pressure) for s in surfaces)
    low, high = (min(relative(x - removal_kg_s), 1.0) for x in household_range(people))
    peak = _peak(living, air, conditions, held, removal_kg_s)
    co2_day, co2_night = _carbon_dioxide(living, air)
    return WinterHumidity(
        relative=min(wet, 1.0),
        dew_point_C=dew,
        humidity_ratio=held,
        wetter_than_saturation=wet > 1.0,
        peak_relative=peak,
        low_relative=low,
        high_relative=high,
        generation_kg_s=source,
        flow_m3_s=air.moisture_m3_s,
        surfaces=checks,
        driest_flow_m3_s=max((c.dry_flow_m3_s for c in checks), default=0.0),
        co2_day_ppm=co2_day,
        co2_night_ppm=co2_night,
        air=air,
        notes=_notes(living, wet),
    )


def _peak(living: LivingDay, air: AirExchange, now: AirConditions, start: float, removal_kg_s: float) -> float:
    """Highest hour of a repeated day, room air and its materials as one buffer of `BUFFER` times the air."""
    density = _dry_air_density(now.indoor_C, now.outdoor_humidity_ratio, air.pressure_Pa)
    water = np.tile(living.moisture_kg_s - removal_kg_s, REPEATED_DAYS)
    hours = np.ones_like(water)
    buffer_kg = BUFFER * density * 3600 * air.total_m3_s / air.air_changes_per_h
    walked = moist_air.humidity_walk(
        start, now.outdoor_humidity_ratio * hours, water, density * air.moisture_m3_s * hours, buffer_kg
    )
    highest = float(walked[-24:].max())
    return min(float(moist_air.relative_humidity(now.indoor_C, highest, air.pressure_Pa)), 1.0)


def household_range(people: float) -> tuple[float, float]:
    """Published household totals [kg/s], low and high: 0.8 and 3.8 kg per person and day."""
    per_day = {r["name"]: float(r["kg"]) for r in rows("moisture_sources")}
    return people * per_day["household low"] / DAY_S, people * per_day["household high"] / DAY_S


def _surface(
    surface: InsideSurface, dew_C: float, source: float, outside: float, density: float, pressure: float
) -> SurfaceCheck:
    at = surface.temperature_C
    dry, mould = (
        float(moist_air.dry_surface_flow(source, outside, at, density, pressure, limit)) for limit in (1.0, MOULD_RELATIVE)
    )
    return SurfaceCheck(
        name=surface.name, temperature_C=at, margin_K=at - dew_C, dry=at > dew_C, dry_flow_m3_s=dry, mould_flow_m3_s=mould
    )


def _carbon_dioxide(living: LivingDay, air: AirExchange) -> tuple[float, float]:
    """Steady CO2 with everybody home, awake and asleep [ppm]; infinite without outdoor air."""
    if air.total_m3_s <= 0:
        return math.inf, math.inf
    each = {r["name"]: float(r["co2_L_s"]) for r in rows("occupant_heat")}
    people = float(living.people_home.max())
    awake = moist_air.carbon_dioxide(people, each["seated"], air.total_m3_s)
    return awake, moist_air.carbon_dioxide(people, each["asleep"], air.total_m3_s)


def _notes(living: LivingDay, wet: float) -> tuple[str, ...]:
    notes = [CAUTION, CO2_NOTE]
    if any(t.name in ("unvented heater", "water: propane flame") for t in living.terms):
        notes.append(FLAME_CAUTION)
    if wet > 1.0:
        notes.append("More water than the air can carry: it condenses on the coldest surfaces.")
    return tuple(notes)


def dehumidifier_need(
    air: AirExchange,
    indoor_C: float,
    outdoor_humidity_ratio: float,
    generation_kg_s: float,
    unit_removal_kg_s: float,
    target_relative: float = 0.55,
) -> DehumidifierNeed:
    """Water that must leave to hold `target_relative`, against what the cooling unit removes at this load.

    R = G + rho Q (W_out - W_target), the steady balance; the unit's part-load removal is given by the caller.
    """
    pressure = air.pressure_Pa
    target = float(moist_air.humidity_ratio_from_relative(indoor_C, target_relative, pressure))
    density = _dry_air_density(indoor_C, outdoor_humidity_ratio, pressure)
    needed = max(generation_kg_s + density * air.moisture_m3_s * (outdoor_humidity_ratio - target), 0.0)
    shortfall = max(needed - unit_removal_kg_s, 0.0)
    left = settled_humidity_ratio(
        outdoor_humidity_ratio, generation_kg_s - unit_removal_kg_s, air.moisture_m3_s, indoor_C, pressure
    )
    relative = min(float(moist_air.relative_humidity(indoor_C, left, pressure)), 1.0)
    return DehumidifierNeed(
        needed_kg_s=needed,
        unit_kg_s=unit_removal_kg_s,
        shortfall_kg_s=shortfall,
        relative_without=relative,
        target_relative=target_relative,
        sentence=_sentence(shortfall, relative, target_relative),
    )


def _sentence(shortfall: float, relative: float, target: float) -> str:
    if shortfall <= 0:
        return f"The unit removes enough water to hold {target:.0%} relative humidity."
    litres = shortfall * DAY_S
    return (
        f"The unit leaves the house at about {relative:.0%}; holding {target:.0%} takes a dehumidifier "
        f"of {litres:.1f} L/day ({litres / 0.4732:.0f} pints/day) at these conditions, and the unit must "
        "then remove that machine's heat as well."
    )
