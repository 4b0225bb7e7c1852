"""The year as one object in SI, and hour by hour as CSV."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from heatcalc.answers.year.outage import CAUTIONS, Cooldown
from heatcalc.answers.year.year_answer import YearAnswer
from heatcalc.model.year_sums import SERIES_UNITS
from heatcalc.model.year_walk import YearResult
from heatcalc.wording import said


def year_values(a: YearAnswer) -> dict[str, Any]:
    """One object, SI, keys with their unit."""
    r = a.year
    return {
        "house": {"name": a.house.name, "package": a.house.package, "note": a.house.note},
        "place": a.place.name,
        "unit": None if a.unit is None else a.unit.name,
        "chosen": a.chosen,
        "backup_W": a.backup_W,
        "plan": None if a.plan is None else a.plan.record(),
        "weather": r.weather_source,
        "front_faces": [w.front_faces for w in r.ways],
        "energy_kWh": r.energy_kWh,
        "electricity_kWh": r.electricity_kWh,
        "electricity_year_kWh": r.electricity_year_kWh,
        "heat_cold_air_kWh": a.conditioning_kWh,
        "ventilation_fan_kWh": a.fan_kWh,
        "dehumidifier_kWh": a.dehumidifier_kWh,
        "electricity_span_kWh": r.span("electricity"),
        "hours": r.hours,
        "degree_hours_K_h": r.degree_hours_K_h,
        "peaks": _peaks_record(r),
        "cord": asdict(a.cord),
        "relative_humidity_mean": r.relative_mean,
        "relative_humidity_max": r.relative_max,
        "heating_hours_by_tenth": r.heating_tenths_h,
        "cooling_hours_by_tenth": r.cooling_tenths_h,
        "balance_kWh": r.balance_kWh,
        "balance_closure": r.closure,
        "without_backup": {
            "hours": a.without_backup.hours,
            "degree_hours_K_h": a.without_backup.degree_hours_K_h,
            "coldest_C": a.without_backup.peak("coldest_C")[0],
        },
        "needs": {"heat_kWh": a.needs.energy_kWh["heat"], "cool_kWh": a.needs.energy_kWh["cool"]},
        "hand_check": asdict(a.hand),
        "power_cut": {
            "hour_from": a.cut.starts,
            "night_mean_C": a.cut.night_mean_C,
            "nobody_home": _cut_record(a.cut.empty),
            "people_home": _cut_record(a.cut.people),
        },
        "pick_up": None if a.pick_up is None else asdict(a.pick_up),
        "unoccupied": None if a.empty is None else asdict(a.empty),
        "warnings": [said(w, "si") for w in a.warnings],
        "notes": [said(n, "si") for n in a.notes],
        "cautions": CAUTIONS,
    }


def _peaks_record(r: YearResult) -> dict[str, Any]:
    names = ("heat_peak_W", "cool_peak_W", "unit_peak_W", "house_peak_W", "coldest_C", "warmest_C")
    return {n: {"value": value, "hour_ending": when + 1} for n in names for value, when in (r.peak(n),)}


def _cut_record(c: Cooldown) -> dict[str, Any]:
    return {
        "start_C": c.start_C,
        "coldest_C": c.coldest_C,
        "hours_to": [{"limit_C": limit, "hours": hours} for limit, hours in c.hours_to],
        "pipes": [asdict(p) for p in c.pipes],
    }


def hourly_csv(a: YearAnswer) -> str:
    """Every hour of the middle way, SI; the first column is the hour of the year at whose end the row stands."""
    assert a.year.series is not None
    table = np.column_stack([a.year.series[name] for name in SERIES_UNITS])
    head = ",".join(("hour_ending", *SERIES_UNITS))
    lines = (",".join([str(k + 1), *(f"{x + 0.0:.5g}" for x in row)]) for k, row in enumerate(table.tolist()))
    return "\n".join([head, *lines]) + "\n"
