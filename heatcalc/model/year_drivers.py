"""What the year brings to a house, hour by hour: air, sky, sun, ground, outdoor air, people, set points.

Temperatures are readings at the end of the hour and run straight between; sun, gains and flows are means of the hour.
The clock is local standard time all year.  One network serves the whole year: inside films of horizontal heat flow on
every surface (roof and floor films swap with the season, which moves the year by less than a hundredth).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from heatcalc.inputs.house.living import WINTER_BELOW_C, LivingDay, living_day
from heatcalc.inputs.weather.hours_of_year import HOURS, Weather
from heatcalc.model.designer import EIGHT_BEARINGS
from heatcalc.model.house_model import HouseModel, still_air, zone_of
from heatcalc.model.household import Household, at_home, household_year, left_alone, night_open, set_points
from heatcalc.model.humidity import BUFFER
from heatcalc.model.parts import ground_C
from heatcalc.model.sunlight import Planes, sun_channels
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import window_airing
from heatcalc.physics.sun.sun import MONTH_DAYS, SunPosition, solar_position_year
from heatcalc.physics.sun.sun_day import cloud_from_sun, sky_temperature_clark_allen_C
from heatcalc.physics.unit.outdoor_unit import frost_driver
from heatcalc.physics.year.kernel_pack import Drive
from heatcalc.physics.zone.fast_loads import Alike, alike
from heatcalc.physics.zone.network import Modal, inputs_of, modal
from heatcalc.physics.zone.zone import Zone, network_of

FOUR_WAYS = ("north", "east", "south", "west")
ANY_WAY = "any way"  # the sun of the four ways averaged, in one walk
NODE_ERROR = 0.05
READINGS = ("outdoor_C", "sky_C", "below_C")
MONTH_OF_HOUR = np.repeat(np.arange(12), [24 * days for days in MONTH_DAYS])
HUMID_LIMIT = 0.6  # relative humidity above which an hour counts as humid in the sums


@dataclass(frozen=True, eq=False, kw_only=True)
class WeatherYear:
    """What a year of hours brings to any house; computed once for all of them."""

    weather: Weather
    position: SunPosition
    outdoor_C: np.ndarray  # means of the hour, as all below
    sky_C: np.ndarray  # reading at the hour's end
    humidity_ratio: np.ndarray
    relative: np.ndarray
    wind_m_s: np.ndarray
    frosts: np.ndarray  # whether air this cold and damp leaves frost on a coil
    sky_source: str
    lit: np.ndarray  # the hours with sun
    cover: np.ndarray  # cloud, 0 to 1
    planes: Planes = field(default_factory=dict)  # what falls on each plane in those, kept from house to house


@dataclass(frozen=True, eq=False)
class YearHouse:
    """A house ready to be walked: its modes, and the few channels they take."""

    model: HouseModel
    few: Alike
    modes: Modal
    living: LivingDay

    @cached_property
    def fan_off(self) -> Modal:
        """The modes without the head's fan: inside films of still air."""
        return _hourly(still_air(self.few.zone))

    @property
    def moisture_kg(self) -> float:
        """Dry air that moves with the room's humidity, materials included [kg]."""
        pressure = moist_air.pressure_at_altitude(self.model.elevation_m)
        return BUFFER * self.model.volume_m3 / float(moist_air.specific_volume(20.0, 0.006, pressure))


@dataclass(frozen=True, eq=False, kw_only=True)
class YearDrivers:
    """Everything known before the unit runs, with the house turned one way."""

    house: YearHouse
    brings: WeatherYear
    front_faces: str
    drive: Drive
    household: Household
    glass_W: np.ndarray  # sun through all glass

    @property
    def rest_W(self) -> np.ndarray:
        """Electricity of the rest of the house, hot water with it."""
        return np.sum(list(self.household.electric_W.values()), axis=0) if self.household.electric_W else np.zeros(HOURS)


def weather_year(weather: Weather) -> WeatherYear:
    """The part of the drivers that no house changes."""
    position = solar_position_year(weather.lat, weather.lon, weather.utc_offset_h)
    cover, source = weather.sky_cover, "cloud as recorded"
    if cover is None:
        cover, source = cloud_from_sun(weather.ghi, position.cos_zenith), "cloud estimated from each day's sun"
    lit = np.flatnonzero((position.cos_zenith > 0) & (weather.ghi + weather.dni + weather.dhi > 0))
    outdoor, sky, ratio, damp, wind, frosts = _air_of(weather, cover)
    return WeatherYear(
        weather=weather,
        position=position,
        outdoor_C=outdoor,
        sky_C=sky,
        humidity_ratio=ratio,
        relative=damp,
        wind_m_s=wind,
        frosts=frosts,
        sky_source=source,
        lit=lit,
        cover=cover,
    )


def warmer_year(brings: WeatherYear, by_K: float) -> WeatherYear:
    """The year with every hour colder or warmer, its relative humidity about kept; sun, cloud and wind stay."""
    w = brings.weather
    weather = replace(w, dry_bulb_C=w.dry_bulb_C + by_K, dew_point_C=w.dew_point_C + by_K)
    outdoor, sky, ratio, damp, _, frosts = _air_of(weather, brings.cover)
    return replace(brings, weather=weather, outdoor_C=outdoor, sky_C=sky, humidity_ratio=ratio, relative=damp, frosts=frosts)


def _air_of(weather: Weather, cover: np.ndarray) -> tuple[np.ndarray, ...]:
    """The fields of a `WeatherYear` from `outdoor_C` to `frosts`."""
    sky = sky_temperature_clark_allen_C(weather.dry_bulb_C, weather.dew_point_C, cover)
    ratio = moist_air.humidity_ratio_from_dew_point(weather.dew_point_C, weather.pressure_Pa)
    relative = np.minimum(moist_air.relative_humidity(weather.dry_bulb_C, ratio, weather.pressure_Pa), 1.0)
    outdoor, damp = hour_means(weather.dry_bulb_C), hour_means(relative)
    return outdoor, sky, hour_means(ratio), damp, hour_means(weather.wind_m_s), frost_driver(outdoor, damp) > 0


def hour_means(readings: np.ndarray) -> np.ndarray:
    """Means of the hours from readings at their ends, straight between; the year repeats."""
    return 0.5 * (readings + np.roll(readings, 1))


def year_house(model: HouseModel, node_error: float = NODE_ERROR) -> YearHouse:
    """The house's modes of one hour; parts of one construction are taken together (`alike`)."""
    few = alike(zone_of(model, "year"), node_error)
    return YearHouse(model, few, _hourly(few.zone), living_day(model.house.living))


def _hourly(zone: Zone) -> Modal:
    network = network_of(zone)
    return modal(network, linear=tuple(n for n in READINGS if n in network.input_names))


def moved(home: YearHouse, elevation_m: float) -> YearHouse:
    """The same house at another height for a sweep: its air thins, its modes stay (of what it stores, air is little)."""
    return replace(home, model=replace(home.model, elevation_m=elevation_m))


def drivers(house: YearHouse | HouseModel, weather: WeatherYear | Weather, front_faces: str) -> YearDrivers:
    """Drivers of one house in one year of weather; `front_faces` is a bearing word, or `ANY_WAY`."""
    home = house if isinstance(house, YearHouse) else year_house(house)
    brings = weather if isinstance(weather, WeatherYear) else weather_year(weather)
    sun, glass = sun_of(home, brings, front_faces)
    drive = with_moisture(
        home.model, brings, replace(dry_drive(home, brings, sun), moisture_gain_kg_s=lived(home, brings, "moisture_kg_s"))
    )
    asked = home.model.house
    household = household_year(asked.living, brings.outdoor_C, asked.set_points.heating)
    household = left_alone(household, at_home(asked.set_points))
    return YearDrivers(house=home, brings=brings, front_faces=front_faces, drive=drive, household=household, glass_W=glass)


def dry_drive(home: YearHouse, brings: WeatherYear, sun: dict[str, np.ndarray]) -> Drive:
    """All that moves heat: temperatures, sun, gains, set points, outdoor air; `sun` by channel as `sun_of` gives it."""
    heat_set, cool_set = set_points(home.model.house.set_points)
    inputs = inputs_of(
        home.modes,
        _temperatures(home.model, brings, heat_set)
        | sun
        | {
            "convective_gain_W": lived(home, brings, "sensible_convective_W"),
            "radiant_gain_W": lived(home, brings, "sensible_radiant_W"),
        },
    )
    return with_heat(home.model, brings, Drive(inputs=inputs, bins=MONTH_OF_HOUR, heat_set_C=heat_set, cool_set_C=cool_set))


def in_months(months: Sequence[int]) -> np.ndarray:
    """Which hours of the year lie in some months, 1 to 12."""
    return np.isin(MONTH_OF_HOUR + 1, months)


def daily(hours: np.ndarray) -> np.ndarray:
    """A plain day repeated through the year."""
    return np.tile(hours, HOURS // 24)


def lived(home: YearHouse, brings: WeatherYear, what: str) -> np.ndarray:
    """A gain of the household hour by hour, by the day of the season where an unvented heater burns in winter alone."""
    every = daily(getattr(home.living, what)) * at_home(home.model.house.set_points)
    if not home.model.house.living.unvented_heater:
        return every
    cold = np.array([brings.outdoor_C[m == MONTH_OF_HOUR].mean() < WINTER_BELOW_C for m in range(12)])
    return np.where(cold[MONTH_OF_HOUR], daily(getattr(living_day(home.model.house.living, winter=True), what)), every) * at_home(
        home.model.house.set_points
    )


def _temperatures(model: HouseModel, brings: WeatherYear, heat_set: np.ndarray) -> dict[str, np.ndarray]:
    outdoor = brings.weather.dry_bulb_C
    channels = {"outdoor_C": outdoor, "sky_C": brings.sky_C}
    if any(p.body.boundary == "below" for p in model.opaque):
        share = next(p.outdoor_share for p in model.opaque if p.body.boundary == "below")
        channels["below_C"] = share * outdoor + (1.0 - share) * _ground(model, outdoor)
    if any(p.of.under_loft for p in model.opaque):
        channels["loft_K"] = _warm_layer(model, brings.outdoor_C, heat_set)
    return channels


def _ground(model: HouseModel, outdoor_C: np.ndarray) -> np.ndarray:
    """The ground's answer through the year, a cosine between its coldest and warmest, in step with the air."""
    monthly = tuple(float(outdoor_C[m == MONTH_OF_HOUR].mean()) for m in range(12))
    soil, known = model.house.below.soil_conductivity, (model.shell, model.on_ground_m2K_W, monthly)
    cold, warm = (ground_C(*known, season, soil) for season in ("winter", "summer"))
    turn = 2 * np.pi * (np.arange(HOURS) + 0.5) / HOURS
    coldest = np.angle(-np.sum(outdoor_C * np.exp(1j * turn)))
    return 0.5 * (cold + warm) - 0.5 * (warm - cold) * np.cos(turn - coldest)


def _warm_layer(model: HouseModel, outdoor_C: np.ndarray, heat_set: np.ndarray) -> np.ndarray:
    """Excess of the air under the roof [K]: the stated one in the coldest hundredth of hours, in proportion to the difference."""
    stated = model.house.loft.warmer_by if model.house.loft else 0.0
    difference = np.maximum(heat_set - outdoor_C, 0.0)
    return stated * np.minimum(difference / max(float(np.quantile(difference, 0.99)), 1.0), 1.0)


def sun_of(home: YearHouse, brings: WeatherYear, front_faces: str) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """The house's few channels of sun, night filled with nil; means of the four ways for `ANY_WAY`."""
    w, p = brings.weather, brings.position
    lit = brings.lit
    day = SunPosition(p.altitude_deg[lit], p.azimuth_deg[lit], p.cos_zenith[lit], p.extraterrestrial[lit])
    ways = FOUR_WAYS if front_faces == ANY_WAY else (front_faces,)
    total: dict[str, np.ndarray] = {}
    for way in ways:
        light = w.dni[lit], w.ghi[lit], w.dhi[lit]
        many, glass = sun_channels(home.model, day, *light, EIGHT_BEARINGS[way], brings.planes, lit % 24)
        for name, series in (home.few.channels(many) | {"": glass}).items():
            total[name] = total.get(name, 0.0) + series / len(ways)
    spread = {name: _at(lit, series) for name, series in total.items()}
    return {name: series for name, series in spread.items() if name}, spread[""]


def _at(places: np.ndarray, values: np.ndarray) -> np.ndarray:
    whole = np.zeros(HOURS)
    whole[places] = values
    return whole


def with_air(model: HouseModel, brings: WeatherYear, drive: Drive) -> Drive:
    """Outdoor air of every hour, its heat and its moisture."""
    return with_moisture(model, brings, with_heat(model, brings, drive))


def with_heat(model: HouseModel, brings: WeatherYear, drive: Drive) -> Drive:
    """Heat the outdoor air carries, less what closed shutters keep in; the indoor side is taken at the set point (between them
    at the outdoor temperature)."""
    indoor = _held_C(brings, drive)
    per_flow = moist_air.volumetric_heat_capacity(indoor, 0.0, moist_air.pressure_at_altitude(model.elevation_m))
    flow = np.asarray(model.air.sensible(indoor - brings.outdoor_C, brings.wind_m_s)) + _by_night(model, brings, drive)
    shut = 0.0 if model.shutters_W_K is None else daily(model.shutters_W_K)
    return replace(drive, exchange_W_K=per_flow * flow + shut, exchange_C=brings.outdoor_C)


def with_moisture(model: HouseModel, brings: WeatherYear, drive: Drive) -> Drive:
    """Moisture the outdoor air carries, and the humidity above which an hour counts as humid."""
    indoor, pressure = _held_C(brings, drive), moist_air.pressure_at_altitude(model.elevation_m)
    dry_air = 1.0 / moist_air.specific_volume(indoor, brings.humidity_ratio, pressure)
    flow = np.asarray(model.air.moisture(indoor - brings.outdoor_C, brings.wind_m_s)) + _by_night(model, brings, drive)
    return replace(
        drive,
        moisture_flow_kg_s=dry_air * flow,
        outdoor_humidity_ratio=brings.humidity_ratio,
        humid_limit=moist_air.humidity_ratio_from_relative(indoor, HUMID_LIMIT, pressure),
    )


def _by_night(model: HouseModel, brings: WeatherYear, drive: Drive) -> np.ndarray:
    """Outdoor air through the window opened and by the fan that runs to cool the house at night, hour by hour [m3/s]."""
    said = model.house.ventilation
    if not said.night_window and not said.night_fan:
        return np.zeros(HOURS)
    wind, cool_C = model.air.coefficients.speed_multiplier * brings.wind_m_s, np.broadcast_to(drive.cool_set_C, HOURS)
    flow = window_airing(said.night_window, wind, cool_C - brings.outdoor_C) + said.night_fan
    return flow * night_open(brings.outdoor_C, cool_C, said)


def _held_C(brings: WeatherYear, drive: Drive) -> np.ndarray:
    return np.clip(brings.outdoor_C, drive.heat_set_C, drive.cool_set_C)
