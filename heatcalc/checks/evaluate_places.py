"""Figures of the carried climate: every station from the others, published stations unseen, places by every name."""

from __future__ import annotations

FIGURES = {
    "bias": "bias_F",
    "SD": "sd_F",
    "worst error": "worst_F",
    "within one sigma": "within_1",
    "within 1.96 sigma": "within_2",
}


def left_out(percentile: str, where: str, figure: str) -> float:
    """A figure of the leave-one-out over the stations [F or %]."""
    from heatcalc.checks.leave_one_out import summary

    return float(next(getattr(g, FIGURES[figure]) for g in summary() if (g.what, g.where) == (percentile, where)))


def unseen_published(percentile: str, figure: str) -> float:
    """A figure of the published stations, each estimated without itself [F or %]."""
    from heatcalc.checks.leave_one_out import NAMES, unseen

    key = next(k for k, name in NAMES.items() if name == percentile)
    return float(getattr(unseen(key), FIGURES[figure]))


EVALUATORS = {f.__name__: f for f in (left_out, unseen_published)}
