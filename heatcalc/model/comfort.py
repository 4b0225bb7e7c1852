"""Where it is warmer or colder than the room in the design hours: loft, floor, a bath behind a closed door."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.model.steady_load import room_heat_capacity

BATH_M2, BATH_HEIGHT_M, INNER_WALLS_M = 2.5, 2.1, 3.2  # a small bath in a corner, two of its sides inside: own choice
INNER_WALL_W_m2K = 1.0 / (0.13 + 0.06 + 0.18 + 0.06 + 0.13)  # two boards and air between, ISO 6946 films: from memory
LOFT_SUMMER_K = 2.0  # air under the roof above the room's on a hot day: common practice, no source
STRATIFIED = "loft and summer stratification: common practice, no source; floor and bath: steady balance of the parts"


@dataclass(frozen=True)
class RoomPlaces:
    """Temperatures [degC] in a design hour with the room held; None where the house has no such place."""

    room_C: float
    loft_C: float | None
    floor_C: float | None
    bath_C: float


def cold_places(designer: Designer) -> RoomPlaces:
    """In the design cold: air in the loft, the surface of the floor, a bath whose door stays shut."""
    model, outdoor = designer.model, designer.conditions.heating_C
    room = model.house.set_points.heating
    loft = room + model.house.loft.warmer_by if model.house.loft else None
    floor = next((p for p in model.opaque if p.kind == "floor"), None)
    surface = None
    if floor is not None:
        below = float(designer.below_C(outdoor, "winter")) if floor.body.boundary == "below" else outdoor
        surface = room - floor.u_value * floor.r_inside * (room - below)
    return RoomPlaces(room, loft, surface, _bath_C(designer, room, outdoor, DESIGN_WIND_HEATING_M_S))


def hot_places(designer: Designer) -> RoomPlaces:
    """In the design hot hour: air in the loft, and a bath whose door stays shut; the floor is as the room."""
    room, outdoor = designer.model.house.set_points.cooling, designer.cooling.outdoor_at_peak_C
    loft = room + LOFT_SUMMER_K if designer.model.house.loft else None
    return RoomPlaces(room, loft, None, _bath_C(designer, room, outdoor, DESIGN_WIND_COOLING_M_S))


def _bath_C(designer: Designer, room_C: float, outdoor_C: float, wind_m_s: float) -> float:
    """Balance of a bath without heat or cold of its own: its floor's share of shell and leaks against its inner walls."""
    model = designer.model
    share = min(BATH_M2 / model.floor_area_m2, 1.0)
    leak = float(model.air.leak(room_C - outdoor_C, wind_m_s)) * room_heat_capacity(model, room_C)
    out = share * (sum(model.ua_W_K.values()) + leak)
    inward = INNER_WALLS_M * BATH_HEIGHT_M * INNER_WALL_W_m2K
    return (out * outdoor_C + inward * room_C) / (out + inward)
