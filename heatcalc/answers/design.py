"""Design loads of one house in one place: the steady cold, and the repeating hot day, from the same network."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.answers.model import HouseModel
from heatcalc.answers.sunlight import sun_channels
from heatcalc.inputs.living import living_day
from heatcalc.inputs.place import Place
from heatcalc.physics import moist_air
from heatcalc.physics.network import Control, inputs_of, loads_by_term, modal, repeating_day, steady
from heatcalc.physics.sun_day import DesignDay, cooling_design_day

DESIGN_WIND_HEATING_M_S, DESIGN_WIND_COOLING_M_S = 6.7, 3.4  # ASHRAE Handbook - Fundamentals 2021 ch. 17
LATENT_HEAT_J_kg = 2.501e6
EIGHT_BEARINGS = {"north": 0.0, "northeast": 45.0, "east": 90.0, "southeast": 135.0,
                  "south": 180.0, "southwest": 225.0, "west": 270.0, "northwest": 315.0}
HOURS = np.arange(1, 25)


@dataclass(frozen=True)
class Conditions:
    """Design conditions used, all at the site's elevation, and where they come from."""

    heating_99_C: float
    heating_996_C: float
    heating_C: float
    cooling_1_C: float
    cooling_1_mcwb_C: float
    daily_range_K: float
    elevation_m: float
    source: str


@dataclass(frozen=True)
class HeatingLoad:
    """The steady load at one outdoor temperature, by component [W]; components sum to the load."""

    outdoor_C: float
    indoor_C: float
    load_W: float
    components_W: dict[str, float]
    ua_W_K: float
    hand_check_W: float
    air_changes_per_h: float


@dataclass(frozen=True)
class CoolingLoad:
    """The repeating design day of one month with the house turned one way; hour h ends at h:00 standard time."""

    month: int
    front_faces: str
    outdoor_C: np.ndarray
    sensible_W: np.ndarray
    latent_W: np.ndarray
    components_W: dict[str, np.ndarray]
    glass_W: np.ndarray

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


@dataclass(frozen=True)
class Designer:
    """A house in a place, asked for its design loads; everything is computed once and kept."""

    model: HouseModel
    place: Place
    conditions: Conditions

    def heating(self, outdoor_C: float | None = None, wind_m_s: float = DESIGN_WIND_HEATING_M_S) -> HeatingLoad:
        """Steady load without sun or gains, indoor at the heating set point; sky at air temperature."""
        outdoor = self.conditions.heating_C if outdoor_C is None else outdoor_C
        return heating_load(self.model, outdoor, self.ground_C("winter"), wind_m_s)

    @cached_property
    def cooling(self) -> CoolingLoad:
        """The worst month and, where the house may stand any way round, the worst of eight."""
        return max(self.cooling_days, key=lambda day: day.peak_sensible_W)

    @cached_property
    def cooling_days(self) -> tuple[CoolingLoad, ...]:
        """Every month that can peak, every way the house may stand; sensible and latent, without components."""
        ways = [self.model.house.site.front_faces]
        ways = list(EIGHT_BEARINGS) if ways == ["unknown"] else ways
        return tuple(cooling_day(self, month, way) for month in self.months_that_can_peak() for way in ways)

    def months_that_can_peak(self) -> list[int]:
        """Months whose mean daily maximum is within 14 K of the hottest month's (low sun can beat heat)."""
        highs = self.place.monthly.max_C
        return [m + 1 for m in range(12) if highs[m] >= max(highs) - 14.0]

    def ground_C(self, season: str) -> float:
        """Mean outdoor temperature that the ground under the floor follows."""
        return float(np.mean(self.place.monthly.mean_C))

    @cached_property
    def cooling_components(self) -> dict[str, np.ndarray]:
        """Sensible load of the worst day by cause [W], hour by hour; they sum to the load."""
        return cooling_components(self, self.cooling)


def design_conditions(model: HouseModel, place: Place) -> Conditions:
    """The place's values, or the user's own where the house file gives them."""
    own = model.house.design
    heat99 = place.heating_99_C if own.heating is None else own.heating
    heat996 = place.heating_996_C if own.heating is None else own.heating
    wet = own.cooling_wet_bulb if own.cooling_wet_bulb is not None else place.cooling_1_mcwb_C
    hot = place.cooling_1_C if own.cooling is None else own.cooling
    source = place.source if not own.source else f"{own.source} (the user's own values); else {place.source}"
    return Conditions(heat99, heat996, heat996 if own.percentile == "99.6 %" else heat99, hot, min(wet, hot),
                      place.daily_range_K if own.daily_range is None else own.daily_range, model.elevation_m, source)


def heating_load(model: HouseModel, outdoor_C: float, ground_C: float, wind_m_s: float) -> HeatingLoad:
    """One steady state of the winter network, by component."""
    indoor = model.house.set_points.heating
    flow = float(model.air.sensible(indoor - outdoor_C, wind_m_s))
    leak = float(model.air.leak(indoor - outdoor_C, wind_m_s))
    per_flow = _heat_capacity(model, indoor)
    loft = model.house.loft.warmer_by if model.house.loft else 0.0
    result = steady(model.winter, _still(model, outdoor_C, ground_C, loft), indoor, per_flow * flow)
    parts = {p.name: p.component for p in (*model.opaque, *model.windows)}
    air = result.terms_W.get("air exchange", 0.0)
    components = _grouped({k: v for k, v in result.terms_W.items() if k != "air exchange"}, parts)
    leak_share = min(leak / flow, 1.0) if flow > 0 else 0.0
    components |= {"infiltration": air * leak_share, "ventilation": air * (1 - leak_share)}
    ua = sum(model.ua_W_K.values())
    total = float(model.air.total(indoor - outdoor_C, wind_m_s))
    return HeatingLoad(outdoor_C, indoor, result.load_W, components, ua,
                       (ua + per_flow * flow) * (indoor - outdoor_C), 3600 * total / model.volume_m3)


def _grouped(terms: dict[str, float], component_of: dict[str, str]) -> dict[str, float]:
    grouped: dict[str, float] = {}
    for name, watts in terms.items():
        if name in component_of:
            grouped[component_of[name]] = grouped.get(component_of[name], 0.0) + watts
    return grouped


def _still(model: HouseModel, outdoor_C: float, ground_C: float, loft_K: float) -> np.ndarray:
    channels = {"outdoor_C": outdoor_C, "sky_C": outdoor_C, "below_C": ground_C}
    if "loft_K" in model.winter.input_names:
        channels["loft_K"] = loft_K
    return inputs_of(model.winter, channels)


def _heat_capacity(model: HouseModel, air_C: float) -> float:
    """rho cp of the room's air at the site's pressure [J/(m3 K)]."""
    return float(moist_air.volumetric_heat_capacity(air_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m)))


def design_day(designer: Designer, month: int) -> DesignDay:
    """The clear hot day of a month: the annual design value lowered by the drop of the month's mean daily maximum."""
    place, c, highs = designer.place, designer.conditions, designer.place.monthly.max_C
    hot = c.cooling_1_C - (max(highs) - highs[month - 1])
    return cooling_design_day(place.lat, place.lon, c.elevation_m, place.utc_offset_h, month, hot, c.daily_range_K,
                              _dew_points(place)[month - 1], mean_ghi_kWh_m2_day=place.monthly.ghi_kWh_m2_day and place.monthly.ghi_kWh_m2_day[month - 1])


def cooling_day(designer: Designer, month: int, front_faces: str) -> CoolingLoad:
    """Sensible and latent load of one month's design day with the air held at the cooling set point."""
    model, day = designer.model, design_day(designer, month)
    inputs, glass = _day_inputs(designer, day, front_faces)
    indoor = model.house.set_points.cooling
    flow, moisture = _day_air(model, day, indoor)
    control = Control(indoor, indoor, exchange_W_K=_heat_capacity(model, indoor) * flow, exchange_C=_hour_means(day.dry_bulb_C))
    walked = repeating_day(modal(model.summer, linear=("outdoor_C",)), inputs, control)
    latent = _latent(designer, moisture, month)
    return CoolingLoad(month, front_faces, day.dry_bulb_C, -walked.plant_W, latent, {}, glass)


def cooling_components(designer: Designer, worst: CoolingLoad) -> dict[str, np.ndarray]:
    """Each cause acting alone on the network through the same repeating day [W]."""
    model, day = designer.model, design_day(designer, worst.month)
    inputs, _ = _day_inputs(designer, day, worst.front_faces)
    indoor = model.house.set_points.cooling
    flow, _ = _day_air(model, day, indoor)
    names, watts = loads_by_term(model.summer, inputs, indoor, _heat_capacity(model, indoor) * flow,
                                 _hour_means(day.dry_bulb_C), linear=("outdoor_C",))
    component_of = {p.name: p.component for p in (*model.opaque, *model.windows)}
    component_of |= {f"{w.name} sun": "sun through glass" for w in model.windows}
    component_of |= {f"{p.name} sun": f"{p.component}" for p in model.opaque}
    component_of |= {"gains": "people and appliances", "varying air exchange": "outdoor air", "air exchange": "outdoor air"}
    parts: dict[str, np.ndarray] = {}
    for name, series in zip(names, watts.T, strict=True):
        key = component_of.get(name, "other")
        parts[key] = parts.get(key, 0.0) - series
    return {k: v for k, v in parts.items() if np.abs(v).max() > 1e-9}


def _day_inputs(designer: Designer, day: DesignDay, front_faces: str) -> tuple[np.ndarray, np.ndarray]:
    model = designer.model
    sun, glass = sun_channels(model, day.position, day.dni, day.ghi, day.dhi, EIGHT_BEARINGS[front_faces])
    living = living_day(model.house.living)
    channels = {"outdoor_C": day.dry_bulb_C, "sky_C": day.dry_bulb_C, "below_C": designer.ground_C("summer"), **sun,
                "convective_gain_W": living.sensible_convective_W, "radiant_gain_W": living.sensible_radiant_W}
    return inputs_of(model.summer, {k: v for k, v in channels.items() if k.endswith("_C") or k in model.summer.input_names}), glass


def _day_air(model: HouseModel, day: DesignDay, indoor_C: float) -> tuple[np.ndarray, np.ndarray]:
    delta = indoor_C - _hour_means(day.dry_bulb_C)
    wind = DESIGN_WIND_COOLING_M_S
    return np.asarray(model.air.sensible(delta, wind)), np.asarray(model.air.moisture(delta, wind))


def _hour_means(readings: np.ndarray) -> np.ndarray:
    return 0.5 * (readings + np.roll(readings, 1))


def _latent(designer: Designer, flow_m3_s: np.ndarray, month: int) -> np.ndarray:
    """Latent load [W]: moist outdoor air above the indoor humidity, and people; never below nil."""
    c, model = designer.conditions, designer.model
    pressure = moist_air.pressure_at_altitude(c.elevation_m)
    indoor_C, relative = model.house.set_points.cooling, model.house.set_points.cooling_humidity
    inside = moist_air.humidity_ratio_from_relative(indoor_C, relative, pressure)
    drier = max(_dew_points(designer.place)) - _dew_points(designer.place)[month - 1]
    outside = moist_air.humidity_ratio_from_wet_bulb(c.cooling_1_C, c.cooling_1_mcwb_C, pressure)
    outside = moist_air.humidity_ratio_from_dew_point(moist_air.dew_point(outside, pressure) - drier, pressure)
    density = moist_air.density(indoor_C, inside, pressure)
    air = flow_m3_s * density * (outside - inside) * LATENT_HEAT_J_kg
    return np.maximum(air + living_day(model.house.living).latent_W, 0.0)


def _dew_points(place: Place) -> tuple[float, ...]:
    """Monthly dew points; the mean daily minimum where the record has none (a humid night ends near its dew point)."""
    return place.monthly.dew_point_C or place.monthly.min_C


def designer_of(model: HouseModel, place: Place) -> Designer:
    """A house in a place with its design conditions."""
    return Designer(model, place, design_conditions(model, place))
