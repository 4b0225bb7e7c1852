"""Design loads of one house in one place: the steady cold, and the repeating hot day, from the same network."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import Place
from heatcalc.model.below_floor import ground_C
from heatcalc.model.house_model import HouseModel
from heatcalc.model.sunlight import sun_channels
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.ventilation import latent_heat
from heatcalc.physics.sun.sun_day import DesignDay, cooling_design_day
from heatcalc.physics.zone.held_day import held_day, held_day_by_term
from heatcalc.physics.zone.network import inputs_of, steady
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
    source: Said


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
    air_C: float  # of the room's air, for the room to feel like `indoor_C` beside cold surfaces


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
        return heating_load(self.model, outdoor, float(self.below_C(outdoor, "winter")), wind_m_s)

    @cached_property
    def cooling(self) -> CoolingLoad:
        """The worst month and, where the house may stand any way round, the worst of eight."""
        return with_components(self, max(self.cooling_days, key=lambda day: day.peak_sensible_W))

    @cached_property
    def cooling_days(self) -> tuple[CoolingLoad, ...]:
        """Every month that can peak, every way the house may stand."""
        way = self.model.house.site.front_faces
        ways: list[str] = list(EIGHT_BEARINGS) if way == "unknown" else [way]
        return cooling_days(self, self.months_that_can_peak(), ways)

    def months_that_can_peak(self) -> list[int]:
        """Months whose mean daily maximum is within 14 K of the hottest month's (low sun can beat heat)."""
        highs = self.place.monthly.max_C
        return [m + 1 for m in range(12) if highs[m] >= max(highs) - 14.0]

    def below_C(self, outdoor_C: float | np.ndarray, season: str) -> float | np.ndarray:
        """Temperature the floor's underside answers to, for an outdoor temperature (ISO 13370)."""
        ground = ground_C(self.model.shell, self.model.on_ground_m2K_W, self.place.monthly.mean_C, season)
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
    return Conditions(
        heat99,
        heat996,
        heat996 if own.percentile == "99.6 %" else heat99,
        hot,
        min(wet, hot),
        place.daily_range_K if own.daily_range is None else own.daily_range,
        model.elevation_m,
        source,
    )


def heating_load(model: HouseModel, outdoor_C: float, below_C: float, wind_m_s: float) -> HeatingLoad:
    """One steady state of the winter network, by component."""
    indoor = model.house.set_points.heating
    flow = float(model.air.sensible(indoor - outdoor_C, wind_m_s))
    leak = float(model.air.leak(indoor - outdoor_C, wind_m_s))
    per_flow = _heat_capacity(model, indoor)
    loft = model.house.loft.warmer_by if model.house.loft else 0.0
    air_C, terms = felt_state(model, _still(model, outdoor_C, below_C, loft), indoor, per_flow * flow)
    parts = {p.name: p.component for p in model.parts}
    exchanged = terms.get("air exchange", 0.0)
    components = _grouped(terms, parts)
    leak_share = min(leak / flow, 1.0) if flow > 0 else 0.0
    components |= {"infiltration": exchanged * leak_share, "ventilation": exchanged * (1 - leak_share)}
    ua = sum(model.ua_W_K.values())
    total = float(model.air.total(indoor - outdoor_C, wind_m_s))
    return HeatingLoad(
        outdoor_C,
        indoor,
        sum(components.values()),
        components,
        ua,
        (ua + per_flow * flow) * (indoor - outdoor_C),
        3600 * total / model.volume_m3,
        air_C,
    )


def felt_state(model: HouseModel, inputs: np.ndarray, felt_C: float, exchange_W_K: float) -> tuple[float, dict[str, float]]:
    """Air temperature [degC] and losses [W] with the air as warm as it takes for the room to feel like `felt_C`.

    Felt is the mean of air and radiant temperature (ISO 7726).  An air-only reading would flatter the load by a tenth
    behind cold walls; hand sheets mean the felt temperature too, since their one inside film takes air and surroundings
    at one temperature.  The network is linear, so two states give the answer.
    """
    one, two = (steady(model.still, inputs, air, exchange_W_K) for air in (felt_C, felt_C + 1.0))
    felt = [0.5 * (felt_C + k + state.temperatures_C["radiant star"]) for k, state in enumerate((one, two))]
    warmer = (felt_C - felt[0]) / (felt[1] - felt[0])
    return felt_C + warmer, {name: watts + warmer * (two.terms_W[name] - watts) for name, watts in one.terms_W.items()}


def _grouped(terms: dict[str, float], component_of: dict[str, str]) -> dict[str, float]:
    grouped: dict[str, float] = {}
    for name, watts in terms.items():
        if name in component_of:
            grouped[component_of[name]] = grouped.get(component_of[name], 0.0) + watts
    return grouped


def _still(model: HouseModel, outdoor_C: float, below_C: float, loft_K: float) -> np.ndarray:
    channels = {"outdoor_C": outdoor_C, "sky_C": outdoor_C, "below_C": below_C}
    if "loft_K" in model.still.input_names:
        channels["loft_K"] = loft_K
    return inputs_of(model.still, channels)


def _heat_capacity(model: HouseModel, air_C: float) -> float:
    """rho cp of the room's air at the site's pressure [J/(m3 K)]."""
    return float(moist_air.volumetric_heat_capacity(air_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m)))


def design_day(designer: Designer, month: int) -> DesignDay:
    """The clear hot day of a month: the annual design value lowered by the drop of the month's mean daily maximum."""
    place, c, highs = designer.place, designer.conditions, designer.place.monthly.max_C
    hot = c.cooling_1_C - (max(highs) - highs[month - 1])
    sun = place.monthly.ghi_kWh_m2_day
    return cooling_design_day(
        place.lat,
        place.lon,
        c.elevation_m,
        place.utc_offset_h,
        month,
        hot,
        c.daily_range_K,
        dew_points(place)[month - 1],
        mean_ghi_kWh_m2_day=sun[month - 1] if sun else None,
    )


def cooling_days(designer: Designer, months: list[int], ways: list[str]) -> tuple[CoolingLoad, ...]:
    """Design days of several months, the house turned several ways, the air held at the cooling set point."""
    days = {month: design_day(designer, month) for month in months}
    cases = [(month, way) for month in months for way in ways]
    drivers = [_day_inputs(designer, days[month], way) for month, way in cases]
    sensible = -held_day(designer.model.summer_held, np.array([inputs for inputs, _ in drivers]), _indoor_C(designer))
    return tuple(_cooling_load(designer, *cases[k], days[cases[k][0]], sensible[k], drivers[k][1]) for k in range(len(cases)))


def day_load(designer: Designer, day: DesignDay, month: int, front_faces: str) -> CoolingLoad:
    """Any day of a month that repeats itself, clear or not, the house turned one way, the air held at its set point."""
    inputs, glass = _day_inputs(designer, day, front_faces)
    held_W = -held_day(designer.model.summer_held, inputs[None], _indoor_C(designer))[0]
    return _cooling_load(designer, month, front_faces, day, held_W, glass)


def _cooling_load(
    designer: Designer, month: int, way: str, day: DesignDay, held_W: np.ndarray, glass_W: np.ndarray
) -> CoolingLoad:
    flow, moisture = _day_air(designer.model, day, _indoor_C(designer))
    outdoor_air = _outdoor_air_W(designer, day, flow)
    return CoolingLoad(month, way, day.dry_bulb_C, held_W + outdoor_air, _latent(designer, moisture, month), {}, glass_W)


def with_components(designer: Designer, load: CoolingLoad) -> CoolingLoad:
    """The same day with its sensible load by cause; the causes sum to the load."""
    day = design_day(designer, load.month)
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
    return _heat_capacity(designer.model, indoor) * flow_m3_s * (_hour_means(day.dry_bulb_C) - indoor)


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


def _day_inputs(designer: Designer, day: DesignDay, front_faces: str) -> tuple[np.ndarray, np.ndarray]:
    model = designer.model
    sun, glass = sun_channels(model, day.position, day.dni, day.ghi, day.dhi, EIGHT_BEARINGS[front_faces])
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
    return 0.5 * (readings + np.roll(readings, 1))


def _latent(designer: Designer, flow_m3_s: np.ndarray, month: int) -> np.ndarray:
    """Latent load [W]: moist outdoor air above the indoor humidity, and people; never below nil."""
    c, model = designer.conditions, designer.model
    pressure = moist_air.pressure_at_altitude(c.elevation_m)
    indoor_C, relative = model.house.set_points.cooling, model.house.set_points.cooling_humidity
    inside = moist_air.humidity_ratio_from_relative(indoor_C, relative, pressure)
    drier = max(dew_points(designer.place)) - dew_points(designer.place)[month - 1]
    outside = moist_air.humidity_ratio_from_wet_bulb(c.cooling_1_C, c.cooling_1_mcwb_C, pressure)
    outside = moist_air.humidity_ratio_from_dew_point(moist_air.dew_point(outside, pressure) - drier, pressure)
    air = latent_heat(flow_m3_s, outside - inside, pressure, indoor_C)
    return np.maximum(air + living_day(model.house.living).latent_W, 0.0)


def dew_points(place: Place) -> tuple[float, ...]:
    """Monthly dew points; the mean daily minimum where the record has none (a humid night ends near its dew point)."""
    return place.monthly.dew_point_C or place.monthly.min_C


def designer_of(model: HouseModel, place: Place) -> Designer:
    """A house in a place with its design conditions."""
    return Designer(model, place, design_conditions(model, place))
