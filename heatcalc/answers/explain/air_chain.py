"""The chain behind the outdoor air: leakage, infiltration, fans, what it carries."""

from __future__ import annotations

from heatcalc.answers.envelope.step import Step
from heatcalc.answers.methods.hand_method import air_heat_capacity
from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.model.outdoor_air import AirModel
from heatcalc.physics.air.air_change import TEST_PA
from heatcalc.wording import Q, Said, worded

CH16, CH17 = "ASHRAE Handbook - Fundamentals 2021 ch. 16", "ASHRAE Handbook - Fundamentals 2021 ch. 17"


def difference(designer: Designer, outdoor_C: float, source: Said) -> Step:
    """Indoor set point less outdoor temperature."""
    indoor = designer.model.house.set_points.heating
    parts = (
        Step("T_in", "indoor set point", indoor, "temperature", source="house file, set_points.heating"),
        Step("T_out", "outdoor design temperature", outdoor_C, "temperature", source=source),
    )
    return Step("dT", "temperature difference", indoor - outdoor_C, "temperature difference", "{T_in} - {T_out}", parts)


def coefficient(air: AirModel) -> Step:
    """Flow coefficient of the shell from the flow at 50 Pa."""
    shell, volume = air.leakage, air.inputs.volume_m3
    rate = Step("ACH50", "air changes at 50 Pa", shell.ach50, "per hour", source=f"{shell.basis}; {shell.source} ({shell.mark})")
    size = Step("Vol", "room volume", volume, "volume", source="outside dimensions less the thickness of walls, floor and roof")
    flow = Step(
        "V50",
        "leak at 50 Pa",
        shell.flow_50_m3_s,
        "air flow",
        "{ACH50} x {Vol} / 3600",
        (rate, size),
        "definition of ACH50",
        si=True,
    )
    exponent = Step(
        "n", "flow exponent", shell.exponent, "number", source="0.65: usual where only one pressure is tested, " + CH16
    )
    return Step(
        "c",
        "flow coefficient",
        shell.coefficient,
        "flow coefficient",
        f"{{V50}} / {TEST_PA:g} ^ {{n}}",
        (flow, exponent),
        f"{CH16} eq. 40",
        si=True,
    )


def leak(designer: Designer, outdoor_C: float, dT: Step) -> Step:
    """Infiltration by the enhanced model."""
    flow = float(designer.model.air.leak(dT.value, DESIGN_WIND_HEATING_M_S))
    parts = (_by_warmth(designer.model.air, dT), _by_wind(designer.model.air))
    return Step("V_leak", "infiltration", flow, "air flow", "sqrt({V_s} ^ 2 + {V_w} ^ 2)", parts, f"{CH16} eq. 47", si=True)


def _by_warmth(air: AirModel, dT: Step) -> Step:
    c, k = coefficient(air), air.coefficients
    stack = Step("Cs", "stack coefficient", k.stack, "number", source=_table(air))
    flow = c.value * k.stack * abs(dT.value) ** air.leakage.exponent
    parts = (c, stack, dT, c.parts[1])
    return Step("V_s", "flow by warmth", flow, "air flow", "{c} x {Cs} x {dT} ^ {n}", parts, f"{CH16} eq. 49", si=True)


def _by_wind(air: AirModel) -> Step:
    c, k, local = coefficient(air), air.coefficients, _local_wind(air)
    wind = Step("Cw", "wind coefficient", k.wind, "number", source=_table(air))
    shelter = Step("s", "shelter factor", k.shelter, "number", source=_table(air))
    flow = c.value * k.wind * (k.shelter * local.value) ** (2 * air.leakage.exponent)
    parts = (c, wind, shelter, local, c.parts[1])
    return Step("V_w", "flow by wind", flow, "air flow", "{c} x {Cw} x ({s} x {U}) ^ (2 x {n})", parts, f"{CH16} eq. 50", si=True)


def _local_wind(air: AirModel) -> Step:
    airport = Step("U_met", "design wind at the airport", DESIGN_WIND_HEATING_M_S, "speed", source=CH17)
    share = Step("G", "wind speed multiplier", air.coefficients.speed_multiplier, "number", source=_table(air))
    speed = air.coefficients.speed_multiplier * airport.value
    return Step("U", "wind at the house", speed, "speed", "{G} x {U_met}", (share, airport), f"{CH16} Table 9", si=True)


def _table(air: AirModel) -> Said:
    a = air.inputs
    flue = "with a flue" if a.flue else "no flue"
    return worded(
        "{} Tables 7-9 at {:.2f} storeys (room height / {}), shelter class {}, {}",
        CH16,
        a.storeys,
        Q(2.5, "length"),
        a.shelter,
        flue,
    )


def total_flow(designer: Designer, outdoor_C: float, dT: Step) -> Step:
    """Fans and leaks together."""
    air, kind = designer.model.air, designer.model.house.ventilation.kind
    source = f"house file, ventilation: {kind}; rate by ASHRAE 62.2 unless stated"
    fans = tuple(
        Step(symbol, name, value, "air flow", source=source)
        for symbol, name, value in (
            ("V_bal", "balanced part of the fans", air.balanced_m3_s),
            ("V_un", "unbalanced part of the fans", air.unbalanced_m3_s),
        )
    )
    return Step(
        "V_tot",
        "outdoor air",
        float(air.total(dT.value, DESIGN_WIND_HEATING_M_S)),
        "air flow",
        "{V_bal} + sqrt({V_un} ^ 2 + {V_leak} ^ 2)",
        (*fans, leak(designer, outdoor_C, dT)),
        f"{CH16} eq. 51",
    )


def carrying_flow(designer: Designer, outdoor_C: float, dT: Step) -> Step:
    """The flow that carries heat after recovery."""
    whole, air = total_flow(designer, outdoor_C, dT), designer.model.air
    recovered = float(air.recovered(air.inputs.sensible_recovery, dT.value))
    source = "house file, ventilation.heat_recovery; below ventilation.frost_below less by defrosting, or more by a preheater"
    share = Step("e", "heat recovery of the balanced fan", recovered, "number", source=source)
    return Step(
        "V",
        "outdoor air that carries heat",
        float(designer.model.air.sensible(dT.value, DESIGN_WIND_HEATING_M_S)),
        "air flow",
        "{V_tot} - {e} x {V_bal}",
        (whole, share, whole.parts[0]),
        "ASHRAE Handbook - Fundamentals 2021 ch. 17 eq. 15",
    )


def heat_factor(designer: Designer) -> Step:
    """Density times specific heat of the room's air."""
    indoor = designer.model.house.set_points.heating
    return Step(
        "C",
        "heat of the room's air at this height",
        air_heat_capacity(designer, indoor),
        "air heat factor",
        source="density x specific heat of dry air, ASHRAE Handbook - Fundamentals 2021 ch. 1",
        note=worded("elevation {}; 1.08 Btu/(h F cfm) is the usual sea-level figure", Q(designer.model.elevation_m, "length")),
    )


def air_changes(designer: Designer, outdoor_C: float, dT: Step, value: float) -> Step:
    """Outdoor air in room volumes an hour."""
    size = Step(
        "Vol", "room volume", designer.model.volume_m3, "volume", source="outside dimensions less the thickness of the shell"
    )
    return Step(
        "ACH",
        "air exchange at the design cold",
        value,
        "per hour",
        "3600 x {V_tot} / {Vol}",
        (total_flow(designer, outdoor_C, dT), size),
        "definition",
        si=True,
    )
