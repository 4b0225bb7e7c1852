"""Tables and sentences of the outdoor air and of the humidity indoors."""

from __future__ import annotations

from heatcalc import units
from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.inputs.house.living import living_day
from heatcalc.model.damp import DryingCase
from heatcalc.show.loads_rules_text import Row, watts
from heatcalc.wording import MONTHS, said


def air_rows(r: LoadsResult, system: str) -> list[Row]:
    """Every infiltration route at the design cold and in the heat, the used one first."""
    t = units.text
    pairs = zip(r.air_winter.routes, r.air_summer.routes, strict=True)
    return [
        ("route", "design cold", "an hour", "1 % heat", "range in the cold", "remark"),
        *(
            (
                w.name,
                t(w.flow_m3_s, "air flow", system),
                f"{w.air_changes_per_h:.2f}",
                t(s.flow_m3_s, "air flow", system),
                f"{units.shown(w.low_m3_s, 'air flow', system):.1f} to {units.shown(w.high_m3_s, 'air flow', system):.1f}",
                w.note,
            )
            for w, s in pairs
        ),
    ]


def fan_rows(r: LoadsResult, system: str) -> list[Row]:
    """Required ventilation by three rules, the fan, both superposition rules, local exhausts."""
    v, a, t = r.air_winter.ventilation, r.air_winter, units.text

    def flow(x: float) -> str:
        return t(x, "air flow", system)

    rows = [
        ("ASHRAE 62.2 by formula", flow(v.formula_m3_s), ""),
        ("ASHRAE 62.2-2016 by table", flow(v.table_m3_s), f"the table stops falling under {t(500 * 0.09290304, 'area', system)}"),
        ("24 CFR 3280.103(b)", flow(v.manufactured_home_m3_s), "manufactured homes"),
        ("fan taken", flow(v.fan_m3_s), v.note),
        ("fan and leak in quadrature", flow(a.total_m3_s), "used: ch. 16 eq. 51"),
        (
            "fan and half, the residential rule",
            flow(a.total_residential_rule_m3_s),
            "ch. 17 eq. 14, used in the load factor method",
        ),
    ]
    return [
        *rows,
        *(
            (
                e.name,
                flow(e.flow_m3_s),
                f"alone it pulls {e.pressure_Pa:.0f} Pa in this shell" + (": it needs make-up air" if e.needs_make_up else ""),
            )
            for e in r.exhausts
        ),
    ]


def winter_rows(r: LoadsResult, system: str) -> list[Row]:
    """Humidity, dew point and dry surfaces in two outdoor conditions."""
    t, cases = units.text, [w for _, _, w in r.winter]
    rows = [
        ("", *(f"{name}, {t(c, 'temperature', system)}" for name, c, _ in r.winter)),
        ("relative humidity", *(f"{w.relative:.0%} ({w.low_relative:.0%} to {w.high_relative:.0%})" for w in cases)),
        ("dew point inside", *(t(w.dew_point_C, "temperature", system) for w in cases)),
        ("outdoor air", *(t(w.flow_m3_s, "air flow", system) for w in cases)),
    ]
    for k, surface in enumerate(cases[0].surfaces):
        at = [w.surfaces[k] for w in cases]
        rows.append((f"{surface.name}: temperature", *(t(s.temperature_C, "temperature", system) for s in at)))
        rows.append((f"{surface.name}: least air that keeps it dry", *(t(s.dry_flow_m3_s, "air flow", system) for s in at)))
    return [
        *rows,
        ("CO2, everybody home, awake / asleep", *(f"{w.co2_day_ppm:,.0f} / {w.co2_night_ppm:,.0f} ppm" for w in cases)),
    ]


def winter_notes(r: LoadsResult) -> tuple[str, ...]:
    """Notes of the coldest month's answer."""
    return r.winter[0][2].notes


def drying_lines(r: LoadsResult, system: str) -> list[str]:
    """One sentence a day type."""
    return [_dries(case, system) for case in r.drying] or ["no unit is recommended here"]


def _dries(case: DryingCase, system: str) -> str:
    t = units.text
    water = [t(x, "mass flow", system) for x in (case.need.needed_kg_s, case.need.unit_kg_s)]
    return (
        f"{case.name} ({MONTHS[case.month - 1]}, mean {t(case.outdoor_mean_C, 'temperature', system)}): sensible load "
        f"{watts(case.mean_sensible_W, system)} on average, water to remove {water[0]}, the unit takes {water[1]}, "
        f"running {case.run_share:.0%} of the time. {said(case.sentence, system)}"
    )


def living_rows(r: LoadsResult, system: str) -> list[Row]:
    """Sensible heat by source: mean of the day, the cooling peak's hour, water, and how the number is known."""
    hour, house = r.designer.cooling.peak_hour - 1, r.size.house
    rows: list[Row] = [("", "day mean", "peak hour", "water", "how known")]
    for term in living_day(house.living, winter=True).terms:
        heat = term.convective_W + term.radiant_W
        water = units.text(float(term.moisture_kg_s.mean()), "mass flow", system)
        day, now = watts(float(heat.mean()), system), watts(float(heat[hour]), system)
        rows.append((term.name, day, now, water, term.mark))
    return rows
