"""Does the result make sense?  Values outside the physical or usual range carry a warning with the likely cause."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from heatcalc.answers.choice import Candidate
from heatcalc.answers.design import Designer, HeatingLoad
from heatcalc.answers.humidity import WinterHumidity
from heatcalc.answers.loads_humidity import winter_cases
from heatcalc.answers.model import HouseModel
from heatcalc.answers.parts import OpaquePart
from heatcalc.errors import NoAnswer
from heatcalc.tables import rows

BTU_H_FT2 = 3.15459  # W/m2
USUAL_LOAD_BTU_H_FT2 = (5.0, 70.0)  # common practice, no source: 20 to 30 in mild places, 40 to 55 in cold ones
GLASS_SHARE_LIMIT = 0.30  # of floor area, range of validity of the load-factor method, ASHRAE Fundamentals 2021 ch. 17
ACH50_USUAL = (0.3, 30.0)
WARM_BALANCE_C = (60.0 - 32.0) / 1.8
DAMP = 0.80  # above it at a surface mould grows within weeks, ISO 13788, from memory
MOST_U = 3.0  # a bare sheet of metal or ply is about 5, any light wall with insulation below 1: common practice, no source


def sense_warnings(designer: Designer, heating: HeatingLoad, best: Candidate | None) -> tuple[str, ...]:
    """Warnings in words; an empty tuple where everything is usual."""
    model = designer.model
    return (
        *_load(model, heating),
        *_glass(model),
        *_leakage(model),
        *(w for part in model.opaque for w in _insulation(part)),
        *_balance(best),
        *_indoor_air(designer),
        *_assumed(model),
    )


def year_warnings(model: HouseModel, relative_mean: Sequence[float]) -> tuple[str, ...]:
    """What a year warns of: the house itself, and months whose mean indoor humidity (0..1) is above 80 %."""
    shell = (w for part in model.opaque for w in _insulation(part))
    return (*_glass(model), *_leakage(model), *shell, *_damp_months(relative_mean))


def _damp_months(relative_mean: Sequence[float]) -> Iterator[str]:
    damp = [float(r) for r in relative_mean if r > DAMP]
    if damp:
        yield (
            f"indoor humidity averages above 80 % in {len(damp)} months, {max(damp):.0%} in the dampest: look at the "
            "ventilation and what sets water free; a dehumidifier may be needed"
        )


@cache
def best_conductivity_W_mK() -> float:
    """The lowest conductivity of the insulation in the materials table."""
    found = [r["conductivity_W_mK"] for r in rows("materials") if r["group"] == "insulation"]
    return min(float(k) for k in found if k)


def _load(model: HouseModel, heating: HeatingLoad) -> Iterator[str]:
    per_floor = heating.load_W / model.floor_area_m2 / BTU_H_FT2
    if not USUAL_LOAD_BTU_H_FT2[0] <= per_floor <= USUAL_LOAD_BTU_H_FT2[1]:
        yield (
            f"heating load of {per_floor:.0f} Btu/h per ft2 is unusual (5 to 70): look at the U-values, the leakage and the sizes"
        )


def _glass(model: HouseModel) -> Iterator[str]:
    share = sum(w.area_m2 for w in model.windows) / model.floor_area_m2
    if share > GLASS_SHARE_LIMIT:
        yield f"glass is {share:.0%} of the floor area: cooling depends on the sun and the way the house stands"


def _leakage(model: HouseModel) -> Iterator[str]:
    ach50 = model.air.leakage.ach50
    if not ACH50_USUAL[0] <= ach50 <= ACH50_USUAL[1]:
        yield f"{ach50:.1f} ACH50 is outside 0.3 to 30: look at the unit of the fan test (ACH50 or cfm50)"


def _insulation(part: OpaquePart) -> Iterator[str]:
    """No layer insulates better than the best insulation would, were the whole thickness made of it."""
    if part.kind not in ("wall", "roof", "floor"):
        return
    best = 1.0 / (part.r_inside + part.thickness_m / best_conductivity_W_mK() + part.r_outside)
    if part.boundary == "outdoor" and part.u_value < 0.999 * best:
        yield (
            f"U of the {part.name} is {part.u_value:.3f} W/m2K, below the {best:.3f} that "
            f"{part.thickness_m * 1000:.0f} mm of the best insulation would reach: look at its R-values and thicknesses"
        )
    elif part.u_value > MOST_U:
        yield f"U of the {part.name} is {part.u_value:.2f} W/m2K, hardly insulated: look at its layers"


def _balance(best: Candidate | None) -> Iterator[str]:
    if best and best.balance_point_C is not None and best.balance_point_C > WARM_BALANCE_C:
        yield f"{best.name} already falls short below 60 F outdoors: the house is very leaky or the unit very small"


def _indoor_air(designer: Designer) -> Iterator[str]:
    found = _coldest_month(designer)
    if found and found.relative > DAMP:
        level = "as damp as air can be" if found.wetter_than_saturation else f"{min(found.relative, 1.0):.0%}"
        yield (
            f"indoor humidity in the coldest month comes to {level}, above 80 %: look at the ventilation, the people and what "
            "dries or burns indoors; mould and wet windows are likely"
        )


def _coldest_month(designer: Designer) -> WinterHumidity | None:
    try:
        return winter_cases(designer)[0][2]
    except NoAnswer:  # no outdoor air at all: the leakage warning says so
        return None


def _assumed(model: HouseModel) -> Iterator[str]:
    if model.air.leakage.measured is False:
        yield "airtightness is assumed, not measured: a fan test of the finished house should replace it"
