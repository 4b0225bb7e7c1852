"""What the design loads show: their values for machines in SI; the components by three methods, the peak by month and by the way
the house stands.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.answers.methods.hand_method import HandLoad
from heatcalc.answers.methods.side_by_side import ComponentRow
from heatcalc.inputs.house.living import Term, living_day
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.model.humidity import WinterHumidity
from heatcalc.report.drawing import COLOURS, INK, blank, measured
from heatcalc.report.size_values import size_values
from heatcalc.report.table import fields_of
from heatcalc.units import shown
from heatcalc.wording import MONTHS


def loads_values(r: LoadsResult) -> dict[str, Any]:
    """Every figure of the command, SI units, keys with their unit."""
    c, whole = r.comparison, size_values(r.size)
    kept = (
        "house place design heating_load_W heating_load_996_W cooling_sensible_W cooling_latent_W cooling_peak_hour "
        "cooling_month cooling_front_faces"
    )
    return {key: whole[key] for key in kept.split()} | {
        "methods": {
            **fields_of(c, "heating cooling"),
            "load_factor": _hand(c.load_factor),
            "time_series": _hand(c.time_series),
            **fields_of(c, "time_series_steps=steps sentences"),
        },
        "sheet": [vars(x) | {"loss_W": x.loss_W} for x in r.sheet],
        **fields_of(r, "under_the_floor=floors loft year_by_hand=year"),
        "air": _air(r),
        "winter_humidity": [_winter(*case) for case in r.winter],
        "drying": [fields_of(x, DRYING) for x in r.drying],
        "living": [_term(x) for x in living_day(r.size.house.living, winter=True).terms],
        "peaks": r.peaks,
        "screening": vars(r.screening) | {"meets": r.screening.meets},
        "pick_up": r.pick_up,
        "assumptions": whole["assumptions"],
        "warnings": r.warnings,
        "cautions": CAUTIONS,
    }


DRYING = (
    "day=name month needed_kg_s=need.needed_kg_s unit_kg_s=need.unit_kg_s shortfall_kg_s=need.shortfall_kg_s settles_at run_share"
)


def _hand(h: HandLoad) -> dict[str, Any]:
    """One hand method."""
    return fields_of(
        h,
        "heating_W=heating_total_W cooling_sensible_W=cooling_total_W latent_W month front_faces peak_hour hourly_W "
        "outside_its_range=reasons taken=choices source",
    )


def _air(r: LoadsResult) -> dict[str, Any]:
    w = r.air_winter
    return {
        **fields_of(w, "used=used.name why winter=routes"),
        "summer": r.air_summer.routes,
        **fields_of(w, "ventilation quadrature_m3_s=total_m3_s residential_rule_m3_s=total_residential_rule_m3_s"),
        "exhausts": r.exhausts,
    }


def _winter(name: str, outdoor_C: float, w: WinterHumidity) -> dict[str, Any]:
    kept = (
        "relative low_relative high_relative dew_point_C flow_m3_s surfaces "
        "co2_awake_ppm=co2_day_ppm co2_asleep_ppm=co2_night_ppm notes"
    )
    return {"case": name, "outdoor_C": outdoor_C} | fields_of(w, kept)


def _term(x: Term) -> dict[str, Any]:
    """One source of heat and water over the day."""
    return {"name": x.name, "heat_W": x.convective_W + x.radiant_W} | fields_of(x, "moisture_kg_s source mark")


BY_METHOD = {"network": "network_W", "load factor": "load_factor_W", "time series": "time_series_W"}


def methods_figure(r: LoadsResult, system: str) -> Any:
    """Grouped bars: heating on the left, cooling on the right."""
    figure, (left, right) = blank(9.4, 5.0, 1, 2)
    _bars(left, r.comparison.heating, system)
    _bars(right, r.comparison.cooling, system)
    left.set_xlabel(measured("heating load", "power", system))
    right.set_xlabel(measured("sensible cooling load", "power", system))
    figure.legend(*left.get_legend_handles_labels(), loc="outside upper center", ncols=3)
    return figure


def _bars(axes: Any, rows: tuple[ComponentRow, ...], system: str) -> None:
    order = sorted(rows, key=lambda row: row.network_W)
    at = np.arange(len(order))
    for k, (name, field) in enumerate(BY_METHOD.items()):
        watts = np.array([getattr(row, field) for row in order])
        axes.barh(at + 0.27 * (1 - k), shown(watts, "power", system), height=0.25, color=COLOURS[k], label=name)
    axes.set_yticks(at, [row.component for row in order])
    axes.axvline(0.0, color=INK, lw=0.8)


def peaks_figure(r: LoadsResult, system: str) -> Any:
    """A map: months down, ways across, each cell with its value; darker is more."""
    ways = list(dict.fromkeys(c.front_faces for c in r.peaks))
    months = list(dict.fromkeys(c.month for c in r.peaks))
    values = shown(np.array([[c.peak_W for c in r.peaks if c.month == m] for m in months]), "power", system)
    figure, axes = blank(8.6, 1.6 + 0.42 * len(months))
    image = axes.imshow(values, aspect="auto", cmap="cividis")
    middle = 0.5 * (values.min() + values.max())
    for i, j in np.ndindex(values.shape):
        look = {"ha": "center", "va": "center", "fontsize": 8.5, "color": "white" if values[i, j] < middle else INK}
        axes.text(j, i, f"{values[i, j]:,.0f}", **look)
    axes.set_xticks(range(len(ways)), ways)
    axes.set_yticks(range(len(months)), [MONTHS[m - 1] for m in months])
    axes.set_xlabel("the front (hitch end) faces")
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    figure.colorbar(image, ax=axes, label=measured("peak sensible cooling", "power", system))
    return figure
