"""A unit brought to its site: altitude and indoor condition, each applied once.

Thinner air over both coils lowers the capacity; published statements disagree and the spread is kept
(tables/altitude_capacity.csv, each row with its own source; air density from a printed manual table). Rows that the unit's
own table prints for other rooms are reproduced: the room's factors carry the curves there, and print over factors, kept for
each printed room at each outdoor temperature and level, corrects them.  That ratio is 1 in the curves' own room, straight
over outdoor temperature, wet bulb and dry bulb between printed rooms, and held beyond them: bilinear where the print is, the
factors' shape where it is not.  Own rule, exact at every row. Frost at 35 F stands in the curves already, tested or by rule;
what defrosting takes in the cold is put in here unless the table integrates it.

Sources: a printed table of a service manual for the room, the own cycle model (`machine`) for the wet bulb.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

import numpy as np

from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.heat_pump import FROST_LOW_C, Array, Curves, PrintedRoom, Unit
from heatcalc.physics.unit.machine import COIL_AIR_J_KGK
from heatcalc.physics.unit.outdoor_unit import defrost_band, with_defrost
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, joined, worded

DEFAULT_ROUTE = "air-cooled condensing unit"
SENSIBLE_ROUTE = "packaged unit, wet coil"
_FOOT_M = 0.3048


def air_density_factor(elevation_m, celsius=(70.0 - 32.0) / 1.8):
    """Air density over that at sea level and 70 F: (1 - 6.8754e-6 ft)^5.2559 x 529.67/(F + 459.67) [-].

    An R-410A split-system technical manual (maker not named), p. 60, prints it for 0 to 7000 ft, 40 to 100 F.
    """
    feet, fahrenheit = np.asarray(elevation_m, float) / _FOOT_M, np.asarray(celsius, float) * 1.8 + 32.0
    return (1.0 - 6.8754e-6 * feet) ** 5.2559 * 529.67 / (fahrenheit + 459.67)


@cache
def routes() -> tuple[str, ...]:
    """The published statements on capacity at altitude, the default first."""
    return tuple(dict.fromkeys(row["route"] for row in rows("altitude_capacity")))


@cache
def _route(name: str, quantity: str) -> tuple[np.ndarray, np.ndarray]:
    mine = [
        (float(r["elevation_ft"]) * _FOOT_M, float(r["factor"]))
        for r in rows("altitude_capacity")
        if r["route"] == name and r["quantity"] == quantity
    ]
    if not mine:
        raise ValueError(f"no altitude route {name!r}; known: {', '.join(routes())}")
    elevation, factor = np.array(mine).T
    return elevation, factor


def capacity_factor(elevation_m, route: str = DEFAULT_ROUTE):
    """Capacity over that at sea level [-], straight between printed rows; held beyond them.  A number or an array [m]."""
    return np.interp(elevation_m, *_route(route, "total"))


def sensible_factor(elevation_m):
    """Sensible share over that at sea level: printed sensible over printed total of one unit.  A number or an array [m]."""
    sensible, total = (np.interp(elevation_m, *_route(SENSIBLE_ROUTE, what)) for what in ("sensible", "total"))
    return sensible / total


def spread(elevation_m) -> dict[str, Any]:
    """Every published statement at this elevation, by route."""
    return {route: capacity_factor(elevation_m, route) for route in routes()}


SAME_ROOM_K = 0.1  # rooms nearer than this are one room


def room_weights(rooms: list[tuple[float, float]], room_C: float, wet_bulb_C) -> Array:
    """Share of each printed room (dry and wet bulb, all different) at a room; shaped (wet bulbs, rooms), sum 1.

    Straight in dry bulb between rooms of one wet bulb, then straight in wet bulb between those; held beyond the ends.
    """
    wets = sorted({wet for _, wet in rooms})
    across = _hats(wets, np.atleast_1d(np.asarray(wet_bulb_C, float)))
    weights = np.empty((len(across), len(rooms)))
    for column, wet in enumerate(wets):
        mine = sorted((dry, k) for k, (dry, w) in enumerate(rooms) if w == wet)
        along = _hats([dry for dry, _ in mine], np.array([room_C]))[0]
        weights[:, [k for _, k in mine]] = across[:, [column]] * along
    return weights


def _hats(nodes: list[float], at: Array) -> Array:
    """Shares of increasing nodes in straight interpolation, held beyond the ends; shaped (at, nodes)."""
    return np.stack([np.interp(at, nodes, row) for row in np.eye(len(nodes))], axis=-1)


def same_room(room: tuple[float, float], curves: Curves) -> bool:
    """Whether the curves stand for this room, to 0.05 K in both temperatures."""
    return abs(room[0] - curves.indoor_C) < SAME_ROOM_K / 2 and abs(room[1] - curves.indoor_wet_bulb_C) < SAME_ROOM_K / 2


def own_and_printed(curves: Curves) -> list[tuple[float, float]]:
    """Dry and wet bulb of the curves' own room, then of each other room printed [degC]."""
    return [(curves.indoor_C, curves.indoor_wet_bulb_C), *((r.indoor_C, r.indoor_wet_bulb_C) for r in curves.rooms)]


def as_printed_there(curves: Curves, moved: Curves) -> Curves:
    """`moved`, the curves with a room's factors, corrected by the rows printed for rooms like it."""
    if not curves.rooms:
        return moved
    weights = room_weights(own_and_printed(curves), moved.indoor_C, moved.indoor_wet_bulb_C)[0]
    shares = {k: np.clip(row * _over(curves, "sensible", k, weights), 0.0, 1.0) for k, row in moved.sensible_heat_ratio.items()}
    there = next((r for r in curves.rooms if same_room((r.indoor_C, r.indoor_wet_bulb_C), moved)), None)
    return replace(
        moved,
        capacity_W={k: row * _over(curves, "capacity", k, weights) for k, row in moved.capacity_W.items()},
        power_W={k: row * _over(curves, "power", k, weights) for k, row in moved.power_W.items()},
        sensible_heat_ratio=shares,
        exact=moved.exact if there is None else there.given,
        power_exact=moved.power_exact if there is None else there.power_given,
    )


def _over(curves: Curves, quantity: str, level: str, weights: Array) -> Array:
    """Print over factors at each node, 1 in the curves' own room."""
    ratios = [getattr(room, quantity)[level] for room in curves.rooms]
    return weights[0] + np.tensordot(weights[1:], ratios, axes=1)


def in_printed_rooms(curves: Curves) -> list[Curves]:
    """The curves with each room's ratios alone, its own room first: a sum of these by weight is `as_printed_there`."""
    return [curves, *(_times(curves, room) for room in curves.rooms)]


def _times(curves: Curves, room: PrintedRoom) -> Curves:
    return replace(
        curves,
        capacity_W={k: row * room.capacity[k] for k, row in curves.capacity_W.items()},
        power_W={k: row * room.power[k] for k, row in curves.power_W.items()},
    )


_PRINTED_INDOOR_C = (15.0, 20.0, 25.0)
_LEAST_LIFT_M = 1.0
NEWTON_ROUNDS, NEWTON_STEP_K = 12, 1e-4
COLDEST_COIL_C = -30.0
DEFROST_NOTE = worded("defrost at {} and colder: capacity x {} to {}", Q(FROST_LOW_C, "temperature"), *defrost_band())


def at_site(
    unit: Unit,
    elevation_m: float,
    indoor_C: float,
    indoor_wet_bulb_C: float | None = None,
    cooling_indoor_C: float | None = None,
    altitude_route: str = DEFAULT_ROUTE,
) -> Unit:
    """The unit at an elevation, with `indoor_C` in heating and the cooling room's dry and wet bulb.

    Cooling keeps its rated room where no wet bulb is given.  Raises ValueError where the unit was already
    brought to a site (each correction once) or the altitude route is unknown.
    """
    if unit.corrections:
        raise ValueError(f"{unit.name} is already corrected for its site: {joined('; ', unit.corrections):si}")
    heating, notes = _in_room(unit.heating, indoor_C, unit.heating.indoor_wet_bulb_C)
    cooling = unit.cooling
    more: list[Said] = []
    if indoor_wet_bulb_C is not None:
        room_C = unit.cooling.indoor_C if cooling_indoor_C is None else cooling_indoor_C
        cooling, more = _in_room(unit.cooling, room_C, indoor_wet_bulb_C)
    heating, cooling, last = _at_altitude(heating, cooling, elevation_m, altitude_route)
    if unit.defrost == "unknown":  # "not": the reader put it in, at every row
        heating = with_defrost(heating)
        last = [*last, DEFROST_NOTE]
    return replace(unit, heating=heating, cooling=cooling, corrections=(*notes, *more, *last) or ("none needed",))


def _in_room(curves: Curves, room_C: float, wet_bulb_C: float) -> tuple[Curves, list[Said]]:
    """The curves in a room, and what that changes; themselves in their own room."""
    if same_room((room_C, wet_bulb_C), curves):
        return curves, []
    moved = as_printed_there(curves, by_factors(curves, room_C, wet_bulb_C))
    capacity, power = (_mean_ratio(getattr(moved, name), getattr(curves, name)) for name in ("capacity_W", "power_W"))
    wet = worded(", wet bulb {}", Q(wet_bulb_C, "temperature")) if curves.mode == "cooling" else ""
    own = ", by the other rooms of its own table" if curves.rooms else ""
    room = worded("room {}{} {}", Q(room_C, "temperature"), wet, curves.mode)
    return moved, [worded("{}: capacity x {:.3f}, power x {:.3f} (mean{})", room, capacity, power, own)]


def _mean_ratio(new: dict, old: dict) -> float:
    return float(np.mean([new[level] / old[level] for level in new]))


def by_factors(curves: Curves, room_C: float, wet_bulb_C: float) -> Curves:
    """The curves in another room by the factors alone: dry bulb in heating, wet bulb and coil line in cooling."""
    if curves.mode == "heating":
        return replace(_scaled(curves, *indoor_factors(curves.outdoor_C, room_C, curves.indoor_C)), indoor_C=room_C)
    return _other_cooling_room(curves, room_C, wet_bulb_C)


def _scaled(curves: Curves, capacity, power) -> Curves:
    """Curves with every level's capacity and power multiplied by factors per outdoor node: no printed value any more."""
    none = {level: np.zeros(len(curves.outdoor_C), bool) for level in curves.levels}
    return replace(
        curves,
        exact=none,
        power_exact=none,
        capacity_W={level: row * capacity for level, row in curves.capacity_W.items()},
        power_W={level: row * power for level, row in curves.power_W.items()},
    )


def _at_altitude(heating: Curves, cooling: Curves, elevation_m: float, route: str):
    if elevation_m < _LEAST_LIFT_M:
        return heating, cooling, []
    factor, drier = capacity_factor(elevation_m, route), sensible_factor(elevation_m)
    shares = {level: np.where(row > 0.999, row, row * drier) for level, row in cooling.sensible_heat_ratio.items()}
    cooled = replace(_scaled(cooling, factor, 1.0), sensible_heat_ratio=shares)
    note = worded("altitude {}: capacity x {:.3f} ({}), sensible share x {:.3f}", Q(elevation_m, "height"), factor, route, drier)
    return _scaled(heating, factor, 1.0), cooled, [note]


@cache
def _indoor_table() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    table = rows("indoor_temperature")
    outdoor = np.array([float(r["outdoor_C"]) for r in table])
    grids = [np.array([[float(r[f"{q}_{t:.0f}C"]) for t in _PRINTED_INDOOR_C] for r in table]) for q in ("capacity", "power")]
    return outdoor, grids[0], grids[1]


def indoor_factors(outdoor_C, indoor_C: float, rated_indoor_C: float):
    """Heating capacity and power factors for another room temperature, from one printed table (15 to 25 C).

    A service manual of a ductless unit (maker not named), section 5.5.3; straight between its columns, end
    slopes held to 10 and 28 C.
    """
    outdoor, *grids = _indoor_table()
    factors = []
    for grid in grids:
        pair = [
            _column(outdoor, grid, np.asarray(outdoor_C, float), float(np.clip(t, 10.0, 28.0)))
            for t in (indoor_C, rated_indoor_C)
        ]
        factors.append(pair[0] / pair[1])
    return factors[0], factors[1]


def _column(outdoor, grid, at, indoor_C: float):
    """The printed table at one room temperature, at each outdoor temperature (held beyond its ends)."""
    columns = [np.interp(at, outdoor, grid[:, k]) for k in range(3)]
    k = 0 if indoor_C < _PRINTED_INDOOR_C[1] else 1
    share = (indoor_C - _PRINTED_INDOOR_C[k]) / (_PRINTED_INDOOR_C[k + 1] - _PRINTED_INDOOR_C[k])
    return columns[k] + share * (columns[k + 1] - columns[k])


def room_factors(mode: str, outdoor_C, room: tuple[float, float], rated: tuple[float, float]):
    """Capacity and power of a room (dry and wet bulb) over those of another [-]: `indoor_factors`, or `wet_bulb_factors`."""
    return indoor_factors(outdoor_C, room[0], rated[0]) if mode == "heating" else wet_bulb_factors(room[1], rated[1])


@cache
def _wet_bulb_table() -> tuple[np.ndarray, ...]:
    table = np.array(
        [[float(r[c]) for c in ("indoor_wet_bulb_F", "capacity_ratio", "power_ratio")] for r in rows("wet_bulb_cooling")]
    )
    return (table[:, 0] - 32.0) / 1.8, table[:, 1], table[:, 2]


def wet_bulb_factors(wet_bulb_C, rated_wet_bulb_C: float) -> tuple[Any, Any]:
    """Cooling capacity and power factors for other indoor wet bulbs (own cycle model, 58 to 73 F), a number or an array."""
    nodes, *factors = _wet_bulb_table()
    capacity, power = (np.interp(wet_bulb_C, nodes, row) / np.interp(rated_wet_bulb_C, nodes, row) for row in factors)
    return capacity, power


def _other_cooling_room(curves: Curves, room_C: float, wet_bulb_C: float) -> Curves:
    capacity, power = wet_bulb_factors(wet_bulb_C, curves.indoor_wet_bulb_C)
    old, new = (curves.indoor_C, curves.indoor_wet_bulb_C), (room_C, wet_bulb_C)
    shares = dict(
        zip(curves.levels, coil_share([curves.sensible_heat_ratio[k] for k in curves.levels], old, new, capacity), strict=True)
    )
    moved = replace(_scaled(curves, capacity, power), indoor_C=room_C, indoor_wet_bulb_C=wet_bulb_C)
    return replace(moved, sensible_heat_ratio=shares)


def shares_in_rooms(curves: Curves, room_C: float, wet_bulbs_C: np.ndarray) -> np.ndarray:
    """Sensible heat ratio at full output at each printed outdoor temperature in several rooms, (rooms, nodes)."""
    rated = curves.indoor_C, curves.indoor_wet_bulb_C
    ratio = wet_bulb_factors(wet_bulbs_C, rated[1])[0]
    return coil_share(curves.sensible_heat_ratio[curves.levels[-1]], rated, (room_C, wet_bulbs_C[:, None]), ratio[:, None])


def coil_share(share, rated: tuple[float, float], room: tuple[float, Any], capacity_ratio):
    """Sensible heat ratio in another room by the coil line (wet coil, Lewis number 1, no fan heat); floats or arrays.

    From SHR = cp (Ti - Te)/(h_i - h_sat(Te)) at the rated room follows the coil surface Te and so ki/Q; at the
    new room h_sat(Te) = h_i - Q cp/ki gives the new Te.  A coil that is dry at the rated room stays dry.
    """
    given = np.asarray(share, float)
    entering = [_enthalpy(*pair) for pair in (rated, room)]
    surface = _coil_surface(tuple(given.ravel().tolist()), rated).reshape(given.shape)
    drop = (entering[0] - _saturated(surface)) * capacity_ratio
    new = _saturated_at(entering[1] - drop, room[0])
    return np.where(given >= 0.999, 1.0, np.clip(COIL_AIR_J_KGK * (room[0] - new) / drop, 0.3, 1.0))[()]


@lru_cache(maxsize=256)
def _coil_surface(share: tuple[float, ...], rated: tuple[float, float]) -> np.ndarray:
    """Temperature of the coil's surface at which it takes these shares in its rated room, kept for its next room."""
    given, entering, dew = np.array(share), _enthalpy(*rated), _dew(*rated)
    return _halved(lambda te: _line_share(rated[0], entering, te) - given, dew - 25.0, dew, given.shape)


def _line_share(dry_bulb_C: float, enthalpy: float, surface_C):
    return COIL_AIR_J_KGK * (dry_bulb_C - surface_C) / (enthalpy - _saturated(surface_C))


def _enthalpy(dry_bulb_C, wet_bulb_C):
    return moist_air.enthalpy(dry_bulb_C, moist_air.humidity_ratio_from_wet_bulb(dry_bulb_C, wet_bulb_C))


def _dew(dry_bulb_C: float, wet_bulb_C: float) -> float:
    return float(moist_air.dew_point(moist_air.humidity_ratio_from_wet_bulb(dry_bulb_C, wet_bulb_C)))


def _saturated(celsius):
    return moist_air.enthalpy(celsius, moist_air.saturated_humidity_ratio(celsius))


def _saturated_at(enthalpy, from_C: float):
    """Temperature of saturated air of an enthalpy by Newton's rule from the warm side, where the curve bends upward."""
    celsius = np.full(np.shape(enthalpy), from_C)
    for _ in range(NEWTON_ROUNDS):
        here, beside = _saturated(np.stack([celsius, celsius + NEWTON_STEP_K]))
        celsius = np.clip(celsius - (here - enthalpy) * NEWTON_STEP_K / (beside - here), COLDEST_COIL_C, from_C)
    return celsius


def _halved(rule, lowest: float, highest: float, shape: tuple[int, ...]) -> np.ndarray:
    """Root of a rising function by halving, at every place of an array."""
    low, high = np.full(shape, lowest), np.full(shape, highest)
    for _ in range(50):
        middle = 0.5 * (low + high)
        under = rule(middle) < 0.0
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return 0.5 * (low + high)
