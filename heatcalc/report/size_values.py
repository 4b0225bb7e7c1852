"""What a sizing shows: its values for machines in SI, keys with their unit; load against capacity, load by component, the hot
day hour by hour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from heatcalc.inputs.place.place_record import Place
from heatcalc.judge.choice import Candidate, heat_range
from heatcalc.judge.plan import Plan
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.physics.unit.heat_pump import Unit
from heatcalc.report.drawing import COLOURS, FAINT, INK, blank, measured, short, told
from heatcalc.report.table import fields_of
from heatcalc.units import shown, text
from heatcalc.wording import money

BRIEF_NAME, LONG_NAME = 18, 34  # letters of a unit's name in a key of three columns, and at most


def size_values(r: SizeResult) -> dict[str, Any]:
    """The sizing as one object, SI units, keys with their unit."""
    cooling, best = r.designer.cooling, r.recommended
    return {
        "house": fields_of(r.house, "name package note built_as") | fields_of(r.designer.model, "floor_area_m2 volume_m3"),
        "place": place_record(r.place),
        "design": fields_of(
            r.designer.conditions,
            "heating_99_C heating_996_C cooling_1_C cooling_1_mcwb_C daily_range_K used_heating_C=heating_C",
        ),
        "heating_load_W": r.heating.load_W,
        "heating_load_996_W": r.heating_996.load_W,
        **fields_of(r.heating, "heating_components_W=components_W hand_check_W ua_W_K"),
        **fields_of(cooling, "cooling_sensible_W=peak_sensible_W cooling_latent_W=latent_at_peak_W"),
        **fields_of(r.task, "damp_sensible_W damp_latent_W"),
        "larger_cooling_condition": r.designer.cooling_conditions[0].condition,
        "dehumidification_kg_s": r.task.dehumidification_kg_s,
        **fields_of(cooling, "cooling_peak_hour=peak_hour cooling_month=month cooling_front_faces=front_faces"),
        "cooling_components_W": {k: v[cooling.peak_hour - 1] for k, v in cooling.components_W.items()},
        **fields_of(cooling, "cooling_hourly_sensible_W=sensible_W cooling_hourly_latent_W=latent_W"),
        "places": [p.name for p in r.places],
        "plans": [p.record() for p in r.plans],
        "plan": r.plan.record(),
        "candidates": [candidate_record(x) for x in r.candidates],
        "recommended": None if best is None else candidate_record(best),
        "lowest_temperature_held_C": None if best is None else best.lowest_temperature_held_C,
        "assumptions": r.assumptions,
        "warnings": r.warnings,
        "cautions": CAUTIONS,
    }


def place_record(p: Place) -> dict[str, Any]:
    """The place of an answer, with how sure it is."""
    kept = "name lat lon elevation_m climate_zone=zone zone_edition source grade sigma_heating_K sigma_cooling_K"
    return fields_of(p, kept)


def candidate_record(c: Candidate) -> dict[str, Any]:
    """One judged unit."""
    return fields_of(
        c,
        "unit=name size_kBtuh=unit.size_kBtuh class=unit.unit_class volts=unit.volts generic=unit.generic verdict runs_from_cord "
        "reasons max_heat_at_design_W max_heat_warm_room_W capacity_mark=mark min_heat_W mild_load_W balance_point_C chance "
        "chance_hot backup_W lowest_temperature_held_C sensible_cooling_W latent_cooling_W cold_A hot_A smallest_supply",
    )


MARKS = ("", "o", "s", "^", "D", "v")  # beside colours, for grey prints
MOST_DRAWN = len(MARKS)


def by_size(components_W: dict[str, float]) -> list[tuple[str, float]]:
    """Components, largest first."""
    return sorted(components_W.items(), key=lambda item: -item[1])


def drawn_candidates(r: SizeResult) -> list[Candidate]:
    """The recommended unit and that of another plan, or else the next ranked; never one unit twice."""
    best = r.recommended or r.candidates[0]
    others = [c for c in r.candidates if c.name != best.name]
    other = next((c for c in others if c.name in [p.unit for p in r.plans[1:]]), others[0] if others else None)
    return [best] + ([other] if other else [])


def line_figure(r: SizeResult, system: str) -> Any:
    """Load line with its band, the recommended unit's and the next one's most and least heat, and the place's hours in bins."""
    return over_load(r, drawn_candidates(r), system)


def units_figure(sized: Sequence[SizeResult], system: str) -> Any:
    """The same for several units judged for one house in one place."""
    return over_load(sized[0], [r.recommended for r in sized], system)


def over_load(r: SizeResult, candidates: Sequence[Candidate], system: str) -> Any:
    """Load line with its band, each unit's most and least heat, and the place's hours in bins below."""
    bins = r.place.bins
    rows: dict[str, Any] = {"height_ratios": [3.2, 1]} if bins else {}
    figure, grid = blank(6.6, 4.7, 1 + bool(bins), sharex=True, squeeze=False, **rows)
    axes = grid[:, 0]
    low, high = drawn_span(r)
    _load(axes[0], r, low, high, system)
    for k, candidate in enumerate(candidates):
        _capacity(axes[0], candidate, r, k, (low, high), system)
    axes[0].set(ylabel=measured("heat", "power", system), ylim=(0, 1.25 * axes[0].get_ylim()[1]))
    columns = 3 if max(len(c.name) for c in candidates) <= BRIEF_NAME else 2
    look = {"handlelength": 3.4, "frameon": True, "framealpha": 1.0, "edgecolor": "none"}
    axes[0].legend(loc="upper left", fontsize=8.5, ncols=columns, **look).set_in_layout(False)
    if bins:
        _hours(axes[1], r, system)
    axes[-1].set(xlabel=measured("outdoor temperature", "temperature", system), xlim=_limits(low, high, system))
    return figure


def _limits(low_C: float, high_C: float, system: str) -> tuple[float, float]:
    return shown(low_C, "temperature", system), shown(high_C, "temperature", system)


def side_by_side_figure(habits: Sequence[SizeResult], plans: Sequence[SizeResult], system: str) -> Any:
    """One model at several places, a column each: the heat it needs over outdoor temperature against the most that the usual unit
    and the plan's unit give, and below it what the hottest hour asks and what each takes out."""
    shared = {"sharey": "row", "sharex": "row", "squeeze": False, "height_ratios": [3.0, 1.0]}
    figure, (panels, bars) = blank(3.3 * len(plans) + 0.6, 6.6, 2, len(plans), **shared)
    low, high = min(drawn_span(r)[0] for r in plans), 20.0
    for axes, below, habit, plan in zip(panels, bars, habits, plans, strict=True):
        _load(axes, plan, low, high, system)
        for r, colour, width, style, which in (
            (plan, COLOURS[0], 3.0, "-", "the plan's"),
            (habit, COLOURS[1], 1.8, "--", "the usual"),
        ):
            _most(axes, r, (low, high), (colour, width, style), f"most heat of {which} unit", system)
        axes.set_title(
            f"{plan.place.name}\n{_told(habit.plan, 'usual')}\n{_told(plan.plan, 'plan')}\n", fontsize=8, fontweight="normal"
        )
        axes.set_xlabel(measured("outdoor temperature", "temperature", system), fontsize=8.5)
        axes.set_xlim(_limits(low, high, system))
        _hot(below, habit, plan, system)
    panels[0].set(ylabel=measured("heat", "power", system), ylim=(0, None))
    figure.legend(*panels[0].get_legend_handles_labels(), loc="outside lower left", ncols=min(len(plans) + 1, 4), fontsize=8.5)
    return figure


def _most(axes: Any, r: SizeResult, span: tuple[float, float], style: tuple[str, float, str], words: str, system: str) -> None:
    """The most heat of a plan's unit; the line ends, with a mark, where the unit stops."""
    colour, width, dash = style
    at = np.linspace(*span, 160)
    most, _, mark = heat_over(r.recommended.unit, r, at)
    x, y = shown(at, "temperature", system), shown(most, "power", system)
    axes.plot(x, y, color=colour, lw=width, ls=dash, label=words)
    if (mark == "off").any():
        first = int(np.argmax(mark != "off"))
        axes.plot(x[first], y[first], "X", color=colour, ms=8)


def _hot(axes: Any, habit: SizeResult, plan: SizeResult, system: str) -> None:
    """Three bars of the hottest hour: sensible load, and what each unit takes out."""
    need = plan.task.sensible_W
    gives = [r.recommended.sensible_cooling_W for r in (habit, plan)]
    names = ["needed", f"usual {habit.plan.unit}", f"plan {plan.plan.unit}"]
    axes.barh([2, 1, 0], [shown(w, "power", system) for w in (need, *gives)], color=[INK, COLOURS[1], COLOURS[0]], height=0.62)
    look = {"va": "center", "fontsize": 7.5, "bbox": {"fc": "white", "ec": "none", "alpha": 0.85, "pad": 1.0}}
    for y, name, watts in zip((2, 1, 0), names, (need, *gives), strict=True):
        told(axes, f"{name}, {text(watts, 'power', system)}", (0, y), (4, 0), **look)
    axes.set(yticks=[], xlabel=measured("sensible cooling, hottest hour", "power", system))
    axes.xaxis.label.set_size(8.5)


def _told(plan: Plan, which: str) -> str:
    heater = f" + {plan.heater_W / 1000:.1f} kW heater" if plan.heater_W else ""
    return f"{which}: {plan.unit}{heater}, {plan.supply or 'no supply listed'},\n    {plan.verdict}, {money(plan.first_cost_usd)}"


def drawn_span(r: SizeResult) -> tuple[float, float]:
    """From and to which outdoor temperature [C] load and heat are drawn."""
    return min(r.designer.conditions.heating_996_C - 6.0, -16.0), 20.0


def heat_over(unit: Unit, r: SizeResult, at_C: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Most and least heat [W] of a unit over outdoor temperatures, no number where it stands still; and how each is known."""
    most, least, mark = heat_range(unit, r.task, at_C)
    return np.where(mark == "off", np.nan, most), np.where(mark == "off", np.nan, least), mark


def _load(axes: Any, r: SizeResult, low: float, high: float, system: str) -> None:
    line = r.task.line
    at = np.linspace(low, high, 80)
    x = shown(at, "temperature", system)
    band = [shown(np.interp(at, line.outdoor_C, w), "power", system) for w in (line.low_W, line.high_W)]
    axes.fill_between(x, *band, color=FAINT, label="load, likely range")
    axes.plot(x, shown(line.at(at), "power", system), color=INK, lw=2.4, label="load of the house")
    design = shown(r.task.design_C, "temperature", system)
    axes.axvline(design, color=INK, lw=0.8, ls=":")
    above = {"xycoords": ("data", "axes fraction"), "ha": "center", "va": "bottom"}
    told(axes, f"design cold {text(r.task.design_C, 'temperature', system)}", (design, 1.0), (0, 3), **above)


def _capacity(axes: Any, c: Candidate, r: SizeResult, k: int, span: tuple[float, float], system: str) -> None:
    """Most and least heat of the unit drawn as the k-th, with that many marks apart where colours are not seen."""
    at, colour = np.linspace(*span, 160), COLOURS[k]
    most, least, mark = heat_over(c.unit, r, at)
    x, marks = shown(at, "temperature", system), {"marker": MARKS[k], "markevery": (8 + 3 * k, 30), "ms": 5}
    for watts, style, words in ((most, "-", "most"), (least, "--", "least")):
        axes.plot(
            x, shown(watts, "power", system), color=colour, ls=style, lw=1.8, label=f"{short(c.name, LONG_NAME)} {words}", **marks
        )
    estimated = mark == "estimated"
    axes.plot(x[estimated], shown(most[estimated], "power", system), ".", color=colour, ms=3)


def _hours(axes: Any, r: SizeResult, system: str) -> None:
    from heatcalc.model.climate import year_bins

    bins = year_bins(r.place)
    assert bins is not None
    edges = np.array(bins.lower_edges_C)
    left = shown(edges, "temperature", system)
    step = shown(edges + bins.width_K, "temperature", system) - left
    axes.bar(left, bins.hours, width=step * 0.92, align="edge", color="#9db7c9", edgecolor="none")
    axes.set_ylabel("hours a year")


def components_figure(r: SizeResult, system: str) -> Any:
    """Horizontal bars, largest on top, each with its value."""
    figure, axes = blank(5.8, 2.8)
    rows = list(reversed(by_size(r.heating.components_W)))
    values = [shown(w, "power", system) for _, w in rows]
    axes.barh([name for name, _ in rows], values, color=COLOURS[0])
    for k, (_, watts) in enumerate(rows):
        told(axes, text(watts, "power", system), (values[k], k), (4, 0), va="center")
    axes.set_xlim(0, max(values) * 1.22 if max(values) > 0 else 1)
    axes.set_xlabel(measured(f"heat loss at {text(r.heating.outdoor_C, 'temperature', system)} outdoors", "power", system))
    return figure


def day_figure(r: SizeResult, system: str) -> Any:
    """Sensible load by cause and latent load through the design day, with the outdoor temperature."""
    cooling, hours = r.designer.cooling, np.arange(1, 25)
    figure, axes = blank(6.8, 3.7)
    order = sorted(cooling.components_W.items(), key=lambda kv: -kv[1][cooling.peak_hour - 1])
    rising = [(name, np.maximum(shown(w, "power", system), 0)) for name, w in order]
    axes.stackplot(hours, [y for _, y in rising], labels=[n for n, _ in rising], colors=COLOURS[: len(rising)], alpha=0.85, lw=0)
    axes.plot(hours, shown(np.maximum(cooling.sensible_W, 0), "power", system), color=INK, lw=2.2, label="sensible load")
    total = shown(np.maximum(cooling.sensible_W, 0) + cooling.latent_W, "power", system)
    axes.plot(hours, total, color=INK, lw=1.4, ls="--", label="with latent load")
    axes.set(
        xlabel="hour of the day (standard time, hour ending)",
        ylabel=measured("cooling", "power", system),
        xlim=(1, 24),
        xticks=range(2, 25, 2),
        ylim=(0, None),
    )
    other = axes.twinx()
    outdoors = shown(cooling.outdoor_C, "temperature", system)
    other.plot(hours, outdoors, color=COLOURS[7], lw=1.2, ls=":", label="outdoor temperature")
    other.set_ylabel(measured("outdoor temperature", "temperature", system))
    lines: Any = [*axes.get_legend_handles_labels()[0], *other.get_legend_handles_labels()[0]]
    figure.legend(lines, [h.get_label() for h in lines], loc="outside right center", fontsize=8.5)
    return figure
