"""Does the result make sense?  Values outside the physical or usual range carry a warning with the likely cause."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from heatcalc.errors import NoAnswer
from heatcalc.inputs.usual import doubts_of_house, doubts_of_site
from heatcalc.model.comfort import BACKDRAFT_PA, BACKDRAFT_SOURCE, house_exhausts, winter_cases
from heatcalc.model.designer import Designer
from heatcalc.model.house_model import HouseModel
from heatcalc.model.humidity import WinterHumidity
from heatcalc.model.part import OpaquePart
from heatcalc.physics.air import air_change
from heatcalc.physics.air.moist_air import propane_water
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, worded

BTU_H_FT2 = 3.15459  # W/m2
# common practice, no source: 20 to 30 Btu/h ft2 in mild places, 40 to 55 in cold ones
USUAL_LOAD_W_M2 = (5.0 * BTU_H_FT2, 70.0 * BTU_H_FT2)
GLASS_SHARE_LIMIT = 0.30  # of floor area, range of validity of the load-factor method, ASHRAE Fundamentals 2021 ch. 17
ACH50_USUAL = (0.3, 30.0)
WARM_BALANCE_C = (60.0 - 32.0) / 1.8
DAMP = 0.80  # above it at a surface mould grows within weeks, ISO 13788, from memory
FAN_RATED_PA = 25.0  # 0.1 in of water, at which bath fans are usually rated, from memory
DRY_AIR = 0.25  # below it air is felt as dry: common practice, no source
MOST_U = 3.0  # a bare sheet of metal or ply is about 5, any light wall with insulation below 1: common practice, no source


def sense_warnings(designer: Designer, unit: str, balance_C: float | None) -> tuple[Said, ...]:
    """Warnings in words; an empty tuple where everything is usual.

    unit, balance_C : the unit's name, and the outdoor temperature below which it falls short (None: never)
    """
    model = designer.model
    return (
        *doubts_of_house(model.house),
        *doubts_of_site(model.house, designer.place),
        *_load(designer),
        *_felt(designer),
        *flame_warnings(model),
        *_glass(model),
        *_leakage(model),
        *_fan_pull(model),
        *(w for part in model.opaque for w in _insulation(part)),
        *_balance(unit, balance_C),
        *_indoor_air(designer),
        *_assumed(model),
    )


def damp_months(relative_mean: Sequence[float]) -> Iterator[Said]:
    """Months of a year whose mean indoor humidity (0..1) is above 80 %."""
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


def _load(designer: Designer) -> Iterator[Said]:
    low, high = USUAL_LOAD_W_M2
    per_floor = designer.heating().load_W / designer.model.floor_area_m2
    usual = worded("{} to {}", Q(low, "heat flow density"), Q(high, "heat flow density"))
    said = worded("heating load of {} of floor is", Q(per_floor, "heat flow density"))
    if per_floor > high:
        yield worded(
            "{} above the usual {}: look at the U-values, the leakage, the sizes and the design temperature", said, usual
        )
    elif per_floor < low:
        yield worded("{} below the usual {}: a mild design cold or set point; else look at R-values and leakage", said, usual)


def _felt(designer: Designer) -> Iterator[Said]:
    cold = designer.heating()
    if cold.stays_cold:
        yield worded(
            "beside these cold surfaces the room feels colder than {} even with its air at {}, the warmest that is counted (own "
            "choice): insulate before adding heat",
            Q(cold.indoor_C, "temperature"),
            Q(cold.air_C, "temperature"),
        )


def flame_warnings(model: HouseModel) -> Iterator[Said]:
    """An unvented flame's water and gases, and a flue beside exhausts that pull against it."""
    living, flue = model.house.living, model.house.air.flue
    if living.unvented_heater:
        yield worded(
            "an unvented heater is counted{}: it sets free {} of water and its gases into the room, may be forbidden where "
            "people sleep, and can kill by carbon monoxide; the local code, its manual and a working CO alarm come first",
            "" if living.unvented_heater_when == "all year" else ", in cold months alone",
            Q(propane_water(living.unvented_heater), "water a day"),
        )
    pulls = [x for x in house_exhausts(model) if x.needs_make_up] if flue else []
    for x in pulls:
        yield worded(
            "the {} pulls {:.0f} Pa in a house this tight, above the {:.0f} Pa at which a chimney may turn round ({}): a stove "
            "or burner that takes its air from the room can fill it with smoke and carbon monoxide; give it outdoor air and fit "
            "a CO alarm",
            x.name,
            x.pressure_Pa,
            BACKDRAFT_PA,
            BACKDRAFT_SOURCE,
        )


def _glass(model: HouseModel) -> Iterator[Said]:
    share = sum(w.area_m2 for w in model.windows) / model.floor_area_m2
    if share > GLASS_SHARE_LIMIT:
        above = f"glass is {share:.1%} of the floor area, above {GLASS_SHARE_LIMIT:.0%}"
        yield f"{above}: cooling depends on the sun and the way the house stands"


def _leakage(model: HouseModel) -> Iterator[Said]:
    ach50 = model.air.leakage.ach50
    if not ACH50_USUAL[0] <= ach50 <= ACH50_USUAL[1]:
        yield f"{ach50:.3g} ACH50 is outside 0.3 to 30: look at the unit of the fan test (ACH50 or cfm50)"


def _fan_pull(model: HouseModel) -> Iterator[Said]:
    """A fan that only takes air out of a very tight house; what it does to a flue is in `flame_warnings`."""
    if model.house.ventilation.kind != "exhaust" or model.air.unbalanced_m3_s <= 0:
        return
    leak = model.air.leakage
    pull = air_change.depressurisation(model.air.unbalanced_m3_s, leak.coefficient, leak.exponent)
    if pull > FAN_RATED_PA:
        yield (
            f"the exhaust fan alone pulls {pull:.0f} Pa in a house of {leak.ach50:.2g} ACH50, above the {FAN_RATED_PA:.0f} Pa at "
            "which fans are rated: it moves less than it says; give it a make-up opening or take a balanced fan"
        )


def _insulation(part: OpaquePart) -> Iterator[Said]:
    """No layer insulates better than the best insulation would, were the whole thickness made of it."""
    if not part.of.layered:
        return
    best = 1.0 / (part.r_inside + part.thickness_m / best_conductivity_W_mK() + part.r_outside)
    if part.body.boundary == "outdoor" and part.u_value < 0.999 * best:
        thickness = f"{part.thickness_m / 0.0254:.1f} in ({part.thickness_m * 1000:.0f} mm)"
        yield (
            worded(
                "U of the {} is {}, below the {} that {} of the best insulation would reach: look at its "
                "R-values and thicknesses",
                part.name,
                Q(part.u_value, "U-value"),
                Q(best, "U-value"),
                thickness,
            )
        )
    elif part.u_value > MOST_U:
        yield worded("U of the {} is {}, hardly insulated: look at its layers", part.name, Q(part.u_value, "U-value"))


def _balance(unit: str, balance_C: float | None) -> Iterator[Said]:
    if balance_C is not None and balance_C > WARM_BALANCE_C:
        yield (
            worded(
                "{} already falls short below {} outdoors, above {}: the house is very leaky or the unit very small",
                unit,
                Q(balance_C, "temperature"),
                Q(WARM_BALANCE_C, "temperature"),
            )
        )


def _indoor_air(designer: Designer) -> Iterator[Said]:
    found = _coldest_month(designer)
    if found and found.relative > DAMP:
        level = "as damp as air can be" if found.wetter_than_saturation else f"{min(found.relative, 1.0):.0%}"
        yield (
            f"indoor humidity in the coldest month comes to {level}, above 80 %: look at the ventilation, the people and what "
            "dries or burns indoors; mould and wet windows are likely"
        )
    if found and found.relative < DRY_AIR:
        yield (
            f"indoor humidity in the coldest month comes to {found.relative:.0%}, below {DRY_AIR:.0%}: dry; no more outdoor air "
            "than people need"
        )


def _coldest_month(designer: Designer) -> WinterHumidity | None:
    try:
        return winter_cases(designer)[0][2]
    except NoAnswer:  # no outdoor air at all: the leakage warning says so
        return None


def _assumed(model: HouseModel) -> Iterator[Said]:
    if model.air.leakage.measured is False:
        yield "airtightness is assumed, not measured: a fan test of the finished house should replace it"
