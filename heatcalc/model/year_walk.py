"""The year of one house in one place: 8,760 hours with the unit in the loop, as sums and, on request, hour by hour.

Where the way the house stands is unknown, it is walked with its front to the north, east, south and west: energies and
hours are means of the four with their span, peaks are the worst.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.model.house_model import HouseModel
from heatcalc.model.household import Household
from heatcalc.model.year_drivers import (
    ANY_WAY,
    FOUR_WAYS,
    WeatherYear,
    YearDrivers,
    YearHouse,
    drivers,
    moved,
    weather_year,
    year_house,
)
from heatcalc.model.year_sums import HOUSEHOLD_USES, WayYear, way_year
from heatcalc.model.year_unit import RoomUnits, YearUnit, backup_watts, held_off, with_coil, year_unit
from heatcalc.physics.year.kernel import Years, years
from heatcalc.supply.supply_check import HourlyShare
from heatcalc.wording import Said

SLACK_K = 0.1  # an hour counts as unmet when it ends further than this from the set point

__all__ = [
    "ANY_WAY",
    "FOUR_WAYS",
    "ManyYears",
    "RoomUnits",
    "YearResult",
    "drivers",
    "moved",
    "run_many",
    "run_year",
    "weather_year",
    "year_house",
]


@dataclass(frozen=True, eq=False, kw_only=True)
class YearResult:
    """A year: means of the ways walked, spans and worst peaks, and every way by itself.  SI, energies in kWh."""

    house: YearHouse
    unit: Unit | None
    backup: str | float | None
    weather_source: str
    weather_report: tuple[Said, ...]
    sky_source: str
    ways: tuple[WayYear, ...]
    energy_kWh: dict[str, np.ndarray]
    """Monthly heat of the unit, backup heat, sensible and latent cooling."""
    electricity_kWh: dict[str, np.ndarray]
    """Monthly electricity by use."""
    hours: dict[str, float]
    degree_hours_K_h: dict[str, float]
    relative_mean: np.ndarray
    relative_max: np.ndarray
    heating_tenths_h: np.ndarray
    cooling_tenths_h: np.ndarray
    balance_kWh: dict[str, float]
    series: dict[str, np.ndarray] | None
    household: Household

    @property
    def middle(self) -> WayYear:
        """The way whose electricity (heat and cold, for an unlimited plant) is nearest the mean: its hours stand for the rest."""
        mean = np.mean([_measure(w) for w in self.ways])
        return min(self.ways, key=lambda w: abs(_measure(w) - mean))

    @property
    def electricity_year_kWh(self) -> float:
        """All electricity of the year."""
        return float(sum(m.sum() for m in self.electricity_kWh.values()))

    @property
    def conditioning_kWh(self) -> float:
        """Electricity of the year for heating and cooling with all their extras."""
        return self.electricity_year_kWh - float(sum(self.electricity_kWh[use].sum() for use in HOUSEHOLD_USES))

    @property
    def cord(self) -> HourlyShare:
        """The cord in the way that loads it most."""
        return max((w.cord for w in self.ways), key=lambda c: c.highest_A)

    @property
    def closure(self) -> float:
        """Worst relative error of the heat balance."""
        return max(w.closure for w in self.ways)

    def annual(self, name: str) -> float:
        """One of `energy_kWh` over the year."""
        return float(self.energy_kWh[name].sum())

    def span(self, name: str) -> tuple[float, float]:
        """Least and most of one of `energy_kWh`, of "electricity" or of `hours` over the ways walked."""
        found = [_annual(w, name) for w in self.ways]
        return min(found), max(found)

    def peak(self, name: str) -> tuple[float, int]:
        """Worst of the ways of one of the value-and-hour fields of `WayYear`, such as "unit_peak_W" or "coldest_C"."""
        found = [getattr(w, name) for w in self.ways]
        return min(found) if name == "coldest_C" else max(found)


@dataclass(frozen=True, eq=False)
class ManyYears:
    """Sums and peaks of models x units in one year of weather."""

    years: Years
    shape: tuple[int, int]
    rest_kWh: np.ndarray

    def annual(self, name: str) -> np.ndarray:
        """One of `kernel.SUMS` over the year, (models, units)."""
        return self.years.annual(name).reshape(self.shape)

    def peak(self, name: str) -> np.ndarray:
        """One of `kernel.PEAKS`, (models, units)."""
        return self.years.peak(name).reshape(self.shape)


def run_year(
    house: YearHouse | HouseModel,
    weather: WeatherYear | Weather,
    unit: Unit | None = None,
    backup: str | float | None = "resistance",
    front_faces: str | None = None,
    series: bool = False,
    rooms: RoomUnits | None = None,
    held: np.ndarray | None = None,
) -> YearResult:
    """Walk the year.

    unit : None = a plant that always carries the load (its heat and cold are the needs; it draws nothing)
    backup : "resistance" takes whatever the unit leaves, None gives none, a number is its watts
    front_faces : a bearing word or "unknown"; None = as the house file says
    held : share of every hour (8,760) in which a lock-out holds the heat pump off; the room drifts by what is missing
    """
    home = house if isinstance(house, YearHouse) else year_house(house)
    brings = weather if isinstance(weather, WeatherYear) else weather_year(weather)
    said = home.model.house.site.front_faces if front_faces is None else front_faces
    driven = [drivers(home, brings, way) for way in (FOUR_WAYS if said == "unknown" else (said,))]
    return year_of(driven, unit, backup, series, rooms, held)


def year_of(
    driven: Sequence[YearDrivers],
    unit: Unit | None,
    backup: str | float | None = "resistance",
    series: bool = False,
    rooms: RoomUnits | None = None,
    held: np.ndarray | None = None,
) -> YearResult:
    """The year from ready drivers, one for each way the house may stand."""
    home, brings = driven[0].house, driven[0].brings
    ready = year_unit(unit, home.model.house.set_points, home.model.elevation_m, brings, backup_watts(backup), rooms)
    if held is not None and unit is not None:
        ready = held_off(ready, held)
    ways = tuple(way_year(d, ready, y) for d, y in zip(driven, walked(driven, ready), strict=True))
    found = _combined(home, unit, backup, brings, ways, driven[0].household)
    return replace(found, series=found.middle.series) if series else found


def walked(driven: Sequence[YearDrivers], unit: YearUnit) -> list[Years]:
    """Each way's year with its hours; a real coil in a second walk, once each hour's cooling is known."""
    first = _walk(driven, [unit.plant] * len(driven))
    if unit.unit is None:
        return first
    return _walk(driven, [with_coil(unit, np.maximum(-y.hourly("unit_W"), 0.0)) for y in first])


def _walk(driven: Sequence[YearDrivers], plants: Sequence) -> list[Years]:
    home = driven[0].house
    many = years(
        [home.modes] * len(driven),
        [d.drive for d in driven],
        plants,
        moisture_kg=[home.moisture_kg] * len(driven),
        slack_K=SLACK_K,
        series=True,
    )
    assert many.series is not None
    return [
        Years(
            sums=many.sums[k],
            peaks=many.peaks[k],
            peak_steps=many.peak_steps[k],
            start_state=many.start_state[k],
            end_state=many.end_state[k],
            series=many.series[k],
        )
        for k in range(len(driven))
    ]


def run_many(
    houses: Sequence[YearHouse | HouseModel],
    weather: WeatherYear | Weather,
    units: Sequence[Unit | None],
    backup: str | float | None = None,
    front_faces: str = ANY_WAY,
    rooms: RoomUnits | None = None,
    workers: int = 1,
) -> ManyYears:
    """Every house with every unit in one year of weather, sums only; what the weather alone brings is worked out once.

    `ANY_WAY` takes the mean sun of the four ways in one walk.  One walk has the coil as at its least output (run_year
    walks a second time for it), so moisture is approximate here.  Keep `rooms` from place to place.  Houses with other
    kinds of parts are walked apart.
    """
    brings = weather if isinstance(weather, WeatherYear) else weather_year(weather)
    homes = [h if isinstance(h, YearHouse) else year_house(h) for h in houses]
    shelf, watts = rooms or RoomUnits(), backup_watts(backup)
    plants: dict[tuple, list] = {}
    for home in homes:
        key = _plant_key(home)
        if key not in plants:
            points = home.model.house.set_points
            plants[key] = [year_unit(u, points, home.model.elevation_m, brings, watts, shelf).plant for u in units]
    driven = [drivers(home, brings, front_faces) for home in homes]
    parts = [
        _batch([k for k, h in enumerate(homes) if h.modes.input_names == names], homes, driven, plants, workers)
        for names in dict.fromkeys(h.modes.input_names for h in homes)
    ]
    return ManyYears(_in_order(parts, len(units)), (len(homes), len(units)), np.array([d.rest_W.sum() / 1000.0 for d in driven]))


def _plant_key(home: YearHouse) -> tuple:
    points = home.model.house.set_points
    return (points.heating, points.cooling, points.cooling_humidity, home.model.elevation_m)


def _batch(which: list[int], homes, driven, plants, workers: int) -> tuple[list[int], Years]:
    """The houses that take the same channels, each with every unit."""
    each = [(k, plant) for k in which for plant in plants[_plant_key(homes[k])]]
    return which, years(
        [homes[k].modes for k, _ in each],
        [driven[k].drive for k, _ in each],
        [p for _, p in each],
        moisture_kg=[homes[k].moisture_kg for k, _ in each],
        slack_K=SLACK_K,
        workers=workers,
    )


def _in_order(parts: list[tuple[list[int], Years]], per_house: int) -> Years:
    """Batches joined in the order of the houses; end states stay behind."""
    place = np.concatenate([[k * per_house + u for k in which for u in range(per_house)] for which, _ in parts])
    order = np.argsort(place, kind="stable")
    sums, peaks, steps = (np.concatenate([getattr(y, name) for _, y in parts])[order] for name in ("sums", "peaks", "peak_steps"))
    return Years(sums=sums, peaks=peaks, peak_steps=steps, start_state=np.zeros(0), end_state=np.zeros(0), series=None)


def _measure(w: WayYear) -> float:
    return w.total_kWh + float(w.energy_kWh["heat"].sum() + w.energy_kWh["cool"].sum()) * 1e-3


def _annual(w: WayYear, name: str) -> float:
    if name == "electricity":
        return w.total_kWh
    return w.hours[name] if name in w.hours else float(w.energy_kWh[name].sum())


def _combined(
    home: YearHouse,
    unit: Unit | None,
    backup: str | float | None,
    brings: WeatherYear,
    ways: tuple[WayYear, ...],
    household: Household,
) -> YearResult:
    def mean(name: str):
        first = getattr(ways[0], name)
        if not isinstance(first, dict):
            return np.mean([getattr(w, name) for w in ways], axis=0)
        return {k: np.mean([getattr(w, name)[k] for w in ways], axis=0)[()] for k in first}

    return YearResult(
        house=home,
        unit=unit,
        backup=backup,
        weather_source=brings.weather.source,
        weather_report=brings.weather.report,
        sky_source=brings.sky_source,
        ways=ways,
        energy_kWh=mean("energy_kWh"),
        electricity_kWh=mean("electricity_kWh"),
        hours=mean("hours"),
        degree_hours_K_h=mean("degree_hours_K_h"),
        relative_mean=mean("relative_mean"),
        relative_max=np.max([w.relative_max for w in ways], axis=0),
        heating_tenths_h=mean("heating_tenths_h"),
        cooling_tenths_h=mean("cooling_tenths_h"),
        balance_kWh=mean("balance_kWh"),
        series=None,
        household=household,
    )
