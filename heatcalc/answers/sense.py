"""Does the result make sense?  Values outside the physical or usual range carry a warning with the likely cause."""

from __future__ import annotations

from heatcalc.answers.choice import Candidate
from heatcalc.answers.design import Designer, HeatingLoad

BTU_H_FT2 = 3.15459  # W/m2
USUAL_LOAD_BTU_H_FT2 = (5.0, 70.0)  # common practice, no source: 20 to 30 in mild places, 40 to 55 in cold ones
GLASS_SHARE_LIMIT = 0.30  # of floor area, range of validity of the load-factor method, ASHRAE Fundamentals 2021 ch. 17
ACH50_USUAL = (0.3, 30.0)
WARM_BALANCE_C = (60.0 - 32.0) / 1.8


def sense_warnings(designer: Designer, heating: HeatingLoad, best: Candidate | None) -> tuple[str, ...]:
    """Warnings in words; an empty tuple where everything is usual."""
    return tuple(_found(designer, heating, best))


def _found(designer: Designer, heating: HeatingLoad, best: Candidate | None):
    model = designer.model
    per_floor = heating.load_W / model.floor_area_m2 / BTU_H_FT2
    if not USUAL_LOAD_BTU_H_FT2[0] <= per_floor <= USUAL_LOAD_BTU_H_FT2[1]:
        yield (
            f"heating load of {per_floor:.0f} Btu/h per ft2 is unusual (5 to 70): look at the U-values, the leakage and the sizes"
        )
    glass = sum(w.area_m2 for w in model.windows)
    if glass > GLASS_SHARE_LIMIT * model.floor_area_m2:
        share = glass / model.floor_area_m2
        yield f"glass is {share:.0%} of the floor area: cooling depends on the sun and the way the house stands"
    ach50 = model.air.leakage.ach50
    if not ACH50_USUAL[0] <= ach50 <= ACH50_USUAL[1]:
        yield f"{ach50:.1f} ACH50 is outside 0.3 to 30: look at the unit of the fan test (ACH50 or cfm50)"
    for part in model.opaque:
        if part.radiates and part.kind in ("wall", "roof", "floor") and not 0.08 <= part.u_value <= 3.0:
            yield f"U of the {part.name} is {part.u_value:.2f} W/m2K, outside what light construction reaches: look at its layers"
    if best and best.balance_point_C is not None and best.balance_point_C > WARM_BALANCE_C:
        yield f"{best.name} already falls short below 60 F outdoors: the house is very leaky or the unit very small"
    if designer.model.air.leakage.measured is False:
        yield "airtightness is assumed, not measured: a fan test of the finished house should replace it"
