"""How much outdoor air a small house takes: every published route side by side, the one used, why."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.errors import InputError, nearest
from heatcalc.physics.air import air_change, moist_air
from heatcalc.tables import rows

DEFAULT_CLASS = "factory-built"
ASSUMED_RANGE_ACH50 = (3.0, 12.0)  # code limit, and manufactured homes before retrofit (11.8, from memory)
VENTILATION_KINDS = ("none", "exhaust", "supply", "balanced")
ROOM_C = 20.0  # at which the fan moves its air
CROWDED_M3_PER_PERSON = 25.0  # ch. 16: think of extra air below 25 m3 per person


@dataclass(frozen=True, kw_only=True)
class AirInputs:
    """What the air of a house depends on; SI.  Leave the leakage fields empty when nothing was measured.

    `shell_area_m2` is all of the exposed shell, a floor over open air included.  `ventilation_m3_s` None is
    the 62.2 rate by formula.  `storeys` may lie between the tables' (`infiltration.storeys_of`).
    """

    volume_m3: float
    floor_area_m2: float
    shell_area_m2: float
    height_m: float
    perimeter_m: float
    ach50: float | None = None
    flow_50_m3_s: float | None = None
    leakage_class: str | None = None
    flow_exponent: float = air_change.USUAL_EXPONENT
    storeys: float = 1.0
    shelter: int = 3
    raised: bool = True
    flue: bool = False
    bedrooms: int = 1
    people: int = 2
    ventilation_kind: str = "exhaust"
    ventilation_m3_s: float | None = None
    sensible_recovery: float = 0.0
    moisture_recovery: float = 0.0
    elevation_m: float = 0.0
    frost_K: float = np.inf  # inside above outside from which the core of a heat recovery frosts
    preheater_W: float = 0.0  # before that core


@dataclass(frozen=True)
class AirConditions:
    """One moment: air inside and outside and the wind at the airport."""

    indoor_C: float
    outdoor_C: float
    wind_m_s: float
    indoor_humidity_ratio: float = 0.0
    outdoor_humidity_ratio: float = 0.0

    @property
    def delta_K(self) -> float:
        """Inside above outside."""
        return self.indoor_C - self.outdoor_C


@dataclass(frozen=True, kw_only=True)
class Leakage:
    """The shell's leakage in every unit in use, and where it came from."""

    coefficient: float
    exponent: float
    area_m2: float
    ach50: float
    flow_50_m3_s: float
    flow_50_per_shell_m_s: float
    unit_area_cm2_m2: float
    normalised: float
    basis: str
    source: str
    mark: str
    measured: bool


@dataclass(frozen=True, kw_only=True)
class Route:
    """One way to the infiltration flow."""

    name: str
    flow_m3_s: float
    air_changes_per_h: float
    low_m3_s: float
    high_m3_s: float
    source: str
    note: str


@dataclass(frozen=True, kw_only=True)
class VentilationRates:
    """Required whole-house rates beside each other and the fan flow taken [m3/s]."""

    formula_m3_s: float
    table_m3_s: float
    manufactured_home_m3_s: float
    fan_m3_s: float
    balanced_m3_s: float
    unbalanced_m3_s: float
    note: str


@dataclass(frozen=True, kw_only=True)
class AirExchange:
    """Infiltration and ventilation of one moment.

    `total_m3_s` is the outdoor air; `sensible_m3_s` and `moisture_m3_s` are what is left after recovery.
    Heat is positive when the house loses it.
    """

    routes: tuple[Route, ...]
    used: Route
    why: str
    leakage: Leakage
    ventilation: VentilationRates
    total_m3_s: float
    total_residential_rule_m3_s: float
    sensible_m3_s: float
    moisture_m3_s: float
    air_changes_per_h: float
    pressure_Pa: float
    heat_loss_W_K: float
    sensible_W: float
    latent_W: float
    assumptions: tuple[str, ...]


@dataclass(frozen=True)
class AirModel:
    """The used route for a whole year of hours: outdoor air from temperatures and wind."""

    inputs: AirInputs
    leakage: Leakage
    coefficients: air_change.EnhancedCoefficients
    balanced_m3_s: float
    unbalanced_m3_s: float

    def leak(self, delta_K, wind_m_s):
        """Infiltration alone [m3/s], enhanced model; floats or arrays."""
        k, shell = self.coefficients, self.leakage
        return air_change.infiltration_flow(
            shell.coefficient, shell.exponent, k.stack, k.wind, k.shelter, delta_K, k.speed_multiplier * np.asarray(wind_m_s)
        )

    def total(self, delta_K, wind_m_s):
        """Outdoor air of fans and leaks [m3/s] by the quadrature rule of ch. 16."""
        return air_change.fan_and_leak(self.leak(delta_K, wind_m_s), self.balanced_m3_s, self.unbalanced_m3_s)

    def sensible(self, delta_K, wind_m_s):
        """Outdoor air that carries heat after recovery [m3/s]."""
        whole = self.total(delta_K, wind_m_s)
        return air_change.after_recovery(whole, self.balanced_m3_s, self.recovered(self.inputs.sensible_recovery, delta_K))

    def moisture(self, delta_K, wind_m_s):
        """Outdoor air that carries moisture after recovery [m3/s]."""
        kept = self.inputs.moisture_recovery * (1.0 - self.defrosting(delta_K)) if self.inputs.moisture_recovery else 0.0
        return air_change.after_recovery(self.total(delta_K, wind_m_s), self.balanced_m3_s, kept)

    def recovered(self, effectiveness: float, delta_K):
        """Effectiveness left on average [-] while the core defrosts part of the time, with what a preheater gives."""
        if effectiveness == 0.0:
            return 0.0
        return air_change.recovered_share(effectiveness, delta_K, self.inputs.frost_K, self.preheat_most_K)

    @property
    def preheat_most_K(self):
        """How far the preheater can warm the balanced air [K]; an array where the heights are one."""
        if not self.inputs.preheater_W:
            return 0.0
        air = moist_air.volumetric_heat_capacity(ROOM_C, 0.0, moist_air.pressure_at_altitude(self.inputs.elevation_m))
        return self.inputs.preheater_W / (air * self.balanced_m3_s)

    def preheat_W(self, delta_K):
        """Electricity of the preheater [W]."""
        most_K = self.preheat_most_K
        return self.inputs.preheater_W * air_change.preheated_K(delta_K, self.inputs.frost_K, most_K) / (most_K or 1.0)

    def defrosting(self, delta_K):
        """Share of the time the core defrosts [-]."""
        return 1.0 - air_change.recovered_share(1.0, delta_K, self.inputs.frost_K, self.preheat_most_K)


def leakage_of(inputs: AirInputs) -> Leakage:
    """Leakage from the one statement given (ACH50, flow at 50 Pa, class) or from the default class."""
    given = [n for n in ("ach50", "flow_50_m3_s", "leakage_class") if getattr(inputs, n) is not None]
    if len(given) > 1:
        raise InputError("leakage", None, f"say it once, not as {' and '.join(given)}")
    if inputs.ach50 is not None or inputs.flow_50_m3_s is not None:
        flow = inputs.flow_50_m3_s or (inputs.ach50 or 0.0) * inputs.volume_m3 / 3600
        coefficient = air_change.flow_coefficient(flow, inputs.flow_exponent)
        basis = "ACH50 as stated" if inputs.ach50 is not None else "flow at 50 Pa as stated"
        return _leakage(inputs, coefficient, basis, "the house file", "as stated", True)
    row = _class_row(inputs.leakage_class or DEFAULT_CLASS)
    area = float(row["unit_leakage_cm2_m2"]) * 1e-4 * inputs.shell_area_m2
    basis = f"class {row['name']}" if inputs.leakage_class else f"nothing measured: class {row['name']}"
    coefficient = air_change.coefficient_of_area(area, inputs.flow_exponent)
    return _leakage(inputs, coefficient, basis, row["source"], row["mark"], False)


def _class_row(name: str) -> dict[str, str]:
    known = [r["name"] for r in rows("leakage_classes")]
    if name not in known:
        raise InputError("leakage_class", name, f"known: {', '.join(known)}", nearest(name, known))
    return next(r for r in rows("leakage_classes") if r["name"] == name)


def _leakage(inputs: AirInputs, coefficient: float, basis: str, source: str, mark: str, measured: bool) -> Leakage:
    n = inputs.flow_exponent
    area = air_change.leakage_area_of(coefficient, n)
    flow = air_change.leak_flow(coefficient, n, air_change.TEST_PA)
    return Leakage(
        coefficient=coefficient,
        exponent=n,
        area_m2=area,
        ach50=air_change.ach50_of(coefficient, n, inputs.volume_m3),
        flow_50_m3_s=flow,
        flow_50_per_shell_m_s=flow / inputs.shell_area_m2,
        unit_area_cm2_m2=1e4 * area / inputs.shell_area_m2,
        normalised=air_change.normalised_leakage(area, inputs.floor_area_m2, inputs.height_m),
        basis=basis,
        source=source,
        mark=mark,
        measured=measured,
    )


def ventilation_rates(inputs: AirInputs) -> VentilationRates:
    """Required rates by three rules and the fan flow, split into balanced and unbalanced."""
    if inputs.ventilation_kind not in VENTILATION_KINDS:
        known, kind = ", ".join(VENTILATION_KINDS), inputs.ventilation_kind
        raise InputError("ventilation_kind", kind, f"known: {known}", nearest(kind, VENTILATION_KINDS))
    formula = air_change.required_rate("62.2", inputs.floor_area_m2, inputs.bedrooms)
    fan = formula if inputs.ventilation_m3_s is None else inputs.ventilation_m3_s
    fan = 0.0 if inputs.ventilation_kind == "none" else fan
    supply, exhaust = (fan if inputs.ventilation_kind in (way, "balanced") else 0.0 for way in ("supply", "exhaust"))
    balanced, unbalanced = air_change.balanced_and_unbalanced(supply, exhaust)
    return VentilationRates(
        formula_m3_s=formula,
        table_m3_s=air_change.tabulated_rate(inputs.floor_area_m2, inputs.bedrooms),
        manufactured_home_m3_s=air_change.required_rate("manufactured home", inputs.floor_area_m2),
        fan_m3_s=fan,
        balanced_m3_s=balanced,
        unbalanced_m3_s=unbalanced,
        note=_crowding_note(inputs),
    )


def _crowding_note(inputs: AirInputs) -> str:
    if inputs.volume_m3 < CROWDED_M3_PER_PERSON * inputs.people:
        return (
            f"{inputs.people} people in {inputs.volume_m3:.0f} m3 is less than 25 m3 a person: extra "
            "ventilation should be considered (ASHRAE Handbook - Fundamentals 2021 ch. 16)"
        )
    return ""


def air_model(inputs: AirInputs) -> AirModel:
    """The used route, ready for arrays of hours."""
    rates = ventilation_rates(inputs)
    column = air_change.enhanced_coefficients(inputs.storeys, inputs.shelter, inputs.raised, inputs.flue)
    return AirModel(inputs, leakage_of(inputs), column, rates.balanced_m3_s, rates.unbalanced_m3_s)


def air_exchange(inputs: AirInputs, conditions: AirConditions) -> AirExchange:
    """Every route to the infiltration of this moment, the one used and the load of the outdoor air."""
    model, rates = air_model(inputs), ventilation_rates(inputs)
    delta, wind = conditions.delta_K, conditions.wind_m_s
    routes = _routes(model, conditions)
    pressure = moist_air.pressure_at_altitude(inputs.elevation_m)
    total, sensible, moisture = (float(flow(delta, wind)) for flow in (model.total, model.sensible, model.moisture))
    inside_C, inside_W = conditions.indoor_C, conditions.indoor_humidity_ratio
    per_K = float(air_change.sensible_heat(sensible, 1.0, pressure, inside_C, inside_W))
    drier = inside_W - conditions.outdoor_humidity_ratio
    split = rates.balanced_m3_s, rates.unbalanced_m3_s
    return AirExchange(
        routes=routes,
        used=routes[0],
        why=_why(model.leakage),
        leakage=model.leakage,
        ventilation=rates,
        total_m3_s=total,
        total_residential_rule_m3_s=float(air_change.fan_and_leak_residential(routes[0].flow_m3_s, *split)),
        sensible_m3_s=sensible,
        moisture_m3_s=moisture,
        air_changes_per_h=3600 * total / inputs.volume_m3,
        pressure_Pa=pressure,
        heat_loss_W_K=per_K,
        sensible_W=per_K * delta,
        latent_W=float(air_change.latent_heat(moisture, drier, pressure, inside_C)),
        assumptions=_assumptions(model),
    )


def _why(shell: Leakage) -> str:
    model = "the enhanced model follows wind, shelter, height and temperature hour by hour"
    if shell.measured:
        return f"leakage is as stated, and {model}"
    return (
        f"{model}; leakage is assumed ({shell.basis}, {shell.ach50:.1f} ACH50, plausible "
        f"{ASSUMED_RANGE_ACH50[0]:.0f} to {ASSUMED_RANGE_ACH50[1]:.0f}): a fan test should replace it"
    )


def _assumptions(model: AirModel) -> tuple[str, ...]:
    i = model.inputs
    shelter = next(r["means"] for r in rows("shelter_classes") if r["shelter"] == str(i.shelter))
    flue = "a vented flue" if i.flue else "no flue"
    return (
        f"wind at the house {model.coefficients.speed_multiplier:.2f} of the airport's",
        f"shelter class {i.shelter}: {shelter}",
        f"{i.storeys:.2f} storeys by the room's height, {flue}",
        f"flow exponent {i.flow_exponent:.2f}",
        "floor over open air counted in the shell" if i.raised else "floor on the ground",
        "fans and leaks joined in quadrature (ch. 16 eq. 51), the rule of ch. 17 shown beside it",
        model.leakage.mark,
    )


def _routes(model: AirModel, conditions: AirConditions) -> tuple[Route, ...]:
    """All routes, the used one first."""
    inputs, delta, wind = model.inputs, conditions.delta_K, conditions.wind_m_s
    area, season = model.leakage.area_m2, "heating" if delta > 0 else "cooling"
    crude = model.leakage.flow_50_m3_s / 20
    stack, pushed = air_change.basic_coefficients(inputs.storeys, inputs.shelter)
    enhanced = float(model.leak(delta, wind))
    basic = float(air_change.basic_flow(area, stack, pushed, delta, wind))
    by_factor = float(air_change.load_factor_flow(area, season, inputs.height_m, delta))
    low, high = _assumed_range(model, enhanced)
    return (
        _route(
            inputs,
            "enhanced",
            enhanced,
            "ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 47-50",
            "about 10 % with known inputs",
            low,
            high,
        ),
        _route(inputs, "basic", basic, "ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 48", "one leakage area, no flow exponent"),
        _route(
            inputs,
            "load factor",
            by_factor,
            "ASHRAE Handbook - Fundamentals 2021 ch. 17 eq. 8-10",
            "suburban shelter, fixed design wind",
        ),
        _hud_route(inputs, conditions),
        *(_measured_route(inputs, row) for row in rows("air_exchange_measured")),
        _route(inputs, "ACH50 / 20", crude, "named in ch. 16 as the crude rule", "a year's mean, no weather"),
    )


def _assumed_range(model: AirModel, flow: float) -> tuple[float, float]:
    if model.leakage.measured:
        return 0.9 * flow, 1.1 * flow
    scale = flow / model.leakage.ach50
    return min(flow, ASSUMED_RANGE_ACH50[0] * scale), max(flow, ASSUMED_RANGE_ACH50[1] * scale)


def _route(
    inputs: AirInputs, name: str, flow: float, source: str, note: str, low: float | None = None, high: float | None = None
) -> Route:
    return Route(
        name=name,
        flow_m3_s=flow,
        air_changes_per_h=3600 * flow / inputs.volume_m3,
        low_m3_s=flow if low is None else low,
        high_m3_s=flow if high is None else high,
        source=source,
        note=note,
    )


def _hud_route(inputs: AirInputs, conditions: AirConditions) -> Route:
    pressure = moist_air.pressure_at_altitude(inputs.elevation_m)
    inside = conditions.indoor_C, conditions.indoor_humidity_ratio
    flow = float(air_change.hud_default_heat(inputs.perimeter_m, 1.0)) / moist_air.volumetric_heat_capacity(*inside, pressure)
    return _route(
        inputs,
        "manufactured-home default",
        flow,
        "24 CFR 3280.509(a): 0.7 Btu/(h F ft) x perimeter",
        "when nothing is tested; large for a tiny box, where perimeter is long for the volume",
    )


def _measured_route(inputs: AirInputs, row: dict[str, str]) -> Route:
    low, high = (float(row[k]) * inputs.volume_m3 / 3600 for k in ("low_per_h", "high_per_h"))
    return _route(
        inputs, f"measured: {row['name']}", 0.5 * (low + high), row["source"], "middle and ends of the houses measured", low, high
    )
