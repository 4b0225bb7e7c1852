"""A test building described as data (data/standard140_*.toml), read into a zone and walked through a year.

No case needs code of its own: a file names another as its `base` and says what differs.
"""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from heatcalc.inputs.weather.hours_of_year import Weather
from heatcalc.inputs.weather.weather_hours import read_weather
from heatcalc.physics.air.moist_air import density, pressure_at_altitude
from heatcalc.physics.shell.glazing import overhang_sky_share, sunlit_fraction
from heatcalc.physics.shell.layers import radiative_coefficient
from heatcalc.physics.sun import sun
from heatcalc.physics.sun.sun_day import sky_temperature_clark_allen_C
from heatcalc.physics.year import kernel
from heatcalc.physics.zone.network import inputs_of, modal
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Window, Zone, network_of, star_coefficients

DATA = Path(__file__).parent / "data"
STEPS_AN_HOUR = 4
READINGS = ("outdoor_C", "sky_C")


@dataclass(frozen=True)
class Figures:
    """Annual energy [MWh], peaks of one-hour means [kW], temperatures of one-hour means [C]."""

    heating: float
    cooling: float
    peak_heating: float
    peak_cooling: float
    warmest: float
    coldest: float
    mean: float


def weather_with_opaque_cloud(path: Path) -> Weather:
    """A TMY3 year whose sky cover is the opaque one, as the sky's emission needs it."""
    with open(path, encoding="utf-8", newline="") as file:
        next(file)
        cover = np.array([float(r["OpqCld (tenths)"]) for r in csv.DictReader(file)]) / 10.0
    assert cover.min() >= 0.0
    return replace(read_weather(path), sky_cover=np.minimum(cover, 1.0))


def read_case(name: str) -> dict:
    """The case file with its base filled in below."""
    said = tomllib.loads((DATA / name).read_text(encoding="utf-8"))
    return _over(read_case(said["base"]), said) if "base" in said else said


def _over(base: dict, said: dict) -> dict:
    return {
        **base,
        **{k: _over(base[k], v) if isinstance(v, dict) and isinstance(base.get(k), dict) else v for k, v in said.items()},
    }


def air_W_K(case: dict, elevation_m: float) -> tuple[float, float]:
    """Heat capacity of the room's air [J/K] and of its infiltration [W/K] at the site's height."""
    air = case["air"]
    rho = float(density(air["density_at_C"], 0.0, pressure_at_altitude(elevation_m)))
    capacity = rho * air["specific_heat_J_kgK"] * air["volume_m3"]
    return capacity, capacity * air["infiltration_ach"] / 3600.0


def zone_of_case(case: dict, elevation_m: float, outdoor_mean_C: float) -> Zone:
    """The case as a zone: every coefficient from the file, long-wave exchange made linear at the mean temperatures."""
    radiation, elements, windows = case["radiation"], case["element"], case["window"]
    areas = [p["area_m2"] for p in (*elements.values(), *windows.values())]
    emittance = [radiation["inside_emittance"]] * len(elements) + [radiation["glass_emittance"]] * len(windows)
    star = np.zeros(len(areas))
    if radiation["star"] == "exchange":
        star = star_coefficients(np.array(areas), np.array(emittance), radiation["inside_mean_C"])
    inward = dict(zip((*elements, *windows), star, strict=True))
    walls = tuple(_element(case, name, e, inward[name], outdoor_mean_C) for name, e in elements.items())
    glass = tuple(_window(case, name, w, inward[name], outdoor_mean_C) for name, w in windows.items())
    capacity, exchange = air_W_K(case, elevation_m)
    return Zone(
        air_capacity_J_K=capacity, elements=walls, windows=glass, solar_lost=case["sun_inside"]["lost"], air_exchange_W_K=exchange
    )


def _element(case: dict, name: str, e: dict, star: float, outdoor_C: float) -> OpaqueElement:
    layers = case["layers"][case["construction"][e["kind"]]]
    inside, outside = case["coefficients"][e["kind"]]
    body = ElementBody(
        resistance=tuple(d / k for k, d, _, _ in layers),
        capacity=tuple(d * rho * c for _, d, rho, c in layers),
        sky_view=_sky_share(case, e),
        solar_absorptance=case["outside"]["solar_absorptance"],
        sun=f"{name} sun" if e.get("sunlit", True) else "",
    )
    films = Films(inside, star, outside, radiative_coefficient(case["radiation"]["outside_emittance"], outdoor_C))
    return OpaqueElement(name=name, area_m2=e["area_m2"], body=body, films=films, inside_solar_share=e["inside_solar_share"])


def _window(case: dict, name: str, w: dict, star: float, outdoor_C: float) -> Window:
    inside, outside = case["coefficients"]["window"]
    return Window(
        name=name,
        area_m2=w["area_m2"],
        resistance=1.0 / w["surface_to_surface_W_m2K"],
        films=Films(inside, star, outside, radiative_coefficient(case["radiation"]["glass_emittance"], outdoor_C)),
        sky_view=_sky_share(case, w),
        transmitted=f"{name} through",
        absorbed_outside=f"{name} outer",
        absorbed_inside=f"{name} inner",
    )


def _sky_share(case: dict, part: dict) -> float:
    """Share of the outside long-wave exchange that meets the sky: F x F^power of the upper half's view F."""
    if not part.get("sunlit", True):
        return 0.0
    view = (1.0 + np.cos(np.radians(part.get("tilt", 90.0)))) / 2.0
    return float(view * view ** case["radiation"]["sky_power"])


def channels(case: dict, weather: Weather) -> dict:
    """Hourly input channels of the case; temperatures are readings at the stamps, sun the mean of the hour."""
    gains = case["gains"]
    given = {
        "outdoor_C": weather.dry_bulb_C,
        "sky_C": sky_temperature_clark_allen_C(weather.dry_bulb_C, weather.dew_point_C, weather.sky_cover),
        "convective_gain_W": gains["sensible_W"] * (1.0 - gains["radiant_share"]),
        "radiant_gain_W": gains["sensible_W"] * gains["radiant_share"],
    }
    for name, e in case["element"].items():
        if e.get("sunlit", True):
            given[f"{name} sun"] = plane(case, weather, e).total
    for name, w in case["window"].items():
        given |= _through(case, weather, name, w)
    return given


def plane(case: dict, weather: Weather, part: dict) -> sun.PlaneIrradiance:
    """Sun on the outside of an element [W/m2], in the middle of the lit part of each hour."""
    position = sun.solar_position_year(weather.lat, weather.lon, weather.utc_offset_h)
    around = case["surroundings"]
    return sun.plane_irradiance(
        position,
        weather.dni,
        weather.ghi,
        weather.dhi,
        part.get("tilt", 90.0),
        part.get("azimuth", 180.0),
        around["albedo"],
        around["diffuse"],
    )


def _through(case: dict, weather: Weather, name: str, w: dict) -> dict:
    """Transmitted and absorbed sun of a window [W/m2]: beam and circumsolar by angle, the rest hemispherical."""
    light, optics = plane(case, weather, w), _optics(w["optics"])
    position = sun.solar_position_year(weather.lat, weather.lon, weather.utc_offset_h)
    lit = sunlit_fraction(
        position,
        w["azimuth"],
        w.get("width_m", 1.0),
        w.get("height_m", 1.0),
        w.get("overhang_m", 0.0),
        w.get("gap_above_m", 0.0),
        w.get("fin_m", 0.0),
        w.get("gap_beside_m", 0.0),
    )
    sky = overhang_sky_share(w["overhang_m"], w["gap_above_m"], w["height_m"]) if "overhang_m" in w else 1.0
    angle = np.degrees(np.arccos(np.clip(light.cos_incidence, 0.0, 1.0)))
    diffuse = light.sky * sky + light.ground
    parts = {"through": "transmittance", "outer": "absorbed_outer", "inner": "absorbed_inner"}
    return {
        f"{name} {part}": lit * light.directional * np.interp(angle, optics["angle"], optics[column])
        + diffuse * optics["diffuse"][column]
        for part, column in parts.items()
    }


def _optics(file: str) -> dict:
    lines = [x for x in (DATA / file).read_text(encoding="utf-8").splitlines() if not x.startswith("#")]
    rows = list(csv.DictReader(lines))
    by_angle = [r for r in rows if r["angle"] != "diffuse"]
    columns = ("transmittance", "absorbed_outer", "absorbed_inner")
    table: dict = {c: np.array([*(float(r[c]) for r in by_angle), 0.0]) for c in columns}
    table["angle"] = np.array([*(float(r["angle"]) for r in by_angle), 90.0])
    table["diffuse"] = {c: float(next(r[c] for r in rows if r["angle"] == "diffuse")) for c in columns}
    return table


def run(name: str, weather: Weather, steps_an_hour: int = STEPS_AN_HOUR) -> Figures:
    """The figures the standard asks for: energies of every step, peaks and temperatures of one-hour means."""
    steps, air = walked(name, weather, steps_an_hour)
    plant, mean = hourly(steps, steps_an_hour), hourly(air, steps_an_hour)
    return Figures(
        np.maximum(steps, 0.0).sum() / steps_an_hour / 1e6,
        np.maximum(-steps, 0.0).sum() / steps_an_hour / 1e6,
        plant.max() / 1e3,
        -plant.min() / 1e3,
        mean.max(),
        mean.min(),
        mean.mean(),
    )


def walked(name: str, weather: Weather, steps_an_hour: int = STEPS_AN_HOUR) -> tuple[np.ndarray, np.ndarray]:
    """One case through one year: plant heat [W] and mean air [degC] of every step."""
    case = read_case(name)
    network = network_of(zone_of_case(case, weather.elevation_m, float(weather.dry_bulb_C.mean())))
    modes = modal(network, 3600.0 / steps_an_hour, READINGS)
    inputs = inputs_of(network, {k: finer(v, steps_an_hour, k in READINGS) for k, v in channels(case, weather).items()})
    hour = np.arange(len(inputs)) // steps_an_hour % 24
    heat, cool = (np.broadcast_to(np.asarray(case["plant"][k], float), (24,))[hour] for k in ("heat_set_C", "cool_set_C"))
    drive = kernel.Drive(inputs=inputs, bins=np.zeros(len(inputs), int), heat_set_C=heat, cool_set_C=cool)
    done = kernel.year(modes, drive, warm_up=21 * 24 * steps_an_hour, series=True)
    return done.hourly("unit_W"), done.hourly("air_mean_C")


def finer(hourly_values, steps: int, reading: bool) -> np.ndarray:
    """Hourly values on `steps` steps an hour: readings straight between the stamps, means held."""
    if np.ndim(hourly_values) == 0:
        return hourly_values
    if not reading:
        return np.repeat(hourly_values, steps)
    stamps = np.arange(8760) + 1.0
    fine = (np.arange(8760 * steps) + 1.0) / steps
    return np.interp(fine, stamps, hourly_values, period=8760.0)


def hourly(values: np.ndarray, steps: int) -> np.ndarray:
    return values.reshape(-1, steps).mean(axis=1)
