"""The built year of every place with every package and unit: one walk a package, all units on its hourly heat and cold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from heatcalc.answers.study.processes import in_processes
from heatcalc.errors import NoAnswer
from heatcalc.inputs.place.place_record import Place, built_year
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.sites import Sites, place_of
from heatcalc.model.house_model import HouseModel
from heatcalc.model.year_drivers import ANY_WAY, WeatherYear, YearHouse, drivers, weather_year, year_house
from heatcalc.model.year_unit import DRY, RoomUnits
from heatcalc.model.year_unit import GRID_C as FINE_C
from heatcalc.physics.unit.at_site import capacity_factor, sensible_factor
from heatcalc.physics.unit.heat_pump import rule
from heatcalc.physics.unit.outdoor_unit import humidity_factor
from heatcalc.physics.year.kernel import year
from heatcalc.physics.year.kernel_pack import UNLIMITED_PLANT

Array = np.ndarray
EVERY = 5
GRID_C = FINE_C[::EVERY]
CHUNK = 12  # places a task
NEEDS = ("heat_kWh", "cool_kWh")


@dataclass(frozen=True, eq=False)
class YearsOfPlaces:
    """Annual sums (packages, units, places) by the names of `fast_year.SUMS`, and needs (packages, places); where the work was
    stopped early, the first `walked` places have numbers and the others NaN."""

    sums: dict[str, Array]
    needs: dict[str, Array]
    walked: int

    def middle(self, name: str, package: int, unit: int) -> tuple[float, float, float]:
        """5, 50 and 95 % of the places walked, of one sum."""
        low, middle, high = np.percentile(self.sums[name][package, unit, : self.walked], (5, 50, 95))
        return float(low), float(middle), float(high)


@dataclass(frozen=True, eq=False, kw_only=True)
class UnitTables:
    """Units in their room on one temperature grid, (units, 3 levels, grid), at sea level."""

    heat_W: Array
    heat_power_W: Array
    cool_W: Array  # sensible
    wet: Array  # levels whose share answers to altitude
    cool_power_W: Array
    by_rule: Array  # frost stands in the curves by rule, and answers to the hour's humidity
    steady: Array  # defrosting in the cold stands in them by rule
    standby_W: Array
    crankcase_W: Array
    pan_W: Array


def unit_tables(units: Sequence[Unit], model: HouseModel) -> UnitTables:
    """Tables of units for a house's set points, the cooled room at its sea-level wet bulb."""
    rooms, points = RoomUnits(), model.house.set_points
    here = [rooms.get(u, points, 0.0) for u in units]

    def of(name: str) -> Array:
        return np.array([getattr(t, name)[::EVERY].T for t in here])

    share = of("sensible_share")
    sensible = np.maximum.accumulate(of("cooling_capacity_W") * share, axis=1)
    return UnitTables(
        heat_W=of("heating_capacity_W"),
        heat_power_W=of("heating_power_W"),
        cool_W=sensible,
        wet=share <= DRY,
        cool_power_W=of("cooling_power_W"),
        by_rule=np.array([not u.tested_frost_point for u in units]),
        steady=np.array([u.defrost != "integrated" for u in units]),
        standby_W=np.array([u.standby_W for u in units]),
        crankcase_W=np.array([u.crankcase_W for u in units]),
        pan_W=np.array([u.pan_heater_W for u in units]),
    )


def walk_everywhere(
    models: Sequence[HouseModel], units: Sequence[Unit], sites: Sites, workers: int = 2, told: Callable[[int], None] | None = None
) -> YearsOfPlaces:
    """Walk every place, in processes; stopping it (Ctrl-C) keeps the places that are done.

    Raises NoAnswer where it was stopped before the first.
    """
    alike = rooms_of(models)
    tables = [unit_tables(units, models[which[0]]) for which in alike]
    cuts = [sites.key[a : a + CHUNK] for a in range(0, len(sites), CHUNK)]
    work = partial(walk_places, [replace(m, elevation_m=0.0) for m in models], alike, tables, sites.kind)
    parts: list[tuple[Array, Array]] = []
    try:
        for part in in_processes(workers)(work, cuts):
            parts.append(part)
            if told:
                told(len(part[0]))
    except KeyboardInterrupt:
        if not parts:
            raise NoAnswer("stopped before the first place was done") from None
    return _many_years(parts, len(sites))


def _many_years(parts: Sequence[tuple[Array, Array]], places: int) -> YearsOfPlaces:
    from heatcalc.physics.year.fast_year import SUMS

    walked = sum(len(p[0]) for p in parts)
    sums, needs = (np.moveaxis(_up_to(places, np.concatenate([p[k] for p in parts])), 0, -1) for k in (0, 1))
    return YearsOfPlaces({n: sums[:, :, k] for k, n in enumerate(SUMS)}, {n: needs[:, k] for k, n in enumerate(NEEDS)}, walked)


def _up_to(places: int, done: Array) -> Array:
    """The places that are done, the others NaN."""
    return np.concatenate([done, np.full((places - len(done), *done.shape[1:]), np.nan)])


def rooms_of(models: Sequence[HouseModel]) -> list[list[int]]:
    """Numbers of the models that share their set points, so that a unit's tables serve them together."""
    groups: dict[tuple, list[int]] = {}
    for k, m in enumerate(models):
        points = m.house.set_points
        groups.setdefault((points.heating, points.cooling, points.cooling_humidity), []).append(k)
    return list(groups.values())


def walk_places(
    models: Sequence[HouseModel], alike: Sequence[Sequence[int]], tables: Sequence[UnitTables], kind: str, keys: Sequence[str]
) -> tuple[Array, Array]:
    """Sums (places, packages, units, SUMS) and needs (places, packages, 2) of some places; what one task does."""
    homes = [year_house(m) for m in models]
    found = [walk_place(homes, alike, tables, place_of(kind, key)) for key in keys]
    return np.array([f for f, _ in found]), np.array([n for _, n in found])


def walk_place(
    homes: Sequence[YearHouse], alike: Sequence[Sequence[int]], tables: Sequence[UnitTables], place: Place
) -> tuple[Array, Array]:
    """One place: the weather once, a walk for each package, all units on it."""
    brings = weather_year(built_year(place))
    loads = [_loads(replace(h, model=replace(h.model, elevation_m=place.elevation_m)), brings) for h in homes]
    heat, cool = (np.array([load[k] for load in loads]) for k in (0, 1))
    parts = [
        _units(t, brings, place.elevation_m, heat[list(which)], cool[list(which)]) for t, which in zip(tables, alike, strict=True)
    ]
    order = np.argsort([k for which in alike for k in which])
    return np.concatenate(parts)[order], np.column_stack([heat.sum(axis=1), cool.sum(axis=1)]) / 1000.0


def _loads(home: YearHouse, brings: WeatherYear) -> tuple[Array, Array]:
    drive = drivers(home, brings, ANY_WAY).drive
    plant_W = year(home.modes, drive, UNLIMITED_PLANT, series=True).hourly("unit_W")
    return np.maximum(plant_W, 0.0), np.maximum(-plant_W, 0.0)


def _units(t: UnitTables, brings: WeatherYear, elevation_m: float, heat_W: Array, cool_W: Array) -> Array:
    from heatcalc.physics.year.fast_year import unit_years

    outdoor = brings.outdoor_C
    at = (outdoor - GRID_C[0]) / (GRID_C[1] - GRID_C[0])
    row = np.clip(at.astype(int), 0, len(GRID_C) - 2)
    factor, drier = capacity_factor(elevation_m), sensible_factor(elevation_m)
    frost = humidity_factor(outdoor, brings.relative, t.by_rule[:, None], t.steady[:, None])
    crankcase = t.crankcase_W[:, None] * (outdoor < rule("crankcase_below"))
    pan = t.pan_W[:, None] * ((outdoor < rule("pan_heater_below")) & brings.frosts)
    cool = t.cool_W * np.where(t.wet, drier, 1.0) * factor
    return unit_years(
        row, at - row, heat_W, cool_W, t.heat_W * factor, t.heat_power_W, cool, t.cool_power_W, frost, t.standby_W, crankcase, pan
    )
