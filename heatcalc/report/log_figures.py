"""Two figures of a log: heat over temperature difference with both lines, and the days off the line by outdoor temperature."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.year.log_answer import LogResult
from heatcalc.physics.unit.heat_pump import FROST_HIGH_C, FROST_LOW_C
from heatcalc.report.drawing import COLOURS, FAINT, INK
from heatcalc.units import label, shown


def line_figure(r: LogResult, verdict: str, system: str) -> Any:
    """The days, the line through them with its interval, and the computed house's line, its meter read the same way."""
    from matplotlib.figure import Figure

    m, figure = r.measured, Figure(figsize=(8.0, 5.0), layout="constrained")
    axes, heat = figure.subplots(), m.heat_W + m.sun_W
    at = np.linspace(float(m.difference_K.min()), float(m.difference_K.max()), 50)
    x, middle = shown(at, "temperature difference", system), float(np.average(m.difference_K, weights=m.days))
    share = 0.5 * (r.computed_band_W_K[1] - r.computed_band_W_K[0]) / r.computed.slope_W_K
    lines = (
        (r.read.slope_W_K * at + r.read.intercept_W, share * r.read.slope_W_K * at, INK, "as computed, likely range"),
        (
            r.slope_of_days_W_K * at + r.fit.intercept_W,
            r.fit.half_width_W_K * np.abs(at - middle),
            COLOURS[0],
            "fitted, 95 % interval",
        ),
    )
    for line, spread, colour, words in lines:
        band = [shown(line + sign * spread, "power", system) for sign in (-1, 1)]
        axes.fill_between(x, *band, color=colour, alpha=0.15, lw=0)
        axes.plot(x, shown(line, "power", system), color=colour, lw=2, label=words)
    period = "day" if r.log.interval_h <= 24.5 else "period"
    kinds = ((~r.fit.odd, COLOURS[0], "o", period), (r.fit.odd, COLOURS[1], "x", f"odd {period}"))
    for which, colour, marker, words in kinds:
        if which.any():
            y = shown(heat[which], "power", system)
            across = shown(m.difference_K[which], "temperature difference", system)
            axes.scatter(across, y, s=16, alpha=0.7, label=words, color=colour, marker=marker)
    axes.set(
        xlabel=f"indoor less outdoor [{label('temperature difference', system)}]",
        ylabel=f"heat with the month's usual sun [{label('power', system)}]",
    )
    axes.set_title(f"{r.log.file}: {verdict}")
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.legend(loc="upper left")
    return figure


def off_figure(r: LogResult, system: str) -> Any:
    """Residuals by outdoor temperature; a hump near freezing is ice."""
    from matplotlib.figure import Figure

    m, figure = r.measured, Figure(figsize=(8.0, 3.6), layout="constrained")
    axes = figure.subplots()
    axes.axvspan(
        *(shown(t, "temperature", system) for t in (FROST_LOW_C, FROST_HIGH_C)),
        color=FAINT,
        alpha=0.6,
        lw=0,
        label="near freezing",
    )
    axes.axhline(0, color=INK, lw=1)
    axes.scatter(
        shown(m.outdoor_C, "temperature", system), shown(r.fit.residual_W, "power", system), s=16, color=COLOURS[0], alpha=0.7
    )
    axes.set(
        xlabel=f"outdoor temperature [{label('temperature', system)}]", ylabel=f"heat off the line [{label('power', system)}]"
    )
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.legend(loc="upper left", frameon=True)
    return figure
