"""Off normal: a power cut on the coldest night or the hottest day, when the water line freezes in it by where it lies and what
the cheapest remedy gains, and leaving the house empty at a low set point.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from heatcalc.inputs.place.place_record import EVERY_MONTH
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.inputs.weather.hours_of_year import HOURS
from heatcalc.model.house_model import HouseModel
from heatcalc.model.year_drivers import YearDrivers, YearHouse, in_months, with_air
from heatcalc.model.year_walk import RoomUnits, YearResult, year_of
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.ground import line_temperature_C, sleeve_resistance, water_heat
from heatcalc.physics.shell.layers import outside_resistance
from heatcalc.physics.year.kernel import Years, year
from heatcalc.physics.year.kernel_pack import NONE, Drive, Plant
from heatcalc.physics.zone.network import UNLIMITED
from heatcalc.tables import rows

STEPS = 60  # a minute each
STILL_AIR_W_m2K = 10.0  # convection and radiation of a thin bare tube in still air: common practice, no source


@dataclass(frozen=True)
class PipeFreeze:
    """Hours from the cut until standing water reaches freezing, and minutes more with the remedy; None: not within ten days."""

    where: str
    hours: float | None
    remedy: str
    minutes_gained: float | None


@dataclass(frozen=True)
class WaterLine:
    """A metre of water line: temperature at the cut, its sides' resistances [m K/W], and its cold side."""

    where: str
    from_C: float
    to_warm: float | None
    to_cold: float
    cold_C: np.ndarray | None  # None: the room itself


@cache
def fact(name: str) -> float:
    """One number of tables/pipes.csv."""
    return next(float(r["value"]) for r in rows("pipes") if r["name"] == name)


def freeze_times(
    model: HouseModel, indoor_C: np.ndarray, outdoor_C: np.ndarray, below_C: np.ndarray, wind_m_s: float
) -> tuple[PipeFreeze, ...]:
    """Room, floor cavity, and the space below or the riser in the open, each with its remedy.

    indoor_C : readings at the cut and at the end of each hour after it; the others: means of those hours [degC]
    wind_m_s : mean at the house
    """
    made = tuple(_lines(model, indoor_C[0], outdoor_C, below_C, wind_m_s))
    return tuple(_freeze(line, better, words, indoor_C) for line, better, words in made)


def _lines(
    model: HouseModel, room_C: float, outdoor_C: np.ndarray, below_C: np.ndarray, wind_m_s: float
) -> Iterator[tuple[WaterLine, WaterLine, str]]:
    """Each line, the same with its remedy, and the remedy in words."""
    bare = 1.0 / (STILL_AIR_W_m2K * np.pi * fact("outside_diameter"))
    room = WaterLine("in the room", room_C, None, bare, None)
    yield room, replace(room, to_cold=_sleeved(fact("more_sleeve"), STILL_AIR_W_m2K)), "one inch of foam sleeve"
    floor = next((p for p in model.opaque if p.kind == "floor"), None)
    if floor is not None and model.house.below.kind != "slab":
        under = below_C if floor.body.boundary == "below" else outdoor_C
        line, warm = (_in_floor(1.0 / floor.u_value, fact(share), room_C, under) for share in ("cavity_share", "warm_side_share"))
        yield line, warm, "laid above the insulation, on the warm side"
    if model.house.below.kind != "slab":
        spaced = model.house.below.kind != "open air"
        film = STILL_AIR_W_m2K if spaced else 1.0 / outside_resistance(max(wind_m_s, 1.0))
        where, cold = (f"in the {model.house.below.kind} space", below_C) if spaced else ("in the riser outdoors", outdoor_C)
        line = WaterLine(where.replace("space space", "space"), fact("kept_C"), None, _sleeved(fact("sleeve"), film), cold)
        yield line, replace(line, to_cold=_sleeved(fact("more_sleeve"), film)), "one inch of foam sleeve instead of half an inch"


def _in_floor(resistance_m2K_W: float, share: float, room_C: float, under_C: np.ndarray) -> WaterLine:
    whole = resistance_m2K_W / fact("cavity_strip")
    return WaterLine("in the floor cavity", room_C + share * (under_C[0] - room_C), share * whole, (1.0 - share) * whole, under_C)


def _sleeved(thickness_m: float, film_W_m2K: float) -> float:
    """Resistance of a sleeve and the film on it [m K/W]."""
    tube = fact("outside_diameter")
    outer = tube + 2.0 * thickness_m
    return sleeve_resistance(tube, outer, fact("sleeve_conductivity")) + 1.0 / (film_W_m2K * np.pi * outer)


def _freeze(line: WaterLine, better: WaterLine, words: str, indoor_C: np.ndarray) -> PipeFreeze:
    first, then = (_hours(x, indoor_C) for x in (line, better))
    gained = None if first is None or then is None else 60.0 * (then - first)
    return PipeFreeze(line.where, first, words, gained)


def _hours(line: WaterLine, indoor_C: np.ndarray) -> float | None:
    """Hours until the line is at 0 C."""
    if line.from_C <= 0.0:
        return 0.0
    minutes = np.arange(STEPS * (len(indoor_C) - 1)) / STEPS
    room = np.interp(minutes + 0.5 / STEPS, np.arange(len(indoor_C)), indoor_C)
    cold = room if line.cold_C is None else np.repeat(line.cold_C, STEPS)
    stores = water_heat(fact("inside_diameter")) + fact("tube_heat")
    to_warm = 0.0 if line.to_warm is None else 1.0 / line.to_warm
    found = line_temperature_C(line.from_C, room, cold, to_warm, 1.0 / line.to_cold, stores, 3600.0 / STEPS)
    below = np.flatnonzero(found <= 0.0)
    return None if not len(below) else float((below[0] + 1) / STEPS)


FALLS_TO_C = ((50.0 - 32.0) / 1.8, (40.0 - 32.0) / 1.8, 0.0)
BEFORE_H, AFTER_H, NIGHT_H = 336, 240, 12
RISES_TO_C = ((85.0 - 32.0) / 1.8, (90.0 - 32.0) / 1.8, (95.0 - 32.0) / 1.8)
LOW_SET_C = (45.0 - 32.0) / 1.8
EMPTY_HOT_C = 60.0  # cooling never asked for
CAUTIONS = (
    "Air inside at freezing is late: pipes in floors, corners and cabinets near outside walls freeze hours earlier.",
    "Drain the water before you leave in a power cut; the times are for half-inch plastic tube, standing still.",
    "Never heat with a cooker, grill or unvented burner in a power cut: carbon monoxide kills; keep an alarm.",
)


@dataclass(frozen=True, kw_only=True)
class Cooldown:
    """Hours from the cut until the air falls to each limit; None where it does not within ten days."""

    people_home: bool
    start_C: float
    hours_to: tuple[tuple[float, float | None], ...]
    coldest_C: float
    pipes: tuple[PipeFreeze, ...]
    indoor_C: np.ndarray  # at the end of each hour after the cut


@dataclass(frozen=True)
class PowerCut:
    """The cut at the start of the coldest night of the year."""

    starts: int  # hour of the year from 0
    night_mean_C: float
    outdoor_C: np.ndarray
    empty: Cooldown
    people: Cooldown


@dataclass(frozen=True)
class HeatCut:
    """A cut at the start of the hottest twelve hours, people home and windows shut: hours until the air rises to each limit."""

    starts: int
    day_mean_C: float
    start_C: float
    hours_to: tuple[tuple[float, float | None], ...]
    hottest_C: float


HEAT_CAUTIONS = (
    "Heat makes people ill: above about 85 F (29 C) indoors the old, the very young, the ill and pets are at risk; drink, rest, "
    "wet the skin, and go to a cool place in time. Confusion or hot dry skin is an emergency: call for help (common practice, "
    "no source).",
    "Shade the glass from outside, and open windows on two sides as soon as it is cooler outdoors than in.",
    "A fan alone does not cool a person when the room is above about 95 F (35 C) (common practice, no source).",
)


@dataclass(frozen=True)
class Unoccupied:
    """A year left empty: electricity for heating with its extras at two set points [kWh]."""

    low_set_C: float
    usual_set_C: float
    low_kWh: float
    usual_kWh: float

    @property
    def saving_kWh(self) -> float:
        """What the low set point saves."""
        return self.usual_kWh - self.low_kWh


def power_cut(driven: YearDrivers, months: tuple[int, ...] = EVERY_MONTH) -> PowerCut:
    """No heat from the start of the coldest twelve hours of some months on; the house held at its set point before."""
    outdoor = driven.brings.outdoor_C
    around = np.concatenate([outdoor, outdoor[: NIGHT_H - 1]])
    night = np.convolve(around, np.ones(NIGHT_H) / NIGHT_H, mode="valid")
    starts = int(np.argmin(np.where(in_months(months), night, np.inf)))
    after = (starts + np.arange(AFTER_H)) % HOURS
    return PowerCut(
        starts, float(night[starts]), outdoor[after], _cooldown(driven, starts, False), _cooldown(driven, starts, True)
    )


def heat_cut(driven: YearDrivers, months: tuple[int, ...] = EVERY_MONTH) -> HeatCut:
    """No cooling from the start of the hottest twelve hours of some months on; the house held at its cooling set point before."""
    outdoor = driven.brings.outdoor_C
    around = np.concatenate([outdoor, outdoor[: NIGHT_H - 1]])
    day = np.convolve(around, np.ones(NIGHT_H) / NIGHT_H, mode="valid")
    starts = int(np.argmax(np.where(in_months(months), day, -np.inf)))
    line = _without_power(driven, starts, True, hot=True).hourly("air_end_C")[BEFORE_H - 1 :][: 3 * 24 + 1]
    rises = tuple((limit, _crossing(-line, -limit)) for limit in RISES_TO_C)
    return HeatCut(starts, float(day[starts]), float(line[0]), rises, float(line.max()))


def _cooldown(driven: YearDrivers, starts: int, people_home: bool) -> Cooldown:
    walked = _without_power(driven, starts, people_home, hot=False)
    return _read(driven, walked, (starts + np.arange(AFTER_H)) % HOURS, people_home)


def _without_power(driven: YearDrivers, starts: int, people_home: bool, hot: bool) -> Years:
    """Two weeks held, then nothing but leaks, the sun and, if they stay, the people: the fans stop with the power.

    The head's fan stands in the weeks before as well (own choice: the house is held, whatever moves its air).  The leaks
    answer to the room as it drifts: a second walk takes them at the first one's temperatures.
    """
    which = (starts + np.arange(-BEFORE_H, AFTER_H)) % HOURS
    drive, home = driven.drive, driven.house
    inputs = drive.inputs[which]
    _people_only(home, inputs[BEFORE_H:], which[BEFORE_H:], people_home)
    set_C = _at(drive.cool_set_C if hot else drive.heat_set_C, which)
    held_C = np.where(np.arange(len(which)) < BEFORE_H, set_C, UNLIMITED if hot else -UNLIMITED)
    keeps = {"cool_set_C" if hot else "heat_set_C": held_C}
    plant = Plant(heating=NONE) if hot else Plant(cooling=NONE)
    exchange, outside_C = _at(drive.exchange_W_K, which).copy(), _at(drive.exchange_C, which)
    indoor_C = set_C[BEFORE_H:]
    for _ in range(2):
        exchange[BEFORE_H:] = _leaks_W_K(driven, which[BEFORE_H:], indoor_C)
        held = Drive(inputs=inputs, bins=np.zeros(len(which), int), exchange_W_K=exchange, exchange_C=outside_C, **keeps)
        walked = year(home.fan_off, held, plant, warm_up=0, series=True)
        indoor_C = walked.hourly("air_mean_C")[BEFORE_H:]
    return walked


def _leaks_W_K(driven: YearDrivers, which: np.ndarray, indoor_C: np.ndarray) -> np.ndarray:
    """Heat that leaks alone carry, hour by hour [W/K]."""
    model, brings = driven.house.model, driven.brings
    flow = model.air.leak(indoor_C - brings.outdoor_C[which], brings.wind_m_s[which])
    return flow * moist_air.volumetric_heat_capacity(indoor_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m))


def _at(series, which: np.ndarray) -> np.ndarray:
    return np.broadcast_to(series, (HOURS,))[which]


def _people_only(home: YearHouse, inputs: np.ndarray, which: np.ndarray, people_home: bool) -> None:
    """Gains after the cut, written in place: no appliance runs."""
    for channel, part in (("convective_gain_W", "convective_W"), ("radiant_gain_W", "radiant_W")):
        day = sum((getattr(t, part) for t in home.living.terms if t.name.startswith("people")), np.zeros(24))
        inputs[:, home.modes.input_names.index(channel)] = day[which % 24] if people_home else 0.0


def _read(driven: YearDrivers, walked: Years, after: np.ndarray, people_home: bool) -> Cooldown:
    model, brings, names = driven.house.model, driven.brings, driven.house.modes.input_names
    line = walked.hourly("air_end_C")[BEFORE_H - 1 :]
    falls = tuple((limit, _crossing(line, limit)) for limit in FALLS_TO_C)
    outdoor = brings.outdoor_C[after]
    below = driven.drive.inputs[after, names.index("below_C")] if "below_C" in names else outdoor
    wind = float(brings.wind_m_s[after[:NIGHT_H]].mean()) * model.air.coefficients.speed_multiplier
    pipes = freeze_times(model, line, outdoor, below, wind)
    return Cooldown(
        people_home=people_home,
        start_C=float(line[0]),
        hours_to=falls,
        coldest_C=float(line.min()),
        pipes=pipes,
        indoor_C=line[1:],
    )


def _crossing(line: np.ndarray, limit: float) -> float | None:
    """Hours until a falling line first meets a limit, straight between readings."""
    below = np.flatnonzero(line <= limit)
    if len(below) == 0:
        return None
    k = int(below[0])
    return 0.0 if k == 0 else k - 1 + float((line[k - 1] - limit) / (line[k - 1] - line[k]))


def unoccupied(
    driven: Sequence[YearDrivers], unit: Unit, backup_W: float, low_set_C: float = LOW_SET_C, rooms: RoomUnits | None = None
) -> Unoccupied:
    """The heating of an empty house through the year at a low set point and at the usual one, with the house's own backup
    heat; cooling off."""
    usual = driven[0].house.model.house.set_points.heating
    shelf = rooms or RoomUnits()
    low, full = (
        _heating_kWh(year_of([_emptied(d, at) for d in driven], unit, backup_W, rooms=shelf)) for at in (low_set_C, usual)
    )
    return Unoccupied(low_set_C, usual, low, full)


def _emptied(d: YearDrivers, heat_set_C: float) -> YearDrivers:
    """Nobody home, nothing switched on, no cooling."""
    inputs = d.drive.inputs.copy()
    for channel in ("convective_gain_W", "radiant_gain_W"):
        inputs[:, d.house.modes.input_names.index(channel)] = 0.0
    drive = replace(
        d.drive,
        inputs=inputs,
        heat_set_C=np.full(HOURS, heat_set_C),
        cool_set_C=np.full(HOURS, EMPTY_HOT_C),
        moisture_gain_kg_s=0.0,
    )
    return replace(d, drive=with_air(d.house.model, d.brings, drive), household=replace(d.household, electric_W={}, propane_W={}))


def _heating_kWh(r: YearResult) -> float:
    return sum(float(r.electricity_kWh[name].sum()) for name in ("heating", "backup heat", "pan heater"))
