"""The walked hours of one way of standing, counted: energy by month and use, peaks, hours, humidity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.model.household import HOT_WATER
from heatcalc.model.year_drivers import MONTH_OF_HOUR, YearDrivers, daily
from heatcalc.model.year_unit import YearUnit
from heatcalc.physics.air import moist_air
from heatcalc.physics.year.kernel import SUMS, Years, annual_terms
from heatcalc.supply.supply_check import HourlyShare, cord_amperes, cord_named, hourly_share

HEATS = ("heat", "backup heat", "cool", "latent")
HOUSEHOLD_USES = ("hot water", "rest of the house")
USES = ("heating", "backup heat", "cooling", "standby", "crankcase heater", "pan heater", *HOUSEHOLD_USES)
SUM_HOURS = {
    "heating": ("heating_h",),
    "cooling": ("cooling_h",),
    "cycling, heating": ("heat_cycling_h",),
    "cycling, cooling": ("cool_cycling_h",),
    "full output, heating": ("heat_full_h",),
    "full output, cooling": ("cool_full_h",),
    "too cold": ("unmet_heat_h",),
    "too warm": ("unmet_cool_h",),
}
DEGREE_HOURS = {"too cold": "unmet_heat_K_h", "too warm": "unmet_cool_K_h"}
TENTHS = 10
MONTH_STARTS = np.searchsorted(MONTH_OF_HOUR, np.arange(12))
AIR_TERM = "varying air exchange"  # of `kernel.annual_terms`
SERIES_UNITS = (
    "outdoor_C",
    "indoor_C",
    "indoor_relative",
    "heat_W",
    "backup_W",
    "cool_W",
    "latent_W",
    "unit_power_W",
    "extra_power_W",
    "rest_W",
    "total_power_W",
    "amperes",
)


@dataclass(frozen=True, eq=False, kw_only=True)
class WayYear:
    """One year with the house turned one way; energies in kWh by month, hours by name."""

    front_faces: str
    energy_kWh: dict[str, np.ndarray]
    electricity_kWh: dict[str, np.ndarray]
    hours: dict[str, float]
    unmet_h: dict[str, np.ndarray]  # "too cold", "too warm", by month
    degree_hours_K_h: dict[str, float]
    unit_peak_W: tuple[float, int]  # value and hour of the year from 0, means of an hour
    house_peak_W: tuple[float, int]
    heat_peak_W: tuple[float, int]
    cool_peak_W: tuple[float, int]
    backup_peak_W: float
    coldest_C: tuple[float, int]
    warmest_C: tuple[float, int]
    relative_mean: np.ndarray
    relative_max: np.ndarray
    heating_tenths_h: np.ndarray
    cooling_tenths_h: np.ndarray
    cord: HourlyShare
    balance_kWh: dict[str, float]
    closure: float
    series: dict[str, np.ndarray]
    uses_W: dict[str, np.ndarray]
    run_share: np.ndarray  # of each hour, the unit's compressor

    @property
    def total_kWh(self) -> float:
        """All electricity of the year."""
        return float(sum(m.sum() for m in self.electricity_kWh.values()))


def way_year(d: YearDrivers, unit: YearUnit, result: Years) -> WayYear:
    """Count one walked year; `result` holds its series."""
    line = series_of(d, unit, result)
    uses = _uses_W(d, unit, line)
    sums = {name: result.monthly(name) for name in SUMS}
    supply = d.house.model.house.supply
    terms = _with_shutters(d, annual_terms(d.house.modes, d.drive, result), line["indoor_C"])
    given = float(sum(sums[n].sum() * sign for n, sign in (("heat_kWh", 1), ("backup_kWh", 1), ("cool_kWh", -1))))
    hours = {name: float(sums[key].sum()) for name, (key,) in SUM_HOURS.items()} | {
        f"above {limit:.0%} relative humidity": float((line["indoor_relative"] > limit).sum()) for limit in (0.6, 0.7)
    }
    return WayYear(
        front_faces=d.front_faces,
        energy_kWh=dict(zip(HEATS, (sums[f"{n}_kWh"] for n in ("heat", "backup", "cool", "latent")), strict=True)),
        electricity_kWh={use: _monthly(watts, np.sum) / 1000.0 for use, watts in uses.items()},
        hours=hours,
        unmet_h={name: sums[SUM_HOURS[name][0]] for name in DEGREE_HOURS},
        degree_hours_K_h={k: float(sums[v].sum()) for k, v in DEGREE_HOURS.items()},
        unit_peak_W=_top(line["unit_power_W"] + line["extra_power_W"]),
        house_peak_W=_top(line["total_power_W"]),
        heat_peak_W=_top(line["heat_W"] + line["backup_W"]),
        cool_peak_W=_top(line["cool_W"]),
        backup_peak_W=float(line["backup_W"].max()),
        coldest_C=_top(-line["indoor_C"], -1.0),
        warmest_C=_top(line["indoor_C"]),
        relative_mean=_monthly(line["indoor_relative"], np.mean),
        relative_max=_monthly(line["indoor_relative"], np.max),
        heating_tenths_h=_tenths(line["heat_W"], unit.plant.heating.capacity_W),
        cooling_tenths_h=_tenths(line["cool_W"], unit.plant.cooling.capacity_W),
        cord=hourly_share(line["amperes"], cord_named(supply.cord).rating_A),
        balance_kWh=_by_cause(d, terms),
        closure=abs(sum(terms.values()) - given) / max(sum(abs(v) for v in terms.values()), 1.0),
        series=line,
        uses_W=uses,
        run_share=run_share(unit, line["heat_W"], line["cool_W"]),
    )


def series_of(d: YearDrivers, unit: YearUnit, result: Years) -> dict[str, np.ndarray]:
    """Every hour by name, in SI; see `SERIES_UNITS`."""
    heat = result.hourly("unit_W")
    indoor, pressure = result.hourly("air_mean_C"), moist_air.pressure_at_altitude(d.house.model.elevation_m)
    relative = np.minimum(moist_air.relative_humidity(indoor, result.hourly("humidity_ratio"), pressure), 1.0)
    unlimited = unit.unit is None
    power = np.zeros_like(heat) if unlimited else result.hourly("unit_power_W")
    extra, backup = result.hourly("extra_power_W"), result.hourly("backup_W")
    volts = 120.0 if unit.unit is None else unit.unit.volts
    amperes = cord_amperes(d.house.model.house.supply, power + extra, volts, backup, d.rest_W)
    columns = (
        d.brings.outdoor_C,
        indoor,
        relative,
        np.maximum(heat, 0.0),
        backup,
        np.maximum(-heat, 0.0),
        result.hourly("latent_W") + 0.0,
        power,
        extra,
        d.rest_W,
        power + extra + backup + d.rest_W,
        amperes,
    )
    return dict(zip(SERIES_UNITS, columns, strict=True))


def run_share(unit: YearUnit, heat_W: np.ndarray, cool_W: np.ndarray) -> np.ndarray:
    """Share of each hour the compressor runs: load over the least output, at most 1."""
    p = unit.plant
    least = np.where(heat_W > 0, p.heating.capacity_W[..., 0], p.cooling.capacity_W[..., 0])
    load = heat_W + cool_W
    return np.where(load > 0, np.minimum(load / np.maximum(least, 1e-9), 1.0), 0.0)


def _uses_W(d: YearDrivers, unit: YearUnit, line: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Hourly electricity by use [W]; they sum to the meter.  Frost is in the heating, as the unit's table carries it."""
    resting, cools = 1 - run_share(unit, line["heat_W"], line["cool_W"]), line["cool_W"] > 0
    pan = np.where(line["heat_W"] > 0, unit.pan_W * (1 - resting), 0.0)
    crankcase = unit.crankcase_W * resting
    water = d.household.electric_W.get(HOT_WATER, np.zeros(len(pan)))
    return {
        "heating": np.where(cools, 0.0, line["unit_power_W"]),
        "backup heat": line["backup_W"],
        "cooling": np.where(cools, line["unit_power_W"], 0.0),
        "standby": unit.standby_W * resting,
        "crankcase heater": crankcase,
        "pan heater": pan,
        "hot water": water,
        "rest of the house": d.rest_W - water,
    }


def _monthly(values: np.ndarray, how) -> np.ndarray:
    return np.array([how(hours) for hours in np.split(values, MONTH_STARTS[1:])])


def _top(values: np.ndarray, sign: float = 1.0) -> tuple[float, int]:
    """Largest value and its hour."""
    at = int(np.argmax(values))
    return sign * float(values[at]), at


def _tenths(load_W: np.ndarray, capacity_W: np.ndarray) -> np.ndarray:
    """Hours by share of the greatest output then, in tenths; an unlimited plant is measured by its own peak."""
    most = capacity_W[..., -1] if np.isfinite(capacity_W[..., -1]).all() else load_W.max()
    share = load_W / np.maximum(most, 1e-9)
    return np.histogram(np.minimum(share[load_W > 0], 1.0), bins=TENTHS, range=(0.0, 1.0))[0]


def _with_shutters(d: YearDrivers, terms: dict[str, float], indoor_C: np.ndarray) -> dict[str, float]:
    """What closed shutters keep in, moved from the outdoor air to the windows it belongs to [kWh]."""
    shut = d.house.model.shutters_W_K
    if shut is None:
        return terms
    kept = float((daily(shut) * (indoor_C - d.brings.outdoor_C)).sum()) / 1000.0
    return terms | {AIR_TERM: terms[AIR_TERM] - kept, "windows": terms.get("windows", 0.0) + kept}


def _by_cause(d: YearDrivers, terms: dict[str, float]) -> dict[str, float]:
    """Losses of the year under the words a person sees, each part with the sun on it; gains negative [kWh]."""
    opaque, windows = d.house.model.opaque, d.house.model.windows
    word = {p.name: p.component for p in opaque} | {f"{p.name} sun": p.component for p in opaque}
    word |= {w.name: w.component for w in windows} | {f"{w.name} sun": "sun through glass" for w in windows}
    word |= {"gains": "people and appliances", AIR_TERM: "outdoor air"}
    found: dict[str, float] = {}
    for name, kWh in terms.items():
        found[word.get(name, name)] = found.get(word.get(name, name), 0.0) + kWh
    return found
