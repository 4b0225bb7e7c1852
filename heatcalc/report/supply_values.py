"""What the supply check shows: its values for machines in SI, amperes and kWh as the names say; the worst hour of a January
evening on each leg against the rating, and how often a leg draws how much.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from heatcalc.answers.year.cord_year import CordYear, HouseSupply
from heatcalc.report.drawing import COLOURS, INK, blank, told
from heatcalc.report.table import fields_of
from heatcalc.supply.overload import Evening


def supply_values(r: HouseSupply) -> dict[str, Any]:
    """Everything the check found; hourly series stay behind."""
    case = "house=sized.house.name place=sized.place.name unit=chosen.name unit_verdict=chosen.verdict"
    outdoors = "coldest_C=sized.task.design_C hottest_C=sized.task.hot_C backup_W=chosen.backup_W"
    return {
        "case": fields_of(r, f"{case} {outdoors}"),
        **asdict(r.supply),
        **fields_of(r, "load_method=method refrigerant_charge=charge"),
        "year": None if r.year is None else _year(r.year),
        "plan": r.sized.plan.record(),
    }


def _year(y: CordYear) -> dict[str, Any]:
    sums = "electricity_kWh electricity_cost currency propane propane_unit propane_cost"
    return {
        "uses": [fields_of(x, "use=name fuel month_kWh year_kWh year_cost") for x in y.energy.uses.rows],
        **fields_of(y.energy.uses, sums),
        **fields_of(y, "hot_water=energy.water overload evening remedies lock_outs=held sun battery=stored"),
    }


HATCHES = ("", "//", "\\\\", "xx", "++", "--", "||", "////", "\\\\\\\\", "xxxx")  # of lines: told apart in grey
LEAST_SHOWN = 1e-5  # chances below are cut off


def evening_figure(e: Evening, cord: str, _: str) -> Any:
    """Bars of what may run, a bar a leg; below them how often a leg draws more than so much."""
    figure, (bars, curve) = blank(8.6, 5.6, 2, sharex=True, height_ratios=[1.0, 1.15])
    _bars(bars, e)
    _chances(curve, e)
    for axes in (bars, curve):
        for share, style in ((0.8, "--"), (1.0, "-")):
            axes.axvline(share * e.rating_A, color=INK, lw=1.3, ls=style)
    for share, words, at in ((0.8, f"80 %\n{0.8 * e.rating_A:.0f} A", "right"), (1.0, f"rating\n{e.rating_A:.0f} A", "left")):
        above = {"xycoords": ("data", "axes fraction"), "ha": at, "va": "top"}
        told(bars, words, (share * e.rating_A, 1.0), (-3 if at == "right" else 3, -2), **above)
    bars.set_title(
        f"January {e.day}, {e.hour}:00 to {e.hour + 1}:00, on {cord}:\nwhat may run, and for how much of the hour", fontsize=10
    )
    figure.legend(*bars.get_legend_handles_labels(), loc="outside right center", fontsize=8.5)
    return figure


def _bars(axes: Any, e: Evening) -> None:
    left = [0.0] * len(e.above)
    for k, load in enumerate(e.loads):
        style = {"color": COLOURS[k % len(COLOURS)], "hatch": HATCHES[k % len(HATCHES)], "edgecolor": INK, "lw": 0.6}
        label = f"{load.name}, {share_words(load.share)} of the hour"
        for leg in range(len(left)):
            axes.barh(leg, load.leg_A[leg], left=left[leg], height=0.55, label=label, **style)
            left[leg] += load.leg_A[leg]
            label = "_" + label.lstrip("_")
    axes.set(yticks=range(len(left)), ylim=(len(left) - 0.4, -0.95))
    axes.set_yticklabels([f"leg {k + 1}" for k in range(len(left))] if len(left) > 1 else ["all loads"])
    axes.tick_params(axis="x", labelbottom=False)


def _chances(axes: Any, e: Evening) -> None:
    amperes = np.arange(len(e.above[0]))
    for k, above in enumerate(e.above):
        shown = np.where(np.array(above) >= LEAST_SHOWN, above, np.nan)
        look = {"color": COLOURS[k], "ls": "-" if k == 0 else "-.", "lw": 2, "drawstyle": "steps-post"}
        axes.plot(amperes, shown, label=f"leg {k + 1}", **look)
    if len(e.above) > 1:
        axes.legend(fontsize=8.5, loc="lower left")
    axes.set(yscale="log", ylim=(LEAST_SHOWN, 1.4), xlim=(0, max(amperes[-1], 1.08 * e.rating_A)), xlabel="amperes of a leg")
    axes.set_ylabel("share of the hour above")
    axes.set_yticks([1, 0.1, 0.01, 0.001, 0.0001], ["100 %", "10 %", "1 %", "0.1 %", "0.01 %"])
    axes.grid(axis="y", lw=0.4, alpha=0.6)


def share_words(share: float) -> str:
    """A share in percent; small ones with a digit more, never rounded to nothing or to all."""
    if share > 0.995:
        return "all"
    return f"{share:.0%}" if share >= 0.095 or share == 0 else f"{share:.1%}" if share >= 0.0005 else "under 0.1%"
