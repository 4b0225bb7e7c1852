"""The run load as one JSON object in SI (energies in kWh, money in the tariff's `currency`)."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from heatcalc.answers.sale.buyer import CAUTIONS, Buyer
from heatcalc.judge.metered_year import by_month
from heatcalc.wording import said


def run_load_record(b: Buyer) -> dict[str, Any]:
    """Everything the sheet shows, unrounded."""
    r, year = b.run, b.run.load.year
    return {
        "place": r.sized.place.name,
        "unit": r.candidate.name,
        "backup_W": r.asked.backup_W,
        "plan": r.sized.plan.record(),
        "front_faces": [w.front_faces for w in year.ways],
        "month_kWh": r.load.month_kWh,
        "month_total_kWh": by_month(r.load.run_W),
        "month_cost": r.money.month_cost,
        "month_rest_kWh": by_month(r.load.rest_W),
        "year_kWh": r.load.year_kWh,
        "year_cost": r.money.year_cost,
        "currency": r.money.currency,
        "likely_year_kWh": b.band.year_kWh,
        "likely_year_cost": b.band.year_cost,
        "likely_month_kWh": b.band.month_kWh,
        "likely_month_cost": b.band.month_cost,
        "month_hour_W": r.month_hour_W,
        "swings": [
            {"name": s.name, "how_far": said(s.how_far, "si"), "why": s.why, "year_kWh": s.year_kWh} for s in b.band.swings
        ],
        "promise": {k: v for k, v in vars(b.promise).items() if k != "plan"} | {"held_C": b.promise.held_C},
        "power_cut": _cut(b),
        "summer_power_cut": {
            "starts_hour": b.hot_cut.starts,
            "day_mean_C": b.hot_cut.day_mean_C,
            "people_home": [{"indoor_C": limit, "hours": hours} for limit, hours in b.hot_cut.hours_to],
        },
        "output_hours": year.hours,
        "heating_tenths_h": year.heating_tenths_h,
        "cooling_tenths_h": year.cooling_tenths_h,
        "cord": asdict(r.cord),
        "indoor_relative_month": year.relative_mean,
        "changes": [{k: v for k, v in vars(c).items() if k != "tables"} | {"change": said(c.change, "si")} for c in b.changes],
        "fuels": [asdict(f) for f in b.fuels],
        "carbon": asdict(b.carbon),
        "tariff": r.money.tariff.model_dump(mode="json"),
        "tariff_why": r.money.why,
        "weather_source": year.weather_source,
        "weather_report": [said(line, "si") for line in year.weather_report],
        "warnings": [said(w, "si") for w in b.house_warnings],
        "cautions": CAUTIONS,
    }


def _cut(b: Buyer) -> dict[str, Any]:
    return {
        "starts_hour": b.cut.starts,
        "night_mean_C": b.cut.night_mean_C,
        **{
            name: [{"indoor_C": limit, "hours": hours} for limit, hours in down.hours_to]
            for name, down in (("nobody_home", b.cut.empty), ("people_home", b.cut.people))
        },
    }
