"""What the design hours feel like: loft, floor and a bath behind a closed door against the room, dry glass in winter, whether the
unit dries enough in summer, and the make-up air and suction of hood, fan and dryer in a small tight box.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.model.designer import (
    DESIGN_WIND_COOLING_M_S,
    DESIGN_WIND_HEATING_M_S,
    CoolingLoad,
    Designer,
    day_load,
    design_day,
    dew_points,
    humid_ratio,
    month_winds_m_s,
)
from heatcalc.model.house_model import HouseModel
from heatcalc.model.humidity import DehumidifierNeed, InsideSurface, WinterHumidity, dehumidifier_need, winter_humidity
from heatcalc.model.outdoor_air import AirConditions, AirExchange, AirInputs, air_exchange, leakage_of
from heatcalc.model.steady_load import room_heat_capacity
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.air.moist_air import surface_temperature
from heatcalc.physics.sun.sun_day import DesignDay, cooling_design_day
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity, sensible_heat_ratio
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

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


R_GLASS, R_CORNER = 0.13, 0.25  # inside resistance for condensation on glass and in corners, ISO 13788
DAMP = 0.95
PASSES, HALVINGS = 12, 10


@dataclass(frozen=True, kw_only=True)
class DryingCase:
    """A summer day: the water that must go against what the unit takes out while it carries the sensible load."""

    name: str
    month: int
    outdoor_mean_C: float
    outdoor_humidity_ratio: float
    mean_sensible_W: float
    run_share: float
    need: DehumidifierNeed
    settles_at: float

    @property
    def sentence(self) -> Said:
        """What the unit does alone, and what holding the target takes."""
        target = self.need.target_relative
        if self.need.shortfall_kg_s <= 0:
            return f"The unit takes out enough to hold {target:.0%} relative humidity."
        level = "as damp as outdoors" if self.settles_at > DAMP else f"near {self.settles_at:.0%}"
        return worded(
            "With the unit alone the room settles {}; holding {:.0%} takes a dehumidifier of {}, whose "
            "heat the unit must then carry as well.",
            level,
            target,
            Q(self.need.shortfall_kg_s, "mass flow"),
        )


def winter_cases(designer: Designer) -> tuple[tuple[str, float, WinterHumidity], ...]:
    """The coldest month on average, with its own mean wind, and the design cold."""
    place, cold = designer.place, designer.conditions.heating_C
    month = int(np.argmin(place.monthly.mean_C))
    mean, dew = place.monthly.mean_C[month], dew_points(place)[month]
    return (
        ("coldest month", mean, _winter(designer, mean, min(dew, mean), month_winds_m_s(place)[month])),
        ("design cold", cold, _winter(designer, cold, cold, DESIGN_WIND_HEATING_M_S)),
    )


def _winter(designer: Designer, outdoor_C: float, dew_C: float, wind_m_s: float) -> WinterHumidity:
    model, pressure = designer.model, _pressure(designer)
    outside = float(moist_air.humidity_ratio_from_dew_point(dew_C, pressure))
    conditions = AirConditions(model.house.set_points.heating, outdoor_C, wind_m_s, 0.0, outside)
    return winter_humidity(
        model.air.inputs, conditions, living_day(model.house.living, winter=True), _surfaces(designer, outdoor_C)
    )


def _surfaces(designer: Designer, outdoor_C: float) -> tuple[InsideSurface, ...]:
    """The coldest glass and the coldest corner of the shell, one-dimensional."""
    indoor, found = designer.model.house.set_points.heating, []
    if designer.model.windows:
        worst = max(designer.model.windows, key=lambda w: w.u_value)
        found.append(InsideSurface("glass", surface_temperature(indoor, outdoor_C, worst.u_value, R_GLASS)))
    opaque = [p for p in designer.model.opaque if p.of.layered and p.body.boundary == "outdoor"]
    part = max(opaque, key=lambda p: p.u_value)
    u = 1.0 / (1.0 / part.u_value - part.r_inside + R_CORNER)
    return (*found, InsideSurface(f"corner of the {part.name}", surface_temperature(indoor, outdoor_C, u, R_CORNER)))


@dataclass(frozen=True, kw_only=True)
class SummerDay:
    """A summer day indoors: the sensible load hour by hour, the air exchange, and the water set free."""

    name: str
    month: int
    outdoor_C: np.ndarray
    outdoor_humidity_ratio: float
    carried_W: np.ndarray
    air: AirExchange
    water_kg_s: float


def summer_days(designer: Designer) -> tuple[SummerDay, SummerDay]:
    """The hot design day, and the mean day of the dampest month: mild days are where a unit dries least."""
    hot, damp = designer.cooling, int(np.argmax(dew_points(designer.place))) + 1
    return (
        _summer_day(designer, "hot design day", hot, design_day(designer, hot.month), humid_ratio(designer, hot.month)),
        _mean_day(designer, damp),
    )


def drying_cases(designer: Designer, unit: Unit | None) -> tuple[DryingCase, ...]:
    """Both summer days with the humidity at which the room settles; none without a unit."""
    return () if unit is None else tuple(_drying(designer, unit, day) for day in summer_days(designer))


def _mean_day(designer: Designer, month: int) -> SummerDay:
    """The average day of a month: its mean highs and lows, clear sky scaled to its mean sun."""
    place, c = designer.place, designer.conditions
    high, low = place.monthly.max_C[month - 1], place.monthly.min_C[month - 1]
    dew, ghi = dew_points(place)[month - 1], place.monthly.ghi_kWh_m2_day
    day = cooling_design_day(
        place.lat,
        place.lon,
        c.elevation_m,
        place.utc_offset_h,
        month,
        high,
        high - low,
        dew,
        mean_ghi_kWh_m2_day=ghi[month - 1] if ghi else None,
    )
    share = min(ghi[month - 1] * 1000 / day.ghi.sum(), 1.0) if ghi else 1.0
    cloudy = replace(day, dni=share * day.dni, ghi=share * day.ghi, dhi=share * day.dhi)
    load = day_load(designer, cloudy, month, designer.cooling.front_faces)
    return _summer_day(designer, "mean day of the dampest month", load, cloudy, _mean_ratio(designer, month))


def _summer_day(designer: Designer, name: str, load: CoolingLoad, day: DesignDay, outside: float) -> SummerDay:
    model, indoor_C = designer.model, designer.model.house.set_points.cooling
    conditions = AirConditions(indoor_C, float(day.dry_bulb_C.mean()), DESIGN_WIND_COOLING_M_S, 0.0, outside)
    return SummerDay(
        name=name,
        month=load.month,
        outdoor_C=day.dry_bulb_C,
        outdoor_humidity_ratio=outside,
        carried_W=np.maximum(load.sensible_W, 0.0),
        air=air_exchange(model.air.inputs, conditions),
        water_kg_s=float(living_day(model.house.living).moisture_kg_s.mean()),
    )


def need_on(designer: Designer, unit: Unit, day: SummerDay, relative: float) -> tuple[DehumidifierNeed, float]:
    """What holding a relative humidity (0..1) takes on a day beside the unit, and the mean share of the hour it runs."""
    removed, share = unit_removal(designer, unit, day.outdoor_C, day.carried_W, relative)
    indoor_C = designer.model.house.set_points.cooling
    return dehumidifier_need(day.air, indoor_C, day.outdoor_humidity_ratio, day.water_kg_s, removed, relative), share


def _drying(designer: Designer, unit: Unit, day: SummerDay) -> DryingCase:
    target = designer.model.house.set_points.cooling_humidity
    need, share = need_on(designer, unit, day, target)
    settles = _settled(lambda relative: need_on(designer, unit, day, relative)[0].shortfall_kg_s, target)
    return DryingCase(
        name=day.name,
        month=day.month,
        outdoor_mean_C=float(day.outdoor_C.mean()),
        outdoor_humidity_ratio=day.outdoor_humidity_ratio,
        mean_sensible_W=float(day.carried_W.mean()),
        run_share=share,
        need=need,
        settles_at=settles,
    )


def _settled(short: Callable[[float], float], low: float, high: float = 0.98) -> float:
    """Least relative humidity at which the unit takes out enough: a damper room gives a wetter coil."""
    if short(low) <= 0 or short(high) > 0:
        return low if short(low) <= 0 else high
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if short(middle) > 0 else (low, middle)
    return high


def unit_removal(
    designer: Designer, unit: Unit, outdoor_C: np.ndarray, sensible_W: np.ndarray, relative: float
) -> tuple[float, float]:
    """Day-mean water removed [kg/s] while the unit just carries the sensible load, and the mean share of the hour it runs.

    Total load Q solves Q SHR(Q) = sensible, by passes; below its least output it runs part of the time at that output's
    sensible share, in a room of that relative humidity.  What evaporates
    again from the coil while it rests is not counted: the removal is an upper value.
    """
    points = designer.model.house.set_points
    inside = moist_air.humidity_ratio_from_relative(points.cooling, relative, _pressure(designer))
    wet_bulb = float(moist_air.wet_bulb(points.cooling, inside, _pressure(designer)))
    here = at_site(unit, designer.conditions.elevation_m, points.heating, wet_bulb, points.cooling).cooling
    most, least = (capacity(here, outdoor_C, level).value_W for level in ("max", "min"))
    total = np.minimum(sensible_W, most)
    for _ in range(PASSES):
        total = np.minimum(sensible_W / sensible_heat_ratio(here, outdoor_C, total), most)
    latent = total * (1.0 - sensible_heat_ratio(here, outdoor_C, total))
    return float(latent.mean() / moist_air.VAPORISATION), float(np.minimum(total / least, 1.0).mean())


def _mean_ratio(designer: Designer, month: int) -> float:
    """Outdoor humidity ratio at a month's mean dew point."""
    return float(moist_air.humidity_ratio_from_dew_point(dew_points(designer.place)[month - 1], _pressure(designer)))


def _pressure(designer: Designer) -> float:
    return float(moist_air.pressure_at_altitude(designer.conditions.elevation_m))


BACKDRAFT_PA = 5.0
BACKDRAFT_SOURCE = "the limit of CSA F300-13 for solid fuel, as the preface of its 2022 edition names it"
CAUTION = (
    "An exhaust without make-up air can pull combustion products back into the room. Fuel-burning "
    "appliances here should take their air from outdoors; the local code, the appliance's manual and a "
    "working CO alarm decide."
)


@dataclass(frozen=True, kw_only=True)
class ExhaustCheck:
    """One local exhaust: its flow, what it adds to a day's mean outdoor air and the pressure it pulls alone."""

    name: str
    flow_m3_s: float
    mean_m3_s: float
    pressure_Pa: float
    needs_make_up: bool
    source: str
    mark: str


def local_exhausts(inputs: AirInputs) -> tuple[ExhaustCheck, ...]:
    """Every usual local exhaust against the leakage of this house; no make-up opening counted."""
    shell = leakage_of(inputs)
    return tuple(_check(row, shell.coefficient, shell.exponent) for row in rows("local_exhaust"))


def house_exhausts(model: HouseModel) -> tuple[ExhaustCheck, ...]:
    """The local exhausts this household has, each beside the whole-house exhaust fan."""
    living, inputs, shell = model.house.living, model.air.inputs, model.air.leakage
    has = {"range hood": living.cooking != "none", "bath fan": True, "vented dryer": living.laundry == "vented dryer"}
    beside = model.air.unbalanced_m3_s if inputs.ventilation_kind == "exhaust" else 0.0
    return tuple(_check(r, shell.coefficient, shell.exponent, beside) for r in rows("local_exhaust") if has[r["name"]])


def _check(row: dict[str, str], coefficient: float, exponent: float, beside_m3_s: float = 0.0) -> ExhaustCheck:
    flow = float(row["flow_cfm"]) * air_change.CFM
    mean = air_change.mean_extra_flow(flow, float(row["minutes_per_day"]))
    pull = air_change.depressurisation(flow + beside_m3_s, coefficient, exponent)
    return ExhaustCheck(
        name=row["name"],
        flow_m3_s=flow,
        mean_m3_s=mean,
        pressure_Pa=pull,
        needs_make_up=pull > BACKDRAFT_PA,
        source=row["source"],
        mark=row["mark"],
    )
