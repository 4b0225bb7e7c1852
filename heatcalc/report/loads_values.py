"""Design loads as one plain object, SI."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.answers.methods.hand_method import HandLoad
from heatcalc.inputs.house.living import Term, living_day
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.model.humidity import WinterHumidity
from heatcalc.report.size_values import size_values
from heatcalc.wording import said


def loads_values(r: LoadsResult) -> dict[str, Any]:
    """Every figure of the command, SI units, keys with their unit."""
    c, whole = r.comparison, size_values(r.size)
    kept = (
        "house",
        "place",
        "design",
        "heating_load_W",
        "heating_load_996_W",
        "cooling_sensible_W",
        "cooling_latent_W",
        "cooling_peak_hour",
        "cooling_month",
        "cooling_front_faces",
    )
    return {key: whole[key] for key in kept} | {
        "methods": {
            "heating": [asdict(x) for x in c.heating],
            "cooling": [asdict(x) for x in c.cooling],
            "load_factor": _hand(c.load_factor),
            "time_series": _hand(c.time_series),
            "time_series_steps": [asdict(x) for x in c.steps],
            "sentences": [said(x, "si") for x in c.sentences],
        },
        "sheet": [asdict(x) | {"assembly": said(x.assembly, "si"), "loss_W": x.loss_W} for x in r.sheet],
        "under_the_floor": [asdict(x) for x in r.floors],
        "loft": [asdict(x) | {"name": said(x.name, "si")} for x in r.loft],
        "year_by_hand": asdict(r.year),
        "air": _air(r),
        "winter_humidity": [_winter(*case) for case in r.winter],
        "drying": [
            {
                "day": x.name,
                "month": x.month,
                "needed_kg_s": x.need.needed_kg_s,
                "unit_kg_s": x.need.unit_kg_s,
                "shortfall_kg_s": x.need.shortfall_kg_s,
                "settles_at": x.settles_at,
                "run_share": x.run_share,
            }
            for x in r.drying
        ],
        "living": [_term(x) for x in living_day(r.size.house.living, winter=True).terms],
        "peaks": [asdict(x) for x in r.peaks],
        "screening": asdict(r.screening) | {"meets": r.screening.meets},
        "pick_up": asdict(r.pick_up),
        "assumptions": whole["assumptions"],
        "warnings": [said(x, "si") for x in r.warnings],
        "cautions": list(CAUTIONS),
    }


def _hand(h: HandLoad) -> dict[str, Any]:
    """One hand method."""
    return {
        "heating_W": h.heating_total_W,
        "cooling_sensible_W": h.cooling_total_W,
        "latent_W": h.latent_W,
        "month": h.month,
        "front_faces": h.front_faces,
        "peak_hour": h.peak_hour,
        "hourly_W": h.hourly_W,
        "outside_its_range": [said(x, "si") for x in h.reasons],
        "taken": [said(x, "si") for x in h.choices],
        "source": h.source,
    }


def _air(r: LoadsResult) -> dict[str, Any]:
    w = r.air_winter
    return {
        "used": w.used.name,
        "why": w.why,
        "winter": [asdict(x) for x in w.routes],
        "summer": [asdict(x) for x in r.air_summer.routes],
        "ventilation": asdict(w.ventilation),
        "quadrature_m3_s": w.total_m3_s,
        "residential_rule_m3_s": w.total_residential_rule_m3_s,
        "exhausts": [asdict(x) for x in r.exhausts],
    }


def _winter(name: str, outdoor_C: float, w: WinterHumidity) -> dict[str, Any]:
    return {
        "case": name,
        "outdoor_C": outdoor_C,
        "relative": w.relative,
        "low_relative": w.low_relative,
        "high_relative": w.high_relative,
        "dew_point_C": w.dew_point_C,
        "flow_m3_s": w.flow_m3_s,
        "surfaces": [asdict(x) for x in w.surfaces],
        "co2_awake_ppm": w.co2_day_ppm,
        "co2_asleep_ppm": w.co2_night_ppm,
        "notes": list(w.notes),
    }


def _term(x: Term) -> dict[str, Any]:
    """One source of heat and water over the day."""
    heat = x.convective_W + x.radiant_W
    return {"name": x.name, "heat_W": heat, "moisture_kg_s": x.moisture_kg_s, "source": x.source, "mark": x.mark}
