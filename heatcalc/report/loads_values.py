"""What the design loads show: their values for machines, their figures.

Design loads as one plain object, SI.

Two figures: the components by three methods, and the peak by month and by the way the house stands.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.answers.methods.hand_method import HandLoad
from heatcalc.answers.methods.side_by_side import ComponentRow
from heatcalc.inputs.house.living import Term, living_day
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.model.humidity import WinterHumidity
from heatcalc.report.drawing import COLOURS, INK
from heatcalc.report.size_values import size_values
from heatcalc.units import label, shown
from heatcalc.wording import MONTHS, said


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


METHODS = (("network", "network_W"), ("load factor", "load_factor_W"), ("time series", "time_series_W"))


def methods_figure(r: LoadsResult, system: str) -> Any:
    """Grouped bars: heating on the left, cooling on the right."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(9.4, 5.0), layout="constrained")
    left, right = figure.subplots(1, 2)
    _bars(left, r.comparison.heating, system)
    _bars(right, r.comparison.cooling, system)
    left.set_xlabel(f"heating load [{label('power', system)}]")
    right.set_xlabel(f"sensible cooling load [{label('power', system)}]")
    figure.legend(*left.get_legend_handles_labels(), loc="outside upper center", ncols=3)
    return figure


def _bars(axes: Any, rows: tuple[ComponentRow, ...], system: str) -> None:
    order = sorted(rows, key=lambda row: row.network_W)
    at = np.arange(len(order))
    for k, (name, field) in enumerate(METHODS):
        watts = np.array([getattr(row, field) for row in order])
        axes.barh(at + 0.27 * (1 - k), shown(watts, "power", system), height=0.25, color=COLOURS[k], label=name)
    axes.set_yticks(at, [row.component for row in order])
    axes.axvline(0.0, color=INK, lw=0.8)


def peaks_figure(r: LoadsResult, system: str) -> Any:
    """A map: months down, ways across, each cell with its value; darker is more."""
    from matplotlib.figure import Figure

    ways = list(dict.fromkeys(c.front_faces for c in r.peaks))
    months = list(dict.fromkeys(c.month for c in r.peaks))
    values = shown(np.array([[c.peak_W for c in r.peaks if c.month == m] for m in months]), "power", system)
    figure = Figure(figsize=(8.6, 1.6 + 0.42 * len(months)), layout="constrained")
    axes = figure.subplots()
    image = axes.imshow(values, aspect="auto", cmap="cividis")
    middle = 0.5 * (values.min() + values.max())
    for i, j in np.ndindex(values.shape):
        axes.text(
            j, i, f"{values[i, j]:,.0f}", ha="center", va="center", fontsize=8.5, color="white" if values[i, j] < middle else INK
        )
    axes.set_xticks(range(len(ways)), ways)
    axes.set_yticks(range(len(months)), [MONTHS[m - 1] for m in months])
    axes.set_xlabel("the front (hitch end) faces")
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    figure.colorbar(image, ax=axes, label=f"peak sensible cooling [{label('power', system)}]")
    return figure
