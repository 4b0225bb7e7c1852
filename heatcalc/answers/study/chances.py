"""Everything uncertain at once: the spread of the design loads, and the chance that the unit carries them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from heatcalc.answers.sale.band import PLUGGED
from heatcalc.answers.study.uncertain import StudyCase, UncertainInput, drawn, uncertain_inputs
from heatcalc.inputs.house.living import living_day
from heatcalc.judge.choice import candidate_of, task_of
from heatcalc.model.designer import (
    DESIGN_WIND_COOLING_M_S,
    DESIGN_WIND_HEATING_M_S,
    EIGHT_BEARINGS,
    Designer,
    designer_of,
    with_components,
)
from heatcalc.model.house_model import HouseModel
from heatcalc.model.steady_load import HeatingLoad
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity
from heatcalc.physics.zone.fast_loads import HouseAir, Shares, Variants, cooling_variants, heating_variants

Array = np.ndarray
DRAWS, SEED = 20_000, 20_240_601
NEAR_PEAK = 0.85  # hours of the design day with at least this share of its peak are looked at
COLD_GRID_K = np.linspace(-12.0, 12.0, 97)


@dataclass(frozen=True, eq=False)
class Fast:
    """A case taken apart: shares for each way the house may stand (one where it is said), and what scales them."""

    case: StudyCase
    ways: tuple[Shares, ...]
    people: float
    absorptance: Mapping[str, float]

    def variants(self, values: Mapping[str, Array]) -> Variants:
        """Factors from drawn values; inputs not drawn stay as described."""
        one = np.ones(1)

        def get(name: str, usual: float = 1.0) -> Array:
            return np.asarray(values.get(name, usual * one), float)

        scaled_by = {p.component: p.of.uncertain for p in self.case.model.parts}
        losses = tuple(get(scaled_by[c]) for c in self.case.model.components)
        absorbed = 1.0 + self._darker(get("siding", 0.0), get("roof colour", 0.0))
        return Variants(
            losses=losses,
            leaks=get("leaks"),
            fan=get("fan"),
            wind_heating_m_s=get("wind", DESIGN_WIND_HEATING_M_S),
            wind_cooling_m_s=DESIGN_WIND_COOLING_M_S,
            felt_K=get("heating set point", 0.0),
            cool_K=get("cooling set point", 0.0),
            cold_K=get("cold", 0.0),
            hot_K=get("heat", 0.0),
            absorbed=absorbed,
            glass=get("glass"),
            gains=self._gains(get("people", self.people), get("plugs")),
            loft=get("loft"),
        )

    def _darker(self, siding: Array, roof: Array) -> Array:
        """Change of the sun absorbed outside, siding and roof each by its share of it."""
        share = self.absorptance
        return siding / share["siding"] * share["siding share"] + roof / share["roof"] * (1 - share["siding share"])

    def _gains(self, people: Array, plugs: Array) -> Array:
        share = self.absorptance["people share"]
        plugged = self.absorptance["plug share"]
        return 1.0 + share * (people / max(self.people, 1.0) - 1.0) + plugged * (plugs - 1.0)

    def heating_W(self, values: Mapping[str, Array]) -> Array:
        """Design heating load of many draws."""
        return heating_variants(self.ways[0], self.variants(values))

    def cooling_W(self, values: Mapping[str, Array]) -> Array:
        """Design sensible cooling load of many draws, in the way each stands (the worst where that is not drawn)."""
        each = cooling_variants(self.ways, self.variants(values))
        if "direction" not in values or len(self.ways) == 1:
            return each.max(axis=0)
        return np.take_along_axis(each, np.asarray(values["direction"], int)[None], axis=0)[0]


def fast_case(case: StudyCase) -> Fast:
    """Take a case apart once."""
    designer = designer_of(case.model, case.place)
    ways = _ways(designer)
    day = living_day(case.model.house.living)
    none = living_day(case.model.house.living.model_copy(update={"people": 0}))
    gains, without = (float((d.sensible_convective_W + d.sensible_radiant_W).mean()) for d in (day, none))
    plugs = sum(float((t.convective_W + t.radiant_W).mean()) for t in day.terms if t.name in PLUGGED)
    walls, roofs = ([p for p in case.model.opaque if p.of.colour == c and p.body.sun] for c in ("siding", "roof"))
    through = [sum(p.ua_W_K * p.body.solar_absorptance * p.taken_in for p in parts) for parts in (walls, roofs)]
    shares = {
        "siding": _mean_absorptance(walls),
        "roof": _mean_absorptance(roofs),
        "siding share": through[0] / max(sum(through), 1e-9),
        "people share": (gains - without) / max(gains, 1e-9),
        "plug share": plugs / max(gains, 1e-9),
    }
    return Fast(case, ways, float(case.model.house.living.people), shares)


def _mean_absorptance(parts) -> float:
    area = sum(p.area_m2 for p in parts)
    return sum(p.area_m2 * p.body.solar_absorptance for p in parts) / area if area else 1.0


def _ways(designer: Designer) -> tuple[Shares, ...]:
    way = designer.model.house.site.front_faces
    words = list(EIGHT_BEARINGS) if way == "unknown" else [way]
    days = [max((d for d in designer.cooling_days if d.front_faces == w), key=lambda d: d.peak_sensible_W) for w in words]
    dark = designer_of(_unlit(designer.model), designer.place)
    heat, loft = designer.heating(), _loft_W(designer)
    return tuple(_shares(designer, dark, heat, loft, d) for d in days)


def _unlit(model: HouseModel) -> HouseModel:
    """The house with opaque parts that take no sun, to tell conduction from sun."""
    return replace(model, opaque=tuple(p.coloured(0.0) for p in model.opaque))


def _loft_W(designer: Designer) -> float:
    house = designer.model.house
    if house.loft is None:
        return 0.0
    cool = house.model_copy(update={"loft": house.loft.model_copy(update={"warmer_by": 0.0})})
    flat = designer_of(replace(designer.model, house=cool), designer.place)
    return designer.heating().load_W - flat.heating().load_W


def _shares(designer: Designer, dark: Designer, heat: HeatingLoad, loft_W: float, day) -> Shares:
    apart = heat.indoor_C - heat.outdoor_C
    groups = designer.model.components
    lost = np.array([heat.components_W[g] - loft_W * share for g, share in zip(groups, _under_loft(designer.model), strict=True)])
    air_W = heat.components_W["infiltration"] + heat.components_W["ventilation"]
    air = _air(designer.model, heat.indoor_C)
    exchange = float(designer.model.air.sensible(apart, DESIGN_WIND_HEATING_M_S)) * air.heat_capacity_J_m3K
    excess = (air_W / exchange / apart - 1.0) if exchange > 0 else 0.0
    hours = np.flatnonzero(day.sensible_W >= NEAR_PEAK * day.peak_sensible_W)
    lit, unlit = (with_components(d, day).components_W for d in (designer, dark))
    zero = np.zeros(24)
    conduction = np.array([unlit.get(g, zero)[hours] for g in groups])
    return Shares(
        groups=groups,
        loss_W_K=lost / apart,
        loft_W=loft_W,
        felt_C=heat.indoor_C,
        outdoor_C=heat.outdoor_C,
        air_above_felt=excess,
        air=air,
        hours=hours,
        cool_hour_C=0.5 * (day.outdoor_C + np.roll(day.outdoor_C, 1))[hours],
        conduction_W=conduction,
        opaque_sun_W=np.array([lit.get(g, zero)[hours] for g in groups]) - conduction,
        glass_W=lit.get("sun through glass", zero)[hours],
        gains_W=lit.get("people and appliances", zero)[hours],
        cool_C=designer.model.house.set_points.cooling,
    )


def _under_loft(model: HouseModel) -> list[float]:
    """Each component's share of the shell that meets the loft's warm layer, by U x A."""
    met = [sum(p.ua_W_K for p in model.parts if p.component == c and p.of.under_loft) for c in model.components]
    return [ua / max(sum(met), 1e-9) for ua in met]


def _air(model: HouseModel, air_C: float) -> HouseAir:
    pressure, a = moist_air.pressure_at_altitude(model.elevation_m), model.air
    per = float(moist_air.volumetric_heat_capacity(air_C, 0.0, pressure))
    k, leak = a.coefficients, a.leakage
    local = k.shelter * k.speed_multiplier
    return HouseAir(
        coefficient=leak.coefficient,
        exponent=leak.exponent,
        stack=k.stack,
        wind=k.wind,
        shelter=local,
        balanced_m3_s=a.balanced_m3_s,
        unbalanced_m3_s=a.unbalanced_m3_s,
        sensible_recovery=a.inputs.sensible_recovery,
        frost_K=a.inputs.frost_K,
        preheat_K=a.preheat_most_K,
        heat_capacity_J_m3K=per,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class Chances:
    """Draws of the loads and of what the unit can do then; one-sigma of each chance is that of the counting."""

    case: StudyCase
    inputs: tuple[UncertainInput, ...]
    draws: int
    seed: int
    heating_W: Array
    cooling_W: Array
    most_heat_W: Array
    most_cool_W: Array

    def chance(self, what: str) -> tuple[float, float]:
        """Chance that the unit carries the "heating", the "cooling" or "both", and its standard error."""
        warm, cool = self.most_heat_W >= self.heating_W, self.most_cool_W >= self.cooling_W
        share = float(np.mean({"heating": warm, "cooling": cool, "both": warm & cool}[what]))
        return share, float(np.sqrt(max(share * (1 - share), 1.0 / self.draws) / self.draws))

    @property
    def backup_W(self) -> Array:
        """Heat left to something else in each draw."""
        return np.maximum(self.heating_W - self.most_heat_W, 0.0)


def monte_carlo(case: StudyCase, draws: int = DRAWS, seed: int = SEED, fast: Fast | None = None) -> Chances:
    """Draw every input at once, independently, the same draws for the same seed."""
    fast = fast or fast_case(case)
    inputs = uncertain_inputs(case)
    share = np.random.default_rng(seed).random((draws, len(inputs)))
    values = {u.name: drawn(u, share[:, k]) for k, u in enumerate(inputs)}
    heat, cool = _carried(case, values)
    return Chances(
        case=case,
        inputs=inputs,
        draws=draws,
        seed=seed,
        heating_W=fast.heating_W(values),
        cooling_W=fast.cooling_W(values),
        most_heat_W=heat,
        most_cool_W=cool,
    )


def _carried(case: StudyCase, values: Mapping[str, Array]) -> tuple[Array, Array]:
    """Most heat at each draw's cold and sensible cold at its heat, as `choice.judge` has them, times the unit's own error."""
    designer = designer_of(case.model, case.place)
    task = task_of(designer)
    here = at_site(case.unit, task.elevation_m, task.heating_set_C, task.cooling_wet_bulb_C, task.cooling_set_C)
    times = np.asarray(values.get("capacity", 1.0))
    cold, hot = (np.asarray(values.get(k, 0.0)) for k in ("cold", "heat"))
    heat = np.interp(cold, COLD_GRID_K, capacity(here.heating, task.design_C + COLD_GRID_K, "max").value_W) * times
    cool = capacity(here.cooling, task.hot_C + COLD_GRID_K, "max").value_W
    sensible = candidate_of(case.unit, designer, task).sensible_cooling_W
    return heat, np.interp(hot, COLD_GRID_K, cool) / np.interp(0.0, COLD_GRID_K, cool) * sensible * times
