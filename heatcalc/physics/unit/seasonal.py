"""Seasonal figures on the bins of Commission Regulation (EU) No 206/2012, or on a place's own bins.

The law declares a few points and interpolates; here every bin runs the unit's own curves at that bin's load, with
cycling below the minimum and back-up of COP 1 above the maximum.  An estimate from the law's definitions, no
declared value.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from heatcalc.physics.unit.heat_pump import Curves, Unit, power
from heatcalc.tables import rows

BALANCE_C = 16.0
HEATING_SEASONS = ("average", "warmer", "colder")


@dataclass(frozen=True, kw_only=True)
class Season:
    """One season of the law: bins, design temperature, equivalent hours and idle hours."""

    name: str
    outdoor_C: np.ndarray
    hours: np.ndarray
    design_C: float
    equivalent_h: float
    thermostat_off_h: float
    standby_h: float
    off_h: float
    crankcase_h: float
    bivalent_C: float


@dataclass(frozen=True, kw_only=True)
class Seasonal:
    """A seasonal figure: active mode alone, and with the idle modes' energy; W and kWh."""

    season: str
    design_load_W: float
    active: float
    overall: float
    demand_kWh: float
    electricity_kWh: float
    backup_kWh: float


@cache
def season(name: str) -> Season:
    """The bins and hours of "average", "warmer", "colder" or "cooling" (Annex II Tables 1, 3 and 4)."""
    bins = [(float(r["outdoor_C"]), float(r["hours"])) for r in rows("eu_bins") if r["season"] == name]
    row = next((r for r in rows("eu_seasons") if r["season"] == name), None)
    if row is None:
        raise ValueError(f"no season {name!r}; known: average, warmer, colder, cooling")
    outdoor, hours = np.array(bins).T
    columns = ("design_C", "equivalent_h", "thermostat_off_h", "standby_h", "off_h", "crankcase_h", "bivalent_C")
    return Season(name=name, outdoor_C=outdoor, hours=hours, **{c: float(row[c]) for c in columns})


def part_load_ratio(outdoor_C, design_C: float):
    """(T - 16)/(Tdesign - 16), Annex I definition 15; not below zero."""
    return np.maximum(0.0, (np.asarray(outdoor_C, float) - BALANCE_C) / (design_C - BALANCE_C))


def equivalent_hours(s: Season) -> float:
    """Sum over the bins of hours times part load ratio [h]."""
    return float(np.sum(s.hours * part_load_ratio(s.outdoor_C, s.design_C)))


def active_figure(hours, load_W, delivered_W, cop) -> float:
    """Sum(h P) / Sum(h ((P - backup)/COP + backup)), backup = P - delivered at COP 1 (Annex I, SCOPon and SEERon)."""
    load, delivered = np.asarray(load_W, float), np.asarray(delivered_W, float)
    running = np.where(delivered > 0.0, delivered / np.where(delivered > 0.0, cop, 1.0), 0.0)
    return float(np.sum(hours * load) / np.sum(hours * (running + load - delivered)))


def overall_figure(active: float, demand_kWh: float, s: Season, idle_W: tuple[float, float, float, float]) -> float:
    """Q / (Q/active + HTO PTO + HSB PSB + HOFF POFF + HCK PCK), idle watts in that order (Annex I) [-]."""
    hours = (s.thermostat_off_h, s.standby_h, s.off_h, s.crankcase_h)
    idle_kWh = sum(h * w for h, w in zip(hours, idle_W, strict=True)) / 1000.0
    return demand_kWh / (demand_kWh / active + idle_kWh)


def design_load(curves: Curves, s: Season) -> float:
    """The load at the design temperature [W] whose line meets the rated (else maximum) capacity at the bivalent point."""
    level = "rated" if "rated" in curves.levels else curves.levels[-1]
    capacity = float(np.interp(s.bivalent_C, curves.outdoor_C, curves.capacity_W[level]))
    return capacity / float(part_load_ratio(s.bivalent_C, s.design_C))


def scop(unit: Unit, name: str, design_load_W: float | None = None, cd: float = 0.25) -> Seasonal:
    """Seasonal heating figure of one climate; the unit's own room temperature (rated 20 C in the law)."""
    return _figure(unit, unit.heating, season(name), design_load_W, cd)


def seer(unit: Unit, design_load_W: float | None = None, cd: float = 0.25) -> Seasonal:
    """Seasonal cooling figure; the unit's own rating room (27/19 C in the law)."""
    return _figure(unit, unit.cooling, season("cooling"), design_load_W, cd)


def _figure(unit: Unit, curves: Curves, s: Season, design_load_W: float | None, cd: float) -> Seasonal:
    design = design_load(curves, s) if design_load_W is None else design_load_W
    load = design * part_load_ratio(s.outdoor_C, s.design_C)
    run = power(curves, s.outdoor_C, load, cd)
    if curves.mode == "cooling":
        load = run.delivered_W  # what cannot be cooled is not made up by resistance
    active = active_figure(s.hours, load, run.delivered_W, run.cop)
    demand = design * s.equivalent_h / 1000.0
    idle = (unit.standby_W, unit.standby_W, unit.standby_W, unit.crankcase_W)
    overall = overall_figure(active, demand, s, idle)
    backup = float(np.sum(s.hours * (load - run.delivered_W))) / 1000.0
    return Seasonal(
        season=s.name,
        design_load_W=design,
        active=active,
        overall=overall,
        demand_kWh=demand,
        electricity_kWh=demand / overall,
        backup_kWh=backup,
    )


@dataclass(frozen=True)
class BinTotals:
    """A unit over one set of bins with a straight load line: kWh and the seasonal figure."""

    demand_kWh: float
    electricity_kWh: float
    backup_kWh: float
    figure: float
    cycling_h: float


def over_bins(curves: Curves, outdoor_C, hours, load_W, cd: float = 0.25) -> BinTotals:
    """Energy and seasonal figure over any bins; what heating cannot carry is made up at COP 1, cooling goes unmet."""
    outdoor, hours, load = (np.asarray(x, float) for x in (outdoor_C, hours, load_W))
    run = power(curves, outdoor, load, cd)
    met = load if curves.mode == "heating" else run.delivered_W
    demand, unmet = (float(np.sum(hours * x)) / 1000.0 for x in (met, met - run.delivered_W))
    electricity = float(np.sum(hours * run.power_W)) / 1000.0 + unmet
    cycling = float(np.sum(hours[(run.run_fraction > 0.0) & (run.run_fraction < 1.0)]))
    return BinTotals(demand, electricity, unmet, demand / electricity if electricity else 0.0, cycling)
