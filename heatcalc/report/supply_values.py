"""The supply check as one object in SI, amperes and kWh as the names say."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from heatcalc.answers.year.cord_year import CordYear, HouseSupply


def supply_values(r: HouseSupply) -> dict[str, Any]:
    """Everything the check found; hourly series stay behind."""
    task, chosen = r.sized.task, r.chosen
    case = {
        "house": r.sized.house.name,
        "place": r.sized.place.name,
        "unit": chosen.name,
        "unit_verdict": chosen.verdict,
        "coldest_C": task.design_C,
        "hottest_C": task.hot_C,
        "backup_W": chosen.backup_W,
    }
    found = {"load_method": asdict(r.method), "refrigerant_charge": asdict(r.charge)}
    year = None if r.year is None else _year(r.year)
    return {"case": case} | asdict(r.supply) | found | {"year": year, "plan": r.sized.plan.record()}


def _year(y: CordYear) -> dict[str, Any]:
    uses = y.energy.uses
    rows = [
        {"use": x.name, "fuel": x.fuel, "month_kWh": x.month_kWh, "year_kWh": x.year_kWh, "year_cost": x.year_cost}
        for x in uses.rows
    ]
    return {
        "uses": rows,
        "electricity_kWh": uses.electricity_kWh,
        "electricity_cost": uses.electricity_cost,
        "currency": uses.currency,
        "propane": uses.propane,
        "propane_unit": uses.propane_unit,
        "propane_cost": uses.propane_cost,
        "hot_water": None if y.energy.water is None else asdict(y.energy.water),
        "overload": asdict(y.overload),
        "evening": asdict(y.evening),
        "remedies": [asdict(x) for x in y.remedies],
        "lock_outs": None if y.held is None else asdict(y.held),
        "sun": None if y.sun is None else asdict(y.sun),
        "battery": [asdict(x) for x in y.stored],
    }
