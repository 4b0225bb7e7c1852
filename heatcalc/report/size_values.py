"""The sizing as one object in SI, keys with their unit."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from heatcalc.inputs.place.place_record import Place
from heatcalc.judge.choice import Candidate
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.wording import said


def size_values(r: SizeResult) -> dict[str, Any]:
    """The sizing as one object, SI units, keys with their unit."""
    p, c, cooling, best = r.place, r.designer.conditions, r.designer.cooling, r.recommended
    return {
        "house": {
            "name": r.house.name,
            "package": r.house.package,
            "note": r.house.note,
            "built_as": r.house.built_as,
            "floor_area_m2": r.designer.model.floor_area_m2,
            "volume_m3": r.designer.model.volume_m3,
        },
        "place": place_record(p),
        "design": {
            "heating_99_C": c.heating_99_C,
            "heating_996_C": c.heating_996_C,
            "cooling_1_C": c.cooling_1_C,
            "cooling_1_mcwb_C": c.cooling_1_mcwb_C,
            "daily_range_K": c.daily_range_K,
            "used_heating_C": c.heating_C,
        },
        "heating_load_W": r.heating.load_W,
        "heating_load_996_W": r.heating_996.load_W,
        "heating_components_W": r.heating.components_W,
        "hand_check_W": r.heating.hand_check_W,
        "ua_W_K": r.heating.ua_W_K,
        "cooling_sensible_W": cooling.peak_sensible_W,
        "cooling_latent_W": cooling.latent_at_peak_W,
        "damp_sensible_W": r.task.damp_sensible_W,
        "damp_latent_W": r.task.damp_latent_W,
        "larger_cooling_condition": r.designer.cooling_conditions[0].condition,
        "dehumidification_kg_s": r.task.dehumidification_kg_s,
        "cooling_peak_hour": cooling.peak_hour,
        "cooling_month": cooling.month,
        "cooling_front_faces": cooling.front_faces,
        "cooling_components_W": {k: v[cooling.peak_hour - 1] for k, v in cooling.components_W.items()},
        "cooling_hourly_sensible_W": cooling.sensible_W,
        "cooling_hourly_latent_W": cooling.latent_W,
        "places": [p.name for p in r.places],
        "plans": [p.record() for p in r.plans],
        "plan": r.plan.record(),
        "candidates": [candidate_record(x) for x in r.candidates],
        "recommended": None if best is None else candidate_record(best),
        "lowest_temperature_held_C": None if best is None else best.lowest_temperature_held_C,
        "assumptions": [{key: said(words, "si") for key, words in asdict(a).items()} for a in r.assumptions],
        "warnings": [said(w, "si") for w in r.warnings],
        "cautions": list(CAUTIONS),
    }


def place_record(p: Place) -> dict[str, Any]:
    """The place of an answer, with how sure it is."""
    return {
        "name": p.name,
        "lat": p.lat,
        "lon": p.lon,
        "elevation_m": p.elevation_m,
        "climate_zone": p.zone,
        "zone_edition": p.zone_edition,
        "source": p.source,
        "grade": p.grade,
        "sigma_heating_K": p.sigma_heating_K,
        "sigma_cooling_K": p.sigma_cooling_K,
    }


def candidate_record(c: Candidate) -> dict[str, Any]:
    """One judged unit."""
    return {
        "unit": c.name,
        "size_kBtuh": c.unit.size_kBtuh,
        "class": c.unit.unit_class,
        "volts": c.unit.volts,
        "generic": c.unit.generic,
        "verdict": c.verdict,
        "runs_from_cord": c.runs_from_cord,
        "reasons": [said(reason, "si") for reason in c.reasons],
        "max_heat_at_design_W": c.max_heat_at_design_W,
        "max_heat_warm_room_W": c.max_heat_warm_room_W,
        "capacity_mark": c.mark,
        "min_heat_W": c.min_heat_W,
        "mild_load_W": c.mild_load_W,
        "balance_point_C": c.balance_point_C,
        "chance": c.chance,
        "backup_W": c.backup_W,
        "lowest_temperature_held_C": c.lowest_temperature_held_C,
        "sensible_cooling_W": c.sensible_cooling_W,
        "latent_cooling_W": c.latent_cooling_W,
        "cold_A": c.cold_A,
        "hot_A": c.hot_A,
        "smallest_supply": c.smallest_supply,
    }
