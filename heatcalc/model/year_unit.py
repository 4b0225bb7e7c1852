"""The unit as the year's loop takes it: brought to room and site, tabulated for every hour, with all it draws besides.

Frost stands in the curves once; the hour's humidity scales what is there by rule: the 35 F dip, defrosting in the cold.  Cooling
gives sensible heat; the coil takes moisture as a flow of room air brought to the humidity of its surface, so that the printed
sensible share holds in the design room.  The indoor fan is part of the unit's input and stops with it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from heatcalc.inputs.house.house_record import SetPoints
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.model.year_drivers import WeatherYear
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import at_site, capacity_factor, sensible_factor
from heatcalc.physics.unit.heat_pump import Curves, level_values
from heatcalc.physics.unit.outdoor_unit import humidity_factor, pan_W, resting_W
from heatcalc.physics.year.kernel_pack import Levels, Plant
from heatcalc.physics.zone.network import UNLIMITED

GRID_K = 0.05
GRID_C = GRID_K * np.arange(-1400, 1301)  # -70 to 65 C, the nearest row is taken
DRY = 0.999  # a sensible share above this is a dry coil
HEIGHT_STEP_m = 250.0  # the room's wet bulb at one relative humidity moves 0.04 K in half of it


@dataclass(frozen=True, eq=False, kw_only=True)
class Tabulated:
    """A unit in its room, not yet at its altitude: every `GRID_C` at the least, middle and most level, (grid, 3)."""

    unit: Unit
    heating_capacity_W: np.ndarray
    heating_power_W: np.ndarray
    cooling_capacity_W: np.ndarray
    cooling_power_W: np.ndarray
    sensible_share: np.ndarray


@dataclass(frozen=True)
class RoomUnits:
    """Units corrected for their room, kept for the next house or place that asks for the same; each mode by its set point."""

    kept: dict[tuple, tuple[Unit, tuple[np.ndarray, ...]]] = field(default_factory=dict)
    """With each table its unit, so that no other can take its place in memory, by which it is known."""

    def get(self, unit: Unit, points: SetPoints, elevation_m: float) -> Tabulated:
        """The unit in this room."""
        heating, heating_power = self.heating(unit, points.heating)
        cooling, cooling_power, share = self.cooling(unit, points.cooling, points.cooling_humidity, elevation_m)
        return Tabulated(
            unit=unit,
            heating_capacity_W=heating,
            heating_power_W=heating_power,
            cooling_capacity_W=cooling,
            cooling_power_W=cooling_power,
            sensible_share=share,
        )

    def heating(self, unit: Unit, room_C: float) -> tuple[np.ndarray, ...]:
        """Capacity and power while heating a room."""
        key = (id(unit), room_C)
        if key not in self.kept:
            self.kept[key] = unit, _table(at_site(unit, 0.0, room_C).heating)
        return self.kept[key][1]

    def cooling(self, unit: Unit, room_C: float, humidity: float, elevation_m: float) -> tuple[np.ndarray, ...]:
        """Capacity, power and sensible share while cooling a room of a relative humidity."""
        height = HEIGHT_STEP_m * round(elevation_m / HEIGHT_STEP_m)
        key = (id(unit), room_C, humidity, height)
        if key not in self.kept:
            self.kept[key] = unit, _cooled_room(unit, room_C, humidity, height)
        return self.kept[key][1]


def _cooled_room(unit: Unit, room_C: float, humidity: float, height_m: float) -> tuple[np.ndarray, ...]:
    pressure = moist_air.pressure_at_altitude(height_m)
    ratio = moist_air.humidity_ratio_from_relative(room_C, humidity, pressure)
    wet = float(moist_air.wet_bulb(room_C, ratio, pressure))
    curves = at_site(unit, 0.0, unit.heating.indoor_C, wet, room_C).cooling
    shares = [np.interp(GRID_C, curves.outdoor_C, curves.sensible_heat_ratio[curves.levels[k]]) for k in _three(curves)]
    return (*_table(curves), np.stack(shares, axis=-1))


def _table(curves: Curves) -> tuple[np.ndarray, ...]:
    """Capacity and power on `GRID_C` at three levels."""
    capacity_W, power_W = (x[_three(curves)].T for x in level_values(curves, GRID_C))
    return capacity_W, power_W


def _three(curves: Curves) -> list[int]:
    """Rows of the least, middle and most level."""
    return [0, len(curves.levels) // 2, len(curves.levels) - 1]


@dataclass(frozen=True, eq=False, kw_only=True)
class YearUnit:
    """Hour by hour: what the loop takes, and how its extras divide."""

    unit: Unit | None
    plant: Plant
    standby_W: float
    crankcase_W: np.ndarray
    pan_W: np.ndarray
    coil_ratio: np.ndarray  # humidity ratio of the coil, (hours, 3) by level


def year_unit(
    unit: Unit | None,
    points: SetPoints,
    elevation_m: float,
    brings: WeatherYear,
    backup_W: float = 0.0,
    rooms: RoomUnits | None = None,
) -> YearUnit:
    """The unit in this house's room through this year; None is a plant that always carries the load."""
    if unit is None:
        return YearUnit(
            unit=None,
            plant=Plant(backup_W=backup_W),
            standby_W=0.0,
            crankcase_W=np.zeros(1),
            pan_W=np.zeros(1),
            coil_ratio=np.zeros((1, 3)),
        )
    here = (rooms or RoomUnits()).get(unit, points, elevation_m)
    plant, place = dry_plant(here, elevation_m, brings, backup_W), _rows(brings)
    coil, flow = _coil(here, place, elevation_m, points)
    wet = replace(plant, cooling=replace(plant.cooling, coil_flow_kg_s=flow), coil_humidity_ratio=coil[:, 0])
    return YearUnit(
        unit=unit,
        plant=wet,
        standby_W=unit.standby_W,
        crankcase_W=_crankcase(unit, brings),
        pan_W=np.asarray(plant.heating_extra_W),
        coil_ratio=coil,
    )


def held_off(unit: YearUnit, share: np.ndarray) -> YearUnit:
    """The unit in hours of which a lock-out takes a share (8,760): the most it gives in the hour shrinks by it, and so does the
    rest of its range where that lies above."""
    left = (1.0 - share)[:, None]
    plant = unit.plant
    heating, cooling = (
        replace(x, capacity_W=np.minimum(x.capacity_W, x.capacity_W[..., -1:] * left)) for x in (plant.heating, plant.cooling)
    )
    return replace(unit, plant=replace(plant, heating=heating, cooling=cooling))


def dry_plant(here: Tabulated, elevation_m: float, brings: WeatherYear, backup_W: float) -> Plant:
    """The plant as heat and electricity know it, its coil's moisture left out."""
    unit, place = here.unit, _rows(brings)
    pan = np.where(brings.frosts, pan_W(unit, brings.outdoor_C), 0.0)
    return Plant(
        heating=_heating(here, brings, place, elevation_m),
        cooling=_cooling(here, place, elevation_m),
        backup_W=backup_W,
        idle_W=resting_W(unit, brings.outdoor_C),
        heating_extra_W=pan,
    )


def _rows(brings: WeatherYear) -> np.ndarray:
    """The row of `GRID_C` of each hour."""
    return np.rint((brings.outdoor_C - GRID_C[0]) / GRID_K).astype(int)


def _crankcase(unit: Unit, brings: WeatherYear) -> np.ndarray:
    return resting_W(unit, brings.outdoor_C) - unit.standby_W


def tested_dew_point_C(unit: Unit) -> float:
    """Dew point of the room in which cooling was tested [degC]."""
    c = unit.cooling
    return float(moist_air.dew_point(moist_air.humidity_ratio_from_wet_bulb(c.indoor_C, c.indoor_wet_bulb_C)))


def backup_watts(backup: str | float | None) -> float:
    """Watts of backup heat: "resistance" takes whatever the unit leaves, None gives none."""
    if backup is None:
        return 0.0
    return UNLIMITED if backup == "resistance" else float(backup)


def _cop(capacity: np.ndarray, power: np.ndarray) -> np.ndarray:
    return np.where(capacity > 0, capacity, 1.0) / np.where(power > 0, power, 1.0)


def _heating(here: Tabulated, brings: WeatherYear, place: np.ndarray, elevation_m: float) -> Levels:
    unit = here.unit
    frost = humidity_factor(brings.outdoor_C, brings.relative, not unit.tested_frost_point, unit.defrost != "integrated")[:, None]
    given = here.heating_capacity_W * capacity_factor(elevation_m)
    return Levels(given[place] * frost, _cop(given, here.heating_power_W)[place] * frost)


def _cooling(here: Tabulated, place: np.ndarray, elevation_m: float) -> Levels:
    """The sensible side of cooling hour by hour."""
    used, total, share = _cooled(here, place, elevation_m)
    sensible = np.maximum.accumulate(total * share, axis=-1)
    at = place - used.start
    return Levels(sensible[at], _cop(sensible, here.cooling_power_W[used])[at])


def _cooled(here: Tabulated, place: np.ndarray, elevation_m: float) -> tuple[slice, np.ndarray, np.ndarray]:
    """The rows of the grid that occur, total cooling and its sensible share there."""
    used = slice(int(place.min()), int(place.max()) + 1)
    share = here.sensible_share[used]
    drier = np.where(share > DRY, share, share * sensible_factor(elevation_m))
    return used, here.cooling_capacity_W[used] * capacity_factor(elevation_m), drier


def _coil(here: Tabulated, place: np.ndarray, elevation_m: float, points: SetPoints) -> tuple[np.ndarray, np.ndarray]:
    """The coil's humidity ratio at each level, hour by hour, and the flow of room air brought to it."""
    used, total, share = _cooled(here, place, elevation_m)
    pressure = moist_air.pressure_at_altitude(elevation_m)
    coil, flow = coil_of(total, share, points, pressure, tested_dew_point_C(here.unit))
    return coil[place - used.start], flow[place - used.start]


def coil_of(
    total_W: np.ndarray, share: np.ndarray, points: SetPoints, pressure_Pa: float, tested_dew_C: float
) -> tuple[np.ndarray, np.ndarray]:
    """Humidity ratio at the coil's surface, and the flow of room air brought to it [kg/s], from total and sensible share.

    The room's line meets saturation at the surface: SHR = cp (Ti - Te)/(hi - h_sat(Te)), wet coil, Lewis number 1, no fan
    heat; then m (w_room - w_coil) is the water of the printed share.  A level printed dry is taken as just dry in its test
    room, Te = the test's dew point and m = Q/(cp (Ti - Te)): it takes water only from a damper room.
    """
    room_C = points.cooling
    room = float(moist_air.humidity_ratio_from_relative(room_C, points.cooling_humidity, pressure_Pa))
    dew, cp = float(moist_air.dew_point(room, pressure_Pa)), float(moist_air.specific_heat(room))
    surface = np.linspace(dew - 25.0, dew - 1e-3, 500)
    saturated = moist_air.saturated_humidity_ratio(surface, pressure_Pa)
    line = cp * (room_C - surface) / (moist_air.enthalpy(room_C, room) - moist_air.enthalpy(surface, saturated))
    wet = share < min(DRY, float(line[-1]))
    coil = np.interp(share, line, saturated)
    water = total_W * (1 - share) / moist_air.VAPORISATION
    dry_flow = total_W / (cp * max(room_C - tested_dew_C, 1.0))
    dry_coil = float(moist_air.saturated_humidity_ratio(tested_dew_C, pressure_Pa))
    return np.where(wet, coil, dry_coil), np.where(wet, water / np.maximum(room - coil, 1e-6), dry_flow)


def with_coil(unit: YearUnit, cooled_W: np.ndarray) -> Plant:
    """The plant with its coil as it is at each hour's sensible cooling; heat does not answer to humidity, so a first walk
    tells that cooling."""
    levels, place = unit.plant.cooling, np.arange(len(cooled_W))
    low = np.where(cooled_W < levels.capacity_W[:, 1], 0, 1)
    base, top = levels.capacity_W[place, low], levels.capacity_W[place, low + 1]
    x = np.clip((cooled_W - base) / np.maximum(top - base, 1e-9), 0.0, 1.0)
    by_level = (np.asarray(levels.coil_flow_kg_s), unit.coil_ratio)
    flow, coil = ((1 - x) * of[place, low] + x * of[place, low + 1] for of in by_level)
    same = np.repeat(flow[:, None], 3, axis=1)
    return replace(unit.plant, cooling=replace(levels, coil_flow_kg_s=same), coil_humidity_ratio=coil)
