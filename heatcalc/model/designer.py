"""Design loads of one house in one place: the steady cold, and the repeating hot day, from the same network."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import Place
from heatcalc.model.house_model import HouseModel
from heatcalc.model.parts import ground_C
from heatcalc.model.steady_load import HeatingLoad, heating_load, room_heat_capacity
from heatcalc.model.sunlight import Planes, sun_channels
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import latent_heat
from heatcalc.physics.sun.sun import SunPosition
from heatcalc.physics.sun.sun_day import DesignDay, cooling_design_day
from heatcalc.physics.zone.fast_loads import held_day, held_day_by_term
from heatcalc.physics.zone.network import inputs_of
from heatcalc.tables import rows
from heatcalc.wording import Said, worded

DESIGN_WIND_HEATING_M_S, DESIGN_WIND_COOLING_M_S = 6.7, 3.4  # ASHRAE Handbook - Fundamentals 2021 ch. 17
EIGHT_BEARINGS = {
    "north": 0.0,
    "northeast": 45.0,
    "east": 90.0,
    "southeast": 135.0,
    "south": 180.0,
    "southwest": 225.0,
    "west": 270.0,
    "northwest": 315.0,
}
HOURS = np.arange(1, 25)
USUAL_DAMP_RISE_K = 4.4  # mean dry bulb above the 1 % dew point: median of the stations of climate_data
DRY_BULB, DEW_POINT = "1 % dry bulb", "1 % dew point"


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """Design conditions used, all at the site's elevation, and where they come from."""

    heating_99_C: float
    heating_996_C: float
    heating_C: float
    cooling_1_C: float
    cooling_1_mcwb_C: float
    daily_range_K: float
    elevation_m: float
    source: Said
    dew_point_1_C: float | None  # None where the record has no dew point
    dew_point_1_dry_bulb_C: float | None  # mean coincident with it


@dataclass(frozen=True, kw_only=True)
class CoolingLoad:
    """The repeating design day of one month with the house turned one way; hour h ends at h:00 standard time."""

    month: int
    front_faces: str
    outdoor_C: np.ndarray
    sensible_W: np.ndarray
    latent_W: np.ndarray
    components_W: dict[str, np.ndarray]
    glass_W: np.ndarray
    condition: str = DRY_BULB

    @property
    def peak_hour(self) -> int:
        """Hour (1..24) of the largest sensible load."""
        return int(np.argmax(self.sensible_W)) + 1

    @property
    def peak_sensible_W(self) -> float:
        """Largest sensible load [W]."""
        return float(self.sensible_W.max())

    @property
    def latent_at_peak_W(self) -> float:
        """Latent load in the peak hour [W]."""
        return float(self.latent_W[self.peak_hour - 1])

    @property
    def outdoor_at_peak_C(self) -> float:
        """Outdoor temperature in the peak hour [degC]."""
        return float(self.outdoor_C[self.peak_hour - 1])

    @property
    def total_at_peak_W(self) -> float:
        """Sensible and latent load in the peak hour [W]."""
        return self.peak_sensible_W + self.latent_at_peak_W

    @property
    def dehumidification_kg_s(self) -> float:
        """Water to take out over the day to hold the indoor humidity, mean [kg/s]."""
        return float(self.latent_W.mean()) / moist_air.VAPORISATION


@dataclass(frozen=True)
class Designer:
    """A house in a place, asked for its design loads; everything is computed once and kept.

    solved : the same house in the same place on another supply, or changed in what no cooling load feels, whose cooling loads
    are these
    """

    model: HouseModel
    place: Place
    conditions: Conditions
    solved: Designer | None = None

    def on_panel(self, house: House) -> Designer:
        """The same loads for the house with another supply."""
        return Designer(replace(self.model, house=house), self.place, self.conditions, self)

    def heating(self, outdoor_C: float | None = None, wind_m_s: float = DESIGN_WIND_HEATING_M_S) -> HeatingLoad:
        """Steady load without sun or gains, indoor at the heating set point; sky at air temperature."""
        outdoor = self.conditions.heating_C if outdoor_C is None else outdoor_C
        return heating_load(self.model, outdoor, float(self.below_C(outdoor, "winter")), wind_m_s)

    @cached_property
    def cooling(self) -> CoolingLoad:
        """The worst month and, where the house may stand any way round, the worst of eight."""
        if self.solved is not None:
            return self.solved.cooling
        return with_components(self, max(self.cooling_days, key=lambda day: day.peak_sensible_W))

    @cached_property
    def damp(self) -> CoolingLoad | None:
        """The 1 % dew-point condition in the dampest month, the worst way round; None where no dew point is on record."""
        if self.solved is not None or self.conditions.dew_point_1_C is None:
            return None if self.solved is None else self.solved.damp
        return with_components(self, max(damp_days(self, self.ways), key=lambda day: day.peak_sensible_W))

    @property
    def cooling_conditions(self) -> tuple[CoolingLoad, ...]:
        """Both conditions a unit must carry, the one with the larger total first."""
        both = (self.cooling,) if self.damp is None else (self.cooling, self.damp)
        return tuple(sorted(both, key=lambda load: -load.total_at_peak_W))

    @cached_property
    def cooling_days(self) -> tuple[CoolingLoad, ...]:
        """Every month that can peak, every way the house may stand."""
        if self.solved is not None:
            return self.solved.cooling_days
        return cooling_days(self, self.months_that_can_peak(), self.ways)

    @property
    def ways(self) -> list[str]:
        """The bearings the front may face: all eight where that is unknown."""
        way = self.model.house.site.front_faces
        return list(EIGHT_BEARINGS) if way == "unknown" else [way]

    def months_that_can_peak(self) -> list[int]:
        """Months the house stands there whose mean daily maximum is within 14 K of the hottest's (low sun can beat heat)."""
        highs = {m: self.place.monthly.max_C[m - 1] for m in sorted(self.place.months)}
        return [m for m, high in highs.items() if high >= max(highs.values()) - 14.0]

    def below_C(self, outdoor_C: float | np.ndarray, season: str) -> float | np.ndarray:
        """Temperature the floor's underside answers to, for an outdoor temperature (ISO 13370)."""
        soil = self.model.house.below.soil_conductivity
        ground = ground_C(self.model.shell, self.model.on_ground_m2K_W, self.place.monthly.mean_C, season, soil)
        share = next((p.outdoor_share for p in self.model.opaque if p.body.boundary == "below"), 1.0)
        return share * outdoor_C + (1.0 - share) * ground


def design_conditions(model: HouseModel, place: Place) -> Conditions:
    """The place's values, or the user's own where the house file gives them."""
    own = model.house.design
    heat99 = place.heating_99_C if own.heating is None else own.heating
    heat996 = place.heating_996_C if own.heating is None else own.heating
    wet = own.cooling_wet_bulb if own.cooling_wet_bulb is not None else place.cooling_1_mcwb_C
    hot = place.cooling_1_C if own.cooling is None else own.cooling
    source = place.source if not own.source else worded("{} (the user's own values); else {}", own.source, place.source)
    dew_point, dry_bulb = _dew_point(own.cooling_dew_point, place)
    return Conditions(
        heating_99_C=heat99,
        heating_996_C=heat996,
        heating_C=heat996 if own.percentile == "99.6 %" else heat99,
        cooling_1_C=hot,
        cooling_1_mcwb_C=min(wet, hot),
        daily_range_K=place.daily_range_K if own.daily_range is None else own.daily_range,
        elevation_m=model.elevation_m,
        source=source,
        dew_point_1_C=dew_point,
        dew_point_1_dry_bulb_C=dry_bulb,
    )


def _dew_point(own_C: float | None, place: Place) -> tuple[float | None, float | None]:
    """The 1 % dew point and the mean dry bulb with it; the user's own keeps the record's distance between the two."""
    record, dry = place.dew_point_1_C, place.dew_point_1_dry_bulb_C
    if record is None or dry is None:
        return (None, None) if own_C is None else (own_C, own_C + USUAL_DAMP_RISE_K)
    return (record, dry) if own_C is None else (own_C, own_C + dry - record)


def damp_day(designer: Designer) -> tuple[int, DesignDay]:
    """The dampest month and its clear day at the 1 % dew point, which holds all day.

    Its dry bulb swings about the mean coincident with that dew point by the place's daily range, never below the dew point nor
    above the 1 % dry bulb (own choice: the record has no profile for it).
    """
    place, c = designer.place, designer.conditions
    dew, dry = c.dew_point_1_C, c.dew_point_1_dry_bulb_C
    assert dew is not None and dry is not None
    month = int(np.argmax(dew_points(place))) + 1
    swing = min(c.daily_range_K, 2.0 * max(dry - dew, 0.0))
    high = max(min(dry + swing / 2, c.cooling_1_C), dew)
    return month, _clear_day(designer, month, high, min(swing, high - dew), dew)


def design_day(designer: Designer, month: int) -> DesignDay:
    """The clear hot day of a month: the annual design value lowered by the drop of the month's mean daily maximum."""
    c, highs = designer.conditions, designer.place.monthly.max_C
    hot = c.cooling_1_C - (max(highs) - highs[month - 1])
    return _clear_day(designer, month, hot, c.daily_range_K, dew_points(designer.place)[month - 1])


def _clear_day(designer: Designer, month: int, high_C: float, range_K: float, dew_C: float) -> DesignDay:
    place, sun = designer.place, designer.place.monthly.ghi_kWh_m2_day
    return cooling_design_day(
        place.lat,
        place.lon,
        designer.conditions.elevation_m,
        place.utc_offset_h,
        month,
        high_C,
        range_K,
        dew_C,
        mean_ghi_kWh_m2_day=sun[month - 1] if sun else None,
    )


def cooling_days(designer: Designer, months: list[int], ways: list[str]) -> tuple[CoolingLoad, ...]:
    """Design days of several months, the house turned several ways, the air held at the cooling set point."""
    days = {month: (design_day(designer, month), humid_ratio(designer, month)) for month in months}
    return _loads(designer, days, ways)


def damp_days(designer: Designer, ways: list[str]) -> tuple[CoolingLoad, ...]:
    """The day of the 1 % dew point, the house turned several ways."""
    month, day = damp_day(designer)
    ratio = float(moist_air.humidity_ratio_from_dew_point(designer.conditions.dew_point_1_C, _pressure(designer)))
    return tuple(replace(load, condition=DEW_POINT) for load in _loads(designer, {month: (day, ratio)}, ways))


def _loads(designer: Designer, days: dict[int, tuple[DesignDay, float]], ways: list[str]) -> tuple[CoolingLoad, ...]:
    """All days with the house turned every way: the sun of all days at once, each plane once, what no way changes once."""
    together, planes = _stacked([day for day, _ in days.values()]), Planes()
    driven = [_day_inputs(designer, together, way, planes) for way in ways]
    inputs = np.stack([inputs for inputs, _ in driven], axis=1)  # (days, ways, hours, channels)
    held_W = -held_day(designer.model.summer_held, inputs.reshape(-1, *inputs.shape[2:]), _indoor_C(designer))
    sensible = held_W.reshape(inputs.shape[:3])
    found = []
    for k, (month, (day, ratio)) in enumerate(days.items()):
        air_W, latent_W = _air_loads(designer, day, ratio)
        found += [
            CoolingLoad(
                month=month,
                front_faces=way,
                outdoor_C=day.dry_bulb_C,
                sensible_W=sensible[k, w] + air_W,
                latent_W=latent_W,
                components_W={},
                glass_W=driven[w][1][k],
            )
            for w, way in enumerate(ways)
        ]
    return tuple(found)


def _stacked(days: list[DesignDay]) -> DesignDay:
    """Several days as one, (days, hours)."""
    names = ("altitude_deg", "azimuth_deg", "cos_zenith", "extraterrestrial")
    position = (np.array([np.broadcast_to(getattr(d.position, name), d.ghi.shape) for d in days]) for name in names)
    air, dni, ghi, dhi = (np.array([getattr(d, name) for d in days]) for name in ("dry_bulb_C", "dni", "ghi", "dhi"))
    return DesignDay(dry_bulb_C=air, dni=dni, ghi=ghi, dhi=dhi, position=SunPosition(*position), sky="")


def day_load(designer: Designer, day: DesignDay, month: int, front_faces: str) -> CoolingLoad:
    """Any day of a month that repeats itself, clear or not, the house turned one way, the air held at its set point."""
    return _loads(designer, {month: (day, humid_ratio(designer, month))}, [front_faces])[0]


def _air_loads(designer: Designer, day: DesignDay, ratio: float) -> tuple[np.ndarray, np.ndarray]:
    """Sensible heat of the outdoor air, and all latent heat [W]."""
    flow, moisture = _day_air(designer.model, day, _indoor_C(designer))
    return _outdoor_air_W(designer, day, flow), _latent(designer, moisture, ratio)


def with_components(designer: Designer, load: CoolingLoad) -> CoolingLoad:
    """The same day with its sensible load by cause; the causes sum to the load."""
    day = design_day(designer, load.month) if load.condition == DRY_BULB else damp_day(designer)[1]
    inputs, _ = _day_inputs(designer, day, load.front_faces)
    net = designer.model.summer_held
    terms = -held_day_by_term(net, inputs[None], _indoor_C(designer))[0]
    flow, _ = _day_air(designer.model, day, _indoor_C(designer))
    parts = _cooling_components(designer.model, net.term_names, terms)
    return replace(load, components_W=parts | {"outdoor air": _outdoor_air_W(designer, day, flow)})


def _indoor_C(designer: Designer) -> float:
    return designer.model.house.set_points.cooling


def _outdoor_air_W(designer: Designer, day: DesignDay, flow_m3_s: np.ndarray) -> np.ndarray:
    indoor = _indoor_C(designer)
    return room_heat_capacity(designer.model, indoor) * flow_m3_s * (_hour_means(day.dry_bulb_C) - indoor)


def _cooling_components(model: HouseModel, names: tuple[str, ...], terms: np.ndarray) -> dict[str, np.ndarray]:
    """Terms of the network gathered under the words a person sees [W]."""
    component_of = {p.name: p.component for p in model.parts}
    component_of |= {f"{p.name} sun": p.component for p in model.opaque}
    component_of |= {f"{w.name} sun": "sun through glass" for w in model.windows}
    component_of |= {"gains": "people and appliances"}
    parts: dict[str, np.ndarray] = {}
    for name, series in zip(names, terms.T, strict=True):
        if name in component_of:
            key = component_of[name]
            parts[key] = parts.get(key, 0.0) + series
    return parts


def _day_inputs(
    designer: Designer, day: DesignDay, front_faces: str, planes: Planes | None = None
) -> tuple[np.ndarray, np.ndarray]:
    model = designer.model
    sun, glass = sun_channels(model, day.position, day.dni, day.ghi, day.dhi, EIGHT_BEARINGS[front_faces], planes)
    living = living_day(model.house.living)
    channels = {
        "outdoor_C": _hour_means(day.dry_bulb_C),
        "sky_C": _hour_means(day.dry_bulb_C),
        "below_C": designer.below_C(_hour_means(day.dry_bulb_C), "summer"),
        **sun,
        "convective_gain_W": living.sensible_convective_W,
        "radiant_gain_W": living.sensible_radiant_W,
    }
    return inputs_of(
        model.summer, {k: v for k, v in channels.items() if k.endswith("_C") or k in model.summer.input_names}
    ), glass


def _day_air(model: HouseModel, day: DesignDay, indoor_C: float) -> tuple[np.ndarray, np.ndarray]:
    delta = indoor_C - _hour_means(day.dry_bulb_C)
    wind = DESIGN_WIND_COOLING_M_S
    return np.asarray(model.air.sensible(delta, wind)), np.asarray(model.air.moisture(delta, wind))


def _hour_means(readings: np.ndarray) -> np.ndarray:
    return 0.5 * (readings + np.roll(readings, 1, axis=-1))


def _latent(designer: Designer, flow_m3_s: np.ndarray, outside: float) -> np.ndarray:
    """Latent load [W]: moist outdoor air above the indoor humidity, and people; never below nil."""
    model, pressure = designer.model, _pressure(designer)
    indoor_C, relative = model.house.set_points.cooling, model.house.set_points.cooling_humidity
    inside = moist_air.humidity_ratio_from_relative(indoor_C, relative, pressure)
    air = latent_heat(flow_m3_s, outside - inside, pressure, indoor_C)
    return np.maximum(air + living_day(model.house.living).latent_W, 0.0)


def humid_ratio(designer: Designer, month: int) -> float:
    """Outdoor humidity ratio of a month's hot day: the dew point with the 1 % dry bulb lowered as the month's mean dew point."""
    c, pressure, dews = designer.conditions, _pressure(designer), dew_points(designer.place)
    hot = moist_air.humidity_ratio_from_wet_bulb(c.cooling_1_C, c.cooling_1_mcwb_C, pressure)
    dew = moist_air.dew_point(hot, pressure) - (max(dews) - dews[month - 1])
    return float(moist_air.humidity_ratio_from_dew_point(dew, pressure))


def _pressure(designer: Designer) -> float:
    return float(moist_air.pressure_at_altitude(designer.conditions.elevation_m))


def dew_points(place: Place) -> tuple[float, ...]:
    """Monthly dew points; the mean daily minimum where the record has none (a humid night ends near its dew point)."""
    return place.monthly.dew_point_C or place.monthly.min_C


def month_winds_m_s(place: Place) -> tuple[float, ...]:
    """Mean wind of each month [m/s]: the year's, by the usual year's course (tables/built_year_wind.csv)."""
    factor = np.array([float(r["factor"]) for r in rows("built_year_wind") if r["kind"] == "month"])
    winds = (place.wind_mean_m_s or DESIGN_WIND_COOLING_M_S) * factor / factor.mean()
    return tuple(float(w) for w in winds)


def designer_of(model: HouseModel, place: Place) -> Designer:
    """A house in a place with its design conditions."""
    return Designer(model, place, design_conditions(model, place))
