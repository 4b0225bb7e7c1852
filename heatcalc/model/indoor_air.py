"""Air on both sides of an assembly over the year: computed for a house, by a class of the standard, or as the user gives it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import DAY_S, WINTER_BELOW_C, living_day
from heatcalc.inputs.place.find_place import Place
from heatcalc.model.designer import dew_points, month_winds_m_s
from heatcalc.model.house_model import HouseModel
from heatcalc.model.humidity import settled_humidity_ratio
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.vapour import (
    class_excess,
    floating_indoor_temperature,
    saturation_pressure,
    saturation_temperature,
    vapour_excess,
)
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

COOLED_FROM_C = 20.0  # mean outdoor temperature from which the room is taken as cooled, the upper end of the floating range


@dataclass(frozen=True, kw_only=True)
class AirOverYear:
    """Monthly means on both sides of an assembly; `basis` says where the indoor air comes from, `place` the outdoor air."""

    outdoor_C: tuple[float, ...]
    outdoor_Pa: tuple[float, ...]
    indoor_C: tuple[float, ...]
    indoor_Pa: tuple[float, ...]
    basis: Said
    place: str

    @property
    def indoor_rh(self) -> tuple[float, ...]:
        """Monthly indoor relative humidity (0..1)."""
        return tuple(float(p / saturation_pressure(t)) for p, t in zip(self.indoor_Pa, self.indoor_C, strict=True))

    @property
    def winter_dew_point_C(self) -> float:
        """Dew point of the indoor air in the coldest month [degC]."""
        return saturation_temperature(self.indoor_Pa[int(np.argmin(self.outdoor_C))])


def air_of_house(model: HouseModel, place: Place) -> AirOverYear:
    """Month by month what the household sets free against what the house's own air exchange carries away.

    Air exchange at the month's mean temperature and wind; in cooled months the unit is taken to hold the house's cooling
    humidity.  Raises NoAnswer where no outdoor air moves at all.
    """
    points = model.house.set_points
    living = model.house.living
    water = [float(living_day(living, winter=te < WINTER_BELOW_C).moisture_kg_s.mean()) for te in place.monthly.mean_C]
    indoor = tuple(floating_indoor_temperature(t, points.heating, points.cooling) for t in place.monthly.mean_C)
    flow = _monthly_flow(model, place, indoor)
    if not min(flow) > 0:
        raise NoAnswer("without outdoor air the indoor humidity has no steady value")
    air = _air(place, indoor, [0.0] * 12, "")
    settled = _settled_Pa(air, water, flow, float(moist_air.pressure_at_altitude(model.elevation_m)))
    air = replace(air, indoor_Pa=settled)
    dried = [
        min(p, points.cooling_humidity * float(saturation_pressure(t))) if te >= COOLED_FROM_C else p
        for p, t, te in zip(air.indoor_Pa, air.indoor_C, air.outdoor_C, strict=True)
    ]
    air = replace(air, indoor_Pa=tuple(dried))
    return replace(air, basis=_house_words(model.house, float(np.mean(water)), flow, air))


def _monthly_flow(model: HouseModel, place: Place, indoor_C: tuple[float, ...]) -> tuple[float, ...]:
    """Outdoor air that carries moisture [m3/s], leaks and fan, in each month's mean weather."""
    delta = np.subtract(indoor_C, place.monthly.mean_C)
    return tuple(float(q) for q in model.air.moisture(delta, np.array(month_winds_m_s(place))))


def _settled_Pa(air: AirOverYear, water_kg_s: list[float], flow: tuple[float, ...], pressure_Pa: float) -> tuple[float, ...]:
    """Vapour pressure at which each month's room settles, by the balance that drying, sheets and the year share."""
    outside = [float(moist_air.humidity_ratio(p, pressure_Pa)) for p in air.outdoor_Pa]
    months = zip(outside, water_kg_s, flow, air.indoor_C, strict=True)
    settled = [settled_humidity_ratio(w, g, q, t, pressure_Pa) for w, g, q, t in months]
    most = [float(saturation_pressure(t)) for t in air.indoor_C]
    return tuple(min(float(moist_air.vapour_pressure(w, pressure_Pa)), top) for w, top in zip(settled, most, strict=True))


def _house_words(house: House, water_kg_s: float, flow: tuple[float, ...], air: AirOverYear) -> Said:
    """Whose people, fan and air tightness the humidity was computed from, and how to give one's own."""
    fan, cold = house.ventilation, int(np.argmin(air.outdoor_C))
    rate = "the ASHRAE 62.2 rate" if fan.rate == "auto" else fan.rate
    fans = "no fan" if fan.kind == "none" else f"{fan.kind} fan at {rate}"
    held = worded(
        "; months above {} as cooled and held at {:.0%} or drier",
        Q(COOLED_FROM_C, "temperature"),
        house.set_points.cooling_humidity,
    )
    return worded(
        "the computed humidity of {}{}: {} people set free {} of water a day; {} and {} carry it off "
        "with {} of outdoor air on average; {:.0%} to {:.0%} over the year, {:.0%} in the coldest "
        "month{}",
        house.name,
        " (invented demo house)" if "invented" in house.note else "",
        house.living.people,
        Q(water_kg_s * DAY_S, "mass"),
        fans,
        house.air.tightness,
        Q(sum(flow) / 12, "air flow"),
        min(air.indoor_rh),
        max(air.indoor_rh),
        air.indoor_rh[cold],
        held if max(air.outdoor_C) >= COOLED_FROM_C else "",
    )


def air_by_class(place: Place, indoor_C: float, humidity_class: int) -> AirOverYear:
    """Indoor air by an ISO 13788 humidity class (upper bound of the class)."""
    row = next(row for row in rows("humidity_classes") if row["class"] == str(humidity_class))
    excess = [class_excess(t, float(row["excess_Pa"])) for t in place.monthly.mean_C]
    cooled = max(place.monthly.mean_C) >= COOLED_FROM_C
    heated = "; a class is for heated rooms: it says nothing of a cooled summer" if cooled else ""
    basis = f"ISO 13788 humidity class {humidity_class} ({row['building']}; {row['mark']}){heated}"
    return _air(place, (indoor_C,) * 12, excess, basis)


def air_by_balance(place: Place, indoor_C: float, generation_kg_s: float, flow_m3_s: float) -> AirOverYear:
    """Indoor air by what people give off and the air change carries away (steady, no dehumidifier)."""
    excess = [vapour_excess(generation_kg_s, flow_m3_s, indoor_C)] * 12
    basis = worded("{} of moisture carried off by {} of outdoor air", Q(generation_kg_s, "mass flow"), Q(flow_m3_s, "air flow"))
    return _air(place, (indoor_C,) * 12, excess, basis)


def air_by_humidity(place: Place, indoor_C: float, indoor_rh: float) -> AirOverYear:
    """Indoor air by a relative humidity held all year."""
    inside = indoor_rh * float(saturation_pressure(indoor_C))
    air = _air(place, (indoor_C,) * 12, [0.0] * 12, f"{indoor_rh:.0%} indoor humidity as given")
    return replace(air, indoor_Pa=(inside,) * 12)


def _air(place: Place, indoor_C: tuple[float, ...], excess_Pa: list[float], basis: Said) -> AirOverYear:
    """Indoors never drier than the excess says, nor wetter than saturated."""
    dew = [min(d, t) for d, t in zip(dew_points(place), place.monthly.mean_C, strict=True)]
    outside = [float(saturation_pressure(t)) for t in dew]
    most = [float(saturation_pressure(t)) for t in indoor_C]
    inside = tuple(min(p + more, top) for p, more, top in zip(outside, excess_Pa, most, strict=True))
    return AirOverYear(
        outdoor_C=tuple(place.monthly.mean_C),
        outdoor_Pa=tuple(outside),
        indoor_C=indoor_C,
        indoor_Pa=inside,
        basis=basis,
        place=place.name,
    )
